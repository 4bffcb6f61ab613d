// Package printedtest is for the tests of checkers: the published tables that they are
// held to, and reports in brief.
package printedtest

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/printed"
)

// File returns a published table of testdata/tables, asked for from a folder two
// levels below the top.
func File(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "tables", name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Column returns a column of numbers of a published table.
func Column(t testing.TB, name, column string) []float64 {
	t.Helper()
	var out []float64
	at := -1
	for _, line := range strings.Split(strings.TrimSpace(string(File(t, name))), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(line, ",")
		if at < 0 {
			for i, c := range cells {
				if c == column {
					at = i
				}
			}
			if at < 0 {
				t.Fatalf("%s has no column %s", name, column)
			}
			continue
		}
		v, err := strconv.ParseFloat(cells[at], 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// Brief prints the findings of a confidence.
func Brief(rep *printed.Report, c printed.Confidence) string {
	var out []string
	for _, f := range rep.Findings {
		if f.Confidence == c {
			out = append(out, strings.TrimSpace(fmt.Sprintf("%d %s %s: %s %s", f.Row, f.Column, f.Printed, f.Implied, f.Slip)))
		}
	}
	return strings.Join(out, "; ")
}

// Hold holds a report to what is to be accused and remarked on, in brief, and the whole of it,
// with what the law implies for each row, to the record of the test.
func Hold(t testing.TB, name string, rep *printed.Report, accused, remarks string) {
	t.Helper()
	if got := Brief(rep, printed.High); got != accused {
		t.Errorf("%s: accused %q, want %q", name, got, accused)
	}
	if got := Brief(rep, printed.Low); got != remarks {
		t.Errorf("%s: remarks %q, want %q", name, got, remarks)
	}
	whole, err := json.Marshal(rep)
	if err != nil {
		t.Fatal(err)
	}
	said := held.New(t)
	said.Values(name, string(whole))
	said.Values(name+", as text", rep)
	said.Values(name+", implied", rep.Implied, rep.Low, rep.High)
}

// HoldFindings holds every finding of a report to the form that all have.
func HoldFindings(t testing.TB, rep *printed.Report) {
	t.Helper()
	for _, f := range rep.Findings {
		finite := f.Deviation-f.Deviation == 0
		if f.Row < 1 || f.Row > rep.Rows || f.Column == "" || f.Rule == "" || f.Printed == "" || !finite || f.Confidence != printed.High && f.Confidence != printed.Low {
			t.Fatalf("%+v", f)
		}
	}
}

// Rate prints a share in percent with its 95 % interval (E. B. Wilson, Journal of the
// American Statistical Association 22 (1927) 209).
func Rate(k, n int) string {
	low, high := Wilson(k, n)
	return fmt.Sprintf("%.1f %% [%.1f, %.1f] (%d of %d)", 100*float64(k)/float64(max(n, 1)), 100*low, 100*high, k, n)
}

// Wilson returns the 95 % interval of a share.
func Wilson(k, n int) (low, high float64) {
	if n == 0 {
		return 0, 1
	}
	const z = 1.96
	p, m := float64(k)/float64(n), float64(n)
	mid, half := (p+z*z/2/m)/(1+z*z/m), z/(1+z*z/m)*math.Sqrt(p*(1-p)/m+z*z/4/m/m)
	return max(0, mid-half), min(1, mid+half)
}
