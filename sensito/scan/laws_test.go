package scan

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.10g, want %.10g within %.2g", what, got, want, tolerance)
	}
}

func refused(t *testing.T, what string, err error) {
	t.Helper()
	if !held.New(t).Is(what, err, ErrInput) || !errors.Is(err, check.ErrInput) {
		t.Errorf("%s: %v, want ErrInput", what, err)
	}
}

// Derived from the definition of density, worked out apart from this program in double
// precision; 1e-9.
func TestDensity(t *testing.T) {
	for _, r := range []struct {
		film, light Exposed
		want        float64
	}{
		{Exposed{1500, 100, time.Second}, Exposed{50100, 100, time.Second}, 1.552841969},
		{Exposed{23000, 240, 4 * time.Second / 64}, Exposed{60240, 240, time.Second / 64}, 1.023038984}, // 1/15 and 1/60
		{Exposed{50100, 100, time.Second}, Exposed{50100, 100, time.Second}, 0},
	} {
		d, err := Density(r.film, r.light)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "density", float64(d), r.want, 1e-9)
	}
	good := Exposed{1500, 100, time.Second}
	for _, bad := range []Exposed{{}, {math.NaN(), 0, 1}, {100, 100, 1}, {50, 100, 1}, {2000, 100, -1}, {math.Inf(1), 0, 1}, {2000, 100, time.Second}} {
		_, err := Density(bad, good)
		refused(t, "film", err)
		if bad.Value != 2000 || bad.Time < 0 {
			_, err = Density(good, bad)
			refused(t, "light", err)
		}
	}
}

// Derived: dD/dS of the law above with Poisson's law and two read errors; 1e-6.
func TestNoiseDensitySD(t *testing.T) {
	n := Noise{2, 5}
	light := Exposed{50100, 100, 1}
	for _, r := range []struct {
		s      float64
		pixels int
		want   float64
		tol    float64
	}{{5100, 1, 0.00456536, 1e-6}, {25100, 100, 0.000237972, 1e-7}} {
		sd, err := n.DensitySD(Exposed{r.s, 100, 1}, light, r.pixels)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "sd", sd, r.want, r.tol)
	}
	_, err := Noise{}.DensitySD(Exposed{5100, 100, 1}, light, 1)
	refused(t, "no noise", err)
	_, err = n.DensitySD(Exposed{100, 100, 1}, light, 1)
	refused(t, "no signal", err)
	_, err = n.DensitySD(Exposed{5100, 100, 1}, light, 0)
	refused(t, "no pixels", err)
}

// Derived from the definition of flare as a constant fraction of the mean of an open
// field; 1e-6.
func TestFlare(t *testing.T) {
	for _, r := range []struct {
		d, f, read float64
	}{
		{0.3, 0.005, 0.297855}, {0.3, 0.01, 0.295741}, {0.3, 0.02, 0.291606},
		{1.0, 0.005, 0.980977}, {1.0, 0.01, 0.962929}, {1.0, 0.02, 0.929419},
		{2.0, 0.005, 1.826075}, {2.0, 0.01, 1.703291}, {2.0, 0.02, 1.531479},
		{3.0, 0.005, 2.224015}, {3.0, 0.01, 1.962929}, {3.0, 0.02, 1.686381},
	} {
		tr := math.Pow(10, -r.d)
		read := Flare(r.f).Read(tr, 1)
		near(t, "read through flare", -math.Log10(read), r.read, 1e-6)
		near(t, "and back", -math.Log10(Flare(r.f).Remove(read, 1)), r.d, 1e-9)
	}
	for d, slope := range map[float64]float64{0.3: 0.980438, 1: 0.909091, 2: 0.5, 3: 0.090909} {
		near(t, "slope", Flare(0.01).Slope(math.Pow(10, -d), 1), slope, 1e-6)
	}
	// The form that takes the opaque reading from light and film alike is off by
	// log10(1 + f - f M) in a field of another mean: +0.003461 at f = 0.01, M = 0.2.
	const f, m, tr = 0.01, 0.2, 0.1
	read := Flare(f).Read(tr, m)
	F := f * m / (1 + f)
	near(t, "the simple form", -math.Log10((read-F)/(1-F))+math.Log10(tr), 0.003461, 1e-5)
	// What rates give: the veil of a picture whose mean is known with flare in it.
	light, film := 1+f, tr+f*m
	got := (film - Flare(f).Veil(m*(1+f))) / (light - Flare(f).Veil(light))
	near(t, "by rates", got, tr, 1e-15)
	back, err := FlareOf(f*m, m*(1+f))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "by an opaque patch", float64(back), f, 1e-15)
	for _, bad := range [][2]float64{{0.6, 1}, {math.NaN(), 1}, {0, 0}, {0, -1}, {0, math.Inf(1)}} {
		_, err := FlareOf(bad[0], bad[1])
		refused(t, "flare", err)
	}
	for _, bad := range []Flare{-0.1, 1, Flare(math.NaN())} {
		refused(t, "flare", bad.usable())
	}
}

