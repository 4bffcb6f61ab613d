package actinic

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.org/actinic/devtime"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/held"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// Empty and nil slices are the same missing part.
var asParts = cmp.Options{cmpopts.EquateNaNs(), cmpopts.EquateEmpty()}

// everyLaw has a film for each law of reciprocity.
func everyLaw() []*Film {
	var films []*Film
	for _, r := range []*ReciprocityData{
		stated("holds"), stated("power", "onset_s", 1.0, "p", 0.9), stated("smooth", "p", 0.8), stated("additive", "a", 0.1, "b", 1.62),
		stated("catenary", "a", 0.2, "optimum_s", 0.01, "reference_s", 0.02), stated("hyperbola", "a", 0.2, "optimum_s", 0.01, "reference_s", 0.02),
		stated("two-branch", "onset_s", 1.0, "p", 0.8, "short_onset_s", 0.001, "short_p", 1.1), stated("two-branch", "onset_s", 1.0, "p", 0.8),
		{Form: reciprocity.Form{Law: "table", Readings: []reciprocity.Reading{{Metered: time.Millisecond / 3, Adjusted: time.Millisecond / 2, SD: .1}, {Metered: 100 * time.Second, Adjusted: 300 * time.Second}}}},
	} {
		r.Form.Shortest, r.Form.Longest = time.Millisecond, 50*time.Second
		r.Provenance = Provenance{Basis: Derived, Source: "made up for a test"}
		films = append(films, must(NewFilm(FilmData{Name: "Film " + string(rune('A'+len(films))), Provenance: r.Provenance, Reciprocity: r})))
	}
	return films
}

func TestRoundTrip(t *testing.T) {
	films := append(everyLaw(), must(NewFilm(smallFilm("Aber"))))
	for _, name := range Films() {
		films = append(films, must(LoadFilm(name)))
	}
	dir := filepath.Join(t.TempDir(), "a", "package")
	if err := WritePackage(dir, smallInfo, films...); err != nil {
		t.Fatal(err)
	}
	if err := CheckPackage(os.DirFS(dir)); err != nil {
		t.Errorf("what was written is not right: %v", err)
	}
	p, err := ReadPackage(os.DirFS(dir))
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Films()) != len(films) {
		t.Errorf("%d films, want %d", len(p.Films()), len(films))
	}
	for _, f := range films {
		got, err := p.Film(f.Name())
		if err != nil {
			t.Error(err)
			continue
		}
		if d := cmp.Diff(f.Data(), got.Data(), asParts); d != "" {
			t.Errorf("%s (-written +read):\n%s", f.Name(), d)
		}
	}
	info := p.Info()
	want := smallInfo
	want.License = "CC0-1.0"
	if d := cmp.Diff(want, info, asParts); d != "" {
		t.Errorf("information (-written +read):\n%s", d)
	}
	left, err := os.ReadDir(filepath.Dir(dir))
	if err != nil || len(left) != 1 {
		t.Errorf("beside the package: %v, %v", left, err)
	}
}

// The embedded package and the one on disk are the same films.
func TestEmbeddedIsOnDisk(t *testing.T) {
	p, err := ReadPackage(os.DirFS("data"))
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(p.Films(), Films()); d != "" || len(Films()) < 6 {
		t.Errorf("films (-disk +embedded):\n%s", d)
	}
	for _, name := range Films() {
		a, b := must(p.Film(name)), must(LoadFilm(name))
		if d := cmp.Diff(a.Data(), b.Data(), asParts); d != "" {
			t.Errorf("%s (-disk +embedded):\n%s", name, d)
		}
		if a.data.Provenance.Basis != Invented && name != "Lantern plate of 1911" {
			t.Errorf("%s is %v, want invented", name, a.data.Provenance.Basis)
		}
	}
}

