package structure

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/copystand"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// slanted is an edge of a Gaussian spread, its points sampled as the pixels' values.
func slanted(w, h int, degrees, sigma, low, step float64, noise func() float64) []float64 {
	s, c := math.Sincos(degrees * math.Pi / 180)
	v := make([]float64, 0, w*h)
	for y := range h {
		for x := range w {
			d := (float64(x)-float64(w)/2)*c + (float64(y)-float64(h)/2)*s
			v = append(v, low+step*0.5*math.Erfc(-d/sigma/math.Sqrt2)+noise())
		}
	}
	return v
}

func none() float64 { return 0 }

// The procedure of ISO 12233:2014, 6.2.4 and 6.2.5, on an image whose response is known:
// exp(-2 pi² sigma² (f/cos a)²) along the row. Derived, with derivative and bins taken out.
func TestSlantedEdge(t *testing.T) {
	v := slanted(80, 120, 5, 0.6, 0.2, 0.6, none)
	e := must[*Edge](t)(FindEdge(v, 80, 120, 1000)) // a pixel of 1 mm: cycles/mm are cycles a pixel
	deg, along := e.Angle()
	near(t, "angle", deg, 5, 0.01)
	if along {
		t.Error("it lies along the columns")
	}
	r := must[*Response](t)(e.Response())
	for _, c := range []struct{ f, want float64 }{{0.1, 0.93090}, {0.2, 0.75095}, {0.3, 0.52495}, {0.4, 0.31801}, {0.5, 0.16694}} {
		near(t, "response", must[sensito.Estimate](t)(r.At(c.f/math.Cos(5*math.Pi/180))).Value, c.want, 0.003)
	}
	// Turned, mirrored and upside down it is the same edge.
	turned := make([]float64, len(v))
	for i, x := range v {
		turned[(i%80)*120+119-i/80] = 1 - x
	}
	e2 := must[*Edge](t)(FindEdge(turned, 120, 80, 1000))
	if _, along := e2.Angle(); !along {
		t.Error("it lies along the rows")
	}
	r2 := must[*Response](t)(e2.Response())
	near(t, "turned", must[sensito.Estimate](t)(r2.At(0.3)).Value, must[sensito.Estimate](t)(r.At(0.3)).Value, 2e-3)
	low, high := e.Sides()
	near(t, "low", low, 0.2, 1e-6)
	near(t, "high", high, 0.8, 1e-6)
	if above, below := e.Beyond(); above > 0.002 || below > 0.002 {
		t.Errorf("beyond its sides by %v and %v", above, below)
	}
}

// The derivative's response is sinc(f/2) for [-1/2, 0, 1/2] on quarter pixels, and the bins'
// sinc(f/4); derived.
func TestDerivativeResponse(t *testing.T) {
	for _, c := range []struct{ f, want float64 }{{0.1, 0.995893}, {0.25, 0.974495}, {0.5, 0.900316}} {
		near(t, "sinc(f/2)", sinc(c.f/2), c.want, 1e-6)
	}
	near(t, "sinc(0.5/4)", sinc(0.125), 0.974495, 1e-6)
	// What the code takes out is what a derivative of a fine sine loses.
	const n = 4000
	p := make([]float64, n)
	for _, f := range []float64{0.1, 0.25, 0.5} {
		for i := range p {
			p[i] = math.Sin(2 * math.Pi * f * float64(i) / perPixel)
		}
		i := n / 2
		slope := (p[i+1] - p[i-1]) / 2
		near(t, "derivative", slope/(2*math.Pi*f/perPixel*math.Cos(2*math.Pi*f*float64(i)/perPixel)), sinc(f/2), 1e-9)
	}
}

