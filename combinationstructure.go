package actinic

import (
	"math"
	"time"

	"example.org/actinic/sensito"
)

const (
	// grainAperture is the diameter, in µm, and grainNet the density above base plus fog, at
	// which granularity is usually stated (from memory, of data sheets and of ISO 10505).
	grainAperture = 48
	grainNet      = 1.0
	halfResponse  = 0.5
)

// structure takes grain and response, where they are of this development.
func (c *Combination) structure() {
	d := c.Process.data
	if g := d.Granularity; g != nil && c.Curve != nil && g.Aperture == grainAperture && c.near(g.Development) {
		if e, err := g.estimate(c.Curve.BaseFog() + grainNet); err == nil {
			c.Traits[TraitGrain] = e
		}
	}
	if r := d.Response; r != nil && c.near(r.Development) {
		if e, err := r.estimate(halfResponse); err == nil {
			c.Traits[TraitResponse] = e
		}
	}
}

// near reports whether something measured at a development holds for the combination: to a
// twentieth of the time, which grain and sharpness do not notice (common practice, no
// source).
func (c *Combination) near(measured time.Duration) bool {
	return measured == 0 || c.Development == 0 || math.Abs(math.Log(measured.Seconds()/c.Development.Seconds())) < 0.05
}

// estimate is [GranularityData.SD] with the interval that the points around have.
func (d *GranularityData) estimate(at sensito.Density) (sensito.Estimate, error) {
	ends := [3]float64{}
	for i, of := range []func(sensito.Estimate) float64{value, low, high} {
		with := *d.clone()
		for k := range with.Points {
			with.Points[k].SD.Value = of(d.Points[k].SD)
		}
		v, err := with.SD(at)
		if err != nil {
			return sensito.Estimate{}, err
		}
		ends[i] = v
	}
	return sensito.Estimate{Value: ends[0], Low: ends[1], High: ends[2]}, nil
}

// estimate is [ResponseData.Frequency] with the frequencies at which the ends of the
// intervals fall so far; one that does not is not known.
func (d *ResponseData) estimate(m float64) (sensito.Estimate, error) {
	v, err := d.Frequency(m)
	if err != nil {
		return sensito.Estimate{}, err
	}
	end := func(of func(sensito.Estimate) float64) float64 {
		with := *d.clone()
		for k := range with.Points {
			with.Points[k].M.Value = of(d.Points[k].M)
		}
		f, err := with.Frequency(m)
		if err != nil {
			return math.NaN()
		}
		return f
	}
	return sensito.Estimate{Value: v, Low: end(low), High: end(high)}, nil
}

func value(e sensito.Estimate) float64 { return e.Value }
func low(e sensito.Estimate) float64   { return e.Low }
func high(e sensito.Estimate) float64  { return e.High }
