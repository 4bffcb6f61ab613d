package structure

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Granularity is the standard deviation of density in a round aperture.
type Granularity struct {
	Density  sensito.Density
	Aperture float64 // diameter in µm
	// SD has the camera's noise and response taken out. Its interval has how few apertures
	// there are, the response's own interval, and what is not seen beyond UpTo.
	SD sensito.Estimate
	// Averaged is from real averages of pixels in apertures side by side, the camera's response
	// still in it; Expected is what the spectrum says that these averages scatter by. Where
	// they disagree the patch is not even.
	Averaged sensito.Estimate
	Expected float64
	// UpTo is the frequency in cycles/mm where the corrected spectrum stops, LeftOut the
	// share of the variance that is carried on from there.
	UpTo, LeftOut float64
	// Corrected reports that a camera's response was divided out.
	Corrected bool
	// Warnings are sentences about the patch.
	Warnings []string
}

// Granularity returns the standard deviation of density in the patch's aperture:
//
//	sd² = sum of (W - common)/E (2 J1(pi d f)/(pi d f))² du dv
//
// W what frames of the same place share, E the square of the camera's response with what
// sampling folds back, up to where the response is 0.2; beyond, the spectrum is carried on as
// it falls, and half of what that adds is in the interval. Without a camera's
// response (nil) the figure is what is in the file, which is too low; Corrected says so. The response
// is taken to be the same in all directions.
//
// The error wraps [ErrCoarse] where the camera's response at 1/aperture is below 0.2, or half
// the sampling rate lies below it.
//
// Source: as for [ApertureSD].
func (s *Spectrum) Granularity(camera *Response) (Granularity, error) {
	if s == nil || s.width == 0 {
		return Granularity{}, check.Errorf(ErrInput, "a spectrum of nothing; take one from a Patch")
	}
	g := Granularity{Density: s.density, Aperture: s.aperture, Corrected: camera != nil}
	if err := CanMeasure(s.aperture, s.pitch, camera); err != nil {
		return g, err
	}
	c := s.correction(camera)
	g.UpTo = c.upTo
	v, variance := s.integrate(c)
	tail, tailSD := s.tail(c)
	v += tail
	variance += tailSD * tailSD
	if !(v > 0) {
		return g, check.Errorf(ErrInput, "no grain above the camera's noise at a density of %.2f", float64(s.density))
	}
	g.LeftOut = tail / v
	s.held(&g)
	s.still(&g)
	if rough := s.uneven(); rough > 1 {
		variance *= rough * rough
		g.Warnings = append(g.Warnings, fmt.Sprintf(
			"the parts of the patch differ %.1f times as much as even grain would: it is not even, or marked; the interval is wider for it", rough))
	}
	sd := math.Sqrt(v)
	freedom := 2 * v * v / variance
	if freedom < 4 {
		return g, check.Errorf(ErrInput, "grain at a density of %.2f is hidden by the camera's noise; add frames of the same place", float64(s.density))
	}
	var err error
	g.SD, err = SDKnown(sd, freedom)
	return g, err
}

// Against returns how many times as great the granularity is as another, with its 95 % interval.
// The two are told apart where that leaves out 1. The error wraps [ErrInput] for apertures that
// differ and granularities that are not known.
func (g Granularity) Against(other Granularity) (sensito.Estimate, error) {
	ratio := g.SD.Value / other.SD.Value
	if g.Aperture != other.Aperture || !(ratio > 0) || !check.Finite(ratio) {
		return sensito.Estimate{}, check.Errorf(ErrInput, "granularities %v in %v µm and %v in %v µm", g.SD, g.Aperture, other.SD, other.Aperture)
	}
	up := math.Hypot(math.Log(g.SD.High/g.SD.Value), math.Log(other.SD.Value/other.SD.Low))
	down := math.Hypot(math.Log(g.SD.Value/g.SD.Low), math.Log(other.SD.High/other.SD.Value))
	return sensito.Estimate{Value: ratio, Low: ratio * math.Exp(-down), High: ratio * math.Exp(up)}, nil
}

