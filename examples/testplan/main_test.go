package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"example.org/actinic/devtime/roll/plan"
	"example.org/actinic/examples/internal/cameras"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/page/pagetest"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/rolltest"
	"example.org/actinic/sensito/exposure/camera"
)

func ran(t testing.TB, args ...string) (stdout string, err error) {
	t.Helper()
	var out, notes bytes.Buffer
	err = run(args, &out, &notes)
	return out.String(), err
}

// planned are the members that others rely on.
type planned struct {
	Strips []struct {
		Strip        string    `json:"strip"`
		DevelopmentS float64   `json:"development_s"`
		Stops        []float64 `json:"stops"`
	} `json:"strips"`
	Frames []struct {
		Frame     int      `json:"frame"`
		EI        float64  `json:"ei"`
		ExposedAs float64  `json:"exposed_as"`
		TimeS     float64  `json:"time_s"`
		Aperture  string   `json:"aperture"`
		ND        *float64 `json:"nd"`
	} `json:"frames"`
	Expected, Even struct {
		Index       float64 `json:"index_half_width_stops"`
		Development float64 `json:"development_half_width_percent"`
		Efficiency  float64 `json:"efficiency"`
	}
	Made command.Made `json:"made"`
}

func jsonOf(t testing.TB, args ...string) planned {
	t.Helper()
	out, err := ran(t, append(args, "-json")...)
	if err != nil {
		t.Fatal(err)
	}
	var p planned
	if err := json.Unmarshal([]byte(out), &p); err != nil {
		t.Fatal(err)
	}
	return p
}

// The whole way: a plan, its folder filled with densities of an invented film of another
// form than the plan's, what comes next, and the record that testroll makes of it.
func TestWholeWay(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "mytest")
	p := jsonOf(t, "-camera", "bothy", "-index", "1600", "-sure", "1", "-ev", "12", "-half-width", "0.17", "-density-sd", "0.015", "-out", dir, "-strips", "5")
	if len(p.Strips) != 5 || len(p.Frames) < 5 || len(p.Frames) > 36 || !(p.Expected.Index <= 0.17*1.1) || !(p.Even.Index > p.Expected.Index) ||
		!(p.Expected.Efficiency > p.Even.Efficiency) || p.Made.Inputs["camera.json"] == "" {
		t.Errorf("%+v", p)
	}
	for _, f := range p.Frames {
		if f.ND == nil || *f.ND != *p.Frames[0].ND || !strings.HasPrefix(f.Aperture, "f/") || !(f.TimeS > 0) || math.Abs(math.Log2(f.ExposedAs/f.EI)) > 1.0/6+0.02 { // 640 is printed for 631
			t.Errorf("%+v", f)
		}
	}
	for _, name := range []string{"test.json", "strips.csv", "bracket.csv", "readings.json", "plan.json", "shooting-list.html", "shooting-list.txt"} {
		if st, err := os.Stat(filepath.Join(dir, name)); err != nil || st.Size() == 0 {
			t.Errorf("%s: %v", name, err)
		}
	}
	_, err := ran(t, "-index", "400", "-out", dir)
	if said := held.New(t); !said.Is("written over", err, os.ErrExist) {
		t.Errorf("a folder with readings is written over: %v", err)
	}
	if _, err := ran(t, "-index", "400", "-out", filepath.Join(dir, "test.json", "x")); !held.New(t).Refused("below a file", err) {
		t.Error("written below a file")
	}
	if _, err := ran(t, "-dir", dir); err == nil || !strings.Contains(err.Error(), "no density") {
		t.Errorf("nothing is filled in: %v", err)
	}
	film := rolltest.NewFilm("1/x toe", rand.New(rand.NewPCG(4, 4)))
	x := math.Log10(0.5/1900) - film.SpeedPoint(10) // its index is 1900 after ten minutes
	fill(t, filepath.Join(dir, "strips.csv"), func(row []string) float64 {
		if row[2] == "" {
			return film.BaseFog(minutes(t, row[1]))
		}
		return film.BaseFog(minutes(t, row[1])) + film.Net(math.Log10(8./1600)+0.30103*value(t, row[2])-x, minutes(t, row[1]))
	})
	out, err := ran(t, "-dir", dir, "-camera", "bothy", "-ev", "12")
	if err != nil || !strings.Contains(out, "not read yet") || !strings.Contains(out, "One more strip") {
		t.Errorf("%s, %v", out, err)
	}
	fill(t, filepath.Join(dir, "bracket.csv"), func(row []string) float64 {
		at, ok := map[string]float64{"shadow": -4, "midtone": 0, "highlight": 3}[row[2]]
		if !ok {
			return film.BaseFog(10)
		}
		return film.BaseFog(10) + film.Net(math.Log10(8/value(t, row[1]))+0.30103*at-x, 10)
	})
	if out, err = ran(t, "-dir", dir, "-camera", "bothy", "-ev", "12"); err != nil || !strings.Contains(out, "Index        ") || strings.Contains(out, "none yet") {
		t.Errorf("%s, %v", out, err)
	}
	if out, err = ran(t, "-dir", dir, "-camera", "bothy", "-ev", "12", "-json"); err != nil || !json.Valid([]byte(out)) || !strings.Contains(out, `"next_frames"`) {
		t.Errorf("%s, %v", out, err)
	}
	text, err := exec.Command("go", "run", "../testroll", "-dir", dir, "-json").Output()
	if err != nil {
		t.Fatalf("testroll: %v", err)
	}
	var record struct {
		Bracket struct {
			Index struct{ Value, Low, High float64 }
		}
		Development struct{ Value float64 } `json:"development_for_target_s"`
	}
	if err := json.Unmarshal(text, &record); err != nil {
		t.Fatal(err)
	}
	if b := record.Bracket.Index; !(b.Low < 1900 && 1900 < b.High) || !(record.Development.Value > 60) {
		t.Errorf("the film's index is 1900: %+v", record)
	}
}

