package sensito

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
)

// Readings of all kinds, films or not: a fit that is made gives a rising curve whose
// points, closed form and intervals no other function refuses.
func TestWhatFitGivesIsTaken(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 7))
	made, closed := 0, 0
	rounds := 120
	if testing.Short() {
		rounds = 40
	}
	for round := range rounds {
		n := 6 + rng.IntN(25)
		rs := make([]Reading, n)
		x, step := -3.5+rng.NormFloat64()/3, 0.1+0.3*rng.Float64()
		film := &studyFilms[rng.IntN(len(studyFilms))]
		for i := range rs {
			d := film.d(x, film.p) + 0.01*rng.NormFloat64()
			switch round % 5 {
			case 1: // no film
				d = 2 * rng.Float64()
			case 2: // noise upon a slope that hardly is one
				d = 0.2 + 0.05*float64(i)/float64(n) + 0.05*rng.Float64()
			case 3: // a step
				d = 0.2 + 1.5*math.Round(float64(i)/float64(n))
			}
			rs[i] = Reading{LogH: LogH(x), Density: Density(max(d, 0)), SD: float64(round%2) * 0.01}
			x += step
		}
		base := UnexposedBase(Density(max(0, film.p[0]+0.01*rng.NormFloat64())))
		switch round % 4 {
		case 1:
			base = Base{}
		case 2:
			base = StatedBase(Density(film.p[0]))
		}
		fit, err := Fit(rs, base)
		if err != nil {
			if !errors.Is(err, ErrInput) && !errors.Is(err, ErrNotReached) && !errors.Is(err, ErrFalls) {
				t.Errorf("round %d: %v", round, err)
			}
			continue
		}
		made++
		points, err := fit.Points(0.1)
		if err != nil {
			t.Fatalf("round %d: points: %v", round, err)
		}
		c, err := Interpolate(points, StatedBase(fit.BaseFog()), RefuseFalling)
		if err != nil {
			t.Fatalf("round %d: the points are refused: %v", round, err)
		}
		if lo, hi := fit.Domain(); points[0].LogH != lo || points[len(points)-1].LogH != hi {
			t.Errorf("round %d: points from %v to %v, curve from %v to %v", round, points[0].LogH, points[len(points)-1].LogH, lo, hi)
		}
		a, errA := SpeedPoint(fit)
		b, errB := SpeedPoint(c)
		if (errA == nil) == (errB == nil) && errA == nil && round%5 == 0 && !(math.Abs(float64(a-b)) < 1e-3) {
			t.Errorf("round %d: log Hm %v, through the points %v", round, a, b)
		}
		if form, ok := fit.ClosedForm(); ok {
			closed++
			if _, err := NewClosedForm(form.Constants()); err != nil {
				t.Errorf("round %d: the closed form is refused: %v", round, err)
			}
		}
		for _, m := range []Measure{MeasureOf(SpeedPoint), AverageGradient, Gamma, ContrastIndex, ISOContrast, LogIndex(FractionalGradient)} {
			if _, err := m(fit); err != nil {
				continue
			}
			es, err := fit.Estimate(m)
			if err != nil {
				t.Fatalf("round %d: %v", round, err)
			}
			e := es[0]
			if known := e.Low == e.Low; known != (e.High == e.High) || known && !(e.Low <= e.Value && e.Value <= e.High) || math.IsInf(e.Low, 0) || math.IsInf(e.High, 0) {
				t.Errorf("round %d: %v", round, e)
			}
		}
		if _, err := json.Marshal(fit.Account()); err != nil {
			t.Errorf("round %d: account: %v", round, err)
		}
		if _, err := json.Marshal(fit.Findings()); err != nil {
			t.Errorf("round %d: findings: %v", round, err)
		}
	}
	if made < rounds/2 || closed < rounds/30 {
		t.Errorf("%d fits and %d closed forms of %d", made, closed, rounds)
	}
}

// A strip as it should be, from which the tests below spoil.
func cleanStrip(n int, step, sd float64, seed uint64) ([]Reading, Base) {
	f := &studyFilms[1]
	rng := rand.New(rand.NewPCG(seed, 3))
	var rs []Reading
	for i := range n {
		x := -3.35 + step*float64(i)
		rs = append(rs, Reading{LogH(x), Density(f.d(x, f.p) + sd*rng.NormFloat64()), sd})
	}
	return rs, UnexposedBase(Density(f.p[0] + sd*rng.NormFloat64()))
}

