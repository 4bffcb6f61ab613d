package main

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/examples/internal/page"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// lawNames lists the laws that can be fitted.
func lawNames() string {
	var names []string
	for _, k := range reciprocity.Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}

// reciprocityOf fits a law of reciprocity.
func reciprocityOf(j *job, file string, content []byte) (*result, error) {
	readings, err := reciprocityReadings(j, file, content)
	if err != nil {
		return nil, err
	}
	var kinds []reciprocity.Kind
	if j.law != "" {
		kind := reciprocity.Kind(j.law)
		if !strings.Contains(", "+lawNames()+",", ", "+j.law+",") {
			return nil, command.Usagef("-law %q: want one of %s", j.law, lawNames())
		}
		kinds = []reciprocity.Kind{kind}
	}
	fit, tried, err := reciprocity.Choose(readings, j.sd, kinds...)
	if err != nil {
		return nil, inFile(file, err)
	}
	r := &result{Kind: j.kind, Law: string(fit.Kind()), Film: j.film.Name(), from: file}
	for _, p := range fit.Parameters() {
		r.Parameters = append(r.Parameters, named(p.Name, "", p.Estimate))
	}
	lo, hi := fit.Law().Domain()
	r.Notes = append(r.Notes, fmt.Sprintf("Found from %d readings, metered from %s to %s, and trusted there.", len(readings),
		figures.About(figures.Seconds(lo)), figures.About(figures.Seconds(hi))))
	if sd, dof := fit.Scatter(); !math.IsNaN(sd) {
		r.Notes = append(r.Notes, fmt.Sprintf("Readings scatter about the law by %.2f times their deviations, with %d degrees of freedom.", sd, dof))
	}
	var also []string
	for _, w := range fit.Weights() {
		if w.Kind != fit.Kind() && w.Weight > 0.01 {
			also = append(also, fmt.Sprintf("%s (%.0f %%)", w.Kind, 100*w.Weight))
		}
	}
	if len(also) > 0 {
		r.Notes = append(r.Notes, "Other laws that the readings leave probable, and which the predictions allow for: "+strings.Join(also, ", ")+".")
	}
	r.table = page.Table{Caption: "Times by the law, with the 95 % interval of a new reading", Head: []string{"Metered", "Set", "From", "To", "Stops more"}}
	type row struct {
		Metered  float64          `json:"metered_s"`
		Adjusted sensito.Estimate `json:"adjusted_s"`
	}
	details := struct {
		Readings    []reciprocity.Reading `json:"-"`
		Trials      []reciprocity.Trial   `json:"laws_tried"`
		Predictions []row                 `json:"predictions"`
	}{readings, tried, nil}
	for _, t := range asked(lo, hi) {
		p, _ := fit.Predict(figures.Seconds(t)) // within the readings
		a := p.Adjusted
		details.Predictions = append(details.Predictions, row{t, a})
		about := func(s float64) string {
			if math.IsNaN(s) || math.IsInf(s, 0) {
				return ""
			}
			return figures.About(figures.Seconds(s))
		}
		r.table.Rows = append(r.table.Rows, []string{about(t), about(a.Value), about(a.Low), about(a.High), fmt.Sprintf("%+.2f", math.Log2(a.Value/t))})
	}
	r.Details = details
	r.draw = []drawing{{"reciprocity", "Times that came out at equal density: circles are the readings, the line is the law, the grey band the 95 % interval of a new reading, dashes no failure.",
		func() *plot.Plot { return reciprocityFigure(r, fit, readings, lo, hi) }}}
	r.film, err = j.film.WithReciprocity(fit, readings, j.provenance)
	return r, inFile(file, err)
}

// asked are round times within the readings.
func asked(lo, hi float64) []float64 {
	var out []float64
	for e := math.Floor(math.Log10(lo)); e <= math.Log10(hi); e++ {
		for _, m := range []float64{1, 2, 5} {
			if t := m * math.Pow(10, e); t >= lo*(1-1e-9) && t <= hi*(1+1e-9) {
				out = append(out, min(max(t, lo), hi))
			}
		}
	}
	return out
}

// reciprocityReadings reads either form of the table.
func reciprocityReadings(j *job, file string, content []byte) ([]reciprocity.Reading, error) {
	first := firstLine(content)
	if strings.Contains(first, "density") {
		return densityReadings(j, file, content)
	}
	t := sheet(file, content, []string{"metered_s", "adjusted_s"}, []string{"sd_stops"})
	var out []reciprocity.Reading
	for _, row := range t.Rows {
		const want = "a time in seconds, or such as 1/60, 20 min, 2m17s"
		metered, ok := t.seconds(row, "metered_s", 1, want)
		adjusted, ok2 := t.seconds(row, "adjusted_s", 1, want)
		sd, ok3 := t.deviation(row, "sd_stops", float64(j.sd))
		if ok && ok2 && float64(sensito.StopsOf(metered.Seconds()/adjusted.Seconds())) > longerByNothing+3*sd {
			t.FailAt(row, "adjusted_s", "a time that is not shorter than the metered one; are the columns exchanged?")
			continue
		}
		if ok && ok2 && ok3 {
			out = append(out, reciprocity.Reading{Metered: metered, Adjusted: adjusted, SD: sensito.Stops(sd)})
		}
	}
	return out, t.done(2, "readings")
}

// longerByNothing is how many stops shorter than metered a film may want, that is at its best
// at other times than those it was rated at (common practice, no source); more is no film.
const longerByNothing = 0.5

