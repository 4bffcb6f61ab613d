package corrections

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/actinic/sensito/printed/printedtest"
)

// foreignLaw has laws whose forms the checker does not hold, in stops of failure over
// x = log2 m: a square root beyond an onset, a power of 1.5, an arc tangent, the branch of a
// hyperbola, slopes that grow every two stops.
func foreignLaw(family int, u []float64) func(m float64) float64 {
	x0 := -2 + 4*u[0]
	var of func(d float64) float64 // of the distance from the onset
	switch family {
	case 0:
		a, b := 0.4+1.2*u[1], 0.5+3*u[2]
		of = func(d float64) float64 { return a * (math.Sqrt(1+d/b) - 1) }
	case 1:
		a := 0.02 + 0.06*u[1]
		of = func(d float64) float64 { return a * math.Pow(d, 1.5) }
	case 2:
		a, middle, w := 0.3+0.6*u[1], 2+4*u[2], 1+2*u[3]
		of = func(d float64) float64 { return a * (math.Atan((d-middle)/w) + math.Atan(middle/w)) }
	case 3:
		slope, bend := 0.1+0.3*u[1], 0.2+0.8*u[2]
		of = func(d float64) float64 { return math.Hypot(slope*d, bend) - bend }
	default:
		of = func(d float64) float64 {
			y := 0.0
			for k := range 5 {
				y += 0.08 * u[min(k, len(u)-1)] * max(d-2*float64(k), 0) // a bend at every two stops
			}
			return y
		}
	}
	return beyondOnset(x0, of)
}

// beyondOnset is failure by a distance from an onset, both log2, in stops.
func beyondOnset(x0 float64, of func(d float64) float64) func(m float64) float64 {
	return func(m float64) float64 { return m * math.Exp2(of(max(0, math.Log2(m)-x0))) }
}

// TestStudyOfForeignLaws is TestStudy by laws whose forms are not the checker's; the
// figures of the long run, -tables 660, are in the doc of the package.
func TestStudyOfForeignLaws(t *testing.T) {
	n := 12
	if *long > 0 {
		n = *long
	}
	if testing.Short() {
		t.Skip("hundreds of tables")
	}
	for _, k := range []kind{digits, thirds} {
		t.Run(k.String(), func(t *testing.T) { study(t, k, n, foreignLaw) })
	}
}

// TestStudyOfHeldLaws is TestStudy by laws that nothing was tuned on.
func TestStudyOfHeldLaws(t *testing.T) {
	if *long == 0 {
		t.Skip("only in the long run: -tables 660")
	}
	for _, k := range []kind{digits, thirds} {
		t.Run(k.String(), func(t *testing.T) { study(t, k, *long, heldLaw) })
	}
}

// TestWithoutScatter prints what would be found in two digits were there no makers who scatter:
// at a cut-off under which 2 of 100 clean tables without a scatter are accused. The figures of
// the long run, -tables 660, are in the doc of the package.
func TestWithoutScatter(t *testing.T) {
	n := 12
	if *long > 0 {
		n = *long
	}
	if testing.Short() {
		t.Skip("hundreds of tables")
	}
	for _, of := range []struct {
		name string
		law  lawOf
	}{{"the checker's own", studyLaw}, {"foreign", foreignLaw}, {"held", heldLaw}} {
		r := rand.New(rand.NewPCG(19, 0))
		draw := func() []Row {
			rows, _ := drawTableBy(r, digits, 7+r.IntN(2), 0, of.law)
			return rows
		}
		var clean []float64
		for range 2 * n {
			_, v := suspect(draw())
			clean = append(clean, v)
		}
		slices.Sort(clean)
		cut := clean[2*n-1-2*n*2/100]
		for _, s := range slips[:3] {
			hits := 0
			for k := 0; k < n; {
				rows := draw()
				wrong := spoil(r, rows, s, digits)
				if wrong == nil {
					continue
				}
				k++
				if row, v := suspect(rows); slices.Contains(wrong, row) && v > cut {
					hits++
				}
			}
			t.Logf("laws %s, %s: found %s", of.name, s, printedtest.Rate(hits, n))
			if hits*2 < n {
				t.Errorf("laws %s, %s: found %d of %d", of.name, s, hits, n)
			}
		}
	}
}

// suspect is the likeliest slip of a table, and its odds beside those of the cut-off.
func suspect(rows []Row) (row int, odds float64) {
	points, _ := (&adjusted{rows: rows}).points()
	w := weigh(points)
	for k, p := range w.p {
		if v := p * (1 - w.cutOff(k)) / (w.cutOff(k) * max(1-p, 1e-12)); v > odds {
			row, odds = points[k].row, v
		}
	}
	return row, odds
}
