package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"
	"time"

	"example.org/actinic"
	"example.org/actinic/devtime"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// comparison is the ranked table.
type comparison struct {
	in *inputs
	actinic.Ranking
	traits []actinic.Trait // those that any row has
	empty  []string        // films that give no row
}

// compare ranks the combinations of all films.
func compare(in *inputs, all bool, by []actinic.Criterion) (*comparison, error) {
	c := &comparison{in: in}
	var rows []actinic.Combination
	for _, f := range in.films {
		of, err := f.Combinations(all)
		if err != nil {
			return nil, err
		}
		if len(of) == 0 {
			c.empty = append(c.empty, f.Name())
		}
		rows = append(rows, of...)
	}
	if len(rows) == 0 {
		return nil, fmt.Errorf("nothing to compare: no process with a curve or an index among the films")
	}
	ranking, err := actinic.Rank(rows, by...)
	c.Ranking = ranking
	for _, t := range actinic.Traits() {
		for _, row := range c.Rows {
			if _, has := row.Traits[t]; has {
				c.traits = append(c.traits, t)
				break
			}
		}
	}
	return c, err
}

// rowJSON is a row as it is printed for programs.
type rowJSON struct {
	Name         string   `json:"name"`
	Process      string   `json:"process"`
	DevelopmentS *float64 `json:"development_s"`
	traits       map[actinic.Trait]sensito.Estimate
	Place        *float64 `json:"place,omitempty"`
}

