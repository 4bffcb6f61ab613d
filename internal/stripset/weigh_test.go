package stripset

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) && got != want {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// The density of the measures is that of the normal distribution with the covariance written down, S + scatter + X P X';
// a departure of one of them gains what a variance more there would.
func TestGaussianIsItsCovariance(t *testing.T) {
	ss := some(4)
	ss[2].Value[LnGradient] = math.NaN()
	s := newSet(ss)
	s.out[1][Base] = true
	density := func(f float64, at int, more float64) float64 { // without 2 pi, with a variance more at a measure
		var rows []entry
		for i := range ss {
			for a := range measures {
				if !(i == 2 && a == LnGradient) && !(i == 1 && a == Base) {
					rows = append(rows, entry{i, a})
				}
			}
		}
		cov, y := mat.NewSymDense(len(rows), nil), mat.NewVecDense(len(rows), nil)
		for i, e := range rows {
			u := math.Log(ss[e.strip].Minutes / 10)
			pr := priors[e.measure]
			y.SetVec(i, ss[e.strip].Value[e.measure]-pr[0][0]-pr[1][0]*u-pr[2][0]*u*u)
			for k, h := range rows {
				v, c := math.Log(ss[h.strip].Minutes/10), 0.0
				if e.strip == h.strip {
					c += ss[e.strip].Cov[e.measure][h.measure]
				}
				if e.measure == h.measure {
					c += pr[0][1]*pr[0][1] + pr[1][1]*pr[1][1]*u*v + pr[2][1]*pr[2][1]*u*u*v*v
				}
				if i == k {
					c += f * f * process[e.measure] * process[e.measure]
				}
				if i == k && i == at {
					c += more
				}
				cov.SetSym(i, k, c)
			}
		}
		var chol mat.Cholesky
		chol.Factorize(cov)
		var x mat.VecDense
		if err := chol.SolveVecTo(&x, y); err != nil {
			t.Fatal(err)
		}
		return -0.5*chol.LogDet() - 0.5*mat.Dot(y, &x)
	}
	for _, f := range []float64{0.5, 1, 4} {
		g, ok := s.gaussian(s.u, f)
		if !ok || len(g.rows) != 10 {
			t.Fatalf("%d rows", len(g.rows))
		}
		plain := density(f, -1, 0)
		within(t, "density", g.logL, plain, 1e-8*math.Abs(plain))
		inv := g.l.Inverse()
		for k := range g.rows {
			for _, a := range []float64{0.02, 0.3} {
				_, gain := g.shift(k, inv.At(k, k), a)
				within(t, fmt.Sprintf("gain of row %d", k), gain, density(f, k, a*a)-plain, 1e-7)
			}
		}
	}
	// Of a wide departure the size is by how much the measure is off the others: 0.2 more moves it by that.
	size := func() float64 {
		g, _ := s.gaussian(s.u, 1)
		size, _ := g.shift(4, g.l.Inverse().At(4, 4), 1e6)
		return size
	}
	before := size()
	e := s.g.rows[4]
	s.strips[e.strip].Value[e.measure] += 0.2
	within(t, "size", size()-before, 0.2, 1e-6)
	for i := range s.out {
		s.out[i] = [measures]bool{true, true, true}
	}
	if _, ok := s.gaussian(s.u, 1); ok {
		t.Error("a density of nothing")
	}
}

// What is tried: each two strips of different times that no finding exchanged, other times than the written one, a fog
// from three strips on; and what is set aside is not tried again.
func TestWhatIsTried(t *testing.T) {
	tried := func(s *set) (swaps, times []Finding, minutes map[int][]float64) {
		minutes = map[int][]float64{}
		s.swaps(1, 0, func(f Finding, _, _ float64) { swaps = append(swaps, f) })
		s.times(1, 0, func(f Finding, size, _ float64) {
			if !slices.Contains(times, f) {
				times = append(times, f)
			}
			minutes[f.Strip] = append(minutes[f.Strip], size)
		})
		return swaps, times, minutes
	}
	ss := some(4)
	ss[3].Minutes = ss[0].Minutes
	s := newSet(ss)
	u := slices.Clone(s.u)
	swaps, times, minutes := tried(s)
	if fmt.Sprint(swaps) != "[{swapped 0 1 0 0} {swapped 0 2 0 0} {swapped 1 2 0 0} {swapped 1 3 0 0} {swapped 2 3 0 0}]" || fmt.Sprint(times) != "[{time 0 -1 0 0} {time 1 -1 0 0} {time 2 -1 0 0} {time 3 -1 0 0}]" {
		t.Errorf("%v, %v", swaps, times)
	}
	lo, hi := slices.Min(u)-0.7, slices.Max(u)+0.7
	for i, at := range minutes {
		var want []float64
		for k := range 19 {
			if v := lo + (hi-lo)*float64(k)/18; math.Abs(v-u[i]) > 0.08 {
				want = append(want, 10*math.Exp(v))
			}
		}
		if len(at) != len(want) {
			t.Fatalf("strip %d: %v, want %v", i, at, want)
		}
		for k := range at {
			within(t, "a time", at[k], want[k], 1e-9)
		}
	}
	if !slices.Equal(s.u, u) {
		t.Error("times were changed")
	}
	s.apart(Finding{Kind: Swapped, Strip: 1, Other: 2})
	if s.u[1] != u[2] || s.u[2] != u[1] || s.u[0] != u[0] {
		t.Errorf("%v of %v", s.u, u)
	}
	if swaps, times, _ = tried(s); len(swaps) != 0 || fmt.Sprint(times) != "[{time 0 -1 0 0} {time 3 -1 0 0}]" { // 0 and 3 are of one time
		t.Errorf("%v, %v", swaps, times)
	}
	for kind, want := range map[Kind][measures]bool{Fog: {true, false, false}, Slower: {false, true, false}, Contrast: {false, false, true}, Time: {true, true, true}, Unlike: {}} {
		s := newSet(ss)
		s.apart(Finding{Kind: kind, Strip: 2, Other: -1})
		if s.out[2] != want || s.out[1] != [measures]bool{} || !slices.Equal(s.u, u) {
			t.Errorf("%v: %v", kind, s.out)
		}
	}
	kindsOf := func(ss []Strip) map[Kind]int {
		n := map[Kind]int{}
		hs, ok := newSet(ss).weigh()
		sum := 0.0
		for _, h := range hs {
			n[h.Kind]++
			sum += h.p
			if h.p != h.Probability {
				t.Errorf("%+v", h)
			}
		}
		if within(t, "sum of probabilities", sum, 1, 1e-12); !ok || hs[0].Finding.Strip != 0 || hs[0].Kind != 0 || hs[0].Other != -1 {
			t.Errorf("%+v", hs[0])
		}
		return n
	}
	if n := kindsOf(some(2)); n[Fog] != 0 || n[Time] != 0 || n[Swapped] != 1 || n[Slower] != 2 || n[Contrast] != 2 {
		t.Errorf("two strips: %v", n)
	}
	fogged := some(3)
	fogged[1].Value[Base] += 0.15
	if n := kindsOf(fogged); n[Fog] == 0 || n[Time] != 3 || n[Swapped] != 3 || n[Slower] != 3 || n[Contrast] != 3 {
		t.Errorf("three strips: %v", n)
	}
}
