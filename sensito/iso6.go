package sensito

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/root"
)

// The contrast condition of ISO 6: ΔD of [ISOContrast] within tolerance.
const (
	ISODeltaD    = 0.80 // ISO 6:1993, as stated in the encyclopaedia article "Film speed"
	ISOTolerance = 0.05 // from memory; not found in a text that could be read
)

// Rating is the speed of a curve, with what it rests on.
type Rating struct {
	Speed      Speed
	SpeedPoint LogH    // log10 Hm, at 0.10 above base plus fog
	DeltaD     float64 // NaN where the curve ends before log Hm + 1.30
	MeetsISO   bool    // whether DeltaD is 0.80 within 0.05
}

// Rate returns the ISO 6 speed of a curve,
//
//	S = 0.80/Hm,  Hm in lx·s at 0.10 above base plus fog,
//
// if the contrast condition D(log Hm + 1.30) - D(log Hm) = 0.80 ± 0.05 is met.
// If it is not, the result is an exposure index by the criterion otherwise,
// never an ISO speed: [FixedDensity], [FractionalGradient] or [DeltaX].
//
// The error wraps [ErrNotReached] if the curve does not show the speed point or
// what the criterion needs, and [ErrInput] for any other criterion.
//
// Source: ISO 6:1993, as stated in the encyclopaedia article "Film speed"; the
// tolerance from memory. The standard's conditions of exposure and processing
// are the caller's to keep.
func Rate(c Curve, otherwise Criterion) (Rating, error) {
	if otherwise != FixedDensity && otherwise != FractionalGradient && otherwise != DeltaX {
		return Rating{}, check.Errorf(ErrInput, "criterion %v, want fixed-density, fractional-gradient or delta-x", otherwise)
	}
	xm, err := SpeedPoint(c)
	if err != nil {
		return Rating{}, err
	}
	r := Rating{SpeedPoint: xm}
	r.DeltaD, err = ISOContrast(c)
	if err != nil {
		if !errors.Is(err, ErrNotReached) {
			return Rating{}, err
		}
		r.DeltaD = math.NaN()
	}
	r.MeetsISO = MeetsISO(r.DeltaD)
	if r.MeetsISO {
		r.Speed = Speed{speedAt(xm), ISO, ISO6}
		return r, nil
	}
	if r.Speed, err = Index(c, otherwise); err != nil {
		return Rating{}, err
	}
	return r, nil
}

// MeetsISO reports whether a contrast ΔD meets the condition of ISO 6.
func MeetsISO(deltaD float64) bool {
	return math.Abs(deltaD-ISODeltaD) <= ISOTolerance+1e-9
}

// speedAt returns 0.80/Hm.
func speedAt(m LogH) float64 { return 0.80 / math.Pow(10, float64(m)) }

// SpeedAt returns the speed S = 0.80/Hm of a speed point as an index by the fixed
// density: that it is an ISO speed a point alone does not show, see [Rate].
func SpeedAt(m LogH) Speed { return Speed{speedAt(m), EI, FixedDensity} }

// Index returns the exposure index of a curve by a criterion, at any contrast:
// [FixedDensity], [FractionalGradient] or [DeltaX]. For the interval of an index take
// that of its logarithm, see [LogIndex].
func Index(c Curve, by Criterion) (Speed, error) {
	switch by {
	case FixedDensity:
		xm, err := SpeedPoint(c)
		if err != nil {
			return Speed{}, err
		}
		return SpeedAt(xm), nil
	case FractionalGradient:
		x, err := FractionalGradientPoint(c)
		if err != nil {
			return Speed{}, err
		}
		return Speed{speedAt(x) * fractionalScale, EI, FractionalGradient}, nil
	case DeltaX:
		xm, err := SpeedPoint(c)
		if err != nil {
			return Speed{}, err
		}
		dd, err := ISOContrast(c)
		if err != nil {
			return Speed{}, err
		}
		dx, err := DeltaXOf(dd)
		if err != nil {
			return Speed{}, err
		}
		return Speed{speedAt(xm) * math.Pow(10, dx) * fractionalScale, EI, DeltaX}, nil
	}
	return Speed{}, check.Errorf(ErrInput, "criterion %v gives no index of a curve", by)
}

// LogIndex returns the measure log10 of [Index] by a criterion. Its interval, carried
// through [Estimate.Map] by 10^x, is the index's.
func LogIndex(by Criterion) Measure {
	return func(c Curve) (float64, error) {
		s, err := Index(c, by)
		return math.Log10(s.Value), err
	}
}

