package roll

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

const goodHead = `{"film": "Garnedd Swift (invented)", "process": "Tarren 1+31, 20 °C (invented)", "light": "daylight", "target_average_gradient": 0.58}`

// strips of a known film without noise: average gradient 0.9 (1 - e^(-0.1 t)) of a
// form with a toe of width 0.2.
func exactStrips(times ...float64) string { return strips(0, 6, times...) }

// strips is the same with an induction time in minutes, and densities of so many
// decimals.
func strips(induction float64, decimals int, times ...float64) string {
	var b strings.Builder
	b.WriteString("strip,development,log_h_lx_s,density\n")
	for i, t := range times {
		f, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: 1, Toe: -3, ToeWidth: 0.2})
		if err != nil {
			panic(err)
		}
		// The average gradient is nearly proportional to gamma: find the gamma.
		want := 0.9 * -math.Expm1(-0.1*(t-induction))
		lo, hi := 0.05, 3.0
		for range 60 {
			g := (lo + hi) / 2
			f, _ = sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: g, Toe: -3, ToeWidth: 0.2})
			if v, _ := sensito.AverageGradient(f); v < want {
				lo = g
			} else {
				hi = g
			}
		}
		for k := range 27 {
			x := sensito.LogH(-4 + 0.15*float64(k))
			d, _ := f.Density(x)
			fmt.Fprintf(&b, "%c,%g,%.2f,%.*f\n", 'A'+i, t, float64(x), decimals, float64(d))
		}
		fmt.Fprintf(&b, "%c,%g,,0.200000\n", 'A'+i, t)
	}
	return b.String()
}

func dir(files ...string) fstest.MapFS {
	m := fstest.MapFS{}
	for i := 0; i < len(files); i += 2 {
		m[files[i]] = &fstest.MapFile{Data: []byte(files[i+1])}
	}
	return m
}

