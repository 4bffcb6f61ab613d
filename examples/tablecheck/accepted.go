package main

import (
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
)

// acceptance is a finding that is known and left.
type acceptance struct {
	file, column, printed, reason string
	row                           int
}

// readAccepted reads a file of accepted findings: file,row,column,printed,reason. A reason
// must stand.
func readAccepted(path string) ([]acceptance, error) {
	if path == "" {
		return nil, nil
	}
	content, err := command.ReadFile(path)
	if err != nil {
		return nil, err
	}
	columns := []string{"file", "row", "column", "printed", "reason"}
	t := datafile.ReadBytes(content, path, columns, nil)
	var out []acceptance
	for _, r := range t.Rows {
		a := acceptance{file: t.Text(r, "file"), column: t.Text(r, "column"), printed: t.Text(r, "printed"), reason: t.Text(r, "reason")}
		if a.row, err = strconv.Atoi(t.Text(r, "row")); err != nil || a.row < 1 {
			t.FailAt(r, "row", "the row of a finding, from 1")
		}
		if a.reason == "" {
			t.FailAt(r, "reason", "why the finding is accepted")
		}
		out = append(out, a)
	}
	return out, t.Errs.Err()
}

// accept marks the findings of the tables of a file that are accepted. One whose cell has
// changed is expired, and said.
func accept(jobs []job, list []acceptance) {
	for _, a := range list {
		left := false
		var changed []func()
		for i := range jobs {
			j := &jobs[i]
			if j.err != nil || !j.means(a) {
				continue
			}
			if j.accepted == nil {
				j.accepted = map[int]string{}
			}
			for n, f := range j.Findings {
				if j.row(f) != a.row || f.Column != a.column && (j.sheet == nil || j.sheet.Title(f.Column) != a.column) {
					continue
				}
				text := j.cell(f).Text
				if text == "" {
					text = f.Printed
				}
				if text == a.printed {
					j.accepted[n], left = a.reason, true
					continue
				}
				changed = append(changed, func() {
					j.expired = append(j.expired, fmt.Sprintf("row %d, %s was accepted as %s and is %s: the acceptance has expired",
						a.row, a.column, a.printed, text))
				})
			}
		}
		// Another table of the file may have the cell.
		if !left && len(changed) > 0 {
			changed[0]()
		}
	}
}

// means tells whether an entry means a table: by its file, or by the file and the table's name
// in brackets.
func (j *job) means(a acceptance) bool {
	return sameFile(j.path, a.file) || j.sheet != nil && j.sheet.Name != "" && sameFile(j.path+" ("+j.sheet.Name+")", a.file)
}

// sameFile tells whether an entry, as written, means a path: all of it, or its end.
func sameFile(path, entry string) bool {
	p, e := filepath.ToSlash(filepath.Clean(path)), filepath.ToSlash(filepath.Clean(entry))
	return p == e || strings.HasSuffix(p, "/"+e)
}

// counts are the findings that are not accepted.
func (j *job) counts() (accused, remarks, accepted int) {
	if j.err != nil {
		return
	}
	for n, f := range j.Findings {
		switch {
		case j.accepted[n] != "":
			accepted++
		case f.Confidence == printed.High:
			accused++
		default:
			remarks++
		}
	}
	return
}
