package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/held"
)

// flat takes the folds out of a text.
func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

// bookOf writes a folder of files.
func bookOf(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, content := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// An invented book: one slip in each of two tables.
var book = map[string]string{
	"a/long.csv":     "Metered (s),Adjusted (s)\n1,1\n2,2.4\n5,7.5\n10,28\n20,42\n50,130\n100,320\n",
	"a/clean.md":     "# Slate 400\n\nText.\n\n| EI | 18 °C | 20 °C | 22 °C | 24 °C |\n|---|---|---|---|---|\n| 400 | 9½ | 8 | 6½ | 5½ |\n| 800 | 13 | 11 | 9 | 7½ |\n",
	"b/filters.tsv":  "# kind: filters\nFilter\tFactor\n8\t2\n15\t2.5\n12\t2.3\n21\t3.5\n25\t8\n47\t6\n11\t4\n",
	"b/order.tex":    "\\begin{tabular}{lr}\nTemp. (°C) & Time\\\\\n18 & 9:30\\\\ 20 & 8:00\\\\ 22 & 6:30\\\\ 24 & 8:15\\\\ 26 & 4:30\\\\\n\\end{tabular}",
	"notes.md":       "No table here.\n",
	"picture.png":    "no text",
	".hidden/no.csv": "1",
}

func TestBook(t *testing.T) {
	dir := bookOf(t, book)
	text, err := call(t, dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"ACCUSED row 4, adjusted_s: printed 28", "ACCUSED row 4, time: printed 8:15", "4 tables: 2 entries accused", "would pass", "[long.csv:5]"} {
		if !strings.Contains(flat(text), want) {
			t.Errorf("no %q in:\n%s", want, text)
		}
	}
	if strings.Contains(text, "Pictures") {
		t.Error("pictures that nobody asked for")
	}
	// JSON: an object a line, in the order of the files.
	text, err = call(t, "-json", "-fail-on", "accused", dir)
	if !errors.Is(err, command.ErrFailOn) {
		t.Errorf("%v", err)
	}
	var kinds []string
	for _, l := range strings.Split(strings.TrimSpace(text), "\n") {
		var o tableJSON
		if err := json.Unmarshal([]byte(l), &o); err != nil {
			t.Fatal(err, l)
		}
		kinds = append(kinds, o.Kind)
	}
	if got := strings.Join(kinds, " "); got != "development reciprocity filters development" {
		t.Error(got)
	}
	if _, err = call(t, "-fail-on", "accused", filepath.Join(dir, "a/clean.md")); err != nil {
		t.Error(err)
	}
}

// A file of a folder that cannot be read is said, and the others are checked.
func TestUnreadable(t *testing.T) {
	said := held.New(t)
	dir := bookOf(t, map[string]string{"a.csv": book["a/long.csv"], "b.csv": "dilution,time\n1:31,7\n1+50,9\n", "c.csv": "metered_s,adjusted_s\n1,1e-320\n"})
	text, err := call(t, "-json", dir)
	if !said.Is("", err, command.ErrFindings) {
		t.Error(err)
	}
	lines := strings.Split(strings.TrimSpace(text), "\n")
	if len(lines) != 3 || !strings.Contains(lines[0], `"findings":[{"row":4`) || !strings.Contains(lines[1], `"error":"`) || !strings.Contains(lines[1], "b.csv:2:1") || !strings.Contains(lines[2], "c.csv:2:3") {
		t.Error(text)
	}
	var stderr bytes.Buffer
	var stdout bytes.Buffer
	if err := run([]string{dir}, &stdout, &stderr); !said.Is("", err, command.ErrFindings) || !strings.Contains(stderr.String(), "b.csv:2:1") || !strings.Contains(stdout.String(), "2 could not be read") {
		t.Errorf("%v %s %s", err, &stdout, &stderr)
	}
	if text, err := call(t, "-colon", "water", filepath.Join(dir, "b.csv")); err != nil || !strings.Contains(text, "2 rows") {
		t.Error(err, text)
	}
}

// Accepted findings do not fail, and expire when the cell changes.
func TestAccepted(t *testing.T) {
	said := held.New(t)
	dir := bookOf(t, map[string]string{"a.csv": book["a/long.csv"], "ok.txt": "file,row,column,printed,reason\na.csv,4,adjusted_s,28,as in the first edition\n"})
	a, ok := filepath.Join(dir, "a.csv"), filepath.Join(dir, "ok.txt")
	text, err := call(t, "-accepted", ok, "-fail-on", "accused", a)
	if err != nil || !strings.Contains(flat(text), "accepted row 4") || !strings.Contains(flat(text), "as in the first edition") {
		t.Error(err, text)
	}
	if err := os.WriteFile(a, []byte(strings.Replace(book["a/long.csv"], "10,28", "10,29", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	if text, err = call(t, "-accepted", ok, "-fail-on", "accused", a); !said.Is("", err, command.ErrFailOn) || !strings.Contains(text, "expired") {
		t.Error(err, text)
	}
	if err := os.WriteFile(ok, []byte("file,row,column,printed,reason\na.csv,4,adjusted_s,28,\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err = call(t, "-accepted", ok, a); !said.Refused("", err) || !strings.Contains(err.Error(), "ok.txt:2") {
		t.Error(err)
	}
}

func TestSARIF(t *testing.T) {
	dir := bookOf(t, book)
	text, err := call(t, "-sarif", dir)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Version string
		Runs    []struct {
			Results []struct {
				RuleID, Level string
				Locations     []struct {
					PhysicalLocation struct {
						ArtifactLocation struct{ URI string }
						Region           struct{ StartLine int }
					}
				}
			}
		}
	}
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatal(err)
	}
	if got.Version != "2.1.0" || len(got.Runs) != 1 || len(got.Runs[0].Results) < 2 || got.Runs[0].Results[0].Locations[0].PhysicalLocation.Region.StartLine != 5 {
		t.Error(text)
	}
}

// The suggestion is set as the table is, and the file is left alone.
func TestSuggest(t *testing.T) {
	dir := bookOf(t, map[string]string{
		"times.md":    "| °C | Time (min) |\n|---|---|\n| 18 | 9½ |\n| 19 | 8¾ |\n| 20 | 8 |\n| 21 | - |\n| 22 | 6½ |\n| 23 | 6 |\n| 24 | 15½ |\n| 25 | 5 |\n| 26 | 4½ |\n",
		"seconds.csv": strings.Replace(book["a/long.csv"], "50,130", "50,", 1),
	})
	text, err := call(t, "-suggest", filepath.Join(dir, "times.md"))
	if err != nil || !strings.Contains(text, "24 | 5½ «15½»") || !strings.Contains(text, "21 | 7¼ «-»") || !strings.Contains(text, "2 cells changed") {
		t.Error(err, text)
	}
	if text, err = call(t, "-suggest", filepath.Join(dir, "seconds.csv")); err != nil || !strings.Contains(text, "10,17 «28»") && !strings.Contains(text, "10,18 «28»") || !strings.Contains(text, "50,130 «»") && !strings.Contains(text, "50,140 «»") {
		t.Error(err, text)
	}
}

// Marks are set as marks, in a matrix too.
func TestSuggestMarks(t *testing.T) {
	dir := bookOf(t, map[string]string{
		"exposures.csv": "EV,f/2.8,f/4,f/5.6,f/8\n8,1/30,1/15,1/8,1/4\n9,1/60,1/30,1/15,1/8\n10,1/125,1/30,1/30,1/15\n11,1/250,1/125,1/60,1/30\n",
		"light.md":      "# Exposures at ISO 100\n\n| Light value \\ aperture | 2.8 | 4 | 5.6 | 8 |\n|---|---|---|---|---|\n| 8 | 1/30 | 1/15 | 1/8 | 1/4 s |\n| 9 | 1/60 | 1/30 | 1/15 | 1/8 |\n| 10 | 1/125 | 1/60 | 1/30 | 1/51 |\n| 11 | 1/250 | 1/125 | 1/60 | – |\n",
		"times.csv":     "Shutter speed\n1\n1/2\n1/4\n1/8\n1/15\n1/30\n1/60\n1/125\n1/25\n1/500\n1/1000\n",
		"rings.csv":     "f-number\nf/1.4\nf/2\nf/2.8\nf/4\nf/6.5\nf/8\nf/11\nf/16\nf/22\n",
	})
	text, err := call(t, "-suggest", dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"10,f/4,1/60 «1/30»", "1/15 «1/51»", "1/250 «1/25»", "f/5.6 «f/6.5»"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}

func TestCompareCommand(t *testing.T) {
	dir := bookOf(t, map[string]string{
		"c.csv":     "Temperature (°C),Time\n18,9:30\n20,8:00\n22,6:30\n24,5:30\n",
		"f.csv":     "Temperature (°F),Time\n64.4,9:30\n68,8:00\n71.6,7:00\n75.2,5:30\n",
		"time.csv":  "metered_s,adjusted_s\n1,1\n10,20\n100,600\n",
		"other.csv": "metered_s,adjusted_s\n1,1\n10,20\n100,900\n",
		"open.csv":  "metered_s,aperture_stops\n1,0\n10,3\n100,1.5\n",
	})
	at := func(name string) string { return filepath.Join(dir, name) }
	for _, c := range []struct{ a, b, want string }{
		{"c.csv", "f.csv", "row 3, time: printed 6:30, implied 7"}, {"time.csv", "other.csv", "row 3, adjusted_s: printed 600, implied 900"}, {"time.csv", "open.csv", "aperture_stops: printed 3"},
	} {
		text, err := call(t, "-compare", at(c.b), at(c.a))
		if err != nil || !strings.Contains(flat(text), c.want) {
			t.Errorf("%s %s: %v %s", c.a, c.b, err, text)
		}
	}
	if text, err := call(t, "-compare", "film:Garnedd Swift", at("other.csv")); err != nil || !strings.Contains(text, "the record") {
		t.Error(err, text)
	}
}

// A film's record against development times. The record of the invented film has 13:45 at
// 20 °C and a coefficient of 2.3, so that 22 °C want 13:45 / 2.3^0.2 = 11:38 by hand.
func TestCompareDevelopmentWithRecord(t *testing.T) {
	said := held.New(t)
	dir := bookOf(t, map[string]string{
		"good.csv":  "ei,dilution,temperature_c,time\n1000,1+31,20,13:45\n1000,1+31,22,11:30\n400,1+31,20,9:00\n",
		"bad.csv":   "ei,dilution,temperature_c,time\n1000,1+31,20,13:45\n1000,1+31,22,8:30\n400,1+31,20,9:00\n",
		"other.csv": "ei,dilution,temperature_c,time\n1000,1+15,20,13:45\n1000,1+15,22,11:30\n",
	})
	swift, err := actinic.LoadFilm("Garnedd Swift")
	if err != nil {
		t.Fatal(err)
	}
	own := filepath.Join(dir, "package")
	if err := actinic.WritePackage(own, actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, swift); err != nil {
		t.Fatal(err)
	}
	for _, record := range []string{"film:Garnedd Swift", own} {
		text, err := call(t, "-compare", record, "-process", "tarren", filepath.Join(dir, "good.csv"))
		if err != nil || !strings.Contains(text, "2 of 3 rows") || strings.Contains(text, "ACCUSED") {
			t.Error(record, err, text)
		}
		text, err = call(t, "-compare", record, "-process", "tarren", filepath.Join(dir, "bad.csv"))
		if err != nil || !strings.Contains(flat(text), "ACCUSED row 2, time: printed 8:30, implied 11:") {
			t.Error(record, err, text)
		}
		if text, err = call(t, "-compare", record, "-process", "tarren", filepath.Join(dir, "other.csv")); !said.Refused("", err) {
			t.Error("another dilution was compared:", text)
		}
	}
	if _, err := call(t, "-compare", own, filepath.Join(dir, "good.csv")); !said.Refused("", err) || !strings.Contains(err.Error(), "-process") {
		t.Errorf("two processes: %v", err)
	}
}

// What is no table of a book ends soon and with an error, with pictures too.
func TestBounds(t *testing.T) {
	dir := bookOf(t, map[string]string{
		"small.csv":  "metered_s,adjusted_s\n1e-300,1\n1,2\n10,20\n",
		"tiny.csv":   "metered_s,adjusted_s\n1,1e-320\n2,2\n10,20\n",
		"rows.csv":   "metered_s,adjusted_s\n" + strings.Repeat("1,2\n", 1e6),
		"cell.csv":   "metered_s,adjusted_s\n1," + strings.Repeat("9", 20<<20) + "\n",
		"factor.csv": "filter,factor\n8,1e-300\n25,2\n",
		"xy.csv":     "x,y\n1,1e-320\n2,1e300\n3,1\n",
	})
	for _, c := range []struct{ kind, name string }{
		{"reciprocity", "small.csv"}, {"reciprocity", "tiny.csv"}, {"reciprocity", "rows.csv"}, {"development", "rows.csv"}, {"reciprocity", "cell.csv"}, {"xy", "xy.csv"}, {"filters", "factor.csv"},
	} {
		start := time.Now()
		text, err := call(t, "-kind", c.kind, "-out", filepath.Join(dir, "out"), filepath.Join(dir, c.name))
		if c.name == "factor.csv" { // a contradiction, not a fault of the file
			if err != nil || !strings.Contains(flat(text), "a factor is 1 or more") {
				t.Errorf("%s: %v %s", c.name, err, text)
			}
		} else if err == nil || len(err.Error()) > 4000 {
			t.Errorf("%s: %.200v", c.name, err)
		}
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("%s took %v", c.name, took)
		}
	}
}
