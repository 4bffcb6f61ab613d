package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/page"
)

// show prints a number that may be missing.
func show(v *float64, format string) string {
	if v == nil {
		return "–"
	}
	return fmt.Sprintf(format, *v)
}

// setUpLines say what the set-up can measure.
func (res *result) setUpLines() []page.Line {
	s := res.SetUp
	lines := []page.Line{{Name: "Pixels", Text: fmt.Sprintf("%.3g µm on the film, half the sampling rate at %.4g cycles/mm; %s channel", res.PixelUM, s.HalfSampling, res.Channel)}}
	if s.Corrected {
		lines = append(lines, page.Line{Name: "Camera", Text: fmt.Sprintf("lens and pixels keep %s at 1/48 µm (20.8 cycles/mm), and at least 0.2 up to %s cycles/mm", show(s.ResponseAt48, "%.3f"), show(s.Sees, "%.3g"))})
	} else {
		lines = append(lines, page.Line{Name: "Camera", Text: "response of lens and pixels not known; nothing is corrected for it"})
	}
	if s.Electrons != nil {
		lines = append(lines, page.Line{Name: "Noise", Text: fmt.Sprintf("%s electrons a count, %s electrons to read", show(s.Electrons, "%.3g"), show(s.Read, "%.3g"))})
	} else {
		lines = append(lines, page.Line{Name: "Noise", Text: "not known"})
	}
	lines = append(lines, page.Line{Name: "Flare", Text: show(s.Flare, "%.4f") + " of the field's mean"})
	can := "yes"
	if !s.CanMeasure {
		can = "no; see the limits"
	}
	return append(lines, page.Line{Name: "48 µm", Text: "granularity can be measured: " + can})
}

// tables are those that people read.
func (res *result) tables() []page.Table {
	var out []page.Table
	for _, t := range []page.Table{res.grainTable(), res.reachTable(), res.acutanceTable(), res.printTable(), res.toneTable(), res.signalTable()} {
		if len(t.Rows) > 0 {
			out = append(out, t)
		}
	}
	return out
}

func (res *result) grainTable() page.Table {
	t := page.Table{Caption: "Granularity: standard deviation of density in 48 µm, times 1000, with its 95 % interval. Averages are of real apertures, the camera in them, beside what the spectrum says these are. Camera is what one frame's own noise looks like. Exposure is the same scatter in log10 H, times 1000.",
		Head: []string{"Step", "Density", "σ × 1000", "from", "to", "Averages", "by spectrum", "Camera", "Exposure"}}
	k := func(v *float64) string {
		if v == nil {
			return "–"
		}
		return fmt.Sprintf("%.2f", 1000**v)
	}
	for _, g := range res.Granularity {
		t.Rows = append(t.Rows, []string{strconv.Itoa(g.Step), show(g.Density, "%.3f"), k(g.SD), k(g.Low), k(g.High), k(g.Averaged), k(g.Expected), k(g.Camera), k(g.LogH)})
	}
	return t
}

func (res *result) reachTable() page.Table {
	t := page.Table{Caption: "Frequencies in cycles/mm at which responses fall to a value, with 95 % intervals", Head: []string{"Response", "of", "Frequency", "from", "to"}}
	for _, r := range []*response{res.CameraResponse, res.FilmResponse} {
		if r == nil {
			continue
		}
		for _, k := range r.Reaches {
			t.Rows = append(t.Rows, []string{fmt.Sprintf("%.1f", k.M), r.Of, show(k.Frequency, "%.1f"), show(k.Low, "%.1f"), show(k.High, "%.1f")})
		}
	}
	return t
}

func (res *result) acutanceTable() page.Table {
	t := page.Table{Caption: "Acutances, each by its own definition; they are not to be held against each other", Head: []string{"Acutance", "Value"}, Words: true}
	for _, a := range res.Acutance {
		unit := " " + strings.Replace(a.Unit, "1/", "per ", 1) // a narrow cell would break 1/µm
		if a.Unit == "1" {
			unit = ""
		}
		t.Rows = append(t.Rows, []string{a.By + "; " + a.Of, show(a.Value, "%.4g") + unit})
	}
	return t
}

func (res *result) printTable() page.Table {
	if len(res.Prints) == 0 {
		return page.Table{}
	}
	p := res.Prints[0]
	lens := "Lenses are left out"
	if p.Lens != nil {
		lens = fmt.Sprintf("The camera's lens keeps half at %.3g cycles/mm", *p.Lens)
	}
	t := page.Table{Caption: fmt.Sprintf("The same film on a print of %.4g × %.4g mm seen from %.4g mm, at a negative's density of %.2f. Eye is the eye's aperture of 5.5 minutes of arc on the film; grain the standard deviation of the print's density in it, times 1000; detail the width of the finest line that keeps a tenth of its modulation, or that the eye sees. %s.",
		p.WidthMM, p.HeightMM, p.DistanceMM, p.Density, lens),
		Head: []string{"Format", "Enlarged", "Eye (µm)", "Grain × 1000", "Detail (µm)", "limited by", "Acutance"}}
	for _, p := range res.Prints {
		by := "–"
		if p.DetailUM != nil {
			if by = "film"; p.ByEye {
				by = "eye"
			}
		}
		grain := "–"
		if p.GrainSD != nil {
			grain = fmt.Sprintf("%.1f", 1000**p.GrainSD)
		}
		t.Rows = append(t.Rows, []string{p.Format, fmt.Sprintf("%.2f", p.Enlargement), fmt.Sprintf("%.0f", p.ApertureUM), grain, show(p.DetailUM, "%.0f"), by, show(p.Acutance, "%.2f")})
	}
	return t
}

