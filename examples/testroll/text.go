package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"example.org/actinic/devtime"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/sensito"
)

// placed is a finding with the place of its reading in the files.
func placed(f roll.Finding) string {
	if f.File == "" {
		return f.Text
	}
	return fmt.Sprintf("%s (%s:%d)", f.Text, f.File, f.Line)
}

// print writes the answer, the strips with what was found about them, and the
// recommendation.
func print(w io.Writer, r *roll.Record, shipped bool) {
	fmt.Fprintf(w, "%s\n%s\n%s\n", r.Film, r.Process, r.Light)
	if shipped {
		fmt.Fprintln(w, "An invented film, read with the noise of a densitometer.")
	}
	for _, l := range r.DetailLines() {
		paragraph(w, fmt.Sprintf("%-14s ", l.Name), l.Text)
	}
	fmt.Fprintln(w)
	for _, l := range r.Box() {
		hanging(w, fmt.Sprintf("%-15s", l.Name), l.Text)
	}
	fmt.Fprintln(w)
	if len(r.Strips) > 0 {
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, row := range table(r) {
			fmt.Fprintln(t, strings.Join(row, "\t"))
		}
		t.Flush()
	}
	for _, f := range r.Findings {
		if len(f.Strips) > 0 {
			paragraph(w, "Finding: ", placed(f))
		}
	}
	fmt.Fprintln(w)
	for _, l := range r.TonesLines() {
		hanging(w, fmt.Sprintf("%-18s", l.Name), l.Text)
	}
	if r.Tones != nil {
		fmt.Fprintln(w)
	}
	for _, s := range r.Recommendation {
		paragraph(w, "", s)
	}
	for _, f := range r.About("") {
		paragraph(w, "Finding: ", placed(f))
	}
	for _, s := range r.Warnings {
		paragraph(w, "Note: ", s)
	}
}

// table is the strips as text, header first.
func table(r *roll.Record) [][]string {
	rows := [][]string{{"Strip", "Development", "Base+fog", "log Hm", "ΔD", "Speed", "Range", "Gamma", "Average gradient",
		"Contrast index", "Findings"}}
	for _, s := range r.Strips {
		dd, speeds := "–", "–"
		if s.DeltaD != nil {
			dd = fmt.Sprintf("%.2f", *s.DeltaD)
		}
		if s.Speed.Low != nil && s.Speed.High != nil {
			speeds = fmt.Sprintf("%.0f to %.0f", *s.Speed.Low, *s.Speed.High)
		}
		rows = append(rows, []string{s.Strip, development(s), fmt.Sprintf("%.2f", s.BaseFog), fmt.Sprintf("%.2f", s.SpeedPointLogH), dd,
			speed(s), speeds, number(s.Gamma), number(s.AverageGradient), number(s.ContrastIndex), found(r, s.Strip)})
	}
	return rows
}

// speed is a strip's speed; where exposures are relative, the log10 of it on their own scale.
func speed(s roll.StripRecord) string {
	if s.RelativeSpeed != nil {
		return fmt.Sprintf("%+.2f (relative, log10)", *s.RelativeSpeed)
	}
	return s.Speed.Speed().String()
}

// found names the findings about a strip in a word each.
func found(r *roll.Record, strip string) string {
	var words []string
	for _, f := range r.About(strip) {
		s := f.What
		if f.Step > 0 {
			s += fmt.Sprintf(" %d", f.Step)
		}
		words = append(words, s)
	}
	if len(words) == 0 {
		return "–"
	}
	return strings.Join(words, ", ")
}

func development(s roll.StripRecord) string {
	d, err := devtime.ParseTime(fmt.Sprintf("%.3fs", s.DevelopmentS))
	if err != nil {
		return fmt.Sprintf("%.0f s", s.DevelopmentS)
	}
	return devtime.FormatTime(d)
}

// number prints a value with half the width of its interval.
func number(e *sensito.Estimate) string {
	if e == nil {
		return "–"
	}
	if h := (e.High - e.Low) / 2; h > 0 {
		return fmt.Sprintf("%.3f ± %.3f", e.Value, h)
	}
	return fmt.Sprintf("%.3f", e.Value)
}

// paragraph prints a sentence folded at 78 characters.
func paragraph(w io.Writer, lead, s string) { fold(w, lead, "", s) }

// hanging prints a sentence behind a name, folded lines below its beginning.
func hanging(w io.Writer, lead, s string) { fold(w, lead, strings.Repeat(" ", len(lead)), s) }

func fold(w io.Writer, lead, indent, s string) {
	line := lead
	for _, word := range strings.Fields(s) {
		if n := len([]rune(line)) + 1 + len([]rune(word)); n > 78 && strings.TrimSpace(line) != "" {
			fmt.Fprintln(w, strings.TrimRight(line, " "))
			line = indent
		}
		if line != "" && !strings.HasSuffix(line, " ") {
			line += " "
		}
		line += word
	}
	fmt.Fprintln(w, line)
}
