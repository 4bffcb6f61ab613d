package stripset

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/held"
)

func some(n int) []Strip {
	ss, _ := roll{strips: n, from: 5, to: 18, scatter: 1}.draw(rand.New(rand.NewPCG(5, 5)))
	return ss
}

func TestNoFindingOfEqualTimes(t *testing.T) {
	ss := some(4)
	ss[2].Minutes = ss[1].Minutes
	ss[2].Value = ss[1].Value
	got, err := Compare(ss)
	if err != nil || len(got.Findings) != 0 {
		t.Fatalf("%+v, %v", got, err)
	}
	ss[1], ss[2] = ss[2], ss[1] // exchanged, and nothing depends on it
	if got, err := Compare(ss); err != nil || len(got.Findings) != 0 {
		t.Fatalf("%+v, %v", got, err)
	}
}

func TestTwoThings(t *testing.T) {
	ss := some(6)
	ss[1].Value[Base] += 0.15
	ss[4].Value[Base] += 0.12
	got, err := Compare(ss)
	if err != nil || len(got.Findings) != 2 {
		t.Fatalf("%+v, %v", got, err)
	}
	found := map[int]bool{}
	for _, f := range got.Findings {
		found[f.Strip] = f.Kind == Fog
	}
	if !found[1] || !found[4] {
		t.Errorf("%+v", got.Findings)
	}
}

func TestMissingMeasures(t *testing.T) {
	ss := some(5)
	ss[0].Value[LnGradient] = math.NaN()
	ss[4].Value[Speed] = math.NaN()
	ss[2].Value[Base] += 0.15
	got, err := Compare(ss)
	if err != nil || len(got.Findings) != 1 || got.Findings[0].Kind != Fog || got.Findings[0].Strip != 2 {
		t.Fatalf("%+v, %v", got, err)
	}
	if s := got.Findings[0].Size; !(s > 0.1 && s < 0.2) {
		t.Errorf("fog of %v", s)
	}
	for i := range ss {
		ss[i].Value = [3]float64{math.NaN(), math.NaN(), math.NaN()}
	}
	if got, err := Compare(ss); err != nil || len(got.Findings) != 0 {
		t.Fatalf("nothing to weigh: %+v, %v", got, err)
	}
	if got, err := Compare(nil); err != nil || len(got.Findings) != 0 {
		t.Fatalf("no strips: %+v, %v", got, err)
	}
}

func TestRefuses(t *testing.T) {
	said := held.New(t)
	for name, spoil := range map[string]func(*Strip){
		"time 0":            func(s *Strip) { s.Minutes = 0 },
		"time NaN":          func(s *Strip) { s.Minutes = math.NaN() },
		"infinite":          func(s *Strip) { s.Value[Speed] = math.Inf(1) },
		"negative variance": func(s *Strip) { s.Cov[Base][Base] = -1 },
		"NaN covariance":    func(s *Strip) { s.Cov[Base][Speed] = math.NaN() },
	} {
		ss := some(3)
		spoil(&ss[1])
		if _, err := Compare(ss); !said.Is(name, err, ErrStrips) || !said.Is(name, err, check.ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := NewCourse(ss, nil); !said.Is(name, err, ErrStrips) {
			t.Errorf("%s, course: %v", name, err)
		}
	}
}

func TestCourse(t *testing.T) {
	said := held.New(t)
	ss := some(4)
	c, err := NewCourse(ss, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, outside := range []float64{4, 19, 0, -1, math.NaN(), math.Inf(1)} {
		if _, _, ok := c.At(outside); ok {
			t.Errorf("%v min: a speed point", outside)
		}
		if _, _, ok := c.Move(10, outside); ok {
			t.Errorf("moved to %v min", outside)
		}
		if _, _, ok := c.Move(outside, 10); ok {
			t.Errorf("moved from %v min", outside)
		}
	}
	there, sd, ok := c.Move(6, 15)
	back, _, _ := c.Move(15, 6)
	if !ok || math.Abs(there+back) > 1e-12 || !(sd > 0) {
		t.Errorf("there %v, back %v, sd %v", there, back, sd)
	}
	a, _, _ := c.At(6)
	b, _, _ := c.At(15)
	if math.Abs(there-(a-b)) > 1e-12 {
		t.Errorf("moved by %v, want %v", there, a-b)
	}
	if s := (b - a) / 9; !(c.Slope(10) < 0 && s < 0) {
		t.Errorf("slope %v", c.Slope(10))
	}
	if _, err := NewCourse(ss[:1], nil); !said.Is("", err, ErrStrips) {
		t.Errorf("one strip: %v", err)
	}
	if _, err := NewCourse(ss, []bool{false, true, true, true}); !said.Is("", err, ErrStrips) {
		t.Errorf("three left out: %v", err)
	}
}
