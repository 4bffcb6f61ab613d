package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"image/png"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/testroll/quarry"
	"example.org/actinic/sensito/datafile"
)

func try(t *testing.T, args ...string) (string, error) {
	t.Helper()
	var out, notes bytes.Buffer
	err := run(args, &out, &notes)
	return out.String(), err
}

func TestReport(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "report")
	out, err := try(t, "-out", dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Garnedd Swift (invented)", "ISO 1250/32°", "Index          EI 800", "Develop ", "safety data sheet", "report.html"} {
		if !strings.Contains(out, want) {
			t.Errorf("the output lacks %q:\n%s", want, out)
		}
	}
	page, err := os.ReadFile(filepath.Join(dir, "report.html"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"<title>Garnedd Swift (invented)", "data:image/png;base64,", "Handling developers", "Method", "invented", "What to do", "Range (95 %)", "<h2>Frames</h2>"} {
		if !bytes.Contains(page, []byte(want)) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if n := bytes.Count(page, []byte("<img ")); n != 4 {
		t.Errorf("the page has %d figures, want 4", n)
	}
	page = regexp.MustCompile(`;base64,[^"]*`).ReplaceAll(page, nil) // pictures hold any three letters
	for _, bad := range []string{"http://", "https://", "NaN", "<no value>"} {
		if bytes.Contains(page, []byte(bad)) {
			t.Errorf("the page has %q: it must stand alone", bad)
		}
	}
	for _, name := range []string{"curves", "contrast", "bracket", "residuals"} {
		f, err := os.Open(filepath.Join(dir, name+".png"))
		if err != nil {
			t.Fatal(err)
		}
		if img, err := png.Decode(f); err != nil || img.Bounds().Dx() < 800 {
			t.Errorf("%s.png: %v", name, err)
		}
		f.Close()
		svg, err := os.ReadFile(filepath.Join(dir, name+".svg"))
		if err != nil || !bytes.Contains(svg, []byte("</svg>")) {
			t.Errorf("%s.svg is not whole: %v", name, err)
		}
	}
	left, err := filepath.Glob(filepath.Join(dir, ".writing-*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
	var record map[string]any
	b, err := os.ReadFile(filepath.Join(dir, "record.json"))
	if err != nil || json.Unmarshal(b, &record) != nil || record["strips"] == nil {
		t.Errorf("record.json: %v", err)
	}
	if table, err := os.ReadFile(filepath.Join(dir, "table.csv")); err != nil || bytes.Count(table, []byte("\n")) != 6 {
		t.Errorf("table.csv: %v\n%s", err, table)
	}
}

func TestJSON(t *testing.T) {
	t.Chdir(t.TempDir())
	out, err := try(t, "-json", "-seed", "3")
	if err != nil {
		t.Fatal(err)
	}
	var r map[string]any
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	again, err := try(t, "-json", "-seed", "3")
	if err != nil || again != out {
		t.Errorf("the same seed gives another record: %v", err)
	}
	if files, _ := os.ReadDir("."); len(files) > 0 {
		t.Errorf("-json alone wrote %v", files)
	}
}

func TestRefusals(t *testing.T) {
	dir := t.TempDir()
	write := func(name, content string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	out := filepath.Join(dir, "report")
	if _, err := try(t, "-dir", dir, "-out", out); err == nil || !strings.Contains(err.Error(), "test.json and strips.csv") {
		t.Errorf("an empty directory: %v", err)
	}
	write("test.json", `{"film": "F (invented)", "process": "P (invented)", "light": "L", "target_average_gradient": 0.6}`)
	write("strips.csv", "strip,development,log_h_lx_s,density\nA,7:30,-3,0.2\nA,7:30,-2.85,0,21\n")
	_, err := try(t, "-dir", dir, "-out", out)
	var all datafile.Errors
	if !errors.As(err, &all) || !strings.HasPrefix(err.Error(), "strips.csv:3: row: read") {
		t.Errorf("a decimal comma: %v", err)
	}
	if _, err := os.Stat(out); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a report was begun: %v", err)
	}
	// A strip that gives nothing is a finding, not a failure.
	write("strips.csv", "strip,development,log_h_lx_s,density\nA,7:30,-3,0.2\nA,7:30,-2.85,0.21\n")
	said, err := try(t, "-dir", dir, "-out", out)
	if err != nil || !strings.Contains(said, "Finding: Strip A was left out: unusable input: readings at 2 exposures") || !strings.Contains(said, "(strips.csv:2)") {
		t.Errorf("too few readings: %v\n%s", err, said)
	}
	page, err := os.ReadFile(filepath.Join(out, "report.html"))
	if err != nil || !bytes.Contains(page, []byte("Strip A was left out")) {
		t.Errorf("the page lacks the finding: %v", err)
	}
	if _, err := try(t, "-dir", filepath.Join(dir, "test.json")); err == nil || !strings.Contains(err.Error(), "directory") {
		t.Errorf("a file for a directory: %v", err)
	}
	if _, err := try(t, "-dir", filepath.Join(dir, "nowhere")); err == nil {
		t.Error("a directory that is not there passes")
	}
	// The place for the report is taken by a file.
	if out, err := try(t, "-out", filepath.Join(dir, "test.json")); err == nil || !strings.Contains(err.Error(), "report") || !strings.Contains(out, "EI 800") {
		t.Errorf("a file where the report should go: %v, or the numbers are not there", err)
	}
	var usage command.UsageError
	for _, args := range [][]string{{"-no-such-flag"}, {"extra"}, {"-seed", "x"}} {
		if _, err := try(t, args...); !errors.As(err, &usage) {
			t.Errorf("%v: %v, want a usage error", args, err)
		}
	}
	if out, err := try(t, "-h"); !errors.Is(err, flag.ErrHelp) || !strings.Contains(out, "Example:") {
		t.Errorf("-h: %v\n%s", err, out)
	}
}

// Findings stand where the number stands that they touch: under the strips, and under
// the bracket; a figure that cannot be drawn is a note.
func TestFindingsInPlace(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"test.json", "strips.csv", "bracket.csv"} {
		b, err := quarry.Files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(string(b), "\n")
		switch name {
		case "strips.csv": // a misread step of strip B, and strip C fogged
			lines[31] = "B,8:00,-1.42,1.30,0.010"
			for i, l := range lines {
				if c := strings.Split(l, ","); c[0] == "C" {
					v, err := strconv.ParseFloat(c[3], 64)
					if err != nil {
						t.Fatal(err)
					}
					c[3] = strconv.FormatFloat(v+0.15, 'f', 3, 64)
					lines[i] = strings.Join(c, ",")
				}
			}
		case "bracket.csv": // a shadow near the index
			for i, l := range lines {
				if strings.HasPrefix(l, "5,500,shadow,") {
					lines[i] = "5,500,shadow,0.62,0.015"
				}
			}
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(strings.Join(lines, "\n")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	out := filepath.Join(dir, "report")
	text, err := try(t, "-dir", dir, "-out", out)
	if err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(filepath.Join(out, "report.html"))
	if err != nil {
		t.Fatal(err)
	}
	for name, s := range map[string]string{"text": text, "page": string(page)} {
		for _, want := range []string{"Strip B, step 4", "(strips.csv:32)", "Strip C is fogged", "The shadow of frame 5", "(bracket.csv:14)"} {
			if !strings.Contains(strings.Join(strings.Fields(s), " "), want) {
				t.Errorf("the %s lacks %q:\n%s", name, want, text)
			}
		}
	}
	at := func(s string) int { return bytes.Index(page, []byte(s)) }
	if !(at("<h2>Strips</h2>") < at("Strip C is fogged") && at("Strip C is fogged") < at("Target: average gradient") && at("Densities of the bracketed frames") < at("The shadow of frame 5")) {
		t.Error("the findings do not stand where their numbers stand")
	}
}