// A film of random parts is read back as it was, whatever is missing.
func TestRoundTripOfSomeParts(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for i := range 60 {
		d := smallFilm("Film, \"quoted\" ä")
		p := &d.Processes[0]
		drop := func(f func()) {
			if rng.IntN(2) == 0 {
				f()
			}
		}
		drop(func() { d.Sensitivity = nil })
		drop(func() { d.Reciprocity = nil })
		drop(func() { p.Index = nil })
		drop(func() { p.Growth = nil })
		drop(func() { p.Curves = p.Curves[:1] })
		drop(func() { p.Curves = p.Curves[len(p.Curves)-1:] })
		drop(func() { p.Developer, p.Dilution, p.Temperature, p.Light, p.Agitation = "", "", 0, "", "" })
		drop(func() { p.Curves[0].Gradient, p.Curves[0].SpeedLow, p.Curves[0].SpeedHigh = nil, 0, 0 })
		drop(func() { p.Curves[0].Readings, p.Curves[0].Unexposed = nil, nil })
		drop(func() {
			if p.Index != nil {
				p.Index.Development, p.Index.Gradient, p.Index.Index.Low = nil, 0, math.NaN()
			}
		})
		if rng.IntN(4) == 0 {
			d.Processes = nil
		} else if rng.IntN(3) == 0 {
			q := p.clone()
			q.Name = "Merllyn stock"
			d.Processes = append(d.Processes, q)
		}
		f, err := NewFilm(d)
		if err != nil {
			t.Fatal(err)
		}
		files, err := packageFiles(smallInfo, []*Film{f})
		if err != nil {
			t.Fatal(err)
		}
		m := fstest.MapFS{}
		for name, content := range files {
			m[name] = &fstest.MapFile{Data: content}
		}
		if err := CheckPackage(m); err != nil {
			t.Fatalf("film %d: %v", i, err)
		}
		got, err := must(ReadPackage(m)).Film(f.Name())
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(f.Data(), got.Data(), asParts); diff != "" {
			t.Fatalf("film %d (-written +read):\n%s", i, diff)
		}
	}
}

// asSpreadsheet writes a table as spreadsheets do: byte order mark, CRLF, every cell
// quoted, the columns in another order.
func asSpreadsheet(t *testing.T, content []byte, order func(n int) []int) []byte {
	rows, err := csv.NewReader(bytes.NewReader(content)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	b.WriteString("\ufeff")
	at := order(len(rows[0]))
	for _, r := range rows {
		for i, j := range at {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(`"` + strings.ReplaceAll(r[j], `"`, `""`) + `"`)
		}
		b.WriteString("\r\n")
	}
	return b.Bytes()
}

func TestSpreadsheetFilesAreRead(t *testing.T) {
	m := smallFS()
	for name := range m {
		if strings.HasSuffix(name, ".csv") {
			m[name].Data = asSpreadsheet(t, m[name].Data, func(n int) []int {
				at := make([]int, n)
				for i := range at {
					at[i] = n - 1 - i
				}
				return at
			})
		}
	}
	got, err := must(ReadPackage(m)).Film("Aber")
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(smallFilm("Aber"), got.Data(), asParts); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	seal(m)
	if err := CheckPackage(m); err != nil {
		t.Error(err)
	}
}

func TestUnreadablePackages(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(fstest.MapFS)
		want   string
	}{
		{"decimal comma in quotes", func(m fstest.MapFS) { swap(m, "curves.csv", ",0.62,", `,"0,62",`) }, "curves.csv:2:28: gamma: read \"0,62\", want a number, or nothing where it is not known; write a decimal point, not a comma"},
		{"decimal comma", func(m fstest.MapFS) { swap(m, "sensitivity_points.csv", "500,-0.3", "500,-0,3") }, "a decimal comma splits a number"},
		{"a film of no row", func(m fstest.MapFS) { swap(m, "processes.csv", "\nAber,", "\nAbel,") }, "processes.csv:2:1: film: read \"Abel\", want a film of the table films"},
		{"no source", func(m fstest.MapFS) { swap(m, "films.csv", "nobody-2026", "hearsay") }, "films.csv:3:16: source: read \"hearsay\""},
		{"a time beyond measure", func(m fstest.MapFS) { swap(m, "reciprocity_laws.csv", ",100,", ",1e30,") }, "reciprocity_laws.csv:2:30: longest_s: read \"1e30\", want a time in seconds below 1e9"},
		{"a number that is missing", func(m fstest.MapFS) { swap(m, "sensitivity_points.csv", "500,-0.3", "500,") }, "sensitivity_points.csv:3:10: log10_sensitivity: read \"\", want a number"},
		{"no table of films", func(m fstest.MapFS) {
			swap(m, datapackage.DescriptorFile, "\"name\": \"films\"", "\"name\": \"movies\"")
		}, "datapackage.json: resources: read \"\", want a resource named films"},
		{"a path that leads out", func(m fstest.MapFS) {
			swap(m, datapackage.DescriptorFile, "\"path\": \"films.csv\"", "\"path\": \"/etc/films.csv\"")
		}, "datapackage.json:77:15: path: read \"/etc/films.csv\", want the path of a file in the package"},
		{"no JSON", func(m fstest.MapFS) { m[datapackage.DescriptorFile].Data = []byte("film\n") }, "datapackage.json:1:1: want a descriptor"},
		{"a number for a name", func(m fstest.MapFS) { swap(m, datapackage.DescriptorFile, "\"name\": \"small\"", "\"name\": 5") }, "datapackage.json:8:11: name: read \"5\", want a descriptor"},
	} {
		m := smallFS()
		c.change(m)
		p, err := ReadPackage(m)
		if err == nil {
			t.Errorf("%s: read as %v", c.name, p.Films())
			continue
		}
		if !strings.Contains(err.Error(), c.want) || !errors.Is(err, datafile.ErrData) {
			t.Errorf("%s:\n%v\nwant %s", c.name, err, c.want)
		}
	}
	m := smallFS()
	delete(m, "curves.csv")
	if _, err := ReadPackage(m); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a missing file: %v", err)
	}
	// What no cell shows is said with the film's line when the film is asked for.
	m = smallFS()
	swap(m, "reciprocity_laws.csv", "power,1,0.9", "power,1,1.9")
	if _, err := must(ReadPackage(m)).Film("Aber"); !errors.Is(err, datafile.ErrData) || !errors.Is(err, reciprocity.ErrInput) || !strings.HasPrefix(err.Error(), "films.csv:2: ") {
		t.Errorf("a law out of range: %v", err)
	}
}

