#include "textflag.h"

// DI is where results go, SI where numbers come from, CX how many are left, DX how many
// were there.
#define ARGUMENTS \
	MOVQ dst+0(FP), DI; \
	MOVQ x+8(FP), SI; \
	MOVQ n+16(FP), CX; \
	MOVQ CX, DX

#define LEAVE \
	VZEROUPPER; \
	SUBQ CX, DX; \
	MOVQ DX, ret+24(FP); \
	RET

// func exps(dst, x *float64, n int) int
//
// x = n ln2 + r, |r| < 0.35; e^r by its series to r^13, the even and the odd powers of
// pairs at a time.
TEXT ·exps(SB), NOSPLIT, $0-32
	ARGUMENTS

four:
	CMPQ CX, $4
	JLT  done
	VMOVUPD (SI), Y0
	VANDPD  abs<>(SB), Y0, Y1
	VCMPPD  $17, far<>(SB), Y1, Y1 // below, and a number
	VMOVMSKPD Y1, AX
	CMPL    AX, $15
	JNE     done

	VMOVUPD      round<>(SB), Y2
	VMOVUPD      log2e<>(SB), Y1
	VFMADD213PD  Y2, Y0, Y1              // n in the low bits
	VSUBPD       Y2, Y1, Y3
	VFNMADD231PD ln2hi<>(SB), Y3, Y0
	VFNMADD231PD ln2lo<>(SB), Y3, Y0     // r
	VMULPD       Y0, Y0, Y4              // r^2
	VMULPD       Y4, Y4, Y5              // r^4
	VMOVUPD      c3<>(SB), Y6
	VFMADD213PD  half<>(SB), Y0, Y6      // 1/2 + r/6
	VMOVUPD      c5<>(SB), Y7
	VFMADD213PD  c4<>(SB), Y0, Y7
	VMOVUPD      c7<>(SB), Y8
	VFMADD213PD  c6<>(SB), Y0, Y8
	VMOVUPD      c9<>(SB), Y9
	VFMADD213PD  c8<>(SB), Y0, Y9
	VMOVUPD      c11<>(SB), Y10
	VFMADD213PD  c10<>(SB), Y0, Y10
	VMOVUPD      c13<>(SB), Y11
	VFMADD213PD  c12<>(SB), Y0, Y11
	VFMADD231PD  Y4, Y7, Y6              // from r^2
	VFMADD231PD  Y4, Y9, Y8              // from r^6
	VFMADD231PD  Y4, Y11, Y10            // from r^10
	VFMADD231PD  Y5, Y10, Y8
	VFMADD231PD  Y5, Y8, Y6
	VFMADD231PD  Y4, Y6, Y0
	VADDPD       one<>(SB), Y0, Y0
	VPSLLQ       $52, Y1, Y1
	VPADDQ       Y1, Y0, Y0
	VMOVUPD      Y0, (DI)
	ADDQ         $32, SI
	ADDQ         $32, DI
	SUBQ         $4, CX
	JMP          four

done:
	LEAVE

// Which of Y0 are positive, normal and finite? AX is 15 where all are.
#define ORDINARY \
	VPCMPGTQ  belownormal<>(SB), Y0, Y1; \
	VMOVUPD   infinite<>(SB), Y2; \
	VPCMPGTQ  Y0, Y2, Y2; \
	VPAND     Y1, Y2, Y1; \
	VMOVMSKPD Y1, AX; \
	CMPL      AX, $15

