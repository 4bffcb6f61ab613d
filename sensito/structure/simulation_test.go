package structure

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/copystand"
	"example.org/actinic/sensito"
)

var (
	films = flag.Int("films", 0, "simulated films of each kind in the study of granularity; 0 for a few")
	edges = flag.Int("edges", 0, "simulated edges of each kind in the study of responses; 0 for a few")
	pairs = flag.Int("pairs", 0, "pairs of films in the study of rankings; 0 for a few")
)

// lightSD is the granularity of averaged light in 48 µm from its covariance by the distance in
// µm, over the square of its mean.
func lightSD(covariance func(h float64) float64, upTo float64) float64 {
	const n = 4000
	area := ApertureArea(Aperture48)
	sum := 0.0
	for i := range n {
		h := upTo * (float64(i) + 0.5) / n
		sum += covariance(h) * overlap(2*h/Aperture48) * Aperture48 * Aperture48 / 4 / (area * area) * 2 * math.Pi * h * upTo / n
	}
	return math.Log10E * math.Sqrt(sum)
}

// A kind of film: its grain made on a grid of a step in µm, and its true granularity.
type simulated struct {
	name string
	step float64
	make func(r *rand.Rand, width, height int) []float64
	sd   float64
}

func simulations(t *testing.T) []simulated {
	correlated := func(s, sd float64) simulated {
		k := sd * math.Ln10
		return simulated{fmt.Sprintf("correlated over %v µm", s), 1, func(r *rand.Rand, w, h int) []float64 {
			z := copystand.Correlated(r, w, h, s)
			for i, v := range z {
				z[i] = math.Exp(-0.8*math.Ln10 + k*v - k*k/2)
			}
			return z
		}, lightSD(func(h float64) float64 { return math.Expm1(k * k * math.Exp(-h*h/(2*s*s))) }, 8*s)}
	}
	discs := func(name string, d, radius, each float64) simulated {
		stopped := -math.Expm1(-each * math.Ln10) // share of the light that one disc stops
		n := d * math.Ln10 / stopped / (math.Pi * radius * radius)
		const step = 0.5
		return simulated{name, step, func(r *rand.Rand, w, h int) []float64 {
			return copystand.Discs(r, w, h, n*step*step, radius/step, each)
		}, lightSD(func(h float64) float64 {
			return math.Expm1(n * stopped * stopped * radius * radius * overlap(h/radius))
		}, 2*radius)}
	}
	out := []simulated{correlated(2, 0.06), correlated(4, 0.04), discs("thin discs (Poisson)", 0.8, 1, 0.1), discs("opaque discs (Boolean)", 0.7, 0.9, math.Inf(1))}
	// two ways to one number
	near(t, "Boolean", out[3].sd, must[float64](t)(BooleanSD(0.7, 0.9, 48)), 1e-5*out[3].sd)
	return out
}

// rig is a camera whose noise is that of photons: counts at full light, of so many electrons.
type rig struct {
	pixel, lens float64 // µm
	electrons   float64 // of the bare table
}

// photograph adds noise to light on the pixels, divided by a noisy frame of the bare table.
func (c rig) photograph(r *rand.Rand, light []float64, table []float64) []float64 {
	out := make([]float64, len(light))
	for i, v := range light {
		e := v * c.electrons
		out[i] = (e + math.Sqrt(e+25)*r.NormFloat64()) / table[i]
	}
	return out
}

func (c rig) table(r *rand.Rand, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = c.electrons + math.Sqrt(c.electrons+25)*r.NormFloat64()
	}
	return out
}

// edge measures the camera's own response, as a person would.
func (c rig) edge(t *testing.T, r *rand.Rand) *Response {
	t.Helper()
	const w, h = 80, 200
	n := int(c.pixel)
	px := copystand.Optics(copystand.Edge(w*n, h*n, 5, copystand.Sharp), w*n, h*n, n, c.lens)
	v := c.photograph(r, px, c.table(r, len(px)))
	var cut []float64
	for y := 10; y < h-10; y++ { // the field goes round at its ends
		cut = append(cut, v[y*w+10:(y+1)*w-10]...)
	}
	e := must[*Edge](t)(FindEdge(cut, w-20, h-20, c.pixel))
	return must[*Response](t)(e.Response())
}