func TestWriteRefuses(t *testing.T) {
	said := held.New(t)
	dir := t.TempDir()
	film := must(LoadFilm("Swift"))
	if err := WritePackage(dir, smallInfo, film); !said.Is("", err, os.ErrExist) {
		t.Errorf("over a directory: %v", err)
	}
	for _, c := range []struct {
		name  string
		info  PackageInfo
		films []*Film
	}{
		{"no films", smallInfo, nil}, {"a nil film", smallInfo, []*Film{nil}}, {"a film twice", smallInfo, []*Film{film, film}},
		{"a name with spaces", PackageInfo{Name: "my films", Version: "1.0.0"}, []*Film{film}}, {"no version", PackageInfo{Name: "films"}, []*Film{film}},
	} {
		if err := WritePackage(filepath.Join(dir, "new"), c.info, c.films...); !said.Is("", err, datafile.ErrData) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

// A place that cannot be written to leaves nothing behind.
func TestWriteIsWholeOrNothing(t *testing.T) {
	said := held.New(t)
	if runtime.GOOS == "windows" {
		t.Skip("permissions of directories are a thing of Unix")
	}
	parent := t.TempDir()
	file := filepath.Join(parent, "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := WritePackage(filepath.Join(file, "package"), smallInfo, must(LoadFilm("Swift"))); !said.Refused("", err) {
		t.Error("written below a file")
	}
	if left, _ := os.ReadDir(parent); len(left) != 1 {
		t.Errorf("left behind: %v", left)
	}
}

func TestMissingParts(t *testing.T) {
	said := held.New(t)
	f := must(NewFilm(FilmData{Name: "Bare", Provenance: Provenance{Basis: Measured, Source: "nobody"}, Processes: []ProcessData{{Name: "Tarren", Provenance: Provenance{Basis: Measured, Source: "nobody"}}}}))
	none := must(NewFilm(FilmData{Name: "Barer", Provenance: Provenance{Basis: Measured, Source: "nobody"}}))
	p := must(f.Process(""))
	for _, c := range []struct {
		part string
		get  func() error
	}{
		{"Bare has no spectral sensitivity", func() error { _, err := f.Sensitivity(); return err }},
		{"Bare has no reciprocity law", func() error { _, err := f.Reciprocity(); return err }},
		{"Barer has no process", func() error { _, err := none.Process(""); return err }},
		{"Bare in Tarren has no curve", func() error { _, err := p.Curve(0); return err }},
		{"Bare in Tarren has no curve", func() error { _, err := p.Speed(time.Minute); return err }},
		{"Bare in Tarren has no index", func() error { _, err := p.Index(); return err }},
		{"Bare in Tarren has no development family", func() error { _, err := p.Growth(); return err }},
	} {
		if err := c.get(); !said.Is("", err, ErrMissing) || !strings.Contains(err.Error(), c.part) {
			t.Errorf("error %v, want one that wraps ErrMissing and says %q", err, c.part)
		}
	}
	for _, name := range []string{"", "e", "nothing of the kind"} {
		if _, err := LoadFilm(name); !said.Is("", err, ErrUnknown) {
			t.Errorf("LoadFilm(%q): %v, want one that wraps ErrUnknown", name, err)
		}
	}
	for _, name := range []string{"swift", "Garnedd Swift", " GARNEDD "} {
		if film, err := LoadFilm(name); err != nil || film.Name() != "Garnedd Swift" {
			t.Errorf("LoadFilm(%q): %v, %v", name, film, err)
		}
	}
}

func TestBadFilms(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		name   string
		change func(*FilmData)
		want   string
	}{
		{"no name", func(d *FilmData) { d.Name = "" }, "name of the film"},
		{"a line break in a name", func(d *FilmData) { d.Name = "a\nb" }, "on one line"},
		{"no basis", func(d *FilmData) { d.Provenance.Basis = 0 }, "identity: no basis"},
		{"no source", func(d *FilmData) { d.Reciprocity.Provenance.Source = "" }, "reciprocity law: source"},
		{"a process twice", func(d *FilmData) { d.Processes = append(d.Processes, d.Processes[0]) }, "two are named"},
		{"a curve twice", func(d *FilmData) { d.Processes[0].Curves[1].Name = "A" }, "two are named \"A\""},
		{"constants and points", func(d *FilmData) { d.Processes[0].Curves[0].Points = d.Processes[0].Curves[1].Points }, "curve A: both constants and points"},
		{"no curve at all", func(d *FilmData) { d.Processes[0].Curves[0].Shape = nil }, "curve A"},
		{"a falling curve", func(d *FilmData) { d.Processes[0].Curves[1].Points[2].Density = .1 }, "densities do not fall"},
		{"NaN in a curve", func(d *FilmData) { d.Processes[0].Curves[0].Shape.Gamma = math.NaN() }, "curve A"},
		{"fog of two kinds", func(d *FilmData) { d.Processes[0].Curves[0].BaseFog = .3 }, "base plus fog"},
		{"an index named ISO", func(d *FilmData) { d.Processes[0].Curves[0].Speed.Kind = sensito.ISO }, "an ISO speed is by iso"},
		{"NaN in an index", func(d *FilmData) { d.Processes[0].Index.Index.Value = math.NaN() }, "index of NaN"},
		{"a day of development", func(d *FilmData) { d.Processes[0].Index.Development.Value = 1e6 }, "development of"},
		{"wavelengths in micrometres", func(d *FilmData) { d.Sensitivity.Wavelengths = []float64{.4, .5, .6, .65} }, "spectral sensitivity"},
		{"an unknown law", func(d *FilmData) { d.Reciprocity.Form.Law = "cubic" }, "law \"cubic\", want one of"},
		{"a range of nothing", func(d *FilmData) { d.Reciprocity.Form.Longest = 0 }, "reciprocity law"},
		{"a cold bath", func(d *FilmData) { d.Processes[0].Temperature = -4 }, "temperature"},
		{"Q10 without a range", func(d *FilmData) { d.Processes[0].Growth.Coldest = 30 }, "development family"},
	} {
		d := smallFilm("Aber")
		c.change(&d)
		if _, err := NewFilm(d); !said.Is("", err, datafile.ErrData) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one that wraps datafile.ErrData and says %q", c.name, err, c.want)
		}
	}
}

