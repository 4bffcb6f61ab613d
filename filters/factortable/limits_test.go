package factortable

import (
	"errors"
	"math"
	"strings"
	"testing"

	"example.org/actinic/filters"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/printedtest"
	"example.org/actinic/spectral"
)

// A row stands apart by more than half a stop, from the table too, and by more than 3.5 deviations, among three
// rows at least: what is at a bound does not.
func TestApart(t *testing.T) {
	for _, r := range []struct {
		off, median, scale float64
		known              int
		want               bool
	}{
		{0.75, 0, 0.125, 3, true}, {-0.75, 0, 0.125, 3, true}, {0.75, 0, 0.125, 2, false}, {0.75, 0, 0.125, 4, true},
		{0.5, 0, 0.125, 3, false}, {0.5, -0.25, 0.125, 3, false}, {-0.53125, 0.25, 0.125, 3, true}, // from the computed one
		{0.75, 0.25, 0.125, 3, false}, {0.75, 0.21875, 0.125, 3, true}, {-0.75, -0.25, 0.125, 3, false}, // from the median
		{1.75, 0, 0.5, 3, false}, {1.78125, 0, 0.5, 3, true}, {-1.75, 0, 0.5, 3, false}, {-1.78125, 0, 0.5, 3, true}, // in deviations
	} {
		c := &compared{off: []float64{r.off}, median: r.median, scale: r.scale, known: r.known}
		if got := c.apart(0); got != r.want {
			t.Errorf("%+v: %v", r, got)
		}
	}
}

// The slips that the text names, at the bounds of each: a third of a stop for what was rounded and of another
// sample, and none where the two can hardly be told from each other.
func TestSlips(t *testing.T) {
	for _, r := range []struct {
		at, factor float64
		want       printed.Slip
	}{
		{8, 3, printed.SlipStops}, {8, 3.34, printed.SlipStops}, {8, 3.36, ""}, {8, 2.66, printed.SlipStops}, {8, 2.64, ""},
		{math.Exp2(0.49), 0.52, ""}, {math.Exp2(0.51), 0.52, printed.SlipStops}, // stops below 0.5
		{3, math.Exp2(3.34), printed.SlipFactor}, {3, math.Exp2(3.36), ""}, {3, math.Exp2(2.66), printed.SlipFactor}, {3, math.Exp2(2.64), ""},
		{math.Exp2(0.49), math.Exp2(1.49), ""}, {math.Exp2(0.51), math.Exp2(1.49), printed.SlipFactor},
		{16, 16 * math.Exp2(0.49), ""}, {2.3, 2.3 * math.Exp2(0.5) * 0.999, ""}, {1.7, 1.7 * math.Exp2(0.51), ""}, {1.7, 1.7 * math.Exp2(0.52), ""},
	} {
		c := &compared{implied: []float64{r.at}}
		if got := c.finding([]Row{{Factor: r.factor}}, 0); got.Slip != r.want || math.Abs(got.Deviation-math.Log2(r.factor/r.at)) > 1e-12 {
			t.Errorf("%v for %v: %q, %v stops, want %q", r.factor, r.at, got.Slip, got.Deviation, r.want)
		}
	}
	// A factor that stands above too is told from half a stop on.
	for stops, want := range map[float64]printed.Slip{-0.51: printed.SlipCopied, -0.49: "", 0.49: "", 0.51: printed.SlipCopied} {
		c := &compared{implied: []float64{8, 8 * math.Exp2(-stops)}}
		if got := c.finding([]Row{{Factor: 8}, {Factor: 8}}, 1); got.Slip != want {
			t.Errorf("copied, %v stops: %q", stops, got.Slip)
		}
	}
	// One up, in the second row alone.
	c := &compared{implied: []float64{8, 3}}
	if first, second := c.finding([]Row{{Factor: 8}, {Factor: 8}}, 0), c.finding([]Row{{Factor: 8}, {Factor: 8}}, 1); first.Slip != "" || second.Slip != printed.SlipCopied {
		t.Errorf("%q and %q", first.Slip, second.Slip)
	}
}

// neutrals are rows that no film and no light make wrong.
func neutrals(t *testing.T, densities ...float64) []Row {
	t.Helper()
	var rows []Row
	for _, d := range densities {
		f, err := filters.Neutral(sensito.Density(d))
		if err != nil {
			t.Fatal(err)
		}
		rows = append(rows, Row{Filter: f, Factor: math.Pow(10, d)})
	}
	return rows
}

func coloured(t *testing.T, name string) filters.Filter {
	t.Helper()
	e, err := filters.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return e.Filter
}

