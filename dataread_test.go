package actinic

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"example.org/actinic/internal/datapackage"
)

// The programs of data/README.md print what this package reads, in each language that
// is there, and know an empty cell and an infinity.
func TestOtherLanguagesRead(t *testing.T) {
	page, err := os.ReadFile("data/README.md")
	if err != nil {
		t.Fatal(err)
	}
	p := must(must(LoadFilm("Garnedd Swift")).Process("Tarren"))
	x := must(p.Index())
	i := slices.IndexFunc(p.data.Curves, func(c CurveData) bool { return c.Name == "D" })
	points := p.data.Curves[i].points()
	shown := func(low, high string) string {
		return fmt.Sprintf("EI %.0f, %.1f min (%s to %s)\n%d points, density %.2f to %.2f\n", x.Index.Value, x.Development.Value/60, low, high,
			len(points), float64(points[0].Density), float64(points[len(points)-1].Density))
	}
	minutes := func(s float64) string { return fmt.Sprintf("%.1f", s/60) }
	open := withOpenInterval(t)
	for _, l := range []struct{ fence, command, file string }{{"js", "node", "read.js"}, {"python", "python3", "read.py"}, {"r", "Rscript", "read.R"}} {
		t.Run(l.fence, func(t *testing.T) {
			m := regexp.MustCompile("(?s)```" + l.fence + "\n(.*?)```").FindSubmatch(page)
			if m == nil {
				t.Fatalf("data/README.md has no program in %s", l.fence)
			}
			program, err := exec.LookPath(l.command)
			if err != nil {
				t.Skipf("%s is not installed here: the program in %s is not run", l.command, l.fence)
			}
			file := filepath.Join(t.TempDir(), l.file)
			if err := os.WriteFile(file, m[1], 0o644); err != nil {
				t.Fatal(err)
			}
			for _, r := range []struct{ dir, want string }{
				{"data", shown(minutes(x.Development.Low), minutes(x.Development.High))},
				{open, shown("unknown", "inf")},
			} {
				cmd := exec.Command(program, file)
				cmd.Dir = r.dir
				out, err := cmd.CombinedOutput()
				if got := strings.ReplaceAll(string(out), "\r\n", "\n"); err != nil || got != r.want {
					t.Errorf("%v, printed\n%swant\n%s", err, got, r.want)
				}
			}
		})
	}
}

// withOpenInterval is a copy of the package whose developments lie between nobody knows
// what and infinity.
func withOpenInterval(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("data")); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "indexes.csv")
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(f).ReadAll()
	f.Close()
	if err != nil {
		t.Fatal(err)
	}
	low, high := slices.Index(rows[0], "development_low_s"), slices.Index(rows[0], "development_high_s")
	for _, r := range rows[1:] {
		r[low], r[high] = "", "INF"
	}
	var b bytes.Buffer
	if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	sealed := filepath.Join(dir, "datapackage.json")
	before, after := must(os.ReadFile(name)), b.Bytes()
	descriptor := string(must(os.ReadFile(sealed)))
	changed := strings.NewReplacer(datapackage.HashOf(before), datapackage.HashOf(after)).Replace(descriptor)
	if changed == descriptor {
		t.Fatal("the descriptor does not hold the hash of indexes.csv")
	}
	for file, content := range map[string][]byte{name: after, sealed: []byte(changed)} {
		if err := os.WriteFile(file, content, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// Every table of the package is told of in data/README.md.
func TestDataPageNamesTables(t *testing.T) {
	page, err := os.ReadFile("data/README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range must(datapackage.Open(os.DirFS("data"))).Resources {
		head := strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(r.Name, "_spectra"), "_transmittances"), "_reflectances")
		if !strings.Contains(string(page), "`"+r.Name+"`") && !strings.Contains(string(page), "`"+head) {
			t.Errorf("%s is not on the page", r.Name)
		}
	}
}