func TestReadTestRollRefuses(t *testing.T) {
	said := held.New(t)
	good := "strip,development,log_h_lx_s,density\nA,7:30,-3,0.2\n"
	bad := func(row string) string {
		return "strip,development,log_h_lx_s,density,density_sd\nA,7:30,-3,0.2,0.01\n" + row + "\n"
	}
	bracket := func(row string) string { return "frame,ei,patch,density\n1,400,shadow,0.3\n" + row + "\n" }
	for _, c := range []struct {
		name string
		fsys fs.FS
		want string // start of the error
	}{
		{"nothing there", dir(), "actinic: a test needs the files test.json and strips.csv"},
		{"no strips", dir("test.json", goodHead), "actinic: a test needs the files test.json and strips.csv"},
		{"empty test.json", dir("test.json", "", "strips.csv", good), "test.json:1:1: want an object"},
		{"truncated test.json", dir("test.json", goodHead[:40], "strips.csv", good), "test.json:1:41: want an object"},
		{"not JSON", dir("test.json", "{\n  film: 1}", "strips.csv", good), "test.json:2:3: want an object"},
		{"unknown member", dir("test.json", strings.Replace(goodHead, `"light"`, `"lihgt"`, 1), "strips.csv", good), `test.json:1:83: member: read "lihgt", want`},
		{"no film", dir("test.json", strings.Replace(goodHead, "Garnedd Swift (invented)", "", 1), "strips.csv", good), "test.json:1:2: film: "},
		{"target in per cent", dir("test.json", strings.Replace(goodHead, "0.58", "58", 1), "strips.csv", good), `test.json:1:104: target_average_gradient: read "58"`},
		{"target as text", dir("test.json", strings.Replace(goodHead, "0.58", `"0.58"`, 1), "strips.csv", good), `test.json:1:104: target_average_gradient: read "0.58", want a number, without quotation marks`},
		{"a name twice", dir("test.json", strings.Replace(goodHead, "{", `{"film": "other", `, 1), "strips.csv", good), `test.json:1:19: member: read "film", want each member once`},
		{"a name in other capitals", dir("test.json", strings.Replace(goodHead, "{", `{"Film": "other", `, 1), "strips.csv", good), `test.json:1:19: member: read "film", want no name that differs from "Film" in capitals only`},
		{"a null", dir("test.json", strings.Replace(goodHead, "0.58", "null", 1), "strips.csv", good), `test.json:1:104: target_average_gradient: read "null", want a number`},
		{"a light that commands a terminal", dir("test.json", strings.Replace(goodHead, `"daylight"`, `"\u001b[31m"`, 1), "strips.csv", good), `test.json:1:83: light: read "\x1b[31m", want plain text`},
		{"half a character", dir("test.json", strings.Replace(goodHead, `"daylight"`, `"\ud800"`, 1), "strips.csv", good), `test.json:1:93: want an object`},
		{"a hexadecimal density", dir("test.json", goodHead, "strips.csv", strings.Replace(good, ",0.2", ",0x1p-3", 1)), `strips.csv:2:11: density: read "0x1p-3", want a density`},
		{"two objects", dir("test.json", goodHead+"{}", "strips.csv", good), "test.json:1:"},
		{"bad criterion", dir("test.json", goodHead[:len(goodHead)-1]+`, "criterion": "iso"}`, "strips.csv", good), `test.json:1:137: criterion: read "iso", want fixed-density`},
		{"bad stops", dir("test.json", goodHead[:len(goodHead)-1]+`, "shadow_stops_below_meter": -4}`, "strips.csv", good), "test.json:1:137: shadow_stops_below_meter"},
		{"bad bracket time", dir("test.json", goodHead[:len(goodHead)-1]+`, "bracket_development": "6:75"}`, "strips.csv", good), "test.json:1:137: bracket_development"},

		{"empty strips", dir("test.json", goodHead, "strips.csv", ""), "strips.csv:1: want a header strip,development and where known log_h_lx_s,stops,ei,density"},
		{"header only", dir("test.json", goodHead, "strips.csv", "strip,development,log_h_lx_s,density\n"), "strips.csv:1: want rows"},
		{"missing column", dir("test.json", goodHead, "strips.csv", "strip,development,density\nA,7,0.2\n"), "strips.csv:1: log_h_lx_s: "},
		{"misspelt column", dir("test.json", goodHead, "strips.csv", "strip,development,log_h_lx_s,density,density_std\nA,7,-3,0.2,0.01\n"), `strips.csv:1:38: header: read "density_std"`},
		{"film on two lines", dir("test.json", strings.Replace(goodHead, "Garnedd Swift", "Garnedd\\nSwift", 1), "strips.csv", good), `test.json:1:2: film: read "Garnedd\nSwift (invented)", want plain text`},
		{"spaces around a light", dir("test.json", strings.Replace(goodHead, `"daylight"`, `" daylight"`, 1), "strips.csv", good), `test.json:1:83: light: read " daylight", want plain text`},
		{"not UTF-8 in test.json", dir("test.json", strings.Replace(goodHead, "°", "\xb0", 1), "strips.csv", good), "test.json:1:66: want UTF-8 text"},
		{"a strip with a tab", dir("test.json", goodHead, "strips.csv", bad("A\tB,7:30,-2.85,0.2,0.01")), `strips.csv:3:1: strip: read "A\tB", want plain text`},
		{"a frame with a bell", dir("test.json", goodHead, "strips.csv", good, "bracket.csv", bracket("1\a,400,shadow,0.3")), `bracket.csv:3:1: frame: read "1\a", want plain text`},
		{"double column", dir("test.json", goodHead, "strips.csv", "strip,strip,development,log_h_lx_s,density\n"), `strips.csv:1:7: strip: read "strip", want each column once`},
		{"two separators", dir("test.json", goodHead, "strips.csv", "strip;development;log_h_lx_s,density\nA;7;-3;0,2\n"), `strips.csv:1: header: read "strip;development;log_h_lx_s,density", want one character`},
		{"commas and points", dir("test.json", goodHead, "strips.csv", "strip;development;log_h_lx_s;density\nA;7;-3.1;0,2\n"), `strips.csv:2:10: density: read "0,2", want numbers one way`},
		{"thousands or decimals", dir("test.json", goodHead, "strips.csv", good, "bracket.csv", "frame;ei;patch;density\n1;1,600;shadow;1\n"), `bracket.csv:2:3: ei: read "1,600", want a number that is certain`},
		{"two columns of exposures", dir("test.json", goodHead, "strips.csv", "strip,development,log_h_lx_s,stops,density\nA,7,-3,1,0.2\n"), "strips.csv:1: stops: "},
		{"values without raw", dir("test.json", goodHead, "strips.csv", "strip,development,stops,value\nA,7,-3,900\n"), "strips.csv:1: value: "},
		{"densities and values", dir("test.json", goodHead, "strips.csv", "strip,development,stops,value,density\nA,7,-3,900,1\n"), "strips.csv:1: value: "},
		{"a value above the light", dir("test.json", goodHead[:len(goodHead)-1]+`, "raw": {"light": 800, "dark": 2}}`, "strips.csv", "strip,development,stops,value\nA,7,-3,900\n"), "strips.csv:2:8: value: "},
		{"raw without dark", dir("test.json", goodHead[:len(goodHead)-1]+`, "raw": {"light": 800}}`, "strips.csv", good), "test.json:1:137: raw: "},
		{"flare in per cent", dir("test.json", goodHead[:len(goodHead)-1]+`, "raw": {"light": 800, "dark": 2, "flare": 1.5}}`, "strips.csv", good), "test.json:1:170: flare: "},
		{"an exposure of a third kind", dir("test.json", goodHead[:len(goodHead)-1]+`, "exposure": "guessed"}`, "strips.csv", good), "test.json:1:137: exposure: "},
		{"a step without a tie", dir("test.json", goodHead[:len(goodHead)-1]+`, "exposure": "relative", "metered_step": 3}`, "strips.csv", good), "test.json:1:161: metered_step: "},
		{"a tie without a step", dir("test.json", goodHead[:len(goodHead)-1]+`, "exposure": "relative", "metered_at_ei": 400}`, "strips.csv", good), "strips.csv:1: log_h_lx_s: "},
		{"a step beyond the last", dir("test.json", goodHead[:len(goodHead)-1]+`, "exposure": "relative", "metered_at_ei": 400, "metered_step": 3}`, "strips.csv", good), "strips.csv:2: strip: "},
		{"a warm bath", dir("test.json", goodHead[:len(goodHead)-1]+`, "temperature_c": 293}`, "strips.csv", good), "test.json:1:137: temperature_c: "},
		{"short row", dir("test.json", goodHead, "strips.csv", bad("A,7:30,-2.85")), "strips.csv:3: row: "},
		{"decimal comma", dir("test.json", goodHead, "strips.csv", bad("A,7:30,-2.85,0,21,0.01")), `strips.csv:3: row: read "A,7:30,-2.85,0,21,0.01", want 5 cells as in the header, not 6; a decimal comma`},
		{"quoted decimal comma", dir("test.json", goodHead, "strips.csv", bad(`A,7:30,-2.85,"0,21",0.01`)), `strips.csv:3:14: density: read "0,21", want numbers one way throughout the file: it has decimal points elsewhere; write a decimal point`},
		{"open quote", dir("test.json", goodHead, "strips.csv", bad(`A,7:30,-2.85,"0.21,0.01`)), "strips.csv:3:25: want a table"},
		{"no strip name", dir("test.json", goodHead, "strips.csv", bad(",7:30,-2.85,0.2,0.01")), "strips.csv:3:1: strip: "},
		{"bad time", dir("test.json", goodHead, "strips.csv", bad("A,7:75,-2.85,0.2,0.01")), `strips.csv:3:3: development: read "7:75"`},
		{"another time", dir("test.json", goodHead, "strips.csv", bad("A,8:00,-2.85,0.2,0.01")), `strips.csv:3:3: development: read "8:00", want 7:30 as for this strip on line 2`},
		{"NaN density", dir("test.json", goodHead, "strips.csv", bad("A,7:30,-2.85,NaN,0.01")), `strips.csv:3:14: density: read "NaN"`},
		{"infinite exposure", dir("test.json", goodHead, "strips.csv", bad("A,7:30,Inf,0.3,0.01")), `strips.csv:3:8: log_h_lx_s: read "Inf"`},
		{"lux seconds not logarithmic", dir("test.json", goodHead, "strips.csv", bad("A,7:30,100,0.3,0.01")), `strips.csv:3:8: log_h_lx_s: read "100", want log10`},
		{"negative density", dir("test.json", goodHead, "strips.csv", bad("A,7:30,-2.85,-0.1,0.01")), `strips.csv:3:14: density: read "-0.1"`},
		{"density in hundredths", dir("test.json", goodHead, "strips.csv", bad("A,7:30,-2.85,21,0.01")), `strips.csv:3:14: density: read "21"`},
		{"deviation zero", dir("test.json", goodHead, "strips.csv", bad("A,7:30,-2.85,0.2,0")), `strips.csv:3:18: density_sd: read "0"`},
		{"not UTF-8", dir("test.json", goodHead, "strips.csv", "strip\xff\n"), "strips.csv: want UTF-8"},

		{"bad index", dir("test.json", goodHead, "strips.csv", good, "bracket.csv", bracket("2,ISO 400,shadow,0.3")), `bracket.csv:3:3: ei: read "ISO 400"`},
		{"index zero", dir("test.json", goodHead, "strips.csv", good, "bracket.csv", bracket("2,0,shadow,0.3")), `bracket.csv:3:3: ei: read "0"`},
		{"two indexes of a frame", dir("test.json", goodHead, "strips.csv", good, "bracket.csv", bracket("1,500,midtone,0.3")), `bracket.csv:3:3: ei: read "500", want 400`},
		{"bad patch", dir("test.json", goodHead, "strips.csv", good, "bracket.csv", bracket("1,400,sky,0.3")), `bracket.csv:3:7: patch: read "sky", want shadow, midtone, highlight, unexposed`},
		{"no frame", dir("test.json", goodHead, "strips.csv", good, "bracket.csv", bracket(",400,shadow,0.3")), "bracket.csv:3:1: frame: "},
	} {
		roll, err := Read(c.fsys)
		if !said.Refused(c.name, err) || roll != nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s: %v\nwant %s…", c.name, err, c.want)
		}
	}
	// All that is wrong is said, not the first alone.
	_, err := Read(dir("test.json", `{"film": "", "process": "p", "light": "l", "target_average_gradient": 9}`, "strips.csv", bad("A,x,-2,0.2,0.01\nA,7:30,y,0.2,0.01")))
	var all datafile.Errors
	if !errors.As(err, &all) || len(all) != 4 || !errors.Is(err, datafile.ErrData) {
		t.Errorf("%d errors: %v", len(all), err)
	}
	var one *datafile.Error
	if !errors.As(err, &one) || one.File != "test.json" {
		t.Errorf("as a datafile.Error: %v", one)
	}
}

