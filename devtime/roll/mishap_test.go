package roll

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/rolltest"
	"example.org/actinic/sensito"
)

// befallen is a roll of five strips of 21 steps and ten frames, to which something
// happened.
func befallen(t *testing.T, mishap string, size float64, seed uint64, change func(*rolltest.Design)) (*Record, rolltest.Made) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 3))
	d := rolltest.Design{Film: rolltest.NewFilm("closed form", r), Times: []float64{5, 7, 9.5, 13, 18}, Steps: 21, Step: 0.15, Under: 0.8, Unexposed: 2, SD: 0.01,
		Stated: true, Decimals: 3, Scatter: 0.5, Frames: 10, FrameStep: 1. / 3, FrameSD: 0.015, Developed: 9.5, SayDevelop: true, Mishap: mishap, Size: size}
	d.Target = d.Film.Gradient(11)
	if change != nil {
		change(&d)
	}
	m := d.Make(r)
	return characterise(t, m.Files), m
}

// Each mishap is found by its name and place, and its effect told.
func TestMishapsAreNamed(t *testing.T) {
	for _, c := range []struct {
		mishap string
		size   float64
		what   string
		number string // of the effect
	}{
		{"wild reading", 0.3, WildReading, "of strip S"},
		{"leak", 0.2, Leak, "of strip S"},
		{"fog", 0.15, Fog, "base_fog of strip S"},
		{"swap", 0, Order, "development_for_target_s"},
		{"wild shadow", 0.2, WildReading, "bracket index"},
		{"frame off", 1, WildFrame, "bracket index"},
	} {
		found, n := 0, 4
		for seed := range uint64(4) {
			r, m := befallen(t, c.mishap, c.size, seed, nil)
			for _, f := range r.Findings {
				if f.What != c.what {
					continue
				}
				place := m.Strip
				if c.number == "bracket index" {
					place = ""
				}
				right := f.Frame == m.Frame && (place == "" || len(f.Strips) > 0 && (f.Strips[0] == place || len(f.Strips) == 2 && f.Strips[1] == place))
				if c.what == WildReading && c.number != "bracket index" {
					right = right && f.Step == m.Step
				}
				if !right {
					continue
				}
				found++
				if f.Effect == nil || !strings.Contains(f.Effect.Number, c.number) || f.Text == "" || f.Line == 0 || f.File == "" {
					t.Errorf("%s, seed %d: %+v", c.mishap, seed, f)
				}
				if (c.what == WildReading || c.what == WildFrame) && f.Line != m.Line {
					t.Errorf("%s, seed %d: line %d, want %d", c.mishap, seed, f.Line, m.Line)
				}
				break
			}
		}
		t.Logf("%s: named in %d of %d rolls", c.mishap, found, n)
		if found < n-1 {
			t.Errorf("%s: named in %d of %d rolls", c.mishap, found, n)
		}
	}
}

// Exchanged strips are taken to have had each other's development, so that the answer
// is that of the roll without the slip; the labels stay in the record.
func TestExchangedStripsAreTakenSo(t *testing.T) {
	for seed := range uint64(3) {
		r, m := befallen(t, "swap", 0, seed, nil)
		at := map[string]*StripRecord{}
		for i := range r.Strips {
			at[r.Strips[i].Strip] = &r.Strips[i]
		}
		a, b := at[m.Strip], at[m.Other]
		if a.TakenS == nil || b.TakenS == nil || *a.TakenS != b.DevelopmentS || *b.TakenS != a.DevelopmentS {
			t.Fatalf("seed %d: %s is taken %v, %s %v", seed, a.Strip, a.TakenS, b.Strip, b.TakenS)
		}
		want := 60 * m.Design.Film.DevelopFor(m.Design.Target)
		if d := r.Development; d == nil || !(d.Low <= want && want <= d.High) {
			t.Errorf("seed %d: development %v, the truth %.0f s", seed, d, want)
		}
		for _, f := range r.Findings {
			if f.What == Order && (f.Effect == nil || f.Effect.Without != *r.Development || f.Effect.With.Value == r.Development.Value) {
				t.Errorf("seed %d: effect %+v", seed, f.Effect)
			}
		}
	}
}

// A clean roll has no findings, and says so as an empty list.
func TestCleanRollHasNone(t *testing.T) {
	with := 0
	for seed := range uint64(6) {
		r, _ := befallen(t, "", 0, seed, nil)
		if len(r.Findings) > 0 {
			with++
			t.Logf("seed %d: %+v", seed, r.Findings)
		}
		b, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Findings) == 0 && !strings.Contains(string(b), `"findings":[]`) {
			t.Errorf("no empty list of findings: %s", b)
		}
	}
	if with > 1 {
		t.Errorf("%d of 6 clean rolls have findings", with)
	}
}

