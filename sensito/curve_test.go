package sensito

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
)

// strip reads a curve in steps without noise.
func strip(c Curve, from, step float64, n int, base Density) []Reading {
	var rs []Reading
	for i := range n {
		x := LogH(from + step*float64(i))
		d, err := c.Density(x)
		if err != nil {
			panic(err)
		}
		rs = append(rs, Reading{LogH: x, Density: base + d})
	}
	return rs
}

func shuffled(rs []Reading, seed uint64) []Reading {
	out := append([]Reading(nil), rs...)
	rand.New(rand.NewPCG(seed, 0)).Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

func TestNewFormRefuses(t *testing.T) {
	said := held.New(t)
	good := Constants{BaseFog: 0.1, Gamma: 0.6, Toe: -2, ToeWidth: 0.2, Shoulder: 2, Sharpness: 5, From: -3, To: 1}
	if _, err := NewClosedForm(good); err != nil {
		t.Fatal(err)
	}
	nan, inf := math.NaN(), math.Inf(1)
	for name, change := range map[string]func(*Constants){
		"base NaN":                   func(s *Constants) { s.BaseFog = Density(nan) },
		"base negative":              func(s *Constants) { s.BaseFog = -0.1 },
		"gamma 0":                    func(s *Constants) { s.Gamma = 0 },
		"gamma negative":             func(s *Constants) { s.Gamma = -1 },
		"gamma infinite":             func(s *Constants) { s.Gamma = inf },
		"toe NaN":                    func(s *Constants) { s.Toe = LogH(nan) },
		"width 0":                    func(s *Constants) { s.ToeWidth = 0 },
		"shoulder negative":          func(s *Constants) { s.Shoulder = -1 },
		"shoulder without sharpness": func(s *Constants) { s.Sharpness = 0 },
		"sharpness without shoulder": func(s *Constants) { s.Shoulder = 0 },
		"sharpness below 1":          func(s *Constants) { s.Sharpness = 0.2 },
		"sharpness absurd":           func(s *Constants) { s.Sharpness = 1e6 },
		"bounds in reverse":          func(s *Constants) { s.From, s.To = 1, -1 },
		"bounds equal":               func(s *Constants) { s.From, s.To = 1, 1 },
	} {
		s := good
		change(&s)
		if f, err := NewClosedForm(s); !said.Is(name, err, ErrInput) || f != nil {
			t.Errorf("%s: %v, %v; want ErrInput", name, f, err)
		}
	}
}

// Inverse, slope and order, over forms from soft to sharp.
func TestFormProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		s := Constants{BaseFog: Density(0.4 * rng.Float64()), Gamma: 0.2 + 2*rng.Float64(), Toe: LogH(-4 + 4*rng.Float64()), ToeWidth: 0.03 + 0.6*rng.Float64()}
		if rng.IntN(2) == 0 {
			s.Shoulder, s.Sharpness = Density(0.6+2*rng.Float64()), 1+9*rng.Float64()
		}
		f, err := NewClosedForm(s)
		if err != nil {
			t.Fatal(err)
		}
		prev := Density(-1)
		for x := s.Toe - 2; x < s.Toe+3; x += 0.07 {
			d, err := f.Density(x)
			if err != nil {
				t.Fatal(err)
			}
			if !(d >= prev) {
				t.Fatalf("%v falls at %v", f, x)
			}
			prev = d
			g, _ := f.Slope(x)
			if !(g >= 0 && g <= s.Gamma*(1+1e-12)) {
				t.Fatalf("%v: slope %v at %v", f, g, x)
			}
			const h = 1e-5
			if num := float64(f.density(x+h)-f.density(x-h)) / (2 * h); math.Abs(num-g) > 1e-6*(1+g/s.ToeWidth) {
				t.Errorf("%v: slope %v at %v, by differences %v", f, g, x, num)
			}
			if g < 1e-3 {
				continue // the inverse is as good as the density's last digits
			}
			back, err := f.LogH(d)
			if err != nil || math.Abs(float64(back-x)) > 1e-10 {
				t.Errorf("%v: inverse of %v gives %v, want %v, %v", f, d, back, x, err)
			}
		}
		for _, d := range []Density{s.BaseFog, s.BaseFog - 0.1, Density(math.NaN()), s.BaseFog + 1000} {
			x, err := f.LogH(d)
			if d < 100 && !errors.Is(err, ErrNotReached) {
				t.Errorf("%v: density %v gives %v, %v", f, d, x, err)
			}
		}
	}
}

