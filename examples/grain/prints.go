package main

import (
	"fmt"
	"math"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/filters"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/structure"
	"example.org/actinic/sensito/structure/view"
)

// paper is the print that formats are set side by side on.
type paper struct{ width, height, distance, gradient, lens float64 }

// mid is the density whose grain a print is judged by: a middle tone of a negative. A choice.
const mid = 0.9

// powerAt is the noise power of the patch nearest to a density, and its density.
func (res *result) powerAt(density float64) (spectrumOf, bool) {
	var best spectrumOf
	found := false
	for _, s := range res.spectra {
		if !found || math.Abs(float64(s.d)-density) < math.Abs(float64(best.d)-density) {
			best, found = s, true
		}
	}
	return best, found
}

// power is a spectrum as a function, constant below its first frequency and straight between.
func (s spectrumOf) power() (w func(f float64) float64, upTo float64) {
	var f, p []float64
	for _, b := range s.bins {
		if !math.IsNaN(b.Power) {
			f, p = append(f, b.Frequency), append(p, math.Max(b.Power, 0))
		}
	}
	if len(f) < 2 {
		return nil, 0
	}
	i := 0
	return func(x float64) float64 {
		if x <= f[0] {
			return p[0]
		}
		if i >= len(f) || f[max(i-1, 0)] > x {
			i = 0
		}
		for i < len(f)-1 && f[i] < x {
			i++
		}
		s := (x - f[i-1]) / (f[i] - f[i-1])
		return (1-s)*p[i-1] + s*p[i]
	}, f[len(f)-1]
}

// prints sets the formats side by side on one print.
func (res *result) prints(p paper, film *actinic.Film, process *actinic.Process, development sensito.Curve) {
	s, ok := res.powerAt(mid)
	if !ok {
		return
	}
	w, upTo := s.power()
	if w == nil {
		return
	}
	n := view.Negative{Power: w, UpTo: upTo}
	if res.response != nil {
		n.Film = value(res.response)
	}
	if p.lens > 0 {
		n.Lens = func(f float64) float64 { return math.Exp2(-f * f / (p.lens * p.lens)) }
	}
	eye := view.JohnsonFairchild()
	base, err := structure.ApertureSD(w, structure.Aperture48, upTo)
	if err != nil {
		return
	}
	for _, f := range view.Formats() {
		n.Format = f
		seen, err := view.Print{Width: p.width, Height: p.height, Distance: p.distance, Gradient: p.gradient}.Of(n, eye)
		if err != nil {
			res.Warnings = append(res.Warnings, "prints: "+figures.Bare(err))
			return
		}
		row := printOf{Format: f.Name, Enlargement: digits(seen.Enlargement, 4), WidthMM: p.width, HeightMM: p.height, DistanceMM: p.distance,
			Density: figures.Round(float64(s.d), 3), ApertureUM: digits(seen.Aperture, 4), GrainSD: known(digits(seen.Grain, 4)), Eye: seen.Eye,
			Lens: known(p.lens)}
		if p.lens == 0 {
			row.Lens = nil
		}
		if res.response != nil {
			row.DetailUM, row.ByEye, row.Acutance = known(digits(seen.Detail, 4)), seen.ByEye, known(digits(seen.Acutance, 4))
		}
		if res.law != nil && development != nil && base > 0 {
			sd := seen.Grain / p.gradient / base
			row.Tones = res.tones(sd, film, process, development)
		}
		res.Prints = append(res.Prints, row)
	}
}

// value is a response as a function; beyond what is known it counts as nothing.
func value(r *structure.Response) func(float64) float64 {
	return func(f float64) float64 {
		e, err := r.At(f)
		if err != nil {
			return 0
		}
		return e.Value
	}
}

// subjects of the quarry, in stops from the metered tone. Invented, as are their lights: the mill
// is lit by the sky through one door; the tips stand in the sun against it, and their shadows are
// lit by it.
var subjects = []struct {
	name  string
	tones []view.Tone
	sky   []bool // lit by the sky, which a yellow filter darkens
}{
	{"the mill in flat light", []view.Tone{{Name: "slate wall", Light: -1.5}, {Name: "saw table", Light: 1.5}}, []bool{true, true}},
	{"the tips in the sun", []view.Tone{{Name: "shadow under the tips", Light: -4}, {Name: "wet slate", Light: -1}, {Name: "sunlit slate", Light: 1}, {Name: "sky", Light: 3}},
		[]bool{true, false, false, true}},
}

// filterName is the filter that tones are seen through.
const filterName = "8"

