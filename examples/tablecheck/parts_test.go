package main

import (
	"math"
	"strings"
	"testing"

	"example.org/actinic"
	"example.org/actinic/devtime"
	"example.org/actinic/devtime/timetable"
	"example.org/actinic/examples/internal/golden"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/printed/layout"
)

// What a mended cell says, at the bounds of each of its forms.
func TestForms(t *testing.T) {
	for want, seconds := range map[string]float64{"0:01": 1, "0:07": 7.4, "0:15": 7.5, "0:30": 22.5, "7:30": 447, "59:45": 3592, "1:00:00": 3593, "1:30:15": 5415} {
		if got := clockFace(seconds); got != want {
			t.Errorf("%v s: %s, want %s", seconds, got, want)
		}
	}
	for _, c := range []struct {
		v    float64
		like string
		want string
	}{{7, "8½", "7"}, {7.5, "8½", "7½"}, {7.25, "8¾", "7¼"}, {7.75, "¼", "7¾"}, {7.5, "8 1/4", "7 1/2"}, {7.25, "1/2", "7 1/4"}, {7.75, "1/2", "7 3/4"}, {7.5, "8.5", "7.5"}, {7.25, "8", "7.25"}, {0.5, "8½", "0½"}} {
		if got := fraction(c.v, c.like); got != c.want {
			t.Errorf("%v as %s: %s, want %s", c.v, c.like, got, c.want)
		}
	}
	for _, c := range []struct {
		lo, hi float64
		want   string
	}{{1, 10, "1 1.5 2 3 4 5 6 7 8 9 10"}, {1, 16, "1 2 5 10"}, {1, 15.8, "1 1.5 2 3 4 5 6 7 8 9 10 15"}, {1, 1e4, "1 2 5 10 20 50 100 200 500 1000 2000 5000 10000"}, {1, 1.01e4, "1 10 100 1000 10000"},
		{0.02, 0.06, "0.02 0.03 0.04 0.05 0.06"}, {0, 1, ""}, {1e-30, 1, ""}, {1, 1e30, ""}, {math.NaN(), 1, ""}} {
		var got []string
		for _, tick := range (logTicks{}).Ticks(c.lo, c.hi) {
			got = append(got, tick.Label)
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%v to %v: %s, want %s", c.lo, c.hi, s, c.want)
		}
	}
}

// The kind of a table is told by each word of its headings alone, or by the name of its file.
func TestKindByHeadings(t *testing.T) {
	said := held.New(t)
	for _, heads := range []string{"Indicated,Corrected", "Measured,Actual", "Metered,Stops", "Metered,Aperture", "Metered,Other", "Contrast,Time", "Gamma,Min", "CI,Time", "Gradient,Time", "Gradient,Other",
		"Filter,Factor", "Filter,Stops", "Filter,Increase", "Filter,Other", "Shutter", "Shutter,Other", "Aperture", "f number", "f stop", "Degrees,ISO", "DIN,ASA", "Degrees,Arithmetic", "Degrees,Speed", "DIN,Other",
		"Step,Density", "Patch,Density", "Patch,Other", "Density,Factor", "ND,Stops", "Density,Transmittance", "ND,Other", "Time,Temperature", "Time,Temp", "Time,Dilution", "Time,EI", "Time,ISO", "Time (min),°C", "Time,Other", "Other,Another"} {
		table := heads + "\n" + strings.Join(strings.Split("1,2", ",")[:strings.Count(heads, ",")+1], ",") + "\n"
		for _, file := range []string{"t.csv", "some-filters.csv", "exposure_2.csv"} {
			tables, err := layout.Read([]byte(table), file)
			if err != nil {
				t.Fatal(err)
			}
			kind, err := kindOf(tables[0], file)
			said.Values(heads+" in "+file, kind, err != nil)
		}
	}
}

