package actinic

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/actinic/devtime"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/check"
	"example.org/actinic/internal/figures"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// recordDigits is how many digits the numbers of a published record keep; their
// uncertainty is in the third or fourth.
const recordDigits = 5

// FilmOf makes a film of the record of a test roll with one process: the fitted curves with their
// readings, speeds and average gradients, the recommended index with the development
// that belongs to it and its history, and the growth of contrast, each number to five
// digits. p says where the test comes from. Add a spectral sensitivity or a reciprocity
// law by [Film.Data] and [NewFilm], and publish it by [WritePackage].
//
// A number that no package takes, such as an interval that is not known at one end, is
// left out. Strips that seem exchanged go by the development that they were taken to
// have had, and say so in their conditions; a strip whose label does not go with it is
// left out.
//
// The error wraps [datafile.ErrData] if the record has no name, p no source, or there is
// neither a curve nor an index.
func FilmOf(r *roll.Record, p Provenance) (*Film, error) {
	if r == nil {
		return nil, fmt.Errorf("%w: no record to make a film of", datafile.ErrData)
	}
	if r.Exposure == "relative" {
		return nil, fmt.Errorf("%w: the exposures of %s are relative, and a package holds log10 of lux seconds; tie them by metered_at_ei",
			datafile.ErrData, r.Film)
	}
	if said := detailsOf(r); said != "" {
		p.Conditions = joined(p.Conditions, said)
	}
	d := ProcessData{Name: r.Process, Light: r.Light, Provenance: p, Test: testOf(r), Findings: findingsOf(r)}
	d.Agitation = r.Details["agitation"]
	if v, err := strconv.ParseFloat(r.Details["temperature_c"], 64); err == nil && v > 0 {
		d.Temperature = devtime.Celsius(v)
	}
	for i := range r.Strips {
		s := &r.Strips[i]
		if slices.Contains(s.LeftOut, "speed") && slices.Contains(s.LeftOut, "contrast") {
			continue
		}
		c, err := curveOf(s, p)
		if err != nil {
			return nil, fmt.Errorf("%w: strip %s: %w", datafile.ErrData, s.Strip, err)
		}
		d.Curves = append(d.Curves, c)
	}
	d.Index = indexOf(r, p)
	if len(d.Curves) == 0 && d.Index == nil {
		return nil, fmt.Errorf("%w: the record of %s has neither a curve nor an index to publish", datafile.ErrData, r.Film)
	}
	d.Growth = growthOf(r.ContrastTime, p)
	return NewFilm(FilmData{Name: r.Film, Provenance: p, Processes: []ProcessData{d}})
}

// detailsOf is what a record says of who tested and with what, on one line.
func detailsOf(r *roll.Record) string {
	var parts []string
	for _, l := range r.DetailLines() {
		parts = append(parts, strings.ToLower(l.Name)+": "+l.Text)
	}
	return strings.Join(parts, "; ")
}

// curveOf makes a curve of a strip.
func curveOf(s *roll.StripRecord, p Provenance) (CurveData, error) {
	fit, err := s.Fit()
	if err != nil {
		return CurveData{}, err
	}
	c := CurveData{
		Name: s.Strip, Development: figures.Seconds(s.Taken()),
		Readings: s.Measured(), Unexposed: slices.Clone(s.Unexposed), Provenance: p,
	}
	if err := c.setCurve(fit); err != nil {
		return CurveData{}, err
	}
	if s.TakenS != nil {
		c.Provenance.Conditions = joined(p.Conditions, fmt.Sprintf("labelled %v, taken as exchanged with another strip",
			figures.Seconds(s.DevelopmentS)))
	}
	if v := s.Speed.Value; v >= plausible.LeastIndex && v <= plausible.GreatestIndex {
		c.Speed = sensito.Speed{Value: figures.Digits(v, recordDigits), Kind: s.Speed.Kind, Criterion: s.Speed.Criterion}
		if s.Speed.Low != nil && s.Speed.High != nil {
			low, high := figures.Digits(*s.Speed.Low, recordDigits), figures.Digits(*s.Speed.High, recordDigits)
			if low > 0 && low <= c.Speed.Value && high >= c.Speed.Value {
				c.SpeedLow, c.SpeedHigh = low, high
			}
		}
	}
	c.settleSpeed()
	if g := trimmed(s.AverageGradient); g != nil && g.Value > 0 {
		c.Gradient = g
	}
	slices.SortStableFunc(c.Readings, func(a, b sensito.Reading) int { return cmp.Compare(a.LogH, b.LogH) })
	return c, nil
}

