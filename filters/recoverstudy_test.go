package filters

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/spectral"
)

// bands is no filter at all and band-passes 10 nm wide at half their height.
func bands() []Filter {
	out := []Filter{Clear()}
	for l := 390.; l <= 710; l += 10 {
		out = append(out, must(BandPass(l-5, 4, l+5, 4, .9)))
	}
	return out
}

// peaks returns an invented film of Gaussian bands on a low floor.
func peaks(to float64, at ...[3]float64) spectral.Sensitivity {
	nm := must(spectral.Grid(380, to, 1))
	v := make([]float64, len(nm))
	for i, l := range nm {
		for _, p := range at { // height, place and standard deviation in nm
			v[i] += p[0] * math.Exp(-(l-p[1])*(l-p[1])/2/p[2]/p[2])
		}
	}
	return must(spectral.SensitivityFromLinear(must(spectral.New(nm, v, spectral.Zero))))
}

// studyFilms are films smoother and finer than any filter can tell.
func studyFilms() map[string]spectral.Sensitivity {
	comb := func() spectral.Sensitivity {
		nm := must(spectral.Grid(390, 670, 1))
		v := make([]float64, len(nm))
		for i, l := range nm {
			v[i] = .5 + .4*math.Sin(2*math.Pi*l/20)
		}
		return must(spectral.SensitivityFromLinear(must(spectral.New(nm, v, spectral.Zero))))
	}
	return map[string]spectral.Sensitivity{
		"panchromatic":   spectral.Generic(spectral.Panchromatic),
		"corners":        panB(),
		"extended red":   spectral.Generic(spectral.ExtendedRed),
		"orthochromatic": spectral.Generic(spectral.Orthochromatic),
		"blue":           spectral.Generic(spectral.BlueSensitive),
		"flat to 660 nm": must(spectral.SensitivityFromLinear(must(spectral.New([]float64{380, 390, 655, 665}, []float64{0, 1, 1, 0}, spectral.Zero)))),
		"two bands":      peaks(720, [3]float64{1, 430, 30}, [3]float64{.8, 640, 20}),
		"sharp band":     peaks(720, [3]float64{.6, 430, 35}, [3]float64{1, 590, 6.4}, [3]float64{.4, 540, 30}),
		"five dyes":      peaks(720, [3]float64{.7, 420, 30}, [3]float64{.8, 500, 5}, [3]float64{1, 550, 4}, [3]float64{.7, 590, 4}, [3]float64{.9, 625, 5}, [3]float64{.6, 655, 4}),
		"comb of 20 nm":  comb(),
	}
}

// A study of a kind of film and set of filters.
type studied struct {
	all       float64 // share of nodes within, of those known by half or more
	worst     float64 // and at the worst of them
	worstNM   float64
	contrary  float64 // share of runs whose deviations were raised
	width     float64 // mean half width over the sensitivity's mean
	condition int     // nodes counted
}

func studyOf(film spectral.Sensitivity, light spectral.Light, set []Filter, stated, real float64, runs int, how Recovery, seed uint64) studied {
	rng := rand.New(rand.NewPCG(seed, 4))
	var q []SpeedReading
	for _, f := range set {
		if F, err := Factor(film, light, f); err == nil && F < 300 { // what can be read at all
			q = append(q, SpeedReading{f, 1.7 - math.Log10(F), stated})
		}
	}
	var in, known []float64
	var out studied
	var nm []float64
	for range runs {
		n := append([]SpeedReading(nil), q...)
		for i := range n {
			n[i].LogSpeed += real * rng.NormFloat64()
		}
		r := must(Recover(n, light, how))
		truth := must(r.Scaled(film))
		if nm = r.NM; in == nil {
			in, known = make([]float64, len(nm)), make([]float64, len(nm))
		}
		if r.Raised > 1 {
			out.contrary += 1 / float64(runs)
		}
		for j := range nm {
			if r.Known[j] < .5 {
				continue
			}
			known[j]++
			if truth[j] >= r.Low[j] && truth[j] <= r.High[j] {
				in[j]++
			}
			out.width += (r.High[j] - r.Low[j]) / 2
		}
	}
	out.worst = 1
	var a, b float64
	for j := range nm {
		a, b = a+in[j], b+known[j]
		if known[j] > float64(runs)/2 && in[j]/known[j] < out.worst {
			out.worst, out.worstNM = in[j]/known[j], nm[j]
		}
	}
	out.all, out.width, out.condition = a/b, out.width/b, int(b)
	return out
}

// The intervals of recovered sensitivities, node by node: the figures are in the
// doc of Recover.
func TestRecoverStudy(t *testing.T) {
	runs := 40
	if testing.Short() {
		runs = 8
	}
	light := spectral.D55.Light()
	for _, name := range []string{"panchromatic", "corners", "extended red", "orthochromatic", "blue", "flat to 660 nm", "two bands", "sharp band", "five dyes", "comb of 20 nm"} {
		film := studyFilms()[name]
		for _, c := range []struct {
			name         string
			set          []Filter
			stated, real float64
		}{
			{"contrast filters, 0.01", filterSet(), .01, .01}, {"contrast filters, 0.03", filterSet(), .03, .03},
			{"10 nm bands, 0.01", bands(), .01, .01}, {"contrast filters, 0.01 said, 0.03 true", filterSet(), .01, .03},
		} {
			s := studyOf(film, light, c.set, c.stated, c.real, runs, Recovery{}, 11)
			t.Logf("%-15s %-40s %.3f within, worst %.2f at %g nm, raised %.2f, half width %.2f", name, c.name, s.all, s.worst, s.worstNM, s.contrary, s.width)
		}
	}
	_ = fmt.Sprint()
}
