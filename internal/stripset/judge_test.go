package stripset

import (
	"errors"
	"math"
	"slices"
	"testing"
)

// What is named of weighed hypotheses: one that is likelier than all others together, else the strip that most of
// them are about where all is well is not as likely as not; both strips of an exchange count.
func TestJudge(t *testing.T) {
	none := Finding{Other: -1}
	about := func(k Kind, strip, other int) Finding { return Finding{Kind: k, Strip: strip, Other: other} }
	for _, c := range []struct {
		name string
		p    []float64 // of all well, fog of the first strip, exchanged second and third, speed of the third, exchanged second and first
		want Finding
		ok   bool
	}{
		{"all well", []float64{1, 0, 0, 0, 0}, none, false},
		{"as likely as not", []float64{0.5, 0.5, 0, 0, 0}, none, false},
		{"a fog", []float64{0.4375, 0.5625, 0, 0, 0}, about(Fog, 0, -1), true},
		{"a fog, though all well comes near", []float64{0.4921875, 0.5078125, 0, 0, 0}, about(Fog, 0, -1), true},
		{"an exchange", []float64{0.125, 0, 0.75, 0, 0.125}, about(Swapped, 1, 2), true},
		{"the third, both ways", []float64{0.125, 0.0625, 0.375, 0.4375, 0}, about(Unlike, 2, -1), true},
		{"the second, in two exchanges", []float64{0.125, 0, 0.5, 0, 0.375}, about(Unlike, 1, -1), true},
		{"the first of equals", []float64{0.25, 0.25, 0.25, 0, 0.25}, about(Unlike, 0, -1), true},
		{"not quite all well", []float64{0.484375, 0.265625, 0, 0.25, 0}, about(Unlike, 0, -1), true},
		{"just all well", []float64{0.5, 0.25, 0, 0.25, 0}, none, false},
	} {
		var hs []hypothesis
		for i, f := range []Finding{none, about(Fog, 0, -1), about(Swapped, 1, 2), about(Slower, 2, -1), about(Swapped, 1, 0)} {
			hs = append(hs, hypothesis{Finding: f, p: c.p[i]})
		}
		got, ok := newSet(some(3)).judge(hs)
		probability := got.Probability
		if got.Probability = 0; ok != c.ok || ok && got != c.want {
			t.Errorf("%s: %+v, %t", c.name, got, ok)
		}
		if got.Kind != Unlike {
			continue
		}
		want := 0.0
		for i, in := range [][]int{nil, {0}, {1, 2}, {2}, {1, 0}} {
			if slices.Contains(in, got.Strip) {
				want += c.p[i]
			}
		}
		if probability != want {
			t.Errorf("%s: probability %v, want %v", c.name, probability, want)
		}
	}
}

