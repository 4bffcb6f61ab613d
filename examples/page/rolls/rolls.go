// Package rolls answers for the files of a test roll and for data packages of films.
package rolls

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"example.org/actinic/devtime"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/page/answer"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// Answer says what the files hold: a test where test.json is among them, a package of
// films where datapackage.json is.
func Answer(files map[string][]byte) answer.Answer {
	if test, ok := answer.Below(files, "test.json"); ok {
		return ofTest(test)
	}
	if pack, ok := answer.Below(files, "datapackage.json"); ok {
		return ofPackage(pack)
	}
	return answer.Failed("No test", "want test.json with strips.csv or bracket.csv, or the files of a package with datapackage.json")
}

// lines are those of an error, most of them.
func lines(err error) []string {
	var all datafile.Errors
	if !errors.As(err, &all) {
		return strings.Split(err.Error(), "\n")
	}
	const most = 100
	var out []string
	for _, e := range all[:min(len(all), most)] {
		out = append(out, datafile.Plain(e.Error()))
	}
	if rest := all.Count() - len(out); rest > 0 {
		out = append(out, fmt.Sprintf("and %d more", rest))
	}
	return out
}

func ofTest(files answer.Dropped) answer.Answer {
	test, err := roll.Read(files)
	if err != nil {
		return answer.Failed("This test cannot be read", lines(err)...)
	}
	r, err := test.Characterise(roll.Settings{})
	if err != nil {
		return answer.Failed("This test cannot be used", lines(err)...)
	}
	a := answer.Answer{Title: r.Film, Under: []string{r.Process, r.Light}, Cautions: []string{devtime.Caution}}
	for _, l := range r.DetailLines() {
		a.Under = append(a.Under, l.Name+": "+l.Text)
	}
	for _, l := range r.Box() {
		a.Box = append(a.Box, answer.Line{Name: l.Name, Text: l.Text})
	}
	why := answer.Section{Heading: "Recommendation"}
	for _, s := range r.Recommendation {
		if s != devtime.Caution {
			why.Texts = append(why.Texts, s)
		}
	}
	why.Findings = r.Warnings
	a.Sections = append(a.Sections, why)
	if len(r.Findings) > 0 {
		found := answer.Section{Heading: "Findings"}
		for _, f := range r.Findings {
			text := f.What + ": " + f.Text
			if f.File != "" {
				text += fmt.Sprintf(" (%s:%d)", f.File, f.Line)
			}
			found.Findings = append(found.Findings, text)
		}
		a.Sections = append(a.Sections, found)
	}
	if len(r.Strips) > 0 {
		a.Sections = append(a.Sections, strips(r))
	}
	if b := r.Bracket; b != nil && len(b.Frames) > 0 {
		a.Sections = append(a.Sections, frames(b))
	}
	if text, err := json.MarshalIndent(r, "", "  "); err == nil {
		a.Files = append(a.Files, answer.File{Name: "record.json", Text: string(text)})
	}
	return a
}

// pm prints an estimate with its half width, or its ends where they lie unevenly.
func pm(e *sensito.Estimate, format string) string {
	if e == nil || e.Value-e.Value != 0 {
		return "–"
	}
	text := fmt.Sprintf(format, e.Value)
	if e.Low-e.Low != 0 || e.High-e.High != 0 {
		return text
	}
	return text + " (" + fmt.Sprintf(format+" to "+format, e.Low, e.High) + ")"
}

