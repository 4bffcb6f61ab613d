package filters

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// Edges are taken up to their bounds and no further, and a band has to begin before it ends.
func TestEdgesAtTheBounds(t *testing.T) {
	for _, c := range []struct {
		at, width, peak float64
		want            bool
	}{
		{500, 20, 0.9, true}, {100, 20, 0.9, true}, {99.9, 20, 0.9, false}, {5000, 20, 0.9, true}, {5001, 20, 0.9, false},
		{500, 0.01, 0.9, true}, {500, 0.0099, 0.9, false}, {500, 200, 0.9, true}, {500, 200.5, 0.9, false}, {500, 20, 1, true},
		{500, 20, 1.001, false}, {500, 20, 0, false}, {500, 20, -0.1, false}, {math.NaN(), 20, 0.9, false}, {500, math.NaN(), 0.9, false}, {500, 20, math.NaN(), false},
	} {
		if edge(c.at, c.width, c.peak) != c.want {
			t.Errorf("%+v", c)
		}
		_, err1 := LongPass(c.at, c.width, c.peak)
		_, err2 := ShortPass(c.at, c.width, c.peak)
		for _, err := range []error{err1, err2} {
			if (err == nil) != c.want || err != nil && !errors.Is(err, ErrInvalid) {
				t.Errorf("%+v: %v", c, err)
			}
		}
	}
	for _, c := range []struct {
		on, off float64
		want    string
	}{
		{500, 500.5, ""}, {500, 500, "filters: invalid data: band-pass from 500 nm (width 20) to 500 nm (width 30), peak 0.9"},
		{501, 500, "filters: invalid data: band-pass from 501 nm (width 20) to 500 nm (width 30), peak 0.9"}, {99, 500, "filters: invalid data: band-pass from 99 nm (width 20) to 500 nm (width 30), peak 0.9"},
		{500, 5001, "filters: invalid data: band-pass from 500 nm (width 20) to 5001 nm (width 30), peak 0.9"},
	} {
		if _, err := BandPass(c.on, 20, c.off, 30, 0.9); (err == nil) != (c.want == "") || err != nil && err.Error() != c.want {
			t.Errorf("%v to %v: %v", c.on, c.off, err)
		}
	}
	// 10 and 90 % lie half the width to either side of the middle.
	for _, width := range []float64{0.01, 20, 200} {
		for u, want := range map[float64]float64{-0.5: 0.1, 0: 0.5, 0.5: 0.9} {
			if got := rise(500+u*width, 500, width); math.Abs(got-want) > 1e-9 {
				t.Errorf("width %v, %v of it beyond the middle: %v, want %v", width, u, got, want)
			}
		}
	}
}

// Least squares without negative values: against what they must be (Karush, Kuhn and Tucker), and equations that do not
// tell two values apart are refused.
func TestLeastSquaresWithoutNegatives(t *testing.T) {
	a := mat.NewDense(5, 4, []float64{3, 1, 0, 1, 1, 4, 1, 0, 0, 1, 5, 2, 2, 0, 1, 3, 1, 1, 1, 1})
	held := 0
	for k := range 40 {
		b := make([]float64, 5)
		for i := range b {
			b[i] = math.Sin(float64(1 + 7*k + 3*i*i))
		}
		x, err := nnls(a, b)
		if err != nil {
			t.Fatal(err)
		}
		r := mat.NewVecDense(5, nil)
		r.MulVec(a, mat.NewVecDense(4, x))
		r.SubVec(mat.NewVecDense(5, b), r)
		var w mat.VecDense
		w.MulVec(a.T(), r)
		for j, v := range x {
			// What is positive cannot be bettered, what is 0 would have to be negative.
			if v < 0 || v > 0 && math.Abs(w.AtVec(j)) > 1e-9 || v == 0 && w.AtVec(j) > 1e-9 {
				t.Errorf("%d: value %d is %v with slope %v", k, j, v, w.AtVec(j))
			}
			if v == 0 {
				held++
			}
		}
	}
	if held == 0 || held == 160 {
		t.Errorf("%d of 160 values are held at 0", held)
	}
	for _, same := range []*mat.Dense{mat.NewDense(2, 2, []float64{1, 1, 1, 1}), mat.NewDense(3, 2, []float64{1, 2, 2, 4, 3, 6})} {
		rows, _ := same.Dims()
		b := []float64{1, 2, 3}[:rows]
		if x, err := nnls(same, b); err == nil {
			t.Errorf("two values that are not told apart: %v", fmt.Sprint(x))
		}
	}
}
