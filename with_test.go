package actinic

import (
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/actinic/devtime"
	"example.org/actinic/filters"
	"example.org/actinic/internal/figures"
	"example.org/actinic/internal/held"
	"example.org/actinic/reciprocity"
	"example.org/actinic/spectral"
)

// throughPackage writes a film, checks what was written, and reads it back equal.
func throughPackage(t *testing.T, f *Film) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "package")
	if err := WritePackage(dir, smallInfo, f); err != nil {
		t.Fatal(err)
	}
	back := must(must(ReadPackage(os.DirFS(dir))).Film(f.Name()))
	if d := cmp.Diff(f.Data(), back.Data(), asParts); d != "" {
		t.Errorf("(-written +read)\n%s", d)
	}
}

// Each kind of law that can be fitted goes into a film by one call, is published, and is
// the law that was fitted.
func TestFittedLawsGoIntoFilms(t *testing.T) {
	said := held.New(t)
	p := Provenance{Basis: Invented, Source: "made up for a test"}
	truth := must(reciprocity.NewTwoBranch(reciprocity.Branch{Onset: 0.002, P: 1.1}, reciprocity.Branch{Onset: 0.8, P: 0.85}))
	var rs []reciprocity.Reading
	for _, m := range []float64{1e-4, 5e-4, 0.01, 0.1, 1, 3, 10, 30, 100} {
		a := must(truth.Adjusted(m))
		rs = append(rs, reciprocity.Reading{Metered: figures.Seconds(m), Adjusted: figures.Seconds(figures.Digits(a, 4)), SD: 0.1})
	}
	film := must(LoadFilm("Garnedd Swift"))
	fitted := 0
	for _, kind := range reciprocity.Kinds() {
		fit, err := reciprocity.Fit(kind, rs)
		if err != nil {
			continue
		}
		fitted++
		f, err := film.WithReciprocity(fit, rs, p)
		if err != nil {
			t.Errorf("%s: %v", kind, err)
			continue
		}
		throughPackage(t, f)
		for _, m := range []float64{1e-3, 0.5, 20} {
			a, b := must(fit.Law().Adjusted(m)), must(must(f.Reciprocity()).Adjusted(m))
			if !(math.Abs(a/b-1) < 1e-3) {
				t.Errorf("%s at %v s: fitted %v, in the film %v", kind, m, a, b)
			}
		}
		if _, err := PlanExposure(Shot{Film: f, Process: "Tarren", Camera: thirdsCamera(true), Scene: MeteredScene(0, spectral.Light{}), Aperture: 11}); err != nil {
			t.Errorf("%s: %v", kind, err)
		}
	}
	if fitted < 5 {
		t.Errorf("only %d kinds were fitted", fitted)
	}
	if _, err := film.WithReciprocity(must(reciprocity.Fit(reciprocity.KindPower, rs)), rs, Provenance{}); !said.Is("", err, ErrInput) {
		t.Errorf("without a source: %v", err)
	}
}

func TestRecoveredSensitivityGoesIntoAFilm(t *testing.T) {
	said := held.New(t)
	film := must(LoadFilm("Clogwyn Ortho")) // blind to red: zeros will be recovered
	truth, light := must(film.Sensitivity()), spectral.D55.Light()
	var readings []filters.SpeedReading
	for _, name := range []string{"3", "8", "11", "15", "21", "25", "44", "47", "58"} {
		e, err := filters.Find(name)
		if err != nil {
			continue
		}
		factor, err := filters.Factor(truth, light, e.Filter)
		if err != nil || factor > 300 {
			continue
		}
		readings = append(readings, filters.SpeedReading{Filter: e.Filter, LogSpeed: -math.Log10(factor), SD: 0.02})
	}
	readings = append(readings, filters.SpeedReading{Filter: filters.Clear(), LogSpeed: 0, SD: 0.02})
	r, err := filters.Recover(readings, light, filters.Recovery{})
	if err != nil {
		t.Fatal(err)
	}
	f, err := film.WithSensitivity(r, 0.3, Provenance{Basis: Invented, Source: "made up for a test"})
	if err != nil {
		t.Fatal(err)
	}
	throughPackage(t, f)
	e := must(filters.Find("8"))
	a, b := must(filters.Factor(truth, light, e.Filter)), must(filters.Factor(must(f.Sensitivity()), light, e.Filter))
	if !(math.Abs(math.Log2(a/b)) < 0.2) {
		t.Errorf("factor of the filter 8: %v of the film, %v of what was recovered", a, b)
	}
	if _, err := film.WithSensitivity(filters.Recovered{}, 0, Provenance{}); !said.Is("", err, ErrInput) {
		t.Errorf("nothing recovered: %v", err)
	}
}

func TestTemperatureGoesIntoAFilm(t *testing.T) {
	said := held.New(t)
	law := must(devtime.NewQ10(2.6))
	var rows []devtime.TemperatureRow
	for _, c := range []devtime.Celsius{18, 20, 22, 24} {
		rows = append(rows, devtime.TemperatureRow{At: c, Time: time.Duration(must(law.Factor(20, c)) * float64(10*time.Minute)).Round(time.Second)})
	}
	fit, err := devtime.FitQ10(rows)
	if err != nil {
		t.Fatal(err)
	}
	f, err := must(LoadFilm("Ceunant Fine")).WithTemperature("", fit)
	if err != nil {
		t.Fatal(err)
	}
	throughPackage(t, f)
	if g := f.Data().Processes[0].Growth; !(math.Abs(g.Q10-2.6) < 0.01) || g.Coldest != 18 || g.Warmest != 24 {
		t.Errorf("Q10 %v from %v to %v", g.Q10, g.Coldest, g.Warmest)
	}
	bare := must(NewFilm(FilmData{Name: "Bare", Provenance: Provenance{Basis: Invented, Source: "x"}, Processes: []ProcessData{{Name: "Tarren", Provenance: Provenance{Basis: Invented, Source: "x"}}}}))
	if _, err := bare.WithTemperature("", fit); !said.Is("", err, ErrMissing) {
		t.Errorf("without a development family: %v", err)
	}
	if _, err := bare.WithTemperature("Merllyn", fit); !said.Is("", err, ErrUnknown) {
		t.Errorf("in a process that there is not: %v", err)
	}
}