func minutes(t testing.TB, s string) float64 {
	t.Helper()
	var m, sec float64
	if _, err := fmt.Sscanf(s, "%f:%f", &m, &sec); err != nil {
		t.Fatal(s, err)
	}
	return m + sec/60
}

func value(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// fill writes densities with the noise of a reading into a table.
func fill(t testing.TB, name string, density func(row []string) float64) {
	t.Helper()
	content, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(content)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(8, 8))
	for _, row := range rows[1:] {
		row[3] = fmt.Sprintf("%.3f", math.Max(density(row)+0.015*r.NormFloat64(), 0))
	}
	var b bytes.Buffer
	if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// Without a camera the one assumed is printed with the result, and an error about marks
// says whose they are.
func TestNoCameraGiven(t *testing.T) {
	said := held.New(t)
	out, err := ran(t, "-index", "400", "-ev", "12", "-strips", "4", "-half-width", "0.3")
	if err != nil || !strings.Contains(out, "no camera was given") || !strings.Contains(out, "1/4000") {
		t.Errorf("%v\n%s", err, out)
	}
	one := filepath.Join(t.TempDir(), "one.json")
	if err := os.WriteFile(one, []byte(`{"times": ["1/60"], "apertures": ["f/8", "f/11"], "bulb": false}`), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := ran(t, "-index", "400", "-ev", "12", "-camera", one); !said.Refused("", err) || !strings.Contains(err.Error(), "distinct exposures") || !strings.Contains(err.Error(), "unnamed camera") {
		t.Error(err)
	}
	if _, err := ran(t, "-index", "400", "-ev", "-15"); !said.Refused("", err) || !strings.Contains(err.Error(), "no camera was given") {
		t.Error(err)
	}
}

// Each end of a command line.
func TestCommandLine(t *testing.T) {
	said := held.New(t)
	if out, err := ran(t, "-h"); !said.Is("", err, flag.ErrHelp) || !strings.Contains(out, "Example") || !strings.Contains(out, "-camera") {
		t.Errorf("%v\n%s", err, out)
	}
	for _, args := range [][]string{{"-index", "0"}, {"-index", "NaN"}, {"-index", "400", "-sure", "0"}, {"-index", "400", "-sure", "NaN"}, {"-ev", "12"},
		{"-index", "400", "-half-width", "-1"}, {"-index", "400", "-frames", "0"}, {"-index", "400", "-development", "soon"}, {"file"}, {"-nothing"},
		{"-dir", "a", "-out", "b"}, {"-index", "400", "-density-sd", "Inf"}} {
		if _, err := ran(t, args...); !errors.As(err, new(command.UsageError)) {
			t.Errorf("%v: %v", args, err)
		}
	}
	for _, args := range [][]string{{"-index", "1e9"}, {"-index", "400", "-frames", "3"}, {"-index", "400", "-camera", "none.json"}, {"-index", "400", "-ev", "99"},
		{"-dir", "none"}, {"-index", "400", "-strips", "2"}} {
		if _, err := ran(t, args...); !said.Refused("", err) || errors.As(err, new(command.UsageError)) {
			t.Errorf("%v: %v", args, err)
		}
	}
	bad := filepath.Join(t.TempDir(), "bad.json")
	if err := os.WriteFile(bad, []byte("{\n \"fastset\": 1}"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := ran(t, "-index", "400", "-camera", bad); !said.Refused("", err) || !strings.Contains(err.Error(), "bad.json:2:2:") {
		t.Error(err)
	}
}

// A folder that cannot be written leaves nothing behind, and is refused before anything is printed.
func TestNothingHalfWritten(t *testing.T) {
	said := held.New(t)
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	err := run([]string{"-index", "400", "-ev", "12", "-strips", "4", "-half-width", "0.3", "-out", filepath.Join(file, "in")}, &out, io.Discard)
	if !said.Refused("below a file", err) || out.Len() > 0 {
		t.Errorf("%v\n%s", err, out.String())
	}
	entries, _ := os.ReadDir(dir)
	if len(entries) != 1 {
		t.Errorf("%v", entries)
	}
	if _, err := ran(t, "-index", "400", "-strips", "4", "-film", "a\nb", "-half-width", "0.3", "-out", filepath.Join(dir, "x")); !said.Refused("", err) {
		t.Error("a name of two lines is written")
	}
	if entries, _ = os.ReadDir(dir); len(entries) != 1 {
		t.Errorf("%v", entries)
	}
}

// The list is whole on narrow and wide screens and on paper.
func TestListIsWhole(t *testing.T) {
	d, _, err := cameraOf(t, "incline")
	if err != nil {
		t.Fatal(err)
	}
	p, err := plan.New(plan.Wish{Camera: d, Index: 1600, Light: 15, Strips: 4})
	if err != nil {
		t.Fatal(err)
	}
	text := list(p)
	pagetest.Said(t, text)
	pagetest.Whole(t, text, pagetest.A4, pagetest.Letter)
}

// cameraOf is a camera as the flag gives it.
func cameraOf(t testing.TB, name string) (*camera.Described, []byte, error) {
	t.Helper()
	flags := command.New("testplan", "", io.Discard)
	f := cameras.New(flags)
	if err := flags.Parse([]string{"-camera", name}, 0); err != nil {
		t.Fatal(err)
	}
	return f.Camera()
}