// CanMeasure reports whether a camera of a pixel pitch in µm can measure granularity in an
// aperture: nil, or an error that wraps [ErrCoarse] and says why not. camera may be nil for one
// whose response is not known.
func CanMeasure(aperture, pitch float64, camera *Response) error {
	f := 1000 / aperture
	switch {
	case !(aperture > 0) || !(pitch > 0) || !check.Finite(aperture, pitch):
		return check.Errorf(ErrInput, "aperture %v µm, pixels of %v µm", aperture, pitch)
	case 2*pitch > aperture:
		return check.Errorf(ErrCoarse, "pixels of %.3g µm see no more than %.3g cycles/mm, and granularity in %.3g µm needs %.3g (1/%.3g µm): photograph closer, with pixels of %.3g µm or less",
			pitch, 500/pitch, aperture, f, aperture, aperture/2)
	case camera != nil && !(camera.reach(LeastResponse) >= f):
		return check.Errorf(ErrCoarse, "the camera's response is %.2f at 1/%.3g µm (%.3g cycles/mm), below %.1f: focus again, photograph closer, or use a better lens",
			camera.value(f), aperture, f, LeastResponse)
	}
	return nil
}

// integrate sums the spectrum through the aperture, up to where the camera sees, and returns
// the variance of the sum.
func (s *Spectrum) integrate(c correction) (v, variance float64) {
	half := s.width/2 + 1
	area := scaleOfPower(s.width, s.height, s.pitch)
	rs := s.rings()
	step := 1000 / (float64(max(s.width, s.height)) * s.pitch)
	weights := make([]float64, len(s.cross))
	total, response := 0.0, 0.0
	for i := range s.cross {
		f, restored := s.frequency(i)
		e, ok := c.at(f)
		if i == 0 || !ok {
			continue
		}
		a := ApertureResponse(s.aperture, f)
		weights[i] = restored * a * a * area / e
	}
	s.meanInto(weights, area)
	for i, w := range weights {
		if w == 0 {
			continue
		}
		f, restored := s.frequency(i)
		w *= twice(i%half, s.width)
		total += w / restored
		part := w * (s.cross[i] - s.common/restored)
		v += part
		if c.camera != nil {
			m := c.camera.value(f)
			response += 2 * math.Abs(part) * c.camera.sd(f) / m
		}
		if k := int(f/step + 0.5); k < len(rs) {
			// the half plane's other values are the same again
			variance += twice(i%half, s.width) * 2 * weights[i] * weights[i] * s.scatter(rs[k])
		}
	}
	variance += response*response + total*s.commonSD*total*s.commonSD
	return v, variance
}

// meanInto gives the weight of frequency 0, whose power went with the mean, to those beside it.
func (s *Spectrum) meanInto(weights []float64, area float64) {
	half := s.width/2 + 1
	beside := []int{1, half, half + 1, (s.height - 1) * half, (s.height-1)*half + 1}
	n := 0.0
	for _, i := range beside {
		n += twice(i%half, s.width)
	}
	for _, i := range beside {
		_, restored := s.frequency(i)
		weights[i] += area * restored / n
	}
}

// tail carries the spectrum on beyond what the camera sees: as it falls, which is between
// nothing and what it was.
func (s *Spectrum) tail(c correction) (v, sd float64) {
	level, n := 0.0, 0.0
	for _, r := range s.rings() {
		if e, ok := c.at(r.f); ok && r.n > 0 && r.f > 0.75*c.upTo {
			level, n = level+r.n*(r.cross-s.common)/e, n+r.n
		}
	}
	if !(level > 0) {
		return 0, 0
	}
	level /= n
	flat := 0.0
	// The aperture's squared response falls as the cube of the frequency.
	const steps = 400
	h := (30*1000/s.aperture - c.upTo) / steps
	for i := range steps {
		if !(h > 0) {
			break
		}
		f := c.upTo + h*(float64(i)+0.5)
		a := ApertureResponse(s.aperture, f)
		w := level * a * a * 2 * math.Pi * f * h * 1e-6
		flat += w
		v += w * math.Exp(c.fall*(f*f-c.upTo*c.upTo))
	}
	return v, max(v, flat-v) / 2
}

