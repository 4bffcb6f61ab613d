package structure

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.10g, want %.10g", what, got, want)
	}
}

func must[T any](t *testing.T) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// Area and Selwyn's law; exact. RMS 10 is sd 0.010 in 48 µm (encyclopaedia article "Film grain").
func TestSelwyn(t *testing.T) {
	said := held.New(t)
	near(t, "area", ApertureArea(48), 1809.557368, 1e-6)
	near(t, "square of that side", math.Sqrt(ApertureArea(48)), 42.538892, 1e-6)
	near(t, "Selwyn's constant", SelwynConstant(0.010, 48), 0.601590786, 1e-9)
	near(t, "W(0)", 0.010*0.010*ApertureArea(48), 0.180955737, 1e-9)
	for _, c := range []struct{ to, want float64 }{{12, 0.040}, {24, 0.020}, {96, 0.005}} {
		near(t, "at another aperture", must[float64](t)(Selwyn(0.010, 48, c.to)), c.want, 1e-15)
	}
	for _, c := range [][3]float64{{-1, 48, 12}, {0.01, 0, 12}, {0.01, 48, math.NaN()}, {math.Inf(1), 48, 12}} {
		if _, err := Selwyn(c[0], c[1], c[2]); !said.Is("", err, ErrInput) {
			t.Errorf("%v: %v", c, err)
		}
	}
}

// sd through apertures of noise of sd 0.1 and covariance exp(-h²/(2 (2 µm)²)); derived two ways,
// by covariance and by frequency.
func TestApertureSD(t *testing.T) {
	said := held.New(t)
	const s = 2.0
	w := func(f float64) float64 {
		x := math.Pi * s * f / 1000
		return 0.01 * 2 * math.Pi * s * s * math.Exp(-2*x*x)
	}
	near(t, "W(0)", w(0), 0.251327, 1e-6)
	for _, c := range []struct{ d, sd, selwyn float64 }{
		{6, 0.0667567, 0.70806}, {12, 0.0404919, 0.85896}, {24, 0.0219530, 0.93139}, {48, 0.0113869, 0.96621}, {96, 0.0057938, 0.98324},
	} {
		got := must[float64](t)(ApertureSD(w, c.d, 600))
		near(t, "sd", got, c.sd, 1e-5*c.sd)
		near(t, "over Selwyn's", got/math.Sqrt(w(0)/ApertureArea(c.d)), c.selwyn, 1e-5)
	}
	// A sixth of the squared response of a flat spectrum lies beyond 25 cycles/mm.
	flat := func(float64) float64 { return 1 }
	part, all := must[float64](t)(ApertureSD(flat, 48, 25)), 1/math.Sqrt(ApertureArea(48))
	if left := 1 - part*part/(all*all); math.Abs(left-1.0/6) > 0.01 {
		t.Errorf("%.4f lies beyond 25 cycles/mm", left)
	}
	for _, c := range [][2]float64{{0, 10}, {48, -1}, {48, math.Inf(1)}, {math.NaN(), 1}} {
		if _, err := ApertureSD(flat, c[0], c[1]); !said.Is("", err, ErrInput) {
			t.Errorf("%v: %v", c, err)
		}
	}
	if _, err := ApertureSD(func(float64) float64 { return math.NaN() }, 48, 10); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
}

// Responses of apertures: 0.5, 0.1 and first 0; exact.
func TestApertureResponse(t *testing.T) {
	for _, c := range []struct{ df, want float64 }{{0.705085, 0.5}, {1.088537, 0.1}, {1.219670, 0}} {
		near(t, "disc", ApertureResponse(1000, c.df), c.want, 1e-6)
	}
	box := must[*Response](t)(Box(1000, 1.2, 20001))
	gauss := must[*Response](t)(Gaussian(1000, 1.2, 20001))
	for _, c := range []struct {
		r       *Response
		m, want float64
	}{{box, 0.5, 0.603355}, {box, 0.1, 0.907929}, {gauss, 0.5, 0.187391}, {gauss, 0.1, 0.341541}} {
		near(t, "frequency", must[sensito.Estimate](t)(c.r.Frequency(c.m)).Value, c.want, 1e-6)
	}
	// Gaussians in a chain add their variances.
	a, b := must[*Response](t)(Gaussian(3, 100, 2001)), must[*Response](t)(Gaussian(4, 100, 2001))
	chain := must[*Response](t)(a.Times(b))
	near(t, "chain", must[sensito.Estimate](t)(chain.At(40)).Value, must[sensito.Estimate](t)(must[*Response](t)(Gaussian(5, 100, 2001)).At(40)).Value, 1e-9)
}

