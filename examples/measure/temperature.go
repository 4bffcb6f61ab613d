package main

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic/devtime"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/examples/internal/page"
	"example.org/actinic/internal/figures"
)

// temperatureOf fits a temperature coefficient.
func temperatureOf(j *job, file string, content []byte) (*result, error) {
	column, scale := "temperature_c", "°C"
	if strings.Contains(firstLine(content), "temperature_f") {
		column, scale = "temperature_f", "°F"
	}
	process, err := j.film.Process(j.process)
	if err != nil {
		return nil, err
	}
	t := sheet(file, content, []string{column, "time"}, []string{"gradient"})
	var rows []devtime.TemperatureRow
	for _, row := range t.Rows {
		at, ok := t.celsius(row, column, scale)
		took, ok2 := t.seconds(row, "time", 60, "a development such as 7:30, 7½ or 7m30s; numbers are minutes")
		if !ok || !ok2 {
			continue
		}
		if t.Has("gradient") {
			g, ok := t.Number(row, "gradient", "an average gradient")
			if !ok {
				continue
			}
			growth, err := process.Growth()
			if err != nil {
				return nil, fmt.Errorf("gradients are brought to one contrast by the film's growth: %w", err)
			}
			if took, err = sameContrast(growth, took, g); err != nil {
				t.FailAt(row, "gradient", "a gradient that the film reaches: "+bare(err))
				continue
			}
		}
		rows = append(rows, devtime.TemperatureRow{At: at, Time: took})
	}
	if err := t.done(2, "temperatures"); err != nil {
		return nil, err
	}
	fit, err := devtime.FitQ10(rows)
	if err != nil {
		return nil, inFile(file, err)
	}
	r := &result{Kind: j.kind, Law: "temperature coefficient", Film: j.film.Name(), Process: process.Name(), from: file}
	q10 := fit.Law.Q10()
	r.Parameters = []parameter{named("q10", "1", q10), named("time_at_20_degc", "min", fit.At20)}
	low, high := fit.Law.Range()
	r.Notes = append(r.Notes, fmt.Sprintf("Found from %d temperatures, %.3g to %.3g °C, and trusted there.", len(rows), float64(low), float64(high)),
		fmt.Sprintf("Row %d is farthest from the law, %s.", fit.Worst+1, away(fit.Miss)))
	if math.IsNaN(q10.Low) {
		r.Notes = append(r.Notes, "Two rows meet the law exactly and leave nothing to tell its interval from; add a third.")
	}
	r.table = page.Table{Caption: "Times by the coefficient for the contrast of the readings", Head: []string{"Temperature", "Time"}}
	for c := math.Ceil(float64(low)); c <= float64(high); c++ {
		factor, _ := fit.Law.Factor(20, devtime.Celsius(c)) // within its range
		r.table.Rows = append(r.table.Rows, []string{fmt.Sprintf("%.0f °C", c), devtime.FormatTime(figures.Seconds(60 * fit.At20.Value * factor).Round(time.Second))})
	}
	r.draw = []drawing{{"temperature", "Development times of one contrast against the temperature of the bath: circles are the readings, the line is the fitted coefficient.",
		func() *plot.Plot { return temperatureFigure(r, fit, rows) }}}
	r.film, err = j.film.WithTemperature(process.Name(), fit)
	return r, inFile(file, err)
}

// sameContrast brings a time that gave a gradient to the time for 0.55: what the film
// needs for either at its own temperature stands as the times here do, for a bath that only
// makes everything faster or slower.
func sameContrast(growth devtime.ContrastTime, took time.Duration, gradient float64) (time.Duration, error) {
	const common = 0.55
	here, err := growth.TimeFor(gradient)
	there, errThere := growth.TimeFor(common)
	if err := cmp.Or(err, errThere); err != nil {
		return 0, err
	}
	return figures.Seconds(took.Seconds() * there.Value.Seconds() / here.Value.Seconds()), nil
}

func away(miss time.Duration) string {
	switch s := miss.Round(time.Second); {
	case s > 0:
		return s.String() + " longer"
	case s < 0:
		return (-s).String() + " shorter"
	}
	return "by less than a second"
}

func temperatureFigure(r *result, fit devtime.TemperatureFit, rows []devtime.TemperatureRow) *plot.Plot {
	p := figure.New("Temperature: "+r.Film+" in "+r.Process, "Temperature (°C)", "Development (minutes)")
	low, high := fit.Law.Range()
	var line, at plotter.XYs
	for i := range 41 {
		c := low + (high-low)*devtime.Celsius(i)/40
		factor, err := fit.Law.Factor(20, c)
		figure.Fault(p, err)
		line = append(line, plotter.XY{X: float64(c), Y: fit.At20.Value * factor})
	}
	for _, row := range rows {
		at = append(at, plotter.XY{X: float64(row.At), Y: row.Time.Minutes()})
	}
	figure.Line(p, line, figure.Black, 1.2, nil)
	figure.Points(p, at, draw.RingGlyph{}, figure.Black, 3)
	p.Y.Min = 0
	pad := 0.03 * (p.X.Max - p.X.Min)
	p.X.Min, p.X.Max = p.X.Min-pad, p.X.Max+pad
	return p
}
