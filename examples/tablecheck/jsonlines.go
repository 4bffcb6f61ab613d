package main

import (
	"encoding/json"
	"io"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito/printed"
)

// A table as an object: see the help for -json.
type tableJSON struct {
	File     string        `json:"file"`
	Table    string        `json:"table,omitempty"`
	Kind     string        `json:"kind"`
	Law      string        `json:"law"`
	Column   string        `json:"column"`
	Rows     []rowJSON     `json:"rows"`
	Findings []findingJSON `json:"findings"`
	Unseen   string        `json:"unseen,omitempty"`
	Caution  string        `json:"caution,omitempty"`
	Expired  []string      `json:"expired,omitempty"`
	Made     command.Made  `json:"made"`
}

type rowJSON struct {
	Line    int      `json:"line"`
	Printed *string  `json:"printed"` // null for a blank cell
	Implied *float64 `json:"implied"`
	Low     *float64 `json:"low"`
	High    *float64 `json:"high"`
}

type findingJSON struct {
	Row         int                `json:"row"`
	Line        int                `json:"line"`
	Column      string             `json:"column"`
	Heading     string             `json:"heading,omitempty"`
	At          int                `json:"at,omitempty"` // column of the cell in bytes
	Printed     string             `json:"printed"`
	Implied     *float64           `json:"implied"`
	Low         *float64           `json:"low"`
	High        *float64           `json:"high"`
	Probability *float64           `json:"probability"`
	Confidence  printed.Confidence `json:"confidence"`
	Rule        string             `json:"rule"`
	Slip        printed.Slip       `json:"slip"`
	Deviation   float64            `json:"deviation"`
	Unit        string             `json:"unit"`
	Accepted    string             `json:"accepted,omitempty"`
}

func (j *job) json() tableJSON {
	t := tableJSON{File: j.path, Kind: j.kind, Law: j.Law, Column: j.column, Rows: []rowJSON{}, Findings: []findingJSON{},
		Unseen: j.Unseen, Caution: j.Caution, Expired: j.expired, Made: j.made}
	t.Table = j.sheet.Name
	of := map[int]int{} // rows of the report, by row of the sheet
	for k, i := range j.at {
		of[i] = k
	}
	for i := range j.sheet.Rows {
		c := j.sheet.Cell(i, j.column)
		r := rowJSON{Line: c.Line}
		if k, ok := of[i]; ok {
			text := c.Text
			if text != "" {
				r.Printed = &text
			}
			r.Implied, r.Low, r.High = figures.Known(j.Implied[k]*j.unit), figures.Known(j.Low[k]*j.unit), figures.Known(j.High[k]*j.unit)
		}
		t.Rows = append(t.Rows, r)
	}
	for n, f := range j.Findings {
		c := j.cell(f)
		g := findingJSON{Row: j.row(f), Line: c.Line, At: c.Column, Column: f.Column, Heading: j.sheet.Title(f.Column),
			Printed: c.Text, Confidence: f.Confidence, Rule: f.Rule, Slip: f.Slip,
			Deviation: f.Deviation, Unit: f.Unit, Accepted: j.accepted[n]}
		if g.Printed == "" {
			g.Printed = f.Printed
		}
		if f.Numbers {
			unit := 1.0
			if f.Column == "time" {
				unit = j.unit
			}
			g.Implied, g.Low, g.High = figures.Known(f.At*unit), figures.Known(f.Low*unit), figures.Known(f.High*unit)
		}
		if f.Probability > 0 {
			g.Probability = figures.Known(f.Probability)
		}
		t.Findings = append(t.Findings, g)
	}
	return t
}

// line prints a value as JSON on a line of its own.
func line(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