// Strips that cannot be are refused by both, with what is wrong; what is at a bound is not.
func TestStripsAtTheBounds(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	spoilt := func(do func(s *Strip)) []Strip {
		ss := some(3)
		for i := range ss { // numbers that print short
			ss[i] = Strip{Minutes: 4 + 2*float64(i), Value: [measures]float64{0.25, -2 - 0.125*float64(i), -0.5 + 0.125*float64(i)}}
			for a := range measures {
				ss[i].Cov[a][a] = 0.0001
			}
		}
		do(&ss[1])
		return ss
	}
	for _, c := range []struct {
		do   func(s *Strip)
		want string // empty for none
	}{
		{func(*Strip) {}, ""},
		{func(s *Strip) { s.Minutes = 0 }, "strip 2 was developed 0 min"},
		{func(s *Strip) { s.Minutes = -1 }, "strip 2 was developed -1 min"},
		{func(s *Strip) { s.Minutes = nan }, "strip 2 was developed NaN min"},
		{func(s *Strip) { s.Minutes = inf }, "strip 2 was developed +Inf min"},
		{func(s *Strip) { s.Minutes = 0.5 }, ""},
		{func(s *Strip) { s.Value[Speed] = inf }, "strip 2 has [0.25 +Inf -0.375]"},
		{func(s *Strip) { s.Value[Base] = -inf }, "strip 2 has [-Inf -2.125 -0.375]"},
		{func(s *Strip) { s.Value[LnGradient] = nan }, ""},
		{func(s *Strip) { s.Cov[Base][Base] = 0 }, ""},
		{func(s *Strip) { s.Cov[Base][Base] = -1 }, "strip 2 has variance -1"},
		{func(s *Strip) { s.Cov[Speed][Speed] = nan }, "strip 2 has variance NaN"},
		{func(s *Strip) { s.Cov[Speed][Speed] = inf }, "strip 2 has covariance [[0.0001 0 0] [0 +Inf 0] [0 0 0.0001]]"},
		{func(s *Strip) { s.Cov[Base][Speed], s.Cov[Speed][Base] = nan, nan }, "strip 2 has covariance [[0.0001 NaN 0] [NaN 0.0001 0] [0 0 0.0001]]"},
		{func(s *Strip) { s.Cov[Base][LnGradient] = 0.5 }, "strip 2 has covariance [[0.0001 0 0.5] [0 0.0001 0] [0 0 0.0001]]"},
		{func(s *Strip) { s.Cov[Base][LnGradient], s.Cov[LnGradient][Base] = 0.00005, 0.00005 }, ""},
		// Of a measure that is not there nothing is asked.
		{func(s *Strip) { s.Value[Base], s.Cov[Base][Base], s.Cov[Base][Speed] = nan, -1, 0.5 }, ""},
		{func(s *Strip) { s.Value[Speed], s.Cov[Base][Speed], s.Cov[Speed][Speed] = nan, nan, nan }, ""},
	} {
		ss := spoilt(c.do)
		_, err := Compare(ss)
		_, err2 := NewCourse(ss, nil)
		for i, err := range []error{err, err2} {
			if c.want == "" && err != nil || c.want != "" && (!errors.Is(err, ErrStrips) || err.Error() != "stripset: unusable strips: "+c.want) {
				t.Errorf("%d: %v, want %q", i, err, c.want)
			}
		}
	}
	for _, c := range []struct {
		do    func(s *Strip)
		leave []bool
		want  string
	}{
		{func(s *Strip) { s.Value[Speed] = 1e200 }, nil, "the speed points do not determine their course"},
		{func(s *Strip) { s.Value[Speed] = 1e200 }, []bool{false, true}, ""},
		{func(s *Strip) { s.Value[Speed] = nan }, nil, ""},
		{func(s *Strip) { s.Value[Speed] = nan }, []bool{true}, "speed points at one development, want two or more"},
		{func(s *Strip) { s.Minutes = 4 }, []bool{false, false, true}, "speed points at one development, want two or more"},
		{func(*Strip) {}, []bool{true, true, true}, "speed points at one development, want two or more"},
	} {
		if _, err := NewCourse(spoilt(c.do), c.leave); c.want == "" && err != nil || c.want != "" && (!errors.Is(err, ErrStrips) || err.Error() != "stripset: unusable strips: "+c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}

// No development is of no time, however near the shortest one is; those below a minute are as others.
func TestShortDevelopments(t *testing.T) {
	ss := some(3)
	for i, minutes := range []float64{0.01, 0.5, 5} {
		ss[i].Minutes = minutes
	}
	c, err := NewCourse(ss, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range []float64{0, -0.005} {
		if _, _, ok := c.At(m); ok {
			t.Errorf("at %v min", m)
		}
		if _, _, ok := c.Move(m, 1); ok {
			t.Errorf("from %v min", m)
		}
		if _, _, ok := c.Move(1, m); ok {
			t.Errorf("to %v min", m)
		}
	}
	for _, m := range [][2]float64{{0.02, 0.9}, {0.9, 0.02}, {0.6, 4}, {0.01, 5}} {
		change, sd, ok := c.Move(m[0], m[1])
		a, _, ok2 := c.At(m[0])
		b, _, ok3 := c.At(m[1])
		if !ok || !ok2 || !ok3 || math.Abs(change-(a-b)) > 1e-12 || !(sd > 0) {
			t.Errorf("%v: %v, want %v, sd %v", m, change, a-b, sd)
		}
	}
	if by, sd, ok := c.Move(0.4, 0.4); by != 0 || sd != 0 || !ok {
		t.Errorf("by nothing: %v, %v, %v", by, sd, ok)
	}
}
