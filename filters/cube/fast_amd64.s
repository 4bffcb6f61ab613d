#include "textflag.h"

// How far ahead of its use the cube is asked for, in bytes.
#define AHEAD 12288

// Stores 8 densities: past the caches where R15 is not zero, so that the lines are
// not read first.
#define STORE \
	TESTQ    R15, R15; \
	JZ       cached; \
	VMOVNTPS Y0, (DI); \
	JMP      stored; \
cached: \
	VMOVUPS  Y0, (DI); \
stored: \
	ADDQ     $32, DI

// The constants of a tone (see tone in fast_amd64.go), from BX.
#define CONSTANTS \
	MOVQ         0(BX), R13; \
	MOVQ         8(BX), R12; \
	MOVL         $0x3f800000, AX; \
	VMOVD        AX, X15; \
	VPBROADCASTD X15, Y15; \
	VPBROADCASTD 32(BX), Y14; \
	VBROADCASTSS 36(BX), Y13; \
	VMOVQ        24(BX), X12

// Y0 = the sums of the elements of Y0, Y1, ... Y7, in that order.
#define SUMS \
	VHADDPS    Y1, Y0, Y0; \
	VHADDPS    Y3, Y2, Y2; \
	VHADDPS    Y5, Y4, Y4; \
	VHADDPS    Y7, Y6, Y6; \
	VHADDPS    Y2, Y0, Y0; \
	VHADDPS    Y6, Y4, Y4; \
	VPERM2F128 $0x20, Y4, Y0, Y1; \
	VPERM2F128 $0x31, Y4, Y0, Y0; \
	VADDPS     Y1, Y0, Y0

// Which of Y0 are within the limits of their lanes? Flags are zero where all are;
// Y8 becomes the empty mask of those to be blotted out.
#define WITHIN \
	VMOVDQU  0(R12), Y9; \
	VPCMPGTD Y0, Y9, Y9; \
	VPCMPGTD 32(R12), Y0, Y10; \
	VPOR     Y9, Y10, Y9; \
	VXORPS   Y8, Y8, Y8; \
	VPTEST   Y9, Y9

// Counts what lies outside, and makes Y8 the mask of those to be blotted out.
// Adding zero turns -0 into 0. BX is the tone, DX the counts.
#define OUTSIDE(counts) \
	MOVQ         counts, DX; \
	VADDPS       Y8, Y0, Y0; \
	VPSLLD       $1, Y0, Y1; \
	VPSRLD       $1, Y1, Y1; \
	VPBROADCASTD 44(BX), Y2; \
	VPSRAD       $31, Y0, Y4; \
	VPCMPGTD     Y2, Y1, Y1; \
	VPANDN       Y4, Y1, Y4; \
	VPOR         Y1, Y4, Y5; \
	VMOVDQU      0(R12), Y6; \
	VPCMPGTD     Y0, Y6, Y6; \
	VPANDN       Y6, Y5, Y6; \
	VPCMPGTD     32(R12), Y0, Y7; \
	VPANDN       Y7, Y5, Y7; \
	VMOVMSKPS    Y6, AX; \
	POPCNTL      AX, AX; \
	ADDQ         AX, 0(DX); \
	VMOVMSKPS    Y7, AX; \
	POPCNTL      AX, AX; \
	ADDQ         AX, 8(DX); \
	VMOVMSKPS    Y4, AX; \
	POPCNTL      AX, AX; \
	ADDQ         AX, 16(DX); \
	VMOVMSKPS    Y1, AX; \
	POPCNTL      AX, AX; \
	ADDQ         AX, 24(DX); \
	VPBROADCASTD 40(BX), Y8; \
	VPOR         Y6, Y4, Y4; \
	VPOR         Y7, Y4, Y4; \
	VPAND        Y4, Y8, Y8; \
	VPOR         Y1, Y8, Y8

