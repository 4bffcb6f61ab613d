package avx2

// Have reports AVX2, FMA and a system that saves their registers.
func Have() bool { return have(cpuid, xgetbv) }

// have asks a processor by its instructions CPUID, with a leaf and a sub-leaf, and XGETBV.
//
// Source: Intel 64 and IA-32 Architectures Software Developer's Manual, volume 1, chapter on AVX, FMA and
// AVX2, the sections on their detection; the bits by CPUID's own page in volume 2 (chapters from memory).
func have(cpuid func(leaf, sub uint32) (a, b, c, d uint32), xgetbv func() uint32) bool {
	const (
		fma, popcnt, osxsave, avx = 1 << 12, 1 << 23, 1 << 27, 1 << 28
		avx2                      = 1 << 5
		xmmAndYmm                 = 1<<1 | 1<<2
	)
	if most, _, _, _ := cpuid(0, 0); most < 7 {
		return false
	}
	if _, _, c, _ := cpuid(1, 0); c&(fma|popcnt|osxsave|avx) != fma|popcnt|osxsave|avx {
		return false
	}
	if xgetbv()&xmmAndYmm != xmmAndYmm {
		return false
	}
	_, b, _, _ := cpuid(7, 0)
	return b&avx2 != 0
}

func cpuid(leaf, sub uint32) (a, b, c, d uint32)

func xgetbv() uint32
