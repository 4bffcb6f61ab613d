package devtime

import (
	"encoding"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/benchunit"
	"example.org/actinic/internal/held"
)

func growthStrips(sd float64, t0 float64, seed uint64) []Point {
	n := growthNode{limit: 1.1, rate: .13, induction: t0}
	r := rand.New(rand.NewPCG(seed, 3))
	var p []Point
	for _, m := range []float64{4, 6, 9, 13, 18} {
		p = append(p, Point{mins(m), n.at(m) + sd*r.NormFloat64(), .01})
	}
	return p
}

// Strips without noise give back what they were made of; the constants are ones that
// NewContrastTime takes, and At and TimeFor undo each other.
func TestFitGrowth(t *testing.T) {
	for _, t0 := range []float64{0, .6, 1.5} {
		f, err := FitGrowth(growthStrips(0, t0, 1))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "limit", f.Limit().Value, 1.1, .05)
		near(t, "rate", f.RatePerMinute().Value, .13, .02)
		near(t, "induction", f.InductionMinutes().Value, t0, .45)
		if e := f.InductionMinutes(); t0 == 0 && (e.Low != 0 || !(e.High > 0)) || !(e.Low <= t0 && t0 <= e.High) {
			t.Errorf("induction %v of %v", e, t0)
		}
		if p := f.NoInduction(); t0 == 0 && !(p > .5) || t0 == 1.5 && !(p < .1) {
			t.Errorf("no induction %v for %v", p, t0)
		}
		c := must(f.Constants())
		if _, err := NewContrastTime(c.Limit.Value, c.Rate.Value, mins(c.Induction.Value)); err != nil {
			t.Error(err)
		}
		tt := must(f.TimeFor(.6))
		near(t, "contrast", must(f.At(tt.Value)).Value, .6, 1e-9)
		want := growthNode{limit: 1.1, rate: .13, induction: t0}.timeFor(.6)
		if !(tt.Low.Minutes() < want && want < tt.High.Minutes()) || tt.Extrapolated {
			t.Errorf("time %v, want %v", tt, want)
		}
	}
	// So they do where the strips are known ten times better: each belief has a grid as
	// fine as it needs.
	sharp := growthStrips(0, 0, 1)
	for i := range sharp {
		sharp[i].SD = .001
	}
	near(t, "limit of sharp strips", must(FitGrowth(sharp)).Limit().Value, 1.1, .002)
	near(t, "rate of sharp strips", must(FitGrowth(sharp)).RatePerMinute().Value, .13, .001)
	// The order of the strips does not matter, nor what time is counted in.
	p := growthStrips(.01, .4, 2)
	a := must(FitGrowth(p))
	p[0], p[3] = p[3], p[0]
	b := must(FitGrowth(p))
	near(t, "order", a.Limit().Low, b.Limit().Low, 1e-9)
	// Deviations ten times smaller are met by a finer grid: not narrower than the
	// scatter from strip to strip, and not an interval of no width.
	for i := range p {
		p[i].SD = 1e-5
	}
	fine := must(FitGrowth(p))
	if e := fine.Limit(); !(e.High > e.Low) || math.IsNaN(e.Low) {
		t.Errorf("limit %v", e)
	}
	// A hundred thousand strips are as good as sixty, and as quick.
	var many []Point
	for i := range 100_000 {
		q := growthStrips(.01, .4, uint64(i))[i%5]
		q.Time += time.Duration(i) // no two alike
		q.Value += .13 * 1.1 * math.Exp(-.13*q.Time.Minutes()) * float64(i) / float64(time.Minute)
		many = append(many, q)
	}
	if e := must(FitGrowth(many)).Limit(); !(e.Low <= 1.1 && 1.1 <= e.High) {
		t.Errorf("limit %v", e)
	}
	two := must(FitGrowth([]Point{{mins(4), .6, .01}, {mins(8), .9, .01}}))
	if e := two.Limit(); !(e.High-e.Low > a.Limit().High-a.Limit().Low) {
		t.Errorf("limit of two strips %v, of five %v", e, a.Limit())
	}
}

