package filters

import (
	"fmt"
	"math"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/provenance"
	"example.org/actinic/spectral"
)

// The skin's spread holds together, it is lighter in the red than in the blue, and the
// bands of blood near 542 and 577 nm are in it.
func TestSkin(t *testing.T) {
	said := held.New(t)
	s := Skin()
	at := func(x spectral.Spectrum, nm float64) float64 { return must(x.At(nm)) }
	for nm := 340.; nm <= 1000; nm += 3 {
		least, mean, most, sd := at(s.Least, nm), at(s.Reflectance, nm), at(s.Most, nm), at(s.SD, nm)
		// Of 100 values none can be further than 10 standard deviations from the mean,
		// and some must be beyond one.
		if !(0 < least && least < mean && mean < most && most < 1 && sd > 0 && mean-least < 10*sd && most-mean < 10*sd && most-least > 2*sd) {
			t.Fatalf("%g nm: %v in %v to %v, sd %v", nm, mean, least, most, sd)
		}
	}
	if !(at(s.Reflectance, 650) > 1.5*at(s.Reflectance, 450)) {
		t.Error("not lighter in the red")
	}
	// Against the line between its shoulders, blood absorbs at 577 nm.
	if line := (at(s.Reflectance, 562) + at(s.Reflectance, 592)) / 2; !(at(s.Reflectance, 577) < line) {
		t.Error("no band at 577 nm")
	}
	if s.Basis != provenance.Measured || s.Source == "" || s.Samples != 100 {
		t.Errorf("%+v", s.Basis)
	}
	if _, err := s.Reflectance.At(1100); !said.Is("", err, spectral.ErrOutside) {
		t.Error(err)
	}
	// A red filter makes a portrait lighter against grey.
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	plain, red := must(Tones(film, light, Clear(), s.Surface))[0], must(Tones(film, light, must(Find("25")).Filter, s.Surface))[0]
	if !(red.Above(plain) > 0.3) {
		t.Errorf("skin behind red rises by %v stops", red.Above(plain))
	}
}

func TestGlassSamples(t *testing.T) {
	said := held.New(t)
	all := GlassSamples()
	if len(all) != 8 {
		t.Fatalf("%d glasses", len(all))
	}
	for _, g := range all {
		if lo, hi := g.Internal.Extremes(); !(lo >= 0 && hi <= 1 && hi > .4) || g.Basis != provenance.Measured || g.Source == "" || g.MM != 2.5 {
			t.Errorf("%s: %g to %g", g.Name, lo, hi)
		}
		// Bouguer: twice the glass has the square of the transmittance.
		one, two := must(g.Filter(2.5, 1.52)), must(g.Filter(5, 1.52))
		p := must(SurfaceFactor(1.52))
		for _, nm := range []float64{420, 550, 700} {
			a, b := must(one.Transmittance(nm))/p, must(two.Transmittance(nm))/p
			near(t, fmt.Sprintf("%s at %g nm", g.Name, nm), b, a*a, 1e-9)
		}
	}
	// Half of the most: as the names say.
	for i, want := range []float64{390, 420} {
		s := all[i].Internal
		if !(must(s.At(want-7)) < .5 && must(s.At(want+7)) > .5) {
			t.Errorf("%s: %v at %g nm, %v at %g", all[i].Name, must(s.At(want-7)), want-7, must(s.At(want+7)), want+7)
		}
	}
	for _, bad := range [][2]float64{{0, 1.5}, {-1, 1.5}, {math.NaN(), 1.5}, {2, .5}, {2, math.NaN()}} {
		if _, err := all[0].Filter(bad[0], bad[1]); !said.Is("", err, ErrInvalid) {
			t.Errorf("%v: %v", bad, err)
		}
	}
	if _, err := (GlassSample{}).Filter(2, 1.5); !said.Is("", err, ErrInvalid) {
		t.Error(err)
	}
}

// A plate of green glass twice as thick as its data.
func ExampleGlassSample_Filter() {
	film := spectral.Generic(spectral.Panchromatic)
	for _, g := range GlassSamples() {
		if g.Name != "green glass" {
			continue
		}
		for _, mm := range []float64{2.5, 5} {
			f, err := g.Filter(mm, 1.52)
			if err != nil {
				fmt.Println(err)
				return
			}
			factor, err := Factor(film, spectral.SensitometricDaylight.Light(), f)
			fmt.Printf("%g mm: %.1f %v\n", mm, factor, err)
		}
	}
	// Output:
	// 2.5 mm: 5.4 <nil>
	// 5 mm: 14.3 <nil>
}
