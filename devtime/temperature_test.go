package devtime

import (
	"fmt"
	"math"
	"testing"
	"time"

	"example.org/actinic/internal/held"
)

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// Q10 and activation energy side by side, computed independently with
// R = 8.314462618 J/(mol K). The last column is H. E. Ives's older coefficient
// (Airplane Photography, 1920), a factor for 7 °C.
func TestTemperatureTable(t *testing.T) {
	for _, c := range []struct{ q10, perC, perF, energy, q24, a24, q18, seven float64 }{
		{1.3, 2.6584, 1.4683, 18.7410, .900373, .901673, 1.053874, 1.20160},
		{1.5, 4.1380, 2.2781, 28.9628, .850283, .852181, 1.084472, 1.32820},
		{1.9, 6.6290, 3.6302, 45.8484, .773568, .776303, 1.136974, 1.56721},
		{2.0, 7.1773, 3.9259, 49.5123, .757858, .760753, 1.148698, 1.62450},
		{2.3, 8.6858, 4.7360, 59.4957, .716653, .719943, 1.181260, 1.79147},
		{2.5, 9.5958, 5.2223, 65.4517, .693145, .696646, 1.201124, 1.89914},
		{2.8, 10.8449, 5.8869, 73.5469, .662425, .666187, 1.228660, 2.05594},
	} {
		q := must(NewQ10(c.q10))
		e := q.ActivationEnergy().Value
		a := must(NewArrhenius(e))
		name := func(s string) string { return fmt.Sprintf("Q10 %v: %s", c.q10, s) }
		near(t, name("percent a °C"), 100*(must(q.Factor(21, 20))-1), c.perC, 5e-5)
		near(t, name("percent a °F"), 100*(must(q.Factor(FromFahrenheit(69), FromFahrenheit(68)))-1), c.perF, 5e-5)
		near(t, name("energy"), e, c.energy, 5e-5)
		near(t, name("24 °C"), must(q.Factor(20, 24)), c.q24, 5e-7)
		near(t, name("24 °C, Arrhenius"), must(a.Factor(20, 24)), c.a24, 5e-7)
		near(t, name("18 °C"), must(q.Factor(20, 18)), c.q18, 5e-7)
		near(t, name("7 °C"), must(q.Factor(27, 20)), c.seven, 5e-6)
		near(t, name("and back"), a.Q10().Value, c.q10, 1e-12)
	}
}

// 10 minutes at 20 °C with Q10 2.5; rules of thumb as a coefficient. Computed
// independently.
func TestTemperatureConvert(t *testing.T) {
	said := held.New(t)
	l := must(NewQ10(2.5))
	for _, c := range []struct {
		to   Celsius
		want float64
	}{{18, 12.0112}, {22, 8.3255}, {24, 6.9314}, {26, 5.7708}} {
		got := must(l.Convert(10*time.Minute, 20, c.to, 0, CarryBeyond))
		near(t, c.to.String(), got.Value.Minutes(), c.want, 5.1e-5)
		if got.Low != got.Value || got.High != got.Value {
			t.Errorf("%v: interval %v from nothing", c.to, got)
		}
	}
	for _, c := range []struct{ per, q float64 }{
		{math.Pow(1.10, 10), 2.5937}, {math.Pow(1.07, 10), 1.9672}, {math.Pow(1.04, 18), 2.0258}, {math.Pow(1.05, 18), 2.4066},
	} {
		near(t, "rule", must(NewQ10(c.per)).Q10().Value, c.q, 5e-5)
	}
	// Half a degree at Q10 2.5 is 4.58 % of the time (computed to first order).
	d := must(l.Convert(10*time.Minute, 20, 20, .5, RefuseBeyond))
	near(t, "half a degree", math.Log(float64(d.High)/float64(d.Value))/1.959964, .0458, 5e-5)
	near(t, "half a degree, below", math.Log(float64(d.Value)/float64(d.Low))/1.959964, .0458, 5e-5)

	// The range in which the law is trusted.
	lo, hi := l.Range()
	near(t, "65 °F", lo.Fahrenheit(), 65, 1e-9)
	near(t, "80 °F", hi.Fahrenheit(), 80, 1e-9)
	for _, c := range []struct {
		from, to Celsius
		out      bool
	}{{20, 24, false}, {20, 27, true}, {20, 18, true}, {30, 20, true}, {lo, hi, false}} {
		got, err := l.Convert(time.Minute, c.from, c.to, 0, RefuseBeyond)
		if c.out != said.Is("", err, ErrOutside) {
			t.Errorf("%v to %v: %v, %v", c.from, c.to, got, err)
		}
		got, err = l.Convert(time.Minute, c.from, c.to, 0, CarryBeyond)
		if err != nil || got.Extrapolated != c.out {
			t.Errorf("%v to %v: %v, %v", c.from, c.to, got, err)
		}
		if w := got.Warnings(); c.out != (len(w) == 2) { // ShortTime is always there
			t.Errorf("%v to %v: warnings %v", c.from, c.to, w)
		}
	}
	wide := must(l.Within(10, 30))
	if _, err := wide.Convert(time.Minute, 20, 28, 0, RefuseBeyond); err != nil {
		t.Errorf("in the caller's range: %v", err)
	}
}

