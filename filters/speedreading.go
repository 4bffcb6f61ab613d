package filters

import (
	"fmt"
	"math"

	"example.org/actinic/sensito"
)

// A SpeedReading is how fast a film is through a filter: log10 of the relative
// speed, the same constant being free in all readings, with its standard deviation.
type SpeedReading struct {
	Filter   Filter
	LogSpeed float64
	SD       float64
}

// SpeedReadingFromDensity returns the reading from the density that one and the
// same exposure gave through a filter,
//
//	log speed = log10 H of the curve at that density
//
// on the film's own characteristic curve; the deviation of the density is divided
// by the slope there. A curve whose contrast changes with wavelength makes the
// result depend on the density.
//
// Source: the definition of speed at a stated density.
func SpeedReadingFromDensity(f Filter, d sensito.Density, sd float64, curve sensito.Curve) (SpeedReading, error) {
	switch {
	case curve == nil:
		return SpeedReading{}, invalid("no curve")
	case len(f.parts) == 0:
		return SpeedReading{}, invalid("the filter is empty, use Clear for none")
	}
	h, err := curve.LogH(d)
	if err != nil {
		return SpeedReading{}, fmt.Errorf("filter %q: %w", f.name, err)
	}
	g, err := curve.Slope(h)
	if err != nil {
		return SpeedReading{}, fmt.Errorf("filter %q: %w", f.name, err)
	}
	if !(sd > 0 && g > 0) || math.IsInf(sd/g, 0) {
		return SpeedReading{}, invalid("filter %q: deviation %v at slope %v", f.name, sd, g)
	}
	return SpeedReading{f, float64(h), sd / g}, nil
}

func (q SpeedReading) check(i int) error {
	switch {
	case len(q.Filter.parts) == 0:
		return invalid("reading %d has no filter, use Clear", i)
	case !(q.SD >= 1e-4 && q.SD <= 1):
		return invalid("reading %d through %q has the deviation %v, it is 0.0001 to 1", i, q.Filter.name, q.SD)
	case !(math.Abs(q.LogSpeed) <= 100):
		return invalid("reading %d through %q has log speed %v", i, q.Filter.name, q.LogSpeed)
	}
	return nil
}