func TestWildReadingIsNamed(t *testing.T) {
	truth := must(SpeedPoint(studyFilms[1].curve(studyFilms[1].p)))
	for _, at := range []int{2, 9, 17} {
		rs, base := cleanStrip(21, 0.15, 0.01, 5)
		rs[at].Density += 0.12
		slices.Reverse(rs) // steps count in the order given
		fit, err := Fit(rs, base)
		if err != nil {
			t.Fatal(err)
		}
		fs := fit.Findings()
		if len(fs) != 1 || fs[0].What != FindWild || fs[0].Step != 21-at || !(math.Abs(float64(fs[0].Shift)-0.12) < 0.03) || !(fs[0].Probability > 0.9) {
			t.Errorf("reading %d: %v", at, fs)
			continue
		}
		e := fs[0].Effect
		if e == nil || !(math.Abs(e.Without.Value-e.With.Value) > 0) {
			t.Errorf("reading %d: effect %v", at, e)
		}
		es, err := fit.Estimate(MeasureOf(SpeedPoint))
		if err != nil || !(es[0].Low <= truth && truth <= es[0].High) || !(es[0].High-es[0].Low < 0.15) {
			t.Errorf("reading %d: log Hm %v, want %v, %v", at, es, truth, err)
		}
		if !strings.Contains(fs[0].String(), "step") {
			t.Errorf("%v", fs[0])
		}
	}
}

// A toe sharper than the steps show, on which a fit of constants ran to a bound and
// printed log Hm ± 1232.
func TestSharpToe(t *testing.T) {
	densities := []Density{
		.2378, .2459, .2373, .2462, .2461, .2551, .2579, .3418, .3767, .4562, .5112, .5726, .6337, .6897, .7443,
		.8238, .8737, .9539, 1.0012, 1.0739, 1.1248, 1.1883, 1.2432, 1.3099, 1.3743, 1.4382, 1.4982,
	}
	var rs []Reading
	for i, d := range densities {
		rs = append(rs, Reading{-3.351 + 0.15*LogH(i), d, 0.01})
	}
	fit, err := Fit(rs, UnexposedBase(0.227))
	if err != nil {
		t.Fatal(err)
	}
	es, err := fit.Estimate(MeasureOf(SpeedPoint), AverageGradient)
	if err != nil {
		t.Fatal(err)
	}
	for i, widest := range []float64{0.15, 0.03} {
		if w := es[i].High - es[i].Low; !(w > 0 && w < widest) {
			t.Errorf("measure %d: %v", i, es[i])
		}
	}
}

func TestLeakIsNamed(t *testing.T) {
	rs, base := cleanStrip(21, 0.15, 0.01, 6)
	for i := range 5 {
		rs[i].Density += 0.12
	}
	fit, err := Fit(rs, base)
	if err != nil {
		t.Fatal(err)
	}
	fs := fit.Findings()
	if len(fs) != 1 || fs[0].What != FindLeak || fs[0].Step < 4 || fs[0].Step > 6 || !(math.Abs(float64(fs[0].Shift)-0.12) < 0.04) {
		t.Errorf("%v", fs)
	}
}

// Deviations stated at a third of the truth widen the interval and are found.
func TestNoiseIsFound(t *testing.T) {
	rs, base := cleanStrip(21, 0.15, 0.015, 7)
	right, err := Fit(rs, base)
	if err != nil {
		t.Fatal(err)
	}
	for i := range rs {
		rs[i].SD /= 3
	}
	wrong, err := Fit(rs, base)
	if err != nil {
		t.Fatal(err)
	}
	fs := wrong.Findings()
	if !slices.ContainsFunc(fs, func(f Finding) bool { return f.What == FindNoise }) || len(right.Findings()) > 0 {
		t.Errorf("%v; as it should be %v", fs, right.Findings())
	}
	a, _ := right.Estimate(AverageGradient)
	b, _ := wrong.Estimate(AverageGradient)
	if r := (b[0].High - b[0].Low) / (a[0].High - a[0].Low); !(r > 0.7 && r < 2) {
		t.Errorf("interval %v, as it should be %v", b[0], a[0])
	}
	if x := wrong.Scatter(); !(x > 2 && x < 4.5) {
		t.Errorf("scatter %v", x)
	}
}

func TestFormIsFound(t *testing.T) {
	for _, f := range studyFilms {
		rng := rand.New(rand.NewPCG(8, 8))
		var rs []Reading
		for i := range 21 {
			x := -3.2 + 0.15*float64(i)
			rs = append(rs, Reading{LogH(x), Density(f.d(x, f.p) + 0.01*rng.NormFloat64()), 0.01})
		}
		fit, err := Fit(rs, UnexposedBase(Density(f.p[0])))
		if err != nil {
			t.Fatal(err)
		}
		found := slices.ContainsFunc(fit.Findings(), func(x Finding) bool { return x.What == FindForm && x.LogH > -3.3 && x.LogH < 0 })
		if want := f.name == "long toe" || f.name == "upswept" || f.name == "two emulsions"; found != want {
			t.Errorf("%s: %v", f.name, fit.Findings())
		}
		if a := fit.Account(); f.name == "two emulsions" && a.Form != FormDeparture || f.form && a.Form == FormDeparture {
			t.Errorf("%s: %v", f.name, a.Weights)
		}
	}
}