// Y0 = densities of the exposures Y0, from pairs of neighbours in the table.
// Overwrites AX, CX, DX.
#define LOOKUP \
	VPMAXSD     Y15, Y0, Y1; \
	VPMINSD     64(R12), Y1, Y1; \
	VPSRLD      X12, Y1, Y2; \
	VPADDD      96(R12), Y2, Y2; \
	VMOVDQU     Y2, 0(SP); \
	VPAND       Y14, Y1, Y1; \
	VCVTDQ2PS   Y1, Y1; \
	VMULPS      Y13, Y1, Y1; \
	MOVL        0(SP), AX; \
	MOVL        4(SP), CX; \
	VMOVSD      (R13)(AX*4), X2; \
	VMOVHPS     (R13)(CX*4), X2, X2; \
	MOVL        8(SP), AX; \
	MOVL        12(SP), CX; \
	VMOVSD      (R13)(AX*4), X3; \
	VMOVHPS     (R13)(CX*4), X3, X3; \
	MOVL        16(SP), AX; \
	MOVL        20(SP), CX; \
	VMOVSD      (R13)(AX*4), X4; \
	VMOVHPS     (R13)(CX*4), X4, X4; \
	MOVL        24(SP), AX; \
	MOVL        28(SP), CX; \
	VMOVSD      (R13)(AX*4), X5; \
	VMOVHPS     (R13)(CX*4), X5, X5; \
	VINSERTF128 $1, X4, Y2, Y2; \
	VINSERTF128 $1, X5, Y3, Y3; \
	VSHUFPS     $0x88, Y3, Y2, Y4; \
	VSHUFPS     $0xdd, Y3, Y2, Y5; \
	VSUBPS      Y4, Y5, Y5; \
	VFMADD231PS Y5, Y1, Y4; \
	VORPS       Y8, Y4, Y0

// One pixel's sum, walking memory in order. R9 are the weights, R11 the whole vectors of
// a pixel, R10 the bytes after them.
#define PIXEL(y, vector, whole, tail) \
	MOVQ        R9, DX; \
	MOVQ        R11, CX; \
	VXORPS      y, y, y; \
vector: \
	VMOVUPS     (SI), Y8; \
	VFMADD231PS (DX), Y8, y; \
	PREFETCHT1 AHEAD(SI); \
	ADDQ        $32, SI; \
	ADDQ        $32, DX; \
	DECQ        CX; \
	JNZ         vector; \
	TESTQ       R10, R10; \
	JZ          whole; \
	ADDQ        R10, SI; \
	VMOVUPS     -32(SI), Y8; \
	VFMADD231PS (DX), Y8, y; \
whole:

// func density1(density, reflectance *float32, groups, bands int, weights *float32, t *tone, counts *[4]int, stream int)
TEXT ·density1(SB), NOSPLIT, $32-64
	MOVQ density+0(FP), DI
	MOVQ reflectance+8(FP), SI
	MOVQ bands+24(FP), R8
	MOVQ weights+32(FP), R9
	MOVQ t+40(FP), BX
	MOVQ stream+56(FP), R15
	CONSTANTS
	MOVQ R8, R11
	SHRQ $3, R11              // whole vectors of a pixel
	MOVQ R8, R10
	ANDQ $7, R10
	SHLQ $2, R10              // bytes after them

group:
	PIXEL(Y0, v0, w0, t0)
	PIXEL(Y1, v1, w1, t1)
	PIXEL(Y2, v2, w2, t2)
	PIXEL(Y3, v3, w3, t3)
	PIXEL(Y4, v4, w4, t4)
	PIXEL(Y5, v5, w5, t5)
	PIXEL(Y6, v6, w6, t6)
	PIXEL(Y7, v7, w7, t7)
	SUMS
	WITHIN
	JNZ     outside

within:
	LOOKUP
	STORE
	DECQ    groups+16(FP)
	JNZ     group
	SFENCE
	VZEROUPPER
	RET

outside:
	OUTSIDE(counts+48(FP))
	JMP within

