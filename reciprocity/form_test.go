package reciprocity

import (
	"encoding"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// Every law is read back from its text and from its form in JSON, with and without a
// range, as an equal value of its own type, and its zero value does neither.
func TestLawText(t *testing.T) {
	said := held.New(t)
	for _, l := range laws() {
		for _, ranged := range []bool{false, true} {
			if ranged {
				l = must(Within(l, 10*time.Millisecond, 90*time.Second))
			}
			text := must(l.(encoding.TextMarshaler).MarshalText())
			back := must(ParseLaw(string(text)))
			if !reflect.DeepEqual(back, l) {
				t.Errorf("%s: read back as %#v, want %#v", text, back, l)
			}
			own := reflect.New(reflect.TypeOf(l))
			if err := own.Interface().(encoding.TextUnmarshaler).UnmarshalText(text); err != nil || !reflect.DeepEqual(own.Elem().Interface(), l) {
				t.Errorf("%s: into its own type: %v, %v", text, own.Elem(), err)
			}
			b := must(json.Marshal(must(FormOf(l))))
			var f Form
			if err := json.Unmarshal(b, &f); err != nil || !reflect.DeepEqual(must(f.Make()), l) {
				t.Errorf("%s: %v", b, err)
			}
			var q struct{ L Power }
			if err := json.Unmarshal([]byte(`{"L":`+string(must(json.Marshal(l)))+`}`), &q); (err == nil) != (reflect.TypeOf(l) == reflect.TypeOf(Power{})) {
				t.Errorf("%s read as a power law: %v", text, err)
			}
		}
	}
	for _, l := range []Law{Power{}, Smooth{}, Additive{}, Catenary{}, Hyperbola{}, Table{}} {
		for name, f := range map[string]func(float64) (float64, error){"Adjusted": l.Adjusted, "Metered": l.Metered, "Exponent": l.Exponent} {
			if v, err := f(10); !said.Is("", err, ErrInput) {
				t.Errorf("%T{}.%s(10) = %v, %v", l, name, v, err)
			}
		}
		if _, err := l.(encoding.TextMarshaler).MarshalText(); !said.Is("", err, ErrInput) {
			t.Errorf("%T{} marshals: %v", l, err)
		}
		if _, err := Correct(l, time.Second); !said.Is("", err, ErrInput) {
			t.Errorf("%T{} corrects: %v", l, err)
		}
		if _, err := FormOf(l); !said.Is("", err, ErrInput) {
			t.Errorf("%T{} has a form: %v", l, err)
		}
	}
	for _, bad := range []string{"", "lens", "power", "power onset_s=1", "power onset_s=1 p=2", "power onset_s=1 p=NaN", "power onset_s=1 p=.8 b=2",
		"power onset_s=1 p=.8 p=.9", "power onset_s=1 p", "power onset_s=1 p=.8 shortest_s=3 longest_s=2", "holds 1=2", "table 1=2", "table 1=2 1=3", "table 1=2 2=1", "two-branch p=.8"} {
		if l, err := ParseLaw(bad); !said.Is(bad, err, ErrInput) {
			t.Errorf("%q: %v, %v", bad, l, err)
		}
	}
}

// The registry is whole: each law of laws() has a form, each form is a law of
// laws(), names of constants mean one thing, and kinds are fitted and read back.
func TestRegistry(t *testing.T) {
	said := held.New(t)
	seen := map[string]bool{}
	for _, l := range laws() {
		seen[must(FormOf(l)).Law] = true
	}
	about := map[string]string{}
	for _, f := range Forms() {
		if !seen[f.Law] {
			t.Errorf("law %q is not in laws() of the tests", f.Law)
		}
		if f.Formula == "" || len(f.Constants) == 0 && !f.Rows && f.Law != "holds" {
			t.Errorf("law %q without formula or constants", f.Law)
		}
		for _, c := range f.Constants {
			if was, ok := about[c.Name]; ok && was != c.About+c.Unit {
				t.Errorf("%s of %s: %q, elsewhere %q", c.Name, f.Law, c.About, was)
			}
			about[c.Name] = c.About + c.Unit
			if c.About == "" || c.Unit == "" || !(c.Most > c.Least) || strings.HasSuffix(c.Name, "_s") != (c.Unit == "s") {
				t.Errorf("constant %+v of %s", c, f.Law)
			}
		}
	}
	if len(Constants()) != len(about) {
		t.Errorf("%d constants, want %d", len(Constants()), len(about))
	}
	r := pairs(.1, 1e-4, 1.5e-4, 1e-3, 1e-3, .1, .1, 1, 1.1, 10, 20, 40, 137, 100, 500)
	for _, k := range Kinds() {
		f, err := Fit(k, r)
		if err != nil {
			t.Errorf("%v: %v", k, err)
			continue
		}
		form := must(f.Form())
		if form.Law != strings.Fields(string(k))[0] {
			t.Errorf("kind %q gives the law %q", k, form.Law)
		}
		if !reflect.DeepEqual(must(form.Make()), f.Law()) {
			t.Errorf("%v: %v made of its form", k, form)
		}
		for _, p := range f.Parameters() {
			if v, ok := form.Constants[p.Name]; !ok || math.Abs(v/p.Value-1) > 1e-12 {
				t.Errorf("%v: %v, in the form %v", k, p, v)
			}
		}
		// The model is the law, and its derivatives are right.
		for _, x := range []float64{-8.9, -3, .4, 2.5, 5} {
			g, th := make([]float64, len(f.theta)), f.theta
			y, ok := f.fit.model(th, x, g)
			near(t, fmt.Sprintf("%v: model at %v", k, x), y, math.Log(must(f.Law().Adjusted(math.Exp(x))))-x, 1e-9)
			for i := range th {
				const h = 1e-6
				was := th[i]
				th[i] = was + h
				a, _ := f.fit.model(th, x, nil)
				th[i] = was - h
				b, _ := f.fit.model(th, x, nil)
				th[i] = was
				near(t, fmt.Sprintf("%v: derivative %d at %v", k, i, x), g[i], (a-b)/(2*h), 1e-5*(1+math.Abs(g[i])))
			}
			if !ok {
				t.Errorf("%v: outside its bounds at its own fit", k)
			}
		}
		var back Kind
		if err := back.UnmarshalText(must(k.MarshalText())); err != nil || back != k {
			t.Errorf("%v read back as %v, %v", k, back, err)
		}
	}
	if err := new(Kind).UnmarshalText([]byte("toy")); !said.Is("", err, ErrInput) {
		t.Errorf("kind toy: %v", err)
	}
	if _, err := Kind("").MarshalText(); !said.Is("", err, ErrInput) {
		t.Errorf("no kind: %v", err)
	}
}

// What a fit gives, a constructor takes: laws from the ends of intervals too.
func TestIntervalsAreTaken(t *testing.T) {
	for k, film := range truths() {
		for seed := range 20 {
			for _, kind := range Kinds() {
				f, err := Fit(kind, noisy(film, uint64(100*k+seed), .15))
				if err != nil {
					continue
				}
				low, high := must(f.Form()), must(f.Form())
				for _, p := range f.Parameters() {
					if math.IsNaN(p.Low) {
						continue
					}
					if !(p.Low <= p.Value && p.Value <= p.High) {
						t.Fatalf("%v: %v", kind, p)
					}
					low.Constants[p.Name], high.Constants[p.Name] = p.Low, p.High
				}
				for _, form := range []Form{low, high} {
					delete(form.Constants, "short_onset_s") // the ends of two onsets may cross
					delete(form.Constants, "short_p")
					if _, err := form.Make(); err != nil {
						t.Fatalf("%v from %v: %v", kind, f.Parameters(), err)
					}
				}
			}
		}
	}
}

func noisy(film truth, seed uint64, sd float64) []Reading {
	var r []Reading
	rng := newRand(seed)
	for _, m := range []float64{1e-4, 1e-3, .1, .5, 1, 2, 4, 8, 15, 30, 60, 120} {
		r = append(r, Reading{dur(m), dur(m * math.Exp(film.y(math.Log(m))+sd*math.Ln2*rng.NormFloat64())), sensito.Stops(sd)})
	}
	return r
}

// JSON of results keeps every name; what cannot be read back says so.
func TestResultJSON(t *testing.T) {
	said := held.New(t)
	p := Parameter{"p", sensito.Estimate{Value: .8, Low: .7, High: .9}}
	var q Parameter
	if b := must(json.Marshal(p)); json.Unmarshal(b, &q) != nil || q != p || !strings.Contains(string(b), `"name":"p"`) {
		t.Errorf("%s read back as %v", b, q)
	}
	f, tried, err := Choose(noisy(truths()[0], 5, .1), 0, KindPower, KindAdditive, KindTwoBranch, Kind("toy"))
	if err != nil {
		t.Fatal(err)
	}
	b := must(json.Marshal(tried))
	var back []Trial
	if err := json.Unmarshal(b, &back); err != nil || len(back) != 4 || !math.IsInf(back[3].Score, 1) || back[3].Err == nil || back[0].Weight != tried[0].Weight {
		t.Errorf("%s: %v, %v", b, back, err)
	}
	var sum float64
	for _, w := range f.Weights() {
		sum += w.Weight
	}
	near(t, "weights", sum, 1, 1e-12)
	b = must(json.Marshal(f))
	for _, want := range []string{`"kind":"`, `"law":{"law":"`, `"name":"p"`, `"weights":[{`, `"degrees_of_freedom":`} {
		if !strings.Contains(string(b), want) {
			t.Errorf("%s lacks %s", b, want)
		}
	}
	if err := json.Unmarshal(b, &Fitted{}); !said.Is("", err, ErrInput) {
		t.Errorf("a fit read back: %v", err)
	}
	var e Prediction
	one := must(f.Predict(20 * time.Second))
	if err := json.Unmarshal(must(json.Marshal(one)), &e); err != nil || e != one {
		t.Errorf("%v read back as %v, %v", one, e, err)
	}
}

// Nothing panics: nil and zero values answer with an error.
func TestNothingGiven(t *testing.T) {
	said := held.New(t)
	s := time.Second
	var none *Fitted
	for name, err := range map[string]error{
		"Correct":   second(Correct(nil, s)),
		"Aperture":  second(Aperture(nil, 1)),
		"Effective": second(Effective(nil, s)),
		"FormOf":    second(FormOf(nil)),
		"Contrast":  second(Contrast(nil, nil, 0, s, -1, 1)),
		"Curve":     second(Contrast(NoFailure{}, nil, 0, s, -1, 1)),
		"Density":   second(FromDensity(nil, s, 0, 1, 0)),
		"Predict":   second((&Fitted{}).Predict(s)),
		"nil":       second(none.Predict(s)),
		"Exposed":   second((&Fitted{}).Exposed(s)),
		"Form":      second(none.Form()),
		"JSON":      second(json.Marshal(&Fitted{})),
		"Make":      second(Form{}.Make()),
	} {
		if !said.Is(name, err, ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, _, err := Tones(nil, s, nil); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	if _, _, err := Repeats(nil, s, s); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	if none.Law() != nil || none.Kind() != "" || none.Parameters() != nil || none.Covariance() != nil || none.Weights() != nil {
		t.Error("a nil fit tells something")
	}
	if sd, dof := none.Scatter(); !math.IsNaN(sd) || dof != 0 {
		t.Error("a nil fit scatters")
	}
}

func second[T any](_ T, err error) error { return err }

// One behaviour beyond the range for a law, a table and a film without a test: the
// law goes on, the result says so, and its bounds part with the distance.
func TestCarriedOn(t *testing.T) {
	table := must(NewTable(pairs(0, .01, .01, 1, 1, 10, 20, 40, 137)))
	for _, l := range []Law{must(Within(must(NewPower(2, .8)), 10*time.Millisecond, 40*time.Second)), table,
		must(Within(must(NewCatenary(.2, .1, .1)), 10*time.Millisecond, 40*time.Second)), Untested(),
		must(Within(NoFailure{}, 10*time.Millisecond, 40*time.Second))} {
		var last float64
		for _, m := range []float64{39, 45, 100, 400, 4000} {
			c := must(Correct(l, dur(m)))
			wide := float64(c.Most) / float64(c.Least)
			_, hi := l.Domain()
			if beyond := m > hi; c.Extrapolated != beyond || (c.Caution() != "") != beyond || beyond && !(wide > last) || !beyond && wide != 1 ||
				c.Least > c.Adjusted || c.Most < c.Adjusted {
				t.Errorf("%v at %v s: %+v", l, m, c)
			}
			last = wide
		}
		last = 0
		for _, m := range []float64{9e-4, 1e-4, 1e-5} {
			c := must(Correct(l, dur(m)))
			wide := float64(c.Most) / float64(c.Least)
			if !c.Extrapolated || !(wide > last) || c.Least > c.Adjusted || c.Most < c.Adjusted {
				t.Errorf("%v at %v s: %+v", l, m, c)
			}
			last = wide
		}
	}
	if s := must(Correct(Untested(), 4*time.Minute)).Caution(); s != "4 min is beyond the times that the law was found for; the film may need from 4 min to 56 min." {
		t.Error(s)
	}
}

func TestFormatLong(t *testing.T) {
	for _, c := range []struct {
		s    float64
		want string
	}{{0, "0 s"}, {.008, "1/125 s"}, {1. / 12000, "1/12000 s"}, {6.6141e-5, "1/15100 s"}, {.25, "1/4 s"}, {.5, "0.5 s"}, {1, "1 s"}, {1.676, "1.7 s"}, {8.04, "8 s"}, {9.96, "10 s"},
		{45.4, "45 s"}, {119, "119 s"}, {150, "2 min 30 s"}, {240, "4 min"}, {599, "9 min 59 s"}, {2300, "38 min"}, {1620, "27 min"}, {7200, "2 h"}, {8000, "2 h 13 min"}, {86400 * 3.2, "3 d 5 h"}, {-8, "-8 s"}} {
		if got := FormatLong(dur(c.s)); got != c.want {
			t.Errorf("%v s: %q, want %q", c.s, got, c.want)
		}
	}
}

// The figure of the handbook lies in the range, and the range says both ends.
func TestDevelopmentRange(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		m    time.Duration
		want float64
	}{{10 * time.Microsecond, 20}, {time.Microsecond, 20}, {time.Millisecond, 10}, {10 * time.Millisecond, 0}, {50 * time.Millisecond, 0}, {time.Second, -10}, {10 * time.Second, -20}, {time.Hour, -30}} {
		h := must(HandbookDevelopment(c.m))
		near(t, c.m.String(), h.Percent, c.want, 1e-9)
		if h.Source == "" || (h.Percent == 0) != (h.Low == 0) {
			t.Errorf("%v: %+v", c.m, h)
		}
	}
	timeFor := func(g float64) (time.Duration, error) {
		return time.Duration(-math.Log(1-g/1.1) / .13 * float64(time.Minute)), nil
	}
	d := must(ContrastChange{Factor: 1.3}.DevelopmentRange(8*time.Second, .6, timeFor))
	if !(d.Most < d.Handbook.Percent && d.Handbook.Percent < 0) {
		t.Errorf("%+v", d)
	}
	if s := d.String(); s != "0 to 31 % less; handbooks: 19 % less" && !strings.Contains(s, "% less; handbooks: 19 % less") {
		t.Error(s)
	}
	if _, err := (ContrastChange{Factor: 1.3}).DevelopmentRange(0, .6, timeFor); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
}

// A film known by a table only, at a time beyond its rows: the law goes on, and says
// how far it may be wrong. The table is invented.
func ExampleCorrect_beyond() {
	s := time.Second
	law, err := NewTable([]Reading{{Metered: s, Adjusted: s}, {Metered: 10 * s, Adjusted: 16 * s}, {Metered: 60 * s, Adjusted: 140 * s}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range []time.Duration{30 * s, 240 * s} {
		c, err := Correct(law, m)
		fmt.Println(FormatLong(m), "becomes", FormatLong(c.Adjusted), err)
		if c.Extrapolated {
			fmt.Println(c.Caution())
		}
	}
	// Output:
	// 30 s becomes 60 s <nil>
	// 4 min becomes 12 min <nil>
	// 4 min is beyond the times that the law was found for; the film may need from 9 min 20 s to 17 min.
}

// A scene that fails to 1.3 times its density range at 8 s, on a film whose gradient
// grows as 1.1 (1 - e^(-0.13 t)): how much less to develop. Invented.
func ExampleContrastChange_DevelopmentRange() {
	change := ContrastChange{Factor: 1.3}
	less, err := change.DevelopmentRange(8*time.Second, 0.60, func(g float64) (time.Duration, error) {
		return time.Duration(-math.Log(1-g/1.1) / 0.13 * float64(time.Minute)), nil
	})
	fmt.Println(less, err)
	// Output: 0 to 31 % less; handbooks: 19 % less <nil>
}

func FuzzParseLaw(f *testing.F) {
	for _, l := range laws() {
		f.Add(string(must(l.(encoding.TextMarshaler).MarshalText())))
	}
	f.Add("power onset_s=1 p=1e-320")
	f.Fuzz(func(t *testing.T, s string) {
		l, err := ParseLaw(s)
		if err != nil {
			return
		}
		text, err := l.(encoding.TextMarshaler).MarshalText()
		if err != nil {
			return // a law of which one second is beyond measure
		}
		back, err := ParseLaw(string(text))
		if err != nil || !reflect.DeepEqual(back, l) {
			t.Errorf("%q became %q: %v", s, text, err)
		}
	})
}

// A flag that takes a law, and the law in a document.
func ExampleParseLaw() {
	law := Power{}
	flags := flag.NewFlagSet("planner", flag.ContinueOnError)
	flags.SetOutput(os.Stdout)
	start, _ := NewPower(1, 0.9)
	flags.TextVar(&law, "film", start, "law of the film")
	if err := flags.Parse([]string{"-film", "power onset_s=2 p=0.85"}); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(law)
	form, _ := FormOf(law)
	b, err := json.Marshal(form)
	fmt.Println(string(b), err)
	// Output:
	// power law, p = 0.85 from 2 s
	// {"law":"power","constants":{"onset_s":2,"p":0.85}} <nil>
}

// Which law does the film follow, and what does it need beyond the tests? The tests
// are invented.
func ExampleChoose() {
	s := time.Second
	f, tried, err := Choose([]Reading{
		{s / 4, s / 4, 0.1}, {s, 1050 * s / 1000, 0.1}, {4 * s, 46 * s / 10, 0.1},
		{15 * s, 22 * s, 0.1}, {60 * s, 118 * s, 0.1}, {120 * s, 290 * s, 0.1},
	}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(f.Law())
	fmt.Println(len(tried), "laws tried")
	for _, w := range f.Weights()[:3] {
		fmt.Printf("%v: %.2f\n", w.Kind, w.Weight)
	}
	for _, m := range []time.Duration{30 * s, 480 * s} {
		p, _ := f.Predict(m)
		fmt.Printf("%v: %.0f s (%.0f to %.0f s), extrapolated %v\n", FormatLong(m), p.Adjusted.Value, p.Adjusted.Low, p.Adjusted.High, p.Extrapolated)
	}
	m, err := f.Exposed(100 * s)
	fmt.Printf("100 s exposed is %.0f s metered (%.0f to %.0f s) %v\n", m.Metered.Value, m.Metered.Low, m.Metered.High, err)
	// Output:
	// additive law, t + 0.07507 t^1.62, from 1/4 s to 2 min
	// 8 laws tried
	// additive b=1.62: 0.38
	// catenary: 0.20
	// additive: 0.16
	// 30 s: 49 s (42 to 59 s), extrapolated false
	// 8 min: 2136 s (1241 to 2626 s), extrapolated true
	// 100 s exposed is 53 s metered (46 to 60 s) <nil>
}

// mild is a law of another package.
type mild struct{}

func (mild) Adjusted(t float64) (float64, error) { return 2 * t, nil }
func (mild) Metered(t float64) (float64, error)  { return t / 2, nil }
func (mild) Exponent(float64) (float64, error)   { return 1, nil }
func (mild) Domain() (lo, hi float64)            { return 1, 2 }
func (mild) String() string                      { return "mild" }

func TestForeignLaw(t *testing.T) {
	said := held.New(t)
	l := must(Within(mild{}, time.Second, 9*time.Second))
	if lo, hi := l.Domain(); lo != 1 || hi != 9 || l.String() != "mild, from 1 s to 9 s" {
		t.Errorf("%v from %v to %v", l, lo, hi)
	}
	l = must(Within(l, time.Second, 8*time.Second))
	if Unwrap(l) != (Law)(mild{}) {
		t.Errorf("%#v", Unwrap(l))
	}
	if p := must(Within(must(NewPower(1, .8)), 1, 2)); Unwrap(p) != p {
		t.Error("a law of the package is wrapped")
	}
	if _, err := FormOf(l); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	if c := must(Correct(l, 20*time.Second)); !c.Extrapolated || c.Adjusted != 40*time.Second {
		t.Errorf("%+v", c)
	}
}

// A fit is asked by many at once.
func TestFittedConcurrently(t *testing.T) {
	f, _, err := Choose(noisy(truths()[6], 8, .1), 0)
	if err != nil {
		t.Fatal(err)
	}
	want := make(chan Prediction, 8)
	for range cap(want) {
		go func() {
			f.Parameters()
			want <- must(f.Predict(20 * time.Second))
		}()
	}
	first := <-want
	for range cap(want) - 1 {
		if p := <-want; p != first {
			t.Errorf("%v, %v", p, first)
		}
	}
}