// Y0 = ln Y0, by way of x = 2^e m, m from sqrt(1/2) to sqrt(2), f = m - 1, s = f/(2 + f):
//
//	ln(1 + f) = 2 artanh s = f - (f^2/2 - s (f^2/2 + R(s^2)))
//
// with the polynomial R of FreeBSD's e_log.c, which package math has too.
#define LOGARITHM \
	VPADDQ       offroot<>(SB), Y0, Y1; \
	VPSRLQ       $52, Y1, Y2; \
	VPOR         count<>(SB), Y2, Y2; \
	VSUBPD       bias<>(SB), Y2, Y2;        /* e */ \
	VPAND        mantissa<>(SB), Y1, Y1; \
	VPADDQ       root<>(SB), Y1, Y1; \
	VSUBPD       one<>(SB), Y1, Y0;         /* f */ \
	VADDPD       two<>(SB), Y0, Y3; \
	VDIVPD       Y3, Y0, Y3;                /* s */ \
	VMULPD       Y3, Y3, Y4;                /* z = s^2 */ \
	VMULPD       Y4, Y4, Y5;                /* w = z^2 */ \
	VMOVUPD      l6<>(SB), Y6; \
	VFMADD213PD  l4<>(SB), Y5, Y6; \
	VFMADD213PD  l2<>(SB), Y5, Y6; \
	VMOVUPD      l7<>(SB), Y7; \
	VFMADD213PD  l5<>(SB), Y5, Y7; \
	VFMADD213PD  l3<>(SB), Y5, Y7; \
	VFMADD213PD  l1<>(SB), Y5, Y7; \
	VMULPD       Y5, Y6, Y6; \
	VFMADD231PD  Y4, Y7, Y6;                /* R */ \
	VMULPD       half<>(SB), Y0, Y8; \
	VMULPD       Y0, Y8, Y8;                /* f^2/2 */ \
	VADDPD       Y8, Y6, Y6; \
	VMULPD       ln2lo<>(SB), Y2, Y7; \
	VFMADD231PD  Y3, Y6, Y7;                /* s (f^2/2 + R) + e ln2lo */ \
	VSUBPD       Y7, Y8, Y8; \
	VSUBPD       Y0, Y8, Y8; \
	VMOVUPD      ln2hi<>(SB), Y0; \
	VFMSUB213PD  Y8, Y2, Y0

// func logs(dst, x *float64, n int) int
TEXT ·logs(SB), NOSPLIT, $0-32
	ARGUMENTS

four:
	CMPQ CX, $4
	JLT  done
	VMOVUPD (SI), Y0
	ORDINARY
	JNE  done
	LOGARITHM
	VMOVUPD Y0, (DI)
	ADDQ    $32, SI
	ADDQ    $32, DI
	SUBQ    $4, CX
	JMP     four

done:
	LEAVE

// func log1ps(dst, x *float64, n int) int
//
// The logarithm of t = 1 + x, less ((t - 1) - x)/t for what t lost.
TEXT ·log1ps(SB), NOSPLIT, $0-32
	ARGUMENTS

four:
	CMPQ CX, $4
	JLT  done
	VMOVUPD (SI), Y9
	VADDPD  one<>(SB), Y9, Y0
	VSUBPD  one<>(SB), Y0, Y10
	VSUBPD  Y9, Y10, Y10
	VDIVPD  Y0, Y10, Y10
	ORDINARY
	JNE  done
	LOGARITHM
	VSUBPD  Y10, Y0, Y0
	VMOVUPD Y0, (DI)
	ADDQ    $32, SI
	ADDQ    $32, DI
	SUBQ    $4, CX
	JMP     four

done:
	LEAVE