// One pixel's sum, of up to four vectors that may overlap.
#define SHORT(y) \
	VMULPS      (SI), Y8, y; \
	VFMADD231PS (SI)(R9*1), Y9, y; \
	VFMADD231PS (SI)(R10*1), Y10, y; \
	VFMADD231PS (SI)(R11*1), Y11, y; \
	ADDQ        R8, SI

// func density1short(density, reflectance *float32, groups, bands int, weights *float32, t *tone, counts *[4]int, stream int)
TEXT ·density1short(SB), NOSPLIT, $32-64
	MOVQ density+0(FP), DI
	MOVQ reflectance+8(FP), SI
	MOVQ bands+24(FP), R8
	MOVQ t+40(FP), BX
	MOVQ stream+56(FP), R15
	CONSTANTS
	SHLQ    $2, R8            // bytes of a pixel
	LEAQ    -32(R8), R11      // the last vector of a pixel
	MOVQ    $32, R9
	CMPQ    R9, R11
	CMOVQGT R11, R9
	MOVQ    $64, R10
	CMPQ    R10, R11
	CMOVQGT R11, R10

group:
	MOVQ    weights+32(FP), DX
	VMOVUPS 0(DX), Y8
	VMOVUPS 32(DX), Y9
	VMOVUPS 64(DX), Y10
	VMOVUPS 96(DX), Y11
	PREFETCHT0 AHEAD(SI)
	PREFETCHT0 (AHEAD+64)(SI)
	PREFETCHT0 (AHEAD+128)(SI)
	PREFETCHT0 (AHEAD+192)(SI)
	PREFETCHT0 (AHEAD+256)(SI)
	PREFETCHT0 (AHEAD+320)(SI)
	PREFETCHT0 (AHEAD+384)(SI)
	PREFETCHT0 (AHEAD+448)(SI)
	PREFETCHT0 (AHEAD+512)(SI)
	PREFETCHT0 (AHEAD+576)(SI)
	PREFETCHT0 (AHEAD+640)(SI)
	PREFETCHT0 (AHEAD+704)(SI)
	PREFETCHT0 (AHEAD+768)(SI)
	PREFETCHT0 (AHEAD+832)(SI)
	PREFETCHT0 (AHEAD+896)(SI)
	PREFETCHT0 (AHEAD+960)(SI)
	SHORT(Y0)
	SHORT(Y1)
	SHORT(Y2)
	SHORT(Y3)
	SHORT(Y4)
	SHORT(Y5)
	SHORT(Y6)
	SHORT(Y7)
	SUMS
	WITHIN
	JNZ     outside

within:
	LOOKUP
	STORE
	DECQ    groups+16(FP)
	JNZ     group
	SFENCE
	VZEROUPPER
	RET

outside:
	OUTSIDE(counts+48(FP))
	JMP within

// func tonesInPlace(x *float32, vectors int, t *tone, counts *[4]int)
TEXT ·tonesInPlace(SB), NOSPLIT, $32-32
	MOVQ x+0(FP), DI
	MOVQ vectors+8(FP), R8
	MOVQ t+16(FP), BX
	CONSTANTS
	MOVQ R12, R9
	MOVQ 16(BX), R11          // bytes of the cycle of lanes
	ADDQ R12, R11

vector:
	VMOVUPS (DI), Y0
	WITHIN
	JNZ     outside

within:
	LOOKUP
	VMOVUPS Y0, (DI)
	ADDQ    $32, DI
	ADDQ    $128, R12
	CMPQ    R12, R11
	CMOVQEQ R9, R12
	DECQ    R8
	JNZ     vector
	VZEROUPPER
	RET

outside:
	OUTSIDE(counts+24(FP))
	JMP within

// func exposures4(x *float32, stride int, reflectance *float32, pairs, bands int, weights *float32)
TEXT ·exposures4(SB), NOSPLIT, $0-48
	MOVQ x+0(FP), DI
	MOVQ stride+8(FP), R13
	SHLQ $2, R13
	MOVQ reflectance+16(FP), SI
	MOVQ pairs+24(FP), R12
	MOVQ bands+32(FP), R8
	MOVQ R8, R11
	SHRQ $3, R11
	SHLQ $2, R8