func TestFitGrowthRefuses(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		name   string
		points []Point
		want   error
	}{
		{"nothing", nil, ErrInput},
		{"one strip", growthStrips(0, 0, 1)[:1], ErrInput},
		{"one time", []Point{{mins(4), .5, 0}, {mins(4), .6, 0}}, ErrInput},
		{"NaN", []Point{{mins(4), .5, .01}, {mins(8), math.NaN(), .01}}, ErrInput},
		{"falls", []Point{{mins(4), .8, .01}, {mins(8), .6, .01}, {mins(16), .4, .01}}, ErrNoLaw},
		{"constant", []Point{{mins(4), .6, .001}, {mins(8), .6, .001}, {mins(16), .6, .001}}, ErrNoLaw},
		{"straight", []Point{{mins(4), .4, .001}, {mins(8), .8, .001}, {mins(16), 1.6, .001}}, ErrNoLaw},
	} {
		if f, err := FitGrowth(c.points); !said.Is("", err, c.want) {
			t.Errorf("%s: %v, %v", c.name, f, err)
		}
	}
	var zero GrowthFit
	if _, err := zero.At(mins(1)); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	if _, err := zero.TimeFor(1); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	if _, err := json.Marshal(zero); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	if e := zero.Limit(); !math.IsNaN(e.Value) || zero.Warnings() != nil || zero.String() == "" {
		t.Errorf("%v", e)
	}
	f := must(FitGrowth(growthStrips(.01, 0, 3)))
	if _, err := f.TimeFor(5); !said.Is("", err, ErrLimit) {
		t.Error(err)
	}
	for _, v := range []float64{0, -1, math.NaN()} {
		if _, err := f.TimeFor(v); !said.Is("", err, ErrInput) {
			t.Error(err)
		}
	}
	if _, err := f.At(-1); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	// Near the limit some laws never reach the target.
	tt := must(f.TimeFor(f.Limit().Value * .99))
	if tt.High != Unbounded || !tt.Extrapolated {
		t.Errorf("%v", tt)
	}
}

// A wrong stated deviation: readings twice as noisy as stated, three and five strips;
// the plain fit by Student's t. 1000 seeded series, two standard errors 0.014.
func TestContrastStatedTooSmall(t *testing.T) {
	// One degree of freedom often does not show the scatter: 3 strips hold less. By
	// the normal law they would hold 82 and 88 %.
	for _, c := range []struct {
		times []float64
		least float64
	}{{[]float64{4, 8, 15}, .84}, {[]float64{4, 6, 8, 11, 15}, .91}} {
		times := c.times
		law, _ := NewContrastTime(1.1, .13, 0)
		r := rand.New(rand.NewPCG(9, 9))
		in, n := 0, 0
		for range 1000 {
			var pts []Point
			for _, m := range times {
				e, _ := law.At(mins(m))
				pts = append(pts, Point{mins(m), e.Value + .02*r.NormFloat64(), .01})
			}
			g, err := FitContrast(pts)
			if err != nil {
				continue
			}
			n++
			if e := g.Limit(); e.Low <= 1.1 && 1.1 <= e.High {
				in++
			}
		}
		t.Logf("%d strips: limit %s of %d", len(times), binomial(in, n), n)
		if s := float64(in) / float64(n); s < c.least {
			t.Errorf("%d strips: limit held by %.3f", len(times), s)
		}
	}
}