// What a film was made of and what it gives out are copies.
func TestFilmsDoNotChange(t *testing.T) {
	d := smallFilm("Aber")
	f := must(NewFilm(d))
	scribble := func(d FilmData) {
		d.Processes[0].Curves[0].Shape.Gamma = 9
		d.Processes[0].Curves[1].Points[0].Density = 9
		d.Processes[0].Index.Development.Value = 9
		d.Processes[0].Growth.Limit.Value = 9
		d.Sensitivity.Log10[0] = 9
		d.Reciprocity.Form.Readings[0].Adjusted = 9
		d.Processes[0].Name = "9"
	}
	scribble(d)
	scribble(f.Data())
	x := must(f.processes[0].Index())
	x.Development.Value = 9
	q := f.processes[0].Data()
	q.Curves[0].Readings[0].Density = 9
	if diff := cmp.Diff(smallFilm("Aber"), f.Data(), asParts); diff != "" {
		t.Errorf("(-was +is):\n%s", diff)
	}
}

func TestProcessCurves(t *testing.T) {
	said := held.New(t)
	p := must(must(LoadFilm("Swift")).Process("Tarren"))
	times := p.Times()
	if len(times) != 5 || !slices.IsSorted(times) {
		t.Fatalf("times %v", times)
	}
	gradient := func(d time.Duration) float64 { return must(sensito.AverageGradient(must(p.Curve(d)))) }
	between := gradient((times[1] + times[2]) / 2)
	if !(gradient(times[1]) < between && between < gradient(times[2])) {
		t.Errorf("average gradients %.3f, %.3f, %.3f at and between two strips", gradient(times[1]), between, gradient(times[2]))
	}
	// At the development of the index the gradient is the one that was aimed at,
	// within the interval that a strip has (± 0.02).
	if g := gradient(0); math.Abs(g-.58) > .02 {
		t.Errorf("average gradient %.3f at the recommended development, want 0.58", g)
	}
	if _, err := p.Curve(time.Hour); !said.Is("", err, devtime.ErrOutside) {
		t.Errorf("beyond the strips: %v", err)
	}
	if s := must(p.Speed(19 * time.Minute)); s.Kind != sensito.ISO {
		t.Errorf("speed at 19:00 is %v", s)
	}
	if s := must(p.Speed(12 * time.Minute)); s.Kind != sensito.EI || s.Value < 800 || s.Value > 1100 {
		t.Errorf("speed at 12:00 is %v", s)
	}
	if g := must(p.Growth()); g.Limit().Value != p.data.Growth.Limit.Value {
		t.Errorf("limit %v", g.Limit())
	}
}

