package sensito_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"example.org/actinic/internal/held"
	. "example.org/actinic/sensito"
)

// wrapped is a curve of another package: nothing is known of it but its methods, which may fail.
type wrapped struct {
	Curve
	noSlope, noDensity func(LogH) bool
}

var errGone = errors.New("the curve is gone")

func (w wrapped) Slope(x LogH) (float64, error) {
	if w.noSlope != nil && w.noSlope(x) {
		return 0, errGone
	}
	return w.Curve.Slope(x)
}

func (w wrapped) Density(x LogH) (Density, error) {
	if w.noDensity != nil && w.noDensity(x) {
		return 0, errGone
	}
	return w.Curve.Density(x)
}

func forms(t *testing.T) map[string]*ClosedForm {
	t.Helper()
	out := map[string]*ClosedForm{}
	for name, c := range map[string]Constants{
		"bounded": {BaseFog: 0.2, Gamma: 0.62, Toe: -2.6, ToeWidth: 0.2, Shoulder: 2.2, Sharpness: 4, From: -3.6, To: 0.6}, "without bounds": {BaseFog: 0.2, Gamma: 0.62, Toe: -2.6, ToeWidth: 0.2, Shoulder: 2.2, Sharpness: 4},
		"no shoulder": {BaseFog: 0.1, Gamma: 0.8, Toe: -2.2, ToeWidth: 0.3, From: -3.5, To: 1}, "ending in the middle": {BaseFog: 0.2, Gamma: 0.62, Toe: -2.6, ToeWidth: 0.2, From: -3.6, To: -1.4},
	} {
		f, err := NewClosedForm(c)
		if err != nil {
			t.Fatal(err)
		}
		out[name] = f
	}
	return out
}

// What is measured of a closed form is the same of a curve that is not known to be one: straight part and gamma as near as 64 places
// tell, the rest by its methods alone.
func TestMeasuresOfAnyCurve(t *testing.T) {
	for name, f := range forms(t) {
		c := wrapped{Curve: f}
		lo, hi, err := StraightPart(f)
		lo2, hi2, err2 := StraightPart(c)
		if err != nil || err2 != nil || math.Abs(float64(lo-lo2)) > 0.003 || math.Abs(float64(hi-hi2)) > 0.003 {
			t.Errorf("%s: straight from %.4f to %.4f, %v, as any curve from %.4f to %.4f, %v", name, float64(lo), float64(hi), err, float64(lo2), float64(hi2), err2)
		}
		for _, m := range []struct {
			name string
			of   Measure
			tol  float64
		}{{"gamma", Gamma, 5e-4}, {"average gradient", AverageGradient, 1e-9}, {"contrast index", ContrastIndex, 1e-6}, {"ISO contrast", ISOContrast, 1e-9}, {"fixed density", LogIndex(FixedDensity), 1e-9}, {"fractional gradient", LogIndex(FractionalGradient), 1e-9}, {"delta-x", LogIndex(DeltaX), 1e-9}} {
			a, err1 := m.of(f)
			b, err2 := m.of(c)
			if (err1 == nil) != (err2 == nil) || math.Abs(a-b) > m.tol {
				t.Errorf("%s, %s: %v, %v, as any curve %v, %v", name, m.name, a, err1, b, err2)
			}
		}
		for _, least := range []float64{0.1, 0.3, 0.5} {
			a, b, whole, err := UsefulRange(f, least)
			a2, b2, whole2, err2 := UsefulRange(c, least)
			if a != a2 || b != b2 || whole != whole2 || (err == nil) != (err2 == nil) {
				t.Errorf("%s, slope %v: %v to %v, as any curve %v to %v", name, least, a, b, a2, b2)
			}
			if err == nil {
				ga, _ := f.Slope(a)
				gb, _ := f.Slope(b)
				if xm, _ := SpeedPoint(f); a != xm && math.Abs(ga-least) > 1e-6 || whole && math.Abs(gb-least) > 1e-6 {
					t.Errorf("%s, slope %v: it is %v and %v at the ends", name, least, ga, gb)
				}
			}
		}
	}
	flat := wrapped{Curve: forms(t)["bounded"]}
	if _, err := Gamma(flat); err != nil {
		t.Error(err)
	}
}