// densityReadings holds the densities of frames at rising times against the film's curve.
func densityReadings(j *job, file string, content []byte) ([]reciprocity.Reading, error) {
	t := sheet(file, content, []string{"time_s", "density"}, []string{"log_h_lx_s", "stops", "density_sd"})
	if t.Has("log_h_lx_s") == t.Has("stops") {
		t.Fail(1, 0, "", "", "either log_h_lx_s or stops beside time_s and density")
		return nil, t.Errs.Err()
	}
	p, err := j.film.Process(j.process)
	if err != nil {
		return nil, err
	}
	curve, err := p.Curve(0)
	if err != nil {
		return nil, err
	}
	metered := sensito.LogH(0)
	if t.Has("stops") {
		x, err := p.Index()
		if err != nil {
			return nil, fmt.Errorf("stops are counted from the metered tone: %w", err)
		}
		metered = sensito.LogHOf(sensito.MeteredExposure / x.Index.Value)
	}
	var out []reciprocity.Reading
	for _, row := range t.Rows {
		r, ok := t.byDensity(j, row, curve, metered)
		if ok {
			out = append(out, r)
		}
	}
	return out, t.done(2, "frames")
}

// byDensity is the reading of a frame.
func (t rows) byDensity(j *job, row datafile.Row, curve sensito.Curve, metered sensito.LogH) (reciprocity.Reading, bool) {
	time, ok := t.seconds(row, "time_s", 1, "a time in seconds, or such as 1/60, 20 min, 2m17s")
	d, ok2 := t.Number(row, "density", "a density")
	// 0.02 is what a densitometer leaves of a frame (common practice, no source).
	sd, ok3 := t.deviation(row, "density_sd", 0.02)
	nominal := metered
	ok4 := true
	if t.Has("stops") {
		var s sensito.Stops
		s, ok4 = t.stops(row, "stops")
		nominal = metered.Add(s)
	} else {
		var h float64
		h, ok4 = t.Number(row, "log_h_lx_s", "log10 of the exposure in lux seconds")
		nominal = sensito.LogH(h)
	}
	if !ok || !ok2 || !ok3 || !ok4 {
		return reciprocity.Reading{}, false
	}
	r, err := reciprocity.FromDensity(curve, time, nominal, sensito.Density(d), sd)
	if err != nil {
		t.FailAt(row, "density", "a density that the film's curve has at less than the exposure: "+figures.Bare(err))
		return reciprocity.Reading{}, false
	}
	return r, true
}

// firstLine is the headings of a table.
func firstLine(content []byte) string {
	for line := range strings.Lines(string(content)) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			return strings.ToLower(line)
		}
	}
	return ""
}

func reciprocityFigure(r *result, fit *reciprocity.Fitted, readings []reciprocity.Reading, lo, hi float64) *plot.Plot {
	p := figure.New("Reciprocity: "+r.Film, "Metered time (seconds)", "Exposure to set (seconds)")
	const n = 60
	var line, low, high, none plotter.XYs
	for i := range n + 1 {
		t := lo * math.Pow(hi/lo, float64(i)/n)
		q, err := fit.Predict(min(max(figures.Seconds(t), figures.Seconds(lo)), figures.Seconds(hi)))
		figure.Fault(p, err)
		a := q.Adjusted
		line = append(line, plotter.XY{X: t, Y: a.Value})
		none = append(none, plotter.XY{X: t, Y: t})
		if a.Low > 0 && !math.IsInf(a.High, 0) {
			low, high = append(low, plotter.XY{X: t, Y: a.Low}), append(high, plotter.XY{X: t, Y: a.High})
		}
	}
	if len(low) > 1 {
		figure.Fill(p, low, high)
	}
	figure.Line(p, none, figure.Mid, 0.8, figure.Dashes[1])
	figure.Line(p, line, figure.Black, 1.2, nil)
	var at plotter.XYs
	for _, q := range readings {
		at = append(at, plotter.XY{X: q.Metered.Seconds(), Y: q.Adjusted.Seconds()})
	}
	figure.Points(p, at, draw.RingGlyph{}, figure.Black, 3)
	p.X.Scale, p.Y.Scale = plot.LogScale{}, plot.LogScale{}
	p.X.Tick.Marker, p.Y.Tick.Marker = decades{}, decades{}
	return p
}

// decades marks powers of ten and their halves on a logarithmic axis of times.
type decades struct{}

// Ticks is the plot.Ticker method.
func (decades) Ticks(lo, hi float64) []plot.Tick {
	if !(lo > 0 && hi > lo) {
		return nil
	}
	var out []plot.Tick
	for e := math.Floor(math.Log10(lo)); e <= math.Ceil(math.Log10(hi)); e++ {
		for m := 1.0; m < 10; m++ {
			v := m * math.Pow(10, e)
			if v < lo*(1-1e-9) || v > hi*(1+1e-9) {
				continue
			}
			tick := plot.Tick{Value: v}
			if m == 1 || hi/lo < 100 && (m == 2 || m == 5) {
				tick.Label = secondsMark(v)
			}
			out = append(out, tick)
		}
	}
	return out
}

// secondsMark writes a time on an axis: fractions below a second.
func secondsMark(s float64) string {
	if s < 0.9 {
		return fmt.Sprintf("1/%.0f", 1/s)
	}
	return fmt.Sprintf("%.0f", s)
}
