package spectral

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.org/actinic/internal/benchunit"
)

func errorIs(err, target error) bool { return errors.Is(err, target) }

// random returns a spectrum with n irregular knots within lo..hi.
func random(rng *rand.Rand, lo, hi float64, n int, out Outside) Spectrum {
	nm, v := make([]float64, n), make([]float64, n)
	for i := range nm {
		nm[i], v[i] = lo+(hi-lo)*rng.Float64(), rng.Float64()
	}
	slices.Sort(nm)
	return must(New(nm, v, out))
}

// slow integrates a product by the midpoint rule on a million points: obvious,
// and good to a few parts in 10^6 for the spectra used here.
func slow(lo, hi float64, s ...Spectrum) float64 {
	const n = 1_000_000
	sum := 0.0
	for i := range n {
		l := lo + (hi-lo)*(float64(i)+0.5)/n
		p := 1.0
		for _, x := range s {
			p *= must(x.At(l))
		}
		sum += p
	}
	return sum * (hi - lo) / n
}

func TestIntegralClosedForms(t *testing.T) {
	ramp := must(New([]float64{400, 500}, []float64{0, 1}, Zero)) // x from 0 to 1
	for k := 1; k <= 12; k++ {
		s := slices.Repeat([]Spectrum{ramp}, k)
		near(t, "∫ x^k", must(Integral(s...)), 100/float64(k+1), 1e-12)
	}
	flat := must(New([]float64{400, 700}, []float64{1, 1}, Zero))
	near(t, "flat", must(Integral(flat)), 300, 1e-12)
	near(t, "centroid", must(Centroid(flat)), 550, 1e-12)
	near(t, "width", must(RMSWidth(flat)), 300/math.Sqrt(12), 1e-11)
	near(t, "pivot", must(Pivot(flat)), math.Sqrt(550*300/math.Log(7./4)), 1e-10)
	near(t, "log centroid", must(LogCentroid(flat)), math.Sqrt(400*700), 1e-10)
	near(t, "photon centroid", must(PhotonCentroid(flat)), 2./3*(700*700*700-400*400*400)/(700*700-400*400), 1e-10)
	wide := must(New([]float64{100, 90000}, []float64{1, 1}, Zero)) // the pole is near on this scale
	near(t, "pivot", must(Pivot(wide))/math.Sqrt((90000*90000-100*100)/2/math.Log(900)), 1, 1e-14)
	near(t, "mean", must(Mean(ramp, flat)), 50./300, 1e-15)
	near(t, "mean of a held ramp", must(Mean(ramp.WithOutside(Hold), flat)), 250./300, 1e-15)
	near(t, "equivalent width", must(EquivalentWidth(must(ramp.Scale(7)))), 50, 1e-12)
}

func TestIntegralProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		a := random(rng, 380, 780, 2+rng.IntN(80), Zero)
		b := random(rng, 350, 720, 2+rng.IntN(40), Hold)
		c := random(rng, 390, 800, 2+rng.IntN(400), Zero)
		v, err := Integral(a, b, c)
		if errors.Is(err, ErrDisjoint) {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		scale := 1 + math.Abs(v)
		near(t, "order", must(Integral(c, a, b)), v, 1e-12*scale)
		near(t, "linear", must(Integral(must(a.Scale(-3)), b, c)), -3*v, 1e-12*scale)

		// Parts add up to the whole.
		lo, hi, _ := span([]Spectrum{a, c})
		if lo < hi {
			cut := lo + (hi-lo)*rng.Float64()
			alo, ahi := a.Range()
			if cut > alo && cut < ahi {
				one, two := must(a.Cut(alo, cut)), must(a.Cut(cut, ahi))
				sum := 0.0
				for _, p := range []Spectrum{one, two} {
					x, err := Integral(p, b, c)
					if err != nil && !errors.Is(err, ErrDisjoint) {
						t.Fatal(err)
					}
					sum += x
				}
				near(t, "parts", sum, v, 1e-12*scale)
			}
		}

		// Knots that say nothing change nothing.
		more := must(a.join([]float64{must2(a.Range())}))
		near(t, "knots", must(Integral(more, b, c)), v, 1e-12*scale)

		// The prepared form, for every choice of which spectrum changes.
		for i, s := range []Spectrum{a, b, c} {
			rest := slices.Delete([]Spectrum{a, b, c}, i, i+1)
			r, err := NewQuadrature(s.nm, s.out, rest...)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "rule", must(r.Integrate(s.v)), v, 1e-11*scale)
			total := 0.0
			for _, w := range r.Weights() {
				total += w
			}
			near(t, "rule total", r.Total(), total, 1e-11*(1+math.Abs(total)))
		}
	}
	for range 3 {
		a, b := random(rng, 380, 780, 30, Zero), random(rng, 300, 900, 20, Hold)
		lo, hi := a.Range()
		near(t, "slow", must(Integral(a, b))/slow(lo, hi, a, b), 1, 5e-6)
	}
}

