package robust

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.10g, want %.10g within %.2g", what, got, want, tol)
	}
}

// Ten values from a teaching note on robust estimation, with its printed
// median 149.5 and MAD 5.5; the z-scores are computed from them.
func TestMAD(t *testing.T) {
	x := []float64{145, 157, 183, 151, 143, 147, 153, 163, 130, 148}
	med, mad := MAD(x)
	near(t, "median", med, 149.5, 0)
	near(t, "MAD", mad, 5.5, 0)
	_, s := Scale(x, 0)
	near(t, "1.4826 MAD", s, 8.1543, 5e-5)
	near(t, "z of 183", (x[2]-med)/s, 4.1083, 5e-5)
	near(t, "z of 130", (x[8]-med)/s, -2.3914, 5e-5)
	if x[0] != 145 || x[9] != 148 {
		t.Error("the sample was changed")
	}
}

// A pair that hides itself from the ordinary z-score, after Iglewicz and
// Hoaglin (data from memory, results computed).
func TestMaskedPair(t *testing.T) {
	x := []float64{2.1, 2.6, 2.4, 2.5, 2.3, 2.1, 2.3, 2.6, 8.2, 8.3}
	med, mad := MAD(x)
	near(t, "median", med, 2.45, 1e-12)
	near(t, "MAD", mad, .15, 1e-12)
	// 0.6745 of the distance over the MAD, as the book rounds it.
	near(t, "z of 8.2", 0.6745*(x[8]-med)/mad, 25.8558, 5e-5)
	near(t, "z of 8.3", 0.6745*(x[9]-med)/mad, 26.3055, 5e-5)
}

func TestScaleFallsBack(t *testing.T) {
	x := []float64{5, 5, 5, 5, 5, 6, 5}
	if _, mad := MAD(x); mad != 0 {
		t.Fatal(mad)
	}
	_, s := Scale(x, 0)
	near(t, "mean deviation", s, 1.2533141373/7, 1e-9)
	_, s = Scale(x, .25)
	near(t, "floor", s, .25, 0)
}

func TestNotFinite(t *testing.T) {
	for _, x := range [][]float64{nil, {math.NaN(), 1}, {1, math.Inf(1), 2}} {
		if m := Median(x); !math.IsNaN(m) {
			t.Errorf("median of %v is %v", x, m)
		}
		if _, m := MAD(x); !math.IsNaN(m) {
			t.Errorf("MAD of %v is %v", x, m)
		}
		if _, s := Scale(x, 1); !math.IsNaN(s) {
			t.Errorf("scale of %v is %v", x, s)
		}
	}
}
