package main

import (
	"math"
	"strings"
	"testing"

	"example.org/actinic/sensito/structure"
)

// A strong edge that development has sharpened until its thin side is clearer than no film has
// no response, and says why; a weaker one has.
func TestSharpenedBeyondFilm(t *testing.T) {
	for _, c := range []struct {
		thin, over float64
		within     bool
	}{{0.95, 0.12, false}, {0.95, 0, true}, {0.6, 0.12, true}} {
		const w, h = 120, 160
		v := make([]float64, w*h)
		for y := range h {
			for x := range w {
				d := float64(x) - w/2 - 0.09*float64(y-h/2)
				step := 0.5 * (1 + math.Erf(d/2))
				ring := c.over * math.Exp(-math.Pow(d-5, 2)/18)
				v[y*w+x] = 0.05 + (c.thin-0.05)*(step+ring)
			}
		}
		edge, err := structure.FindEdge(v, w, h, 4)
		if err != nil {
			t.Fatal(err)
		}
		b := &bench{res: &result{}}
		low, high := edge.Sides()
		if got := b.withinFilm(edge, low, high); got != c.within || got == (len(b.res.Limits) > 0) {
			t.Errorf("%+v: %v, %v", c, got, b.res.Limits)
		}
		if !c.within && !strings.Contains(b.res.Limits[0], "less contrast") {
			t.Error(b.res.Limits)
		}
	}
}