// Times at two temperatures and the coefficient they give.
func TestQ10From(t *testing.T) {
	said := held.New(t)
	// E. J. Wall, Jahrbuch für Photographie 24 (1910) 44: the image of a
	// metol-hydroquinone developer appeared after 70 s at 8 °C and 25 s at
	// 20 °C. The copy shows the start of his K, "0 037"; .0372632 computed.
	q := must(Q10From(70*time.Second, 8, 25*time.Second, 20))
	near(t, "Wall's K", math.Log10(q)/10, .0372632, 5e-8)
	near(t, "Wall's K as printed", math.Log10(q)/10, .037, .0005)
	near(t, "Q10", q, 2.358477, 5e-7)
	// L. P. Clerc, Photography, Theory and Practice, §573: metol-hydroquinone
	// on paper, 20 to 40 s at 65 °F, 30 to 60 s at 55 °F; Q10 computed.
	for _, s := range []time.Duration{20, 40} {
		q := must(Q10From(s*3/2*time.Second, FromFahrenheit(55), s*time.Second, FromFahrenheit(65)))
		near(t, "Clerc", q, 2.0747428, 5e-8)
	}
	// US Army TM 11-2323 par. 33: fixing takes twice the time for every 18 °F
	// below 68 °F, exactly 2 per 10 °C.
	near(t, "fixing", must(Q10From(2*time.Minute, FromFahrenheit(50), time.Minute, FromFahrenheit(68))), 2, 1e-12)
	for _, c := range []struct {
		t1, t2 time.Duration
		a1, a2 Celsius
	}{{1, 2, 10, 20}, {2, 1, 20, 10}, {1, 1, 10, 20}, {2, 1, 10, 10}, {0, 1, 10, 20}, {1, -1, 10, 20}, {2, 1, Celsius(math.NaN()), 20}, {2, 1, 10, 400}} {
		if _, err := Q10From(c.t1, c.a1, c.t2, c.a2); !said.Is("", err, ErrInput) {
			t.Errorf("%+v: error %v", c, err)
		}
	}
}

// Manual processing of medical X-ray film, minimum developing times, half
// minutes, 80 to 60 °F: North Dakota Administrative Code 33.1-10-06 App. D and
// Minnesota Rules 4732.0555, which prints the Celsius column. State law, public
// domain. The fits are computed.
var codeMinutes = []float64{2, 2, 2.5, 2.5, 3, 3, 3.5, 3.5, 4, 4, 4.5, 4.5, 5, 5.5, 5.5, 6, 6.5, 7, 8, 8.5, 9.5}
var codeCelsius = []float64{26.7, 26.1, 25.6, 25.0, 24.4, 23.9, 23.3, 22.8, 22.2, 21.7, 21.1, 20.6, 20.0, 19.4, 18.9, 18.3, 17.8, 17.2, 16.7, 16.1, 15.6}

func codeRows(m []float64) (r []TemperatureRow) {
	for i, v := range m {
		r = append(r, TemperatureRow{FromFahrenheit(float64(80 - i)), mins(v)})
	}
	return r
}

