package printed_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/printedtest"
)

// Columns of growth, of exposure against distance and of characteristic curves, rounded to
// two places or digits; none is a Wiener process.
func drawFree(r *rand.Rand) printed.Series {
	n := 8 + r.IntN(6)
	s := printed.Series{Column: "y", X: make([]float64, n), Y: make([]float64, n), Step: []float64{0.01}, Additive: true}
	kind := r.IntN(3)
	a, b := 0.5+r.Float64(), 0.05+0.3*r.Float64()
	for i := range n {
		x := float64(i + 1)
		s.X[i] = x
		switch kind {
		case 0:
			s.Y[i] = a * (1 - math.Exp(-b*x))
		case 1:
			s.Y[i] = 0.1 + 2*a/(1+math.Exp(-(x-5)*0.6))
		default:
			s.Y[i] = a * x * (1 + b*x/10)
		}
		s.Y[i] = math.Round(s.Y[i]*100) / 100
	}
	return s
}

func TestFreeStudy(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	n, clean, found, other := 600, 0, 0, 0
	for range n {
		s := drawFree(r)
		rep, err := printed.CheckFree(s)
		if err != nil {
			t.Fatal(err)
		}
		if rep.Accused() > 0 {
			clean++
		}
		i := r.IntN(len(s.Y))
		s.Y[i] = math.Round(s.Y[i]*1.5*100) / 100
		if rep, err = printed.CheckFree(s); err != nil {
			t.Fatal(err)
		}
		hit := false
		for _, f := range rep.Findings {
			if f.Confidence == printed.High {
				hit = hit || f.Row == i+1
				if f.Row != i+1 {
					other++
				}
			}
		}
		if hit {
			found++
		}
	}
	t.Logf("clean accused %s; 50 %% slips found %s, other rows accused %d", printedtest.Rate(clean, n), printedtest.Rate(found, n), other)
	if clean*50 > n || found*100 < 75*n || other*20 > n {
		t.Errorf("clean accused %d, found %d, others %d of %d", clean, found, other, n)
	}
}

// An additive column is judged by differences: a calibrated step tablet whose noise is half
// a unit of its last place is clean, exposure values and negative logarithms are read.
func TestAdditive(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	accused := 0
	for range 300 {
		s := printed.Series{Column: "density", Step: []float64{0.01}, Additive: true, Order: 1, Law: func(x float64) float64 { return 0.05 + 0.15*x }, Words: "steps of 0.15"}
		for i := range 21 {
			s.X = append(s.X, float64(i))
			s.Y = append(s.Y, math.Round((0.05+0.15*float64(i)+0.005*r.NormFloat64())*100)/100)
		}
		rep, err := printed.CheckSeries(s)
		if err != nil {
			t.Fatal(err)
		}
		if rep.Accused() > 0 {
			accused++
		}
	}
	if t.Logf("clean step tablets accused: %s", printedtest.Rate(accused, 300)); accused > 6 {
		t.Errorf("%d of 300 accused", accused)
	}
	rep, err := printed.CheckSeries(printed.Series{Column: "ev", X: []float64{0, 1, 2, 3, 4}, Y: []float64{-1, 0, 1, 3, 3}, Step: []float64{1}, Additive: true, Law: func(x float64) float64 { return x - 1 }, Words: "one a row"})
	if err != nil || rep.Accused() != 0 {
		t.Errorf("%v %+v: a unit of the last place is rounding", err, rep)
	}
	rep, err = printed.CheckSeries(printed.Series{Column: "log H", X: []float64{0, 1, 2, 3, 4}, Y: []float64{-2.4, -2.1, -1.8, -1.2, -1.2}, Step: []float64{0.1}, Additive: true, Law: func(x float64) float64 { return -2.4 + 0.3*x }, Words: "steps of 0.3"})
	if err != nil || rep.Accused() != 1 || rep.Findings[0].Row != 4 {
		t.Errorf("%v %+v", err, rep)
	}
}

// Five rows to sixty, of different x, can be held against each other.
func TestFreeRefuses(t *testing.T) {
	said := held.New(t)
	column := func(n int, x func(i int) float64) printed.Series {
		s := printed.Series{Column: "y", Step: []float64{0.1}, Additive: true}
		for i := range n {
			s.X, s.Y = append(s.X, x(i)), append(s.Y, math.Round(20*math.Sqrt(float64(i+1)))/10)
		}
		return s
	}
	rising := func(i int) float64 { return float64(i + 1) }
	for _, n := range []int{5, 60} {
		if rep, err := printed.CheckFree(column(n, rising)); err != nil || rep.Accused() != 0 {
			t.Errorf("%d rows: %v, %v", n, rep, err)
		}
	}
	for _, s := range []printed.Series{column(4, rising), column(61, rising), column(9, func(int) float64 { return 3 }), column(9, func(i int) float64 { return math.Inf(i) })} {
		if _, err := printed.CheckFree(s); !said.Is("", err, datafile.ErrData) {
			t.Errorf("%d rows at %v: %v", len(s.X), s.X[0], err)
		}
	}
}
