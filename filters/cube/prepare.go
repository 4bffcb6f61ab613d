package cube

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/filters"
	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// ErrInvalid is wrapped by errors about input that cannot be what it is said to be.
var ErrInvalid = check.Sentinel("cube: invalid data")

func invalid(format string, a ...any) error { return check.Errorf(ErrInvalid, format, a...) }

// A Channel is one photograph of the scene: a film in a light behind a filter,
// and how it is exposed.
type Channel struct {
	Film   spectral.Sensitivity
	Light  spectral.Light
	Filter filters.Filter // [filters.Clear] for none
	Curve  sensito.Curve
	// White is the exposure on the film, through the filter, of a surface whose
	// reflectance is 1 at every wavelength. A grey card of 18 % exposed to g has
	// White = g + 0.745. Where the exposure is not lengthened by the filter's
	// factor F, take log10 F off.
	White sensito.LogH
}

// OffCurve says what becomes of exposures outside the domain of a curve.
type OffCurve uint8

const (
	// RefuseOffCurve makes their densities NaN, counts them, and returns an error at the
	// end. It is the zero value.
	RefuseOffCurve OffCurve = iota
	// ClampToCurve gives them the density of the nearer end of the curve, and counts
	// them. An exposure of zero or less gets that of the lower end.
	ClampToCurve
)

// limits of what can be prepared: a sum of more float32 products than this loses
// too many digits, and more channels than this are a mistake.
const (
	maxBands    = 4096
	maxChannels = 4096
)

// Renderer is a set of channels made ready for images of one set of bands. It is
// immutable and may be used by several goroutines at once.
type Renderer struct {
	bands, channels int
	weights         []float64 // channels × bands, lux seconds per reflectance
	relative        []float32 // the same over the exposure where each curve starts
	tables          tables
	refuse          bool
	layout          layout // of the assembly
}

// Prepare makes channels ready for images with bands at the wavelengths bands, in
// nm and rising; a pixel's reflectance is a straight line from band to band, and
// what it is outside them is for the caller to choose, see [spectral.NewQuadrature]. The
// weights are the exact integrals of light E, filter T and sensitivity S with the
// hat function h_b of each band:
//
//	H = 10^White Σ w_b R_b,   w_b = ∫ E T S h_b dλ / Σ ∫ E T S h_b dλ
//
// With Zero outside the bands, film and light count within them only.
//
// Errors wrap [ErrInvalid] for no channel, more than 4096 channels or bands, a
// White that is not finite or more than 30 from the curve's start, or a curve that
// no table follows to the accuracy of the package; filters.ErrOpaque for a film
// that sees nothing; or are those of package spectral for spectra that do not fit.
//
// Source: the definition of the actinic exposure, see [filters.Factor]; the weights are
// worked out here.
func Prepare(bands []float64, outside spectral.Outside, beyond OffCurve, channels ...Channel) (*Renderer, error) {
	switch {
	case len(channels) == 0:
		return nil, invalid("no channel to prepare")
	case len(channels) > maxChannels:
		return nil, invalid("%d channels, the most is %d", len(channels), maxChannels)
	case len(bands) > maxBands:
		return nil, invalid("%d bands, the most is %d", len(bands), maxBands)
	case beyond > ClampToCurve:
		return nil, invalid("beyond the curve is %d: choose RefuseOffCurve or ClampToCurve", beyond)
	}
	p := &Renderer{bands: len(bands), channels: len(channels), refuse: beyond == RefuseOffCurve}
	curves := make([]sensito.Curve, len(channels))
	for i, c := range channels {
		if curves[i] = c.Curve; c.Curve == nil {
			return nil, fmt.Errorf("channel %d: %w", i, invalid("no curve"))
		}
	}
	var err error
	if p.tables, err = newTables(curves, len(bands)); err != nil {
		return nil, err
	}
	for i, c := range channels {
		w, err := c.weights(bands, outside)
		if err != nil {
			return nil, fmt.Errorf("channel %d: %w", i, err)
		}
		start := p.tables.of[i].start
		if !(math.Abs(float64(c.White)-start) <= 30) {
			return nil, fmt.Errorf("channel %d: %w", i,
				invalid("white is exposed to log H %g and the curve starts at %g: are both log10 lux seconds?",
					float64(c.White), start))
		}
		for _, v := range w {
			p.weights = append(p.weights, v*math.Pow(10, float64(c.White)))
			p.relative = append(p.relative, float32(v*math.Pow(10, float64(c.White)-start)))
		}
	}
	p.layout = p.newLayout()
	return p, nil
}

// weights returns the weights of reflectance, which sum to 1.
func (c Channel) weights(bands []float64, outside spectral.Outside) ([]float64, error) {
	fs, ls, ts := c.Film.Spectra(), c.Light.Spectra(), c.Filter.Spectra()
	switch {
	case len(fs) == 0:
		return nil, invalid("the sensitivity is empty")
	case len(ls) == 0:
		return nil, invalid("the light is empty")
	case len(ts) == 0:
		return nil, invalid("the filter is empty, use filters.Clear for none")
	}
	r, err := spectral.NewQuadrature(bands, outside, slices.Concat(fs, ls, ts)...)
	if err != nil {
		return nil, err
	}
	if !(r.Total() > 0) {
		return nil, fmt.Errorf("%w: the film sees nothing of this light behind %q in these bands", filters.ErrOpaque, c.Filter.Name())
	}
	w := r.Weights()
	for i := range w {
		w[i] /= r.Total()
	}
	return w, nil
}

// Bands returns the number of values of a pixel's reflectance, 0 for nothing
// prepared.
func (p *Renderer) Bands() int {
	if p == nil {
		return 0
	}
	return p.bands
}

// Channels returns the number of densities of a pixel, 0 for nothing prepared.
func (p *Renderer) Channels() int {
	if p == nil {
		return 0
	}
	return p.channels
}

// MarshalJSON refuses: store the channels, and prepare again.
func (p *Renderer) MarshalJSON() ([]byte, error) {
	return nil, invalid("what was prepared is not stored; store its channels")
}

// Weights returns a copy of the weights of a channel, counted from 0, with which
//
//	H = Σ w_b R_b
//
// is the exposure in lux seconds. A channel that is not there has none.
//
// Source: as for [Prepare].
func (p *Renderer) Weights(channel int) []float64 {
	if channel < 0 || channel >= p.Channels() {
		return nil
	}
	return slices.Clone(p.weights[channel*p.bands : (channel+1)*p.bands])
}
