package main

import (
	"fmt"
	"math"

	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/structure"
)

// granularities takes the light frame's noise off the spectra, and measures.
func (b *bench) granularities() {
	var fit []structure.Granularity
	for i := range b.patches {
		m := &b.patches[i]
		g := &b.res.Granularity[m.of]
		d := digits(float64(m.spectrum.Density()), 5)
		g.Density, g.Dust = &d, digits(m.dust, 3)
		s, ok := b.without(m)
		if !ok {
			continue
		}
		bins := s.Bins(b.res.camera)
		b.res.spectra = append(b.res.spectra, spectrumOf{g.Step, bins, s.Density()})
		b.res.NoisePower = append(b.res.NoisePower, powerOf(g.Step, bins))
		if !b.res.SetUp.CanMeasure {
			continue
		}
		found, err := s.Granularity(b.res.camera)
		if err != nil {
			b.limit("The granularity of step %d is not known: %s.", g.Step, figures.Bare(err))
			continue
		}
		b.fill(g, s, found, bins)
		fit = append(fit, found)
	}
	for i := range b.res.Granularity {
		if g := &b.res.Granularity[i]; g.SD == nil && b.res.SetUp.CanMeasure {
			b.limit("The granularity of step %d is null.", g.Step)
		}
	}
	b.floor()
	b.fit(fit)
}

// floor says what the camera's own noise looks like: what grain has to stand out from.
func (b *bench) floor() {
	least, most := math.Inf(1), 0.0
	for _, g := range b.res.Granularity {
		if g.Camera != nil {
			least, most = min(least, *g.Camera), max(most, *g.Camera)
		}
	}
	if most > 0 {
		b.limit("The noise of one frame looks like a granularity of %.4f to %.4f at these densities; frames of one place do not share it, and it is taken out by that.", least, most)
	}
}

// without is the spectrum less the noise of the light and dark frames, which all frames of the
// film were corrected with; and less the camera's own where there is one frame only. It is false
// where that noise is not known and no frame tells it from grain.
func (b *bench) without(m *measured) (*structure.Spectrum, bool) {
	p := &b.job.Patches[m.of]
	single := m.spectrum.Frames() == 1
	if b.noise == nil {
		if single {
			b.limit("The granularity of step %d is not known: there is one frame of it, and nothing says what of its noise is the camera's; add a second frame of the same place.", p.Step)
			return nil, false
		}
		b.warn("the camera's noise is not known, and that of the light frame is left in the grain")
		return m.spectrum, true
	}
	if single {
		b.warn("step %d has one frame: the camera's noise is taken off by its law and not by what two frames do not share", p.Step)
	}
	read := b.noise.Variance(0)
	v := (b.noise.Variance(m.light)) / (m.light * m.light)
	if n := float64(len(b.setup.Darks)); n > 0 {
		v += read / n * (1/(m.light*m.light) + 1/(m.net*m.net))
	}
	// The film's dark frame has the flare's light taken off with it, and so net stands below.
	if single {
		v += b.noise.Variance(m.gross) / (m.net * m.net)
	}
	v *= math.Log10E * math.Log10E * b.job.PixelUM * b.job.PixelUM
	s, err := m.spectrum.Without(v, 0.1*v)
	return s, err == nil
}

