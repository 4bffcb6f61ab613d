package structure

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Spectrum is the noise power of a patch, in density² µm²: what frames of the same place
// share, and what one frame has. It is that of the light, log10(e)² times the power of
// relative transmittance, as an instrument sees it that averages light; for small
// fluctuations the two are one.
type Spectrum struct {
	pitch, aperture      float64
	width, height        int
	frames, tiles, discs int
	kept                 float64 // share of the pixels that dust left
	density              sensito.Density
	cross, auto          []float64 // half plane u >= 0, rows by v
	discPower            []float64
	byTile               []float64
	averaged             float64 // variance of averages
	common, commonSD     float64 // white noise that the frames share and the film has not
}

// Density returns that of the mean light of the patch, if transmittances were given.
func (s *Spectrum) Density() sensito.Density { return s.density }

// Frames returns how many frames of the place there were.
func (s *Spectrum) Frames() int { return s.frames }

// Tiles returns how many tiles were averaged.
func (s *Spectrum) Tiles() int { return s.tiles }

// Without returns the spectrum less a white noise, in density² µm², that all frames share
// but that is no film's: the noise of the frame of the light table and of the dark frame
// that all were corrected with. With a single frame, the camera's own noise is part of it. sd
// is its standard deviation.
//
// The error wraps [ErrInput].
func (s *Spectrum) Without(white, sd float64) (*Spectrum, error) {
	if !(white >= 0) || !(sd >= 0) || !check.Finite(white, sd) {
		return nil, check.Errorf(ErrInput, "noise power %v ± %v", white, sd)
	}
	c := *s
	c.common, c.commonSD = s.common+white, math.Hypot(s.commonSD, sd)
	return &c, nil
}

// Variance returns the mean variance of a pixel's density in a tile, one frame's and what the
// frames share: the sums of the spectra over all frequencies (Parseval).
func (s *Spectrum) Variance() (one, shared float64) {
	half := s.width/2 + 1
	area := scaleOfPower(s.width, s.height, s.pitch)
	for i := range s.cross {
		one += s.auto[i] * twice(i%half, s.width) * area
		shared += s.cross[i] * twice(i%half, s.width) * area
	}
	return one, shared
}

// frequency returns that of a place of the half plane in cycles/mm, and what its power is to
// be multiplied by for the plane that was taken off each tile.
func (s *Spectrum) frequency(i int) (f, restored float64) {
	half := s.width/2 + 1
	kx, ky := i%half, i/half
	if 2*ky > s.height {
		ky = s.height - ky
	}
	u, v := float64(kx)/float64(s.width), float64(ky)/float64(s.height)
	restored = 1
	if j := max(kx, ky); (kx == 0) != (ky == 0) {
		restored = 1 / (1 - 3/(math.Pi*math.Pi*float64(j*j)))
	}
	return math.Hypot(u, v) / s.pitch * 1000, restored
}

// Bin is the noise power about a frequency, averaged over all directions.
type Bin struct {
	Frequency float64 // cycles/mm, mean of those averaged
	Power     float64 // density² µm², camera's noise and response taken out; NaN where the response is too low
	Raw       float64 // of one frame, all in it
	SD        float64 // standard deviation of Power
	Values    int     // of the half plane that were averaged, over all tiles
}

// ring is a sum over a ring of frequencies.
type ring struct{ f, cross, auto, n float64 }

// rings averages the half plane by frequency, a ring for each step of the longer side, the
// mean itself left out.
func (s *Spectrum) rings() []ring {
	if s == nil || s.width == 0 {
		return nil
	}
	width := 1000 / (float64(max(s.width, s.height)) * s.pitch)
	rs := make([]ring, int(1000/s.pitch/2/width)+1)
	half := s.width/2 + 1
	for i := range s.cross {
		f, restored := s.frequency(i)
		k := int(f/width + 0.5)
		if i == 0 || k >= len(rs) {
			continue
		}
		w := twice(i%half, s.width)
		r := &rs[k]
		r.f, r.cross, r.auto, r.n = r.f+w*f, r.cross+w*restored*s.cross[i], r.auto+w*restored*s.auto[i], r.n+w
	}
	for k := range rs {
		if r := &rs[k]; r.n > 0 {
			r.f, r.cross, r.auto = r.f/r.n, r.cross/r.n, r.auto/r.n
		}
	}
	return rs
}