// MarshalJSON writes the traits beside the names.
func (r rowJSON) MarshalJSON() ([]byte, error) {
	type plain rowJSON
	own, _ := json.Marshal(plain(r)) // known numbers and texts always can be
	var b bytes.Buffer
	b.Write(own[:len(own)-1])
	for _, t := range actinic.Traits() {
		e, has := r.traits[t]
		if !has {
			continue
		}
		text, _ := json.Marshal(rounded(e)) // what is not finite is null
		fmt.Fprintf(&b, ",%q:%s", string(t), text)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// rounded keeps the digits that mean something.
func rounded(e sensito.Estimate) sensito.Estimate {
	return sensito.Estimate{Value: figures.Digits(e.Value, 6), Low: figures.Digits(e.Low, 6), High: figures.Digits(e.High, 6)}
}

// json is what -json prints.
func (c *comparison) json() any {
	out := struct {
		By   []actinic.Criterion `json:"by"`
		Rows []rowJSON           `json:"rows"`
		Not  [][2]int            `json:"not_told_apart"`
	}{By: c.By, Rows: []rowJSON{}, Not: [][2]int{}}
	for i, row := range c.Rows {
		r := rowJSON{Name: row.Process.Film().Name(), Process: row.Process.Name(), traits: row.Traits}
		if row.Development > 0 {
			r.DevelopmentS = figures.Known(row.Development.Seconds())
		}
		if len(c.By) > 1 {
			r.Place = figures.Known(figures.Digits(c.Place[i], 4))
		}
		out.Rows = append(out.Rows, r)
	}
	for _, pair := range c.NotToldApart {
		out.Not = append(out.Not, [2]int{pair[0] + 1, pair[1] + 1})
	}
	return out
}

// like lists the rows that a row is not told apart from, "2, 5 to 7".
func (c *comparison) like(row int) string {
	var of []int
	for _, pair := range c.NotToldApart {
		switch row {
		case pair[0]:
			of = append(of, pair[1]+1)
		case pair[1]:
			of = append(of, pair[0]+1)
		}
	}
	return ranges(of)
}

// ranges writes rising numbers with their runs drawn together.
func ranges(n []int) string {
	var parts []string
	for i := 0; i < len(n); {
		j := i
		for j+1 < len(n) && n[j+1] == n[j]+1 {
			j++
		}
		switch {
		case j > i+1:
			parts = append(parts, fmt.Sprintf("%d to %d", n[i], n[j]))
		case j == i+1:
			parts = append(parts, fmt.Sprint(n[i]), fmt.Sprint(n[j]))
		default:
			parts = append(parts, fmt.Sprint(n[i]))
		}
		i = j + 1
	}
	return strings.Join(parts, ", ")
}

// titles heads the columns of people's tables.
var titles = map[actinic.Trait]string{
	actinic.TraitSpeed: "Speed", actinic.TraitIndex: "Index", actinic.TraitGradient: "Gradient", actinic.TraitShadow: "Shadow",
	actinic.TraitHighlight: "Highlight", actinic.TraitBaseFog: "Base + fog", actinic.TraitGrain: "Grain", actinic.TraitResponse: "Response",
}

// cell prints a trait with its interval.
func cell(t actinic.Trait, e sensito.Estimate) string {
	format := "%.3f"
	switch {
	case t == actinic.TraitGrain:
		format = "%.4f"
	case t == actinic.TraitResponse:
		format = "%.1f"
	case ratio(t):
		format = "%.0f"
		if e.Value < 20 {
			format = "%.2g"
		}
	}
	text := fmt.Sprintf(format, e.Value)
	if math.IsNaN(e.Low) || math.IsNaN(e.High) {
		return text
	}
	return text + " (" + fmt.Sprintf(format+" to "+format, e.Low, e.High) + ")"
}

// ratio reports whether a trait is counted in stops.
func ratio(t actinic.Trait) bool { return t == actinic.TraitSpeed || t == actinic.TraitIndex }

// numbers heads the first column.
const numbers = "Row"

// table is the comparison as text, headings first.
func (c *comparison) table() [][]string {
	head := []string{numbers, "Film", "Process", "Developed"}
	for _, t := range c.traits {
		title := titles[t]
		for _, by := range c.By {
			if by.Trait == t {
				title += " *"
			}
		}
		head = append(head, title)
	}
	if len(c.By) > 1 {
		head = append(head, "Mean place")
	}
	rows := [][]string{append(head, "Not told apart from")}
	for i, row := range c.Rows {
		cells := []string{fmt.Sprint(i + 1), row.Process.Film().Name(), row.Process.Name(), developed(row.Development)}
		for _, t := range c.traits {
			e, has := row.Traits[t]
			if !has {
				cells = append(cells, "")
				continue
			}
			cells = append(cells, cell(t, e))
		}
		if len(c.By) > 1 {
			place := ""
			if !math.IsNaN(c.Place[i]) {
				place = fmt.Sprintf("%.1f", c.Place[i])
			}
			cells = append(cells, place)
		}
		rows = append(rows, append(cells, c.like(i)))
	}
	return rows
}

func developed(d time.Duration) string {
	if d == 0 {
		return ""
	}
	return devtime.FormatTime(d.Round(time.Second))
}

// csv is the table for spreadsheets, in which no text of a stranger is run as a formula.
func (c *comparison) csv() []byte {
	rows := c.table()
	for _, row := range rows {
		for i := range row {
			row[i] = datafile.Defused(row[i])
		}
	}
	var b bytes.Buffer
	csv.NewWriter(&b).WriteAll(rows) // a buffer takes everything
	return b.Bytes()
}

// notes say how to read the table.
func (c *comparison) notes() []string {
	var by []string
	for _, criterion := range c.By {
		text := criterion.Trait.Words()
		if criterion.Trait.LessIsBetter() {
			text += " (less first)"
		}
		if len(c.By) > 1 {
			text += fmt.Sprintf(", weight %.3g", criterion.Weight)
		}
		by = append(by, text)
	}
	out := []string{"Ranked by " + strings.Join(by, "; ") + "."}
	if len(c.By) > 1 {
		out = append(out, "The mean place is the mean of a row's places by each, with the weights; rows that one does not tell apart share their places.")
	}
	switch n := len(c.NotToldApart); {
	case n == 0:
		out = append(out, "Every two rows are told apart by their 95 % intervals.")
	default:
		out = append(out, fmt.Sprintf("%d of %d pairs of rows differ by less than their 95 %% intervals allow: their order may be chance.",
			n, len(c.Rows)*(len(c.Rows)-1)/2))
	}
	out = append(out, "Shadow is the density between tones 4 and 2 stops below the metered one, highlight the density of a tone 3 stops above it, both at the row's index and without flare.")
	for _, name := range c.empty {
		out = append(out, name+" has no process with a curve or an index, and no row.")
	}
	return out
}

// print writes the table for people.
func (c *comparison) print(w io.Writer) {
	if c.in.invented {
		fmt.Fprintln(w, "The films that come with the library; all but the lantern plate of 1911 are invented.")
		fmt.Fprintln(w)
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, row := range c.table() {
		fmt.Fprintln(t, strings.TrimRight(strings.Join(row, "\t"), "\t"))
	}
	t.Flush()
	fmt.Fprintln(w)
	for _, s := range c.notes() {
		command.Paragraph(w, "", s, 78, 0)
	}
}
