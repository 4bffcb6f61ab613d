package spectrafile

import (
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/spectral"
)

// What is read of spectral files with one thing changed, as a film, a meter, a light and a filter, is held to what it was.
func TestDrive(t *testing.T) {
	var pool []any
	for _, text := range []string{
		"# film: Mill (invented)\nwavelength_nm,sensitivity,sd\n400,1,.1\n500,2,.1\n600,1.5,.1\n650,0.2,.05\n",
		"# zero_sd 0.01\nwavelength_um;density\n0.4;2\n0.5;1\n0.6;0.2\n0.7;0.1\n",
		"wavelength_angstrom,transmittance_percent\n4000,1\n5000,40\n7000,90\n",
		"wavelength_nm,log10_sensitivity\n380,-1\n450,0\n550,0.3\n650,-0.5\n",
		"wavelength_nm,power\n300,0.1\n400,0.5\n550,1\n700,1.2\n",
		"wavelength_nm value\n400 1\n500 1\n", "wavelength_nm\n400\n500\n", "wavelength_nm,value\n2000,1\n2400,1\n", "wavelength_nm,value\n400,0\n500,0\n",
	} {
		pool = append(pool, held.Variants(text)...)
	}
	for _, name := range []string{"nobody", "panchromatic", "daylight", "A", "5500", "8", "25", "ND 0.9", "none", "", "8+25", "swift", "D55", "3200 K", "1e9", "x.csv"} {
		pool = append(pool, name)
	}
	clean := func(t *testing.T, name string, err error) error {
		if err == nil {
			return nil
		}
		return plainly{err, strings.ReplaceAll(strings.ReplaceAll(err.Error(), name, "FILE"), filepath.Dir(name), "DIR")}
	}
	film := func(text []byte) (Film, error) {
		k, name := Kit{}, write(t, string(text))
		f, err := k.Film(name)
		f.Name = strings.ReplaceAll(f.Name, name, "FILE")
		return f, clean(t, name, err)
	}
	meter := func(text []byte) (Film, error) {
		k, name := Kit{Outside: spectral.Zero}, write(t, string(text))
		f, err := k.Meter(name)
		f.Name = strings.ReplaceAll(f.Name, name, "FILE")
		return f, clean(t, name, err)
	}
	light := func(text []byte) (Light, error) {
		k, name := Kit{Outside: spectral.Hold}, write(t, string(text))
		l, err := k.Light(name)
		l.Name = strings.ReplaceAll(l.Name, name, "FILE")
		return l, clean(t, name, err)
	}
	filter := func(text []byte) (Filter, error) {
		k, name := Kit{Outside: spectral.Hold}, write(t, string(text))
		f, err := k.Filter(name)
		f.Name = strings.ReplaceAll(f.Name, name, "FILE")
		return f, clean(t, name, err)
	}
	named := func(name string) (Film, Light, Filter, []string) {
		var k Kit
		a, err1 := k.Film(name)
		b, err2 := k.Light(name)
		c, err3 := k.Filter(name)
		var said []string
		for _, err := range []error{err1, err2, err3} {
			if err != nil {
				said = append(said, err.Error())
			}
		}
		return a, b, c, said
	}
	held.New(t).Drive([]any{film, meter, light, filter, named, List}, pool...)
}