func must2(a, b float64) float64 { return (a + b) / 2 }

// Weights that go on for ever are bounded by a grid that does not.
func TestQuadratureOfHeld(t *testing.T) {
	held := must(New([]float64{450, 550}, []float64{1, 3}, Hold))
	for _, o := range []Outside{Refuse, Zero} {
		q := must(NewQuadrature([]float64{400, 500, 600}, o, held))
		near(t, "total", q.Total(), 50+200+150, 1e-9)
		near(t, "integral", must(q.Integrate([]float64{1, 1, 1})), 400, 1e-9)
		near(t, "as the integral", must(q.Integrate([]float64{0, 1, 0})), must(Integral(held, must(New([]float64{400, 500, 600}, []float64{0, 1, 0}, o)))), 1e-9)
	}
	if _, err := NewQuadrature([]float64{400, 500}, Hold, held); !errorIs(err, ErrInvalid) {
		t.Errorf("no limits at all: %v", err)
	}
	if _, err := NewQuadrature([]float64{400, 500}, Zero); !errorIs(err, ErrInvalid) {
		t.Errorf("no weights: %v", err)
	}
}

// The quick way of two and three spectra against the Gauss points of every segment, on
// coarse and fine grids, with many knots in common and none, wide and narrow ranges.
func TestQuickIntegral(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 9))
	sizes := []int{2, 3, 20, 63, 64, 65, 73, 300, 2000}
	for range 2000 {
		s := make([]Spectrum, 2+rng.IntN(2))
		for i := range s {
			n := sizes[rng.IntN(len(sizes))]
			if rng.IntN(2) == 0 {
				s[i] = random(rng, 380, 700, n, Outside(1+rng.IntN(2)))
				continue
			}
			v := make([]float64, n)
			for j := range v {
				v[j] = rng.Float64()
			}
			s[i] = must(New(steps(380, 320/float64(n-1), n), v, Hold))
		}
		s[0] = s[0].WithOutside(Zero)
		if rng.IntN(3) == 0 {
			s[1] = must(New(s[0].nm, s[0].v, Hold)) // the same knots
		}
		lo, hi, err := span(s)
		if err != nil || !(lo < hi) {
			continue
		}
		if rng.IntN(2) == 0 {
			lo, hi = lo+(hi-lo)*rng.Float64()/2, hi-(hi-lo)*rng.Float64()/2.1
		}
		want := 0.0
		segments(s, nil, 0, lo, hi, func(_ int, _, wp float64) { want += wp })
		near(t, "quick over slow", quick(s, lo, hi)/want, 1, 1e-12)
	}
}