// scatter returns the variance of one value of the spectrum in one ring, from what the frames
// share and what they do not:
//
//	S² + 2 S N/n + N²/(n (n-1))
//
// for the mean of the products of n frames whose transforms are normal.
func (s *Spectrum) scatter(r ring) float64 {
	shared, n := max(r.cross, 0), float64(s.frames)
	v := r.auto * r.auto
	if s.frames > 1 {
		noise := max(r.auto-shared, 0)
		v = shared*shared + 2*shared*noise/n + noise*noise/(n*(n-1))
	}
	return v / (float64(s.tiles) * s.kept)
}

// Bins returns the spectrum by frequency, from the lowest up to half the sampling rate.
// Without a camera's response nothing is divided out, and Power says what the frames
// share.
func (s *Spectrum) Bins(camera *Response) []Bin {
	c := s.correction(camera)
	var out []Bin
	for _, r := range s.rings() {
		if r.n == 0 {
			continue
		}
		b := Bin{Frequency: r.f, Power: math.NaN(), SD: math.NaN(), Raw: r.auto, Values: int(r.n/2+0.5) * s.tiles}
		if e, ok := c.at(r.f); ok {
			b.Power = (r.cross - s.common) / e
			b.SD = math.Sqrt(2*s.scatter(r)/r.n) / e // the half plane knows all
		}
		out = append(out, b)
	}
	return out
}

// correction is what film's noise power is multiplied by until it is in a file: the square
// of the camera's response, with what is folded back at half the sampling rate.
type correction struct {
	camera *Response
	fall   float64 // of the film's own spectrum, exp(fall f²)
	rate   float64 // of sampling, cycles/mm
	upTo   float64
}

// LeastResponse is the camera's response below which nothing is divided by it. At 0.2 the
// noise power is a twenty-fifth of the film's. A choice.
const LeastResponse = 0.2

// correction finds how far the camera reaches, and how the film's spectrum falls, which
// decides what is folded back.
func (s *Spectrum) correction(camera *Response) correction {
	if s == nil || s.width == 0 {
		return correction{}
	}
	c := correction{camera: camera, rate: 1000 / s.pitch}
	c.upTo = c.rate / 2
	if camera == nil {
		return c
	}
	c.upTo = min(c.upTo, camera.reach(LeastResponse))
	rs := s.rings()
	for range 3 {
		c.fall = s.fall(rs, c)
	}
	return c
}

// at returns the factor at a frequency; false beyond what the camera sees.
func (c *correction) at(f float64) (float64, bool) {
	if f > c.upTo {
		return 0, false
	}
	if c.camera == nil {
		return 1, true
	}
	m := c.camera.value(f)
	sum := m * m
	// The nearest images of the frequency along either axis; for each direction of f they lie
	// elsewhere, and so two directions stand for all.
	for _, dir := range [2][2]float64{{1, 0}, {math.Sqrt2 / 2, math.Sqrt2 / 2}} {
		u, v := f*dir[0], f*dir[1]
		for i := -1; i <= 1; i++ {
			for j := -1; j <= 1; j++ {
				if i == 0 && j == 0 {
					continue
				}
				g := math.Hypot(u+float64(i)*c.rate, v+float64(j)*c.rate)
				m := c.camera.value(g)
				sum += m * m * math.Exp(c.fall*(g*g-f*f)) / 2
			}
		}
	}
	return sum, true
}

// fall fits log W = a + b f² to the rings that the camera sees, b not above 0.
func (s *Spectrum) fall(rs []ring, c correction) float64 {
	var n, sx, sy, sxx, sxy float64
	for _, r := range rs {
		e, ok := c.at(r.f)
		w := (r.cross - s.common) / e
		sd := math.Sqrt(2*s.scatter(r)/max(r.n, 1)) / e
		if !ok || r.n == 0 || !(w > 2*sd) {
			continue
		}
		k := w * w / (sd * sd)
		x, y := r.f*r.f, math.Log(w)
		n, sx, sy, sxx, sxy = n+k, sx+k*x, sy+k*y, sxx+k*x*x, sxy+k*x*y
	}
	if d := n*sxx - sx*sx; d > 1e-9*n*sxx {
		return min((n*sxy-sx*sy)/d, 0)
	}
	return 0
}