pair:
	MOVQ   weights+40(FP), DX
	MOVQ   R11, CX
	MOVQ   SI, AX
	VXORPS Y0, Y0, Y0
	VXORPS Y1, Y1, Y1
	VXORPS Y2, Y2, Y2
	VXORPS Y3, Y3, Y3
	VXORPS Y4, Y4, Y4
	VXORPS Y5, Y5, Y5
	VXORPS Y6, Y6, Y6
	VXORPS Y7, Y7, Y7

vector:
	VMOVUPS     (AX), Y8
	VMOVUPS     (AX)(R8*1), Y9
	VMOVUPS     (DX), Y10
	VMOVUPS     32(DX), Y11
	VMOVUPS     64(DX), Y12
	VMOVUPS     96(DX), Y13
	VFMADD231PS Y10, Y8, Y0
	VFMADD231PS Y11, Y8, Y1
	VFMADD231PS Y12, Y8, Y2
	VFMADD231PS Y13, Y8, Y3
	VFMADD231PS Y10, Y9, Y4
	VFMADD231PS Y11, Y9, Y5
	VFMADD231PS Y12, Y9, Y6
	VFMADD231PS Y13, Y9, Y7
	ADDQ        $32, AX
	ADDQ        $128, DX
	DECQ        CX
	JNZ         vector

	TESTQ       $28, R8
	JZ          whole
	LEAQ        -32(SI)(R8*1), AX
	VMOVUPS     (AX), Y8
	VMOVUPS     (AX)(R8*1), Y9
	VMOVUPS     (DX), Y10
	VMOVUPS     32(DX), Y11
	VMOVUPS     64(DX), Y12
	VMOVUPS     96(DX), Y13
	VFMADD231PS Y10, Y8, Y0
	VFMADD231PS Y11, Y8, Y1
	VFMADD231PS Y12, Y8, Y2
	VFMADD231PS Y13, Y8, Y3
	VFMADD231PS Y10, Y9, Y4
	VFMADD231PS Y11, Y9, Y5
	VFMADD231PS Y12, Y9, Y6
	VFMADD231PS Y13, Y9, Y7

whole:
	SUMS
	VEXTRACTF128 $1, Y0, X1
	VMOVUPS      X0, (DI)
	VMOVUPS      X1, (DI)(R13*1)
	LEAQ         (DI)(R13*2), DI
	LEAQ         (SI)(R8*2), SI
	DECQ         R12
	JNZ          pair
	VZEROUPPER
	RET

// func exposures8(x *float32, stride int, reflectance *float32, eights, bands int, weights *float32)
TEXT ·exposures8(SB), NOSPLIT, $0-48
	MOVQ x+0(FP), DI
	MOVQ stride+8(FP), R13
	SHLQ $2, R13
	MOVQ reflectance+16(FP), SI
	MOVQ eights+24(FP), R12
	MOVQ bands+32(FP), R11
	LEAQ (R11*4), R8
	LEAQ (R8)(R8*2), R9

eight:
	MOVQ   weights+40(FP), DX
	MOVQ   R11, CX
	MOVQ   SI, AX
	LEAQ   (SI)(R8*4), R10
	VXORPS Y0, Y0, Y0
	VXORPS Y1, Y1, Y1
	VXORPS Y2, Y2, Y2
	VXORPS Y3, Y3, Y3
	VXORPS Y4, Y4, Y4
	VXORPS Y5, Y5, Y5
	VXORPS Y6, Y6, Y6
	VXORPS Y7, Y7, Y7