// settleSpeed makes the speed one that the published curve has: on the very edge of the
// contrast condition the curve as published may just miss it, and the speed is an index.
func (c *CurveData) settleSpeed() {
	curve, err := c.curve()
	if err != nil || speedAgrees(c, curve) == nil {
		return
	}
	if c.Speed.Kind == sensito.ISO {
		c.Speed.Kind, c.Speed.Criterion = sensito.EI, sensito.FixedDensity
		if speedAgrees(c, curve) == nil {
			return
		}
	}
	c.Speed, c.SpeedLow, c.SpeedHigh = sensito.Speed{}, 0, 0
}

// recordStep is the distance of a record's points in log10 H.
const recordStep = 0.1

// pointLogDigits is to how many decimals log10 H of a point is written: a thousandth of a
// percent of exposure.
const pointLogDigits = 6

// setCurve takes over the fitted curve: its constants where a closed form stands for
// it, points otherwise.
func (c *CurveData) setCurve(f *sensito.Fitted) error {
	if form, ok := f.ClosedForm(); ok {
		shape := form.Constants()
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
		points[i].Density = sensito.Density(figures.Round(float64(points[i].Density), recordDigits))
		// Steps add up to -2.2699999999999996 on one processor and to -2.27 on another.
		points[i].LogH = sensito.LogH(figures.Round(float64(points[i].LogH), pointLogDigits))
	}
	c.BaseFog, c.Points = f.BaseFog(), points
	trim(&c.BaseFog)
	return nil
}

// indexOf makes the index with the development that belongs to it; nil where there is
// none that a package takes.
func indexOf(r *roll.Record, p Provenance) *IndexData {
	x := r.Index
	if x == nil || !(x.Value >= plausible.LeastIndex && x.Value <= plausible.GreatestIndex) {
		return nil
	}
	d := &IndexData{Index: *trimmed(&x.Estimate), From: x.From, Provenance: p}
	d.Provenance.Conditions = joined(p.Conditions, x.History)
	if t := x.Development; t != nil && t.Value >= plausible.LeastDevelopment.Seconds() &&
		t.Value <= plausible.LongestDevelopment.Seconds() {
		d.Development = trimmed(t)
		if g := figures.Digits(r.PairGradient(), recordDigits); g > 0.1 && g < 3 {
			d.Gradient = g
		}
	}
	return d
}

// growthOf makes the growth of contrast; nil where there is none.
func growthOf(g *roll.ContrastTimeRecord, p Provenance) *GrowthData {
	if g == nil {
		return nil
	}
	d := &GrowthData{Limit: *trimmed(&g.Limit), Rate: *trimmed(&g.Rate), Induction: *trimmed(&g.Induction),
		Shortest: figures.Seconds(g.ShortestS), Longest: figures.Seconds(g.LongestS), Provenance: p}
	if _, err := d.law(); err != nil {
		return nil // a law that no strips would show, such as a rate of 0 after rounding
	}
	return d
}

// trim rounds a constant to the digits that are published.
func trim[T ~float64](v *T) { *v = T(figures.Digits(float64(*v), recordDigits)) }

// trimmed rounds an estimate; the ends enclose the value, and a lower one without
// bound is not known.
func trimmed(e *sensito.Estimate) *sensito.Estimate {
	if e == nil {
		return nil
	}
	out := *e
	for _, v := range []*float64{&out.Value, &out.Low, &out.High} {
		if check.Finite(*v) {
			trim(v)
		}
	}
	if math.IsInf(out.Low, 0) {
		out.Low = math.NaN()
	}
	out.Low, out.High = min(out.Low, out.Value), max(out.High, out.Value)
	return &out
}
