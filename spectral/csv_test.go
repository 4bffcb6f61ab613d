package spectral

import (
	"bytes"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/actinic/sensito/datafile"
)

func TestCSV(t *testing.T) {
	in := "\ufeff# an invented slate\nwavelength_nm, slate ,lichen\n400,0.1,0.05\n500.5,0.125,0.2\n700,.11,3e-1\n"
	in = strings.Replace(in, "\ufeff", "", 1)
	c, err := ReadCSV(strings.NewReader(in), "t.csv", Hold)
	if err != nil || len(c) != 2 || c[0].Name != "slate" || must(c[1].Spectrum.At(500.5)) != 0.2 {
		t.Fatalf("%v, %v", c, err)
	}
	var b bytes.Buffer
	if err := WriteCSV(&b, c...); err != nil {
		t.Fatal(err)
	}
	if want := "wavelength_nm,slate,lichen\n400,0.1,0.05\n500.5,0.125,0.2\n700,0.11,0.3\n"; b.String() != want {
		t.Errorf("%q", b.String())
	}
	if _, err := ReadCSV(strings.NewReader("\ufeffwavelength_nm,value\n400,1\n500,1\n"), "t.csv", Zero); err != nil {
		t.Errorf("byte order mark: %v", err)
	}

	for _, r := range []struct {
		name, in     string
		line, column int
	}{
		{"empty", "", 1, 0},
		{"only comments", "# nothing\n", 1, 0},
		{"no heading", "400,1\n500,2\n", 1, 1},
		{"micrometres", "wavelength_um,value\n0.4,1\n0.5,1\n", 1, 1},
		{"semicolons", "wavelength_nm;value\n400;1\n500;1\n", 1, 1},
		{"not first", "value,wavelength_nm\n1,400\n1,500\n", 1, 1},
		{"one column", "wavelength_nm\n400\n500\n", 1, 0},
		{"no name", "wavelength_nm,\n400,1\n", 1, 15},
		{"same name", "wavelength_nm,a,a\n400,1,1\n", 1, 17},
		{"missing", "wavelength_nm,value\n400,1\n410,\n", 3, 5},
		{"NaN", "wavelength_nm,value\n400,1\n410,NaN\n", 3, 5},
		{"Inf", "wavelength_nm,value\n400,1\n410,Inf\n", 3, 5},
		{"text", "wavelength_nm,value\n400,1\n410,12%\n", 3, 5},
		{"not increasing", "wavelength_nm,value\n400,1\n400,2\n", 3, 1},
		{"ragged", "wavelength_nm,value\n400,1\n410,1,2\n", 3, 0},
		{"one row", "wavelength_nm,value\n400,1\n", 0, 0},
		{"quotes", "wavelength_nm,value\n400,1\n500,0\"2\n", 3, 6},
	} {
		c, err := ReadCSV(strings.NewReader(r.in), "t.csv", Zero)
		var e *datafile.Error
		if !errors.As(err, &e) || !errorIs(err, datafile.ErrData) || e.File != "t.csv" || c != nil {
			t.Errorf("%s: %v, %v", r.name, c, err)
			continue
		}
		if e.Line != r.line || e.Column != r.column {
			t.Errorf("%s: at line %d column %d, want %d, %d (%v)", r.name, e.Line, e.Column, r.line, r.column, err)
		}
	}
	for _, bad := range [][]Named{nil, {{"", panB()}}, {{" a", panB()}}, {{"a", panB()}, {"a", panB()}}, {{"a", panB()}, {"b", ortho()}}, {{"a", Spectrum{}}}} {
		if err := WriteCSV(&b, bad...); !errorIs(err, ErrInvalid) {
			t.Errorf("wrote %v", bad)
		}
	}
}

// All that is wrong is said at once, and a table that runs the other way is known.
func TestCSVFindsAll(t *testing.T) {
	_, err := ReadCSV(strings.NewReader("wavelength_nm,value\n700,1\n600,x\n500,1\n400,\n"), "t.csv", Zero)
	var all datafile.Errors
	if !errors.As(err, &all) || len(all) != 5 || !strings.Contains(err.Error(), "turn it round") {
		t.Error(err)
	}
}

// A heading says what its values are.
func TestScale(t *testing.T) {
	for heading, want := range map[string]Scale{
		"value": LinearScale, "slate": LinearScale, "log10_sensitivity": Log10Scale, "sensitivity_log10": Log10Scale, "Log10 S": Log10Scale, "logwood": LinearScale,
		"percent_transmittance": PercentScale, "T (%)": PercentScale, "density": DensityScale, "density_visual": DensityScale, "densities": LinearScale,
	} {
		if got := ScaleOf(heading); got != want {
			t.Errorf("%q is %v, want %v", heading, got, want)
		}
	}
	c := must(ReadCSV(strings.NewReader("wavelength_nm,value,percent_value,density,log10_value\n400,0.5,50,0.30103,-0.30103\n500,1,100,0,0\n"), "t.csv", Hold))
	for i, n := range c {
		if i < 3 {
			if v := must(must(n.Fraction()).At(400)); !(math.Abs(v-.5) < 1e-6) {
				t.Errorf("%s: fraction %v", n.Name, v)
			}
		} else if _, err := n.Fraction(); !errorIs(err, ErrInvalid) {
			t.Errorf("%s as a fraction: %v", n.Name, err)
		}
		s, err := n.Sensitivity()
		if (err == nil) != (i != 2) {
			t.Errorf("%s as a sensitivity: %v", n.Name, err)
		} else if err == nil && !(math.Abs(must(s.At(400))/must(s.At(500))-.5) < 1e-6) {
			t.Errorf("%s: sensitivity %v of %v", n.Name, must(s.At(400)), must(s.At(500)))
		}
		if _, err := n.Light(); (err == nil) != (i < 2) {
			t.Errorf("%s as a light: %v", n.Name, err)
		}
	}
	for _, err := range []error{fault(Named{}.Fraction()), fault(Named{}.Light()), fault(Named{}.Sensitivity()), fault(Named{Name: "log10"}.Sensitivity())} {
		if !errorIs(err, ErrInvalid) {
			t.Errorf("nothing: %v", err)
		}
	}
}

func FuzzReadCSV(f *testing.F) {
	f.Add("wavelength_nm,value\n400,1\n500,2\n")
	f.Add("# note\nwavelength_nm,a,b\n400,1,0\n500,2,-1e-3\n501.5,2,7\n")
	f.Add("wavelength_nm,\"a,b\"\n400,0x1p-2\n500,2\n")
	f.Fuzz(func(t *testing.T, in string) {
		c, err := ReadCSV(strings.NewReader(in), "t.csv", Hold)
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := WriteCSV(&b, c...); err != nil {
			t.Fatalf("cannot write what was read: %v", err)
		}
		d, err := ReadCSV(&b, "t.csv", Hold)
		if err != nil || len(d) != len(c) {
			t.Fatalf("cannot read what was written: %v", err)
		}
		for i := range c {
			if c[i].Name != d[i].Name || !slices.Equal(c[i].Spectrum.nm, d[i].Spectrum.nm) || !slices.Equal(c[i].Spectrum.v, d[i].Spectrum.v) {
				t.Fatalf("column %d changed", i)
			}
		}
	})
}
