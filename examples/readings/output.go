package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"testing/fstest"
	"text/tabwriter"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/figure"
)

// written makes the files of the test in memory, and holds them to the reader that they are
// for.
func written(res *result, j *job) (figure.Files, error) {
	files := figure.Files{}
	if rows := res.stripRows(j); len(rows) > 1 {
		files["strips.csv"] = table(rows)
	}
	if rows := res.frameRows(); len(rows) > 1 {
		files["bracket.csv"] = table(rows)
	}
	if j.Film != nil && len(files) > 0 {
		text, _ := json.MarshalIndent(j.Film, "", "  ") // it was read from JSON
		files["test.json"] = append(text, '\n')
	}
	// What is written has to be read again; without film, a head that fits stands for it.
	fsys := fstest.MapFS{"test.json": {Data: []byte(`{"film": "x", "process": "x", "light": "x", "target_average_gradient": 0.6}`)}}
	for name, b := range files {
		fsys[name] = &fstest.MapFile{Data: b}
	}
	if len(files) > 0 {
		if _, err := roll.Read(fsys); err != nil {
			return nil, err
		}
	}
	for name := range files {
		res.Written = append(res.Written, name)
	}
	slices.Sort(res.Written)
	return files, nil
}

func table(rows [][]string) []byte {
	var b bytes.Buffer
	csv.NewWriter(&b).WriteAll(rows) // a buffer takes everything
	return b.Bytes()
}

// cells are density and its standard deviation; nothing for one that is not known.
func (p *patch) cells() []string {
	d, sd := strconv.FormatFloat(max(*p.Density, 0), 'f', 4, 64), ""
	if p.SD != nil && *p.SD >= 0.00005 && *p.SD < 1 {
		sd = strconv.FormatFloat(*p.SD, 'f', 4, 64)
	}
	return []string{d, sd}
}

// stripRows are strips.csv. A strip whose steps have no exposures, as when their number is
// another than was told, is left out, and so is a step that could not be measured.
func (res *result) stripRows(j *job) [][]string {
	rows := [][]string{{"strip", "development", "log_h_lx_s", "density", "density_sd"}}
	for _, s := range j.Strips {
		if slices.ContainsFunc(rows, func(r []string) bool { return r[0] == s.Strip }) {
			continue
		}
		var own [][]string
		placed, steps := 0, 0
		for i := range res.Patches {
			p := &res.Patches[i]
			if p.Strip != s.Strip {
				continue
			}
			h := ""
			if p.Step > 0 {
				steps++
			}
			if p.LogH != nil {
				placed++
				h = strconv.FormatFloat(*p.LogH, 'f', -1, 64)
				if v := strconv.FormatFloat(*p.LogH, 'f', 4, 64); len(v) < len(h) {
					h = v
				}
			}
			if p.Density != nil {
				own = append(own, append([]string{s.Strip, s.Development, h}, p.cells()...))
			}
		}
		switch {
		case steps == 0 || res.brighter["strip "+s.Strip]:
		case placed < steps:
			f := fmt.Sprintf("strip %s is not in strips.csv: which exposure each of its %d steps had is not known", s.Strip, steps)
			if !slices.Contains(res.Findings, f) {
				res.Findings = append(res.Findings, f)
			}
		default:
			rows = append(rows, own...)
		}
	}
	return rows
}

// frameRows are bracket.csv.
func (res *result) frameRows() [][]string {
	rows := [][]string{{"frame", "ei", "patch", "density", "density_sd"}}
	for i := range res.Patches {
		if p := &res.Patches[i]; p.Frame != "" && p.Density != nil && !res.brighter[p.owner()] {
			rows = append(rows, append([]string{p.Frame, strconv.FormatFloat(p.EI, 'f', -1, 64), p.Patch}, p.cells()...))
		}
	}
	return rows
}

// owner names the strip or frame of a patch.
func (p *patch) owner() string {
	if p.Frame != "" {
		return "frame " + p.Frame
	}
	return "strip " + p.Strip
}

