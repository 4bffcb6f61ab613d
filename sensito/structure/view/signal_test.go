package view_test

import (
	"errors"
	"math"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/structure/view"
)

// faulty is a curve whose slope is not known.
type faulty struct{ sensito.Curve }

var errSlope = errors.New("no slope")

func (faulty) Slope(sensito.LogH) (float64, error) { return 0, errSlope }

// The errors of a curve and of a granularity are handed on, and a granularity or a gradient that cannot be is refused.
func TestSignalRefuses(t *testing.T) {
	said := held.New(t)
	f := film(t, 0.6, 0.01)
	of := func(sd float64, err error) view.Film {
		return view.Film{Curve: f.Curve, SD: func(sensito.Density) (float64, error) { return sd, err }}
	}
	unknown := errors.New("too thin")
	for name, c := range map[string]struct {
		f    view.Film
		x    sensito.LogH
		want error
	}{
		"beyond the curve": {f, 1.5, sensito.ErrOutside}, "no slope": {view.Film{Curve: faulty{f.Curve}, SD: f.SD}, 0, errSlope},
		"not known": {of(0.01, unknown), 0, unknown}, "no grain": {of(0, nil), 0, view.ErrInput}, "below 0": {of(-1, nil), 0, view.ErrInput},
		"NaN": {of(math.NaN(), nil), 0, view.ErrInput}, "infinite": {of(math.Inf(1), nil), 0, view.ErrInput},
		"no curve": {view.Film{SD: f.SD}, 0, view.ErrInput}, "no granularity": {view.Film{Curve: f.Curve}, 0, view.ErrInput},
	} {
		if _, err := c.f.At(c.x); !said.Is(name, err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
		if name[:2] == "no" && name != "not known" && name != "no grain" {
			if _, err := c.f.Range(1); name != "no slope" && !said.Is(name, err, view.ErrInput) {
				t.Errorf("range, %s: %v", name, err)
			}
		}
	}
	if _, err := f.Range(0); !said.Is("", err, view.ErrInput) {
		t.Errorf("a signal of 0: %v", err)
	}
}

// Of two runs of exposures the wider one is the range, whichever comes first: the grain is small between 0.6 and 0.8, and
// between 1.0 and 1.6 or the other way round.
func TestWidestRun(t *testing.T) {
	f := film(t, 0.6, 0.01)
	for _, c := range []struct{ a, b, c, d, from, to float64 }{{0.6, 0.8, 1, 1.6, 1, 1.6}, {0.6, 1.2, 1.4, 1.6, 0.6, 1.2}} {
		f.SD = func(v sensito.Density) (float64, error) {
			if d := float64(v); d >= c.a && d <= c.b || d >= c.c && d <= c.d {
				return 0.01, nil
			}
			return 1, nil
		}
		r, err := f.Range(15)
		if err != nil {
			t.Fatal(err)
		}
		from, _ := f.Curve.Density(r.From)
		to, _ := f.Curve.Density(r.To)
		near(t, "from", float64(from), c.from, 1e-9)
		near(t, "to", float64(to), c.to, 1e-9)
	}
	// Above it everywhere but in the toe: the end of the curve is open.
	f.SD = func(sensito.Density) (float64, error) { return 0.01, nil }
	if r, err := f.Range(15); err != nil || r.FromOpen || !r.ToOpen || r.To != 1 {
		t.Errorf("%+v, %v", r, err)
	}
}

// At the bounds of what is counted. With one quantum a grain the share is x/(exp(x) - 1) (derived in its doc), best where none hit.
func TestCountedAtItsBounds(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		q  int
		x  float64
		ok bool
	}{{1, 700, true}, {1, 700.1, false}, {100, 90, true}, {101, 90, false}, {1, 1e-9, true}, {1, 0, false}, {0, 1, false}} {
		got, err := view.CountedQuanta(c.q, c.x)
		if c.ok && err != nil || !c.ok && !said.Is("", err, view.ErrInput) {
			t.Errorf("%d, %v: %v", c.q, c.x, err)
		}
		if c.ok && c.q == 1 && math.Abs(got-c.x/math.Expm1(c.x)) > 1e-6 {
			t.Errorf("%v hits: %v", c.x, got)
		}
	}
	if x, share, err := view.BestQuanta(1); x != 0 || share != 1 || err != nil {
		t.Errorf("best at %v, %v, %v", x, share, err)
	}
	if _, _, err := view.BestQuanta(101); !said.Is("", err, view.ErrInput) {
		t.Error(err)
	}
	if _, err := view.NoiseEquivalentQuanta(1, 1, -1); !said.Is("", err, view.ErrInput) {
		t.Error(err)
	}
}