DATA log2e<>+0(SB)/8, $0x3ff71547652b82fe
DATA log2e<>+8(SB)/8, $0x3ff71547652b82fe
DATA log2e<>+16(SB)/8, $0x3ff71547652b82fe
DATA log2e<>+24(SB)/8, $0x3ff71547652b82fe
GLOBL log2e<>(SB), RODATA|NOPTR, $32
DATA ln2hi<>+0(SB)/8, $0x3fe62e42fee00000
DATA ln2hi<>+8(SB)/8, $0x3fe62e42fee00000
DATA ln2hi<>+16(SB)/8, $0x3fe62e42fee00000
DATA ln2hi<>+24(SB)/8, $0x3fe62e42fee00000
GLOBL ln2hi<>(SB), RODATA|NOPTR, $32
DATA ln2lo<>+0(SB)/8, $0x3dea39ef35793c76
DATA ln2lo<>+8(SB)/8, $0x3dea39ef35793c76
DATA ln2lo<>+16(SB)/8, $0x3dea39ef35793c76
DATA ln2lo<>+24(SB)/8, $0x3dea39ef35793c76
GLOBL ln2lo<>(SB), RODATA|NOPTR, $32
DATA round<>+0(SB)/8, $0x4338000000000000
DATA round<>+8(SB)/8, $0x4338000000000000
DATA round<>+16(SB)/8, $0x4338000000000000
DATA round<>+24(SB)/8, $0x4338000000000000
GLOBL round<>(SB), RODATA|NOPTR, $32
DATA abs<>+0(SB)/8, $0x7fffffffffffffff
DATA abs<>+8(SB)/8, $0x7fffffffffffffff
DATA abs<>+16(SB)/8, $0x7fffffffffffffff
DATA abs<>+24(SB)/8, $0x7fffffffffffffff
GLOBL abs<>(SB), RODATA|NOPTR, $32
DATA far<>+0(SB)/8, $0x4085e00000000000
DATA far<>+8(SB)/8, $0x4085e00000000000
DATA far<>+16(SB)/8, $0x4085e00000000000
DATA far<>+24(SB)/8, $0x4085e00000000000
GLOBL far<>(SB), RODATA|NOPTR, $32
DATA one<>+0(SB)/8, $0x3ff0000000000000
DATA one<>+8(SB)/8, $0x3ff0000000000000
DATA one<>+16(SB)/8, $0x3ff0000000000000
DATA one<>+24(SB)/8, $0x3ff0000000000000
GLOBL one<>(SB), RODATA|NOPTR, $32
DATA half<>+0(SB)/8, $0x3fe0000000000000
DATA half<>+8(SB)/8, $0x3fe0000000000000
DATA half<>+16(SB)/8, $0x3fe0000000000000
DATA half<>+24(SB)/8, $0x3fe0000000000000
GLOBL half<>(SB), RODATA|NOPTR, $32
DATA two<>+0(SB)/8, $0x4000000000000000
DATA two<>+8(SB)/8, $0x4000000000000000
DATA two<>+16(SB)/8, $0x4000000000000000
DATA two<>+24(SB)/8, $0x4000000000000000
GLOBL two<>(SB), RODATA|NOPTR, $32
DATA c3<>+0(SB)/8, $0x3fc5555555555555
DATA c3<>+8(SB)/8, $0x3fc5555555555555
DATA c3<>+16(SB)/8, $0x3fc5555555555555
DATA c3<>+24(SB)/8, $0x3fc5555555555555
GLOBL c3<>(SB), RODATA|NOPTR, $32
DATA c4<>+0(SB)/8, $0x3fa5555555555555
DATA c4<>+8(SB)/8, $0x3fa5555555555555
DATA c4<>+16(SB)/8, $0x3fa5555555555555
DATA c4<>+24(SB)/8, $0x3fa5555555555555
GLOBL c4<>(SB), RODATA|NOPTR, $32
DATA c5<>+0(SB)/8, $0x3f81111111111111
DATA c5<>+8(SB)/8, $0x3f81111111111111
DATA c5<>+16(SB)/8, $0x3f81111111111111
DATA c5<>+24(SB)/8, $0x3f81111111111111
GLOBL c5<>(SB), RODATA|NOPTR, $32
DATA c6<>+0(SB)/8, $0x3f56c16c16c16c17
DATA c6<>+8(SB)/8, $0x3f56c16c16c16c17
DATA c6<>+16(SB)/8, $0x3f56c16c16c16c17
DATA c6<>+24(SB)/8, $0x3f56c16c16c16c17
GLOBL c6<>(SB), RODATA|NOPTR, $32
DATA c7<>+0(SB)/8, $0x3f2a01a01a01a01a
DATA c7<>+8(SB)/8, $0x3f2a01a01a01a01a
DATA c7<>+16(SB)/8, $0x3f2a01a01a01a01a
DATA c7<>+24(SB)/8, $0x3f2a01a01a01a01a
GLOBL c7<>(SB), RODATA|NOPTR, $32
DATA c8<>+0(SB)/8, $0x3efa01a01a01a01a
DATA c8<>+8(SB)/8, $0x3efa01a01a01a01a
DATA c8<>+16(SB)/8, $0x3efa01a01a01a01a
DATA c8<>+24(SB)/8, $0x3efa01a01a01a01a
GLOBL c8<>(SB), RODATA|NOPTR, $32
DATA c9<>+0(SB)/8, $0x3ec71de3a556c734
DATA c9<>+8(SB)/8, $0x3ec71de3a556c734
DATA c9<>+16(SB)/8, $0x3ec71de3a556c734
DATA c9<>+24(SB)/8, $0x3ec71de3a556c734
GLOBL c9<>(SB), RODATA|NOPTR, $32
DATA c10<>+0(SB)/8, $0x3e927e4fb7789f5c
DATA c10<>+8(SB)/8, $0x3e927e4fb7789f5c
DATA c10<>+16(SB)/8, $0x3e927e4fb7789f5c
DATA c10<>+24(SB)/8, $0x3e927e4fb7789f5c
GLOBL c10<>(SB), RODATA|NOPTR, $32
DATA c11<>+0(SB)/8, $0x3e5ae64567f544e4
DATA c11<>+8(SB)/8, $0x3e5ae64567f544e4
DATA c11<>+16(SB)/8, $0x3e5ae64567f544e4
DATA c11<>+24(SB)/8, $0x3e5ae64567f544e4
GLOBL c11<>(SB), RODATA|NOPTR, $32
DATA c12<>+0(SB)/8, $0x3e21eed8eff8d898
DATA c12<>+8(SB)/8, $0x3e21eed8eff8d898
DATA c12<>+16(SB)/8, $0x3e21eed8eff8d898
DATA c12<>+24(SB)/8, $0x3e21eed8eff8d898
GLOBL c12<>(SB), RODATA|NOPTR, $32
DATA c13<>+0(SB)/8, $0x3de6124613a86d09
DATA c13<>+8(SB)/8, $0x3de6124613a86d09
DATA c13<>+16(SB)/8, $0x3de6124613a86d09
DATA c13<>+24(SB)/8, $0x3de6124613a86d09
GLOBL c13<>(SB), RODATA|NOPTR, $32
DATA l1<>+0(SB)/8, $0x3fe5555555555593
DATA l1<>+8(SB)/8, $0x3fe5555555555593
DATA l1<>+16(SB)/8, $0x3fe5555555555593
DATA l1<>+24(SB)/8, $0x3fe5555555555593
GLOBL l1<>(SB), RODATA|NOPTR, $32
DATA l2<>+0(SB)/8, $0x3fd999999997fa04
DATA l2<>+8(SB)/8, $0x3fd999999997fa04
DATA l2<>+16(SB)/8, $0x3fd999999997fa04
DATA l2<>+24(SB)/8, $0x3fd999999997fa04
GLOBL l2<>(SB), RODATA|NOPTR, $32
DATA l3<>+0(SB)/8, $0x3fd2492494229359
DATA l3<>+8(SB)/8, $0x3fd2492494229359
DATA l3<>+16(SB)/8, $0x3fd2492494229359
DATA l3<>+24(SB)/8, $0x3fd2492494229359
GLOBL l3<>(SB), RODATA|NOPTR, $32
DATA l4<>+0(SB)/8, $0x3fcc71c51d8e78af
DATA l4<>+8(SB)/8, $0x3fcc71c51d8e78af
DATA l4<>+16(SB)/8, $0x3fcc71c51d8e78af
DATA l4<>+24(SB)/8, $0x3fcc71c51d8e78af
GLOBL l4<>(SB), RODATA|NOPTR, $32
DATA l5<>+0(SB)/8, $0x3fc7466496cb03de
DATA l5<>+8(SB)/8, $0x3fc7466496cb03de
DATA l5<>+16(SB)/8, $0x3fc7466496cb03de
DATA l5<>+24(SB)/8, $0x3fc7466496cb03de
GLOBL l5<>(SB), RODATA|NOPTR, $32
DATA l6<>+0(SB)/8, $0x3fc39a09d078c69f
DATA l6<>+8(SB)/8, $0x3fc39a09d078c69f
DATA l6<>+16(SB)/8, $0x3fc39a09d078c69f
DATA l6<>+24(SB)/8, $0x3fc39a09d078c69f
GLOBL l6<>(SB), RODATA|NOPTR, $32
DATA l7<>+0(SB)/8, $0x3fc2f112df3e5244
DATA l7<>+8(SB)/8, $0x3fc2f112df3e5244
DATA l7<>+16(SB)/8, $0x3fc2f112df3e5244
DATA l7<>+24(SB)/8, $0x3fc2f112df3e5244
GLOBL l7<>(SB), RODATA|NOPTR, $32
DATA belownormal<>+0(SB)/8, $0x000fffffffffffff
DATA belownormal<>+8(SB)/8, $0x000fffffffffffff
DATA belownormal<>+16(SB)/8, $0x000fffffffffffff
DATA belownormal<>+24(SB)/8, $0x000fffffffffffff
GLOBL belownormal<>(SB), RODATA|NOPTR, $32
DATA infinite<>+0(SB)/8, $0x7ff0000000000000
DATA infinite<>+8(SB)/8, $0x7ff0000000000000
DATA infinite<>+16(SB)/8, $0x7ff0000000000000
DATA infinite<>+24(SB)/8, $0x7ff0000000000000
GLOBL infinite<>(SB), RODATA|NOPTR, $32
DATA root<>+0(SB)/8, $0x3fe6a09e667f3bcd
DATA root<>+8(SB)/8, $0x3fe6a09e667f3bcd
DATA root<>+16(SB)/8, $0x3fe6a09e667f3bcd
DATA root<>+24(SB)/8, $0x3fe6a09e667f3bcd
GLOBL root<>(SB), RODATA|NOPTR, $32
DATA offroot<>+0(SB)/8, $0x00095f619980c433
DATA offroot<>+8(SB)/8, $0x00095f619980c433
DATA offroot<>+16(SB)/8, $0x00095f619980c433
DATA offroot<>+24(SB)/8, $0x00095f619980c433
GLOBL offroot<>(SB), RODATA|NOPTR, $32
DATA mantissa<>+0(SB)/8, $0x000fffffffffffff
DATA mantissa<>+8(SB)/8, $0x000fffffffffffff
DATA mantissa<>+16(SB)/8, $0x000fffffffffffff
DATA mantissa<>+24(SB)/8, $0x000fffffffffffff
GLOBL mantissa<>(SB), RODATA|NOPTR, $32
DATA count<>+0(SB)/8, $0x4330000000000000
DATA count<>+8(SB)/8, $0x4330000000000000
DATA count<>+16(SB)/8, $0x4330000000000000
DATA count<>+24(SB)/8, $0x4330000000000000
GLOBL count<>(SB), RODATA|NOPTR, $32
DATA bias<>+0(SB)/8, $0x43300000000003ff
DATA bias<>+8(SB)/8, $0x43300000000003ff
DATA bias<>+16(SB)/8, $0x43300000000003ff
DATA bias<>+24(SB)/8, $0x43300000000003ff
GLOBL bias<>(SB), RODATA|NOPTR, $32