// what names a patch.
func (p *patch) what() string {
	switch {
	case p.Frame != "":
		return "frame " + p.Frame + " " + p.Patch
	case p.Step > 0:
		return fmt.Sprintf("strip %s step %d", p.Strip, p.Step)
	}
	return "strip " + p.Strip + " " + p.Patch
}

// rows are the patches as text, header first.
func (res *result) rows() [][]string {
	rows := [][]string{{"Place", "log H", "Density", "±", "Pixels", "Set aside", "Exposures"}}
	for i := range res.Patches {
		p := &res.Patches[i]
		h, d, sd := "", "–", "–"
		if p.LogH != nil {
			h = fmt.Sprintf("%.2f", *p.LogH)
		}
		if p.Density != nil {
			d = fmt.Sprintf("%.3f", *p.Density)
		}
		if p.SD != nil {
			sd = fmt.Sprintf("%.4f", 2**p.SD)
		}
		rows = append(rows, []string{p.what(), h, d, sd, strconv.Itoa(p.Pixels), strconv.Itoa(p.SetAside), strconv.Itoa(p.Exposures)})
	}
	return rows
}

// about says in a few lines what the set-up is worth.
func (res *result) about() [][2]string {
	var out [][2]string
	add := func(name, format string, args ...any) {
		out = append(out, [2]string{name, fmt.Sprintf(format, args...)})
	}
	channel := res.Channel
	if len(res.Pictures) > 0 && res.Pictures[0].Channel == "grey" {
		channel = "grey"
	}
	add("Pictures", "%d, %s channel, %s", len(res.Pictures), channel, res.formats())
	if l := res.Linearity; l != nil {
		word := "linear"
		if !l.Linear {
			word = "not linear"
		}
		add("Linearity", "%s: slope %.4f over %d times", word, l.Slope, len(l.Frames))
	} else {
		add("Linearity", "not tested")
	}
	switch f := res.Flare; {
	case f.Fraction == nil:
		add("Flare", "not known, counts as 0")
	case f.SD == nil:
		add("Flare", "%.2f %% of the field, given", 100**f.Fraction)
	default:
		add("Flare", "%.3f ± %.3f %% of the field, measured", 100**f.Fraction, 200**f.SD)
	}
	if n := res.Noise; n.ElectronsPerCount != nil {
		add("Noise", "%.3g electrons a count, %.3g electrons to read, from %s", *n.ElectronsPerCount, *n.ReadElectrons, n.Source)
	} else {
		add("Noise", "%s", n.Source)
	}
	switch t := res.Tie; {
	case t == nil:
		add("Tie", "none: densities are those of this lamp and lens, between diffuse and projection density")
	case t.Applied:
		add("Tie", "densities are multiplied by %.4f, from %d known", t.Scale, len(t.Places))
	default:
		add("Tie", "not applied, see the findings")
	}
	return out
}

func (res *result) formats() string {
	var kinds []string
	for _, p := range res.Pictures {
		if k := p.Format + " of " + p.Numbers; !slices.Contains(kinds, k) {
			kinds = append(kinds, k)
		}
	}
	return strings.Join(kinds, ", ")
}

func print(w io.Writer, res *result) {
	if res.Invented {
		fmt.Fprint(w, "Pictures made by this program: an invented film on an invented light table.\n\n")
	}
	for _, a := range res.about() {
		command.Paragraph(w, fmt.Sprintf("%-11s", a[0]), a[1], 78, 11)
	}
	fmt.Fprintln(w)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, row := range res.rows() {
		fmt.Fprintln(t, strings.Join(row, "\t"))
	}
	t.Flush()
	for _, f := range res.Findings {
		command.Paragraph(w, "Finding: ", f, 78, 0)
	}
	for i := range res.Patches {
		for _, s := range res.Patches[i].Warnings {
			command.Paragraph(w, "Warning: ", res.Patches[i].what()+": "+s, 78, 0)
		}
	}
	fmt.Fprintln(w, "± is twice the standard deviation.")
}