// fill puts a granularity into its row.
func (b *bench) fill(g *granularity, s *structure.Spectrum, found structure.Granularity, bins []structure.Bin) {
	round := func(p *float64) *float64 {
		if p == nil {
			return nil
		}
		v := digits(*p, 5)
		return &v
	}
	v, low, high := estimate(found.SD)
	g.SD, g.Low, g.High = round(v), round(low), round(high)
	g.Averaged, g.Expected = round(known(found.Averaged.Value)), round(known(found.Expected))
	g.UpTo, g.LeftOut = round(known(found.UpTo)), round(known(found.LeftOut))
	if g.gradient > 0 {
		g.LogH = round(known(found.SD.Value / g.gradient))
	}
	// What one frame has and frames do not share is white: the camera's noise.
	one, shared := s.Variance()
	if noise := (one - shared) * b.job.PixelUM * b.job.PixelUM; s.Frames() > 1 && noise > 0 {
		if sd, err := structure.ApertureSD(func(f float64) float64 {
			m := 1.0
			if b.res.camera != nil {
				if e, err := b.res.camera.At(f); err == nil {
					m = math.Max(e.Value, structure.LeastResponse)
				}
			}
			return noise / (m * m)
		}, structure.Aperture48, found.UpTo); err == nil {
			g.Camera = round(&sd)
		}
	}
	for _, w := range found.Warnings {
		b.warn("step %d: %s", g.Step, w)
	}
	if found.LeftOut > 0.02 {
		b.limit("Step %d: the corrected spectrum stops at %.3g cycles/mm; %.0f %% of the variance in 48 µm is carried on beyond, as the spectrum falls, and the interval has half of the doubt.",
			g.Step, found.UpTo, 100*found.LeftOut)
	}
	if g.Dust > 0.05 {
		b.warn("step %d: %.0f %% of the patch was set aside as dust or scratches", g.Step, 100*g.Dust)
	}
}

// powerOf is a spectrum for the output.
func powerOf(step int, bins []structure.Bin) noisePower {
	n := noisePower{Step: step, Frequency: []float64{}, Power: []*float64{}, Raw: []*float64{}, SD: []*float64{}}
	for _, k := range bins {
		n.Frequency = append(n.Frequency, digits(k.Frequency, 5))
		n.Power = append(n.Power, known(digits(k.Power, 5)))
		n.Raw = append(n.Raw, known(digits(k.Raw, 5)))
		n.SD = append(n.SD, known(digits(k.SD, 3)))
	}
	return n
}

// fit finds granularity by density.
func (b *bench) fit(readings []structure.Granularity) {
	l, err := structure.FitGrain(readings)
	if err != nil {
		if len(readings) > 0 {
			b.warn("granularity by density is not known: %s", figures.Bare(err))
		}
		return
	}
	b.res.law = &l
	at, low, high := estimate(l.At)
	if l.From > 1.15 || l.To < 0.85 { // it is carried too far for a figure
		at, low, high = nil, nil, nil
	}
	e, elow, ehigh := estimate(l.Exponent)
	b.res.Law = &grainLaw{at, low, high, e, elow, ehigh, digits(l.Bend, 4), digits(float64(l.From), 4), digits(float64(l.To), 4)}
}

// responseOf is a response for the output, up to a frequency.
func responseOf(of string, degrees float64, r *structure.Response, upTo float64) *response {
	out := &response{Of: of, Degrees: digits(degrees, 4), Frequency: []float64{}, M: []*float64{}, Low: []*float64{}, High: []*float64{}}
	f, m := r.Points()
	for i := range f {
		if f[i] > upTo*(1+1e-9) {
			break
		}
		out.Frequency = append(out.Frequency, digits(f[i], 6))
		out.M = append(out.M, known(figures.Round(m[i].Value, 5)))
		out.Low = append(out.Low, known(figures.Round(m[i].Low, 5)))
		out.High = append(out.High, known(figures.Round(m[i].High, 5)))
	}
	for _, at := range []float64{0.9, 0.5, 0.2, 0.1} {
		k := reach{M: at}
		if e, err := r.Frequency(at); err == nil && e.Value <= upTo {
			k.Frequency, k.Low, k.High = known(digits(e.Value, 4)), known(digits(e.Low, 4)), known(digits(e.High, 4))
		}
		out.Reaches = append(out.Reaches, k)
	}
	return out
}