// Another film or light excuses a row where it fits the table about as well, to half a stop in all, and where it can
// be computed there.
func TestExcusedByAnotherLight(t *testing.T) {
	day, err := spectral.LightAt(5500)
	if err != nil {
		t.Fatal(err)
	}
	lamp, err := spectral.LightAt(3200)
	if err != nil {
		t.Fatal(err)
	}
	pan := spectral.Generic(spectral.Panchromatic)
	factor := func(light spectral.Light, f filters.Filter) float64 {
		v, err := filters.Factor(pan, light, f)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	red, blue := coloured(t, "25"), coloured(t, "47")
	// The red one is 1.2 stops off in daylight, which costs 1 stop, and less by lamp. The blue one takes so much
	// of what lies between its two factors that the lamp costs as much more in all as is wanted.
	const off = 1.2
	redFactor := factor(day, red) * math.Exp2(-off)
	atLamp := math.Abs(math.Log2(redFactor / factor(lamp, red)))
	apart := math.Log2(factor(lamp, blue) / factor(day, blue))
	if !(atLamp < 0.75 && apart > 0.7 && apart < 1.3) {
		t.Fatalf("red by lamp %v off, blue %v apart: other filters are wanted", atLamp, apart)
	}
	for _, r := range []struct {
		more    float64
		accused string
	}{{0.05, ""}, {0.48, ""}, {0.52, "6"}, {0.56, "6"}} {
		rows := append(neutrals(t, 0.3, 0.6, 0.9, 1.2, 1.5), Row{Filter: red, Factor: redFactor})
		for left := r.more + 1 - atLamp; left > 0; { // each blue one costs day u, lamp apart - u
			u := max(0, (apart-left)/2)
			rows, left = append(rows, Row{Filter: blue, Factor: factor(day, blue) * math.Exp2(u)}), left-(apart-2*u)
		}
		for _, swapped := range []bool{false, true} {
			conditions := []Condition{{pan, day, "daylight"}, {pan, lamp, "lamp"}}
			if swapped {
				conditions[0], conditions[1] = conditions[1], conditions[0]
			}
			rep, c, err := CheckUnder(conditions, rows)
			if err != nil || c.Words != "daylight" {
				t.Fatalf("%v: %v, %v", r.more, c.Words, err)
			}
			got, _, _ := strings.Cut(printedtest.Brief(rep, printed.High), " ")
			if got != r.accused {
				t.Errorf("lamp costs %v more: accused %q, want %q", r.more, got, r.accused)
			}
		}
	}
	// A film that sees no red excuses nothing behind a red filter. Of conditions that fit as well the first is named.
	blind, err := spectral.SensitivityFromLog([]float64{400, 450, 500}, []float64{1, 1, 0}, spectral.Linear)
	if err != nil {
		t.Fatal(err)
	}
	passes, err := spectral.New([]float64{580, 600, 700}, []float64{0, 0.8, 0.9}, spectral.Zero)
	if err != nil {
		t.Fatal(err)
	}
	if red, err = filters.New("sharp red", passes); err != nil {
		t.Fatal(err)
	}
	if _, err := filters.Factor(blind, day, red); !errors.Is(err, spectral.ErrDisjoint) {
		t.Fatal(err)
	}
	rows := append(neutrals(t, 0.3, 0.6, 0.9, 1.2), Row{Filter: red, Factor: math.Exp2(0.9) * factor(day, red)})
	rep, c, err := CheckUnder([]Condition{{pan, day, "first"}, {blind, day, "blind"}, {pan, day, "again"}}, rows)
	if got, _, _ := strings.Cut(printedtest.Brief(rep, printed.High), " "); err != nil || got != "5" || c.Words != "first" ||
		!strings.HasSuffix(rep.Law, "; of the films and lights tried, first fits best") {
		t.Errorf("%v, %v, %v", rep, c.Words, err)
	}
	rep, err = Check(blind, day, rows)
	if err != nil || len(rep.Findings) != 1 || rep.Findings[0].Row != 5 || rep.Findings[0].Confidence != printed.Low ||
		rep.Findings[0].Rule != `not to be compared: spectral: wavelength ranges do not overlap: one begins at 580 nm, another ends at 500 nm` {
		t.Errorf("%v, %v", rep, err)
	}
}

// Three rows accuse nobody where film and light are not stated, but for what is no factor; four do.
func TestFewRowsAccuseNobody(t *testing.T) {
	day := spectral.D55.Light()
	conditions := []Condition{{spectral.Generic(spectral.Panchromatic), day, "daylight"}}
	for n, want := range map[int]string{3: "", 4: "1 factor 6", 5: "1 factor 6"} {
		rows := neutrals(t, 0.3, 0.6, 0.9, 1.2, 1.5)[:n]
		rows[0].Factor = 6
		rep, _, err := CheckUnder(conditions, rows)
		if err != nil {
			t.Fatal(err)
		}
		if got := printedtest.Brief(rep, printed.High); !strings.HasPrefix(got, want) || want == "" && got != "" {
			t.Errorf("%d rows: %q, want %q", n, got, want)
		}
		rows[0].Factor = 0.5
		if rep, _, err = CheckUnder(conditions, rows); err != nil || !strings.HasPrefix(printedtest.Brief(rep, printed.High), "1 factor 0.5") {
			t.Errorf("%d rows, a transmittance: %v, %v", n, rep, err)
		}
	}
}

// What is refused, by the whole sentence.
func TestSaysWhatIsWrong(t *testing.T) {
	pan, day := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	nd := func(factor, stops float64) Row {
		r := neutrals(t, 0.3)[0]
		r.Factor, r.Stops = factor, sensito.Stops(stops)
		return r
	}
	good := nd(2, 1)
	usual := []Condition{{pan, day, "daylight"}}
	for _, r := range []struct {
		rows       []Row
		conditions []Condition
		want       string // empty for none
	}{
		{nil, usual, "a table of 0 rows, want 1 to 2000"},
		{make([]Row, 2001), usual, "a table of 2001 rows, want 1 to 2000"},
		{[]Row{good, nd(0, 0)}, usual, "row 2: factor 0, want more than 0"},
		{[]Row{nd(-1, 0)}, usual, "row 1: factor -1, want more than 0"},
		{[]Row{nd(math.NaN(), 0)}, usual, "row 1: factor NaN, want more than 0"},
		{[]Row{nd(1e12, 0)}, usual, ""},
		{[]Row{nd(1.01e12, 0)}, usual, "row 1: factor 1.01e+12, want more than 0"},
		{[]Row{nd(2, 40)}, usual, ""},
		{[]Row{nd(2, 40.5)}, usual, "row 1: stops 40.5, want 0 to 40, and 0 for none"},
		{[]Row{nd(2, -0.5)}, usual, "row 1: stops -0.5, want 0 to 40, and 0 for none"},
		{[]Row{good}, nil, "no film and light to hold the table against"},
	} {
		_, _, err := CheckUnder(r.conditions, r.rows)
		if r.want == "" && err != nil || r.want != "" && (!errors.Is(err, datafile.ErrData) || !strings.HasSuffix(err.Error(), ": "+r.want)) {
			t.Errorf("%v, want %q", err, r.want)
		}
	}
	rows := make([]Row, printed.MaxRows)
	for i := range rows {
		rows[i] = good
	}
	if _, err := Check(pan, day, rows); err != nil {
		t.Error(err)
	}
	for words, c := range map[string]Condition{"no film": {spectral.Sensitivity{}, day, "no film"}, "no light": {pan, spectral.Light{}, "no light"}} {
		if _, _, err := CheckUnder([]Condition{c}, []Row{good}); err == nil || !strings.HasPrefix(err.Error(), words+": ") {
			t.Errorf("%s: %v", words, err)
		}
	}
	if _, err := Check(pan, day, []Row{good, {Factor: 2}}); !errors.Is(err, filters.ErrInvalid) || !strings.HasPrefix(err.Error(), "row 2: ") {
		t.Errorf("a filter that is none: %v", err)
	}
}

// Within a printed range all is right; outside it the nearer end counts.
func TestPrintedRange(t *testing.T) {
	pan, day := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	for _, r := range []struct{ low, high float64 }{{3, 5}, {4 - 1e-9, 5}, {3, 4 + 1e-9}, {8, 12}, {1, 2}} {
		row := neutrals(t, math.Log10(4))[0]
		row.low, row.high = r.low, r.high
		row.Factor = (r.low + r.high) / 2
		c, err := hold(pan, day, []Row{row})
		if err != nil {
			t.Fatal(err)
		}
		want := 0.0
		switch {
		case r.low > 4:
			want = math.Log2(row.Factor / r.low)
		case r.high < 4:
			want = math.Log2(row.Factor / r.high)
		}
		if math.Abs(c.off[0]-want) > 1e-9 {
			t.Errorf("%v to %v: %v, want %v", r.low, r.high, c.off[0], want)
		}
	}
	// Its ends belong to it: no filter at all has the factor 1 to the last digit.
	for _, ends := range [][2]float64{{1, 2}, {0.5, 1}} {
		c, err := hold(pan, day, []Row{{Filter: filters.Clear(), Factor: 1.5, low: ends[0], high: ends[1]}})
		if err != nil || c.implied[0] != 1 || c.off[0] != 0 {
			t.Errorf("%v: %+v, %v", ends, c, err)
		}
	}
}