func TestFitTemperatureCode(t *testing.T) {
	rows := codeRows(codeMinutes)
	for i, r := range rows {
		near(t, "Celsius column", float64(r.At), codeCelsius[i], .05+1e-9)
	}
	f := must(FitQ10(rows))
	near(t, "Q10", f.Law.Q10().Value, 3.7859, 5e-5)
	near(t, "its standard deviation", f.SD, .1215, 5e-5)
	near(t, "20 °C", f.At20.Value, 5.0262, 5e-5)
	near(t, "worst row", math.Abs(f.Miss.Minutes()), .418, 5e-4)
	worst := 0.0
	for _, r := range rows {
		law := f.At20.Value * must(f.Law.Factor(20, r.At))
		worst = math.Max(worst, math.Abs(r.Time.Minutes()/law-1))
	}
	near(t, "worst row, percent", 100*worst, 10.2, .05)
	a := must(FitArrhenius(rows))
	near(t, "energy", a.Law.ActivationEnergy().Value, 95.796, 5e-4)
	// The ends alone.
	for _, c := range []struct {
		f1, f2, t1, t2, q float64
	}{{60, 68, 9.5, 5, 4.2383}, {68, 80, 5, 2, 3.9528}, {60, 80, 9.5, 2, 4.0647}} {
		near(t, "ends", must(Q10From(mins(c.t1), FromFahrenheit(c.f1), mins(c.t2), FromFahrenheit(c.f2))), c.q, 5e-5)
	}
	// From the printed 5 min at 68 °F with Q10 3.8, 17 of the 21 rows come
	// back after rounding to the half minute.
	l := must(NewQ10(3.8))
	same, miss := 0, 0.0
	for _, r := range rows {
		m := 5 * must(l.Factor(20, r.At))
		if math.Round(2*m)/2 == r.Time.Minutes() {
			same++
		}
		miss = math.Max(miss, math.Abs(m-r.Time.Minutes()))
	}
	if same != 17 {
		t.Errorf("%d rows come back, want 17", same)
	}
	near(t, "worst miss", miss, .450, 5e-4)
	// No single law makes the table to its rounding of a quarter minute either
	// way: the narrowest band of any Q10 law is wider.
	band, q := narrowest(rows)
	near(t, "narrowest band", band, .3237, 1e-3)
	near(t, "its Q10", q, 3.9119, .02)
	// New Mexico Administrative Code 20.3.6.612 App. C as copied, two rows
	// slipped: it moves the fit.
	nm := append([]float64(nil), codeMinutes...)
	nm[1], nm[3] = 2.5, 3
	near(t, "slipped copy", must(FitQ10(codeRows(nm))).Law.Q10().Value, 3.5061, 5e-5)
}

// narrowest is the least worst miss in minutes of any law c Q10^((20-T)/10)
// over the rows, and its Q10, by a search.
func narrowest(rows []TemperatureRow) (band, q10 float64) {
	band = math.Inf(1)
	for q := 1.2; q < 5; q += .002 {
		l := must(NewQ10(q))
		worst := func(c float64) (w float64) {
			for _, r := range rows {
				w = math.Max(w, math.Abs(c*must(l.Factor(20, r.At))-r.Time.Minutes()))
			}
			return w
		}
		lo, hi := 3., 9.
		for range 40 { // convex in c
			a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
			if worst(a) < worst(b) {
				hi = b
			} else {
				lo = a
			}
		}
		if w := worst(lo); w < band {
			band, q10 = w, q
		}
	}
	return band, q10
}

