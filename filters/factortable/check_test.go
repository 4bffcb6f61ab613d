package factortable

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"example.org/actinic/filters"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/printedtest"
	"example.org/actinic/spectral"
)

func TestFilterTable(t *testing.T) {
	rows, err := Read(bytes.NewReader(printedtest.File(t, "invented_filters.csv")), "invented_filters.csv")
	if err != nil {
		t.Fatal(err)
	}
	day, err := spectral.LightAt(5500)
	if err != nil {
		t.Fatal(err)
	}
	rep, err := Check(spectral.Generic(spectral.Panchromatic), day, rows)
	if err != nil {
		t.Fatal(err)
	}
	t.Log(rep)
	printedtest.Hold(t, "invented", rep, "3 factor 23: 2.28 decimal point; 6 factor 3: 8.36 stops for a factor; 9 factor 8: 4.07 copied from the row above", "")
}

// A table for another film or light disagrees throughout, and is not accused.
func TestFilterTableForAnother(t *testing.T) {
	rows, err := Read(strings.NewReader("filter,factor\n21,1.3\n22,1.6\n23A,2\n25,3\n29,5.4\n"), "lamp.csv")
	if err != nil {
		t.Fatal(err)
	}
	day, err := spectral.LightAt(5500)
	if err != nil {
		t.Fatal(err)
	}
	film := spectral.Generic(spectral.Panchromatic)
	rep, err := Check(film, day, rows)
	if err != nil {
		t.Fatal(err)
	}
	if rep.Accused() > 0 || len(rep.Findings) != 5 {
		t.Errorf("%v", rep.Findings)
	}
	rows = append(rows, Row{Factor: 0.5, Filter: filters.Clear()})
	if rep, err = Check(film, day, rows); err != nil || printedtest.Brief(rep, printed.High) != "6 factor 0.5: 1" {
		t.Errorf("%v %v", rep, err)
	}
	for _, bad := range [][]Row{nil, {{Filter: filters.Clear()}}, {{Filter: filters.Clear(), Factor: math.NaN()}}, {{Factor: 2}}, make([]Row, 1e6)} {
		if _, err := Check(film, day, bad); err == nil {
			t.Errorf("%d rows accepted", len(bad))
		}
	}
	if _, err := Check(spectral.Sensitivity{}, day, rows); err == nil {
		t.Error("no film accepted")
	}
}