// measurePatch takes the spectrum of frames of a square patch.
func measurePatch(t *testing.T, side int, pitch float64, frames ...[]float64) *Spectrum {
	t.Helper()
	p := must[*Patch](t)(NewPatch(side, side, pitch, Aperture48))
	for _, tile := range p.Tiles() {
		cut := make([][]float64, len(frames))
		for k, f := range frames {
			for y := range tile.Height {
				at := (tile.Y+y)*side + tile.X
				cut[k] = append(cut[k], f[at:at+tile.Width]...)
			}
		}
		if err := p.Add(nil, cut...); err != nil {
			t.Fatal(err)
		}
	}
	return must[*Spectrum](t)(p.Spectrum())
}

// tally counts intervals that hold the truth.
type tally struct {
	n, held   int
	sum, sum2 float64
}

func (a *tally) add(e sensito.Estimate, truth float64) {
	a.n++
	if e.Low <= truth && truth <= e.High {
		a.held++
	}
	a.sum, a.sum2 = a.sum+e.Value/truth, a.sum2+e.Value/truth*e.Value/truth
}

// enough is the least number held of n intervals of 95 % that chance explains: three standard
// deviations.
func enough(n int) int {
	return int(0.95*float64(n) - 3*math.Sqrt(0.95*0.05*float64(n)))
}

// Granularity of simulated films, through a camera with a lens, pixels and noise whose response is
// measured by its own edge: within 3 %, and intervals that hold the truth as often as they say.
func TestStudyGranularity(t *testing.T) {
	runs := map[bool]int{true: 9, false: 4}
	c := rig{pixel: 4, lens: 3, electrons: 48000}
	var all tally
	for k, s := range simulations(t) {
		n := runs[s.step == 1]
		if *films > 0 {
			n = *films
		}
		var a tally
		for run := range n {
			r := rand.New(rand.NewPCG(uint64(run), uint64(k)))
			camera := c.edge(t, r)
			const side = 128
			fine := int(c.pixel / s.step)
			light := copystand.Optics(s.make(r, side*fine, side*fine), side*fine, side*fine, fine, c.lens/s.step)
			table := c.table(r, len(light))
			spectrum := measurePatch(t, side, c.pixel, c.photograph(r, light, table), c.photograph(r, light, table))
			noise := math.Log10E * math.Log10E * c.pixel * c.pixel / c.electrons
			g := must[Granularity](t)(must[*Spectrum](t)(spectrum.Without(noise, noise/10)).Granularity(camera))
			a.add(g.SD, s.sd)
			all.add(g.SD, s.sd)
			if len(g.Warnings) > 0 && *films == 0 {
				t.Logf("%s: %v", s.name, g.Warnings)
			}
		}
		mean := a.sum / float64(a.n)
		t.Logf("%s: sd %.5f, mean ratio %.4f, scatter %.3f, %d of %d held", s.name, s.sd, mean, math.Sqrt(max(a.sum2/float64(a.n)-mean*mean, 0)), a.held, a.n)
		if math.Abs(mean-1) > 0.03 {
			t.Errorf("%s: %.3f of the truth", s.name, mean)
		}
	}
	if all.held < enough(all.n) {
		t.Errorf("%d of %d intervals hold the truth", all.held, all.n)
	}
	if share := float64(all.held) / float64(all.n); *films >= 100 && (share < 0.93 || share > 0.97) {
		t.Errorf("%.3f of the intervals hold the truth", share)
	}
}