// What a record says of a row: where another index, dilution or temperature is meant it is silent, at the bounds of each.
func TestRecordedTime(t *testing.T) {
	film, err := actinic.LoadFilm("Swift")
	if err != nil {
		t.Fatal(err)
	}
	process := func(change func(p *actinic.ProcessData)) *actinic.Process {
		t.Helper()
		d := film.Data()
		d.Processes = d.Processes[:1]
		p := &d.Processes[0]
		p.Index.Index.Value, p.Index.Index.Low, p.Index.Index.High = 1000, 900, 1100
		p.Index.Development = &sensito.Estimate{Value: 600, Low: 570, High: 630}
		if change(p); p.Growth != nil {
			p.Growth.Q10, p.Growth.Coldest, p.Growth.Warmest = 2.5, 18, 26
		}
		made, err := actinic.NewFilm(d)
		if err != nil {
			t.Fatal(err)
		}
		out, err := made.Process("")
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	whole := process(func(*actinic.ProcessData) {})
	dilution := func(s string) devtime.Dilution {
		d, err := devtime.ParseDilution(s, devtime.RefuseColon)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	sixth := math.Exp2(1.0 / 6)
	for name, c := range map[string]struct {
		p     *actinic.Process
		r     timetable.Row
		times float64 // of ten minutes; 0 where nothing is said
	}{
		"of no index": {whole, timetable.Row{}, 1}, "of the index": {whole, timetable.Row{Index: 1000}, 1},
		"a sixth of a stop more": {whole, timetable.Row{Index: 1000 * sixth * 0.9999}, 1}, "more than a sixth": {whole, timetable.Row{Index: 1000 * sixth * 1.0001}, 0}, "less than a sixth": {whole, timetable.Row{Index: 1000 / sixth * 0.9999}, 0},
		"its dilution": {whole, timetable.Row{Dilution: dilution("1+31")}, 1}, "the same dilution": {whole, timetable.Row{Dilution: dilution("2+62")}, 1}, "another": {whole, timetable.Row{Dilution: dilution("1+30")}, 0},
		"its temperature": {whole, timetable.Row{Temperature: 20}, 1}, "beside it": {whole, timetable.Row{Temperature: 20.04}, 1}, "warmer": {whole, timetable.Row{Temperature: 22}, math.Pow(2.5, -0.2)},
		"colder": {whole, timetable.Row{Temperature: 18}, math.Pow(2.5, 0.2)}, "warmest": {whole, timetable.Row{Temperature: 26}, math.Pow(2.5, -0.6)}, "too warm": {whole, timetable.Row{Temperature: 26.1}, 0}, "too cold": {whole, timetable.Row{Temperature: 17.9}, 0},
		"fahrenheit": {whole, timetable.Row{Fahrenheit: 71.6}, math.Pow(2.5, -0.2)}, "too hot": {whole, timetable.Row{Fahrenheit: 80}, 0},
		"no coefficient":        {process(func(p *actinic.ProcessData) { p.Growth = nil }), timetable.Row{Temperature: 22}, 0},
		"no coefficient needed": {process(func(p *actinic.ProcessData) { p.Growth = nil }), timetable.Row{Temperature: 20}, 1},
		"no temperature known":  {process(func(p *actinic.ProcessData) { p.Temperature = 0 }), timetable.Row{Temperature: 22}, 1},
		"no dilution known":     {process(func(p *actinic.ProcessData) { p.Dilution = "" }), timetable.Row{Dilution: dilution("1+15")}, 1},
		"no development":        {process(func(p *actinic.ProcessData) { p.Index.Development = nil }), timetable.Row{}, 0},
		"no index": {process(func(p *actinic.ProcessData) {
			p.Index = &actinic.IndexData{Index: sensito.Exact(5), Provenance: p.Provenance}
		}), timetable.Row{Index: 1000}, 0},
	} {
		e, ok := recordedTime(c.p, c.r)
		if ok != (c.times > 0) || ok && (math.Abs(e.Value-10*c.times) > 1e-9 || math.Abs(e.Low-9.5*c.times) > 1e-9 || math.Abs(e.High-10.5*c.times) > 1e-9) {
			t.Errorf("%s: %v, %v, want %v minutes", name, e, ok, 10*c.times)
		}
	}
}

// Tables of other kinds and settings are mended, compared and drawn as they were.
func TestOtherTables(t *testing.T) {
	files := map[string]string{
		"nd.csv":        "Density,Factor,Stops\n0.3,2,1\n0.6,4,2\n0.9,8,3\n1.2,61,4\n",
		"times.csv":     "metered_s,adjusted_s\n1 s,1 s\n2 s,2.4 s\n5 s,7.5 s\n10 s,28 s\n20 s,42 s\n50 s,130 s\n1 min 40 s,320 s\n",
		"minutes.csv":   "metered_s,adjusted_s\n1 min,1 min\n2 min,3 min\n5 min,9 min\n10 min,2 min\n20 min,54 min\n50 min,160 min\n",
		"semicolon.csv": "metered_s;adjusted_s\n1;1\n2;2,4\n5;7,5\n10;28\n20;42\n50;130\n",
		"tab.tsv":       "metered_s\tadjusted_s\n1\t1\n2\t2.4\n5\t7.5\n10\t28\n20\t42\n50\t130\n",
		"table.tex":     "\\begin{tabular}{rr}\nMetered & Adjusted \\\\\n1 s & 1 s \\\\\n2 s & 2.4 s \\\\\n5 s & 7.5 s \\\\\n10 s & 28 s \\\\\n20 s & 42 s \\\\\n50 s & 130 s \\\\\n\\end{tabular}\n",
		"dev.csv":       "ei,temperature_c,time\n100,20,8:00\n200,20,10:30\n400,20,13:30\n100,24,5:45\n200,24,17:30\n400,24,9:45\n",
		"quotes.csv":    "ei,temperature_c,time\n100,20,8'00\"\n200,20,10'30\"\n400,20,13'30\"\n100,24,5'45\"\n200,24,17'30\"\n400,24,9'45\"\n",
		"fractions.csv": "ei,temperature_c,time\n100,20,8 1/4\n200,20,10 1/2\n400,20,13 1/2\n100,24,5 3/4\n200,24,17 1/2\n400,24,9 3/4\n",
		"halves.csv":    "ei,temperature_c,time\n100,20,8\n200,20,10.5\n400,20,13.5\n100,24,5.5\n200,24,17.5\n400,24,9.5\n",
		"filters.csv":   "filter,factor\n8,2×\n15,2.5×\n21,31×\n25,8×\n",
		"zones.csv":     "Step,Density\n1,0\n2,0.20\n3,0.35\n4,1.51\n5,0.65\n6,0.79\n",
		"blank.csv":     "ei,temperature_c,time\n100,20,8\n200,20,-\n400,20,13.5\n100,24,5.75\n200,24,7.5\n400,24,\n",
		"exact.csv":     "metered_s,adjusted_s\n1,1.03\n2,2.41\n5,7.53\n10,28.2\n20,42.1\n50,130\n",
		"book/a.csv":    "metered_s,adjusted_s\n1,1\n2,2.4\n5,7.5\n10,28\n20,42\n50,130\n",
		"book/b.md":     "No table here.\n", "book/.hidden/c.csv": "x\n", "book/sub/a.csv": "metered_s,adjusted_s\n1,1\n2,2.4\n5,7.5\n10,17\n20,42\n50,130\n", "book/d.csv": "a\n", "book/e.txt": "no manuscript",
	}
	golden.Lines(t, "", run, files, "-kind nd -out OUT IN/nd.csv", "-kind tablet -out OUT IN/zones.csv", "-suggest IN/times.csv", "-suggest IN/minutes.csv", "-suggest IN/semicolon.csv", "-suggest IN/tab.tsv", "-suggest IN/table.tex",
		"-suggest IN/dev.csv", "-suggest IN/quotes.csv", "-suggest IN/fractions.csv", "-suggest IN/halves.csv", "-kind filters -suggest IN/filters.csv", "-suggest IN/blank.csv", "-suggest IN/exact.csv",
		"IN/book", "-json IN/book", "-sarif IN/book", "-out OUT IN/book", "IN/book/a.csv IN/nothing.csv", "-fail-on remark IN/book/sub/a.csv", "-fail-on remark IN/blank.csv", "IN/book/.hidden")
}