// held sets the averages beside what the spectrum says of them.
func (s *Spectrum) held(g *Granularity) {
	mean := 0.0
	for _, v := range s.byTile {
		mean += v / float64(len(s.byTile))
	}
	common := s.common * s.discCommon()
	g.Expected = math.Sqrt(max(mean-common, 0))
	sd := math.Sqrt(max(s.averaged-common, 0))
	g.Averaged = sensito.Estimate{Value: sd, Low: math.NaN(), High: math.NaN()}
	if e, err := SDKnown(sd, float64(max(s.discs-1, 1))); err == nil {
		g.Averaged = e
	}
	// Side by side the averages leave a fifth of the plane to the spectrum alone.
	if off := math.Abs(sd/g.Expected - 1); g.Expected > 0 && off > 4/math.Sqrt(2*float64(s.discs)) {
		g.Warnings = append(g.Warnings, fmt.Sprintf(
			"real averages in apertures scatter by %.4f, and by the spectrum they would by %.4f: the patch is not even, or marked", sd, g.Expected))
	}
}

// still warns where what the frames do not share is not white, as a camera's noise is: film that
// was moved between them is no longer shared.
func (s *Spectrum) still(g *Granularity) {
	if s.frames < 2 {
		return
	}
	var low, high, nLow, nHigh float64
	top := 500 / s.pitch
	for _, r := range s.rings() {
		switch {
		case r.n == 0:
		case r.f < top/4:
			low, nLow = low+r.n*(r.auto-r.cross), nLow+r.n
		case r.f > top/2:
			high, nHigh = high+r.n*(r.auto-r.cross), nHigh+r.n
		}
	}
	low, high = low/nLow, high/nHigh
	// A mean of n values of the half plane scatters by sqrt(2/n) of itself.
	if ratio := low / high; high > 0 && ratio > 1.5 && ratio > 1+5*math.Sqrt(2/(nLow*float64(s.tiles))) {
		g.Warnings = append(g.Warnings, fmt.Sprintf(
			"what the frames do not share is %.1f times as strong at low frequencies as at high ones, and no camera's noise: the film was moved between them, and the granularity reads too low; or the pictures were smoothed", ratio))
	}
}

// discCommon is the share of white noise that the disc lets through, per noise power.
func (s *Spectrum) discCommon() float64 {
	half := s.width/2 + 1
	sum := 0.0
	for i, p := range s.discPower {
		sum += p * twice(i%half, s.width)
	}
	return sum * scaleOfPower(s.width, s.height, s.pitch)
}

// uneven is how much more the tiles' variances scatter than even grain's would; 1 where that
// may be chance.
func (s *Spectrum) uneven() float64 {
	n := float64(len(s.byTile))
	if n < 6 {
		return 1
	}
	var mean, ss float64
	for _, v := range s.byTile {
		mean += v / n
	}
	for _, v := range s.byTile {
		ss += (v - mean) * (v - mean) / (n - 1)
	}
	half := s.width/2 + 1
	area := scaleOfPower(s.width, s.height, s.pitch)
	rs := s.rings()
	step := 1000 / (float64(max(s.width, s.height)) * s.pitch)
	theory := 0.0
	for i, p := range s.discPower {
		f, _ := s.frequency(i)
		if k := int(f/step + 0.5); k < len(rs) && i > 0 {
			theory += 2 * twice(i%half, s.width) * p * p * area * area * s.scatter(rs[k]) * float64(s.tiles)
		}
	}
	ratio := ss / theory
	// A variance of n values scatters by sqrt(2/n) of itself.
	if !(ratio > 1+4*math.Sqrt(2/n)) {
		return 1
	}
	return math.Sqrt(ratio)
}
