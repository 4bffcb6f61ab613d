package spectrafile

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/filters"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// values are the numbers of spectra.
func values(spectra ...spectral.Spectrum) (out [][]float64) {
	for _, s := range spectra {
		if s.Len() > 0 {
			out = append(out, s.Wavelengths(), s.Values())
		}
	}
	return out
}

func deviations(d filters.Deviation) [][]float64 {
	return append(values(d.Noise), []float64{d.Zero, d.Scale, d.Wavelength, d.Correlation})
}

// plainErr is an error without the folder of the test.
func plainErr(err error, name string) string {
	if err == nil {
		return ""
	}
	return strings.ReplaceAll(err.Error(), name, "FILE")
}

// kindNames are the headings of all kinds, and one that says nothing.
var kindNames = []string{"sensitivity", "log10_sensitivity", "sensitivity_per_photon", "log10_sensitivity_per_photon",
	"transmittance", "transmittance_percent", "density", "power", "value", "log10_value", "red_percent", "wedge_density", "Sensitivity"}

// A column of each kind as each thing, with its deviations: what becomes of values and deviations is what it was.
func TestKinds(t *testing.T) {
	said := held.New(t)
	for _, kind := range kindNames {
		for _, v := range [][3]float64{{0.1, 0.8, 0.4}, {-0.1, 1.1, 0.4}, {5, 60, 40}} {
			for _, remark := range []string{"# zero_sd 0.003\n# scale_sd 0.004\n", "# wavelength_sd_nm 0.5\n# correlation_nm 12\n"} {
				text := fmt.Sprintf("%swavelength_nm,%s,sd\n400,%g,0.01\n500,%g,0.02\n650,%g,0.03\n", remark, kind, v[0], v[1], v[2])
				name := write(t, text)
				row := fmt.Sprint(kind, v, strings.Fields(remark))
				k := Kit{Outside: spectral.Hold}
				f, err := k.Film(name)
				said.Look(row+" film", []any{values(f.Sensitivity.Spectra()...), f.Known, deviations(f.SD), plainErr(err, name)})
				p, err := k.Filter(name)
				var sds [][][]float64
				for _, part := range p.Parts {
					sds = append(sds, deviations(part.SD))
				}
				said.Look(row+" filter", []any{values(p.Filter.Spectra()...), p.Known(), sds, plainErr(err, name)})
				l, err := k.Light(name)
				said.Look(row+" light", []any{values(l.Light.Spectra()...), l.Known, l.Own, deviations(l.SD), plainErr(err, name)})
			}
		}
	}
}

// Where what is said of values changes, and on which side the limit itself lies.
func TestEdges(t *testing.T) {
	film := func(lo, hi float64) string {
		k, name := Kit{}, write(t, fmt.Sprintf("wavelength_nm,value\n400,%v\n500,%v\n650,%[1]v\n", lo, hi))
		_, err := k.Film(name)
		return plainErr(err, name)
	}
	filter := func(kind string, v float64) string {
		k, name := Kit{}, write(t, fmt.Sprintf("wavelength_nm,%s\n400,%v\n500,0.4\n", kind, v))
		_, err := k.Filter(name)
		return plainErr(err, name)
	}
	first := func(nm float64) string {
		k, name := Kit{}, write(t, fmt.Sprintf("wavelength_nm,value\n%v,0.1\n%v,0.4\n", nm, nm+100))
		_, err := k.Filter(name)
		return plainErr(err, name)
	}
	held.New(t).Drive([]any{film, filter, first}, 0.7, 3.0, 0.05, 400.0, "value", "density", "transmittance_percent", "transmittance")
}

