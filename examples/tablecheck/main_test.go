package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
)

func call(t *testing.T, args ...string) (string, error) {
	t.Helper()
	var b bytes.Buffer
	err := run(args, &b, io.Discard)
	return b.String(), err
}

func write(t *testing.T, name, content string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestShipped(t *testing.T) {
	dir := t.TempDir()
	text, err := call(t, "-out", dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"row 4, lengthening_percent: printed 30, implied 28", "row 2, temperature_c: printed 16.7, implied 26.7",
		"row 2, wf: printed 28", "row 8, wf: printed 103", "Fahrenheit for Celsius", "copied from the row above",
		"14 tables: 15 entries accused, 5 remarks.", "safety data sheet",
	} {
		if !strings.Contains(strings.Join(strings.Fields(text), " "), want) {
			t.Errorf("no %q in:\n%s", want, text)
		}
	}
	for _, name := range []string{"invented_development.png", "invented_development.svg", "martin_1919_wf.png"} {
		if st, err := os.Stat(filepath.Join(dir, name)); err != nil || st.Size() < 1000 {
			t.Errorf("%s: %v", name, err)
		}
	}
	text, err = call(t, "-json")
	if err != nil {
		t.Fatal(err)
	}
	var list []map[string]any
	if err := json.Unmarshal([]byte(text), &list); err != nil || len(list) != 14 || list[0]["rows"] != 5.0 {
		t.Errorf("%v: %d tables", err, len(list))
	}
}

func TestOwn(t *testing.T) {
	file := write(t, "times.csv", "ei,dilution,temperature_c,time\n400,1+1,18,10:15\n400,1+1,20,8:30\n400,1+1,22,7\n400,1+1,24,5.75\n"+
		"800,1+1,18,13:45\n800,1+1,20,11:30\n800,1+1,22,95:00\n800,1+1,24,7:45\n")
	text, err := call(t, "-kind", "development", "-json", file)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Count(text, "\n") != 1 {
		t.Errorf("not a line: %s", text)
	}
	var got tableJSON
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Rows) != 8 || got.File != file || got.Kind != "development" || !strings.Contains(got.Law, "Q10") || len(got.Findings) != 1 || got.Unseen == "" {
		t.Fatalf("%s", text)
	}
	content, err := os.ReadFile(file)
	if want := fmt.Sprintf("sha256:%x", sha256.Sum256(content)); err != nil || got.Made.Inputs[file] != want || got.Made.Version != actinic.Version {
		t.Errorf("%+v, want %s; %v", got.Made, want, err)
	}
	if r := got.Rows[1]; r.Line != 3 || *r.Printed != "8:30" || !(*r.Low < 510 && *r.High > 510 && *r.Implied > *r.Low && *r.Implied < *r.High) {
		t.Errorf("%s", text) // in seconds
	}
	if f := got.Findings[0]; f.Row != 7 || f.Line != 8 || f.Column != "time" || f.Printed != "95:00" || f.Slip != "decimal point" && f.Slip != "a digit too many" || f.Unit != "percent" || f.Confidence != "high" || f.Rule == "" || f.Deviation < 800 || !(*f.Probability > 0.95) || !(*f.Implied > 500 && *f.Implied < 650) {
		t.Errorf("%s", text)
	}
	file = write(t, "rec.csv", "metered_s,adjusted_s,aperture_stops\n1,1,0\n2,2.5,0.33\n5,8,0.67\n10,20,0.67\n20,47,1\n40,137,1.33\n80,33,1.67\n")
	if text, err = call(t, "-kind", "reciprocity", "-json", file); err != nil || !strings.Contains(text, `"row":7,"line":8,"column":"adjusted_s"`) || !strings.Contains(text, `"printed":"33"`) || !strings.Contains(text, `"unit":"stops"`) {
		t.Errorf("%v %s", err, text)
	}
	file = write(t, "filters.csv", "filter,factor\n8,2\n25,80\n15,2.5\n21,4\n")
	dir := t.TempDir()
	if text, err = call(t, "-kind", "filters", "-film", "Panchromatic", "-light", "daylight", "-out", dir, file); err != nil || !strings.Contains(text, "ACCUSED  row 2, factor: printed 80") {
		t.Errorf("%v %s", err, text)
	}
	film := write(t, "film.csv", "wavelength_nm,mine\n400,1\n500,1\n600,1\n680,0.2\n")
	if _, err = call(t, "-kind", "filters", "-film", film, "-light", "3200K", "-json", file); err != nil {
		t.Error(err)
	}
}

func TestRefused(t *testing.T) {
	said := held.New(t)
	times := write(t, "bad.csv", "ei,dilution,temperature_c,time\n400,1:31,20,6:75\n")
	good := write(t, "good.csv", "filter,factor\n8,2\n")
	strange := write(t, "strange.csv", "this,that\n8,2\n")
	for _, c := range []struct {
		args  []string
		usage bool
		want  []string
	}{
		{[]string{"-kind", "development", times}, false, []string{"bad.csv:2:5: dilution: read \"1:31\"", "bad.csv:2:13: time: read \"6:75\"", "want"}},
		{[]string{"-kind", "reciprocity", times}, false, []string{"bad.csv:1", "metered_s"}},
		{[]string{"-kind", "development", "nowhere.csv"}, false, []string{"nowhere.csv"}},
		{[]string{"-kind", "filters", "-film", "nofilm", good}, false, []string{"-film", "panchromatic"}},
		{[]string{"-kind", "filters", "-light", "noon", good}, false, []string{"-light", "5500 K"}},
		{[]string{"-kind", "recipes", good}, true, []string{"recipes"}},
		{[]string{strange}, false, []string{"-kind", "unknown kind"}},
		{[]string{"-json", "-sarif", good}, true, []string{"-sarif"}},
		{[]string{"-fail-on", "rain", good}, true, []string{"-fail-on"}},
		{[]string{"-compare", good, good, good}, true, []string{"-compare"}},
		{[]string{"-kind", "filters"}, true, []string{"FILE"}},
		{[]string{"-kind", "filters", good, "-json"}, true, []string{"before FILE"}},
		{[]string{"-nonsense"}, true, []string{"nonsense"}},
	} {
		text, err := call(t, c.args...)
		var u command.UsageError
		if err == nil || errors.As(err, &u) != c.usage || text != "" {
			t.Errorf("%v: %v, %q", c.args, err, text)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%v: no %q in %v", c.args, w, err)
			}
		}
		if !c.usage && strings.HasSuffix(c.args[len(c.args)-1], "bad.csv") && !said.Is("", err, datafile.ErrData) {
			t.Errorf("%v: %v", c.args, err)
		}
	}
	if text, _ := call(t, "-h"); !strings.Contains(text, "Example:") || !strings.Contains(text, "-film") {
		t.Error(text)
	}
}