// Noise lifts a modulus where it is low: to 0.033 for a true 0.0178, where it is left alone
// (derived by simulation; step 0.6, sd 0.012 a pixel, 100 × 60, sigma 0.9). Here its variance is
// taken off.
func TestNoiseOfAnEdge(t *testing.T) {
	const runs = 120
	var at1, at5 tally
	var mean1, mean5 float64
	for run := range runs {
		r := rand.New(rand.NewPCG(uint64(run), 2))
		v := slanted(100, 60, 5, 0.9, 0.2, 0.6, func() float64 { return 0.012 * r.NormFloat64() })
		m := must[*Response](t)(must[*Edge](t)(FindEdge(v, 100, 60, 1000)).Response())
		truth := func(f float64) float64 { return math.Exp(-2 * math.Pi * math.Pi * 0.81 * f * f) }
		a, b := must[sensito.Estimate](t)(m.At(0.1)), must[sensito.Estimate](t)(m.At(0.5))
		at1.add(a, truth(0.1))
		at5.add(b, truth(0.5))
		mean1, mean5 = mean1+a.Value/runs, mean5+b.Value/runs
	}
	near(t, "at 0.1", mean1, 0.8512, 0.003)
	near(t, "at 0.5", mean5, 0.0178, 0.006)
	if at1.held < enough(runs) || at5.held < enough(runs) {
		t.Errorf("%d and %d of %d intervals hold", at1.held, at5.held, runs)
	}
}

// Cameras of known response, lens and pixels: within 0.01 up to half the sampling rate, and
// with noise as often as the intervals say.
func TestStudyCameraEdges(t *testing.T) {
	n := 6
	if *edges > 0 {
		n = *edges
	}
	var all tally
	worst := 0.0
	for run := range n {
		r := rand.New(rand.NewPCG(uint64(run), 31))
		const pixel, w, h = 4, 80, 160
		lens, degrees := 1.5+3*r.Float64(), 3+9*r.Float64()
		light := copystand.Optics(copystand.Edge(w*pixel, h*pixel, degrees, copystand.Sharp), w*pixel, h*pixel, pixel, lens)
		truth := func(f float64) float64 {
			x := math.Pi * lens * f / 1000
			// the field's steps of 1 µm, averaged over one and added four to a pixel, are a box
			return math.Exp(-2*x*x) * math.Abs(sinc(pixel*f/1000))
		}
		for _, noisy := range []bool{false, true} {
			var v []float64
			for y := 10; y < h-10; y++ {
				for x := 10; x < w-10; x++ {
					z := light[y*w+x]
					if noisy {
						z += math.Sqrt(z+0.001) / 200 * r.NormFloat64()
					}
					v = append(v, z)
				}
			}
			m := must[*Response](t)(must[*Edge](t)(FindEdge(v, w-20, h-20, pixel)).Response())
			for f := 5.0; f <= 125; f += 20 {
				e := must[sensito.Estimate](t)(m.At(f))
				if noisy {
					all.add(e, truth(f))
				} else if off := math.Abs(e.Value - truth(f)); off > worst {
					worst = off
				}
			}
		}
	}
	t.Logf("worst %.4f without noise; %d of %d intervals hold with it", worst, all.held, all.n)
	if worst > 0.01 {
		t.Errorf("off by %.4f", worst)
	}
	if all.held < enough(all.n) {
		t.Errorf("%d of %d intervals", all.held, all.n)
	}
}

// shape is how a film spreads an edge of exposure, by the distance in µm, and its response.
type shape struct {
	name     string
	spread   func(d float64) float64
	response func(f float64) float64
	within   float64 // that is asked without noise
}

func shapes() []shape {
	gauss := func(s float64) func(float64) float64 {
		return func(f float64) float64 { x := math.Pi * s * f / 1000; return math.Exp(-2 * x * x) }
	}
	const long = 5.0 // µm, of exp(-|x|/long)
	fine, wide, mf, mw := copystand.Blurred(5), copystand.Blurred(22), gauss(5), gauss(22)
	return []shape{
		{"Gaussian", copystand.Blurred(5), gauss(5), 0.01},
		{"Gaussian, sharp", copystand.Blurred(3), gauss(3), 0.01},
		{"exponential", func(d float64) float64 {
			if d < 0 {
				return 0.5 * math.Exp(d/long)
			}
			return 1 - 0.5*math.Exp(-d/long)
		}, func(f float64) float64 { x := 2 * math.Pi * long * f / 1000; return 1 / (1 + x*x) }, 0.01},
		{"sharpened by development", func(d float64) float64 { return 1.12*fine(d) - 0.12*wide(d) },
			func(f float64) float64 { return 1.12*mf(f) - 0.12*mw(f) }, 0.01},
	}
}

