package filters

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"example.org/actinic/internal/benchunit"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

func near(t *testing.T, name string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %.2g (off by %.2g)", name, got, want, tol, got-want)
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// Two invented films for checks, relative linear sensitivity.
func panB() spectral.Sensitivity {
	return must(spectral.SensitivityFromLinear(panBSpectrum()))
}

func panBSpectrum() spectral.Spectrum {
	return must(spectral.New(
		[]float64{380, 400, 420, 450, 480, 500, 530, 560, 590, 620, 640, 650, 660, 680},
		[]float64{0, .70, .95, 1, .70, .50, .60, .70, .75, .80, .70, .45, .20, 0}, spectral.Zero))
}

func ortho() spectral.Sensitivity {
	return must(spectral.SensitivityFromLinear(must(spectral.New(
		[]float64{380, 400, 420, 450, 480, 500, 530, 550, 570, 580, 590, 600},
		[]float64{0, .80, 1, 1, .60, .40, .60, .80, .60, .25, .05, 0}, spectral.Zero))))
}

// The published tables of D55 and D65, and A by its formula every 0.1 nm.
func lights(t testing.TB) (a, d55, d65 spectral.Light) {
	t.Helper()
	f, err := os.Open("../testdata/spectra_cie_daylight.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	c, err := spectral.ReadCSV(f, f.Name(), spectral.Refuse)
	if err != nil {
		t.Fatal(err)
	}
	nm := must(spectral.Grid(380, 780, 0.01))
	return must(spectral.Planck(2848*1.438776877/1.435, nm)), must(spectral.NewLight(c[0].Spectrum)), must(spectral.NewLight(c[1].Spectrum))
}

// logistic is 0.90/(1 + exp(-(λ - l0)/w)), as a long-pass filter.
func logistic(l0, w float64) Filter { return must(LongPass(l0, w*2*math.Log(9), 0.90)) }

// fine is the same sampled every 0.01 nm from 380 to 700 nm, as good as the
// formula to nine digits.
func fine(l0, w float64) Filter {
	nm := must(spectral.Grid(380, 700, 0.01))
	v := make([]float64, len(nm))
	for i, l := range nm {
		v[i] = 0.90 / (1 + math.Exp(-(l-l0)/w))
	}
	return must(New("fine", must(spectral.New(nm, v, spectral.Hold))))
}

// Factors of an invented panchromatic film with logistic filters; computed by
// adaptive quadrature between all kinks, of the formulas themselves.
func TestReferenceFactors(t *testing.T) {
	a, d55, d65 := lights(t)
	type pair struct{ f, stops float64 }
	for _, r := range []struct {
		l0          float64
		a, d55, d65 pair
	}{
		{495, pair{1.3464757, .42918816}, pair{1.8695242, .90267113}, pair{2.0534138, 1.0380244}},
		{530, pair{1.5037519, .58856653}, pair{2.2928081, 1.1971156}, pair{2.5671763, 1.3601824}},
		{560, pair{1.7790802, .83113158}, pair{2.9761347, 1.5734398}, pair{3.3885045, 1.7606487}},
		{590, pair{2.3791922, 1.2504718}, pair{4.3499066, 2.1209844}, pair{5.0468232, 2.3353755}},
		{610, pair{3.2892099, 1.7177411}, pair{6.3581148, 2.6685991}, pair{7.4712676, 2.9013530}},
	} {
		f := fine(r.l0, 4)
		for _, c := range []struct {
			name string
			l    spectral.Light
			want pair
		}{{"A", a, r.a}, {"D55", d55, r.d55}, {"D65", d65, r.d65}} {
			got := must(Factor(panB(), c.l, f))
			name := fmt.Sprintf("LP%v in %s", r.l0, c.name)
			near(t, name, got, c.want.f, 5e-8)
			digit := 5e-8
			if c.want.stops < 1 {
				digit = 5e-9
			}
			near(t, name+" in stops", float64(sensito.StopsOf(got)), c.want.stops, digit)
			// LongPass follows the edge with straight lines of its own.
			near(t, name+" by LongPass", must(Factor(panB(), c.l, logistic(r.l0, 4)))/got, 1, 1e-7)
		}
	}
}

// Factors with the tables of ISO 7589:2002, 380 to 690 nm; computed by the
// trapezoid at 1 nm, which the test repeats: to its digits by the same sum, and
// to 1e-5 of itself by the exact integral.
func TestISO7589Factors(t *testing.T) {
	for _, r := range []struct {
		light spectral.Illuminant
		want  [5]float64
	}{
		{spectral.SensitometricDaylight, [5]float64{1.818880, 2.235139, 2.911895, 4.282969, 6.287519}},
		{spectral.SensitometricTungsten, [5]float64{1.374275, 1.554919, 1.869249, 2.549819, 3.575416}},
	} {
		for i, l0 := range []float64{495, 530, 560, 590, 610} {
			f := logistic(l0, 4)
			var a, b float64
			for nm := 380.; nm <= 690; nm++ {
				es := must(panB().At(nm)) * must(r.light.Light().At(nm))
				a, b = a+es, b+es*0.90/(1+math.Exp(-(nm-l0)/4))
			}
			name := fmt.Sprintf("LP%v in %v", l0, r.light)
			near(t, name+" by sums", a/b, r.want[i], 5e-7)
			near(t, name, must(Factor(panB(), r.light.Light(), f))/r.want[i], 1, 2e-5)
		}
	}
}

// Where a film has almost nothing left, the trapezoid at 1 nm is up to 0.005 stop
// off and the exact integral is not.
func TestDeepFilter(t *testing.T) {
	a, _, _ := lights(t)
	exact := must(Factor(ortho(), a, fine(590, 4)))
	var p, q float64
	for nm := 380.; nm <= 600; nm++ {
		es := must(ortho().At(nm)) * must(a.At(nm))
		p, q = p+es, q+es*0.90/(1+math.Exp(-(nm-590)/4))
	}
	if d := math.Abs(math.Log2(p / q / exact)); !(d > 1e-3 && d <= 5e-3) {
		t.Errorf("the trapezoid is %v stops off", d)
	}
	near(t, "LongPass", must(Factor(ortho(), a, logistic(590, 4)))/exact, 1, 2e-5)
}

// The error of sampling a sharp cut-on: film and D55 at 5, 10 and 20 nm, the
// trapezoid, the cut-on moved from 560 to 610 nm in steps of 1 nm. Largest and rms
// error in stops against the exact integral; computed. w is the logistic's scale, 0
// an ideal step with half its height at the jump. It is noise of the phase and not
// a bias, and only a filter as soft as dyes are (w of 5 or 6) makes it small.
func TestSampling(t *testing.T) {
	_, d55, _ := lights(t)
	for _, r := range []struct {
		w, h, largest, rms float64
	}{
		{0, 5, .049, .022}, {0, 10, .127, .054}, {0, 20, .274, .119},
		{0.5, 5, .030, 0}, {0.5, 10, .090, 0}, {0.5, 20, .233, 0},
		{1.5, 5, .0016, 0}, {1.5, 10, .031, 0}, {1.5, 20, .145, 0},
		{4, 5, .0004, 0}, {4, 10, .0019, 0}, {4, 20, .028, 0},
		{8, 5, .0003, 0}, {8, 10, .0013, 0}, {8, 20, .0039, 0},
	} {
		largest, rms, mean := samplingError(d55, r.w, r.h)
		digit := 1e-3 // a unit of the last digit: the printed sweep compared with a fine sum
		if r.largest < 0.02 {
			digit = 1e-4
		}
		name := fmt.Sprintf("w %g, step %g nm", r.w, r.h)
		near(t, name+", largest", largest, r.largest, digit)
		if r.rms > 0 {
			near(t, name+", rms", rms, r.rms, 1e-3)
		}
		if r.h <= 10 && !(math.Abs(mean) < 0.25*largest) && largest > 0.01 {
			t.Errorf("%s: a bias of %.4f", name, mean)
		}
	}

	// To interpolate the samples to 1 nm does not bring back what they lost.
	var worst float64
	for l0 := 560.; l0 <= 610; l0++ {
		nm := must(spectral.Grid(380, 680, 10))
		v := make([]float64, len(nm))
		for i, l := range nm {
			if l > l0 {
				v[i] = 0.9
			} else if l == l0 {
				v[i] = 0.45
			}
		}
		coarse := must(spectral.New(nm, v, spectral.Hold))
		step := must(New("step", must(spectral.New([]float64{l0 - 1e-7, l0 + 1e-7}, []float64{0, 0.9}, spectral.Hold))))
		var a, b float64
		for nm := 380.; nm <= 680; nm++ {
			es := must(panB().At(nm)) * must(d55.At(nm))
			a, b = a+es, b+es*must(coarse.At(nm))
		}
		e := math.Log2(a / b / must(Factor(panB(), d55, step)))
		worst = max(worst, math.Abs(e))
	}
	near(t, "10 nm samples joined by lines", worst, .126, 1.5e-3) // .1271 here: no better than the samples
}

func samplingError(light spectral.Light, w, h float64) (largest, rms, mean float64) {
	edge := func(nm, l0 float64) float64 {
		if w == 0 {
			switch {
			case nm > l0:
				return 0.9
			case nm == l0:
				return 0.45
			}
			return 0
		}
		return 0.9 / (1 + math.Exp(-(nm-l0)/w))
	}
	n := 0
	for l0 := 560.; l0 <= 610; l0++ {
		var f Filter
		if w == 0 {
			f = must(New("step", must(spectral.New([]float64{l0 - 1e-7, l0 + 1e-7}, []float64{0, 0.9}, spectral.Hold))))
		} else {
			f = logistic(l0, w)
		}
		exact := must(Factor(panB(), light, f))
		var a, b float64
		for nm := 380.; nm <= 680; nm += h {
			es := must(panB().At(nm)) * must(light.At(nm))
			a, b = a+es, b+es*edge(nm, l0)
		}
		e := math.Log2(a / b / exact)
		largest = max(largest, math.Abs(e))
		rms += e * e
		mean += e
		n++
	}
	return largest, math.Sqrt(rms / float64(n)), mean / float64(n)
}

// Cutting the film's sensitivity short; factors computed.
func TestTruncation(t *testing.T) {
	_, d55, _ := lights(t)
	for _, r := range []struct{ end, lp590, lp610 float64 }{
		{640, 5.255, 8.819}, {650, 4.726, 7.300}, {660, 4.486, 6.687}, {680, 4.350, 6.358},
	} {
		film := must(spectral.SensitivityFromLinear(must(panBSpectrum().Cut(380, r.end))))
		near(t, "LP590", must(Factor(film, d55, logistic(590, 4))), r.lp590, 1.5e-3) // the printed sums are at 1 nm and count half of the last bin
		near(t, "LP610", must(Factor(film, d55, logistic(610, 4))), r.lp610, 2.5e-3)
	}
}

// Which way a film's table is read between its wavelengths, and whether it counts
// photons: the change in stops for LP495, LP590, LP610 in D55; computed.
func TestConventions(t *testing.T) {
	_, d55, _ := lights(t)
	photons := must(spectral.SensitivityFromPhotons(must(panBSpectrum().Resample(must(spectral.Grid(380, 680, 1))))))
	for i, l0 := range []float64{495, 590, 610} {
		f := logistic(l0, 4)
		base := must(Factor(panB(), d55, f))
		near(t, "photons", math.Log2(must(Factor(photons, d55, f))/base), []float64{-.140, -.245, -.269}[i], 5e-4)
	}
	// The table as it is, straight between its 14 knots, and times λ between them too:
	// as on a grid of 1 nm.
	coarse := must(spectral.SensitivityFromPhotons(panBSpectrum()))
	near(t, "photons between the knots", must(Factor(coarse, spectral.D55.Light(), logistic(610, 4))),
		must(Factor(photons, spectral.D55.Light(), logistic(610, 4))), 3e-5)
	// Straight lines in the logarithm instead: zeros need a floor, here 1e-3.
	nm, v := panBSpectrum().Wavelengths(), panBSpectrum().Values()
	for i := range v {
		v[i] = math.Log10(max(v[i], 1e-3))
	}
	log := must(spectral.SensitivityFromLog(nm, v, spectral.LogLinear))
	for i, l0 := range []float64{495, 590, 610} {
		f := logistic(l0, 4)
		got := math.Log2(must(Factor(log, d55, f)) / must(Factor(panB(), d55, f)))
		near(t, "logarithmic", got, []float64{-.013, .011, .032}[i], 6e-3) // depends on the floor
	}
}

// Neutral density, T = 10^-D; computed.
func TestNeutral(t *testing.T) {
	said := held.New(t)
	_, d55, _ := lights(t)
	for _, r := range []struct{ d, stops float64 }{
		{.3, .99657843}, {.6, 1.9931569}, {.9, 2.9897353}, {1, 3.3219281}, {1.8, 5.9794706}, {3, 9.9657843}, {.30102999566, 1}, {0, 0},
	} {
		f := must(Neutral(sensito.Density(r.d)))
		got := must(Factor(panB(), d55, f))
		near(t, f.Name(), float64(sensito.StopsOf(got)), r.stops, 5e-8)
	}
	near(t, "ND 0.3", must(must(Neutral(.3)).Transmittance(555)), .50118723, 5e-9)
	near(t, "ND 0.3", must(Factor(panB(), d55, must(Neutral(.3)))), 1.9952623, 5e-8)
	// A factor of 8 is three stops and a density of 0.903; 0.9 is 2.990 stops.
	near(t, "8", float64(sensito.StopsOf(8).Log10()), .903, 5e-4)
	// Handbook ND 0.3, 0.6, 0.9 are 2, 4, 8 (from memory).
	for i, want := range []float64{2, 4, 8} {
		m := must(FactorMarkOf(must(Factor(panB(), d55, must(Neutral(sensito.Density(0.3*float64(i+1))))))))
		near(t, "mark", m.Factor(), want, 0)
	}
	// Factors to stops; computed.
	for f, s := range map[float64]float64{1.5: .584963, 2.5: 1.321928, 3: 1.584963, 6: 2.584963, 12: 3.584963} {
		near(t, "stops", float64(sensito.StopsOf(f)), s, 5e-7)
	}
	for _, d := range []float64{-.1, 13, math.NaN(), math.Inf(1)} {
		if _, err := Neutral(sensito.Density(d)); !said.Is("", err, ErrInvalid) {
			t.Errorf("density %v accepted", d)
		}
	}
}

// Coloured filters multiply transmittances. LP530 and LP560 on the invented film
// in D55: the product of the factors is 6.824, the stack has 3.307; with a neutral
// filter the product is exact. Computed.
func TestStack(t *testing.T) {
	said := held.New(t)
	_, d55, _ := lights(t)
	a, b := logistic(530, 4), logistic(560, 4)
	product := must(Factor(panB(), d55, a)) * must(Factor(panB(), d55, b))
	stack := must(Factor(panB(), d55, must(Stack(a, b))))
	near(t, "product of factors", product, 6.824, 5e-4)
	near(t, "stack", stack, 3.307, 5e-4)
	near(t, "too much", math.Log2(product/stack), 1.045, 5e-4)

	nd := must(Neutral(.9))
	want := must(Factor(panB(), d55, nd)) * must(Factor(panB(), d55, logistic(560, 4)))
	got := must(Factor(panB(), d55, must(Stack(nd, logistic(560, 4)))))
	near(t, "with a neutral one", got/want, 1, 1e-12)

	// Red behind green is nearly black: 25 and 58 of the catalogue multiply to
	// about 50 and stack to more than 500.
	red, green := must(Find("25")).Filter, must(Find("58")).Filter
	film, day := spectral.Generic(spectral.Panchromatic), spectral.SensitometricDaylight.Light()
	product = must(Factor(film, day, red)) * must(Factor(film, day, green))
	stack = must(Factor(film, day, must(Stack(red, green))))
	if !(product < 70 && stack > 500) {
		t.Errorf("red and green: product %.0f, stack %.0f", product, stack)
	}
	if _, err := Stack(); !said.Is("", err, ErrInvalid) {
		t.Error("a stack of nothing")
	}
	if _, err := Stack(red, Filter{}); !said.Is("", err, ErrInvalid) {
		t.Error("an empty filter in a stack")
	}
}

// The printed worked example: planimeter areas 0.76 a without and 0.23 a with the
// filter give 3.3 (Jones, Trans. SMPE, about 1927, p. 151). And the textbook rule
// that a filter which removes the share p has the factor 1/(1-p): 75 % gives 4, 50 %
// gives 2.
func TestWorkedExamples(t *testing.T) {
	near(t, "areas", 0.76/0.23, 3.3, 0.05)
	flat := must(spectral.SensitivityFromLinear(must(spectral.New([]float64{400, 500}, []float64{1, 1}, spectral.Zero))))
	for _, r := range []struct{ removed, want float64 }{{.75, 4}, {.5, 2}, {.9, 10}} {
		cut := 400 + 100*r.removed
		f := must(New("cut", must(spectral.New([]float64{cut - 1e-9, cut + 1e-9}, []float64{0, 1}, spectral.Hold))))
		near(t, "share", must(Factor(flat, spectral.E.Light(), f)), r.want, 1e-6)
	}
}

// Bouguer and the surfaces; computed.
func TestGlass(t *testing.T) {
	said := held.New(t)
	p := must(SurfaceFactor(1.52))
	near(t, "P", p, .9183180, 5e-8)
	near(t, "P in stops", -math.Log2(p), .122934, 5e-7)
	near(t, "R", math.Pow(.52/2.52, 2), .0425800, 5e-8)
	near(t, "R from P", (1-p)/(1+p), .0425800, 5e-8)
	near(t, "coated", -math.Log2(.995*.995), .014463, 5e-7)

	internal := must(spectral.New([]float64{400, 500, 600}, []float64{.01, .25, .81}, spectral.Hold))
	thin := must(Glass("thin", internal, 0.5, p))
	near(t, "half as thick", must(thin.Transmittance(600)), p*.9, 1e-15)
	near(t, "half as thick", must(thin.Transmittance(400)), p*.1, 1e-15)
	// Twice half the thickness, with one pair of surfaces, is the whole.
	bare := must(Glass("bare", internal, 0.5, 1))
	near(t, "twice", must(must(Stack(thin, bare)).Transmittance(500)), p*.25, 1e-15)
	for _, r := range [][2]float64{{0, 1}, {-1, 1}, {1, 0}, {1, 1.1}, {math.NaN(), 1}, {1, math.NaN()}} {
		if _, err := Glass("bad", internal, r[0], r[1]); !said.Is("", err, ErrInvalid) {
			t.Errorf("ratio %v, surfaces %v accepted", r[0], r[1])
		}
	}
	if _, err := SurfaceFactor(0.9); !said.Is("", err, ErrInvalid) {
		t.Error("index 0.9 accepted")
	}
}

// A polarizer on unpolarized light has exactly the factor 2 where it is ideal; a
// measured sample had 2.460, 1.2988 stops; handbooks print 2.5 (magazine article
// "Photo Filters", p. 2-3: 1 1/3 stops; with a red of 8 they make 20, 4 1/3).
func TestPolarizer(t *testing.T) {
	said := held.New(t)
	_, d55, _ := lights(t)
	near(t, "ideal", must(Factor(panB(), d55, must(Polarizer(2)))), 2, 1e-12)
	near(t, "measured", float64(sensito.StopsOf(2.460)), 1.2987, 5e-5) // printed 1.2988, from more digits of the factor
	m := must(FactorMarkOf(2.5))
	if m.String() != "1 1/3" || must(FactorMarkOf(8*2.5)).String() != "4 1/3" {
		t.Error("2.5 and 20")
	}
	near(t, "cos² averages", func() (s float64) {
		for a := range 360 {
			s += Malus(float64(a)) / 360
		}
		return
	}(), 0.5, 1e-12)
	for _, f := range []float64{0.5, 101, math.NaN()} {
		if _, err := Polarizer(f); !said.Is("", err, ErrInvalid) {
			t.Errorf("factor %v accepted", f)
		}
	}
}

// Factor and stops as printed. Source: "Photographic Lighting: Essential Skills",
// filter factor table, to 10 (its last row, 20 = 6 2/3, is a misprint for 100); 12,
// 16, 40, 100 and 1000 from handbook tables.
func TestMark(t *testing.T) {
	said := held.New(t)
	for _, r := range []struct {
		factor float64
		stops  string
	}{
		{1.25, "1/3"}, {1.5, "2/3"}, {2, "1"}, {2.5, "1 1/3"}, {3, "1 2/3"}, {4, "2"}, {5, "2 1/3"}, {6, "2 2/3"}, {8, "3"}, {10, "3 1/3"},
		{12, "3 2/3"}, {16, "4"}, {40, "5 1/3"}, {100, "6 2/3"}, {1000, "10"},
	} {
		m := must(FactorMarkOf(r.factor))
		if m.String() != r.stops {
			t.Errorf("factor %g is %v stops, printed %s", r.factor, m, r.stops)
		}
		near(t, "factor of "+r.stops, m.Factor(), r.factor, 0)
	}
	for m := FactorMark(0); m < 100; m++ { // what is printed reads back
		if got := must(FactorMarkOf(m.Factor())); got != m {
			t.Errorf("mark %d prints %g, which is mark %d", m, m.Factor(), got)
		}
		near(t, "a mark", float64(m.Stops()), float64(sensito.StopsOf(m.Factor())), 0.11)
	}
	// A mark is within a sixth of a stop of the factor it was made from.
	for _, e := range Catalogue() {
		for _, l := range []spectral.Illuminant{spectral.SensitometricDaylight, spectral.SensitometricTungsten} {
			f := must(Factor(spectral.Generic(spectral.Panchromatic), l.Light(), e.Filter))
			near(t, e.Filter.Name(), float64(must(FactorMarkOf(f)).Stops()), math.Log2(f), 1./6+1e-9)
		}
	}
	for _, f := range []float64{0, .9, -2, math.NaN(), math.Inf(1)} {
		if _, err := FactorMarkOf(f); !said.Is("", err, ErrInvalid) {
			t.Errorf("a factor of %v has a mark", f)
		}
	}
}

func TestFactorProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 100 {
		nm := []float64{350}
		for nm[len(nm)-1] < 750 {
			nm = append(nm, nm[len(nm)-1]+1+40*rng.Float64())
		}
		v := make([]float64, len(nm))
		for i := range v {
			v[i] = rng.Float64()
		}
		f := must(New("random", must(spectral.New(nm, v, spectral.Hold))))
		l := must(spectral.LightAt(spectral.Kelvin(2000 + 18000*rng.Float64())))
		got := must(Factor(panB(), l, f))
		if !(got >= 1) {
			t.Fatalf("factor %v", got)
		}
		// The scale of film and light drops out.
		film := must(spectral.SensitivityFromLinear(must(panBSpectrum().Scale(1e3))))
		near(t, "scale", must(Factor(film, l, f))/got, 1, 1e-12)
		// A second filter never makes the factor smaller.
		if two := must(Factor(panB(), l, must(Stack(f, logistic(550, 6))))); !(two > got) {
			t.Errorf("a second filter lowers %v to %v", got, two)
		}
		p := must(Prepare(panB(), l, nm, spectral.Hold))
		near(t, "prepared", must(p.Factor(v))/got, 1, 1e-12)
	}
	near(t, "clear", must(Factor(panB(), spectral.D55.Light(), Clear())), 1, 1e-15)
}

func TestRefusals(t *testing.T) {
	said := held.New(t)
	nm := []float64{400, 500, 600}
	percent := must(spectral.New(nm, []float64{1, 50, 90}, spectral.Hold))
	for _, r := range []struct {
		name string
		s    spectral.Spectrum
		says string
	}{
		{"percent", percent, "percent"},
		{"noise above", must(spectral.New(nm, []float64{0, .5, 1.002}, spectral.Hold)), "Clamp"},
		{"noise below", must(spectral.New(nm, []float64{-1e-4, .5, .9}, spectral.Hold)), "Clamp"},
		{"empty", spectral.Spectrum{}, "empty"},
	} {
		if _, err := New(r.name, r.s); !said.Is("", err, ErrInvalid) || !strings.Contains(err.Error(), r.says) {
			t.Errorf("%s: %v", r.name, err)
		}
	}
	if _, err := New("none"); !said.Is("", err, ErrInvalid) {
		t.Error("no transmittance accepted")
	}

	good := must(New("good", must(spectral.New(nm, []float64{.1, .5, .9}, spectral.Refuse))))
	day := spectral.D55.Light()
	if _, err := Factor(panB(), day, good); !said.Is("", err, spectral.ErrOutside) {
		t.Errorf("a filter that stops short: %v", err)
	}
	far := must(New("infrared", must(spectral.New([]float64{720, 800}, []float64{.9, .9}, spectral.Zero))))
	if _, err := Factor(panB(), day, far); !said.Is("", err, spectral.ErrDisjoint) {
		t.Errorf("a filter elsewhere: %v", err)
	}
	opaque := must(New("opaque", must(spectral.New(nm, []float64{0, 0, 0}, spectral.Hold))))
	if _, err := Factor(panB(), day, opaque); !said.Is("", err, ErrOpaque) {
		t.Errorf("an opaque filter: %v", err)
	}
	for i, err := range []error{
		fault(Factor(spectral.Sensitivity{}, day, good)), fault(Factor(panB(), spectral.Light{}, good)), fault(Factor(panB(), day, Filter{})),
		fault(Filter{}.Transmittance(500)), fault(FactorWithin(panB(), day, Filter{}, Deviations{})),
		fault(LongPass(600, 0, .9)), fault(LongPass(600, 25, 90)), fault(LongPass(math.NaN(), 25, .9)), fault(LongPass(.6, 25, .9)),
		fault(ShortPass(600, math.Inf(1), .9)), fault(BandPass(600, 25, 500, 25, .9)), fault(BandPass(500, 25, 600, 25, math.NaN())),
		fault(Find("99")),
	} {
		if !said.Is("", err, ErrInvalid) {
			t.Errorf("refusal %d: %v", i, err)
		}
	}
	p := must(Prepare(panB(), day, nm, spectral.Hold))
	for _, v := range [][]float64{{1, 1}, {0, 0, 0}, {-1, -1, -1}, {1, math.NaN(), 1}, {1, 1, math.Inf(1)}} {
		if f, err := p.Factor(v); !said.Refused("", err) || f != 0 {
			t.Errorf("prepared factor of %v = %v", v, f)
		}
	}
	if _, err := (Prepared{}).Factor([]float64{1}); !said.Refused("", err) {
		t.Error("an empty Prepared answers")
	}
	if _, err := (Prepared{}).Reflectance(nil); !said.Refused("", err) {
		t.Error("an empty Prepared answers")
	}
}

func fault[T any](_ T, err error) error { return err }

func TestPreparedAllocations(t *testing.T) {
	p, v := prepared(471)
	if n := testing.AllocsPerRun(100, func() { sink, _ = p.Factor(v); sink, _ = p.Reflectance(v) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

var sink float64

func prepared(n int) (Prepared, []float64) {
	nm := must(spectral.Grid(380, 380+300, 300/float64(n-1)))
	v := make([]float64, n)
	for i, l := range nm {
		v[i] = 0.9 * rise(l, 590, 17)
	}
	light := must(spectral.NewLight(must(spectral.D55.Light().Spectra()[0].Resample(must(spectral.Grid(380, 780, 5))))))
	film := must(spectral.SensitivityFromLinear(must(panBSpectrum().Resample(must(spectral.Grid(380, 678.2, 7.1))))))
	return must(Prepare(film, light, nm, spectral.Hold)), v
}

// A prepared factor by the number of points of the transmittance. Film and light, on
// the same grid or on others, are in the weights.
func BenchmarkPreparedFactor(b *testing.B) {
	run := func(name string, p Prepared, v []float64) {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				sink, _ = p.Factor(v)
			}
			benchunit.Per(b, 1, "factor")
		})
	}
	for _, n := range []int{41, 81, 471, 5000, 50_000} {
		_, v := prepared(n)
		nm := must(spectral.Grid(380, 380+300*float64(n)/float64(n-1), 300/float64(n-1)))[:n]
		light := must(spectral.NewLight(must(spectral.D55.Light().Spectra()[0].Resample(nm))))
		film := must(spectral.SensitivityFromLinear(must(panBSpectrum().Resample(nm))))
		run(fmt.Sprintf("points=%d", n), must(Prepare(film, light, nm, spectral.Hold)), v)
	}
	p, v := prepared(471)
	run("grids=81+43+471", p, v)
}

// The same with the preparing, once for one transmittance.
func BenchmarkFactor(b *testing.B) {
	film, light, f := panB(), spectral.D55.Light(), logistic(590, 4)
	b.ReportAllocs()
	for b.Loop() {
		sink, _ = Factor(film, light, f)
	}
	benchunit.Per(b, 1, "factor")
}