// An index found at another development is moved to the recommended one, by what the
// film's speed does, and the one as tested is kept.
func TestPairBelongsTogether(t *testing.T) {
	off, n := 0.0, 0.0
	for seed := range uint64(6) {
		r, m := befallen(t, "", 0, seed, func(d *rolltest.Design) { d.Developed = 18; d.Target = d.Film.Gradient(8) })
		x, as := r.Index, r.IndexAsTested
		if x == nil || as == nil || r.Development == nil || *x.Development != *r.Development || as.Development.Value != 1080 || as.From != "bracket" {
			t.Fatalf("seed %d: index %+v, as tested %+v", seed, x, as)
		}
		want := m.Design.Index(x.Development.Value / 60)
		off += math.Abs(math.Log2(x.Value / want))
		n++
		if math.Abs(math.Log2(m.Design.Index(18)/want)) > 0.3 && math.Abs(math.Log2(as.Value/want)) < math.Abs(math.Log2(x.Value/want)) {
			t.Errorf("seed %d: moved to %v, as tested %v, the truth %v", seed, x.Value, as.Value, want)
		}
		if !strings.Contains(x.History, "as tested at 18:00, moved by") || r.PairGradient() != r.TargetAverageGradient {
			t.Errorf("seed %d: history %q, gradient %v", seed, x.History, r.PairGradient())
		}
	}
	if !(off/n < 0.15) {
		t.Errorf("moved indexes are %.2f stop off", off/n)
	}
	// Outside the strips' times it is not moved, and the pair is that of the bracket.
	r, _ := befallen(t, "", 0, 1, func(d *rolltest.Design) { d.Developed = 30 })
	if x := r.Index; r.IndexAsTested != nil || x.Development.Value != 1800 || !strings.Contains(x.History, "not moved to") || r.PairGradient() != 0 {
		t.Errorf("outside: %+v", x)
	}
	if b := r.Box(); len(b) != 4 || !strings.Contains(b[1].Text, "30:00") || !strings.Contains(b[1].Text, "not the target's development") {
		t.Errorf("box %v", b)
	}
}

// A bracket alone gives an index.
func TestBracketAlone(t *testing.T) {
	in := 0
	for seed := range uint64(5) {
		_, m := befallen(t, "", 0, seed, nil)
		delete(m.Files, "strips.csv")
		r := characterise(t, m.Files)
		if r.Index == nil || r.Bracket.Shape != "frames" || len(r.Strips) != 0 {
			t.Fatalf("seed %d: %+v", seed, r)
		}
		if want := m.Design.Index(9.5); r.Index.Low <= want && want <= r.Index.High {
			in++
		}
	}
	if in < 3 {
		t.Errorf("the truth is within %d of 5 intervals", in)
	}
}

// What marshals reads back equal; the curves and the fit of growth are not in it, and
// the curves are laid again.
func TestRecordReadsBack(t *testing.T) {
	said := held.New(t)
	short := func(d *rolltest.Design) { d.Steps, d.Step, d.Frames = 7, 0.30, 0 }
	for name, change := range map[string]func(*rolltest.Design){
		"whole": nil, "short strips": short, "unsaid": func(d *rolltest.Design) { d.SayDevelop, d.Stated = false, false },
		"no end": func(d *rolltest.Design) { d.Times = []float64{5, 6}; d.Target = 0.9 * d.Film.Limit },
	} {
		for _, mishap := range []string{"", "swap", "fog"} {
			r, _ := befallen(t, mishap, 0.2, 5, change)
			b, err := json.Marshal(r)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			var back Record
			if err := json.Unmarshal(b, &back); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if d := cmp.Diff(*r, back, cmpopts.EquateNaNs(), cmpopts.IgnoreFields(StripRecord{}, "Curve"), cmpopts.IgnoreFields(ContrastTimeRecord{}, "Growth"), cmpopts.EquateEmpty()); d != "" {
				t.Errorf("%s, %q: reads back another:\n%s", name, mishap, d)
			}
			for i := range back.Strips {
				again, err := back.Strips[i].Fit()
				if err != nil {
					t.Fatal(err)
				}
				x := sensito.LogH(-2.5)
				a, _ := r.Strips[i].Curve.Density(x)
				if d, _ := again.Density(x); d != a {
					t.Errorf("%s: strip %s laid again has %v at %v, it had %v", name, back.Strips[i].Strip, d, x, a)
				}
			}
		}
	}
	for _, bad := range []string{`{"value": "x"}`, `[]`, `{"development_s": 3}`} {
		var x IndexRecord
		if err := json.Unmarshal([]byte(bad), &x); !said.Refused(bad, err) {
			t.Errorf("%s is read as %+v", bad, x)
		}
	}
}
