package main

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/examples/internal/page"
	"example.org/actinic/filters"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
)

// factorRow is what is said of a filter.
type factorRow struct {
	Filter    string            `json:"filter"`
	Measured  sensito.Estimate  `json:"measured"`
	Recovered *sensito.Estimate `json:"recovered"`
	Mark      string            `json:"mark,omitempty"`
}

// filtersOf finds factors and the sensitivity behind them.
func filtersOf(j *job, file string, content []byte) (*result, error) {
	t := sheet(file, content, []string{"filter", "stops"}, []string{"sd_stops"})
	light, err := j.kit.Light(j.light)
	if err != nil {
		return nil, err
	}
	type reading struct {
		name   string
		filter filters.Filter
		stops  sensito.Stops
		sd     float64
	}
	var read []reading
	plain, least := false, math.Inf(1)
	for _, row := range t.Rows {
		name := t.Text(row, "filter")
		f, err := j.kit.Filter(name)
		if err != nil {
			t.FailAt(row, "filter", "a filter of the catalogue or a file of its spectrum: "+bare(err))
			continue
		}
		stops, ok := t.stops(row, "stops")
		sd, ok2 := t.deviation(row, "sd_stops", float64(j.sd))
		if !ok || !ok2 {
			continue
		}
		plain = plain || name == "" || strings.EqualFold(name, "none")
		least = min(least, sd)
		read = append(read, reading{f.Name, f.Filter, stops, sd})
	}
	if err := t.done(2, "filters"); err != nil {
		return nil, err
	}
	// Stops are differences from the frame without a filter, which all readings share: of
	// the variance of a difference half is its own and half that of the plain frame.
	share := 1.0
	readings := make([]filters.SpeedReading, 0, len(read)+1)
	if !plain {
		share = math.Sqrt2
		readings = append(readings, filters.SpeedReading{Filter: filters.Clear().Named("none"), SD: least / share * math.Log10(2)})
	}
	for _, q := range read {
		readings = append(readings, filters.SpeedReading{Filter: q.filter, LogSpeed: -float64(q.stops) * math.Log10(2), SD: q.sd / share * math.Log10(2)})
	}
	recovered, err := filters.Recover(readings, light.Light, filters.Recovery{})
	if err != nil {
		return nil, inFile(file, err)
	}
	p := j.provenance
	p.Conditions = "in " + light.Name
	r := &result{Kind: j.kind, Law: "sensitivity behind the factors", Film: j.film.Name(), Light: light.Name, from: file}
	sensitivity, errSensitivity := recovered.Sensitivity()
	var rows []factorRow
	r.table = page.Table{Caption: "Filter factors in " + light.Name + ", with 95 % intervals",
		Head: []string{"Filter", "Measured", "Interval", "Stops", "Mark", "By the sensitivity", "Interval"}}
	for _, q := range read {
		measured := sensito.Estimate{Value: float64(q.stops), Low: float64(q.stops) - lsq.Normal95*q.sd, High: float64(q.stops) + lsq.Normal95*q.sd}.
			Map(math.Exp2)
		row := factorRow{Filter: q.name, Measured: measured}
		cells := []string{q.name, fmt.Sprintf("%.2f", measured.Value), fmt.Sprintf("%.2f to %.2f", measured.Low, measured.High), fmt.Sprintf("%+.2f", float64(q.stops)), "", "", ""}
		if m, err := filters.FactorMarkOf(measured.Value); err == nil {
			row.Mark = m.String()
			cells[4] = row.Mark
		}
		if e, err := filters.FactorWithin(sensitivity, light.Light, q.filter, filters.Deviations{Film: recovered.Deviation()}); err == nil {
			row.Recovered = &e
			cells[5], cells[6] = fmt.Sprintf("%.2f", e.Value), fmt.Sprintf("%.2f to %.2f", e.Low, e.High)
		}
		rows = append(rows, row)
		r.table.Rows = append(r.table.Rows, cells)
		r.Parameters = append(r.Parameters, named(q.name, "factor", measured))
	}
	r.Details = struct {
		Factors   []factorRow       `json:"factors"`
		Recovered filters.Recovered `json:"sensitivity"`
	}{rows, recovered}
	r.Notes = append(r.Notes, sentence(recovered.Statement()), "The sensitivity takes the place of the one that the film had. "+
		"Factors by the sensitivity use all readings together and hold for other filters and lights as well; where they leave the measured ones, look at that reading.")
	r.draw = []drawing{
		{"filters", "Filter factors: circles with bars are measured, crosses what the recovered sensitivity gives.", func() *plot.Plot { return factorFigure(r, rows) }},
		{"sensitivity", "Recovered sensitivity, the largest value 1, with its 95 % band; where the filters tell little the band is wide.",
			func() *plot.Plot { return sensitivityFigure(r, recovered) }},
	}
	r.film, err = j.film.WithSensitivity(recovered, 0, p)
	return r, inFile(file, cmp.Or(errSensitivity, err))
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	return strings.ToUpper(s[:1]) + strings.TrimSuffix(s[1:], ".") + "."
}

func factorFigure(r *result, rows []factorRow) *plot.Plot {
	p := figure.New("Filter factors: "+r.Film+" in "+r.Light, "Stops more than without a filter", "")
	var measured, recovered plotter.XYs
	var ticks []plot.Tick
	for i, row := range rows {
		y := float64(len(rows) - i)
		ticks = append(ticks, plot.Tick{Value: y, Label: row.Filter})
		e := row.Measured.Map(math.Log2)
		measured = append(measured, plotter.XY{X: e.Value, Y: y})
		figure.Line(p, plotter.XYs{{X: e.Low, Y: y}, {X: e.High, Y: y}}, figure.Dark, 1.2, nil)
		if row.Recovered != nil {
			recovered = append(recovered, plotter.XY{X: math.Log2(row.Recovered.Value), Y: y - 0.25})
		}
	}
	figure.Points(p, measured, draw.RingGlyph{}, figure.Black, 3)
	if len(recovered) > 0 {
		figure.Points(p, recovered, draw.CrossGlyph{}, figure.Black, 3)
	}
	p.Y.Tick.Marker = plot.ConstantTicks(ticks)
	p.Y.Min, p.Y.Max = 0.4, float64(len(rows))+0.6
	p.X.Min = min(p.X.Min, 0)
	return p
}

func sensitivityFigure(r *result, recovered filters.Recovered) *plot.Plot {
	p := figure.New("Recovered sensitivity: "+r.Film, "Wavelength (nm)", "Relative sensitivity")
	peak := 0.0
	for _, v := range recovered.Value {
		peak = max(peak, v)
	}
	var line, low, high plotter.XYs
	for i, nm := range recovered.NM {
		line = append(line, plotter.XY{X: nm, Y: recovered.Value[i] / peak})
		low = append(low, plotter.XY{X: nm, Y: min(recovered.Low[i]/peak, 3)})
		high = append(high, plotter.XY{X: nm, Y: min(recovered.High[i]/peak, 3)})
	}
	figure.Fill(p, low, high)
	figure.Line(p, line, figure.Black, 1.2, nil)
	p.Y.Min = 0
	return p
}
