package factortable

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"example.org/actinic/filters"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
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
	said := held.New(t)
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
		if _, err := Check(film, day, bad); !said.Refused("", err) {
			t.Errorf("%d rows accepted", len(bad))
		}
	}
	if _, err := Check(spectral.Sensitivity{}, day, rows); !said.Refused("", err) {
		t.Error("no film accepted")
	}
}

// Factor and stops side by side. Source of the misprint 20 = 6 2/3 (100 is right): the
// filter factor table of "Photographic Lighting: Essential Skills", last row.
func TestFactorsAndStops(t *testing.T) {
	said := held.New(t)
	film, day := spectral.Generic(spectral.Panchromatic), spectral.SensitometricDaylight.Light()
	rows, err := Read(strings.NewReader("filter,factor,stops\n8,2,1\n25,8,3\n15,2.5,1.32\n11,4,\n29,20,6 2/3\nND 0.9,8,3\n"), "t.csv")
	if err != nil {
		t.Fatal(err)
	}
	rep, err := Check(film, day, rows)
	if err != nil {
		t.Fatal(err)
	}
	if len(rep.Findings) != 1 || rep.Findings[0].Row != 5 || rep.Findings[0].Column != "stops" || rep.Findings[0].Printed != "6 2/3" {
		t.Errorf("%v", rep.Findings)
	}
	for _, r := range []struct {
		factor, stops float64
		found         bool
	}{{8, 3, false}, {8, 3.16, false}, {8, 3.2, true}, {8, 2.8, true}, {1, .166, false}, {1, .2, true}} {
		f := filters.Clear()
		if r.factor == 8 {
			e, err := filters.Find("25")
			if err != nil {
				t.Fatal(err)
			}
			f = e.Filter
		}
		rep, err := Check(film, day, []Row{{Filter: f, Factor: r.factor, Stops: sensito.Stops(r.stops)}})
		if err != nil || (len(rep.Findings) == 1) != r.found {
			t.Errorf("%g and %g stops: %v, %v", r.factor, r.stops, rep, err)
		}
	}
	for _, bad := range []float64{-1, math.NaN(), 41} {
		if _, err := Check(film, day, []Row{{Filter: filters.Clear(), Factor: 1, Stops: sensito.Stops(bad)}}); !said.Is("", err, datafile.ErrData) {
			t.Errorf("%v stops: %v", bad, err)
		}
	}
}
