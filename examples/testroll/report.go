package main

import (
	"bytes"
	"encoding/base64"
	"encoding/csv"
	"fmt"
	"html/template"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"

	"example.org/actinic"
	"example.org/actinic/devtime"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/sensito/datafile"
)

// picture is a figure of the page, with the findings about what it shows.
type picture struct {
	Name, Caption string
	Data          template.URL
	Findings      []roll.Finding
}

// report makes all files of the report in memory. lacks says which figures could not
// be drawn, and why.
func report(r *roll.Record, p actinic.Provenance, about about) (files figure.Files, lacks []string, err error) {
	files = figure.Files{}
	pictures, lacks := drawAll(r, files)
	rows := table(r)
	var text bytes.Buffer
	if err := csv.NewWriter(&text).WriteAll(defused(rows)); err != nil {
		return nil, nil, err
	}
	files["table.csv"] = text.Bytes()
	if files["record.json"], err = about.made.With(r); err != nil {
		return nil, nil, err
	}
	var page bytes.Buffer
	err = pageTemplate.Execute(&page, map[string]any{
		"R": r, "Head": rows[0], "Rows": rows[1:], "Pictures": pictures, "Invented": p.Basis == actinic.Invented,
		"Source": p.Source, "Caution": devtime.Caution, "Frames": frameTable(r), "Lacks": lacks, "Strips": aboutStrips(r), "Licence": about.licenceWords(r.Film), "Library": about.made.Library + " " + about.made.Version,
	})
	if err != nil {
		return nil, nil, err
	}
	files["report.html"] = page.Bytes()
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

// drawAll makes the figures; one that cannot be drawn is a sentence in lacks.
func drawAll(r *roll.Record, files figure.Files) (pictures []picture, lacks []string) {
	for _, f := range []struct {
		name, caption string
		draw          func(*roll.Record) (*plot.Plot, error)
		about         []roll.Finding
	}{
		{"curves", "Characteristic curves of the family. Crosses are the readings, grey bands hold the curve with 95 % confidence, circles mark the speed points at 0.10 above base plus fog.", family, nil},
		{"contrast", "Average gradient against development. The line is the fitted growth with its 95 % band, bars are the strips' intervals, the dashed lines the target and its time.",
			contrast, of(r, roll.Order)},
		{"bracket", "Densities of the bracketed frames. The dashed lines are the density asked of the shadow and the index at which it has it.", bracket, r.About("")},
	} {
		p, err := f.draw(r)
		if err == nil && p != nil {
			err = files.Draw(f.name, p, 17*vg.Centimeter, 11*vg.Centimeter)
		}
		if err != nil {
			lacks = append(lacks, fmt.Sprintf("The figure %s could not be drawn: %v.", f.name, err))
			continue
		}
		if p == nil {
			continue
		}
		src := "data:image/png;base64," + base64.StdEncoding.EncodeToString(files[f.name+".png"])
		pictures = append(pictures, picture{f.name, f.caption, template.URL(src), f.about})
	}
	return pictures, lacks
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

// frameTable is the bracket as text, nil where there is none; header first.
func frameTable(r *roll.Record) [][]string {
	if r.Bracket == nil || len(r.Bracket.Frames) == 0 {
		return nil
	}
	rows := [][]string{{"Frame", "EI", "Shadow", "Midtone", "Highlight", "Stops off"}}
	d := func(v *float64, format string) string {
		if v == nil {
			return "–"
		}
		return fmt.Sprintf(format, *v)
	}
	for _, f := range r.Bracket.Frames {
		rows = append(rows, []string{f.Frame, fmt.Sprintf("%.4g", f.Index), d(f.Shadow, "%.2f"), d(f.Midtone, "%.2f"),
			d(f.Highlight, "%.2f"), d(f.Off, "%+.2f")})
	}
	return rows
}
