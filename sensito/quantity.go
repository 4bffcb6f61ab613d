package sensito

import (
	"math"
	"strconv"
)

// LogH is the logarithm to base 10 of an exposure in lux seconds (lx·s).
//
// Exposure is the time integral of the illuminance on the film, H = E t
// (ISO 6:1993, 3.1).
type LogH float64

// LogHOf returns log10 of an exposure in lux seconds.
//
// Special cases are: LogHOf(0) = -Inf; LogHOf(x) = NaN for x < 0.
func LogHOf(luxSeconds float64) LogH { return LogH(math.Log10(luxSeconds)) }

// LuxSeconds returns the exposure in lux seconds.
func (h LogH) LuxSeconds() float64 { return math.Pow(10, float64(h)) }

// Add returns the exposure s stops away.
func (h LogH) Add(s Stops) LogH { return h + LogH(s.Log10()) }

// Sub returns how many stops h lies above g.
func (h LogH) Sub(g LogH) Stops { return Stops(float64(h-g) / log10of2) }

// String prints the number with its unit, for example "-2.10 log lx·s".
func (h LogH) String() string { return strconv.FormatFloat(float64(h), 'f', 2, 64) + " log lx·s" }

const log10of2 = 0.30102999566398119521373889472449302676818988146210854131

// Stops is a difference of exposure as log2 of a ratio: one stop doubles.
type Stops float64

// StopsOf returns log2 of an exposure ratio.
//
// Special cases are: StopsOf(0) = -Inf; StopsOf(x) = NaN for x < 0.
func StopsOf(factor float64) Stops { return Stops(math.Log2(factor)) }

// Factor returns the ratio 2^s.
func (s Stops) Factor() float64 { return math.Exp2(float64(s)) }

// Log10 returns the same difference on the log10 scale: 0.30103 for a stop.
func (s Stops) Log10() float64 { return float64(s) * log10of2 }

// String prints the signed number with its unit, for example "+1.33 stops".
func (s Stops) String() string {
	if s == 0 { // no minus sign on a negative zero
		s = 0
	}
	t := strconv.FormatFloat(float64(s), 'f', 2, 64)
	if s >= 0 {
		t = "+" + t
	}
	if t == "+1.00" || t == "-1.00" {
		return t + " stop"
	}
	return t + " stops"
}

// Density is -log10 of a transmittance.
//
// Unless said otherwise it is the visual diffuse density of ISO 5-2 and ISO
// 5-3. A density read in a condenser system is higher on a silver image by the
// Callier factor Q = D(projection)/D(diffuse), which is above 1, nearer 1 the
// finer the grain, and not one number for a film: at full development no single
// value holds over the density scale (Manual of Photography, chapter on tone
// reproduction, "Callier coefficient"). So this package converts nothing between
// the two: readings of one curve must come from one geometry, and a density
// range wanted for a printer must be stated in that printer's geometry.
type Density float64

// Transmittance returns 10^-d.
func (d Density) Transmittance() float64 { return math.Pow(10, -float64(d)) }

// Opacity returns 10^d.
func (d Density) Opacity() float64 { return math.Pow(10, float64(d)) }

// String prints the density with two decimals, for example "0.30".
func (d Density) String() string { return strconv.FormatFloat(float64(d), 'f', 2, 64) }