func TestReadTestRollAsSpreadsheetsWrite(t *testing.T) {
	csv := "\ufeffdensity,log_h_lx_s,development,strip\r\n\"0.25\",\"-3.05\",\"7m30s\",A\r\n0.24,,7.5,A\r\n"
	roll, err := Read(dir("test.json", "\ufeff"+goodHead, "strips.csv", csv))
	if err != nil {
		t.Fatal(err)
	}
	s := roll.Strips[0]
	if s.Development != 450*time.Second || len(s.Readings) != 1 || s.Readings[0].LogH != -3.05 || len(s.Unexposed) != 1 {
		t.Errorf("read %+v", s)
	}
}

func characterise(t *testing.T, fsys fs.FS) *Record {
	t.Helper()
	roll, err := Read(fsys)
	if err != nil {
		t.Fatal(err)
	}
	r, err := roll.Characterise(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestCharacteriseExact(t *testing.T) {
	r := characterise(t, dir("test.json", goodHead, "strips.csv", exactStrips(5, 8, 12, 18)))
	near := func(name string, got, want, tol float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tol) {
			t.Errorf("%s is %v, want %v", name, got, want)
		}
	}
	if r.ContrastTime == nil || r.Development == nil || r.Index == nil {
		t.Fatalf("%+v", r)
	}
	// Laws that all go through the strips within their error are averaged, so the constants
	// stand a rounding beside those of the one that made them.
	c := r.ContrastTime
	near("limit", c.Limit.Value, 0.9, 5e-4)
	near("rate", c.Rate.Value, 0.1, 1e-4)
	near("induction", c.Induction.Value, 0, 1e-3)
	near("development", r.Development.Value, -600*math.Log(1-0.58/0.9), 0.2)
	for _, e := range []struct {
		name string
		of   sensito.Estimate
		want float64
	}{{"limit", c.Limit, 0.9}, {"rate", c.Rate, 0.1}, {"induction", c.Induction, 0}, {"development", *r.Development, -600 * math.Log(1-0.58/0.9)}} {
		if !(e.of.Low <= e.want && e.want <= e.of.High) {
			t.Errorf("%s is %v, want %v inside", e.name, e.of, e.want)
		}
	}
	if r.Index.From != "curves" {
		t.Errorf("index from %s", r.Index.From)
	}
	for i, s := range r.Strips {
		// Readings without a deviation are believed to about 0.001: the fit's weak priors and
		// the other forms, which such readings do not exclude, pull by a tenth of that at most.
		near("average gradient", s.AverageGradient.Value, 0.9*-math.Expm1(-0.1*s.DevelopmentS/60), 1e-4)
		if i > 0 && s.DevelopmentS <= r.Strips[i-1].DevelopmentS {
			t.Errorf("strips are not in order of development")
		}
		if (s.Speed.Kind == sensito.ISO) != s.MeetsISO || s.MeetsISO != sensito.MeetsISO(*s.DeltaD) {
			t.Errorf("strip %s: %v meets %v at ΔD %v", s.Strip, s.Speed.Kind, s.MeetsISO, *s.DeltaD)
		}
		near("speed", s.Speed.Value, 0.8/math.Pow(10, s.SpeedPointLogH), 1e-9*s.Speed.Value)
	}
	// The index is the speed at the recommended time: between the neighbours.
	if lo, hi := r.Strips[1].Speed.Value, r.Strips[2].Speed.Value; !(r.Index.Value > lo && r.Index.Value < hi) {
		t.Errorf("index %v, want between %v and %v", r.Index.Value, lo, hi)
	}
	if len(r.Recommendation) == 0 || !strings.Contains(strings.Join(r.Recommendation, " "), "safety data sheet") {
		t.Error("the recommendation has no caution")
	}
}

// Exact readings that say how exact they are exclude the other forms: the gradients are those
// of the films.
func TestCharacteriseStatedExactly(t *testing.T) {
	text := strings.ReplaceAll(exactStrips(5, 8, 12, 18), "\n", ",0.0002\n")
	text = strings.Replace(text, "density,0.0002", "density,density_sd", 1)
	for _, s := range characterise(t, dir("test.json", goodHead, "strips.csv", text)).Strips {
		want := 0.9 * -math.Expm1(-0.1*s.DevelopmentS/60)
		if g := s.AverageGradient; !(math.Abs(g.Value-want) <= 1e-5) || !(g.Low <= want && want <= g.High) {
			t.Errorf("average gradient %v, want %v", g, want)
		}
	}
}

func TestCharacteriseSays(t *testing.T) {
	for _, c := range []struct {
		name    string
		fsys    fs.FS
		warning string
	}{
		{"one strip", dir("test.json", goodHead, "strips.csv", exactStrips(9)), "two development times"},
		{"target beyond the limit", dir("test.json", strings.Replace(goodHead, "0.58", "0.95", 1), "strips.csv", exactStrips(5, 8, 12, 18)), "No development gives an average gradient of 0.95"},
		{"target outside the strips", dir("test.json", strings.Replace(goodHead, "0.58", "0.80", 1), "strips.csv", exactStrips(5, 8, 12, 18)), "outside the strips"},
		{"short development", dir("test.json", goodHead, "strips.csv", exactStrips(3, 8, 12, 18)), "uneven development"},
		{"a strip that shows too little", dir("test.json", goodHead, "strips.csv", exactStrips(8, 12)+thin("Z", 5)), "Strip Z was left out"},
	} {
		r := characterise(t, c.fsys)
		if !strings.Contains(said(r), c.warning) {
			t.Errorf("%s: %q, want %q", c.name, said(r), c.warning)
		}
		if _, err := json.Marshal(r); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	// Nothing usable: a record that says why, strip by strip.
	for _, c := range []struct{ name, strip, want string }{
		{"never reaches 0.10", "strip,development,log_h_lx_s,density\n" + thin("Z", 5), "Strip Z was left out: not reached"},
		{"reversed tablet", reversed(exactStrips(8)), "Strip A was left out: density falls"},
		{"too few steps", "strip,development,log_h_lx_s,density\nA,8,-3,0.2\nA,8,-2,0.5\n", "Strip A was left out: unusable input: readings at 2 exposures"},
		{"only unexposed", "strip,development,log_h_lx_s,density\nA,8,,0.2\n", "Strip A was left out: unusable input: readings at 0 exposures"},
	} {
		roll, err := Read(dir("test.json", goodHead, "strips.csv", c.strip))
		if err != nil {
			t.Fatal(err)
		}
		r, err := roll.Characterise(Settings{})
		if err != nil || len(r.Findings) != 1 || r.Findings[0].What != Unusable || r.Findings[0].Line != 2 || !strings.HasPrefix(r.Findings[0].Text, c.want) {
			t.Errorf("%s: %+v, %v; want a finding %q", c.name, r, err, c.want)
		}
	}
	bad := Strip{Development: time.Minute}
	for _, roll := range []*Roll{{}, {Strips: []Strip{bad}}, {Strips: []Strip{{}}, TargetAverageGradient: 1}, {Strips: []Strip{bad}, TargetAverageGradient: math.NaN()},
		{Strips: []Strip{bad, bad}, TargetAverageGradient: 1}, {Bracket: []FrameReading{{}}, TargetAverageGradient: 1},
		{Bracket: []FrameReading{{Index: 100, Density: sensito.Density(math.NaN())}}, TargetAverageGradient: 1}} {
		if r, err := roll.Characterise(Settings{}); !errors.Is(err, datafile.ErrData) {
			t.Errorf("%+v gives %v", roll, r)
		}
	}
}

// said is all that a record says in words.
func said(r *Record) string {
	all := slices.Concat(r.Recommendation, r.Warnings)
	for _, f := range r.Findings {
		all = append(all, f.Text)
	}
	return strings.Join(all, "\n")
}

func thin(name string, minutes float64) string {
	var b strings.Builder
	for k := range 12 {
		fmt.Fprintf(&b, "%s,%g,%.2f,%.3f\n", name, minutes, -4+0.15*float64(k), 0.2+0.004*float64(k))
	}
	return b.String()
}

// reversed exchanges the sign of the exposures, as with a tablet read the wrong
// way round.
func reversed(csv string) string {
	lines := strings.Split(csv, "\n")
	for i, l := range lines {
		p := strings.Split(l, ",")
		if i == 0 || len(p) != 4 || p[2] == "" {
			continue
		}
		var x float64
		fmt.Sscan(p[2], &x)
		p[2] = fmt.Sprintf("%.2f", -4-x)
		lines[i] = strings.Join(p, ",")
	}
	return strings.Join(lines, "\n")
}

// The members a reader of the JSON relies on.
func TestRecordJSON(t *testing.T) {
	bracket := "frame,ei,patch,density\n"
	f, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: 0.65, Toe: -3, ToeWidth: 0.2})
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range []float64{200, 400, 800, 1600} {
		for name, stops := range map[string]float64{"shadow": -4, "midtone": 0, "highlight": 3} {
			d, _ := f.Density(sensito.LogHOf(8 / v * math.Exp2(stops)))
			bracket += fmt.Sprintf("%d,%g,%s,%.4f\n", i+1, v, name, float64(d))
		}
	}
	r := characterise(t, dir("test.json", goodHead, "strips.csv", exactStrips(5, 8, 12, 18), "bracket.csv", bracket))
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var m map[string]any
	if err := json.Unmarshal(b, &m); err != nil {
		t.Fatal(err)
	}
	has := func(v any, members ...string) map[string]any {
		t.Helper()
		o, _ := v.(map[string]any)
		for _, name := range members {
			if _, ok := o[name]; !ok {
				t.Errorf("no member %s in %v", name, v)
			}
		}
		return o
	}
	has(m, "strips", "contrast_time", "development_for_target_s", "index", "warnings")
	for _, s := range m["strips"].([]any) {
		o := has(s, "strip", "development_s", "base_fog", "speed_point_log_h", "delta_d", "meets_iso", "speed", "gamma", "average_gradient", "contrast_index")
		has(o["speed"], "kind", "criterion", "value", "degrees", "low", "high")
		for _, name := range []string{"gamma", "average_gradient", "contrast_index"} {
			has(o[name], "value", "low", "high")
		}
	}
	has(m["contrast_time"], "limit", "rate_per_min", "induction_min")
	has(m["development_for_target_s"], "value", "low", "high")
	has(m["index"], "value", "low", "high", "from", "development_s", "history")
	index := has(m["index_as_tested"], "value", "low", "high", "from")
	if index["from"] != "bracket" {
		t.Errorf("index %v", index)
	}
	// Shadow on the speed point: 8/(EI 2^4) = Hm.
	xm, _ := sensito.SpeedPoint(f)
	if want := 0.5 / xm.LuxSeconds(); math.Abs(index["value"].(float64)/want-1) > 0.01 {
		t.Errorf("index %v, want %v", index["value"], want)
	}
	has(m["bracket"], "highlight_density", "neighbours", "frames")
}

