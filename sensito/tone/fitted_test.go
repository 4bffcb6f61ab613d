package tone_test

import (
	"errors"
	"math"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	. "example.org/actinic/sensito/tone"
)

// The densities of a fitted curve come with the intervals that the fit itself gives; those
// of a curve of no readings are exact.
func TestOfAFittedCurveHasItsIntervals(t *testing.T) {
	var readings []sensito.Reading
	for i := range 11 { // a toe, a straight part and 0.01 of scatter up and down, invented
		x := -4 + 0.3*float64(i)
		d := 0.1 + 0.6*math.Log1p(math.Exp(3*(x+3.2)))/3 + 0.01*float64(i%3-1)
		readings = append(readings, sensito.Reading{LogH: sensito.LogH(x), Density: sensito.Density(d), SD: 0.01})
	}
	fit, err := sensito.Fit(readings, sensito.StatedBase(0.1))
	if err != nil {
		t.Fatal(err)
	}
	const x = -2.5
	want, err := fit.Estimate(func(c sensito.Curve) (float64, error) { d, err := c.Density(x); return float64(d), err })
	if err != nil {
		t.Fatal(err)
	}
	if got, err := Of(fit)(x); err != nil || got != want[0] || !(got.Low < got.Value && got.Value < got.High) {
		t.Errorf("fitted: %+v, %v, want %+v with an interval", got, err, want[0])
	}
	if got, err := Of(curve(t))(x); err != nil || got != sensito.Exact(got.Value) {
		t.Errorf("drawn through its readings: %+v, %v, want no interval", got, err)
	}
	if got, err := Of(fit)(5); err == nil {
		t.Errorf("a density beyond the readings: %+v", got)
	}
}

// Tones beyond the paper's range are its ends, black 0 and white 10; between, a tenth of the range is a step.
func TestGreysEndAtThePaper(t *testing.T) {
	at := func(v float64) Tone { e := sensito.Exact(v); return Tone{Density: &e} }
	tones := []Tone{at(0.1), at(0.3), at(0.4), at(0.8), at(1.3), at(1.35), at(3)}
	if err := Greys(tones, 0.3, 1); err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0, 0, 1, 5, 10, 10, 10} {
		if got := *tones[i].Grey; math.Abs(got-want) > 1e-12 {
			t.Errorf("density %v is step %v, want %v", tones[i].Density.Value, got, want)
		}
	}
}

// A tone beyond the readings has no density, and another error of the densities is handed on.
func TestPlaceTellsErrorsApart(t *testing.T) {
	said := held.New(t)
	spoilt := errors.New("the densitometer is off")
	for _, c := range []struct {
		of   Densities
		want error
	}{
		{func(sensito.LogH) (sensito.Estimate, error) { return sensito.Exact(1), sensito.ErrOutside }, nil},
		{func(sensito.LogH) (sensito.Estimate, error) { return sensito.Exact(1), sensito.ErrNotReached }, nil},
		{func(sensito.LogH) (sensito.Estimate, error) { return sensito.Exact(math.NaN()), nil }, nil},
		{func(sensito.LogH) (sensito.Estimate, error) { return sensito.Exact(1), spoilt }, spoilt},
	} {
		tones, err := Place(c.of, 100, 0, 0)
		if !errors.Is(err, c.want) || c.want == nil && (len(tones) != 1 || tones[0].Density != nil) {
			t.Errorf("%+v, %v, want %v", tones, err, c.want)
		}
	}
	// Flare of a tenth less than a subject too short for its ratio to differ from 1 in float64, and no flare at all.
	if _, err := Veil(0, 1e-17, 1e-18); !said.Is("", err, sensito.ErrInput) {
		t.Errorf("nothing is left: %v", err)
	}
	// A flare factor of 10 over a range of 2^10: (1024 - 102.4)/101.4 (by hand).
	if v, err := Veil(0, 10, 1); err != nil || math.Abs(v-9.0888) > 5e-5 {
		t.Errorf("veil %v, %v", v, err)
	}
}
