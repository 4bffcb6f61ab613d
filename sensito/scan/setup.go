package scan

import (
	"fmt"
	"math"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Setup is one arrangement of lamp, film and camera: what is common to all places that are
// measured with it. Frames of film have the size of the light frame.
type Setup struct {
	// Light is the bare table, at the same focus and aperture.
	Light *Frame
	// Darks are frames with the lens covered. That of the same time is taken, or else the
	// nearest in time, moved by the line through their means where they have two times.
	// Without any, black counts as 0.
	Darks []*Frame
	// Flare is taken off; FlareSD is its standard deviation, 0 where not known.
	Flare   Flare
	FlareSD float64
	// Tie turns densities into those of a certificate.
	Tie Tie
}

// Reading is the density of a place, as it is measured.
type Reading struct {
	Density sensito.Density
	// SD is the standard deviation from grain, photons, reading, the light frame, flare and
	// tie. The errors of the shutter's times and a lamp that drifts have no part in it.
	SD float64
	// Pixels were averaged; SetAside were dust, scratches and their neighbours.
	Pixels, SetAside int
	// Correlation is the standard error of the mean over that of pixels that do not know
	// each other.
	Correlation float64
	// Gradient is the density's change over the place along x and along y.
	Gradient [2]float64
	// Exposures that were joined, of those given.
	Exposures int
	// Warnings are sentences about this place.
	Warnings []string
}

const (
	// slope is the change of density over a place from which it is reported. A choice.
	slope = 0.03
	// fewPixels is the side below which a spectrum says little.
	fewPixels = 5
	// blackest is the share of a place at the lowest value of the scale from which the noise
	// counts as cut off there.
	blackest = 0.05
)

// nearest are the dark frames whose time is nearest to another, and by how many counts they
// are to be moved to it.
func (s *Setup) nearest(t time.Duration) (near []*Frame, move float64) {
	for _, d := range s.Darks {
		switch {
		case len(near) == 0, apart(d.time, t) < apart(near[0].time, t):
			near = []*Frame{d}
		case d.time == near[0].time:
			near = append(near, d)
		}
	}
	if len(near) > 0 {
		move = s.darkCurrent() * (t - near[0].time).Seconds()
	}
	return near, move
}

// darkAt returns the dark values of a box at a time, the mean of frames of one time.
func (s *Setup) darkAt(b Box, t time.Duration) ([]float64, error) {
	v := make([]float64, b.Width*b.Height)
	near, move := s.nearest(t)
	for _, d := range near {
		own, err := d.values(b)
		if err != nil {
			return nil, err
		}
		for i := range v {
			v[i] += own[i] / float64(len(near))
		}
	}
	for i := range v {
		v[i] += move
	}
	return v, nil
}

// darkMean is the mean of a whole dark frame at a time.
func (s *Setup) darkMean(t time.Duration) float64 {
	near, mean := s.nearest(t)
	for _, d := range near {
		mean += d.mean / float64(len(near))
	}
	return mean
}

// apart is how far two times are from each other, in stops.
func apart(a, b time.Duration) float64 {
	return math.Abs(math.Log2(float64(a) / float64(b)))
}

// darkCurrent is the counts in a second by which the dark frames rise with their time.
func (s *Setup) darkCurrent() float64 {
	var n, st, sm, stt, stm float64
	for _, d := range s.Darks {
		t := d.time.Seconds()
		n, st, sm, stt, stm = n+1, st+t, sm+d.mean, stt+t*t, stm+t*d.mean
	}
	if spread := stt - st*st/n; n > 1 && spread > 1e-12*stt {
		return (stm - st*sm/n) / spread
	}
	return 0
}

// wholeRate is the counts in a second over a whole frame, flare included.
func (s *Setup) wholeRate(f *Frame) float64 {
	return (f.mean - s.darkMean(f.time)) / f.time.Seconds()
}

// meanRate is that of a negative from the exposure that is longest and clips nowhere; sure
// is false where all clip, and the rate is then a lower bound.
func (s *Setup) meanRate(frames []*Frame) (rate float64, sure bool) {
	var best *Frame
	for _, f := range frames {
		switch {
		case best == nil,
			f.clipped < best.clipped && best.clipped > fewClipped,
			f.clipped <= fewClipped && f.time > best.time:
			best = f
		}
	}
	return s.wholeRate(best), best.clipped <= fewClipped
}

func (s *Setup) usable(frames []*Frame) error {
	if s.Light == nil {
		return check.Errorf(ErrInput, "a setup without a frame of the bare light table")
	}
	if err := s.Flare.usable(); err != nil {
		return err
	}
	if !(s.FlareSD >= 0) || !check.Finite(s.FlareSD) {
		return check.Errorf(ErrInput, "standard deviation %v of the flare", s.FlareSD)
	}
	if len(frames) == 0 {
		return check.Errorf(ErrInput, "no frame of the film")
	}
	for _, f := range append(frames[:len(frames):len(frames)], s.Darks...) {
		if f == nil {
			return check.Errorf(ErrInput, "a frame that is not there")
		}
		if f.width != s.Light.width || f.height != s.Light.height {
			return check.Errorf(ErrInput, "%s has %d × %d pixels, the light frame %s %d × %d; both are to be taken with one arrangement and cropped alike",
				f.origin.File, f.width, f.height, s.Light.origin.File, s.Light.width, s.Light.height)
		}
	}
	return nil
}

// light returns the light table's rates in a box without flare.
func (s *Setup) light(b Box) ([]float64, error) {
	v, err := s.Light.values(b)
	if err != nil {
		return nil, err
	}
	if c := s.Light.clippedIn(v); c > fewClipped {
		return nil, check.Errorf(ErrClipped,
			"%s: %.3g %% of the light table in box %v is at white (%.5g); expose it shorter", s.Light.origin.File, 100*c, b, s.Light.white)
	}
	dark, err := s.darkAt(b, s.Light.time)
	if err != nil {
		return nil, err
	}
	veil := s.Flare.Veil(s.wholeRate(s.Light))
	t := s.Light.time.Seconds()
	sum := 0.0
	for i := range v {
		v[i] = (v[i]-dark[i])/t - veil
		sum += v[i]
	}
	mean := sum / float64(len(v))
	if !(mean > 0) {
		return nil, check.Errorf(ErrInput, "%s: the light table is not above the dark frame in box %v", s.Light.origin.File, b)
	}
	for i := range v {
		v[i] = max(v[i], mean/10) // a speck on the table is set aside as dust, and divides by no 0
	}
	return v, nil
}

// exposure is one frame's transmittances in a box, with the variance of its mean from what
// pixels beside each other do not share.
type exposure struct {
	t        []float64
	mean     float64
	variance float64
	frame    *Frame
	quantum  float64 // of the numbers, as a transmittance
}

// exposures returns what each frame that does not clip says of a box; with the variances of the
// means where these are asked for.
func (s *Setup) exposures(b Box, frames []*Frame, variances bool) (es []exposure, warnings []string, err error) {
	light, err := s.light(b)
	if err != nil {
		return nil, nil, err
	}
	whole, sure := s.meanRate(frames)
	veil := s.Flare.Veil(whole)
	if !sure && s.Flare > 0 {
		warnings = append(warnings, "every exposure clips somewhere, so that the mean of the field, and with it the flare, is a lower bound; add a shorter one")
	}
	for _, f := range frames {
		v, err := f.values(b)
		if err != nil {
			return nil, nil, err
		}
		if f.clippedIn(v) > fewClipped {
			continue
		}
		if low := atBlack(v); low > blackest {
			warnings = append(warnings, fmt.Sprintf("%s: %.0f %% of the place is at the scale's black, which cuts the noise and makes it read too bright; expose longer", f.origin.File, 100*low))
		}
		dark, err := s.darkAt(b, f.time)
		if err != nil {
			return nil, nil, err
		}
		e := exposure{t: v, frame: f}
		t, level := f.time.Seconds(), 0.0
		for i := range v {
			v[i] = ((v[i]-dark[i])/t - veil) / light[i]
			e.mean += v[i]
			level += light[i]
		}
		e.mean /= float64(len(v))
		if !math.IsInf(f.origin.White, 1) { // whole numbers
			e.quantum = float64(len(v)) / (level * t)
		}
		if variances {
			e.variance = between(v, b.Width) / float64(len(v))
		}
		es = append(es, e)
	}
	return es, warnings, nil
}

// atBlack is the share of values at 0 of a place that has none below.
func atBlack(v []float64) float64 {
	n := 0
	for _, x := range v {
		if x < 0 {
			return 0
		}
		if x == 0 {
			n++
		}
	}
	return float64(n) / float64(len(v))
}

// between is the variance of a pixel by the differences of neighbours in a row, without
// those beyond five standard deviations: edges and dust. Whole numbers make the median of
// differences a whole number too, so that it only sets the limit.
func between(v []float64, width int) float64 {
	d := make([]float64, 0, len(v))
	for i := 1; i < len(v); i++ {
		if i%width != 0 {
			d = append(d, math.Abs(v[i]-v[i-1]))
		}
	}
	var sorted []float64
	for i := 0; i < len(d); i += thinning(len(d)) {
		sorted = append(sorted, d[i])
	}
	limit := dustLimit * medianOf(sorted) / 0.674489750196082
	ss, n := 0.0, 0
	for _, x := range d {
		if x <= limit || limit == 0 {
			ss, n = ss+x*x, n+1
		}
	}
	return ss / float64(2*max(n, 1))
}

// join returns the weighted transmittances of a box, by least squares with weights that are
// the same for all its pixels.
func join(es []exposure) []float64 {
	if len(es) == 1 {
		return es[0].t
	}
	known := true
	for _, e := range es {
		known = known && e.variance > 0
	}
	out := make([]float64, len(es[0].t))
	sum := 0.0
	for _, e := range es {
		w := e.frame.time.Seconds()
		if known {
			w = 1 / e.variance
		}
		sum += w
		for i := range out {
			out[i] += w * e.t[i]
		}
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// Exposed returns the mean of a box of the bare table, or of any frame, with its dark frame,
// and whether it is clipped there. The error wraps [ErrInput].
func (s *Setup) Exposed(f *Frame, b Box) (e Exposed, clipped bool, err error) {
	if err := s.usable([]*Frame{f}); err != nil {
		return Exposed{}, false, err
	}
	v, err := f.values(b)
	if err != nil {
		return Exposed{}, false, err
	}
	dark, err := s.darkAt(b, f.time)
	if err != nil {
		return Exposed{}, false, err
	}
	return Exposed{mean(v), mean(dark), f.time}, f.clippedIn(v) > fewClipped, nil
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// unclipped returns the light in a box, and its pixels, none of them at the camera's white.
func (s *Setup) unclipped(f *Frame, b Box) (Exposed, []float64, error) {
	e, clipped, err := s.Exposed(f, b)
	if err != nil {
		return e, nil, err
	}
	if clipped {
		return e, nil, check.Errorf(ErrClipped, "%s in box %v", f.origin.File, b)
	}
	v, err := f.values(b)
	return e, v, err
}

// PairPoint returns signal and variance of a box in two frames of one scene and time, by
// [PairNoise]. The error wraps [ErrInput], or [ErrClipped].
func (s *Setup) PairPoint(f, g *Frame, b Box) (NoisePoint, error) {
	e, v, err := s.unclipped(f, b)
	if err != nil {
		return NoisePoint{}, err
	}
	w, err := g.values(b)
	if err != nil {
		return NoisePoint{}, err
	}
	level, variance, err := PairNoise(v, w)
	return NoisePoint{level - e.Dark, variance}, err
}

// SinglePoint returns signal and variance of a box in one frame, by the differences of
// pixels beside each other: the fixed pattern counts as noise. The error wraps [ErrInput],
// or [ErrClipped].
func (s *Setup) SinglePoint(f *Frame, b Box) (NoisePoint, error) {
	e, v, err := s.unclipped(f, b)
	if err != nil {
		return NoisePoint{}, err
	}
	p := NoisePoint{e.Signal(), between(v, b.Width)}
	if !(p.Variance > 0) {
		return NoisePoint{}, check.Errorf(ErrInput, "%s has no noise in box %v", f.origin.File, b)
	}
	return p, nil
}

// MeasureFlare returns the flare from an opaque patch on the light table, with its standard
// deviation from the patch's noise, by [FlareOf]. The error wraps [ErrInput], or
// [ErrClipped] where the picture is at white: its mean is not known then.
func (s *Setup) MeasureFlare(b Box, f *Frame) (Flare, float64, error) {
	e, _, err := s.Exposed(f, b)
	if err != nil {
		return 0, 0, err
	}
	if f.clipped > fewClipped {
		return 0, 0, check.Errorf(ErrClipped,
			"%s: %.2g %% of the picture with the opaque patch is at white, and its mean not known; expose it shorter", f.origin.File, 100*f.clipped)
	}
	whole := f.mean - s.darkMean(f.time)
	flare, err := FlareOf(e.Signal(), whole)
	if err != nil {
		return 0, 0, err
	}
	v, err := f.values(b)
	if err != nil {
		return 0, 0, err
	}
	dark, err := s.darkAt(b, f.time)
	if err != nil {
		return 0, 0, err
	}
	for i := range v {
		v[i] -= dark[i]
	}
	se, _, err := MeanError(v, b.Width, b.Height)
	if err != nil {
		se = math.Sqrt(between(v, b.Width) / float64(len(v)))
	}
	return flare, se / whole, nil
}
