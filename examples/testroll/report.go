package main

import (
	"bytes"
	"encoding/csv"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"

	"example.org/actinic"
	"example.org/actinic/devtime"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/examples/internal/page"
	"example.org/actinic/sensito/datafile"
)

// report makes all files of the report in memory. lacks says which figures could not
// be drawn, and why.
func report(r *roll.Record, p actinic.Provenance, about about) (files figure.Files, lacks []string, err error) {
	files = figure.Files{}
	drawn, lacks := drawAll(r, files)
	rows := table(r)
	var text bytes.Buffer
	csv.NewWriter(&text).WriteAll(defused(rows)) // a buffer takes everything
	files["table.csv"] = text.Bytes()
	if files["record.json"], err = about.made.With(r); err != nil {
		return nil, nil, err
	}
	var strips *page.Table
	if len(rows) > 1 {
		strips = &page.Table{Caption: "The strips of " + r.Film, Head: rows[0], Rows: rows[1:]}
	}
	files["report.html"] = page.Render(pageTemplate, map[string]any{
		"Title": r.Film + ": test roll", "R": r, "Invented": p.Basis == actinic.Invented, "Answer": answer(r),
		"Test": testBox(r, p.Source, about), "Strips": strips, "AboutStrips": aboutStrips(r),
		"AboutGrowth": of(r, roll.Order), "AboutFrames": r.About(""),
		"Pictures": named(drawn, "curves", "contrast"), "Bracket": named(drawn, "bracket"), "Residuals": named(drawn, "residuals"),
		"Lacks": lacks, "Frames": frameTable(r), "FramesNote": framesNote(r), "Fits": fitTable(r), "FitNote": fitNote(r),
		"Readings": readingTables(r), "Tones": tonesTable(r), "TonesBox": tonesBox(r), "Source": p.Source, "Caution": devtime.Caution, "Licence": about.licenceWords(r.Film),
		"Library": about.made.Library + " " + about.made.Version,
	})
	return files, lacks, nil
}

// defused is a table for people, which a spreadsheet may open: no text of a stranger is
// run as a formula. A number with its half width begins with a minus at most.
func defused(rows [][]string) [][]string {
	out := make([][]string, len(rows))
	for i, row := range rows {
		for _, cell := range row {
			out[i] = append(out[i], datafile.Defused(cell))
		}
	}
	return out
}

// answer is the box at the top.
func answer(r *roll.Record) page.Box {
	box := page.Box{Caption: "What to do"}
	for _, l := range r.Box() {
		box.Lines = append(box.Lines, page.Line(l))
	}
	return box
}

// named are the figures of some names that could be drawn.
func named(all []page.Figure, names ...string) []page.Figure {
	var out []page.Figure
	for _, f := range all {
		if slices.Contains(names, f.Name) {
			out = append(out, f)
		}
	}
	return out
}

// drawAll makes the figures; one that cannot be drawn is a sentence in lacks.
func drawAll(r *roll.Record, files figure.Files) (drawn []page.Figure, lacks []string) {
	pictures := page.Pictures{Files: files}
	for _, f := range []struct {
		name, caption string
		draw          func(*roll.Record) *plot.Plot // nil where there is nothing to show
		shows         func(*roll.Record) string
	}{
		{"curves", "Characteristic curves of the family. Crosses are the readings, grey bands hold the curve with 95 % confidence, circles mark the speed points at 0.10 above base plus fog.",
			family, familyWords},
		{"contrast", "Average gradient against development. The line is the fitted growth with its 95 % band, dashed and without a band beyond the strips; bars are the strips' intervals, the thin dashed lines the target and its time.",
			contrast, contrastWords},
		{"bracket", "Densities of the bracketed frames. The dashed lines are the density asked of the shadow and the index at which it has it.",
			bracket, bracketWords},
		{"residuals", "What the readings lie from the curves of their strips, one row a strip, all on one scale; rings are readings that were found not to go with the others.",
			residuals, residualWords},
	} {
		if p := f.draw(r); p != nil {
			if made, ok := pictures.Draw(page.Figure{Name: f.name, Caption: f.caption, Alt: f.shows(r)}, p, 17*vg.Centimeter, 11*vg.Centimeter); ok {
				drawn = append(drawn, made)
			}
		}
	}
	return drawn, pictures.Lacks
}

// of returns the findings of a kind.
func of(r *roll.Record, what string) []roll.Finding {
	var out []roll.Finding
	for _, f := range r.Findings {
		if f.What == what {
			out = append(out, f)
		}
	}
	return out
}

// aboutStrips are the findings about strips.
func aboutStrips(r *roll.Record) []roll.Finding {
	var out []roll.Finding
	for _, f := range r.Findings {
		if len(f.Strips) > 0 {
			out = append(out, f)
		}
	}
	return out
}
