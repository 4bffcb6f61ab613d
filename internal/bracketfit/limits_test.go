package bracketfit

import (
	"math/rand/v2"
	"testing"
)

// A frame is named from a probability of 0.6 on, one reading of it from 0.9 on.
func TestNamedFrom(t *testing.T) {
	d := design{family: "form", frames: 10, step: 1. / 3, strip: 21, sd: 0.015, scatter: 0.05}
	b, _, _ := d.draw(rand.New(rand.NewPCG(1, 1)))
	q, _ := b.problem()
	m := &mixture{q: q, base: q.newView(), known: q.sdKnown(&b)}
	if err := m.run(); err != nil {
		t.Fatal(err)
	}
	row := 0
	for q.rows[row].frame != 3 {
		row++
	}
	for _, c := range []struct {
		what   hypothesis
		weight float64
		named  bool
	}{
		{hypothesis{-1, 3}, 0.59, false}, {hypothesis{-1, 3}, 0.61, true},
		{hypothesis{row, -1}, 0.61, false}, {hypothesis{row, -1}, 0.89, false}, {hypothesis{row, -1}, 0.91, true},
	} {
		seen := map[hypothesis]bool{}
		for i := range m.parts {
			p := &m.parts[i]
			p.weight = 0
			if !seen[p.hypothesis] {
				switch p.hypothesis {
				case c.what:
					p.weight = c.weight
				case hypothesis{-1, -1}:
					p.weight = 1 - c.weight
				}
			}
			seen[p.hypothesis] = true
		}
		if !seen[c.what] {
			t.Fatalf("%+v was not tried", c.what)
		}
		found := m.findings()
		if named := len(found) == 1 && found[0].Frame == 3; named != c.named || len(found) > 1 {
			t.Errorf("%+v with %.2f: %+v", c.what, c.weight, found)
		}
	}
}
