#include "textflag.h"

// How far ahead of its use the cube is asked for, in bytes.
#define AHEAD 4096

// Four bands of four pixels are added to their sums.
#define ADDED \
	MOVUPS (DX), X8; \
	MOVUPS (AX), X4; \
	MOVUPS (AX)(R8*1), X5; \
	MOVUPS (AX)(R8*2), X6; \
	MOVUPS (AX)(R9*1), X7; \
	MULPS  X8, X4; \
	MULPS  X8, X5; \
	MULPS  X8, X6; \
	MULPS  X8, X7; \
	ADDPS  X4, X0; \
	ADDPS  X5, X1; \
	ADDPS  X6, X2; \
	ADDPS  X7, X3

// func exposures1(x *float32, stride int, reflectance *float32, fours, bands int, weights *float32)
TEXT ·exposures1(SB), NOSPLIT, $0-48
	MOVQ x+0(FP), DI
	MOVQ stride+8(FP), R13
	SHLQ $2, R13
	MOVQ reflectance+16(FP), SI
	MOVQ fours+24(FP), R12
	MOVQ bands+32(FP), R8
	MOVQ R8, R11
	SHRQ $2, R11              // whole vectors of a pixel
	SHLQ $2, R8               // bytes of a pixel
	LEAQ (R8)(R8*2), R9

four:
	MOVQ  weights+40(FP), DX
	MOVQ  R11, CX
	MOVQ  SI, AX
	LEAQ  AHEAD(SI), R14
	XORPS X0, X0
	XORPS X1, X1
	XORPS X2, X2
	XORPS X3, X3

vector:
	ADDED
	PREFETCHT0 (R14)
	ADDQ       $64, R14
	ADDQ       $16, AX
	ADDQ       $16, DX
	DECQ       CX
	JNZ        vector

	TESTQ  $12, R8
	JZ     whole
	LEAQ   -16(SI)(R8*1), AX
	ADDED

whole:
	// X0 = the sums of the elements of X0, X1, X2, X3, in that order.
	MOVAPS   X0, X4
	UNPCKLPS X1, X0
	UNPCKHPS X1, X4
	ADDPS    X4, X0
	MOVAPS   X2, X5
	UNPCKLPS X3, X2
	UNPCKHPS X3, X5
	ADDPS    X5, X2
	MOVAPS   X0, X4
	MOVLHPS  X2, X0
	MOVHLPS  X4, X2
	ADDPS    X2, X0

	MOVSS  X0, (DI)
	SHUFPS $0x39, X0, X0
	MOVSS  X0, (DI)(R13*1)
	LEAQ   (DI)(R13*2), DI
	SHUFPS $0x39, X0, X0
	MOVSS  X0, (DI)
	SHUFPS $0x39, X0, X0
	MOVSS  X0, (DI)(R13*1)
	LEAQ   (DI)(R13*2), DI
	LEAQ   (SI)(R8*4), SI
	DECQ   R12
	JNZ    four
	RET