// Everything is stored and read back equal, or refuses.
func TestStored(t *testing.T) {
	said := held.New(t)
	exact := must(NewContrastTime(1.2, .1, 30*time.Second))
	fitted := must(FitContrast(growthStrips(.01, 0, 4)))
	three := must(FitContrastInduction(growthStrips(.01, .5, 4)))
	two := must(FitContrast([]Point{{mins(4), .6, 0}, {mins(8), .9, 0}}))
	q10 := must(NewQ10(2.5))
	table := must(FitQ10([]TemperatureRow{{18, mins(12)}, {20, mins(10)}, {24, mins(7)}}))
	pair := must(FitArrhenius([]TemperatureRow{{18, mins(12)}, {24, mins(7)}}))
	mix := must(Mix(Bath{Tank: 600, Dilution: must(NewDilution(1, 31)), Films: 2}))
	bound := must(Mix(Bath{Tank: 1000, Dilution: must(NewDilution(1, 31)), Films: 2, MinStock: 10}))
	zones := must(ZoneDevelopments(exact, 1.05, 7, .4, -1, 3))
	for _, v := range []any{exact, fitted, three, q10, table.Law, mix, bound, Mixture{MaxFilms: math.Inf(1)}, Bath{}, Bath{Tank: 5, Dilution: Undiluted(), Films: 1},
		must(mix.ToGraduations(1, 10)), Celsius(20.5), Clock(mins(7.5)), Clock(0), Dilution{}, must(NewDilution(2, 3)),
		Time{mins(7), mins(6), mins(8), true}, Time{mins(7), -1, -1, false}, Time{mins(7), mins(6), Unbounded, false},
		must(fitted.TimeFor(.6))} {
		b, err := json.Marshal(v)
		if err != nil {
			t.Errorf("%T: %v", v, err)
			continue
		}
		back := reflect.New(reflect.TypeOf(v))
		if err := json.Unmarshal(b, back.Interface()); err != nil {
			t.Errorf("%s: %v", b, err)
			continue
		}
		again := must(json.Marshal(back.Elem().Interface()))
		_, isTime := v.(Time) // kept to the millisecond
		if string(again) != string(b) || !isTime && !reflect.DeepEqual(back.Elem().Interface(), v) {
			t.Errorf("%T: %s read back as %s", v, b, again)
		}
	}
	// NaN is not equal to itself.
	for _, v := range []any{two, pair.Law} {
		b := must(json.Marshal(v))
		back := reflect.New(reflect.TypeOf(v))
		if err := json.Unmarshal(b, back.Interface()); err != nil || string(must(json.Marshal(back.Elem().Interface()))) != string(b) {
			t.Errorf("%s: %v", b, err)
		}
	}
	if back := must(json.Marshal(zones)); !strings.Contains(string(back), `"error":"devtime`) || strings.Contains(string(back), `"error":{}`) {
		t.Errorf("%s", back)
	}
	var zs []ZoneDevelopment
	if err := json.Unmarshal(must(json.Marshal(zones)), &zs); err != nil || len(zs) != len(zones) || (zs[len(zs)-1].Err == nil) != (zones[len(zones)-1].Err == nil) {
		t.Errorf("%v", err)
	}
	for _, v := range []any{ContrastTime{}, TemperatureLaw{}, DilutionLaw{}, Family{}, SpeedTime{}, GrowthFit{}, Celsius(math.NaN())} {
		if b, err := json.Marshal(v); !said.Is("", err, ErrInput) {
			t.Errorf("%T: %s, %v", v, b, err)
		}
	}
	for _, c := range []struct {
		to   any
		text string
	}{
		{new(ContrastTime), `{"limit":-1,"rate_per_min":1}`}, {new(ContrastTime), `{"limit":1,"rate_per_min":0.1,"induction_min":-1}`},
		{new(ContrastTime), `{"limit":1,"rate_per_min":0.1,"shortest_s":9,"longest_s":3}`}, {new(ContrastTime), `{"limit":1,"rate_per_min":0.1,"fit":{"constants":9}}`},
		{new(TemperatureLaw), `{}`}, {new(TemperatureLaw), `{"q10":2,"activation_energy_kj_mol":3}`}, {new(TemperatureLaw), `{"q10":99,"coldest_degc":18,"warmest_degc":24}`},
		{new(TemperatureLaw), `{"q10":2,"coldest_degc":24,"warmest_degc":18}`}, {new(GrowthFit), `{}`}, {new(Clock), `"7:5"`}, {new(Celsius), `"hot"`}, {new(Dilution), `"1:31"`},
	} {
		if err := json.Unmarshal([]byte(c.text), c.to); !said.Is("", err, ErrInput) && !said.Is("", err, ErrSyntax) && !said.Is("", err, ErrAmbiguous) {
			t.Errorf("%T from %s: %v", c.to, c.text, err)
		}
	}
	b := must(json.Marshal(must(FitGrowth(growthStrips(.01, 0, 4)))))
	for _, want := range []string{`"limit":{`, `"rate_per_min":{`, `"induction_min":{`, `"no_induction":`, `"longest_s":1080`} {
		if !strings.Contains(string(b), want) {
			t.Errorf("%s lacks %s", b, want)
		}
	}
}

// The zero values name what is missing.
func TestEmptyTexts(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{second(ContrastTime{}.TimeFor(.5)), "no growth of contrast"}, {second(ContrastTime{}.At(mins(1))), "no growth of contrast"},
		{second(Mixture{}.ToGraduations(1, 10)), "empty mixture"}, {second(TemperatureFit{}.Data()), "no fit"},
	} {
		if !errors.Is(c.err, ErrInput) || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("%v, want %q", c.err, c.want)
		}
	}
	if (Dilution{}).String() != "no dilution" {
		t.Error(Dilution{}.String())
	}
}

func second[T any](_ T, err error) error { return err }

func TestStockError(t *testing.T) {
	said := held.New(t)
	_, err := Mix(Bath{Tank: 300, Dilution: must(NewDilution(1, 31)), Films: 5, MinStock: 3})
	var e *StockError
	if !errors.As(err, &e) || !said.Is("", err, ErrStock) || e.Films != 3 || math.Abs(e.Volume-480) > 1e-9 || e.Needed != 15 || math.Abs(e.Stock-9.375) > 1e-9 || e.Bath.Films != 5 {
		t.Fatalf("%+v", e)
	}
	if s := err.Error(); !strings.Contains(s, "480 ml") || !strings.Contains(s, "3 films") {
		t.Error(s)
	}
}