// The errors of a curve are those of what is measured of it.
func TestErrorsOfCurvesAreHandedOn(t *testing.T) {
	said := held.New(t)
	f := forms(t)["bounded"]
	above := func(from LogH) func(LogH) bool { return func(x LogH) bool { return x > from } }
	measures := map[string]Measure{
		"gamma": Gamma, "average gradient": AverageGradient, "contrast index": ContrastIndex, "ISO contrast": ISOContrast, "fixed density": LogIndex(FixedDensity), "fractional gradient": LogIndex(FractionalGradient), "delta-x": LogIndex(DeltaX),
		"useful range": func(c Curve) (float64, error) { _, _, _, err := UsefulRange(c, 0.3); return 0, err }, "rate": func(c Curve) (float64, error) { _, err := Rate(c, FractionalGradient); return 0, err }, "chord": func(c Curve) (float64, error) { return ChordGradient(c, -2, -1) },
		"foot": MeasureOf(ContrastIndexFoot), "density range": func(c Curve) (float64, error) { return DensityRange(c, -2, 1.5, 0.4) },
	}
	for name, of := range measures {
		for what, c := range map[string]Curve{"no slope": wrapped{Curve: f, noSlope: above(-9)}, "no slope above": wrapped{Curve: f, noSlope: above(-1.9)}, "no density": wrapped{Curve: f, noDensity: above(-9)}, "no density above": wrapped{Curve: f, noDensity: above(-1.9)}} {
			v, err := of(c)
			if err == nil {
				said.Values(name+", "+what, fmt.Sprintf("%.6g", v))
				continue
			}
			said.Refused(name+", "+what, err)
		}
		if _, err := of(nil); !said.Is(name, err, ErrInput) {
			t.Errorf("%s of nil: %v", name, err)
		}
	}
	for name, of := range map[string]Measure{"gamma": Gamma, "average gradient": AverageGradient, "chord": measures["chord"]} {
		if _, err := of(wrapped{Curve: f, noDensity: above(-9)}); !errors.Is(err, errGone) {
			t.Errorf("%s: %v, want the curve's own error", name, err)
		}
	}
	if _, err := Gamma(wrapped{Curve: f, noSlope: above(-9)}); !errors.Is(err, errGone) {
		t.Error(err)
	}
	if _, err := ChordGradient(f, -1, -1); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
}

// The doubled series of cameras stands for the printed numbers.
func TestDoubledSeries(t *testing.T) {
	for text, want := range map[string]float64{"ISO 12800": 12500, "ISO 25600": 25000, "ISO 51200": 50000, "ISO 102400": 100000, "EI 12500": 12500, "EI 25000": 25000} {
		if s, err := ParseSpeed(text); err != nil || s.Value != want {
			t.Errorf("%s: %v, %v", text, s, err)
		}
	}
	for _, text := range []string{"ISO 12801", "ISO 204800", "ISO 6399"} {
		if s, err := ParseSpeed(text); err == nil {
			t.Errorf("%s is %v", text, s)
		}
	}
}

// Frames that miss the target say on which side more are wanted.
func TestFieldIndexSaysWhatIsMissing(t *testing.T) {
	said := held.New(t)
	frames := []BracketReading{{Index: 100, Density: 0.5, SD: 0.01}, {Index: 400, Density: 0.3, SD: 0.01}}
	for _, target := range []Density{0.6, 0.501, 0.299, 0.2} {
		if e, err := FieldIndex(frames, target, 0, Sampling{Draws: 20}); !said.Is(fmt.Sprint(float64(target)), err, ErrNotReached) {
			t.Errorf("%v: %v, %v", target, e, err)
		}
	}
	e, err := FieldIndex(frames, 0.4, 0.02, Sampling{Draws: 400, Seed: 3})
	if err != nil || math.Abs(e.Value-200) > 1e-6 || !(e.Low > 100 && e.Low < 190 && e.High > 210 && e.High < 400) {
		t.Errorf("%v, %v", e, err)
	}
	// Wide targets are beyond the frames as often as not: the interval ends where the frames do.
	if e, err = FieldIndex(frames, 0.4, 0.5, Sampling{Draws: 400, Seed: 3}); err != nil || math.Abs(e.Low-100) > 1e-9 || math.Abs(e.High-400) > 1e-9 {
		t.Errorf("%v, %v", e, err)
	}
	for name, c := range map[string]struct {
		frames []BracketReading
		sd     float64
	}{"sd": {frames, -1}, "infinite": {frames, math.Inf(1)}, "index": {[]BracketReading{{Index: 0, Density: 1}, frames[0]}, 0}, "one": {frames[:1], 0}, "none": {nil, 0}, "density": {[]BracketReading{{Index: 50, Density: Density(math.NaN())}, frames[0]}, 0}} {
		if _, err := FieldIndex(c.frames, 0.4, c.sd, Sampling{}); !said.Is(name, err, ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Exposures that grow by one ratio are no logarithms: five of them, over more than four times, within a fifth of the mean ratio.
func TestExposuresThatAreNoLogarithms(t *testing.T) {
	said := held.New(t)
	rs := func(xs ...float64) (out []Reading) {
		for i, x := range xs {
			out = append(out, Reading{LogH: LogH(x), Density: Density(0.2 + 0.1*float64(i))})
		}
		return out
	}
	for _, c := range []struct {
		name string
		rs   []Reading
		ok   bool
	}{
		{"doubling", rs(0.1, 0.2, 0.4, 0.8, 1.6), false}, {"four of them", rs(0.1, 0.2, 0.4, 0.8), true}, {"over four times", rs(0.5, 0.71, 1, 1.41, 2), true}, {"over a little more", rs(0.5, 0.71, 1, 1.43, 2.05), false}, {"from nothing", rs(0, 0.2, 0.4, 0.8, 1.6), true},
		{"a fifth off", rs(0.1, 0.2, 0.4, 0.8, 1.6*0.88), false}, {"more than a fifth off", rs(0.1, 0.2, 0.4, 0.8, 1.6*0.8), true}, {"even", rs(0.2, 0.6, 1, 1.4, 1.8), true},
	} {
		_, err := Interpolate(c.rs, StatedBase(0.1), RefuseFalling)
		if said.Refused(c.name, err) == c.ok {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}