// Films of known response behind a camera of known response: edges of 4:1 in exposure at a
// gradient of 0.6, without grain within 0.01, and with grain as often as the intervals say.
func TestStudyFilmEdges(t *testing.T) {
	n := 1
	if *edges > 0 {
		n = *edges
	}
	const pixel, lens, w, h, gradient = 4, 2.5, 90, 200, 0.6
	camera := must[*Response](t)(known(250, 400, func(f float64) float64 {
		x := math.Pi * lens * f / 1000
		return math.Exp(-2*x*x) * math.Abs(sinc(pixel*f/1000)/sinc(f/1000)) // of points, four to a pixel
	}))
	exposure := func(v float64) (float64, error) { return math.Pow(v, -1/gradient), nil }
	var all tally
	for k, s := range shapes() {
		worst, upTo, most := 0.0, 0.0, 0.0
		for run := range n + 1 {
			grain := 0.04
			if run == 0 {
				grain = 0
			}
			r := rand.New(rand.NewPCG(uint64(run), uint64(k)))
			light := copystand.Edge(w*pixel, h*pixel, 5, s.spread)
			z := copystand.Correlated(r, w*pixel, h*pixel, 2)
			for i := range light {
				light[i] = math.Pow(10, -0.4-gradient*math.Log10(1+3*light[i])-grain*z[i])
			}
			px := copystand.Optics(light, w*pixel, h*pixel, pixel, lens)
			var v []float64
			for y := 10; y < h-10; y++ {
				v = append(v, px[y*w+10:(y+1)*w-10]...)
			}
			e := must[*Edge](t)(FindEdge(v, w-20, h-20, pixel))
			m := must[*Response](t)(e.FilmResponse(camera, exposure))
			f, all95 := m.Points()
			upTo = f[len(f)-1]
			for _, e := range all95 {
				most = max(most, e.Value)
			}
			for i := 4; i < len(f); i += 5 {
				e := must[sensito.Estimate](t)(m.At(f[i]))
				if run == 0 {
					worst = max(worst, math.Abs(e.Value-s.response(f[i])))
				} else {
					all.add(e, s.response(f[i]))
				}
			}
		}
		t.Logf("%s: worst %.4f up to %.0f cycles/mm", s.name, worst, upTo)
		if worst > s.within {
			t.Errorf("%s: off by %.4f", s.name, worst)
		}
		if k == 3 && most < 1.01 {
			t.Errorf("the sharpened edge has %.3f at most", most)
		}
	}
	t.Logf("%d of %d intervals hold", all.held, all.n)
	if all.held < enough(all.n) {
		t.Errorf("%d of %d intervals", all.held, all.n)
	}
}

// A sine in exposure is none in density; exact (gradient 1).
func TestSineInDensity(t *testing.T) {
	const m, n = 0.5, 4096
	var mean, first, second float64
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		d := math.Log10(1 + m*math.Cos(a))
		mean, first, second = mean+d/n, first+2*d*math.Cos(a)/n, second+2*d*math.Cos(2*a)/n
	}
	near(t, "mean", mean, -0.0301124, 5e-8)
	near(t, "first", first, 0.2327377, 5e-8) // as the doc of FilmResponse says
	near(t, "second", second, -0.0311809, 5e-8)
}

