package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/page"
	"example.org/actinic/sensito"
)

// signed prints a difference with a sign that is as wide as a digit.
func signed(v float64, decimals int) string {
	s := fmt.Sprintf("%+.*f", decimals, v)
	switch {
	case strings.Trim(s, "+-0.") == "":
		return s[1:]
	case s[0] == '-':
		return "−" + s[1:]
	}
	return s
}

// testBox says who tested, when, with what, and whose the result is. What a reader wants to
// know of a test and nobody stated says so.
func testBox(r *roll.Record, source string, about about) page.Box {
	box := page.Box{Caption: "Who tested, and with what"}
	add := func(name, text string) { box.Lines = append(box.Lines, page.Line{Name: name, Text: text}) }
	said := r.DetailLines()
	for _, name := range []string{"Tester", "Date"} {
		i := slices.IndexFunc(said, func(l roll.Line) bool { return l.Name == name })
		if i < 0 {
			add(name, "not stated")
			continue
		}
		add(name, said[i].Text)
		said = slices.Delete(said, i, i+1)
	}
	add("Process", r.Process)
	add("Light", r.Light)
	instrument := slices.ContainsFunc(said, func(l roll.Line) bool { return l.Name == "Instrument" })
	for _, l := range said {
		add(l.Name, l.Text)
	}
	if !instrument {
		add("Instrument", "not stated")
	}
	if r.Exposure == "relative" {
		add("Exposures", "relative: known to each other only")
	}
	add("Source", source)
	add("Licence", about.licenceWords(r.Film))
	return box
}

// readingTables are the readings of each strip with what they lie from its curve.
func readingTables(r *roll.Record) []page.Table {
	var out []page.Table
	unit := "log H"
	if r.Exposure == "relative" {
		unit = "relative log H"
	}
	for _, s := range r.Strips {
		t := page.Table{Caption: fmt.Sprintf("Strip %s, %s", s.Strip, development(s)), Head: []string{"Step", unit, "Density", "Residual"}}
		for i, d := range s.Unexposed {
			rest := "–"
			if i < len(s.Account.UnexposedResiduals) {
				rest = "(" + signed(float64(s.Account.UnexposedResiduals[i]), 3) + ")"
			}
			t.Rows = append(t.Rows, []string{"no light", "–", fmt.Sprintf("%.3f", float64(d)), rest})
		}
		for i, rd := range s.Readings {
			d := fmt.Sprintf("%.3f", float64(rd.Density))
			if rd.SD > 0 {
				d += fmt.Sprintf(" ± %.3f", 2*rd.SD)
			}
			rest := "–"
			if i < len(s.Account.Residuals) {
				rest = "(" + signed(float64(s.Account.Residuals[i]), 3) + ")"
			}
			if wild(r, s.Strip, i+1) {
				rest += " *"
			}
			t.Rows = append(t.Rows, []string{fmt.Sprint(i + 1), signed(float64(rd.LogH), 3), d, rest})
		}
		out = append(out, t)
	}
	return out
}

// wild reports whether a step of a strip was found not to go with the others.
func wild(r *roll.Record, strip string, step int) bool {
	return slices.ContainsFunc(r.About(strip), func(f roll.Finding) bool {
		return f.What == roll.WildReading && f.Step == step
	})
}

// rms is the root mean square of residuals, and the greatest with its step.
func rms(rs []sensito.Density) (root, greatest float64, step int) {
	for i, d := range rs {
		root += float64(d * d)
		if math.Abs(float64(d)) >= math.Abs(greatest) {
			greatest, step = float64(d), i+1
		}
	}
	return math.Sqrt(root / max(float64(len(rs)), 1)), greatest, step
}

