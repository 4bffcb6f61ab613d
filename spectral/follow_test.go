package spectral

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A photon sensitivity is its table times λ/550 between the knots too. Against the
// product on a grid so fine that its lines are good to 1e-9, and against ∫ E S λ in
// closed form.
func TestPhotonsBetweenKnots(t *testing.T) {
	coarse := must(New([]float64{400, 600}, []float64{1, .2}, Zero))
	s := must(SensitivityFromPhotons(coarse))
	near(t, "the middle of a gap of 200 nm", must(s.At(500)), .6*500/550, 1e-15)
	// ∫ (a + b λ) λ/550 from 400 to 600 with a = 2.6, b = -0.004
	near(t, "integral", must(Integral(s.Spectra()...)), (2.6*(600*600-400*400)/2-.004*(math.Pow(600, 3)-math.Pow(400, 3))/3)/550, 1e-10)
	for _, r := range []struct {
		name string
		s    Spectrum
		want func(nm, v float64) float64
	}{
		{"to energy", must(coarse.PhotonToEnergy()), func(nm, v float64) float64 { return v * nm / 550 }},
		{"to photons", must(coarse.EnergyToPhoton()), func(nm, v float64) float64 { return v * 550 / nm }},
	} {
		for nm := 400.; nm <= 600; nm += .37 {
			want := r.want(nm, must(coarse.At(nm)))
			near(t, r.name, must(r.s.At(nm))/want, 1, 2e-6)
		}
	}
	log := must(SensitivityFromLogPhotons([]float64{400, 500}, []float64{0, -1}, LogLinear))
	near(t, "log10 per photon", must(log.At(450)), math.Pow(10, -.5)*450/550, 1e-6)
	if _, err := SensitivityFromLogPhotons([]float64{400, 500}, []float64{0, 99}, LogLinear); !errorIs(err, ErrInvalid) {
		t.Error(err)
	}
}

// Followed curves, against the curve.
func TestFollow(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 8))
	for range 30 {
		s := random(rng, 400, 700, 3+rng.IntN(10), Hold)
		k := 1 + 4*rng.Float64()
		f := func(nm, v float64) float64 { return math.Pow(math.Abs(v)+.01, k) * math.Exp(-(nm-400)/80) }
		c := must(s.Follow(f))
		for range 200 {
			nm := 400 + 300*rng.Float64()
			if lo, hi := s.Range(); nm < lo || nm > hi {
				continue
			}
			want := f(nm, must(s.At(nm)))
			near(t, "followed", must(c.At(nm)), want, 4e-6*max(want, 1e-3))
		}
	}
	if _, err := panB().Follow(nil); !errorIs(err, ErrInvalid) {
		t.Error(err)
	}
	if _, err := (Spectrum{}).Follow(func(_, v float64) float64 { return v }); !errorIs(err, ErrInvalid) {
		t.Error(err)
	}
	if _, err := panB().Follow(func(nm, _ float64) float64 { return 1 / (nm - 400) }); !errorIs(err, ErrInvalid) {
		t.Errorf("a pole: %v", err)
	}
	// A jump costs knots, but not without end.
	if s, err := panB().Follow(func(nm, v float64) float64 {
		if nm > 500.1 {
			return v + 1
		}
		return v
	}); err != nil || s.Len() > 200 {
		t.Errorf("a jump: %d knots, %v", s.Len(), err)
	}
}

// Between its heights a spectrogram is the film and the lamp at every wavelength.
func TestSpectrogramBetween(t *testing.T) {
	lamp := A.Light()
	s := must(SensitivityFromSpectrogram([]float64{400, 480, 600}, []float64{1, 1.2, .9}, lamp, LogLinear))
	for nm := 400.; nm <= 480; nm += 3.7 {
		near(t, "height over lamp", must(s.At(nm)), math.Pow(10, 1+.2*(nm-400)/80)/must(lamp.At(nm)), 2e-6*must(s.At(nm)))
	}
	if _, err := SensitivityFromSpectrogram([]float64{400, 500}, []float64{50, 60}, lamp, LogLinear); !errorIs(err, ErrInvalid) {
		t.Errorf("heights that are none: %v", err)
	}
}
