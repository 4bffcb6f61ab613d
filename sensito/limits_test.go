package sensito

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/filmfit"
)

// noisyStrip is a strip of n steps of a film of the closed form, with a deviation of 0.01
// and so much stated.
func noisyStrip(t *testing.T, n int, stated float64) *Fitted {
	t.Helper()
	r := rand.New(rand.NewPCG(8, uint64(n)))
	f := &studyFilms[1]
	var rs []Reading
	for i := range n {
		x := -3.4 + 3*float64(i)/float64(n-1)
		rs = append(rs, Reading{LogH: LogH(x), Density: Density(f.d(x, f.p) + 0.01*r.NormFloat64()), SD: stated})
	}
	fit, err := Fit(rs, UnexposedBase(Density(f.p[0])))
	if err != nil {
		t.Fatal(err)
	}
	return fit
}

// A reading is named as wild from a probability of 0.7 on. With few steps one of two is
// named where something is wild with 0.3, and then only if it strays from the curve.
func TestWildLimits(t *testing.T) {
	for _, c := range []struct {
		steps  int
		chance float64 // that a reading is wild, in halves of two where none is likeliest
		two    bool
		off    float64 // by which the readings lie off, in standard deviations
		want   int
	}{
		{21, 0.69, false, 6, 0}, {21, 0.71, false, 6, 1}, {21, 0.71, false, 0, 1},
		{7, 0.29, true, 6, 0}, {7, 0.31, true, 6, 2}, {7, 0.31, true, 3.5, 2}, {7, 0.31, true, 2.5, 0},
	} {
		f := *noisyStrip(t, c.steps, 0.01)
		d := *f.data
		f.data, f.findings = &d, nil
		d.Y = append([]float64(nil), d.Y...)
		for _, i := range []int{2, 4} {
			on, err := f.Density(LogH(d.X[i]))
			if err != nil {
				t.Fatal(err)
			}
			d.Y[i] = float64(on) + c.off*0.01*f.weighed.Heaviest().Noise
		}
		f.weighed.Doubts = []filmfit.Doubt{{}, {Wild: []int{2}}}
		f.weighed.Chances = []float64{1 - c.chance, c.chance}
		if c.two {
			f.weighed.Doubts = append(f.weighed.Doubts, filmfit.Doubt{Wild: []int{4}})
			f.weighed.Chances = []float64{1 - c.chance, c.chance / 2, c.chance / 2}
		}
		f.findWild()
		if len(f.findings) != c.want {
			t.Errorf("%d steps, %+v: %d findings, want %d: %v", c.steps, c, len(f.findings), c.want, f.findings)
		}
	}
}

// The noise is found anew where chance would give such a scatter once in five times, and
// not where it would more often.
func TestDoubtfulDeviations(t *testing.T) {
	last := math.Inf(-1)
	doubted := false
	for stated := 0.012; stated > 0.004; stated *= 0.98 {
		f := noisyStrip(t, 21, stated)
		if f.widened < 1 { // it was
			if !(f.widened < 0.2 && f.widened > 0.1) || !(last >= 0.2 && last < 0.3) {
				t.Errorf("found anew at a chance of %.3f, not at %.3f", f.widened, last)
			}
			doubted = true
			break
		}
		h := f.weighed.Heaviest()
		last = filmfit.Chance(h.ChiSquare, f.freedom(h))
	}
	if !doubted {
		t.Error("never doubted")
	}
}