// filmEdge measures the film's response in exposure.
func (b *bench) filmEdge() error {
	e := b.job.FilmEdge
	if e == nil {
		return nil
	}
	edge, err := b.edge("film_edge", e.Picture, *e.Box)
	switch {
	case isInput(err):
		b.limit("The film's response is not known: film_edge: %s.", figures.Bare(err))
		return nil
	case err != nil:
		return err
	}
	b.res.edge = edge
	low, high := edge.Sides()
	if !(low > 0) {
		b.limit("The film's response is not known: the dense side of film_edge passes no light above the dark frame and the flare; expose it longer.")
		return nil
	}
	sides := [2]float64{-math.Log10(high), -math.Log10(low)}
	if c := e.Contrast; c != nil && (math.Abs(c[0]-sides[0]) > 0.1 || math.Abs(c[1]-sides[1]) > 0.1) {
		b.warn("the sides of film_edge read %.2f and %.2f, and contrast_density says %.2f and %.2f: flare, shutter, or the box", sides[0], sides[1], c[0], c[1])
	}
	if !b.withinFilm(edge, low, high) {
		return nil
	}
	exposure, err := b.exposureOf(sides)
	if err != nil {
		b.limit("The film's response is not known: %s.", figures.Bare(err))
		return nil
	}
	r, err := edge.FilmResponse(b.res.camera, exposure)
	switch {
	case isInput(err):
		b.limit("The film's response is not known: film_edge: %s.", figures.Bare(err))
		return nil
	case err != nil:
		return err
	}
	of := "film"
	if e.Through == "lens" {
		of = "lens and film"
	}
	if b.res.camera == nil {
		of += ", camera not taken out"
	}
	deg, _ := edge.Angle()
	b.res.response = r
	b.res.FilmResponse = responseOf(of, deg, r, math.Inf(1))
	above, below := edge.Beyond()
	f := b.res.FilmResponse
	f.Sides = &[2]float64{figures.Round(sides[0], 4), figures.Round(sides[1], 4)}
	f.Above, f.Below = known(figures.Round(above, 4)), known(figures.Round(below, 4))
	fs, _ := r.Points()
	b.limit("The film's response is known up to %.3g cycles/mm.", fs[len(fs)-1])
	return nil
}

// withinFilm reports whether the edge's profile stays where a film can be: development that
// sharpens edges may make the thin side of a strong edge clearer than any film of that base, and
// there is no exposure to which that belongs.
func (b *bench) withinFilm(edge *structure.Edge, low, high float64) bool {
	above, _ := edge.Beyond()
	const noise = 0.02 // of the step: what grain alone leaves of a profile's ends
	if clearest := high + max(above-noise, 0)*(high-low); clearest > 1 {
		b.limit("The film's response is not known: beside the edge the film passes %.2f of the light, more than no film does; "+
			"development has sharpened it, and the curve has no exposure for that. Print an edge of less contrast.", clearest)
		return false
	}
	return true
}

// exposureOf returns the exposure of a transmittance by the gradients that the patches have at
// their densities: d log10 H = dD/g, g straight between them and constant beyond.
func (b *bench) exposureOf(sides [2]float64) (func(float64) (float64, error), error) {
	var ds, gs []float64
	for i := range b.patches {
		m := &b.patches[i]
		if g := b.job.Patches[m.of].Gradient; g > 0 {
			ds, gs = append(ds, float64(m.spectrum.Density())), append(gs, g)
		}
	}
	if b.curve != nil {
		ds, gs = b.curve(sides)
	}
	if len(ds) == 0 {
		return nil, fmt.Errorf("no patch has a gradient, and no film's curve is given, so that its densities cannot be turned into exposures")
	}
	l, err := newGradients(ds, gs)
	if err != nil {
		return nil, err
	}
	if lo, hi := l.span(); b.curve == nil && (sides[0] < lo-0.3 || sides[1] > hi+0.3) {
		b.warn("film_edge lies between densities of %.2f and %.2f, the gradients between %.2f and %.2f; they are carried on unchanged", sides[0], sides[1], lo, hi)
	}
	return func(t float64) (float64, error) {
		if !(t > 0) {
			return 0, wrong("transmittance %v", t)
		}
		return math.Pow(10, l.logH(-math.Log10(t))), nil
	}, nil
}

// curveOf gives the gradients of a film's curve about an edge's densities.
func curveOf(c sensito.Curve) func(sides [2]float64) (ds, gs []float64) {
	return func(sides [2]float64) (ds, gs []float64) {
		for i := range 41 {
			d := sides[0] - 0.2 + (sides[1]-sides[0]+0.4)*float64(i)/40
			x, err := c.LogH(sensito.Density(d))
			if err != nil {
				continue
			}
			if g, err := c.Slope(x); err == nil && g > 0.02 {
				ds, gs = append(ds, d), append(gs, g)
			}
		}
		return ds, gs
	}
}