func TestOutsideIsAnError(t *testing.T) {
	said := held.New(t)
	f, err := NewClosedForm(Constants{BaseFog: 0.1, Gamma: 0.6, Toe: -2, ToeWidth: 0.2, From: -3, To: 0})
	if err != nil {
		t.Fatal(err)
	}
	rs := strip(f, -3, 0.15, 21, 0)
	in, err := Interpolate(rs, StatedBase(0.1), RefuseFalling)
	if err != nil {
		t.Fatal(err)
	}
	fit, err := Fit(rs, StatedBase(0.1))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []Curve{f, in, fit} {
		for _, x := range []LogH{-3.1, 0.1, LogH(math.NaN()), LogH(math.Inf(1)), LogH(math.Inf(-1))} {
			if d, err := c.Density(x); !said.Is("", err, ErrOutside) {
				t.Errorf("%T: density at %v is %v, %v", c, x, d, err)
			}
			if g, err := c.Slope(x); !said.Is("", err, ErrOutside) {
				t.Errorf("%T: slope at %v is %v, %v", c, x, g, err)
			}
		}
		if x, err := c.LogH(5); !said.Is("", err, ErrNotReached) || !strings.Contains(err.Error(), "more light") {
			t.Errorf("%T: density 5 at %v, %v", c, x, err)
		}
		if x, err := c.LogH(Density(math.NaN())); !said.Refused("", err) {
			t.Errorf("%T: density NaN at %v", c, x)
		}
		// A tablet that starts too late: the error says what is missing.
		late, err := Interpolate(rs[10:], StatedBase(0.1), RefuseFalling)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := SpeedPoint(late); !said.Is("", err, ErrNotReached) || !strings.Contains(err.Error(), "below the first step") {
			t.Errorf("speed point below the first step: %v", err)
		}
		if _, err := AverageGradient(in); err != nil {
			t.Error(err)
		}
		early, err := Interpolate(rs[:12], StatedBase(0.1), RefuseFalling)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := AverageGradient(early); !said.Is("", err, ErrNotReached) || !strings.Contains(err.Error(), "more light") {
			t.Errorf("average gradient beyond the last step: %v", err)
		}
		if _, err := ContrastIndex(early); !said.Is("", err, ErrNotReached) {
			t.Errorf("contrast index beyond the last step: %v", err)
		}
	}
}

// Readings no curve can be drawn through, for both kinds of curve.
func TestBadReadings(t *testing.T) {
	said := held.New(t)
	f := closedForm(t, 0)
	good := strip(f, -1, 0.15, 21, 0.1)
	with := func(i int, change func(*Reading)) []Reading {
		rs := append([]Reading(nil), good...)
		change(&rs[i])
		return rs
	}
	nan, inf := math.NaN(), math.Inf(1)
	reversed := append([]Reading(nil), good...)
	for i := range reversed {
		reversed[i].Density = good[len(good)-1-i].Density
	}
	flat := append([]Reading(nil), good...)
	for i := range flat {
		flat[i].Density = 0.1 + 0.04*Density(i)/20
	}
	for _, c := range []struct {
		name        string
		rs          []Reading
		base        Base
		fit, interp error // nil where it must work
	}{
		{"good", good, StatedBase(0.1), nil, nil},
		{"any order", shuffled(good, 3), StatedBase(0.1), nil, nil},
		{"empty", nil, StatedBase(0.1), ErrInput, ErrInput},
		{"one reading", good[:1], StatedBase(0.1), ErrInput, ErrInput},
		{"five readings", good[5:9], UnexposedBase(0.1), ErrInput, nil},
		{"NaN density", with(3, func(r *Reading) { r.Density = Density(nan) }), StatedBase(0.1), ErrInput, ErrInput},
		{"infinite density", with(3, func(r *Reading) { r.Density = Density(inf) }), StatedBase(0.1), ErrInput, ErrInput},
		{"NaN exposure", with(3, func(r *Reading) { r.LogH = LogH(nan) }), StatedBase(0.1), ErrInput, ErrInput},
		{"no exposure at all", with(3, func(r *Reading) { r.LogH = LogH(-inf) }), StatedBase(0.1), ErrInput, ErrInput},
		{"negative deviation", with(3, func(r *Reading) { r.SD = -0.01 }), StatedBase(0.1), ErrInput, ErrInput},
		{"NaN deviation", with(3, func(r *Reading) { r.SD = nan }), StatedBase(0.1), ErrInput, ErrInput},
		{"NaN base", good, StatedBase(Density(nan)), ErrInput, ErrInput},
		{"negative base", good, UnexposedBase(0.1, -0.1), ErrInput, ErrInput},
		{"no base", good, Base{}, nil, ErrInput},
		{"below base", good, StatedBase(0.4), ErrInput, ErrInput},
		{"reversed tablet", reversed, StatedBase(0.05), ErrFalls, ErrFalls},
		{"never reaches 0.10", flat, StatedBase(0.1), ErrNotReached, nil},
		{"same exposure throughout", []Reading{{0, 1, 0}, {0, 1, 0}, {0, 1.1, 0}}, StatedBase(0), ErrInput, ErrInput},
		{"falls once", with(10, func(r *Reading) { r.Density -= 0.15 }), StatedBase(0.1), nil, ErrFalls},
	} {
		fit, err := Fit(c.rs, c.base)
		if !said.Is("", err, c.fit) || (err == nil) != (c.fit == nil) || (fit == nil) != (err != nil) {
			t.Errorf("fit, %s: %v; want %v", c.name, err, c.fit)
		}
		in, err := Interpolate(c.rs, c.base, RefuseFalling)
		if !said.Is("", err, c.interp) || (err == nil) != (c.interp == nil) || (in == nil) != (err != nil) {
			t.Errorf("interpolation, %s: %v; want %v", c.name, err, c.interp)
		}
	}
	in, err := Interpolate(flat, StatedBase(0.1), RefuseFalling)
	if err != nil {
		t.Fatal(err)
	}
	if x, err := SpeedPoint(in); !said.Is("", err, ErrNotReached) {
		t.Errorf("a strip that never reaches 0.10 has its speed point at %v, %v", x, err)
	}
	// More than one crossing: refused, or pooled to one on request.
	twice := strip(f, -1, 0.15, 21, 0.1)
	twice[7].Density, twice[8].Density = 0.22, 0.19
	if _, err := Interpolate(twice, StatedBase(0.1), RefuseFalling); !said.Is("", err, ErrFalls) {
		t.Errorf("crossing 0.20 three times: %v", err)
	}
	pooled, err := Interpolate(twice, StatedBase(0.1), PoolFalling)
	if err != nil {
		t.Fatal(err)
	}
	if x, err := SpeedPoint(pooled); err != nil || !(x > twice[6].LogH && x < twice[9].LogH) {
		t.Errorf("pooled speed point %v, %v", x, err)
	}
}

func TestInterpolatedProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 200 {
		n := 2 + rng.IntN(30)
		rs := make([]Reading, n)
		x, d := -4.0, 0.1
		for i := range rs {
			x += 0.02 + 0.3*rng.Float64()
			if rng.IntN(3) > 0 {
				d += 0.5 * rng.Float64() * rng.Float64()
			}
			rs[i] = Reading{LogH: LogH(x), Density: Density(d)}
		}
		c, err := Interpolate(shuffled(rs, 1), StatedBase(0.1), RefuseFalling)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rs { // goes through the readings
			if got, err := c.Density(r.LogH); err != nil || math.Abs(float64(got-r.Density)) > 1e-12 {
				t.Errorf("density %v at a reading of %v, %v", got, r.Density, err)
			}
		}
		lo, hi := c.Domain()
		prev := Density(-1)
		for k := 0; k <= 400; k++ {
			x := min(lo+(hi-lo)*LogH(float64(k)/400), hi)
			d, err := c.Density(x)
			if err != nil {
				t.Fatal(err)
			}
			if d < prev-1e-13 {
				t.Fatalf("falls from %v to %v at %v", prev, d, x)
			}
			prev = d
			g, _ := c.Slope(x)
			if g < 1e-3 {
				continue
			}
			if back, err := c.LogH(d); err != nil || math.Abs(float64(back-x)) > 1e-10 {
				t.Errorf("inverse of %v gives %v, want %v, %v", d, back, x, err)
			}
		}
	}
}

// Repeated readings count as what they are.
func TestRepeatedReadings(t *testing.T) {
	f := closedForm(t, 0)
	var once, thrice []Reading
	rng := rand.New(rand.NewPCG(8, 8))
	for _, r := range strip(f, -1, 0.15, 21, 0.1) {
		var sum Density
		for range 3 {
			d := r.Density + Density(0.01*rng.NormFloat64())
			sum += d
			thrice = append(thrice, Reading{r.LogH, d, 0.01})
		}
		once = append(once, Reading{r.LogH, sum / 3, 0.01 / math.Sqrt(3)})
	}
	a, err := Fit(once, StatedBase(0.1))
	if err != nil {
		t.Fatal(err)
	}
	b, err := Fit(shuffled(thrice, 2), StatedBase(0.1))
	if err != nil {
		t.Fatal(err)
	}
	ea, err := a.Estimate(MeasureOf(SpeedPoint), Gamma)
	if err != nil {
		t.Fatal(err)
	}
	eb, err := b.Estimate(MeasureOf(SpeedPoint), Gamma)
	if err != nil {
		t.Fatal(err)
	}
	for i := range ea { // the fit settles to a few hundredths of a deviation
		if w := ea[i].High - ea[i].Low; !(math.Abs(ea[i].Value-eb[i].Value) < 0.02*w && math.Abs(eb[i].High-eb[i].Low-w) < 0.02*w) {
			t.Errorf("means %v, single readings %v", ea, eb)
		}
	}
	// Two readings with unequal deviations weigh by them.
	c, err := Interpolate([]Reading{{0, 1, 0.01}, {0, 2, 0.02}, {1, 3, 0.01}}, StatedBase(0), RefuseFalling)
	if err != nil {
		t.Fatal(err)
	}
	if d, _ := c.Density(0); math.Abs(float64(d)-1.2) > 1e-12 {
		t.Errorf("weighted mean %v, want 1.2", d)
	}
}