// fitTable is how well each strip's curve fits.
func fitTable(r *roll.Record) *page.Table {
	t := page.Table{Caption: "Goodness of fit of each strip's curve",
		Head: []string{"Strip", "Readings", "Form", "Probability of the form", "Scatter", "Degrees of freedom", "Root mean square residual", "Greatest residual"}}
	for _, s := range r.Strips {
		a := s.Account
		scatter := "–"
		switch {
		case a.ChiSquare != nil:
			scatter = fmt.Sprintf("χ² %.1f", *a.ChiSquare)
		case a.Scatter != nil:
			scatter = fmt.Sprintf("%.4f", *a.Scatter)
		}
		root, greatest, step := rms(a.Residuals)
		at := "–"
		if step > 0 {
			at = fmt.Sprintf("%s at step %d", signed(greatest, 3), step)
		}
		t.Rows = append(t.Rows, []string{s.Strip, fmt.Sprint(len(s.Readings) + len(s.Unexposed)), a.Form, fmt.Sprintf("%.2f", a.Weights[a.Form]),
			scatter, fmt.Sprintf("%.1f", a.DegreesOfFreedom), fmt.Sprintf("%.4f", root), at})
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return &t
}

// fitNote says what the scatter of the table is.
func fitNote(r *roll.Record) string {
	const known = "χ² is the weighted sum of squared residuals; about as large as the degrees of freedom where the stated standard deviations are right."
	const found = "Scatter is the standard deviation of a reading in density, found from the residuals since none was stated."
	note := "Residuals are densities read less those of the curve."
	var chi, sd bool
	for _, s := range r.Strips {
		chi, sd = chi || s.Account.ChiSquare != nil, sd || s.Account.Scatter != nil
	}
	if chi {
		note += " " + known
	}
	if sd {
		note += " " + found
	}
	if r.ContrastTime != nil {
		note += fmt.Sprintf(" Growth of contrast: limit %s, rate %s per minute, induction %s minutes.",
			number(&r.ContrastTime.Limit), number(&r.ContrastTime.Rate), number(&r.ContrastTime.Induction))
	}
	return note
}

// frameTable is every frame of the bracket, nil where there is none.
func frameTable(r *roll.Record) *page.Table {
	if r.Bracket == nil || len(r.Bracket.Frames) == 0 {
		return nil
	}
	t := page.Table{Caption: "Frames of the bracket, densities with what they lie from the fit, and the stops by which a frame seems off",
		Head: []string{"Frame", "EI", "Shadow", "Midtone", "Highlight", "Stops off"}}
	for _, f := range r.Bracket.Frames {
		d := func(v *float64, tone string) string {
			if v == nil {
				return "–"
			}
			if rest, ok := f.Residuals[tone]; ok {
				return fmt.Sprintf("%.2f (%s)", *v, signed(rest, 3))
			}
			return fmt.Sprintf("%.2f", *v)
		}
		off := "–"
		if f.Off != nil {
			off = signed(*f.Off, 2)
		}
		t.Rows = append(t.Rows, []string{f.Frame, fmt.Sprintf("%.4g", f.Index), d(f.Shadow, "shadow"), d(f.Midtone, "midtone"), d(f.Highlight, "highlight"), off})
	}
	return &t
}

// framesNote says how the frames scatter.
func framesNote(r *roll.Record) string {
	b := r.Bracket
	if b == nil {
		return ""
	}
	note := fmt.Sprintf("The exposures of the frames scatter by %.2f stop about the fit", b.FrameScatter)
	if b.ReadingSD != nil {
		note += fmt.Sprintf(", their readings by %.3f in density, which was found from them", *b.ReadingSD)
	}
	developed := "not stated"
	if b.DevelopmentS != nil {
		developed = development(roll.StripRecord{DevelopmentS: *b.DevelopmentS})
	}
	return note + fmt.Sprintf(". The form of the curve was taken from the %s. Development of the frames: %s.", cmp.Or(b.Shape, "frames"), developed)
}

// tonesTable is where the tones of a subject come to lie, nil where it is not known.
func tonesTable(r *roll.Record) *page.Table {
	if r.Tones == nil {
		return nil
	}
	t := page.Table{Caption: "Tones of the subject on the negative, in stops from the metered one",
		Head: []string{"Stops", "log H", "Density", "Step of grey"}}
	for _, x := range r.Tones.Tones {
		d, grey := "beyond the readings", "–"
		if x.Density != nil {
			d = fmt.Sprintf("%.2f", x.Density.Value)
			if h := (x.Density.High - x.Density.Low) / 2; h > 0 {
				d += fmt.Sprintf(" ± %.2f", h)
			}
		}
		if x.Grey != nil {
			grey = fmt.Sprintf("%.1f", *x.Grey)
		}
		t.Rows = append(t.Rows, []string{signed(float64(x.Stops), 0), signed(float64(x.LogH), 2), d, grey})
	}
	return &t
}

// tonesBox says what the tones come to.
func tonesBox(r *roll.Record) page.Box {
	box := page.Box{Caption: "The subject on the negative"}
	for _, l := range r.TonesLines() {
		box.Lines = append(box.Lines, page.Line(l))
	}
	return box
}
