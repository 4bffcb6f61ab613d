package roll

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// truth is an invented film's density for tests of scales.
func truth(x, minutes float64) float64 {
	g := 1.0 * -math.Expm1(-0.09*(minutes-0.5))
	u := 0.25 * math.Log1p(math.Exp((x+2.9)/0.25))
	return 0.24 + g*u/math.Pow(1+math.Pow(u/2.4, 5), 0.2)
}

// scaled is a roll whose exposures are written by a function, in a column.
func scaled(t *testing.T, head, column string, write func(x float64) string, density func(d float64) string) *Record {
	t.Helper()
	var b strings.Builder
	reading := "density"
	if strings.Contains(head, "raw") {
		reading = "value"
	}
	fmt.Fprintf(&b, "strip,development,%s,%s\n", column, reading)
	for _, m := range []float64{5, 8, 12, 18} {
		fmt.Fprintf(&b, "S%g,%g:00,,%s\n", m, m, density(truth(-9, m)))
		for k := range 21 {
			x := -3.7 + 0.15051499783*float64(k) // half stops
			fmt.Fprintf(&b, "S%g,%g:00,%s,%s\n", m, m, write(x), density(truth(x, m)))
		}
	}
	roll, err := Read(fstest.MapFS{"test.json": {Data: []byte(goodHead[:len(goodHead)-1] + head + "}")}, "strips.csv": {Data: []byte(b.String())}})
	if err != nil {
		t.Fatal(err)
	}
	r, err := roll.Characterise(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func four(d float64) string { return fmt.Sprintf("%.4f", d) }

// One film, its exposures told in each way: the same contrast and development by all, the
// same speeds by all that are tied, and no speed by those that are not.
func TestScalesOfExposure(t *testing.T) {
	absolute := scaled(t, "", "log_h_lx_s", func(x float64) string { return fmt.Sprintf("%.4f", x) }, four)
	middle := -3.7 + 0.15051499783*12 // the metered tone, at EI 8/10^middle
	ei := sensito.MeteredExposure / math.Pow(10, middle)
	stops := func(x float64) string { return fmt.Sprintf("%.4f", (x-middle)/math.Log10(2)) }
	tie := fmt.Sprintf(`, "metered_at_ei": %.6f`, ei)
	for _, c := range []struct {
		name, head, column string
		write              func(x float64) string
		tied               bool
	}{
		{"relative", `, "exposure": "relative"`, "log_h_lx_s", func(x float64) string { return fmt.Sprintf("%.4f", x+3.1) }, false},
		{"relative, tied", `, "exposure": "relative", "metered_step": 13` + tie, "log_h_lx_s", func(x float64) string { return fmt.Sprintf("%.4f", x+3.1) }, true},
		{"stops", "", "stops", stops, false},
		{"stops, tied", tie, "stops", stops, true},
		{"ei", "", "ei", func(x float64) string { return fmt.Sprintf("%.6g", sensito.MeteredExposure/math.Pow(10, x)) }, true},
	} {
		r := scaled(t, c.head, c.column, c.write, four)
		if r.Development == nil || math.Abs(r.Development.Value/absolute.Development.Value-1) > 0.005 {
			t.Errorf("%s: development %v, want %v", c.name, r.Development, absolute.Development)
			continue
		}
		b, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		words := strings.Join(r.Recommendation, " ")
		for i := range r.Strips {
			s, a := r.Strips[i], absolute.Strips[i]
			if c.tied {
				if s.RelativeSpeed != nil || math.Abs(s.Speed.Value/a.Speed.Value-1) > 0.005 {
					t.Errorf("%s, strip %s: speed %v, want %v", c.name, s.Strip, s.Speed.Value, a.Speed.Value)
				}
				continue
			}
			if s.Speed.Value != 0 || s.RelativeSpeed == nil {
				t.Errorf("%s, strip %s: speed %+v", c.name, s.Strip, s.Speed)
				continue
			}
			got := *s.RelativeSpeed - *r.Strips[0].RelativeSpeed
			if want := absolute.Strips[0].SpeedPointLogH - a.SpeedPointLogH; math.Abs(got-want) > 0.003 {
				t.Errorf("%s, strip %s: %.4f faster than the first, want %.4f", c.name, s.Strip, got, want)
			}
		}
		if c.tied != (r.Index != nil) || c.tied == strings.Contains(string(b), `"speed":null`) || !c.tied && (!strings.Contains(string(b), `"index":null`) || strings.Contains(words, "ISO")) {
			t.Errorf("%s: index %v; %s", c.name, r.Index, words)
		}
		var back Record
		if err := json.Unmarshal(b, &back); err != nil || (back.Strips[0].Speed.Value == 0) == c.tied {
			t.Errorf("%s: read back: %v", c.name, err)
		}
	}
}

// Camera values with their flare told give the film; with none told they give a finding and
// too long a development.
func TestRawValues(t *testing.T) {
	const light, dark, flare = 52000.0, 210.0, 0.012
	exposures := func(x float64) string { return fmt.Sprintf("%.4f", x) }
	value := func(d float64) string {
		return fmt.Sprintf("%.1f", dark+(light-dark)*(flare+(1-flare)*math.Pow(10, -d)))
	}
	want := scaled(t, "", "log_h_lx_s", exposures, four)
	told := scaled(t, `, "raw": {"light": 52000, "dark": 210, "flare": 0.012}`, "log_h_lx_s", exposures, value)
	untold := scaled(t, `, "raw": {"light": 52000, "dark": 210}`, "log_h_lx_s", exposures, value)
	if got := told.Development.Value / want.Development.Value; math.Abs(got-1) > 0.005 {
		t.Errorf("flare told: %.3f of the development", got)
	}
	found := func(r *Record) string {
		for _, f := range r.Findings {
			if f.What == CopyFlare {
				return f.Text
			}
		}
		return ""
	}
	if found(told) != "" || !strings.Contains(found(untold), "1.5 %") {
		t.Errorf("findings %q and %q", found(told), found(untold))
	}
	if untold.Development == nil || !(untold.Development.Value > 1.05*want.Development.Value) {
		t.Errorf("flare untold: development %v, want longer than %v", untold.Development, want.Development)
	}
}

// A table as a spreadsheet writes it gives what the plain one gives.
func TestSpreadsheets(t *testing.T) {
	said := held.New(t)
	plain := "strip,development,log_h_lx_s,density\nA,7:30,,0.24\nA,7:30,-3.1,0.25\nA,7:30,-2.9,0.31\n"
	want, err := Read(dir("test.json", goodHead, "strips.csv", plain))
	if err != nil {
		t.Fatal(err)
	}
	semicolons := strings.NewReplacer(",", ";", ".", ",").Replace(plain)
	for name, text := range map[string]string{
		"semicolons and decimal commas": semicolons,
		"a byte order mark, CRLF":       "\ufeff" + strings.ReplaceAll(semicolons, "\n", "\r\n"),
		"tabs":                          strings.ReplaceAll(plain, ",", "\t"),
		"empty columns and rows":        strings.ReplaceAll(plain, "\n", ",,\n") + ",,,,,\n,,,,,\n",
		"empty rows of semicolons":      strings.ReplaceAll(semicolons, "\n", ";\n") + ";;;;\n",
		"a typographic minus":           strings.ReplaceAll(plain, "-", "\u2212"),
		"a note":                        strings.NewReplacer("density\n", "density,note\n", "0.24\n", "0.24,clear\n", "0.25\n", "0.25,\n", "0.31\n", "0.31,a scratch\n").Replace(plain),
		"quoted decimal commas":         "strip,development,log_h_lx_s,density\nA,7:30,,\"0,24\"\nA,7:30,\"-3,1\",\"0,25\"\nA,7:30,\"-2,9\",\"0,31\"\n",
	} {
		got, err := Read(dir("test.json", goodHead, "strips.csv", text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if fmt.Sprint(got.Strips) != fmt.Sprint(want.Strips) {
			t.Errorf("%s: %v, want %v", name, got.Strips, want.Strips)
		}
		if name == "a note" && (len(got.notes) != 1 || !strings.Contains(got.notes[0], `"note"`)) {
			t.Errorf("%s: notes %q", name, got.notes)
		}
	}
	// One cause, one error.
	many := "strip,development,log_h_lx_s,density\n" + strings.Repeat("A,7:30,-3,1,0,24\n", 12)
	if _, err := Read(dir("test.json", goodHead, "strips.csv", many)); !said.Refused("", err) || strings.Count(err.Error(), "\n") > 0 {
		t.Errorf("twelve rows with decimal commas: %v", err)
	}
}

func TestDetails(t *testing.T) {
	head := goodHead[:len(goodHead)-1] + `, "tester": "A. Tester", "date": "2026-05-01", "temperature_c": 20.5, "x-water": "soft"}`
	test, err := Read(dir("test.json", head, "strips.csv", "strip,development,log_h_lx_s,density\nA,7:30,-3,0.2\n"))
	if err != nil {
		t.Fatal(err)
	}
	r, err := test.Characterise(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprint(r.DetailLines()); got != "[{Tester A. Tester} {Date 2026-05-01} {Temperature 20.5 °C} {Water soft}]" || r.unsigned() != "" {
		t.Errorf("%s, %q", got, r.unsigned())
	}
	if s := (&Record{Details: map[string]string{"date": "x"}}).unsigned(); !strings.Contains(s, "its tester:") {
		t.Errorf("%q", s)
	}
}