func TestParseCelsius(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		text string
		want float64
	}{{"20", 20}, {"20 °C", 20}, {"20.5C", 20.5}, {"20,5 °c", 20.5}, {" 68 °F", 20}, {"68f", 20}, {"-1 °C", -1}} {
		v, err := ParseCelsius(c.text)
		if err != nil || math.Abs(float64(v)-c.want) > 1e-12 {
			t.Errorf("%q: %v, %v", c.text, v, err)
		}
	}
	for _, bad := range []string{"", "C", "°C", "warm", "20 K", "NaN", "inf", "0x10", "1_0", "20 ° C x"} {
		if v, err := ParseCelsius(bad); !said.Is(bad, err, ErrSyntax) {
			t.Errorf("%q: %v, %v", bad, v, err)
		}
	}
}

func FuzzParseCelsius(f *testing.F) {
	f.Add("20 °C")
	f.Add("68F")
	f.Fuzz(func(t *testing.T, s string) {
		v, err := ParseCelsius(s)
		if err != nil {
			return
		}
		b, err := v.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		if back, err := ParseCelsius(string(b)); err != nil || back != v {
			t.Errorf("%q became %q, %v, %v", s, b, back, err)
		}
	})
}

// A fitted coefficient goes into a film by one call.
func TestQ10Data(t *testing.T) {
	f := must(FitQ10([]TemperatureRow{{18, mins(12)}, {20, mins(10)}, {24, mins(7)}}))
	d := must(f.Data())
	if d.Q10 != f.Law.Q10() && !(d.Q10.Low >= 1) || d.Coldest != 18 || d.Warmest != 24 {
		t.Errorf("%+v", d)
	}
	if _, err := must(NewQ10(d.Q10.Value)).Within(d.Coldest, d.Warmest); err != nil {
		t.Error(err)
	}
	var back Q10Data
	if b := must(json.Marshal(d)); json.Unmarshal(b, &back) != nil || back != d {
		t.Errorf("%s read back as %+v", b, back)
	}
}

var (
	_ encoding.TextUnmarshaler = (*Clock)(nil)
	_ encoding.TextUnmarshaler = (*Celsius)(nil)
	_ encoding.TextUnmarshaler = (*Dilution)(nil)
)

// Five strips of an invented film in an invented bath: how its contrast grows, and how
// long to develop for an average gradient of 0.58.
func ExampleFitGrowth() {
	m := time.Minute
	f, err := FitGrowth([]Point{
		{5 * m, 0.38, 0.01}, {7 * m, 0.49, 0.01}, {9*m + m/2, 0.59, 0.01}, {13 * m, 0.70, 0.01}, {18 * m, 0.80, 0.01},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(f)
	t, err := f.TimeFor(0.58)
	fmt.Println(t, err)
	// Output:
	// limit 0.9504 (0.8723 to 1.014), rate 0.1025 (0.09093 to 0.1333) per minute, induction 0 to 0.9 min (none: 74 %)
	// 9:11 (8:51 to 9:34) <nil>
}

// Flags for a development: time, temperature and dilution.
func ExampleClock() {
	var (
		develop Clock
		bath    Celsius
		mix     Dilution
	)
	flags := flag.NewFlagSet("tank", flag.ContinueOnError)
	flags.SetOutput(os.Stdout)
	flags.TextVar(&develop, "develop", Clock(0), "time of development")
	flags.TextVar(&bath, "bath", Celsius(20), "temperature")
	flags.TextVar(&mix, "dilution", Undiluted(), "dilution")
	if err := flags.Parse([]string{"-develop", "7½ min", "-bath", "68 °F", "-dilution", "1+31"}); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(develop, bath, mix, time.Duration(develop).Seconds())
	// Output: 7:30 20.0 °C 1+31 450
}

// A bath for two films; when the tank is too small the error has the numbers.
func ExampleStockError() {
	d, _ := NewDilution(1, 31)
	_, err := Mix(Bath{Tank: 300, Dilution: d, Films: 2, MinStock: 6})
	var short *StockError
	if errors.As(err, &short) {
		fmt.Printf("take %.0f ml, or develop %d film\n", short.Volume, short.Films)
	}
	// Output: take 384 ml, or develop 1 film
}

func BenchmarkFitGrowth(b *testing.B) {
	p := growthStrips(.01, .4, 2)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := FitGrowth(p); err != nil {
			b.Fatal(err)
		}
	}
	benchunit.Per(b, 1, "fit")
}

func BenchmarkGrowthTimeFor(b *testing.B) {
	f := must(FitGrowth(growthStrips(.01, .4, 2)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := f.TimeFor(.6); err != nil {
			b.Fatal(err)
		}
	}
}