func TestOutside(t *testing.T) {
	film := must(New([]float64{400, 500, 600}, []float64{0, 1, 0}, Zero))
	short := must(New([]float64{450, 700}, []float64{1, 1}, Refuse))
	if _, err := Integral(film, short); !errorIs(err, ErrOutside) {
		t.Errorf("a light that ends inside the film: %v", err)
	}
	near(t, "hold", must(Integral(film, short.WithOutside(Hold))), 100, 1e-12)
	near(t, "zero", must(Integral(film, short.WithOutside(Zero))), 87.5, 1e-12)

	// A refusing light need not cover knots where the film is zero anyway.
	padded := must(New([]float64{300, 460, 500, 600, 900}, []float64{0, 0, 1, 0, 0}, Zero))
	if _, err := Integral(padded, short); err != nil {
		t.Errorf("zeros at the ends count: %v", err)
	}

	far := must(New([]float64{700, 800}, []float64{1, 1}, Zero))
	for _, s := range [][]Spectrum{{film, far}, {film, far.WithOutside(Refuse)}} {
		if _, err := Integral(s...); !errorIs(err, ErrDisjoint) {
			t.Errorf("disjoint: %v", err)
		}
	}
	if _, err := NewQuadrature(far.nm, Refuse, film); !errorIs(err, ErrDisjoint) {
		t.Errorf("disjoint rule: %v", err)
	}
	if _, err := NewQuadrature(short.nm, Refuse, film); !errorIs(err, ErrOutside) {
		t.Errorf("short rule: %v", err)
	}
	if _, err := Integral(must(Flat(1)), must(Flat(2))); !errorIs(err, ErrInvalid) {
		t.Errorf("no limits: %v", err)
	}
	if _, err := Integral(short, far.WithOutside(Refuse)); !errorIs(err, ErrOutside) {
		t.Errorf("two that refuse, on different ranges: %v", err)
	}
	if _, err := short.At(449.999); !errorIs(err, ErrOutside) {
		t.Errorf("At outside: %v", err)
	}
	if v, err := short.WithOutside(Hold).At(1e6); v != 1 || err != nil {
		t.Errorf("hold = %v, %v", v, err)
	}
	// Spectra that overlap, with nothing in common: a true zero.
	left := must(New([]float64{400, 450, 600}, []float64{1, 0, 0}, Zero))
	right := must(New([]float64{400, 500, 600}, []float64{0, 0, 1}, Zero))
	if v, err := Integral(left, right); v != 0 || err != nil {
		t.Errorf("nothing in common = %v, %v", v, err)
	}
}