// Models of grain; exact, from memory by name.
func TestGrainModels(t *testing.T) {
	said := held.New(t)
	near(t, "Nutting", float64(must[sensito.Density](t)(Nutting(2.302585093, 1))), 1, 1e-9)
	near(t, "Siedentopf", math.Sqrt(must[float64](t)(Siedentopf(1, 1, 1))/ApertureArea(48)), 0.0154919, 1e-7)
	near(t, "round grains of 1 µm", math.Sqrt(must[float64](t)(Siedentopf(1, math.Pi/4, 1))/ApertureArea(48)), 0.0137294, 1e-7)
	near(t, "log-normal areas", math.Exp(0.25), 1.2840254, 1e-7) // what Siedentopf's doc quotes
	// Discs in one layer: W(0)/r², and sd over Siedentopf's. Derived; simulated at D = 1.
	for _, c := range []struct{ d, w, ratio float64 }{{0.1, 0.143990, 1.027303}, {0.3, 0.484008, 1.087423}, {1, 2.580435, 1.375243}, {3, 62.7697, 3.916042}} {
		w := must[float64](t)(Boolean(sensito.Density(c.d), 1))
		near(t, "Boolean", w, c.w, 2e-5*c.w)
		near(t, "over Siedentopf", math.Sqrt(w/must[float64](t)(Siedentopf(sensito.Density(c.d), math.Pi, 1))), c.ratio, 2e-5*c.ratio)
	}
	near(t, "r 0.5 µm in 48 µm", must[float64](t)(BooleanSD(1, 0.5, 48)), 0.0187843, 1e-7)
	for _, err := range []error{second(Nutting(-1, 1)), second(Siedentopf(1, 0, 1)), second(Siedentopf(1, 1, 0.5)), second(Siedentopf(sensito.Density(math.NaN()), 1, 1)),
		second(Boolean(-1, 1)), second(Boolean(1, 0)), second(Boolean(1e9, 1))} {
		if !said.Is("", err, ErrInput) {
			t.Errorf("%v", err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// Of 400 apertures sd 0.010: the interval by chi-square; exact.
func TestSDKnown(t *testing.T) {
	said := held.New(t)
	e := must[sensito.Estimate](t)(SDKnown(0.010, 399))
	near(t, "low", e.Low, 0.0093517, 1e-7)
	near(t, "high", e.High, 0.0107456, 1e-7)
	for _, f := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := SDKnown(0.01, f); !said.Is("", err, ErrInput) {
			t.Errorf("%v: %v", f, err)
		}
	}
}

// The spectrum's normalisation: worked by hand, and Parseval's sum.
func TestNoisePower(t *testing.T) {
	// A cosine of 5 periods; exact.
	v := make([]float64, 64*64)
	for i := range v {
		v[i] = 0.05 * math.Cos(2*math.Pi*5*float64(i%64)/64)
	}
	w := must[[]float64](t)(NoisePower(v, 64, 64, 4, Rectangular))
	for i, p := range w {
		want := 0.0
		if i == 5 || i == 59 {
			want = 40.96
		}
		near(t, "cosine", p, want, 1e-9)
	}
	// Four by four; exact.
	v = []float64{.02, -.01, 0, .01, -.02, .01, .03, -.02, 0, -.03, .01, .02, .01, .02, -.04, -.01}
	want := []float64{0, .2, .4, .2, .8, 5.8, 3.6, 17.8, 1.6, 17, 3.6, 17, .8, 17.8, 3.6, 5.8}
	w = must[[]float64](t)(NoisePower(v, 4, 4, 4, Rectangular))
	sum := 0.0
	for i := range w {
		near(t, "four by four", 1000*w[i], want[i], 1e-9)
		sum += w[i] / 256
	}
	near(t, "Parseval", sum, 0.000375, 1e-12)
	// Parseval for a size that is no power of two, and white noise windowed: the level stays.
	r := rand.New(rand.NewPCG(5, 1))
	v = make([]float64, 90*60)
	mean, ss := 0.0, 0.0
	for i := range v {
		v[i] = 0.03 * r.NormFloat64()
		mean += v[i] / float64(len(v))
	}
	for _, x := range v {
		ss += (x - mean) * (x - mean) / float64(len(v))
	}
	for _, win := range []Window{Rectangular, Hann, Hamming} {
		sum := 0.0
		for _, p := range must[[]float64](t)(NoisePower(v, 90, 60, 4, win)) {
			sum += p / (90 * 60 * 16)
		}
		tol := 1e-12
		if win != Rectangular {
			tol = 0.06 * ss
		}
		near(t, "variance", sum, ss, tol)
		near(t, "white level", ss*16, 0.0144, 0.0006) // sd² pitch² for sd 0.03
	}
	for _, err := range []error{second(NoisePower(v, 90, 61, 4, Hann)), second(NoisePower(v, 90, 60, 0, Hann)), second(NoisePower([]float64{1, 2, 3, math.NaN()}, 2, 2, 1, Hann))} {
		if !errors.Is(err, ErrInput) {
			t.Errorf("%v", err)
		}
	}
}

// Windows (Welch 1967, from memory): mean squares and the variance of overlapped segments. Exact.
func TestWindows(t *testing.T) {
	said := held.New(t)
	const n = 1024
	near(t, "Hann", Hann.MeanSquare(n), 0.375, 1e-12)
	near(t, "Hamming", Hamming.MeanSquare(n), 0.3974, 1e-12)
	for _, c := range []struct {
		w    Window
		bins float64
	}{{Hann, 1.5}, {Hamming, 1.36283}} {
		sum := 0.0
		for i := range n {
			sum += c.w.At(i, n) / n
		}
		near(t, "bandwidth", c.w.MeanSquare(n)/(sum*sum), c.bins, 5e-6)
	}
	near(t, "seven segments", must[float64](t)(Hann.Segments(7, n)), 0.14965986, 1e-8)
	// one overlap of two segments has 2 rho²/4: rho is 0.23377 for Hamming
	rho := math.Sqrt(2*must[float64](t)(Hamming.Segments(2, n)) - 1)
	near(t, "Hamming's correlation", rho, 0.23377, 5e-6)
	if _, err := Hann.Segments(0, 8); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
}

// Removing a plane from white pixels lowers the mean power by 3/N; exact.
func TestPlane(t *testing.T) {
	const n = 16
	r := rand.New(rand.NewPCG(6, 1))
	var ss float64
	const runs = 3000
	x, v := make([]float64, n*n), make([]float64, n*n)
	for range runs {
		for i := range v {
			v[i] = 1000 + r.NormFloat64()
		}
		if _, ok := flatten(x, v, nil, n); !ok {
			t.Fatal("no plane")
		}
		for _, z := range x {
			ss += z * z * 1e6 / (n * n * runs)
		}
	}
	near(t, "left", ss, 1-3.0/(n*n), 4*math.Sqrt(2.0/(n*n*runs)))
}

// Bars: exact for exp(-f/50), whose contrast is (4/pi) atan(exp(-f/50)).
func TestBars(t *testing.T) {
	m := func(f float64) float64 { return math.Exp(-f / 50) }
	for _, c := range []struct{ f, want, m float64 }{{10, 0.873516, 0.818731}, {25, 0.694180, 0.606531}, {50, 0.448834, 0.367879}} {
		near(t, "bars", BarContrast(m, c.f, 1e6), c.want, 1e-6)
		near(t, "back", ResponseFromBars(func(f float64) float64 { return BarContrast(m, f, 1e6) }, c.f, 1e6), c.m, 1e-6)
		near(t, "back, exactly", ResponseFromBars(func(f float64) float64 { return 4 / math.Pi * math.Atan(math.Exp(-f/50)) }, c.f, 1e6), c.m, 1e-6)
	}
}

// Targets: ISO 6328's contrasts from memory, MIL-STD-150A's chart from memory; the rest exact.
func TestTargets(t *testing.T) {
	said := held.New(t)
	near(t, "1000:1", must[float64](t)(TargetModulation(1000)), 0.998002, 5e-7)
	near(t, "1.6:1", must[float64](t)(TargetModulation(1.6)), 0.230769, 5e-7)
	near(t, "group 2, element 3", must[float64](t)(ThreeBar(2, 3)), 5.039684, 5e-7)
	// the least modulation 0.1 through a Gaussian of 3 µm
	r := must[*Response](t)(Gaussian(3, 200, 40001))
	for _, c := range []struct{ contrast, want float64 }{{1000, 113.7976}, {1.6, 68.6091}} {
		m := must[float64](t)(TargetModulation(c.contrast))
		near(t, "resolved", must[sensito.Estimate](t)(r.Frequency(0.1/m)).Value, c.want, 1e-3)
	}
	near(t, "Gaussians", must[float64](t)(JoinResolving(2, 100, 60)), 51.449576, 1e-6)
	near(t, "exponentials", must[float64](t)(JoinResolving(1, 100, 60)), 37.5, 1e-12)
	for _, err := range []error{second(TargetModulation(1)), second(TargetModulation(math.NaN())), second(ThreeBar(2, 7)), second(ThreeBar(99, 1)),
		second(JoinResolving(2)), second(JoinResolving(0, 1)), second(JoinResolving(2, 100, -1))} {
		if !said.Is("", err, ErrInput) {
			t.Errorf("%v", err)
		}
	}
}

// A bracket gives its best frame; one at an end says so.
func TestResolvingPower(t *testing.T) {
	said := held.New(t)
	step := math.Exp2(1.0 / 6)
	read := func(e sensito.Stops, f float64) TargetRead { return TargetRead{e, f, f * step} }
	got := must[Resolved](t)(ResolvingPower([]TargetRead{read(-1, 45), read(0, 64), read(0, 64*step), read(1, 57)}))
	if got.AtEnd || got.Exposure != 0 || math.Abs(got.Power.Value-64*step) > 1e-9 || got.Power.Low > 64 || got.Power.High < 64*step*step {
		t.Errorf("%+v", got)
	}
	if end := must[Resolved](t)(ResolvingPower([]TargetRead{read(-1, 80), read(0, 64)})); !end.AtEnd {
		t.Errorf("%+v", end)
	}
	for _, bad := range [][]TargetRead{nil, {{0, 10, 10}}, {{0, math.NaN(), 10}}, {{0, -1, 10}}} {
		if _, err := ResolvingPower(bad); !said.Is("", err, ErrInput) {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

// A law of grain is found again, with its exponent, and refuses what was not measured.
func TestFitGrain(t *testing.T) {
	said := held.New(t)
	var rs []Granularity
	for _, d := range []sensito.Density{0.3, 0.6, 1, 1.5, 2} {
		v := 0.012 * math.Pow(float64(d), 0.62)
		rs = append(rs, Granularity{Density: d, Aperture: 48, SD: sensito.Estimate{Value: v, Low: v * 0.97, High: v * 1.03}})
	}
	l := must[GrainLaw](t)(FitGrain(rs))
	near(t, "exponent", l.Exponent.Value, 0.62, 1e-9)
	near(t, "at 1", l.At.Value, 0.012, 1e-12)
	near(t, "at 1.2", must[sensito.Estimate](t)(l.SD(1.2)).Value, 0.012*math.Pow(1.2, 0.62), 1e-12)
	if l.Bend != 0 {
		t.Errorf("a bend of %v", l.Bend)
	}
	// Boolean grain bends: the exponent alone does not do.
	for i := range rs {
		v := math.Sqrt(must[float64](t)(Boolean(rs[i].Density, 0.5)) / ApertureArea(48))
		rs[i].SD = sensito.Estimate{Value: v, Low: v * 0.99, High: v * 1.01}
	}
	b := must[GrainLaw](t)(FitGrain(rs))
	near(t, "Boolean at 0.8", must[sensito.Estimate](t)(b.SD(0.8)).Value, math.Sqrt(must[float64](t)(Boolean(0.8, 0.5))/ApertureArea(48)), 2e-4)
	if !(b.Bend > 0) {
		t.Errorf("a bend of %v", b.Bend)
	}
	if _, err := l.SD(3); !said.Is("", err, ErrInput) {
		t.Errorf("%v", err)
	}
	if _, err := (GrainLaw{}).SD(1); !said.Is("", err, ErrInput) {
		t.Errorf("%v", err)
	}
	other := append([]Granularity(nil), rs...)
	other[0].Aperture = 24
	for _, bad := range [][]Granularity{nil, rs[:1], other, {{Density: math.MaxFloat64}, {}}} {
		if _, err := FitGrain(bad); !said.Is("", err, ErrInput) {
			t.Errorf("%v", err)
		}
	}
}
