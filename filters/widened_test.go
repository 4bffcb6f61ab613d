package filters

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/spectral"
)

// Filters that are not quite what was measured: with the readings widened, the
// intervals hold the film.
func TestWidened(t *testing.T) {
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	q := must(SpeedReading{must(Find("25")).Filter, 0, .01}.Widened(film, light, Deviation{Scale: .05}))
	near(t, "5 % of the 100 % line", q.SD, math.Hypot(.01, .05/math.Ln10), 1e-12)
	if _, err := (SpeedReading{Filter{}, 0, .01}).Widened(film, light, Deviation{}); !errors.Is(err, ErrInvalid) {
		t.Error(err)
	}
	if _, err := (SpeedReading{Clear(), 0, 0}).Widened(film, light, Deviation{}); !errors.Is(err, ErrInvalid) {
		t.Errorf("no deviation at all: %v", err)
	}
	if testing.Short() {
		return
	}
	rng := rand.New(rand.NewPCG(8, 3))
	sd := Deviation{Wavelength: 2, Scale: .03}
	in, all, raised := 0.0, 0.0, 0.0
	const runs = 20
	for range runs {
		var readings []SpeedReading
		for _, f := range filterSet() {
			var c change
			c.shift, c.scale = sd.Wavelength*rng.NormFloat64(), sd.Scale*rng.NormFloat64()
			real := Filter{f.name, must(c.apply(f.parts))}
			r := SpeedReading{f, 1.7 - math.Log10(must(Factor(film, light, real))) + .01*rng.NormFloat64(), .01}
			readings = append(readings, must(r.Widened(film, light, sd)))
		}
		r := must(Recover(readings, light, Recovery{}))
		truth := must(r.Scaled(film))
		for i := range truth {
			if r.Known[i] < .5 {
				continue
			}
			if all++; truth[i] >= r.Low[i] && truth[i] <= r.High[i] {
				in++
			}
		}
		if r.Raised > 1 {
			raised++
		}
	}
	t.Logf("%.3f within, raised in %.0f of %d", in/all, raised, runs)
	if !(in/all > .94 && raised <= 3) {
		t.Errorf("%.3f within, raised in %.0f of %d", in/all, raised, runs)
	}
}