// A record becomes a film with nothing typed again.
func TestRecordBecomesFilm(t *testing.T) {
	test := madeFilms[3].processes[0].roll(rand.New(rand.NewPCG(3, 3)), "Test Film")
	record := must(test.Characterise(roll.Settings{}))
	film, err := FilmOf(record, Provenance{Basis: Measured, Source: "nobody, 2026"})
	if err != nil {
		t.Fatal(err)
	}
	p := must(film.Process(""))
	for i, s := range record.Strips {
		c := p.data.Curves[i]
		a, b := s.Curve, must(p.Curve(c.Development))
		for x := sensito.LogH(-3.5); x < -1; x += .25 {
			if d := must(a.Density(x)) - must(b.Density(x)); math.Abs(float64(d)) > 2.2e-3 { // what a closed form may differ by, and five digits
				t.Errorf("strip %s: density at %v differs by %v", s.Strip, x, float64(d))
			}
		}
		if c.Speed.Kind != s.Speed.Kind || math.Abs(c.Speed.Value/s.Speed.Value-1) > 1e-4 || len(c.Readings) != 21 || len(c.Unexposed) != 3 {
			t.Errorf("strip %s: %v, %d readings, %d unexposed", s.Strip, c.Speed, len(c.Readings), len(c.Unexposed))
		}
	}
	x := must(p.Index())
	if x.From != record.Index.From || math.Abs(x.Index.Value/record.Index.Value-1) > 1e-4 || math.Abs(x.Development.Value/record.Development.Value-1) > 1e-4 {
		t.Errorf("index %v from %s, development %v", x.Index, x.From, x.Development)
	}
	if _, err := FilmOf(record, Provenance{}); !errors.Is(err, datafile.ErrData) {
		t.Errorf("without a source: %v", err)
	}
	// A record read from JSON has no curves: they are laid through the readings again.
	record.Strips[0].Curve = nil
	again, err := FilmOf(record, Provenance{Basis: Measured, Source: "nobody, 2026"})
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(film.Data(), again.Data(), cmpopts.EquateNaNs()); d != "" {
		t.Errorf("laid again it is another:\n%s", d)
	}
	record.Strips[0].Readings = nil
	if _, err := FilmOf(record, Provenance{Basis: Measured, Source: "nobody"}); !errors.Is(err, datafile.ErrData) {
		t.Errorf("without a curve: %v", err)
	}
}