func TestAccount(t *testing.T) {
	rs, base := cleanStrip(21, 0.15, 0.01, 9)
	fit, err := Fit(rs, base)
	if err != nil {
		t.Fatal(err)
	}
	a := fit.Account()
	sum := 0.0
	for _, w := range a.Weights {
		sum += w
	}
	if !(math.Abs(sum-1) < 1e-9) || a.ChiSquare == nil || a.Scatter != nil || !(a.DegreesOfFreedom > 14 && a.DegreesOfFreedom < 19) ||
		!(*a.ChiSquare > 5 && *a.ChiSquare < 35) || len(a.Residuals) != 21 || len(a.UnexposedResiduals) != 1 {
		t.Errorf("%+v", a)
	}
	for i, r := range rs {
		if d := must(fit.Density(r.LogH)); !(math.Abs(float64(r.Density)-d-float64(a.Residuals[i])) < 1e-12) {
			t.Errorf("residual %d is %v", i, a.Residuals[i])
		}
		rs[i].SD = 0
	}
	fit, err = Fit(rs, base)
	if err != nil {
		t.Fatal(err)
	}
	if a := fit.Account(); a.ChiSquare != nil || a.Scatter == nil || !(*a.Scatter > 0.006 && *a.Scatter < 0.015) {
		t.Errorf("%+v", a)
	}
}

// Nothing panics on what is empty.
func TestEmptyCurves(t *testing.T) {
	said := held.New(t)
	curves := map[string]Curve{
		"nil": nil, "nil fit": (*Fitted)(nil), "no fit": &Fitted{}, "nil interpolated": (*Interpolated)(nil), "not interpolated": &Interpolated{},
		"nil form": (*ClosedForm)(nil), "no form": &ClosedForm{},
	}
	for name, c := range curves {
		if _, err := Rate(c, FixedDensity); !said.Is(name, err, ErrInput) {
			t.Errorf("%s: Rate: %v", name, err)
		}
		for i, m := range []Measure{MeasureOf(SpeedPoint), MeasureOf(FractionalGradientPoint), MeasureOf(ContrastIndexFoot), AverageGradient, Gamma, ContrastIndex, ISOContrast,
			func(c Curve) (float64, error) { return DensityRange(c, -2, 2, 0.4) },
			func(c Curve) (float64, error) { return ChordGradient(c, -2, -1) },
			func(c Curve) (float64, error) { _, hi, _, err := UsefulRange(c, 0.2); return float64(hi), err }} {
			if v, err := m(c); !said.Refused(name, err) {
				t.Errorf("%s: measure %d is %v", name, i, v)
			}
		}
		if c == nil {
			continue
		}
		_, err1 := c.Density(0)
		_, err2 := c.Slope(0)
		_, err3 := c.LogH(1)
		if err1 == nil || err2 == nil || err3 == nil || c.BaseFog() == c.BaseFog() {
			t.Errorf("%s: %v, %v, %v, base plus fog %v", name, err1, err2, err3, c.BaseFog())
		}
		if _, err := json.Marshal(c); !said.Refused("", err) {
			if s := name; !strings.HasPrefix(s, "nil") { // a nil pointer is null
				t.Errorf("%s is stored", name)
			}
		}
	}
	var none *Fitted
	if len(none.Findings()) > 0 || none.Account().Form != "" || !math.IsNaN(none.Scatter()) {
		t.Error("an empty fit has findings")
	}
	if _, err := none.Estimate(AverageGradient); !said.Refused("", err) {
		t.Error("an empty fit is measured")
	}
	if _, err := none.Points(0.1); !said.Refused("", err) {
		t.Error("an empty fit has points")
	}
	if _, ok := none.ClosedForm(); ok {
		t.Error("an empty fit has a closed form")
	}
	rs, base := cleanStrip(11, 0.3, 0.01, 1)
	fit, err := Fit(rs, base)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := fit.Estimate(nil); !said.Is("", err, ErrInput) {
		t.Errorf("a nil measure: %v", err)
	}
	if _, err := fit.Resample(Sampling{}, nil); !said.Is("", err, ErrInput) {
		t.Errorf("a nil measure: %v", err)
	}
	for _, step := range []LogH{0, -1, LogH(math.NaN()), 1e-9} {
		if _, err := fit.Points(step); !said.Is("", err, ErrInput) {
			t.Errorf("points every %v: %v", step, err)
		}
	}
}

// Units that are not those asked for are refused with the cure, by both.
func TestUnitsAreRefused(t *testing.T) {
	said := held.New(t)
	rs, base := cleanStrip(11, 0.3, 0, 2)
	percent, seconds := slices.Clone(rs), slices.Clone(rs)
	for i := range rs {
		percent[i].Density = Density(100 * rs[i].Density.Transmittance())
		seconds[i].LogH = LogH(rs[i].LogH.LuxSeconds())
	}
	for name, c := range map[string]struct {
		rs   []Reading
		cure string
	}{"percent": {percent, "percent"}, "lux seconds": {seconds, "log10"}} {
		_, err := Fit(c.rs, base)
		_, err2 := Interpolate(c.rs, base, PoolFalling)
		for _, err := range []error{err, err2} {
			if !said.Is(name, err, ErrInput) || !strings.Contains(err.Error(), c.cure) || strings.Contains(err.Error(), "lsq") {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	if _, err := Fit(rs, UnexposedBase(60)); !said.Is("", err, ErrInput) || !strings.Contains(err.Error(), "percent") {
		t.Errorf("base in percent: %v", err)
	}
}