// tones tells how finely the subjects' tones are told apart, where the granularity is so many times
// that in 48 µm.
func (res *result) tones(times float64, film *actinic.Film, process *actinic.Process, curve sensito.Curve) []tones {
	f := view.Film{Curve: curve, SD: func(d sensito.Density) (float64, error) {
		e, err := res.law.SD(d)
		return e.Value * times, err
	}}
	index, err := indexOf(process, curve)
	if err != nil {
		return nil
	}
	metered := sensito.LogH(math.Log10(sensito.MeteredExposure / index))
	shift, known := skyShift(film)
	var out []tones
	for _, s := range subjects {
		for _, filter := range []bool{false, true} {
			if filter && !known {
				continue
			}
			subject := append([]view.Tone(nil), s.tones...)
			for i := range subject {
				if s.sky[i] {
					subject[i].Filter = shift
				}
			}
			t, err := f.Tones(subject, metered, filter)
			if err != nil {
				continue
			}
			word := "none"
			if filter {
				word = filterName
			}
			out = append(out, tones{s.name, word, float64(t.Range), digits(t.Steps, 4), figures.Known(digits(float64(t.PerStep), 4)), digits(float64(t.Lost), 3)})
		}
	}
	return out
}

// indexOf is the index to set, or else the speed of the curve.
func indexOf(p *actinic.Process, c sensito.Curve) (float64, error) {
	if x, err := p.Index(); err == nil {
		return x.Index.Value, nil
	}
	s, err := sensito.Index(c, sensito.FixedDensity)
	return s.Value, err
}

// skyShift is by how many stops the filter darkens what the sky lights, against what the sun does.
func skyShift(film *actinic.Film) (sensito.Stops, bool) {
	s, err := film.Sensitivity()
	if err != nil {
		return 0, false
	}
	e, err := filters.Find(filterName)
	if err != nil {
		return 0, false
	}
	var factor [2]float64
	for i, name := range []string{"D55", "12000K"} {
		light, _, err := command.Light(name)
		if err != nil {
			return 0, false
		}
		if factor[i], err = filters.Factor(s, light, e.Filter); err != nil {
			return 0, false
		}
	}
	return sensito.Stops(math.Log2(factor[0] / factor[1])), true
}

// signals is the signal to noise in 48 µm over the curve.
func (res *result) signals(process *actinic.Process, curve sensito.Curve) {
	if res.law == nil {
		return
	}
	f := view.Film{Curve: curve, SD: func(d sensito.Density) (float64, error) { e, err := res.law.SD(d); return e.Value, err }}
	lo, hi := curve.Domain()
	out := &signal{Process: process.Name(), Points: []signalPoint{}}
	for x := math.Ceil(float64(lo)*10) / 10; x <= float64(hi); x += 0.1 {
		s, err := f.At(sensito.LogH(x))
		if err != nil || !(s.Gradient > 0) {
			continue
		}
		out.Points = append(out.Points, signalPoint{figures.Round(x, 3), digits(float64(s.Density), 4), digits(s.Gradient, 4), digits(s.ToNoise, 4),
			digits(s.NoiseEquivalent, 4), digits(s.Contrast(1), 4)})
	}
	if len(out.Points) == 0 {
		return
	}
	for _, least := range []float64{5, 10, 20} {
		r := signalRange{Least: least}
		if at, err := f.Range(least); err == nil {
			r.From, r.To = known(figures.Round(float64(at.From), 3)), known(figures.Round(float64(at.To), 3))
			r.FromOpen, r.ToOpen = at.FromOpen, at.ToOpen
			if ei, err := f.Index(least); err == nil {
				r.Index = known(digits(ei, 3))
			} else {
				res.Limits = append(res.Limits, fmt.Sprintf("No index for a signal to noise of %v: %s.", least, figures.Bare(err)))
			}
		}
		out.Ranges = append(out.Ranges, r)
	}
	res.Signal = out
}

// sharpness adds the acutances: by the edge's gradient, and weighted by the eye on the print.
func (res *result) sharpness(p paper) {
	if res.edge != nil {
		x, t := res.edge.Profile()
		d := make([]float64, len(t))
		for i, v := range t {
			d[i] = -math.Log10(math.Max(v, 1e-6))
		}
		const least = 0.005
		if v, err := view.EdgeAcutance(x, d, least); err == nil {
			res.Acutance = append(res.Acutance, acutance{"mean square gradient of the edge's density over its step, gradients from 0.005/µm (form of Higgins and Jones, from memory), camera in it",
				"edge on the film", "1/µm", known(digits(v, 4))})
		}
	}
	if res.response == nil {
		return
	}
	barten, err := view.Barten(100, 3)
	if err != nil {
		return
	}
	f := view.Formats()[0]
	m, err := f.Enlargement(p.width, p.height)
	if err != nil {
		return
	}
	for _, eye := range []view.Eye{view.JohnsonFairchild(), view.MannosSakrison(), barten, view.SubjectiveQuality()} {
		at := value(res.response)
		v, err := eye.Acutance(func(v float64) float64 { return at(view.CyclesPerMM(v, p.distance) * m) })
		if err == nil {
			res.Acutance = append(res.Acutance, acutance{"mean response weighted by " + eye.Name(), "film alone, " + f.Name + " on the print", "1", known(digits(v, 4))})
		}
	}
}