func TestBracketSays(t *testing.T) {
	for name, c := range map[string]struct{ bracket, warning string }{
		"no shadow":       {"frame,ei,patch,density\n1,400,midtone,0.8\n2,800,midtone,0.7\n", "no shadow patches"},
		"beyond frames":   {"frame,ei,patch,density\n1,400,shadow,0.8\n2,800,shadow,0.7\n", "expose frames at higher indexes"},
		"one frame":       {"frame,ei,patch,density\n1,400,shadow,0.3\n", "gives no index"},
		"not said how":    {"frame,ei,patch,density\n1,400,shadow,0.4\n2,3200,shadow,0.25\n", "How long the bracket was developed"},
		"without its own": {"frame,ei,patch,density\n1,400,shadow,0.4\n2,3200,shadow,0.25\n", "from their scatter it is about 0.0"},
	} {
		r := characterise(t, dir("test.json", goodHead, "strips.csv", exactStrips(5, 8, 12, 18), "bracket.csv", c.bracket))
		if !strings.Contains(strings.Join(r.Warnings, "\n"), c.warning) {
			t.Errorf("%s: warnings %q, want one with %q", name, r.Warnings, c.warning)
		}
	}
}

func TestMillionRows(t *testing.T) {
	if testing.Short() {
		t.Skip("reads a file of a million rows")
	}
	var b strings.Builder
	b.WriteString("strip,development,log_h_lx_s,density\n")
	f, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: 0.65, Toe: -3, ToeWidth: 0.2})
	if err != nil {
		t.Fatal(err)
	}
	var rows [27]string
	for k := range rows {
		x := sensito.LogH(-4 + 0.15*float64(k))
		d, _ := f.Density(x)
		rows[k] = fmt.Sprintf("A,8,%.2f,%.6f\n", float64(x), float64(d))
	}
	for i := range 1_000_000 {
		b.WriteString(rows[i%27])
	}
	r := characterise(t, dir("test.json", goodHead, "strips.csv", b.String()))
	xm, _ := sensito.SpeedPoint(f)
	if math.Abs(r.Strips[0].SpeedPointLogH-float64(xm)) > 1e-5 {
		t.Errorf("log Hm %v, want %v", r.Strips[0].SpeedPointLogH, xm)
	}
}