// A camera that cannot see 48 µm is told so, and so is one whose noise hides the grain.
func TestRefusesWhatACameraCannot(t *testing.T) {
	if err := CanMeasure(48, 30, nil); !errors.Is(err, ErrCoarse) {
		t.Errorf("pixels of 30 µm: %v", err)
	}
	if _, err := NewPatch(100, 100, 30, 48); !errors.Is(err, ErrCoarse) {
		t.Errorf("pixels of 30 µm: %v", err)
	}
	blurred := must[*Response](t)(Gaussian(15, 125, 200)) // 0.144 at 1/48 µm
	if err := CanMeasure(48, 4, blurred); !errors.Is(err, ErrCoarse) {
		t.Errorf("response 0.14: %v", err)
	}
	if err := CanMeasure(48, 4, must[*Response](t)(Gaussian(12, 125, 200))); err != nil { // 0.29
		t.Errorf("response 0.29: %v", err)
	}
	if err := CanMeasure(48, math.NaN(), nil); !errors.Is(err, ErrInput) {
		t.Errorf("%v", err)
	}
	r := rand.New(rand.NewPCG(1, 1))
	frame := func() []float64 {
		v := make([]float64, 64*64)
		for i := range v {
			v[i] = 1 + 0.1*r.NormFloat64()
		}
		return v
	}
	s := measurePatch(t, 64, 4, frame(), frame())
	if _, err := s.Granularity(blurred); !errors.Is(err, ErrCoarse) {
		t.Errorf("response 0.14: %v", err)
	}
	if g, err := s.Granularity(nil); err == nil && g.SD.Low > 0.002 {
		t.Errorf("noise alone gives %v", g.SD)
	} else if err != nil && !errors.Is(err, ErrInput) {
		t.Errorf("%v", err)
	}
	for _, c := range []struct{ w, h int }{{20, 100}, {0, 5}, {-1, 9}} {
		if _, err := NewPatch(c.w, c.h, 4, 48); !errors.Is(err, ErrInput) {
			t.Errorf("%v: %v", c, err)
		}
	}
	if _, err := NewPatch(100, 100, 1e-9, 48); !errors.Is(err, ErrInput) {
		t.Errorf("tiny pixels: %v", err)
	}
	p := must[*Patch](t)(NewPatch(64, 64, 4, 48))
	if _, err := p.Spectrum(); !errors.Is(err, ErrInput) {
		t.Errorf("no tile: %v", err)
	}
	dark, bad := make([]float64, 64*64), frame()
	bad[5] = math.NaN()
	for _, v := range [][]float64{dark, bad, frame()[:10], nil} {
		if err := p.Add(nil, v); !errors.Is(err, ErrInput) {
			t.Errorf("%d values: %v", len(v), err)
		}
	}
	if err := p.Add(make([]bool, 3), frame()); !errors.Is(err, ErrInput) {
		t.Errorf("marks: %v", err)
	}
}

// Parseval for tiles: the spectrum's sum is the mean variance of a tile's pixels.
func TestParseval(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	const n = 60
	v := copystand.Correlated(r, n, n, 2)
	for i := range v {
		v[i] = 1 + 0.01*v[i]
	}
	s := measurePatch(t, n, 4, v)
	x := make([]float64, n*n)
	if _, ok := flatten(x, v, nil, n); !ok {
		t.Fatal("no plane")
	}
	ss := 0.0
	for _, z := range x {
		ss += z * z / (n * n) * math.Log10E * math.Log10E
	}
	one, shared := s.Variance()
	near(t, "variance", one, ss, 1e-12*ss)
	near(t, "of one frame", shared, one, 0)
}

// Frames of film that was moved between them do not share their grain, which is said.
func TestMovedFrames(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 3))
	const n = 150
	z := copystand.Correlated(r, n, n, 1.2)
	frame := func(moved int) []float64 {
		v := make([]float64, n*n)
		for i := range v {
			v[i] = (1 + 0.1*z[i/n*n+(i+moved)%n]) * (1 + 0.01*r.NormFloat64())
		}
		return v
	}
	still := must[Granularity](t)(measurePatch(t, n, 4, frame(0), frame(0)).Granularity(nil))
	moved := must[Granularity](t)(measurePatch(t, n, 4, frame(0), frame(1)).Granularity(nil))
	if len(still.Warnings) != 0 || len(moved.Warnings) == 0 {
		t.Errorf("still %v, moved %v", still.Warnings, moved.Warnings)
	}
}