// The flags hold each other, and what they say of a file without a telling heading is taken.
func TestFlags(t *testing.T) {
	said := held.New(t)
	var help strings.Builder
	flags := command.New("name", Help, &help)
	new(Kit).Flags(flags)
	said.Values("asked", fmt.Sprint(flags.Parse([]string{"-h"}, 0)))
	said.Values("help", help.String())
	for _, line := range []string{"", "-log", "-linear", "-log -linear", "-log -film-kind sensitivity",
		"-linear -film-kind sensitivity", "-film-kind sensitivity",
		"-film-kind density", "-film-kind x", "-filter-kind density", "-filter-kind sensitivity",
		"-filter-kind transmittance_percent -film-kind log10_sensitivity_per_photon"} {
		k := Kit{Outside: spectral.Hold}
		flags := command.New("name", "", &help)
		k.Flags(flags)
		if err := flags.Parse(strings.Fields(line), 0); err != nil {
			t.Fatal(err)
		}
		if err := k.Check(); err != nil {
			said.Refused(line, err)
			continue
		}
		name := write(t, "wavelength_nm,value\n400,0.3\n500,0.9\n650,0.1\n")
		f, err := k.Film(name)
		g, err2 := k.Filter(name)
		said.Look(line, []any{k.FilmKind, k.FilterKind, values(f.Sensitivity.Spectra()...), values(g.Filter.Spectra()...),
			plainErr(err, name), plainErr(err2, name)})
	}
}

// Tables that are none, and deviations that cannot be, are refused as they were.
func TestNoTables(t *testing.T) {
	said := held.New(t)
	for _, text := range []string{"", "# only a remark\n", "wavelength_nm,value,sd\n400,1,0.1\n500,1,-0.1\n",
		"wavelength_nm,value,other\n400,1,0.1\n500,1,0.1\n", "wavelength_nm,value\n400,1\n",
		"wavelength_nm,value\n400,1\n500,NaN\n",
		"# zero_sd\nwavelength_nm,value\n400,1\n500,1\n", "# zero_sd x\nwavelength_nm,value\n400,1\n500,1\n",
		"# scale_sd -1\nwavelength_nm,value\n400,1\n500,1\n", "# scale_sd 1 2\nwavelength_nm,value\n400,1\n500,1\n",
		"#\n# x 3\n# wavelength_sd_nm = 0.5\nwavelength_nm,value\n400,1\n500,1\n",
		"# correlation_nm Inf\nwavelength_nm,value\n400,1\n500,1\n",
		"wavelength_nm,value\n500,1\n400,1\n", "wavelength_nm,value\n500,1\n400,1\n450,1\n",
		"wavelength_nm,value\n400,1\n500,1\n500,1\n", "wavelength_nm,value,\n400,1,\n500,1,\n",
		"wavelength_um;value\n0,4;1\n0,5;1\n", "\"wavelength_nm\",\"value\"\n400,1\n500,1\n"} {
		name := write(t, text)
		k := Kit{Outside: spectral.Hold}
		f, err := k.Filter(name)
		var sd []filters.Deviation
		for _, p := range f.Parts {
			sd = append(sd, p.SD)
		}
		said.Look(fmt.Sprintf("%q", text), []any{values(f.Filter.Spectra()...), sd, f.Known(), plainErr(err, name)})
	}
}