func FuzzReadTestRoll(f *testing.F) {
	f.Add(goodHead, "strip,development,log_h_lx_s,density\nA,7:30,-3,0.2\n", "frame,ei,patch,density\n1,400,shadow,0.3\n")
	f.Add("{}", "strip,development,log_h_lx_s,density,density_sd\nA,7,,0.2,\"\n", "")
	f.Add(goodHead, exactStrips(8), "frame,ei,patch,density\n1,400,shadow,0.3\n2,3200,shadow,0.2\n")
	f.Fuzz(func(t *testing.T, head, strips, bracket string) {
		roll, err := Read(dir("test.json", head, "strips.csv", strips, "bracket.csv", bracket))
		if (roll == nil) != (err != nil) {
			t.Fatalf("%v, %v", roll, err)
		}
		if err != nil {
			return
		}
		r, err := roll.Characterise(Settings{})
		if err != nil {
			return
		}
		if _, err := json.Marshal(r); err != nil {
			t.Error(err)
		}
	})
}

// An induction time is found where the strips insist on one, and not otherwise.
func TestInduction(t *testing.T) {
	r := characterise(t, dir("test.json", goodHead, "strips.csv", strips(2, 2, 4, 6, 9, 13, 18)))
	if c := r.ContrastTime; math.Abs(c.Induction.Value-2) > 0.2 || math.Abs(c.Limit.Value-0.9) > 0.02 || math.Abs(c.Rate.Value-0.1) > 0.01 {
		t.Errorf("%+v", c)
	}
	r = characterise(t, dir("test.json", goodHead, "strips.csv", strips(0, 2, 4, 6, 9, 13, 18)))
	if c := r.ContrastTime; c.Induction.Low != 0 || !(c.NoInduction > 0.5 && c.Induction.Value < 0.1) {
		t.Errorf("%+v", c)
	}
}

