package robust

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// What is said of one value and of two is what the likelihoods without them say, worked
// out anew by gonum.
func TestCurve(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const n = 9
	x, y := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i], y[i] = 1+float64(i)+r.Float64()/2, r.NormFloat64()
	}
	at := func(i, k int) float64 {
		v := Wiener(x[i], x[k], 0.1)
		if i == k {
			v += 0.01
		}
		return v
	}
	c := NewCurve(n)
	for i := range n {
		c.Y[i] = y[i]
		for k := range i + 1 {
			c.K[i*n+k] = at(i, k)
		}
	}
	if !c.Invert() {
		t.Fatal("not positive")
	}
	slow := func(keep []int) float64 {
		m := len(keep)
		k, v := mat.NewSymDense(m, nil), mat.NewVecDense(m, nil)
		for a, i := range keep {
			v.SetVec(a, y[i])
			for b, j := range keep {
				k.SetSym(a, b, at(i, j))
			}
		}
		var ch mat.Cholesky
		ch.Factorize(k)
		var z mat.VecDense
		if err := ch.SolveVecTo(&z, v); err != nil {
			t.Fatal(err)
		}
		return -0.5*mat.Dot(v, &z) - 0.5*ch.LogDet() - 0.5*float64(m)*math.Log(2*math.Pi)
	}
	var all []int
	for i := range n {
		all = append(all, i)
	}
	without := func(drop ...int) (out []int) {
		for _, i := range all {
			if i != drop[0] && (len(drop) < 2 || i != drop[1]) {
				out = append(out, i)
			}
		}
		return out
	}
	if d := c.LogLikelihood() - slow(all); math.Abs(d) > 1e-8 {
		t.Error("likelihood", d)
	}
	for i := range n {
		_, _, l := c.Without(i)
		if d := c.LogLikelihood() - l - slow(without(i)); math.Abs(d) > 1e-8 {
			t.Error(i, d)
		}
		for k := range i {
			l, ok := c.WithoutTwo(i, k)
			if d := c.LogLikelihood() - l - slow(without(i, k)); !ok || math.Abs(d) > 1e-8 {
				t.Error(i, k, d)
			}
		}
	}
}