// T.O. 33B-1-1 / TM 1-1500-335-23 p. 6-75, Table 6-16 (US Government, public
// domain): developing time against temperature, normal and maximum. The text
// lists the cells by column; the pairing is ours. The fits are computed.
func TestFitTemperatureServices(t *testing.T) {
	f := []float64{80, 76, 72, 70, 68, 65, 63}
	for _, c := range []struct {
		name                     string
		min                      []float64
		q10, sd, ends, energy    float64
		same                     int
		worst, band, bandDefault float64
	}{
		{"normal", []float64{3.25, 3.75, 4, 4.5, 5, 5.5, 6}, 1.9161, .0774, 1.9140, 47.100, 6, .254, .1648, 0},
		{"maximum", []float64{6.25, 6.75, 7, 7.5, 8, 8.5, 9}, 1.4720, 0, 1.4712, 28.011, 5, .289, .2082, 0},
	} {
		var rows []TemperatureRow
		for i, m := range c.min {
			rows = append(rows, TemperatureRow{FromFahrenheit(f[i]), mins(m)})
		}
		fit := must(FitQ10(rows))
		near(t, c.name+": Q10", fit.Law.Q10().Value, c.q10, 5e-5)
		if c.sd > 0 {
			near(t, c.name+": sd", fit.SD, c.sd, 5e-5)
		}
		near(t, c.name+": ends", must(Q10From(rows[6].Time, rows[6].At, rows[0].Time, rows[0].At)), c.ends, 5e-5)
		near(t, c.name+": energy", must(FitArrhenius(rows)).Law.ActivationEnergy().Value, c.energy, 5e-4)
		near(t, c.name+": worst", math.Abs(fit.Miss.Minutes()), c.worst, 5e-4)
		same := 0
		for _, r := range rows {
			if m := fit.At20.Value * must(fit.Law.Factor(20, r.At)); math.Round(4*m)/4 == r.Time.Minutes() {
				same++
			}
		}
		if same != c.same {
			t.Errorf("%s: %d rows come back, want %d", c.name, same, c.same)
		}
		band, _ := narrowest(rows)
		near(t, c.name+": band", band, c.band, 1e-3)
	}
}

func TestTemperatureFitInterval(t *testing.T) {
	said := held.New(t)
	f := must(FitQ10(codeRows(codeMinutes)))
	q := f.Law.Q10()
	if !(q.Low < 3.7859 && 3.7859 < q.High && q.High-q.Low > .4 && q.High-q.Low < .6) { // 2 × 2.09 × .1215
		t.Errorf("Q10 %v", q)
	}
	// The doubt about the coefficient grows with the distance.
	near20 := must(f.Law.Convert(5*time.Minute, 20, 21, 0, RefuseBeyond))
	far := must(f.Law.Convert(5*time.Minute, 20, 26, 0, RefuseBeyond))
	if a, b := near20.High-near20.Low, far.High-far.Low; !(a > 0 && b > a) {
		t.Errorf("interval %v a degree off, %v six degrees off", a, b)
	}
	if _, err := f.Law.Convert(time.Minute, 20, 30, 0, RefuseBeyond); !said.Is("", err, ErrOutside) {
		t.Errorf("beyond the rows: %v", err)
	}
	two := must(FitQ10(codeRows(codeMinutes)[:3:3]))
	if two.Law.Q10().Value <= 1 {
		t.Error(two)
	}
	// Two rows leave nothing to judge by.
	exact := must(FitQ10([]TemperatureRow{{20, mins(10)}, {24, mins(7)}}))
	if d := must(exact.Law.Convert(mins(10), 20, 24, 0, RefuseBeyond)); d.Low >= 0 || d.High >= 0 || d.Value != mins(7) {
		t.Errorf("from two rows: %v", d)
	}
}