// The bracket against the strips: the placing of the shadow explains four stops
// less 3.32. And the interval narrows with more unexposed patches.
func TestBracketAgainstStrips(t *testing.T) {
	f, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: 0.63, Toe: -3, ToeWidth: 0.2})
	if err != nil {
		t.Fatal(err)
	}
	bracket := func(faster float64, unexposed int) string {
		b := "frame,ei,patch,density,density_sd\n"
		for i, v := range []float64{100, 200, 400, 800, 1600, 3200} {
			d, _ := f.Density(sensito.LogHOf(0.5 * faster / v))
			b += fmt.Sprintf("%d,%g,shadow,%.4f,0.01\n", i+1, v, float64(d))
		}
		for range unexposed {
			b += "0,400,unexposed,0.2,0.02\n"
		}
		return b
	}
	head := goodHead[:len(goodHead)-1] + `, "bracket_development": "10:21"}`
	say := func(csv string) *Record {
		return characterise(t, dir("test.json", head, "strips.csv", exactStrips(5, 8, 12, 18), "bracket.csv", csv))
	}
	one := say(bracket(1, 1))
	if s := strings.Join(one.Recommendation, " "); !strings.Contains(s, "0.7 stops faster; a shadow placed 4 stops down makes 0.7 of that by itself") {
		t.Errorf("%s", s)
	}
	width := func(r *Record) float64 { return math.Log(r.Index.High / r.Index.Low) }
	// Where there are no strips to know base plus fog from.
	alone := func(csv string) *Record { return characterise(t, dir("test.json", head, "bracket.csv", csv)) }
	if n, o := alone(bracket(1, 9)), alone(bracket(1, 1)); !(width(n) < 0.8*width(o)) {
		t.Errorf("the interval is %v wide with nine unexposed patches, %v with one", width(n), width(o))
	}
	off := say(bracket(4, 1))
	if f := off.About(""); len(f) != 1 || f[0].What != Flare || !strings.Contains(f[0].Text, "flare lifts the shadow, or meter, shutter") || !(f[0].Effect.With.Value > 3*f[0].Effect.Without.Value) {
		t.Errorf("a bracket two stops off the strips passes: %+v", off.Findings)
	}
}

// An index that the readings leave open over more than three stops either way is given
// without an interval, and a warning says so.
func TestIndexLeftOpen(t *testing.T) {
	rating := sensito.Rating{Speed: sensito.Speed{Value: 400, Kind: sensito.EI, Criterion: sensito.FractionalGradient}, SpeedPoint: -2.7}
	point := &sensito.Estimate{Value: -2.7, Low: -2.72, High: -2.68}
	for _, c := range []struct {
		half float64
		told bool
	}{{0.4, true}, {0.99, true}, {1.01, false}} {
		r, sr := &builder{}, &StripRecord{SpeedPointLogH: -2.7}
		r.measured(sr, &Strip{Name: "A", Development: 8 * time.Minute}, rating, point, &sensito.Estimate{Value: 2.6, Low: 2.6 - c.half, High: 2.6 + c.half})
		if told := sr.Speed.Low != nil; told != c.told {
			t.Errorf("half-width %v: interval given %t", c.half, told)
		}
		said := slices.Contains(r.Warnings, "The readings of strip A do not determine its index by fractional-gradient.")
		if said == c.told {
			t.Errorf("half-width %v: %q", c.half, r.Warnings)
		}
	}
}
