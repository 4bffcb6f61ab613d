package structure

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/actinic/internal/copystand"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// threePoints is 1, 0.6 and 0.2 at 0, 10 and 20 cycles/mm, the last two known to 0.1.
func threePoints(t *testing.T) *Response {
	t.Helper()
	e := func(v float64) sensito.Estimate { return sensito.Estimate{Value: v, Low: v - 0.1, High: v + 0.1} }
	return must[*Response](t)(NewResponse([]float64{0, 10, 20}, []sensito.Estimate{sensito.Exact(1), e(0.6), e(0.2)}))
}

// Where straight lines between the points fall below a response, and those of the interval do (by hand).
func TestFrequencyByHand(t *testing.T) {
	said := held.New(t)
	r, inf := threePoints(t), math.Inf(1)
	for _, c := range []struct{ m, value, low, high float64 }{
		{0.4, 15, 12.5, 17.5}, {0.8, 5, 4, 10 * 0.2 / 0.3}, {0.6, 10, 8, 12.5}, {0.25, 18.75, 16.25, inf}, {1, 0, 0, 0}, {1.5, 0, 0, 0},
	} {
		got, err := r.Frequency(c.m)
		if err != nil || math.Abs(got.Value-c.value) > 1e-9 || math.Abs(got.Low-c.low) > 1e-9 || got.High != c.high && !(math.Abs(got.High-c.high) < 1e-9) {
			t.Errorf("%v: %v, %v, want %v", c.m, got, err, c)
		}
	}
	for name, err := range map[string]error{"never": second(r.Frequency(0.2)), "NaN": second(r.Frequency(math.NaN())), "infinite": second(r.Frequency(inf)), "nil": second((*Response)(nil).Frequency(0.5)), "zero": second((&Response{}).Frequency(0.5)),
		"beyond": second(r.At(20.01)), "below 0": second(r.At(-1)), "not a number": second(r.At(math.NaN())), "at nil": second((*Response)(nil).At(1)), "at zero": second((&Response{}).At(0)), "times nil": second(r.Times(nil)), "nil times": second((*Response)(nil).Times(r))} {
		if !said.Is(name, err, ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for f, want := range map[float64]float64{0: 1, 5: 0.8, 10: 0.6, 15: 0.4, 20: 0.2} {
		got := must[sensito.Estimate](t)(r.At(f))
		wide := min(f/10, 1) * 0.1
		if math.Abs(got.Value-want) > 1e-12 || math.Abs(got.High-got.Low-2*wide) > 1e-12 || math.Abs(r.value(f)-want) > 1e-12 || math.Abs(r.sd(f)-wide/1.959964) > 1e-7 {
			t.Errorf("at %v: %v, %v, sd %v", f, got, r.value(f), r.sd(f))
		}
	}
	if r.value(20.01) != 0 || (&Response{}).value(1) != 0 || r.sd(21) != 0 {
		t.Error("a response beyond what is known")
	}
	for m, want := range map[float64]float64{1.1: 0, 1: 0, 0.8: 5, 0.6: 10, 0.4: 15, 0.2: 20, 0.1: 20} {
		if got := r.reach(m); math.Abs(got-want) > 1e-9 {
			t.Errorf("it stays at %v up to %v, want %v", m, got, want)
		}
	}
	if (&Response{}).reach(0.5) != 0 {
		t.Error("nothing reaches")
	}
	// A chain is known as far as both are, with relative errors in squares.
	short := must[*Response](t)(NewResponse([]float64{0, 15}, []sensito.Estimate{sensito.Exact(1), {Value: 0.5, Low: 0.4, High: 0.6}}))
	chain := must[*Response](t)(r.Times(short))
	got := must[sensito.Estimate](t)(chain.At(10))
	other := must[sensito.Estimate](t)(short.At(10))
	half := math.Hypot(0.1*other.Value, (other.High-other.Low)/2*0.6)
	if math.Abs(got.Value-0.6*other.Value) > 1e-12 || math.Abs(got.High-got.Value-half) > 1e-6 {
		t.Errorf("chain %v, want %v ± %v", got, 0.6*other.Value, half)
	}
	if _, err := chain.At(11); err == nil {
		t.Error("a chain beyond its shorter part")
	}
}

// Ratios by hand: logarithms of the half widths in squares, up with down.
func TestAgainstByHand(t *testing.T) {
	said := held.New(t)
	g := func(v, lo, hi float64) Granularity {
		return Granularity{Aperture: 48, SD: sensito.Estimate{Value: v, Low: v * math.Exp(-lo), High: v * math.Exp(hi)}}
	}
	got := must[sensito.Estimate](t)(g(0.012, 0.03, 0.06).Against(g(0.010, 0.08, 0.04)))
	if math.Abs(got.Value-1.2) > 1e-12 || math.Abs(math.Log(got.High/1.2)-0.10) > 1e-12 || math.Abs(math.Log(1.2/got.Low)-0.05) > 1e-12 {
		t.Errorf("%v", got)
	}
	fine := g(0.01, 0.1, 0.1)
	fine.Aperture = 24
	for _, bad := range []Granularity{{}, fine, {Aperture: 48, SD: sensito.Estimate{Value: -0.01}}, {Aperture: 48, SD: sensito.Estimate{Value: math.NaN()}}} {
		if _, err := g(0.012, 0.1, 0.1).Against(bad); !said.Is("", err, ErrInput) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

// Half the aperture is the coarsest pixel, and a response of 0.2 at one over it the least.
func TestCanMeasureAtItsBounds(t *testing.T) {
	said := held.New(t)
	least := func(m float64) *Response { // m at 1/48 µm
		return must[*Response](t)(NewResponse([]float64{0, 1000. / 48, 60}, []sensito.Estimate{sensito.Exact(1), sensito.Exact(m), sensito.Exact(0.01)}))
	}
	for _, c := range []struct {
		name            string
		aperture, pitch float64
		camera          *Response
		want            error
	}{
		{"half", 48, 24, nil, nil}, {"more", 48, 24.001, nil, ErrCoarse}, {"sharp", 48, 4, least(0.201), nil}, {"soft", 48, 4, least(0.199), ErrCoarse}, {"no aperture", 0, 4, nil, ErrInput}, {"no pixels", 48, 0, nil, ErrInput}, {"infinite", math.Inf(1), 4, nil, ErrInput}, {"NaN", 48, math.NaN(), nil, ErrInput},
	} {
		err := CanMeasure(c.aperture, c.pitch, c.camera)
		if c.want == nil && err != nil || c.want != nil && !said.Is(c.name, err, c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// What is missing of a profile is filled by straight lines, and at the ends by the nearest.
func TestFill(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct{ p, want []float64 }{
		{[]float64{nan, nan, 3, nan, 5, nan, nan, 11, nan}, []float64{3, 3, 3, 4, 5, 7, 9, 11, 11}}, {[]float64{1, 2}, []float64{1, 2}}, {[]float64{nan, 2}, []float64{2, 2}}, {[]float64{7, nan, nan}, []float64{7, 7, 7}},
	} {
		fill(c.p)
		for i := range c.p {
			if math.Abs(c.p[i]-c.want[i]) > 1e-12 {
				t.Errorf("%v, want %v", c.p, c.want)
				break
			}
		}
	}
	all := []float64{nan, nan}
	if fill(all); !math.IsNaN(all[0]) || !math.IsNaN(all[1]) {
		t.Errorf("%v of nothing", all)
	}
}

// A patch of which a part is another film's, or was marked, is not even: the interval is wider, and it is said.
func TestUnevenPatch(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 3))
	const n = 400
	z := copystand.Correlated(r, n, n, 1.5)
	even, uneven := make([]float64, n*n), make([]float64, n*n)
	for i := range z {
		even[i] = 1 + 0.03*z[i]
		uneven[i] = even[i]
		if i%n > n/2 {
			uneven[i] = 1 + 0.09*z[i]
		}
	}
	a, b := measurePatch(t, n, 4, even, even), measurePatch(t, n, 4, uneven, uneven)
	if a.uneven() != 1 || !(b.uneven() > 2) || len(a.byTile) < 6 {
		t.Errorf("even %v, uneven %v, of %d tiles", a.uneven(), b.uneven(), len(a.byTile))
	}
	few := *b
	if few.byTile = few.byTile[:5]; few.uneven() != 1 {
		t.Errorf("of five tiles %v", few.uneven())
	}
	g := must[Granularity](t)(a.Granularity(nil))
	if len(g.Warnings) != 0 || g.Corrected || g.Aperture != 48 || g.UpTo != 125 || math.Abs(float64(g.Density)) > 0.001 {
		t.Errorf("%+v", g)
	}
	h := must[Granularity](t)(b.Granularity(nil))
	if !strings.Contains(strings.Join(h.Warnings, " "), "it is not even, or marked") || !(h.SD.High/h.SD.Low > 2*g.SD.High/g.SD.Low-1) {
		t.Errorf("%+v", h)
	}
	c := must[Granularity](t)(a.Granularity(must[*Response](t)(Gaussian(3, 125, 200))))
	if !c.Corrected || !(c.SD.Value > g.SD.Value) || !(c.LeftOut >= 0 && c.LeftOut < 0.2) {
		t.Errorf("%+v", c)
	}
	said := held.New(t)
	for _, s := range []*Spectrum{nil, {}} {
		if _, err := s.Granularity(nil); !said.Is("", err, ErrInput) {
			t.Error(err)
		}
	}
	if _, err := must[*Spectrum](t)(a.Without(1, 0)).Granularity(nil); !said.Is("all is noise", err, ErrInput) {
		t.Error(err)
	}
	for _, c := range [][2]float64{{math.NaN(), 0}, {0, -1}, {math.Inf(1), 0}, {0, math.Inf(1)}} {
		if _, err := a.Without(c[0], c[1]); !said.Is("", err, ErrInput) {
			t.Errorf("%v: %v", c, err)
		}
	}
}

// The exposures of an edge's transmittances have to rise or to fall, and their errors are handed on.
func TestExposuresOfEdges(t *testing.T) {
	said := held.New(t)
	gone := errors.New("beyond the curve")
	for name, f := range map[string]func(v float64) (float64, error){
		"error": func(float64) (float64, error) { return 0, gone }, "error above": func(v float64) (float64, error) {
			if v > 0.9 {
				return 0, gone
			}
			return v, nil
		},
		"up and down": func(v float64) (float64, error) { return 1 + math.Sin(9*v), nil }, "not finite": func(v float64) (float64, error) { return math.Log(v - 0.2), nil },
	} {
		if _, err := newInverse(f, 0.1, 1); !said.Refused(name, err) {
			t.Errorf("%s is taken", name)
		}
	}
	for name, f := range map[string]func(v float64) (float64, error){"rising": func(v float64) (float64, error) { return v * v, nil }, "falling": func(v float64) (float64, error) { return 1 / v, nil }} {
		inv, err := newInverse(f, 0.1, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range []float64{0.1, 0.15, 0.5, 0.999, 1} {
			h, _ := f(v)
			if got := inv.at(h); math.Abs(got/v-1) > 1e-5 {
				t.Errorf("%s: %v comes back as %v", name, v, got)
			}
		}
		low, _ := f(0.05)
		high, _ := f(2)
		if math.Abs(inv.at(low)-0.1) > 1e-12 || math.Abs(inv.at(high)-1) > 1e-12 {
			t.Errorf("%s, beyond its ends: %v and %v", name, inv.at(low), inv.at(high))
		}
	}
	for _, c := range []struct {
		p  []float64
		ok bool
	}{{[]float64{0.3, 0.3}, true}, {[]float64{0.005, 0.004}, false}, {[]float64{15, 16}, false}, {[]float64{1, -0.1}, true}, {[]float64{1, -0.2}, false}, {[]float64{0.2, 1, 0.05, 0.15}, true}, {[]float64{0.2, 1, -0.31, 0.15}, false}, {[]float64{0.2, 1, 1, 0.15}, false}, {[]float64{0.2, 1, 0.05, 0.02}, false}, {[]float64{0.2, 1, 0.05, 0.5}, false}} {
		if within(c.p) != c.ok {
			t.Errorf("%v is within: %v", c.p, !c.ok)
		}
	}
}

// A response has two frequencies or more, and no more than 2^20.
func TestResponseOfSomeLength(t *testing.T) {
	for n, ok := range map[int]bool{1: false, 2: true, 1 << 20: true, 1<<20 + 1: false} {
		if _, err := Box(10, 50, n); (err == nil) != ok {
			t.Errorf("%d frequencies: %v", n, err)
		}
	}
}