// The noise of a light frame that all frames were divided by is taken off by its level.
func TestCommonNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 3))
	const n, white = 240, 0.1
	z := copystand.Correlated(r, n, n, 1.5)
	clean, both := make([]float64, n*n), make([]float64, n*n)
	for i := range z {
		clean[i] = 1 + 0.03*z[i]
		both[i] = clean[i] + white*r.NormFloat64()
	}
	want := must[Granularity](t)(measurePatch(t, n, 4, clean, clean).Granularity(nil))
	s := measurePatch(t, n, 4, both, both)
	with := must[Granularity](t)(s.Granularity(nil))
	level := math.Log10E * math.Log10E * white * white * 16
	less := must[Granularity](t)(must[*Spectrum](t)(s.Without(level, 0)).Granularity(nil))
	if with.SD.Value < 1.1*want.SD.Value || math.Abs(less.SD.Value/want.SD.Value-1) > 0.05 || math.Abs(less.Expected/want.Expected-1) > 0.05 {
		t.Errorf("%v with the noise, %v without it, want %v", with.SD, less.SD, want.SD)
	}
	if _, err := s.Without(-1, 0); !errors.Is(err, ErrInput) {
		t.Errorf("%v", err)
	}
}

// Dust, a trend and a scratch leave the granularity where it is.
func TestDustAndTrend(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 3))
	const n = 200
	z := copystand.Correlated(r, n, n, 1.5)
	clean, spoilt, out := make([]float64, n*n), make([]float64, n*n), make([]bool, n*n)
	for i := range z {
		clean[i] = 1 + 0.05*z[i]
		spoilt[i] = clean[i] * (1 + 0.3*float64(i%n)/n) * (1 - 0.2*float64(i/n)/n)
		if x, y := i%n, i/n; x > 40 && x < 60 && y > 50 && y < 80 || y == 120 {
			spoilt[i], out[i] = 0.2, true
		}
	}
	a := must[Granularity](t)(measurePatch(t, n, 4, clean).Granularity(nil))
	p := must[*Patch](t)(NewPatch(n, n, 4, 48))
	for _, tile := range p.Tiles() {
		var v []float64
		var o []bool
		for y := range tile.Height {
			at := (tile.Y+y)*n + tile.X
			v, o = append(v, spoilt[at:at+tile.Width]...), append(o, out[at:at+tile.Width]...)
		}
		if err := p.Add(o, v); err != nil {
			t.Fatal(err)
		}
	}
	b := must[Granularity](t)(must[*Spectrum](t)(p.Spectrum()).Granularity(nil))
	if off := b.SD.Value/a.SD.Value - 1; math.Abs(off) > 0.04 {
		t.Errorf("%v with dust, %v without", b.SD, a.SD)
	}
}

// Rankings of developers and formats, by the interval of a ratio: where it leaves out 1, the finer
// is named, and that is right as often as it says.
func TestStudyRanking(t *testing.T) {
	n := 40
	if *pairs > 0 {
		n = *pairs
	}
	sdOf := func(density float64) float64 {
		const s = 6.0
		w0 := density * density * 2 * math.Pi * s * s
		return must[float64](t)(ApertureSD(func(f float64) float64 { x := math.Pi * s * f / 1000; return w0 * math.Exp(-2*x*x) }, 48, 500))
	}
	patch := func(r *rand.Rand, density float64) Granularity {
		const side = 120
		z := copystand.Correlated(r, side, side, 1.5)
		k := density * math.Ln10
		for i := range z {
			z[i] = math.Exp(k*z[i] - k*k/2)
		}
		return must[Granularity](t)(measurePatch(t, side, 4, z).Granularity(nil))
	}
	held, named, right := 0, 0, 0
	for run := range n {
		r := rand.New(rand.NewPCG(uint64(run), 77))
		truth := math.Exp(0.15 * r.NormFloat64())
		a, b := patch(r, 0.02*truth), patch(r, 0.02)
		e := must[sensito.Estimate](t)(a.Against(b))
		// One on 24 × 36 mm against the other on 56 × 56 mm, enlarged to the same print: the
		// ratio of enlargements is exact, and cancels in what is told apart from it.
		ratio := sdOf(0.02*truth) / sdOf(0.02)
		if e.Low <= ratio && ratio <= e.High {
			held++
		}
		if e.Low > 1 || e.High < 1 {
			if named++; (e.Value > 1) == (ratio > 1) {
				right++
			}
		}
	}
	t.Logf("%d of %d intervals hold the ratio; %d of %d rankings are right", held, n, right, named)
	if held < enough(n) || float64(right) < 0.95*float64(named) {
		t.Errorf("%d of %d intervals, %d of %d rankings", held, n, right, named)
	}
}
