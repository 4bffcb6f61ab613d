#include "textflag.h"

// func gramFast(s, j *float64, wide, rows, blocks int)
//
// Four rows by eight columns at a time, over all rows of j.
TEXT ·gramFast(SB), NOSPLIT, $0-40
	MOVQ s+0(FP), DI
	MOVQ j+8(FP), SI
	MOVQ wide+16(FP), R8
	SHLQ $3, R8
	MOVQ rows+24(FP), R9
	MOVQ blocks+32(FP), R10
	XORQ R11, R11              // the block of rows

down:
	XORQ R12, R12              // the block of columns

along:
	MOVQ   R11, AX
	SHLQ   $5, AX
	ADDQ   SI, AX
	MOVQ   R12, BX
	SHLQ   $5, BX
	ADDQ   SI, BX
	VXORPD Y0, Y0, Y0
	VXORPD Y1, Y1, Y1
	VXORPD Y2, Y2, Y2
	VXORPD Y3, Y3, Y3
	VXORPD Y4, Y4, Y4
	VXORPD Y5, Y5, Y5
	VXORPD Y6, Y6, Y6
	VXORPD Y7, Y7, Y7
	MOVQ   R9, CX

row:
	VMOVUPD      (BX), Y8
	VMOVUPD      32(BX), Y9
	VBROADCASTSD (AX), Y10
	VBROADCASTSD 8(AX), Y11
	VBROADCASTSD 16(AX), Y12
	VBROADCASTSD 24(AX), Y13
	VFMADD231PD  Y8, Y10, Y0
	VFMADD231PD  Y9, Y10, Y1
	VFMADD231PD  Y8, Y11, Y2
	VFMADD231PD  Y9, Y11, Y3
	VFMADD231PD  Y8, Y12, Y4
	VFMADD231PD  Y9, Y12, Y5
	VFMADD231PD  Y8, Y13, Y6
	VFMADD231PD  Y9, Y13, Y7
	ADDQ         R8, AX
	ADDQ         R8, BX
	DECQ         CX
	JNZ          row

	MOVQ    R11, DX
	SHLQ    $2, DX
	IMULQ   R8, DX
	ADDQ    DI, DX
	MOVQ    R12, BX
	SHLQ    $5, BX
	ADDQ    BX, DX
	VMOVUPD Y0, (DX)
	VMOVUPD Y1, 32(DX)
	ADDQ    R8, DX
	VMOVUPD Y2, (DX)
	VMOVUPD Y3, 32(DX)
	ADDQ    R8, DX
	VMOVUPD Y4, (DX)
	VMOVUPD Y5, 32(DX)
	ADDQ    R8, DX
	VMOVUPD Y6, (DX)
	VMOVUPD Y7, 32(DX)

	ADDQ $2, R12
	CMPQ R12, R11
	JLE  along
	INCQ R11
	CMPQ R11, R10
	JLT  down
	VZEROUPPER
	RET

// func addFast(acc, rows *float64, wide, n int)
TEXT ·addFast(SB), NOSPLIT, $0-32
	MOVQ  acc+0(FP), DI
	MOVQ  rows+8(FP), SI
	MOVQ  wide+16(FP), R8
	MOVQ  R8, R9
	SHLQ  $3, R8
	MOVQ  n+24(FP), R10
	TESTQ R10, R10
	JZ    added

eight:
	VMOVUPD (DI), Y0
	VMOVUPD 32(DI), Y1
	MOVQ    SI, AX
	MOVQ    R10, CX

next:
	VADDPD  (AX), Y0, Y0
	VADDPD  32(AX), Y1, Y1
	ADDQ    R8, AX
	DECQ    CX
	JNZ     next
	VMOVUPD Y0, (DI)
	VMOVUPD Y1, 32(DI)
	ADDQ    $64, DI
	ADDQ    $64, SI
	SUBQ    $8, R9
	JNZ     eight

added:
	VZEROUPPER
	RET

// func joinFast(row, acc, a, b *float64, wide int, r, t, u, v float64)
TEXT ·joinFast(SB), NOSPLIT, $0-72
	MOVQ         row+0(FP), DI
	MOVQ         acc+8(FP), SI
	MOVQ         a+16(FP), AX
	MOVQ         b+24(FP), BX
	MOVQ         wide+32(FP), CX
	VBROADCASTSD r+40(FP), Y3
	VBROADCASTSD t+48(FP), Y6
	VBROADCASTSD u+56(FP), Y4
	VBROADCASTSD v+64(FP), Y5

four:
	VMOVUPD     (DI), Y0
	VFMADD231PD (SI), Y6, Y0
	VFMADD231PD (AX), Y4, Y0
	VFMADD231PD (BX), Y5, Y0
	VMULPD      Y3, Y0, Y0
	VMOVUPD     Y0, (DI)
	ADDQ        $32, DI
	ADDQ        $32, SI
	ADDQ        $32, AX
	ADDQ        $32, BX
	SUBQ        $4, CX
	JNZ         four
	VZEROUPPER
	RET

// func timesFast(dst, src, by *float64, n, stride, wide int)
TEXT ·timesFast(SB), NOSPLIT, $0-48
	MOVQ dst+0(FP), DI
	MOVQ src+8(FP), SI
	MOVQ by+16(FP), BX
	MOVQ n+24(FP), CX
	MOVQ stride+32(FP), R8
	SHLQ $3, R8
	MOVQ wide+40(FP), R9

line:
	VBROADCASTSD (BX), Y1
	MOVQ         DI, AX
	MOVQ         R9, DX

cells:
	VMULPD  (SI), Y1, Y0
	VMOVUPD Y0, (AX)
	ADDQ    $32, SI
	ADDQ    $32, AX
	SUBQ    $4, DX
	JNZ     cells
	ADDQ    $8, BX
	ADDQ    R8, DI
	DECQ    CX
	JNZ     line
	VZEROUPPER
	RET

// func sumFast(dst, src, by *float64, n, wide int)
TEXT ·sumFast(SB), NOSPLIT, $0-40
	MOVQ dst+0(FP), DI
	MOVQ src+8(FP), SI
	MOVQ by+16(FP), BX
	MOVQ n+24(FP), R10
	MOVQ wide+32(FP), R8
	MOVQ R8, R9
	SHLQ $3, R8

columns:
	VXORPD Y0, Y0, Y0
	VXORPD Y1, Y1, Y1
	MOVQ   SI, AX
	MOVQ   BX, DX
	MOVQ   R10, CX

term:
	VBROADCASTSD (DX), Y2
	VFMADD231PD  (AX), Y2, Y0
	VFMADD231PD  32(AX), Y2, Y1
	ADDQ         R8, AX
	ADDQ         $8, DX
	DECQ         CX
	JNZ          term
	VMOVUPD      Y0, (DI)
	VMOVUPD      Y1, 32(DI)
	ADDQ         $64, DI
	ADDQ         $64, SI
	SUBQ         $8, R9
	JNZ          columns
	VZEROUPPER
	RET