func TestBadSpectra(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, r := range []struct {
		name  string
		nm, v []float64
		says  string
	}{
		{"empty", nil, nil, "at least two"},
		{"one", []float64{500}, []float64{1}, "at least two"},
		{"lengths", []float64{400, 500}, []float64{1}, "1 values"},
		{"unsorted", []float64{500, 400}, []float64{1, 1}, "sort"},
		{"twice", []float64{500, 500}, []float64{1, 1}, "once"},
		{"NaN wavelength", []float64{400, nan}, []float64{1, 1}, "not within"},
		{"infinite wavelength", []float64{400, inf}, []float64{1, 1}, "not within"},
		{"negative wavelength", []float64{-400, 500}, []float64{1, 1}, "not within"},
		{"micrometres", []float64{0.4, 0.5}, []float64{1, 1}, "micrometres"},
		{"thousandths of a nanometre", []float64{300000, 301000}, []float64{1, 1}, "not within"},
		{"NaN", []float64{400, 500}, []float64{1, nan}, "finite"},
		{"infinite", []float64{400, 500}, []float64{-inf, 1}, "finite"},
	} {
		_, err := New(r.nm, r.v, Zero)
		if !errorIs(err, ErrInvalid) || !strings.Contains(err.Error(), r.says) {
			t.Errorf("%s: %v, want it to say %q", r.name, err, r.says)
		}
	}
	if _, err := New([]float64{400, 500}, []float64{1, 1}, 9); !errorIs(err, ErrInvalid) {
		t.Error("unknown Outside accepted")
	}

	// The zero values are errors wherever they are used.
	var s Spectrum
	var l Light
	var f Sensitivity
	var r Quadrature
	for i, err := range []error{
		fault(s.At(500)), fault(Integral(s)), fault(Integral()), fault(Mean(panB(), s)), fault(s.Scale(2)), fault(s.Cut(400, 500)),
		fault(NewLight(s)), fault(NewLight()), fault(SensitivityFromLinear(s)), fault(l.At(500)), fault(f.At(500)), fault(f.CutOff(0.1)),
		fault(f.Flatness(D55.Light())), fault(f.Mismatch(380, 780)), fault(AtEqualReading(f, Eye(), D55.Light(), A.Light())),
		fault(r.Integrate(nil)), fault(r.Mean([]float64{1})), fault(Illuminant(0).Light().At(500)), fault(Efficacy(Illuminant(99).Light())),
	} {
		if !errorIs(err, ErrInvalid) {
			t.Errorf("use %d of a zero value: %v", i, err)
		}
	}
	if s.Len() != 0 || len(s.Values()) != 0 {
		t.Error("an empty spectrum has a length")
	}

	rule := must(NewQuadrature([]float64{400, 500, 600}, Hold, panB()))
	for _, v := range [][]float64{{1, 2}, {1, nan, 1}, {1, inf, 1}, {inf, -inf, 1}, {nan, 0, 0}} {
		if got, err := rule.Integrate(v); !errorIs(err, ErrInvalid) || got != 0 {
			t.Errorf("rule of %v = %v, %v", v, got, err)
		}
	}
	for _, g := range [][3]float64{{400, 700, 0}, {400, 700, -1}, {700, 400, 1}, {400, 700, 7}, {nan, 700, 1}, {400, inf, 1}, {400, 700, nan}, {400, 700, 1e-9}, {0.4, 0.7, 0.01}} {
		if _, err := Grid(g[0], g[1], g[2]); !errorIs(err, ErrInvalid) {
			t.Errorf("grid %v: %v", g, err)
		}
	}
	if g := must(Grid(380, 780, 0.1)); len(g) != 4001 || g[4000] != 780 {
		t.Error("grid of 0.1 nm")
	}
	if _, _, err := panB().Clamp(1, 0); !errorIs(err, ErrInvalid) {
		t.Error("clamped the wrong way round")
	}
	if _, _, err := panB().Clamp(nan, 1); !errorIs(err, ErrInvalid) {
		t.Error("clamped at NaN")
	}
	if _, err := panB().Cut(500, 450); !errorIs(err, ErrInvalid) {
		t.Error("cut backwards")
	}
	if v, err := panB().At(nan); !errorIs(err, ErrInvalid) {
		t.Errorf("at NaN = %v", v)
	}
}

func fault[T any](_ T, err error) error { return err }

func TestMillionRows(t *testing.T) {
	nm := must(Grid(300, 1300, 0.001))
	v := make([]float64, len(nm))
	for i := range v {
		v[i] = 1
	}
	s := must(New(nm, v, Refuse))
	near(t, "a million rows", must(Integral(s, panB())), 197.25, 1e-8)
}

func TestCopies(t *testing.T) {
	nm, v := []float64{400, 500, 600}, []float64{1, 2, 3}
	s := must(New(nm, v, Zero))
	r := must(NewQuadrature(nm, Zero, panB()))
	before := r.Total()
	nm[1], v[1] = 450, 9
	s.Wavelengths()[0], s.Values()[0] = 1, 9
	r.Weights()[0], r.Wavelengths()[0] = 9, 9
	l := must(NewLight(s))
	l.Spectra()[0] = panB()
	if must(s.At(500)) != 2 || s.nm[0] != 400 || s.v[0] != 1 || must(l.At(500)) != 2 {
		t.Error("a value changed from outside")
	}
	if r.Total() != before || must(r.Integrate([]float64{1, 1, 1})) != must(r.Integrate([]float64{1, 1, 1})) || r.nm[0] != 400 {
		t.Error("a rule changed from outside")
	}
}