// The fit recovers a form from its own values, with and without shoulder. The
// deviation says that they are exact: readings without one are believed to about 0.001
// only, so that the weak priors still pull by some units of the fifth decimal. The mean
// curve is cubic between points 0.05 apart.
func TestFitRecovers(t *testing.T) {
	for i := range closedForms {
		f := closedForm(t, i)
		for phase := 0.0; phase < 0.15; phase += 0.03 {
			rs := strip(f, -1.2+phase, 0.15, 26, 0.2)
			for i := range rs {
				rs[i].SD = 1e-5
			}
			fit, err := Fit(rs, UnexposedBase(0.2))
			if err != nil {
				t.Fatal(err)
			}
			w := closedForms[i]
			if x := must(SpeedPoint(fit)); math.Abs(x-w.xm) > 1e-5 {
				t.Errorf("log Hm %v, want %v", x, w.xm)
			}
			if ci := must(ContrastIndex(fit)); math.Abs(ci-w.ci) > 1e-5 {
				t.Errorf("contrast index %v, want %v", ci, w.ci)
			}
		}
	}
	want := Constants{BaseFog: 0.15, Gamma: 0.7, Toe: -2.2, ToeWidth: 0.17, Shoulder: 1.5, Sharpness: 5}
	f, err := NewClosedForm(want)
	if err != nil {
		t.Fatal(err)
	}
	rs := strip(f, -3.2, 0.15, 27, 0)
	for i := range rs {
		rs[i].SD = 1e-4
	}
	fit, err := Fit(rs, UnexposedBase(0.15))
	if err != nil {
		t.Fatal(err)
	}
	form, ok := fit.ClosedForm()
	if !ok {
		t.Fatal("no closed form")
	}
	got := form.Constants()
	for name, p := range map[string][2]float64{
		"base": {float64(got.BaseFog), float64(want.BaseFog)}, "gamma": {got.Gamma, want.Gamma}, "toe": {float64(got.Toe), float64(want.Toe)},
		"width": {got.ToeWidth, want.ToeWidth}, "shoulder": {float64(got.Shoulder), float64(want.Shoulder)}, "sharpness": {got.Sharpness, want.Sharpness},
	} {
		if math.Abs(p[0]-p[1]) > 1e-3*math.Abs(p[1]) {
			t.Errorf("%s %v, want %v", name, p[0], p[1])
		}
	}
}

func TestMillionReadings(t *testing.T) {
	if testing.Short() {
		t.Skip("a million readings")
	}
	f := closedForm(t, 0)
	rng := rand.New(rand.NewPCG(3, 3))
	rs := make([]Reading, 1_000_000)
	for i := range rs {
		x := LogH(-1 + 0.15*float64(i%21))
		rs[i] = Reading{x, 0.1 + f.density(x) + Density(0.01*rng.NormFloat64()), 0.01}
	}
	fit, err := Fit(rs, Base{})
	if err != nil {
		t.Fatal(err)
	}
	if x := must(SpeedPoint(fit)); math.Abs(x-closedForms[0].xm) > 1e-3 {
		t.Errorf("log Hm %v, want %v", x, closedForms[0].xm)
	}
	for i := range rs {
		rs[i].LogH = LogH(-1 + 3*float64(i)/1e6)
		rs[i].Density = 0.1 + f.density(rs[i].LogH)
	}
	c, err := Interpolate(rs, StatedBase(0.1), RefuseFalling)
	if err != nil {
		t.Fatal(err)
	}
	if x := must(SpeedPoint(c)); math.Abs(x-closedForms[0].xm) > 1e-6 {
		t.Errorf("log Hm %v, want %v", x, closedForms[0].xm)
	}
}

func TestScatter(t *testing.T) {
	f := closedForm(t, 0)
	rng := rand.New(rand.NewPCG(4, 4))
	for _, known := range []bool{true, false} {
		var rs []Reading
		for range 20 {
			for _, r := range strip(f, -1, 0.15, 21, 0.1) {
				r.Density += Density(0.01 * rng.NormFloat64())
				if known {
					r.SD = 0.01
				}
				rs = append(rs, r)
			}
		}
		fit, err := Fit(rs, StatedBase(0.1))
		if err != nil {
			t.Fatal(err)
		}
		want := 0.01
		if known {
			want = 1
		}
		if s := fit.Scatter(); math.Abs(s/want-1) > 0.1 {
			t.Errorf("scatter %v, want about %v", s, want)
		}
	}
}
