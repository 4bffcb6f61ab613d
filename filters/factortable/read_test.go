package factortable

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed/printedtest"
	"example.org/actinic/spectral"
)

func TestReadTablesRefuse(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct{ content, want string }{
		{"filter,factor\n99,2\n", `t.csv:2:1: filter: read "99", want a filter such as 25`},
		{"filter,factor\nND x,2\n", `t.csv:2:1: filter`},
		{"filter,factor\nND 99,2\n", `t.csv:2:1: filter`},
		{"filter,factor\nND 12.1,2\n", `t.csv:2:1: filter`},
		{"filter,factor\n25,0\n", `t.csv:2:4: factor: read "0"`},
		{"filter,factor,stops\n25,8,three\n", `t.csv:2:6: stops: read "three"`},
		{"filter,factor,stops\n25,8,-3\n", `t.csv:2:6: stops`},
		{"filter,factor\n25,eight\n", `t.csv:2:4: factor: read "eight"`},
	} {
		_, err := Read(strings.NewReader(c.content), "t.csv")
		if !said.Is("", err, datafile.ErrData) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.content, err, c.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(printedtest.File(f, "invented_filters.csv"))
	day, err := spectral.LightAt(5500)
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 4000 {
			return
		}
		rows, err := Read(bytes.NewReader(b), "f")
		if err != nil {
			if !errors.Is(err, datafile.ErrData) {
				t.Fatal(err)
			}
			return
		}
		if len(rows) >= 100 {
			return
		}
		rep, err := Check(spectral.Generic(spectral.Panchromatic), day, rows)
		if err != nil {
			return
		}
		printedtest.HoldFindings(t, rep)
		if _, err := json.Marshal(rep); err != nil {
			t.Fatal(err)
		}
	})
}