func TestInParallel(t *testing.T) {
	fresh := must(ReadPackage(Data()))
	var wg sync.WaitGroup
	for range 32 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for _, name := range Films() {
				a, err := LoadFilm(name)
				b, err2 := fresh.Film(name)
				if err != nil || err2 != nil || a != must(LoadFilm(name)) || b != must(fresh.Film(name)) {
					t.Errorf("%s: %v, %v", name, err, err2)
					return
				}
				if len(a.Processes()) == 0 {
					continue // the lantern plate has a law alone
				}
				p := must(a.Process(a.Processes()[0]))
				if _, err := p.Curve(0); err != nil {
					t.Error(err)
				}
				_, _ = must(a.Sensitivity()).At(500)
			}
		}()
	}
	wg.Wait()
}

// A built-in film, of which its own rows alone are read, is that of the whole package.
func TestBuiltinIsThePackage(t *testing.T) {
	p := must(ReadPackage(Data()))
	if got := Films(); !slices.Equal(got, p.Films()) {
		t.Fatalf("films %q, want %q", got, p.Films())
	}
	for _, name := range p.Films() {
		if d := cmp.Diff(must(p.Film(name)).Data(), must(LoadFilm(name)).Data(), cmpopts.EquateNaNs()); d != "" {
			t.Errorf("%s (-package +built in):\n%s", name, d)
		}
	}
}

// What the first call of LoadFilm does, in a program that is warm.
func BenchmarkLoadFilm(b *testing.B) {
	name := Films()[0]
	b.ReportAllocs()
	for b.Loop() {
		if _, err := must(openBuiltin()).Film(name); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadPackage(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ReadPackage(Data()); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadPackageVerified(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ReadPackage(Data(), Verify); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLoadEveryFilm(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		p := must(ReadPackage(Data()))
		for _, name := range p.Films() {
			must(p.Film(name))
		}
	}
}

func FuzzReadPackage(f *testing.F) {
	f.Add(datapackage.DescriptorFile, `{"name":"a","version":"1.0.0","sources":[{"title":"b"}],"resources":[{"name":"films","path":"films.csv","schema":{"fields":[{"name":"film","type":"string"}]}},{"name":"sources","path":"sources.csv"}]}`)
	for _, name := range []string{"films.csv", "curves.csv", "processes.csv", "reciprocity_laws.csv", "sensitivity_points.csv"} {
		f.Add(name, string(smallFiles()[name]))
	}
	f.Fuzz(func(t *testing.T, name, content string) {
		m := smallFS()
		if m[name] == nil {
			return
		}
		m[name].Data = []byte(content)
		_ = CheckPackage(m)
		p, err := ReadPackage(m)
		if err != nil {
			return
		}
		var films []*Film
		for _, n := range p.Films() {
			film, err := p.Film(n)
			if err != nil {
				return
			}
			films = append(films, film)
		}
		files, err := packageFiles(smallInfo, films)
		if err != nil {
			return
		}
		back := fstest.MapFS{}
		for n, c := range files {
			back[n] = &fstest.MapFile{Data: c}
		}
		q, err := ReadPackage(back)
		if err != nil {
			t.Fatalf("what was read and written cannot be read: %v", err)
		}
		for _, film := range films {
			got, err := q.Film(film.Name())
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(film.Data(), got.Data(), asParts); d != "" {
				t.Fatalf("(-read +read again):\n%s", d)
			}
		}
	})
}
