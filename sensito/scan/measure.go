package scan

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
)

// Measure returns the density of a place on one negative, photographed once or several
// times with other shutter times and not moved between:
//
//	D = -log10 of the mean over the place of  [(S - Ds)/ts - veil] / [(F - Df)/tf - veil of the light]
//
// by the laws of [Density], [Flare] and [Join]: exposures that clip in the place are left
// out, the others joined by weights that are the reciprocals of their variances. Dust and
// scratches are set aside, and the standard error comes from the noise spectrum of what is
// left, see [MeanError], widened by Student's law for how well that spectrum is known. Where
// exposures disagree, half their difference is in the standard deviation too.
//
// The error wraps [ErrInput] for frames and boxes that do not go together and a place too
// dense for these exposures, [ErrClipped] where every exposure clips.
//
// Source: those of the laws named; put together here.
func (s *Setup) Measure(b Box, frames ...*Frame) (Reading, error) {
	if err := s.usable(frames); err != nil {
		return Reading{}, err
	}
	es, warnings, err := s.exposures(b, frames, true)
	if err != nil {
		return Reading{}, err
	}
	if len(es) == 0 {
		return Reading{}, check.Errorf(ErrClipped, "%s: every exposure is at white in box %v; add a shorter one", frames[0].origin.File, b)
	}
	r := Reading{Exposures: len(es), Warnings: warnings}
	words, off := disagree(es)
	r.Warnings = append(r.Warnings, words...)
	v := join(es)
	quantum := 0.0
	for _, e := range es {
		quantum = max(quantum, e.quantum)
	}
	out, p, ok := setAside(v, b.Width, b.Height, max(quantum, 1e-6*math.Abs(mean(v))))
	if !ok {
		return Reading{}, check.Errorf(ErrInput, "%s: box %v holds more than one density, or more dust than film; move it",
			frames[0].origin.File, b)
	}
	got := s.average(&r, v, out, p, b, quantum)
	d, err := densityOf(got.t)
	if err != nil {
		return Reading{}, fmt.Errorf("%s: box %v: %w", frames[0].origin.File, b, err)
	}
	sd := math.Log10E * got.se / got.t
	if s.FlareSD > 0 {
		sd = math.Hypot(sd, s.flareSD(b, frames, got.t))
	}
	// One of exposures that disagree is wrong, and nothing says which.
	r.Density, r.SD = s.Tie.Apply(d, math.Hypot(sd, off/2))
	s.remarks(&r, p, b, got.t)
	return r, nil
}

type averaged struct{ t, se float64 }

// average means what is film, with the standard error from its noise spectrum.
func (s *Setup) average(r *Reading, v []float64, out []bool, p plane, b Box, quantum float64) averaged {
	left, ss := make([]float64, len(v)), 0.0
	// The plane's value at the middle of the box, where dust may have taken more from one
	// side than from the other.
	middle := p.a + p.b*(float64(b.Width-1)/2-p.mx) + p.c*(float64(b.Height-1)/2-p.my)
	for i := range v {
		if out[i] {
			r.SetAside++
			continue
		}
		left[i] = v[i] - p.at(i%b.Width, i/b.Width)
		ss += left[i] * left[i]
	}
	r.Pixels = len(v) - r.SetAside
	n := float64(r.Pixels)
	sd := math.Sqrt(ss / max(n-3, 1))
	se := sd / math.Sqrt(n)
	r.Correlation = 1
	if b.Width >= fewPixels && b.Height >= fewPixels {
		// pixels set aside stand as 0 in the spectrum, and lower it by their share
		w0, freedom := powerAtZero(left, b.Width, b.Height)
		if w0 *= float64(len(v)) / n; w0 > 0 {
			r.Correlation = math.Sqrt(w0/n) / se
			// A spectrum known from few frequencies has Student's law; users take 1.96.
			se = math.Sqrt(w0/n) * lsq.TwoSided95(int(max(freedom, 2))) / lsq.Normal95
		}
	} else {
		r.Warnings = append(r.Warnings,
			fmt.Sprintf("the place is %d × %d pixels; with fewer than %d on a side the pixels count as knowing nothing of each other",
				b.Width, b.Height, fewPixels))
	}
	if sd < quantum/2 {
		se = math.Hypot(se, quantum/math.Sqrt(12)) // no noise to average the numbers' steps
	}
	return averaged{middle, se}
}

// flareSD is what the flare's own standard deviation adds:
//
//	dT/df = (T m_light - m_film) / ((1 + f)² l)
//
// Source: the derivative of [Setup.Transmittances] by the veil.
func (s *Setup) flareSD(b Box, frames []*Frame, t float64) float64 {
	light, err := s.light(b)
	if err != nil {
		return 0
	}
	level := 0.0
	for _, l := range light {
		level += l / float64(len(light))
	}
	ml := s.wholeRate(s.Light)
	mf, _ := s.meanRate(frames)
	g := (t*ml - mf) / ((1 + float64(s.Flare)) * (1 + float64(s.Flare)) * level)
	return math.Abs(math.Log10E * g / t * s.FlareSD)
}

// remarks adds what is to be said of the place once it is measured.
func (s *Setup) remarks(r *Reading, p plane, b Box, t float64) {
	scale := -math.Log10E / t
	r.Gradient = [2]float64{scale * p.b * float64(b.Width-1), scale * p.c * float64(b.Height-1)}
	for i, g := range r.Gradient {
		// a plane's rise over a place has sqrt(12) times the standard error of the mean
		if math.Abs(g) > slope && math.Abs(g) > 5*math.Sqrt(12)*r.SD {
			r.Warnings = append(r.Warnings, fmt.Sprintf("the density changes by %+.3f along %s within the place", g,
				[2]string{"x", "y"}[i]))
		}
	}
	if all := r.Pixels + r.SetAside; 20*r.SetAside > all {
		r.Warnings = append(r.Warnings, fmt.Sprintf("%.0f %% of the pixels were set aside as dust or scratches",
			100*float64(r.SetAside)/float64(all)))
	}
	if r.SD > 0.05 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("the density is known to ± %.2f only; add a longer exposure", 2*r.SD))
	}
}

// disagree compares exposures of one place, and returns their greatest difference of density
// where it is more than noise.
func disagree(es []exposure) (out []string, greatest float64) {
	for i := range es {
		for _, e := range es[i+1:] {
			a := es[i]
			if !(a.mean > 0) || !(e.mean > 0) {
				continue
			}
			off := math.Log10(a.mean / e.mean)
			sd := math.Log10E * math.Sqrt(a.variance/(a.mean*a.mean)+e.variance/(e.mean*e.mean))
			if math.Abs(off) > 0.01 && math.Abs(off) > 5*sd {
				greatest = max(greatest, math.Abs(off))
				out = append(out, fmt.Sprintf("%s and %s differ by %.3f in density here: a shutter time is another than was told, or the film was moved",
					a.frame.origin.File, e.frame.origin.File, math.Abs(off)))
			}
		}
	}
	return out, greatest
}

// Reading returns the reading as that of a step of a tablet.
func (r Reading) Reading(at sensito.LogH) sensito.Reading {
	return sensito.Reading{LogH: at, Density: r.Density, SD: r.SD}
}
