package actinic

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/sensito"
)

// recordDigits is how many digits the numbers of a published record keep; their
// uncertainty is in the third or fourth.
const recordDigits = 5

// AsFilm makes the record a film with one process: the fitted curves with their
// readings, speeds and average gradients, the recommended index and development,
// and the growth of contrast, each number to five digits. p says where the test
// comes from. Add a spectral sensitivity or a reciprocity law by [Film.Data] and
// [NewFilm], and publish it by [WritePackage].
//
// The error wraps [ErrData] if the record has no name, p no source, or a strip
// no curve, as in a record read back from JSON.
func (r *Record) AsFilm(p Provenance) (*Film, error) {
	d := ProcessData{Name: r.Process, Light: r.Light, Provenance: p}
	for _, s := range r.Strips {
		if s.Curve == nil {
			return nil, fmt.Errorf("%w: strip %s of the record has no curve; characterise the readings again", ErrData, s.Strip)
		}
		c := CurveData{
			Name: s.Strip, Development: seconds(s.DevelopmentS), BaseFog: s.Curve.BaseFog(),
			Speed:    sensito.Speed{Value: digits(s.Speed.Value, recordDigits), Kind: s.Speed.Kind, Criterion: s.Speed.Criterion},
			Gradient: trimmed(s.AverageGradient), Readings: slices.Clone(s.Readings), Unexposed: slices.Clone(s.Unexposed), Provenance: p,
		}
		if err := c.setCurve(s.Curve); err != nil {
			return nil, fmt.Errorf("%w: strip %s: %v", ErrData, s.Strip, err)
		}
		if s.Speed.Low != nil && s.Speed.High != nil {
			c.SpeedLow, c.SpeedHigh = digits(*s.Speed.Low, recordDigits), digits(*s.Speed.High, recordDigits)
		}
		slices.SortStableFunc(c.Readings, func(a, b sensito.Reading) int { return order(float64(a.LogH - b.LogH)) })
		d.Curves = append(d.Curves, c)
	}
	if x := r.Index; x != nil {
		d.Index = &IndexData{Index: *trimmed(&x.Estimate), From: x.From, Provenance: p}
		if r.Development != nil {
			d.Index.Development = trimmed(r.Development)
			d.Index.Gradient = digits(r.TargetAverageGradient, recordDigits)
		}
	}
	if g := r.ContrastTime; g != nil {
		short, long := g.Law.Range()
		d.Growth = &GrowthData{Limit: *trimmed(&g.Limit), Rate: *trimmed(&g.Rate), Induction: *trimmed(&g.Induction), Shortest: short, Longest: long, Provenance: p}
	}
	return NewFilm(FilmData{Name: r.Film, Provenance: p, Processes: []ProcessData{d}})
}

// recordStep is the distance of a record's points in log10 H.
const recordStep = 0.1

// setCurve takes over the fitted curve: its constants where a closed form stands for
// it, points otherwise.
func (c *CurveData) setCurve(f *sensito.Fitted) error {
	trim(&c.BaseFog)
	if shape, ok := f.Shape(); ok {
		trim(&shape.BaseFog)
		trim(&shape.Gamma)
		trim(&shape.Toe)
		trim(&shape.ToeWidth)
		trim(&shape.Shoulder)
		trim(&shape.Sharpness)
		c.Shape, c.BaseFog = &shape, shape.BaseFog
		return nil
	}
	points, err := f.Points(recordStep)
	if err != nil {
		return err
	}
	for i := range points {
		points[i].Density = sensito.Density(round(float64(points[i].Density), recordDigits))
	}
	c.Points = points
	return nil
}

func trim[T ~float64](v *T) { *v = T(digits(float64(*v), recordDigits)) }

func trimmed(e *sensito.Estimate) *sensito.Estimate {
	if e == nil {
		return nil
	}
	out := *e
	for _, v := range []*float64{&out.Value, &out.Low, &out.High} {
		if !math.IsNaN(*v) && !math.IsInf(*v, 0) {
			trim(v)
		}
	}
	return &out
}
