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
	v, err := d.SD(at)
	if err != nil {
		return sensito.Estimate{}, err
	}
	// What the value reaches its ends reach, which stand at the same densities.
	low, high := d.clone(), d.clone()
	for k, p := range d.Points {
		low.Points[k].SD.Value, high.Points[k].SD.Value = p.SD.Low, p.SD.High
	}
	e := sensito.Estimate{Value: v}
	if e.Low, err = low.SD(at); err != nil {
		return e, err
	}
	e.High, err = high.SD(at)
	return e, err
}

// estimate is [ResponseData.Frequency] with the frequencies at which the ends of the
// intervals fall so far; one that does not is not known.
func (d *ResponseData) estimate(m float64) (sensito.Estimate, error) {
	v, err := d.Frequency(m)
	if err != nil {
		return sensito.Estimate{}, err
	}
	low, high := d.clone(), d.clone()
	for k, p := range d.Points {
		low.Points[k].M.Value, high.Points[k].M.Value = p.M.Low, p.M.High
	}
	e := sensito.Estimate{Value: v, Low: math.NaN(), High: math.NaN()}
	if f, err := low.Frequency(m); err == nil {
		e.Low = f
	}
	if f, err := high.Frequency(m); err == nil {
		e.High = f
	}
	return e, nil
}
