package stripset

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/held"
)

// What rolls of one seed give is what it was, clean and with one thing wrong: the figures in
// the docs, of many rolls, come from these.
func TestDigits(t *testing.T) {
	said := held.New(t)
	spoils := []struct {
		name string
		do   func(ss []Strip)
	}{
		{"clean", func([]Strip) {}},
		{"fog", func(ss []Strip) { ss[1].Value[Base] += 0.05 }},
		{"speed", func(ss []Strip) { ss[1].Value[Speed] += 0.2 }},
		{"contrast", func(ss []Strip) { ss[len(ss)-1].Value[LnGradient] += 0.15 }},
		{"exchanged", func(ss []Strip) { ss[0].Minutes, ss[1].Minutes = ss[1].Minutes, ss[0].Minutes }},
		{"time", func(ss []Strip) { ss[len(ss)/2].Minutes *= 1.4 }},
	}
	for _, n := range []int{2, 3, 5, 7} {
		for _, spoil := range spoils {
			ss, _ := roll{strips: n, from: 5, to: 18, scatter: 1}.draw(rand.New(rand.NewPCG(5, uint64(n))))
			spoil.do(ss)
			got, err := Compare(ss)
			if err != nil {
				t.Fatal(err)
			}
			name := fmt.Sprintf("%d strips, %s", n, spoil.name)
			said.Values(name, got.PNone)
			for i, f := range got.Findings {
				said.Values(fmt.Sprintf("%s, finding %d", name, i+1), f.Kind, f.Strip, f.Other, f.Probability, f.Size)
			}
		}
		ss, _ := roll{strips: n, from: 5, to: 18, scatter: 1}.draw(rand.New(rand.NewPCG(5, uint64(n))))
		c, err := NewCourse(ss, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range []float64{5, 9, 18} {
			h, sd, _ := c.At(m)
			by, sdBy, _ := c.Move(9, m)
			near, sdNear, _ := c.Move(m, min(m+0.2, 17.5))
			said.Values(fmt.Sprintf("course of %d strips at %g min", n, m), h, sd, by, sdBy, near, sdNear, c.Slope(m))
		}
	}
	for k := range Unlike + 2 {
		said.Values("kinds", fmt.Sprint(uint8(k)), k.String())
	}
}

// A second beyond the strips' times is still of them, more is not.
func TestASecondBeyond(t *testing.T) {
	c, err := NewCourse(some(3), nil)
	if err != nil {
		t.Fatal(err)
	}
	const second = 1.0 / 60
	from, to := c.Range()
	for _, at := range []struct {
		min float64
		ok  bool
	}{{from - 0.99*second, true}, {from - 1.01*second, false}, {to + 0.99*second, true}, {to + 1.01*second, false}} {
		if _, _, ok := c.At(at.min); ok != at.ok {
			t.Errorf("%v min of %v to %v: %v", at.min, from, to, ok)
		}
	}
	// The slope is that of the course.
	const h = 1e-5
	a, _, _ := c.At(9 - h)
	b, _, _ := c.At(9 + h)
	if got, want := c.Slope(9), (b-a)/(2*h); !(got/want > 1-1e-7 && got/want < 1+1e-7) {
		t.Errorf("slope %v, by differences %v", got, want)
	}
}