func TestConversions(t *testing.T) {
	if got := FromMicrometres([]float64{0.4, 0.7}); got[0] != 400 || got[1] != 700 {
		t.Errorf("micrometres: %v", got)
	}
	if got := FromPercent([]float64{50}); got[0] != 0.5 {
		t.Errorf("percent: %v", got)
	}
	near(t, "density", FromDensity([]float64{0.3})[0], .50118723, 5e-9)
	s := must(panB().PhotonToEnergy())
	near(t, "photon", must(s.At(450)), 450./550, 1e-15)
	near(t, "photon", must(must(s.EnergyToPhoton()).At(450)), 1, 1e-15)

	c, n, err := must(New([]float64{400, 500, 600}, []float64{-1e-4, 0.5, 1.02}, Hold)).Clamp(0, 1)
	if lo, hi := c.Extremes(); err != nil || n != 2 || lo != 0 || hi != 1 {
		t.Errorf("clamp: %v %v %v %v", n, lo, hi, err)
	}
	if r := must(panB().Resample([]float64{410, 420})); r.Len() != 2 {
		t.Error("resample")
	}
}

func TestNames(t *testing.T) {
	if len(Illuminants()) != 15 {
		t.Errorf("%d illuminants", len(Illuminants()))
	}
	for _, i := range Illuminants() {
		if got, err := ParseIlluminant(" " + strings.ToLower(i.String())); got != i || err != nil {
			t.Errorf("%v parses to %v, %v", i, got, err)
		}
		near(t, i.String(), must(i.Light().At(560)), 100, 1e-9)
		if _, err := i.Light().At(200); !errorIs(err, ErrOutside) {
			t.Errorf("%v answers at 200 nm: %v", i, err)
		}
	}
	if _, err := ParseIlluminant("D95"); !errorIs(err, ErrInvalid) {
		t.Errorf("D95: %v", err)
	}
	for text, want := range map[string]Kelvin{"5500 K": 5500, "3200K": 3200, " 2856 k ": 2856, "1e4": 1e4} {
		if got, err := ParseKelvin(text); got != want || err != nil {
			t.Errorf("%q = %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "K", "-5500 K", "0", "NaN", "Inf K", "warm", "5500 °C"} {
		if got, err := ParseKelvin(text); !errorIs(err, ErrTemperature) || got != 0 {
			t.Errorf("%q = %v, %v", text, got, err)
		}
	}
	if got := Kelvin(6503.6).String() + ", " + Mired(125).String() + ", " + Hold.String() + ", " + Orthochromatic.String(); got != "6503.6 K, 125 mired, hold, orthochromatic" {
		t.Error(got)
	}
}

func TestTemperatureRange(t *testing.T) {
	for _, k := range []Kelvin{0, -1, 3999, 25001, Kelvin(math.NaN()), Kelvin(math.Inf(1))} {
		if _, err := Daylight(k, Rounded); !errorIs(err, ErrTemperature) {
			t.Errorf("daylight at %v: %v", k, err)
		}
	}
	for _, k := range []Kelvin{0, 499, 2e6, Kelvin(math.NaN()), Kelvin(math.Inf(1))} {
		if _, err := Planck(k, steps(400, 10, 30)); !errorIs(err, ErrTemperature) {
			t.Errorf("Planck at %v: %v", k, err)
		}
		if _, err := LightAt(k); !errorIs(err, ErrTemperature) {
			t.Errorf("light at %v: %v", k, err)
		}
	}
}

// The error of straight lines that the doc comment of Planck states.
func TestPlanckGrid(t *testing.T) {
	for _, r := range []struct{ step, tol float64 }{{5, 1.3e-3}, {1, 6e-5}} {
		s := must(Planck(2500, must(Grid(400, 700, r.step))))
		worst := 0.0
		for nm := 400.; nm <= 700; nm += 0.25 {
			exact := 100 * PlanckRadiance(nm, 2500) / PlanckRadiance(560, 2500)
			worst = max(worst, math.Abs(must(s.At(nm))/exact-1))
		}
		if !(worst < r.tol) {
			t.Errorf("step %g nm: off by %.2g of itself, said %.2g", r.step, worst, r.tol)
		}
	}
}

func FuzzParseKelvin(f *testing.F) {
	f.Add("5500 K")
	f.Add("1e4k")
	f.Fuzz(func(t *testing.T, in string) {
		k, err := ParseKelvin(in)
		if err != nil {
			return
		}
		if again, err := ParseKelvin(k.String()); again != k || err != nil {
			t.Fatalf("%q is %v, which reads as %v, %v", in, k, again, err)
		}
	})
}

func TestAllocations(t *testing.T) {
	r, v := threeGrids()
	if n := testing.AllocsPerRun(100, func() { sink, _ = r.Integrate(v) }); n != 0 {
		t.Errorf("Integrate allocates %v times", n)
	}
	if n := testing.AllocsPerRun(100, func() { sink, _ = r.Mean(v) }); n != 0 {
		t.Errorf("Mean allocates %v times", n)
	}
}

var sink float64

// threeGrids is a light at 81 knots and a film at 43, prepared for a filter at
// 471.
func threeGrids() (Quadrature, []float64) {
	light := must(D55.Light().Spectra()[0].Resample(steps(380, 5, 81)))
	film := must(panB().Resample(must(Grid(380, 678.2, 7.1))))
	nm := steps(380, 300./470, 471)
	v := make([]float64, len(nm))
	for i, l := range nm {
		v[i] = 0.9 / (1 + math.Exp(-(l-590)/4))
	}
	return must(NewQuadrature(nm, Hold, light, film)), v
}

func BenchmarkRule(b *testing.B) {
	for _, n := range []int{81, 471, 5000} {
		b.Run(fmt.Sprintf("points=%d", n), func(b *testing.B) {
			nm := steps(300, 500/float64(n-1), n)
			r := must(NewQuadrature(nm, Hold, D55.Light().Spectra()[0], panB()))
			v := make([]float64, n)
			b.ReportAllocs()
			for b.Loop() {
				sink, _ = r.Integrate(v)
			}
			benchunit.Per(b, 1, "integral")
		})
	}
	b.Run("grids=81+43+471", func(b *testing.B) {
		r, v := threeGrids()
		b.ReportAllocs()
		for b.Loop() {
			sink, _ = r.Integrate(v)
		}
		benchunit.Per(b, 1, "integral")
	})
}

func BenchmarkIntegral(b *testing.B) {
	light, film := D55.Light().Spectra()[0], panB()
	filter := must(New(steps(380, 300./470, 471), make([]float64, 471), Hold))
	b.ReportAllocs()
	for b.Loop() {
		sink, _ = Integral(light, film, filter)
	}
	benchunit.Per(b, 1, "integral")
}

func BenchmarkNewRule(b *testing.B) {
	light, film := D55.Light().Spectra()[0], panB()
	for _, n := range []int{81, 471, 5000, 50_000} {
		b.Run(fmt.Sprintf("points=%d", n), func(b *testing.B) {
			nm := steps(380, 300/float64(n-1), n)
			b.ReportAllocs()
			for b.Loop() {
				_, _ = NewQuadrature(nm, Hold, light, film)
			}
			benchunit.Per(b, 1, "rule")
		})
	}
}

// What a spectrum that is nothing outside its range has beyond it is nothing, cut or not.
func TestCutBeyond(t *testing.T) {
	s := must(New([]float64{400, 450, 500}, []float64{1, 3, 2}, Zero))
	whole := must(Integral(s))
	for _, r := range []struct {
		from, to, want float64
	}{{300, 700, whole}, {400, 500, whole}, {300, 450, 100}, {450, 600, 125}, {500, 600, 0}, {600, 700, 0}} {
		c, err := s.Cut(r.from, r.to)
		if err != nil {
			t.Errorf("%v to %v: %v", r.from, r.to, err)
			continue
		}
		near(t, "cut", must(Integral(c)), r.want, 1e-12)
	}
}