func TestRefusesEdges(t *testing.T) {
	good := slanted(80, 100, 5, 0.8, 0.2, 0.6, none)
	with := func(change func(v []float64)) []float64 {
		v := append([]float64(nil), good...)
		change(v)
		return v
	}
	for _, c := range []struct {
		name string
		v    []float64
		w, h int
		err  error
	}{
		{"nothing", nil, 0, 0, ErrInput}, {"too few values", good[:79], 80, 100, ErrInput}, {"NaN", with(func(v []float64) { v[7] = math.NaN() }), 80, 100, ErrInput},
		{"even", make([]float64, 8000), 80, 100, ErrEdge}, {"straight", slanted(80, 100, 0, 0.8, 0.2, 0.6, none), 80, 100, ErrEdge},
		{"steep", slanted(80, 80, 40, 0.8, 0.2, 0.6, none), 80, 80, ErrEdge}, {"at the border", slanted(80, 100, 5, 0.8, 0.2, 0.6, none)[:8000], 80, 100, nil},
		{"small", good[:15*15], 15, 15, ErrEdge}, {"short", slanted(80, 20, 5, 0.8, 0.2, 0.6, none), 80, 20, ErrEdge},
	} {
		_, err := FindEdge(c.v, c.w, c.h, 4)
		if c.err == nil && err != nil || c.err != nil && !errors.Is(err, c.err) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	r := rand.New(rand.NewPCG(4, 4))
	noise := make([]float64, 8000)
	for i := range noise {
		noise[i] = r.Float64()
	}
	if _, err := FindEdge(noise, 80, 100, 4); !errors.Is(err, ErrEdge) {
		t.Errorf("noise: %v", err)
	}
	e := must[*Edge](t)(FindEdge(good, 80, 100, 4))
	coarse := must[*Response](t)(Gaussian(60, 125, 300))
	if _, err := e.FilmResponse(coarse, func(v float64) (float64, error) { return 1 / v, nil }); !errors.Is(err, ErrCoarse) {
		t.Errorf("a blurred camera: %v", err)
	}
	if _, err := e.FilmResponse(nil, func(float64) (float64, error) { return 1, nil }); !errors.Is(err, ErrInput) {
		t.Errorf("no exposure: %v", err)
	}
	if _, err := e.FilmResponse(nil, func(float64) (float64, error) { return 0, ErrInput }); !errors.Is(err, ErrInput) {
		t.Errorf("a curve that fails: %v", err)
	}
}

// What nobody made answers with an error, and no panic.
func TestZeroValues(t *testing.T) {
	said := held.New(t)
	var r Response
	var s Spectrum
	var e Edge
	camera := must[*Response](t)(Gaussian(3, 100, 10))
	for i, err := range []error{second(r.At(1)), second(r.Frequency(0.5)), second(r.Times(camera)), second(camera.Times(&r)), second(s.Granularity(nil)),
		second(s.Granularity(camera)), second((*Spectrum)(nil).Granularity(nil)), second(e.Response()), second(e.FilmResponse(nil, nil)), (&Patch{}).Add(nil, nil),
		second((&Patch{}).Spectrum()), second(NewPatch(1<<20, 1<<20, 1, 48)), second(NewPatch(1<<15, 60, 0.001, 48)), second(NewPatch(20000, 20000, 0.001, 48))} {
		if !said.Is("", err, ErrInput) {
			t.Errorf("%d: %v", i, err)
		}
	}
	if err := CanMeasure(48, 4, &r); !said.Is("", err, ErrCoarse) {
		t.Errorf("%v", err)
	}
	if one, shared := s.Variance(); one != 0 || shared != 0 || len(s.Bins(nil)) != 0 || len(s.Bins(camera)) != 0 {
		t.Errorf("%v and %v of nothing", one, shared)
	}
	e.Profile()
	e.Beyond()
	e.Angle()
}

func TestRefusesResponses(t *testing.T) {
	said := held.New(t)
	one := []sensito.Estimate{sensito.Exact(1), sensito.Exact(0.5)}
	for _, c := range []struct {
		f []float64
		m []sensito.Estimate
	}{{nil, nil}, {[]float64{0}, one[:1]}, {[]float64{0, 0}, one}, {[]float64{1, 0}, one}, {[]float64{0, math.NaN()}, one}, {[]float64{0, 1}, one[:1]},
		{[]float64{0, 1}, []sensito.Estimate{{Value: 1, Low: 2, High: 3}, one[1]}}} {
		if _, err := NewResponse(c.f, c.m); !said.Is("", err, ErrInput) {
			t.Errorf("%v: %v", c.f, err)
		}
	}
	r := must[*Response](t)(NewResponse([]float64{0, 10}, one))
	for _, f := range []float64{-1, 11, math.NaN()} {
		if _, err := r.At(f); !said.Is("", err, ErrInput) {
			t.Errorf("%v: %v", f, err)
		}
	}
	if _, err := r.Frequency(0.4); !said.Is("", err, ErrInput) {
		t.Errorf("%v", err)
	}
	if _, err := (*Response)(nil).At(1); !said.Is("", err, ErrInput) {
		t.Errorf("%v", err)
	}
	if _, err := r.Times(nil); !said.Is("", err, ErrInput) {
		t.Errorf("%v", err)
	}
}
