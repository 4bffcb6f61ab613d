package structure

import (
	"math"

	"example.org/actinic/internal/check"
)

// barTerms is how many odd harmonics are summed; those beyond a response's end are 0.
const barTerms = 400

// BarContrast returns the contrast of endless bars of a frequency behind a response, over that
// of coarse bars:
//
//	C(f) = (4/pi) [M(f) - M(3f)/3 + M(5f)/5 - ...]
//
// Three bars, as on a chart, are not endless and have more at low frequencies. Source: Coltman
// 1954, from memory; derived from the series of a square wave. m is the response by frequency; it
// is asked for odd multiples of f as long as these are below upTo, and counts as 0 beyond.
func BarContrast(m func(frequency float64) float64, frequency, upTo float64) float64 {
	sum, sign := 0.0, 1.0
	for k := 0; k < barTerms; k++ {
		n := float64(2*k + 1)
		if n*frequency > upTo {
			break
		}
		sum += sign * m(n*frequency) / n
		sign = -sign
	}
	return 4 / math.Pi * sum
}

// ResponseFromBars is the inverse of [BarContrast]:
//
//	M(f) = (pi/4) [C(f) + C(3f)/3 - C(5f)/5 + C(7f)/7 + C(11f)/11 - C(13f)/13 ...]
//
// The term of an odd k is there where no square divides k; its sign is that of k in the series of
// the bars, turned once for each prime in k. c is the contrast by frequency. Source: Coltman 1954,
// from memory; verified by putting one series into the other.
func ResponseFromBars(c func(frequency float64) float64, frequency, upTo float64) float64 {
	sum := 0.0
	for k := 1; k < 2*barTerms; k += 2 {
		if float64(k)*frequency > upTo {
			break
		}
		if mu := moebius(k); mu != 0 {
			sign := 1.0 // of k in the square wave, which is multiplicative
			if k%4 == 3 {
				sign = -1
			}
			sum += float64(mu) * sign * c(float64(k)*frequency) / float64(k)
		}
	}
	return math.Pi / 4 * sum
}

// moebius is 0 where a square divides n, and otherwise -1 to the number of its primes.
func moebius(n int) int {
	mu := 1
	for p := 2; p*p <= n; p++ {
		if n%p != 0 {
			continue
		}
		if n /= p; n%p == 0 {
			return 0
		}
		mu = -mu
	}
	if n > 1 {
		mu = -mu
	}
	return mu
}

// TargetModulation returns the modulation of a target from the ratio of its light to its dark
// parts, (C - 1)/(C + 1). The error wraps [ErrInput] for a ratio that is not above 1.
func TargetModulation(contrast float64) (float64, error) {
	if !(contrast > 1) || !check.Finite(contrast) {
		return 0, check.Errorf(ErrInput, "a target whose light parts are %v times its dark ones, want more than 1", contrast)
	}
	return (contrast - 1) / (contrast + 1), nil
}

// ThreeBar returns the frequency of an element of the three-bar chart of MIL-STD-150A on the
// chart, in cycles/mm:
//
//	2^(group + (element - 1)/6)
//
// (from memory). Where the chart was copied at a scale, divide by that. The error wraps
// [ErrInput] for groups beyond -4 to 12 and elements beyond 1 to 6.
func ThreeBar(group, element int) (float64, error) {
	if group < -4 || group > 12 || element < 1 || element > 6 {
		return 0, check.Errorf(ErrInput, "group %d, element %d; want groups -4 to 12 and elements 1 to 6", group, element)
	}
	return math.Exp2(float64(group) + float64(element-1)/6), nil
}

// JoinResolving returns the resolving power of a chain from those of its parts,
//
//	1/R^k = sum 1/R_i^k
//
// which is exact for responses exp(-(f/f0)^k) and any threshold: k = 2 for Gaussians, 1 for
// exponentials. Neither is a law of lenses and films. The error wraps [ErrInput].
//
// Source: the two rules of optics' handbooks, k of 1 and 2, from memory; what they are
// exact for is derived here.
func JoinResolving(k float64, powers ...float64) (float64, error) {
	sum := 0.0
	for _, r := range powers {
		if !(r > 0) || !check.Finite(r) {
			return 0, check.Errorf(ErrInput, "resolving power %v", r)
		}
		sum += math.Pow(r, -k)
	}
	if !(k > 0) || len(powers) == 0 || !check.Finite(k, sum) || !(sum > 0) {
		return 0, check.Errorf(ErrInput, "%d resolving powers joined by an exponent of %v", len(powers), k)
	}
	return math.Pow(sum, -1/k), nil
}