// Where an eye has no weight it does not look; outside 3 to 12 cycles/degree, and at 0, a response may be anything.
func TestEyesLookWhereTheySee(t *testing.T) {
	barten, err := view.Barten(100, 3)
	if err != nil {
		t.Fatal(err)
	}
	for _, eye := range []view.Eye{view.JohnsonFairchild(), barten} {
		got, err := eye.Acutance(func(v float64) float64 {
			if v == 0 {
				return math.NaN()
			}
			return 0.5
		})
		if err != nil || math.Abs(got-0.5) > 1e-12 {
			t.Errorf("%s: %v, %v", eye.Name(), got, err)
		}
	}
	s := view.SubjectiveQuality()
	for v, want := range map[float64]float64{2.999: 0, 3: 1.0 / 3, 4: 0.25, 12: 1.0 / 12, 12.001: 0} {
		near(t, "weight", s.Weight(v), want, 1e-12)
	}
	if v := (view.Eye{}).Weight(3); !math.IsNaN(v) {
		t.Errorf("no eye weighs %v", v)
	}
	for _, c := range []struct {
		luminance, pupil float64
		ok               bool
	}{{1e6, 3, false}, {9e5, 3, true}, {100, 0.5, false}, {100, 0.51, true}, {100, 9, false}, {100, 8.9, true}, {0, 3, false}, {1e-9, 3, true}} {
		if _, err := view.Barten(c.luminance, c.pupil); (err == nil) != c.ok {
			t.Errorf("%v cd/m², %v mm: %v", c.luminance, c.pupil, err)
		}
	}
}

// A print without a response or a granularity that can be is refused with the reason of that part.
func TestPrintRefuses(t *testing.T) {
	said := held.New(t)
	p := view.Print{Width: 360, Height: 240, Distance: 300, Gradient: 2}
	n := view.Negative{Format: view.Formats()[0], SD48: 0.01}
	for name, change := range map[string]func(){
		"no granularity": func() { n.SD48 = -1 }, "no eye": func() { p.Eye = -1 }, "threshold": func() { p.Threshold = 1 }, "infinite gradient": func() { p.Gradient = math.Inf(1) },
		"NaN response": func() { n.Film = func(float64) float64 { return math.NaN() } },
	} {
		was, wasN := p, n
		change()
		if _, err := p.Of(n, view.JohnsonFairchild()); !said.Refused(name, err) {
			t.Errorf("%s is taken", name)
		}
		p, n = was, wasN
	}
	if _, err := p.Of(n, view.Eye{}); !said.Is("", err, view.ErrInput) {
		t.Error(err)
	}
	// At a threshold that is reached just at the eye's finest, 30 cycles/degree, the eye is the limit.
	n.Film = func(f float64) float64 { return math.Exp(-f / 100) }
	p.Threshold = math.Exp(-view.CyclesPerMM(30, 300) * 10 / 100)
	if s, err := p.Of(n, view.JohnsonFairchild()); err != nil || !s.ByEye || math.Abs(s.Detail-500/view.CyclesPerMM(30, 300)) > 1e-9 {
		t.Errorf("%+v, %v", s, err)
	}
}
