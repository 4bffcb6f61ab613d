#include "textflag.h"

// func sum(x *float32, blocks int, s *[8]float32)
TEXT ·sum(SB), NOSPLIT, $0-24
	MOVQ   x+0(FP), SI
	MOVQ   blocks+8(FP), CX
	MOVQ   s+16(FP), DI
	VXORPS Y0, Y0, Y0
	VXORPS Y1, Y1, Y1
	VXORPS Y2, Y2, Y2
	VXORPS Y3, Y3, Y3

block:
	VADDPS (SI), Y0, Y0
	VADDPS 32(SI), Y1, Y1
	VADDPS 64(SI), Y2, Y2
	VADDPS 96(SI), Y3, Y3
	ADDQ   $128, SI
	DECQ   CX
	JNZ    block
	VADDPS Y1, Y0, Y0
	VADDPS Y3, Y2, Y2
	VADDPS Y2, Y0, Y0
	VMOVUPS Y0, (DI)
	VZEROUPPER
	RET
