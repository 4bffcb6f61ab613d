package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/layout"
)

// suggest prints a table with its accused entries mended and its blank ones completed, set
// as the others are: new «old».
func suggest(w io.Writer, j *job) error {
	changed := map[[2]int]string{} // by line and column of the file
	for _, f := range j.Findings {
		c := j.cell(f)
		if f.Confidence == printed.High && f.Numbers && c.Line > 0 {
			v := f.At
			if f.Column == "time" {
				v *= j.unit
			}
			column := f.Column
			if !j.sheet.Has(column) {
				column = j.column
			}
			changed[[2]int{c.Line, c.Column}] = typeset(v, c.Text, j, column)
		}
	}
	if j.redo != nil {
		of := map[int]bool{}
		for _, i := range j.at {
			of[i] = true
		}
		done := 0
		for i := range j.sheet.Rows {
			c := j.sheet.Cell(i, j.column)
			if of[i] || c.Column == 0 || done >= 40 {
				continue
			}
			if v, ok := j.redo(i); ok {
				changed[[2]int{c.Line, c.Column}] = typeset(v*j.unit, "", j, j.column)
				done++
			}
		}
	}
	fmt.Fprintf(w, "%s\n", j.Name)
	between := map[layout.Format]string{layout.Comma: ",", layout.Semicolon: ";", layout.Tab: "\t", layout.Spreadsheet: "\t", layout.LaTeX: " & "}[j.sheet.Format]
	if between == "" {
		between = " | "
	}
	row := func(cells []layout.Cell) {
		for k, c := range cells {
			if k > 0 {
				io.WriteString(w, between)
			}
			text := c.Text
			if to, ok := changed[[2]int{c.Line, c.Column}]; ok && c.Column > 0 {
				text = to + " «" + c.Text + "»"
			}
			if strings.Contains(text, strings.TrimSpace(between)) && j.sheet.Format == layout.Comma {
				text = strconv.Quote(text)
			}
			io.WriteString(w, text)
		}
		io.WriteString(w, "\n")
	}
	row(j.sheet.Head)
	for _, r := range j.sheet.Rows {
		row(r.Cells)
	}
	_, err := fmt.Fprintf(w, "%s\n\n", count(len(changed), "cell changed", "cells changed"))
	return err
}

// typeset sets a value as the cell it stands for is set, or as the first of its column is
// where that is blank.
func typeset(v float64, like string, j *job, column string) string {
	if text, ok := markOf(v, like, j, column); ok {
		return text
	}
	digits := significant(j, column)
	development := column == "time" && j.kind == "development"
	if like == "" || strings.Trim(like, "-–—") == "" {
		for i := range j.sheet.Rows {
			if c := j.sheet.Cell(i, column); strings.ContainsAny(c.Text, "0123456789½") {
				like = c.Text
				break
			}
		}
	}
	unit, suffix := 1.0, ""
	lower := strings.ToLower(like)
	if column == "time" || strings.HasSuffix(column, "_s") {
		unit, suffix = timeUnit(lower, j, column)
	}
	switch {
	case strings.Contains(like, ":") && development:
		return clockFace(v)
	case strings.Contains(like, "'") && development:
		s := math.Round(v)
		return fmt.Sprintf("%d'%02d\"", int(s)/60, int(s)%60)
	}
	v /= unit
	if development {
		v = math.Round(v*4) / 4
		if !strings.ContainsAny(allText(j, column), "¼¾") && !strings.Contains(allText(j, column),
			".25") && !strings.Contains(allText(j, column), ".75") {
			v = math.Round(v*2) / 2
		}
		return fraction(v, like) + suffix
	}
	if v > 0 {
		u := math.Pow(10, math.Floor(math.Log10(v))+1-float64(digits))
		v = math.Round(v/u) * u
	}
	text := strconv.FormatFloat(v, 'f', -1, 64)
	if p, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64); err == nil {
		text = strconv.FormatFloat(p, 'f', -1, 64)
	}
	if strings.HasSuffix(lower, "×") || strings.HasSuffix(lower, "x") {
		text += like[len(strings.TrimRight(like, "×xX")):]
	}
	return text + suffix
}

func allText(j *job, column string) string {
	var b strings.Builder
	for i := range j.sheet.Rows {
		b.WriteString(j.sheet.Cell(i, column).Text + " ")
	}
	return b.String()
}

// significant is the number of digits that most cells of a column have, 2 or 3.
func significant(j *job, column string) int {
	three, n := 0, 0
	for i := range j.sheet.Rows {
		text := strings.Trim(strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' {
				return r
			}
			return -1
		}, j.sheet.Cell(i, column).Text), "0")
		if text != "" {
			n++
			if len(text) > 2 {
				three++
			}
		}
	}
	if 2*three > n {
		return 3
	}
	return 2
}

// timeUnit is the unit that a cell of times is set in, in seconds, and its name with what
// stands before it.
func timeUnit(like string, j *job, column string) (unit float64, suffix string) {
	for _, u := range []struct {
		name    string
		seconds float64
	}{{"min", 60}, {"sec", 1}, {"s", 1}, {"h", 3600}, {"m", 60}} {
		if at := strings.LastIndex(like, u.name); at > 0 && strings.Trim(like[at+len(u.name):], "s.*") == "" {
			suffix = like[at:]
			if like[at-1] == ' ' {
				suffix = " " + suffix
			}
			return u.seconds, suffix
		}
	}
	if s := headingUnit(j, column); s > 0 {
		return s, ""
	}
	if column == "time" && j.kind == "development" {
		return 60, ""
	}
	return 1, ""
}

// clockFace sets seconds as minutes and seconds, to the quarter minute.
func clockFace(seconds float64) string {
	s := int(math.Round(seconds/15) * 15)
	if s < 15 {
		s = int(math.Round(seconds))
	}
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// fraction sets quarters as a cell has them: 7½, 7 1/2 or 7.5.
func fraction(v float64, like string) string {
	whole, part := math.Floor(v), v-math.Floor(v)
	text := strconv.FormatFloat(whole, 'f', -1, 64)
	k := int(math.Round(4 * part))
	if k == 0 {
		return text
	}
	switch {
	case strings.ContainsAny(like, "½¼¾"):
		return text + []string{"", "¼", "½", "¾"}[k]
	case strings.Contains(like, "/"):
		return text + []string{"", " 1/4", " 1/2", " 3/4"}[k]
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