// Films of a package are found by their names; what cannot be read of it is said, a link in it too.
func TestPackages(t *testing.T) {
	said := held.New(t)
	film, err := actinic.LoadFilm("Machlud Red")
	if err != nil {
		t.Fatal(err)
	}
	plainFilm, err := actinic.LoadFilm("Swift")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "package")
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, film, plainFilm); err != nil {
		t.Fatal(err)
	}
	k := Kit{Package: dir}
	for _, name := range []string{"Machlud", "Machlud Red", "Swift", "Lantern", "", "orthochromatic"} {
		f, err := k.Film(name)
		said.Values(name, f.Name, len(values(f.Sensitivity.Spectra()...)), plainErr(err, dir))
	}
	if _, err := k.Light("A"); err != nil {
		t.Fatal(err)
	}
	if _, err := k.Film("Machlud"); err != nil { // named twice, noted once
		t.Fatal(err)
	}
	for _, in := range k.Inputs {
		said.Values("input "+in.Name, in.Role, strings.ReplaceAll(in.File, filepath.ToSlash(dir), "DIR"), len(in.SHA256))
	}
	made := k.Made()
	for name, sum := range made.Inputs {
		said.Values("made", made.Library == command.Library, made.Version == actinic.Version, strings.ReplaceAll(name,
			filepath.ToSlash(dir), "DIR"), strings.HasPrefix(sum, "sha256:"), len(sum))
	}
	var shipped Kit
	for _, name := range []string{"Ceunant", "Clogwyn", "Swift", "Lantern", "Machlud", "Rhiwlas", "Tomen"} {
		f, err := shipped.Film(name)
		said.Values("shipped "+name, f.Name, f.Known, len(values(f.Sensitivity.Spectra()...)), plainErr(err, dir))
	}
	for _, in := range shipped.Inputs {
		said.Values("shipped "+in.Name, in.Role, in.File)
	}
	// A package with another's table behind a link is refused, and one that was edited, and none.
	for name, spoil := range map[string]func(dir string) error{
		"link": func(dir string) error {
			if err := os.Rename(filepath.Join(dir, "films.csv"), filepath.Join(dir, "..", "films.csv")); err != nil {
				return err
			}
			return os.Symlink(filepath.Join("..", "films.csv"), filepath.Join(dir, "films.csv"))
		},
		"edited": func(dir string) error {
			return os.WriteFile(filepath.Join(dir, "films.csv"), []byte("film\n"), 0o644)
		},
		"gone": os.RemoveAll,
	} {
		dir := filepath.Join(t.TempDir(), "package")
		if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, film); err != nil {
			t.Fatal(err)
		}
		if err := spoil(dir); err != nil {
			t.Skip(err)
		}
		if _, err := (&Kit{Package: dir}).Film("Machlud"); !said.Refused(name, err) {
			t.Errorf("%s: a film is read", name)
		}
	}
}

// What a name stands for is noted with the hash of its file; a file that cannot be read any more is an error.
func TestNoted(t *testing.T) {
	said := held.New(t)
	name := write(t, "wavelength_nm,transmittance\n400,0.3\n500,0.9\n")
	was := command.Opening
	defer func() { command.Opening = was }()
	opened := 0
	command.Opening = func(string) error {
		if opened++; opened > 1 { // it is read, and then hashed
			return fmt.Errorf("gone")
		}
		return nil
	}
	for kind, find := range map[string]func(k *Kit) error{
		"filter": func(k *Kit) error { _, err := k.Filter(name); return err },
		"film": func(k *Kit) error {
			k.FilmKind = "sensitivity"
			_, err := k.Film(write(t, "wavelength_nm,value\n400,1\n500,2\n"))
			return err
		},
		"meter": func(k *Kit) error { _, err := k.Meter(write(t, "wavelength_nm,value\n400,1\n500,0\n")); return err },
		"light": func(k *Kit) error { _, err := k.Light(write(t, "wavelength_nm,power\n400,1\n500,2\n")); return err },
	} {
		opened = 0
		if err := find(&Kit{}); !said.Refused(kind, err) {
			t.Errorf("%s: a file that went is noted", kind)
		}
	}
	if got := Plain(nil); got != nil {
		t.Error(got)
	}
	if got := (Filter{}).Known(); got {
		t.Error("nothing is known")
	}
	if d, err := (column{sd: filters.Deviation{Zero: 0.1}}).deviation(func(float64,
		float64) float64 {
		return math.NaN()
	}); err != nil || d.Zero != 0.1 {
		t.Errorf("%v, %v", d, err)
	}
	if f, err := new(Kit).Filter("ND 0.3"); err != nil || len(f.Parts) != 1 || f.Parts[0].Own || f.Name != "ND 0.3" {
		t.Errorf("%+v, %v", f, err)
	} else if v, err := f.Filter.Spectra()[0].At(550); err != nil || math.Abs(v-math.Pow(10, -float64(sensito.Density(0.3)))) > 1e-12 {
		t.Errorf("%v, %v", v, err)
	}
}