func (res *result) toneTable() page.Table {
	t := page.Table{Caption: "Tones of invented subjects at the index to set: stops of the subject for each just separable step (three standard deviations in the eye's aperture on the print). The more, the muddier. Lost are stops that curve or granularity do not reach.",
		Head: []string{"Subject", "Filter", "Format", "Range (stops)", "Steps", "Stops a step", "Lost"}}
	for _, p := range res.Prints {
		if p.Format != res.Prints[0].Format && p.Format != "56 × 56 mm" {
			continue
		}
		for _, s := range p.Tones {
			t.Rows = append(t.Rows, []string{s.Subject, s.Filter, p.Format, fmt.Sprintf("%.3g", s.RangeStops), fmt.Sprintf("%.0f", s.Steps),
				show(s.StopsPerStep, "%.3f"), fmt.Sprintf("%.1f", s.LostStops)})
		}
	}
	return t
}

func (res *result) signalTable() page.Table {
	t := page.Table{Caption: "Signal to noise of an even exposure in 48 µm, log10(e) g/σ: where it is at least so much, and the index to set for shadows that are to have it, EI = 0.8/H. The index is a convention of this library, no standard's.",
		Head: []string{"Signal to noise", "from log10 H", "to", "Index"}}
	if res.Signal == nil {
		return t
	}
	for _, r := range res.Signal.Ranges {
		from, to := show(r.From, "%.2f"), show(r.To, "%.2f")
		if r.FromOpen {
			from = "≤ " + from
		}
		if r.ToOpen {
			to = "≥ " + to
		}
		t.Rows = append(t.Rows, []string{fmt.Sprintf("%.0f", r.Least), from, to, show(r.Index, "%.0f")})
	}
	return t
}

// lawLine says how granularity goes with density.
func (res *result) lawLine() string {
	l := res.Law
	if l == nil {
		return ""
	}
	s := fmt.Sprintf("Granularity goes as density to the power %s (%s to %s) between densities of %.2f and %.2f", show(l.Exponent, "%.2f"),
		show(l.ExpLow, "%.2f"), show(l.ExpHigh, "%.2f"), l.From, l.To)
	if l.Bend != 0 {
		s += fmt.Sprintf(", at a density of 1, and steepens by %.2f", l.Bend)
	}
	if l.At1 != nil {
		s += fmt.Sprintf("; at 1.0 it is %s (%s to %s)", show(l.At1, "%.4f"), show(l.Low, "%.4f"), show(l.High, "%.4f"))
	}
	return s + "."
}

// edgeLine says what an edge's profile does beyond its sides.
func (res *result) edgeLine() string {
	f := res.FilmResponse
	if f == nil || f.Above == nil {
		return ""
	}
	most := 0.0
	for _, m := range f.M {
		if m != nil {
			most = max(most, *m)
		}
	}
	return fmt.Sprintf("The film's edge lies between densities of %.2f and %.2f; its profile goes %.1f %% of the step beyond the thin side and %.1f %% beyond the dense one, noise included, and its greatest response is %.2f: above 1 where development sharpens edges.",
		f.Sides[0], f.Sides[1], 100**f.Above, 100**f.Below, most)
}

func (res *result) print(w io.Writer) {
	if res.Invented {
		fmt.Fprint(w, "Pictures made by this program: an invented film on an invented light table.\n\n")
	}
	fmt.Fprintln(w, "What this set-up can measure")
	for _, l := range res.setUpLines() {
		command.Paragraph(w, fmt.Sprintf("  %-8s", l.Name), l.Text, 78, 10)
	}
	for _, l := range res.Limits {
		command.Paragraph(w, "Limit: ", l, 78, 0)
	}
	for _, l := range res.Warnings {
		command.Paragraph(w, "Warning: ", l, 78, 0)
	}
	for _, t := range res.tables() {
		fmt.Fprintln(w)
		command.Paragraph(w, "", t.Caption, 78, 0)
		if t.Words {
			for _, row := range t.Rows {
				command.Paragraph(w, fmt.Sprintf("%-17s", row[1]), row[0], 78, 17)
			}
			continue
		}
		tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		fmt.Fprintln(tw, strings.Join(t.Head, "\t"))
		for _, row := range t.Rows {
			fmt.Fprintln(tw, strings.Join(row, "\t"))
		}
		tw.Flush()
	}
	for _, s := range []string{res.lawLine(), res.edgeLine()} {
		if s != "" {
			fmt.Fprintln(w)
			command.Paragraph(w, "", s, 78, 0)
		}
	}
}