// Derived: weighted least squares through zero; 1e-6.
func TestJoin(t *testing.T) {
	rate, sd, err := Join([]Counted{{300, time.Second, 250}, {1190, 4 * time.Second, 700}, {4790, 16 * time.Second, 2500}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rate", rate, 299.062776, 1e-6)
	near(t, "sd", sd, 2.781459, 1e-6)
	for _, bad := range [][]Counted{nil, {{1, 0, 1}}, {{1, 1, 0}}, {{math.NaN(), 1, 1}}, {{1, 1, math.Inf(1)}}} {
		_, _, err := Join(bad)
		refused(t, "join", err)
	}
}

// Worked by hand.
func TestPairNoise(t *testing.T) {
	mean, v, err := PairNoise([]float64{1012, 998, 1005, 1021, 990, 1004}, []float64{1008, 1004, 1001, 1013, 1000, 1010})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", mean, 1005.5, 1e-9)
	near(t, "variance", v, 26.2, 1e-9)
	n, err := FitNoise([]NoisePoint{{0, 6.25}, {1000, 506.25}, {40000, 20006.25}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "electrons a count", n.ElectronsPerCount, 2, 1e-9)
	near(t, "read noise", n.ReadElectrons, 5, 1e-9)
	_, _, err = PairNoise([]float64{1}, []float64{1})
	refused(t, "one pixel", err)
	_, _, err = PairNoise([]float64{1, math.NaN()}, []float64{1, 2})
	refused(t, "NaN", err)
	for _, bad := range [][]NoisePoint{nil, {{1, 1}}, {{1, 1}, {1, 2}}, {{1, 5}, {100, 4}}, {{1, 0}, {2, 1}}} {
		_, err := FitNoise(bad)
		refused(t, "noise", err)
	}
}

// display is the curve of IEC 61966-2-1.
func display(x float64) float64 {
	if x <= 0.0031308 {
		return 12.92 * x
	}
	return 1.055*math.Pow(x, 1/2.4) - 0.055
}

// The curve of IEC 61966-2-1 (code 0.5 is linear 0.214041140, as read there) and what
// densities read through it, worked out apart from this program; 1e-6.
func TestDisplayCurve(t *testing.T) {
	near(t, "the curve", display(0.214041140), 0.5, 1e-8)
	for d, want := range map[float64]float64{0.3: 0.133041, 1: 0.456938, 2: 1.000640, 3: 1.888737} {
		read, err := Density(Exposed{display(math.Pow(10, -d)), 0, 1}, Exposed{1, 0, 1})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "read through a display's curve", float64(read), want, 1e-6)
	}
	bent, straight := []Exposed{}, []Exposed{}
	for _, n := range []int{60, 120, 240, 500} {
		e := Exposed{Time: time.Second / time.Duration(n), Dark: 100}
		light := 0.9 * e.Time.Seconds() * 60
		e.Value = 100 + 60000*display(light)
		bent = append(bent, e)
		e.Value = 100 + 60000*light
		straight = append(straight, e)
	}
	r, err := FitResponse(bent)
	if err != nil || !r.Display() || r.Linear() {
		t.Errorf("a display's curve: %+v, %v", r, err)
	}
	if !(r.Slope > 0.4 && r.Slope < 0.55) {
		t.Errorf("slope %v of a display's curve, want near 0.5", r.Slope)
	}
	r, err = FitResponse(straight)
	if err != nil || r.Display() || !r.Linear() {
		t.Errorf("straight: %+v, %v", r, err)
	}
	near(t, "slope", r.Slope, 1, 1e-6)
	near(t, "departure", r.Greatest(), 0, 1e-6)
	straight[3].Value *= 1.05 // a shutter that stays open too long
	if r, err = FitResponse(straight); err != nil || r.Linear() || r.Display() {
		t.Errorf("one time off: %+v, %v", r, err)
	}
	for _, bad := range [][]Exposed{nil, bent[:1], {bent[0], bent[0]}, {{}, {}}, {{1, 2, 1}, {1, 0, 3}}} {
		_, err := FitResponse(bad)
		refused(t, "response", err)
	}
}

func TestTie(t *testing.T) {
	tie, err := FitTie([]Known{{0.05, 0.0526, 0.001}, {1.0, 1.0526, 0.002}, {2.0, 2.1053, 0.004}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "scale", tie.Scale, 0.95, 1e-3)
	if !tie.Plausible() || tie.Curve || !(tie.ScaleSD < 0.001) {
		t.Errorf("%+v", tie)
	}
	d, sd := tie.Apply(1, 0.01)
	near(t, "tied", float64(d), tie.Scale, 1e-15)
	near(t, "its sd", sd, math.Hypot(0.01*tie.Scale, tie.ScaleSD), 1e-15)
	if d, sd := (Tie{}).Apply(1.5, 0.01); d != 1.5 || sd != 0.01 {
		t.Errorf("no tie: %v, %v", d, sd)
	}
	// Known 1.0 and 2.0 through the curve of IEC 61966-2-1: 0.456938 and 1.000640.
	if tie, err := FitTie([]Known{{1, 0.456938, 0}, {2, 1.000640, 0}}); err != nil || !tie.Curve || tie.Plausible() {
		t.Errorf("a display's curve: %+v, %v", tie, err)
	}
	for _, bad := range [][]Known{nil, {{0.05, 0.05, 0}}, {{1, 0, 0}}, {{1, sensito.Density(math.NaN()), 0}}, {{-1, 1, 0}}, {{1, 1, -1}}} {
		_, err := FitTie(bad)
		refused(t, "tie", err)
	}
}

// The mean of densities is not the density of the mean transmittance: s² ln(10)/2 for
// Gaussian grain (the mean of a log-normal), -0.00287823 at 0.05 and -0.01151293 at 0.10;
// and the logarithm of a count is off by log10(e) q²/2, 0.00217147 at q = 0.1. Derived.
func TestMeansOfLight(t *testing.T) {
	const n = 200001
	for s, want := range map[float64]float64{0.05: -0.00287823, 0.10: -0.01151293} {
		var light, weight float64
		for i := range n { // the normal law over ±8 standard deviations
			z := -8 + 16*float64(i)/(n-1)
			w := math.Exp(-z * z / 2)
			light, weight = light+w*math.Pow(10, -(1+s*z)), weight+w
		}
		near(t, "density of the mean light", -math.Log10(light/weight)-1, want, 1e-8)
	}
	const q = 0.1
	var d, weight float64
	for i := range n {
		z := -8 + 16*float64(i)/(n-1)
		w := math.Exp(-z * z / 2)
		d, weight = d-w*math.Log10(1+q*z), weight+w
	}
	near(t, "bias of the logarithm", d/weight, 0.00217147, 0.02*0.00217147)
}

// The median by selection is that by sorting, with ties and with values that are no numbers.
func TestMedianOf(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	for n := range 200 {
		v := make([]float64, n)
		for i := range v {
			v[i] = math.Round(10 * r.NormFloat64())
		}
		sorted := slices.Sorted(slices.Values(v))
		want := 0.0
		if n > 0 {
			want = (sorted[n/2] + sorted[(n-1)/2]) / 2
		}
		if got := medianOf(v); got != want {
			t.Errorf("%d values: %v, want %v", n, got, want)
		}
	}
	medianOf([]float64{1, math.NaN(), 3, 2, math.NaN(), 5, 6, 7, 8, 9, 10, 11, 12, 13, math.NaN(), 14})
}
