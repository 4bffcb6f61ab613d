package actinic

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// recordDigits is how many digits the numbers of a published record keep; their
// uncertainty is in the third or fourth.
const recordDigits = 5

// FilmOf makes a film of the record of a test roll with one process: the fitted curves with their
// readings, speeds and average gradients, the recommended index and development,
// and the growth of contrast, each number to five digits. p says where the test
// comes from. Add a spectral sensitivity or a reciprocity law by [Film.Data] and
// [NewFilm], and publish it by [WritePackage].
//
// The error wraps [datafile.ErrData] if the record has no name, p no source, or a strip
// no curve, as in a record read back from JSON.
func FilmOf(r *roll.Record, p Provenance) (*Film, error) {
	d := ProcessData{Name: r.Process, Light: r.Light, Provenance: p}
	for _, s := range r.Strips {
		if s.Curve == nil {
			return nil, fmt.Errorf("%w: strip %s of the record has no curve; characterise the readings again", datafile.ErrData, s.Strip)
		}
		shape := s.Curve.Shape()
		lo, hi := s.Curve.Domain()
		shape.From, shape.To = lo, hi
		trim(&shape.BaseFog)
		trim(&shape.Gamma)
		trim(&shape.Toe)
		trim(&shape.ToeWidth)
		trim(&shape.Shoulder)
		trim(&shape.Sharpness)
		c := CurveData{
			Name: s.Strip, Development: figures.Seconds(s.DevelopmentS), BaseFog: shape.BaseFog, Shape: &shape,
			Speed:    sensito.Speed{Value: figures.Digits(s.Speed.Value, recordDigits), Kind: s.Speed.Kind, Criterion: s.Speed.Criterion},
			Gradient: trimmed(s.AverageGradient), Readings: slices.Clone(s.Readings), Unexposed: slices.Clone(s.Unexposed), Provenance: p,
		}
		if s.Speed.Low != nil && s.Speed.High != nil {
			c.SpeedLow, c.SpeedHigh = figures.Digits(*s.Speed.Low, recordDigits), figures.Digits(*s.Speed.High, recordDigits)
		}
		slices.SortStableFunc(c.Readings, func(a, b sensito.Reading) int { return cmp.Compare(a.LogH, b.LogH) })
		d.Curves = append(d.Curves, c)
	}
	if x := r.Index; x != nil {
		d.Index = &IndexData{Index: *trimmed(&x.Estimate), From: x.From, Provenance: p}
		if r.Development != nil {
			d.Index.Development = trimmed(r.Development)
			d.Index.Gradient = figures.Digits(r.TargetAverageGradient, recordDigits)
		}
	}
	if g := r.ContrastTime; g != nil {
		short, long := g.Law.Range()
		d.Growth = &GrowthData{Limit: *trimmed(&g.Limit), Rate: *trimmed(&g.Rate), Induction: *trimmed(&g.Induction), Shortest: short, Longest: long, Provenance: p}
	}
	return NewFilm(FilmData{Name: r.Film, Provenance: p, Processes: []ProcessData{d}})
}

func trim[T ~float64](v *T) { *v = T(figures.Digits(float64(*v), recordDigits)) }

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