func strips(r *roll.Record) answer.Section {
	t := answer.Table{Caption: "Strips, with 95 % intervals", Head: []string{"Strip", "Development", "Speed", "Base plus fog", "Average gradient", "Contrast index"}}
	fig := answer.Figure{Caption: "Characteristic curves. Crosses are the readings, grey bands hold the curve with 95 % confidence.",
		X: "log10 exposure (lux seconds)", Y: "Density"}
	if r.Exposure == "relative" {
		fig.X = "log10 exposure (relative)"
	}
	var alt []string
	for i := range r.Strips {
		s := &r.Strips[i]
		speed := "–"
		if v := s.Speed.Speed(); v.Valid() {
			speed = v.String()
		}
		t.Rows = append(t.Rows, []string{s.Strip, devtime.FormatTime(seconds(s.DevelopmentS)), speed, fmt.Sprintf("%.2f", s.BaseFog),
			pm(s.AverageGradient, "%.3f"), pm(s.ContrastIndex, "%.3f")})
		if s.Curve == nil {
			continue
		}
		c := curve(s)
		if len(c.Points) > 1 {
			fig.Curves = append(fig.Curves, c)
			first, last := c.Points[0], c.Points[len(c.Points)-1]
			alt = append(alt, fmt.Sprintf("strip %s from density %.2f at %.2f to %.2f at %.2f", s.Strip, first[1], first[0], last[1], last[0]))
		}
		for _, q := range s.Readings {
			fig.Marks = append(fig.Marks, answer.Point{float64(q.LogH), float64(q.Density)})
		}
	}
	fig.Alt = "Curves: " + strings.Join(alt, "; ") + "."
	section := answer.Section{Heading: "Strips", Tables: []answer.Table{t}}
	if len(fig.Curves) > 0 {
		section.Figures = append(section.Figures, fig)
	}
	if growth, ok := contrast(r); ok {
		section.Figures = append(section.Figures, growth)
	}
	return section
}

// curve samples a strip's curve with its band.
func curve(s *roll.StripRecord) answer.Curve {
	out := answer.Curve{Name: s.Strip}
	lo, hi := s.Curve.Domain()
	const n = 40
	for k := range n + 1 {
		x := min(lo+(hi-lo)*sensito.LogH(float64(k)/n), hi)
		es, err := s.Curve.Estimate(func(c sensito.Curve) (float64, error) {
			d, err := c.Density(x)
			return float64(d), err
		})
		if err != nil {
			return answer.Curve{}
		}
		p := answer.Point{float64(x), es[0].Value}
		if !p.Drawable() {
			continue
		}
		out.Points = append(out.Points, p)
		low, high := answer.Point{float64(x), es[0].Low}, answer.Point{float64(x), es[0].High}
		if low.Drawable() && high.Drawable() {
			out.Low, out.High = append(out.Low, low), append(out.High, high)
		}
	}
	if len(out.Low) < len(out.Points) {
		out.Low, out.High = nil, nil
	}
	return out
}

// contrast draws the growth of contrast, dashed beyond the strips.
func contrast(r *roll.Record) (answer.Figure, bool) {
	ct := r.ContrastTime
	if ct == nil || !(ct.LongestS > ct.ShortestS) {
		return answer.Figure{}, false
	}
	fig := answer.Figure{Caption: "Average gradient against development: marks are the strips, the line the growth of contrast.",
		X: "Development (minutes)", Y: "Average gradient"}
	var c answer.Curve
	const n = 40
	for k := range n + 1 {
		s := ct.ShortestS + (ct.LongestS-ct.ShortestS)*float64(k)/n
		e, err := ct.Growth.At(seconds(s))
		p := answer.Point{s / 60, e.Value}
		if err == nil && p.Drawable() {
			c.Points = append(c.Points, p)
		}
	}
	if len(c.Points) < 2 {
		return fig, false
	}
	fig.Curves = []answer.Curve{c}
	var alt []string
	for _, s := range r.Strips {
		if s.AverageGradient == nil {
			continue
		}
		fig.Marks = append(fig.Marks, answer.Point{s.Taken() / 60, s.AverageGradient.Value})
		alt = append(alt, fmt.Sprintf("%.3f at %s", s.AverageGradient.Value, devtime.FormatTime(seconds(s.Taken()))))
	}
	fig.Alt = "Average gradients: " + strings.Join(alt, "; ") + "."
	return fig, true
}

func frames(b *roll.BracketRecord) answer.Section {
	t := answer.Table{Caption: "Frames of the bracket, by index", Head: []string{"Frame", "EI", "Shadow", "Midtone", "Highlight"}}
	number := func(v *float64) string {
		if v == nil {
			return "–"
		}
		return fmt.Sprintf("%.2f", *v)
	}
	for _, f := range b.Frames {
		t.Rows = append(t.Rows, []string{f.Frame, fmt.Sprintf("%.0f", f.Index), number(f.Shadow), number(f.Midtone), number(f.Highlight)})
	}
	return answer.Section{Heading: "Bracket", Tables: []answer.Table{t}}
}
