package spectrafile

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/spectral"
)

func write(t testing.TB, text string) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "x.csv")
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

func TestNames(t *testing.T) {
	said := held.New(t)
	k := Kit{Outside: spectral.Hold}
	for _, r := range []struct{ name, called string }{
		{"", "none"}, {"none", "none"}, {"25", "25 red"}, {"25+ND 0.9", "25 red+ND 0.9"}, {"nd0.3", "ND 0.3"}, {" 8 + 25 red", "8 yellow+25 red"},
	} {
		f, err := k.Filter(r.name)
		if err != nil || f.Name != r.called {
			t.Errorf("%q: %q, %v, want %q", r.name, f.Name, err, r.called)
		}
	}
	for _, name := range []string{"25+", "+", "ND -1", "ND 99", "nowhere.csv"} {
		if f, err := k.Filter(name); !said.Refused(name, err) {
			t.Errorf("%q is %q", name, f.Name)
		}
	}
	// A film by each of its names; a file by the hash of its bytes.
	for _, name := range []string{"", "panchromatic", "generic orthochromatic film", "extended red", "Machlud Red"} {
		if _, err := k.Film(name); err != nil {
			t.Errorf("%q: %v", name, err)
		}
	}
	// Two files of one name are told apart.
	a, b := write(t, "wavelength_nm,density\n400,1\n500,1\n"), write(t, "wavelength_nm,density\n400,2\n500,2\n")
	f, _ := k.Filter(a)
	again, _ := k.Filter(a)
	g, err := k.Filter(b)
	if err != nil || f.Name == g.Name || f.Name != again.Name {
		t.Errorf("%q, %q, %q: %v", f.Name, again.Name, g.Name, err)
	}
	k = Kit{}
	if _, err := k.Film(write(t, "wavelength_nm,value\n400,1\n500,1\n600,0\n")); err != nil {
		t.Fatal(err)
	}
	// printf 'wavelength_nm,value\n400,1\n500,1\n600,0\n' | sha256sum
	if got := k.Inputs[0].SHA256; got != "23f1df85619f9857ab7aea30a9f65d7ce2cf0867f3a6fe62c074f3e292ae6d32" {
		t.Errorf("hash %s", got)
	}
}

// Messages are for people: they name flags and headings, not functions.
func TestMessages(t *testing.T) {
	for _, r := range []struct{ text, says string }{
		{"wavelength_nm value\n400 1\n500 1\n", "commas, semicolons or tabs"},
		{"wavelength_nm\n400\n500\n", "separated by"},
		{"wavelength_nm,value\n0.4,1\n0.5,1\n", "wavelength_um"},
		{"wavelength_nm,value\n4000,1\n5000,1\n", "wavelength_angstrom"},
		{"wavelength_nm,value\n400,-1\n500,-2\n", "-film-kind"},
		{"wavelength_nm,value\n400,2\n500,3\n", "-log"},
		{"wavelength_nm,transmittance\n400,.2\n500,.3\n", "-film wants"},
		{"wavelength_nm,log10_sensitivity\n400,70\n500,.3\n", "logarithmic"},
		{"wavelength_nm,value\n400,0\n500,0\n", "zero everywhere"},
		{"wavelength_nm,value\n400,0\n400,1\n", "rise"},
		{"wavelength_nm,value\n400,0\n", "two"},
		{"", "wavelength_nm"},
	} {
		k := Kit{}
		_, err := k.Film(write(t, r.text))
		if err == nil || !strings.Contains(err.Error(), r.says) {
			t.Errorf("%q: %v, want it to say %q", r.text, err, r.says)
			continue
		}
		for _, never := range []string{"Sensitivity", "FromMicro", "Clamp", "spectral:", "filters:"} {
			if strings.Contains(err.Error(), never) {
				t.Errorf("%q: %v names %s", r.text, err, never)
			}
		}
	}
}

// Whatever is read is a spectrum whose wavelengths rise, or an error.
func FuzzColumns(f *testing.F) {
	f.Add("wavelength_nm,sensitivity,sd\n400,1,.1\n500,2,.1\n")
	f.Add("# zero_sd 0.01\nwavelength_um;density\n0,7;1\n0,6;2\n")
	f.Add("wavelength_angstrom\ttransmittance_percent\n4000\t1\n5000\t90\n")
	f.Fuzz(func(t *testing.T, text string) {
		name := write(t, text)
		k := Kit{Outside: spectral.Hold}
		if film, err := k.Film(name); err == nil {
			for _, s := range film.Sensitivity.Spectra() {
				if lo, hi := s.Extremes(); !(lo >= 0) || math.IsInf(hi, 0) {
					t.Errorf("%q: sensitivities %v to %v", text, lo, hi)
				}
			}
		}
		if g, err := k.Filter(name); err == nil {
			for _, s := range g.Filter.Spectra() {
				if lo, hi := s.Extremes(); !(lo >= 0 && hi <= 1) {
					t.Errorf("%q: transmittances %v to %v", text, lo, hi)
				}
			}
		}
		_, _ = k.Light(name)
	})
}