band:
	VMOVUPS      (DX), Y8
	VBROADCASTSS (AX), Y9
	VBROADCASTSS (AX)(R8*1), Y10
	VBROADCASTSS (AX)(R8*2), Y11
	VBROADCASTSS (AX)(R9*1), Y12
	VFMADD231PS  Y9, Y8, Y0
	VFMADD231PS  Y10, Y8, Y1
	VFMADD231PS  Y11, Y8, Y2
	VFMADD231PS  Y12, Y8, Y3
	VBROADCASTSS (R10), Y9
	VBROADCASTSS (R10)(R8*1), Y10
	VBROADCASTSS (R10)(R8*2), Y11
	VBROADCASTSS (R10)(R9*1), Y12
	VFMADD231PS  Y9, Y8, Y4
	VFMADD231PS  Y10, Y8, Y5
	VFMADD231PS  Y11, Y8, Y6
	VFMADD231PS  Y12, Y8, Y7
	ADDQ         $4, AX
	ADDQ         $4, R10
	ADDQ         $32, DX
	DECQ         CX
	JNZ          band

	// In this order: what one pixel writes too far the next one overwrites.
	VMOVUPS Y0, (DI)
	ADDQ    R13, DI
	VMOVUPS Y1, (DI)
	ADDQ    R13, DI
	VMOVUPS Y2, (DI)
	ADDQ    R13, DI
	VMOVUPS Y3, (DI)
	ADDQ    R13, DI
	VMOVUPS Y4, (DI)
	ADDQ    R13, DI
	VMOVUPS Y5, (DI)
	ADDQ    R13, DI
	VMOVUPS Y6, (DI)
	ADDQ    R13, DI
	VMOVUPS Y7, (DI)
	ADDQ    R13, DI
	LEAQ    (SI)(R8*8), SI
	DECQ    R12
	JNZ     eight
	VZEROUPPER
	RET

// func exposures16(x *float32, stride int, reflectance *float32, fours, bands int, weights *float32)
TEXT ·exposures16(SB), NOSPLIT, $0-48
	MOVQ x+0(FP), DI
	MOVQ stride+8(FP), R13
	SHLQ $2, R13
	MOVQ reflectance+16(FP), SI
	MOVQ fours+24(FP), R12
	MOVQ bands+32(FP), R11
	LEAQ (R11*4), R8
	LEAQ (R8)(R8*2), R9

four:
	MOVQ   weights+40(FP), DX
	MOVQ   R11, CX
	MOVQ   SI, AX
	VXORPS Y0, Y0, Y0
	VXORPS Y1, Y1, Y1
	VXORPS Y2, Y2, Y2
	VXORPS Y3, Y3, Y3
	VXORPS Y4, Y4, Y4
	VXORPS Y5, Y5, Y5
	VXORPS Y6, Y6, Y6
	VXORPS Y7, Y7, Y7

band:
	VMOVUPS      (DX), Y8
	VMOVUPS      32(DX), Y9
	VBROADCASTSS (AX), Y10
	VBROADCASTSS (AX)(R8*1), Y11
	VBROADCASTSS (AX)(R8*2), Y12
	VBROADCASTSS (AX)(R9*1), Y13
	VFMADD231PS  Y10, Y8, Y0
	VFMADD231PS  Y10, Y9, Y1
	VFMADD231PS  Y11, Y8, Y2
	VFMADD231PS  Y11, Y9, Y3
	VFMADD231PS  Y12, Y8, Y4
	VFMADD231PS  Y12, Y9, Y5
	VFMADD231PS  Y13, Y8, Y6
	VFMADD231PS  Y13, Y9, Y7
	ADDQ         $4, AX
	ADDQ         $64, DX
	DECQ         CX
	JNZ          band

	VMOVUPS Y0, (DI)
	VMOVUPS Y1, 32(DI)
	ADDQ    R13, DI
	VMOVUPS Y2, (DI)
	VMOVUPS Y3, 32(DI)
	ADDQ    R13, DI
	VMOVUPS Y4, (DI)
	VMOVUPS Y5, 32(DI)
	ADDQ    R13, DI
	VMOVUPS Y6, (DI)
	VMOVUPS Y7, 32(DI)
	ADDQ    R13, DI
	LEAQ    (SI)(R8*4), SI
	DECQ    R12
	JNZ     four
	VZEROUPPER
	RET