// fractionalScale makes an index by the fractional gradient equal to the fixed
// density speed where ΔD is 0.80: 10^-ΔX(0.80), so the index is 0.405/Hx.
var fractionalScale = math.Pow(10, -deltaX(ISODeltaD))

// FractionalGradientPoint returns the exposure at which the local slope is 0.3 of
// the average gradient of the 1.5 log10 H that start there:
//
//	D'(x) = 0.3 [D(x + 1.5) - D(x)] / 1.5
//
// It is searched from the toe upwards, and the first crossing counts. Source: L.
// A. Jones (1939) and ASA Z38.2.1 by way of a survey of sensitometry; the name
// "0.3 G-bar criterion" in C. N. Nelson and J. L. Simonds, J. Opt. Soc. Am. 46
// (1956) 324, abstract. The error wraps [ErrNotReached] if the point lies below
// the first step or the curve is too short.
func FractionalGradientPoint(c Curve) (LogH, error) {
	xm, err := SpeedPoint(c)
	if err != nil {
		return 0, err
	}
	var failed error
	h := func(x float64) float64 {
		g, err := c.Slope(LogH(x))
		if err == nil {
			var d float64
			if d, err = between(c, LogH(x), LogH(x)+1.5); err == nil {
				return g - 0.3*d/1.5
			}
		}
		failed = err
		return math.NaN()
	}
	lo, _ := c.Domain()
	const step = 0.05
	a := max(float64(xm)-1.5, float64(lo))
	ha := h(a)
	for range 50 {
		b := a + step
		hb := h(b)
		if ha < 0 && hb >= 0 {
			x, err := root.Find(h, a, b)
			if err != nil {
				break
			}
			return LogH(x), nil
		}
		a, ha = b, hb
	}
	if failed == nil {
		failed = errors.New("the slope is above it from the first step on")
	}
	return 0, check.Errorf(ErrNotReached, "no point with 0.3 of the average gradient: %v", failed)
}

// deltaX is the polynomial, unchecked.
func deltaX(dd float64) float64 { return 0.83 - 0.86*dd + 0.24*dd*dd }

// DeltaXOf returns how far, in log10 H towards less exposure, the fractional
// gradient point is estimated to lie from the speed point:
//
//	ΔX = 0.83 - 0.86 ΔD + 0.24 ΔD²
//
// It is an empirical fit to real emulsions, used for ΔD from 0.4 to 1.2 (the
// range from memory; the parabola turns at 1.79): outside, the error wraps
// [ErrRange]. Source: C. N. Nelson and J. L. Simonds, J. Opt. Soc. Am. 46 (1956)
// 324, the constants by way of a survey of sensitometry.
func DeltaXOf(deltaD float64) (float64, error) {
	if !(deltaD >= 0.4 && deltaD <= 1.2) {
		return 0, check.Errorf(ErrRange, "ΔD is %.3f, the polynomial serves 0.4 to 1.2", deltaD)
	}
	return deltaX(deltaD), nil
}

type ratingJSON struct {
	Speed      Speed      `json:"speed"`
	SpeedPoint jsonNumber `json:"speed_point_log_h"`
	DeltaD     jsonNumber `json:"delta_d"`
	MeetsISO   bool       `json:"meets_iso"`
}

// MarshalJSON writes speed, speed_point_log_h, delta_d (null where it is NaN) and
// meets_iso.
func (r Rating) MarshalJSON() ([]byte, error) {
	return json.Marshal(ratingJSON{r.Speed, jsonNumber(r.SpeedPoint), jsonNumber(r.DeltaD), r.MeetsISO})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (r *Rating) UnmarshalJSON(b []byte) error {
	nan := jsonNumber(math.NaN())
	j := ratingJSON{SpeedPoint: nan, DeltaD: nan}
	if err := json.Unmarshal(b, &j); err != nil {
		return err
	}
	*r = Rating{j.Speed, LogH(j.SpeedPoint), float64(j.DeltaD), j.MeetsISO}
	return nil
}

// String prints the speed and what it rests on.
func (r Rating) String() string {
	return fmt.Sprintf("%v (%v, log Hm %.3f, ΔD %.3f)", r.Speed, r.Speed.Criterion, float64(r.SpeedPoint), r.DeltaD)
}