func TestTemperatureRefuses(t *testing.T) {
	said := held.New(t)
	nan := math.NaN()
	for _, q := range []float64{1, .5, 0, -2, 11, nan, math.Inf(1)} {
		if _, err := NewQ10(q); !said.Is("", err, ErrInput) {
			t.Errorf("NewQ10(%v): %v", q, err)
		}
	}
	for _, q := range []float64{0, -2, 500, nan, math.Inf(1)} {
		if _, err := NewArrhenius(q); !said.Is("", err, ErrInput) {
			t.Errorf("NewArrhenius(%v): %v", q, err)
		}
	}
	l := must(NewQ10(2))
	for _, c := range []struct {
		t        time.Duration
		from, to Celsius
		sd       float64
	}{{0, 20, 21, 0}, {-1, 20, 21, 0}, {1, Celsius(nan), 21, 0}, {1, 20, 200, 0}, {1, 20, -50, 0}, {1, 20, 21, -1}, {1, 20, 21, nan}, {1, 20, 21, math.Inf(1)}} {
		if _, err := l.Convert(c.t, c.from, c.to, c.sd, CarryBeyond); !said.Is("", err, ErrInput) {
			t.Errorf("%+v: %v", c, err)
		}
	}
	if _, err := (TemperatureLaw{}).Factor(20, 21); !said.Is("", err, ErrInput) {
		t.Errorf("zero law: %v", err)
	}
	for _, c := range [][2]Celsius{{20, 20}, {21, 20}, {Celsius(nan), 20}, {20, 500}} {
		if _, err := l.Within(c[0], c[1]); !said.Is("", err, ErrInput) {
			t.Errorf("Within%v: %v", c, err)
		}
	}
	for _, c := range []struct {
		name string
		rows []TemperatureRow
		want error
	}{
		{"nothing", nil, ErrInput},
		{"one row", []TemperatureRow{{20, 1}}, ErrInput},
		{"one temperature", []TemperatureRow{{20, 1}, {20, 2}}, ErrInput},
		{"zero time", []TemperatureRow{{20, 0}, {22, 2}}, ErrInput},
		{"NaN", []TemperatureRow{{Celsius(nan), 1}, {22, 2}}, ErrInput},
		{"Fahrenheit for Celsius", []TemperatureRow{{68, 5}, {200, 2}}, ErrInput},
		{"rises", []TemperatureRow{{20, 1}, {22, 2}}, ErrNoLaw},
		{"constant", []TemperatureRow{{20, 1}, {22, 1}}, ErrNoLaw},
	} {
		if _, err := FitQ10(c.rows); !said.Is("", err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
		if _, err := FitArrhenius(c.rows); !said.Is("", err, c.want) {
			t.Errorf("%s, Arrhenius: %v, want %v", c.name, err, c.want)
		}
	}
	big := make([]TemperatureRow, 1_000_000)
	for i := range big {
		c := 18 + 6*Celsius(i)/1e6
		big[i] = TemperatureRow{c, mins(10 * must(l.Factor(20, c)))}
	}
	near(t, "a million rows", must(FitQ10(big)).Law.Q10().Value, 2, 1e-6)
}

// Factors and mixtures printed in books on the factorial method; the two
// mixtures are their worked examples.
func TestWatkins(t *testing.T) {
	said := held.New(t)
	s := time.Second
	for _, c := range []struct {
		factor           float64
		appearance, want time.Duration
	}{{5, 45 * s, 3*time.Minute + 45*s}, {10, 30 * s, 5 * time.Minute}, {7, 15 * s, 105 * s}, {9, 15 * s, 135 * s}} {
		if got := must(Watkins(c.factor, c.appearance)); got != c.want {
			t.Errorf("factor %v, %v: %v, want %v", c.factor, c.appearance, got, c.want)
		}
	}
	near(t, "pyro and metol, equal parts", must(WatkinsMixture([]float64{1, 1}, []float64{6, 30})), 18, 0)
	near(t, "4 pyro, 2 metol", must(WatkinsMixture([]float64{4, 2}, []float64{6, 30})), 14, 1e-12)
	for _, f := range []float64{1, 0, -1, math.NaN()} {
		if _, err := Watkins(f, s); !said.Is("", err, ErrInput) {
			t.Errorf("factor %v: %v", f, err)
		}
	}
	if _, err := Watkins(5, 0); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	for _, c := range [][2][]float64{{nil, nil}, {{1}, {2, 3}}, {{0}, {5}}, {{1}, {.5}}, {{math.NaN()}, {5}}, {{1}, {math.Inf(1)}}} {
		if _, err := WatkinsMixture(c[0], c[1]); !said.Is("", err, ErrInput) {
			t.Errorf("%v: %v", c, err)
		}
	}
}

// A time for 20 °C in a room at 23 °C, with a thermometer good to half a
// degree. The coefficient would come from the film's own tests.
func ExampleTemperatureLaw_Convert() {
	law, _ := NewQ10(2.5)
	t, err := law.Convert(8*time.Minute, 20, 23, 0.5, RefuseBeyond)
	fmt.Println(t, err)
	_, err = law.Convert(8*time.Minute, 20, 29, 0.5, RefuseBeyond)
	fmt.Println(err)
	// Output:
	// 6:05 (5:33 to 6:39) <nil>
	// devtime: outside the range: 20.0 °C to 29.0 °C, and this law is trusted from 18.3 °C to 26.7 °C
}

func BenchmarkFitQ10(b *testing.B) {
	rows := codeRows(codeMinutes)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := FitQ10(rows); err != nil {
			b.Fatal(err)
		}
	}
}
