package robust

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
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
	z := ModifiedZ(x, 0)
	near(t, "z of 183", z[2], 4.1083, 5e-5)
	near(t, "z of 130", z[8], -2.3914, 5e-5)
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
	z := ModifiedZ(x, 0)
	near(t, "z of 8.2", z[8], 25.8558, 5e-5)
	near(t, "z of 8.3", z[9], 26.3055, 5e-5)
	out, _, _ := GeneralizedESD(x, 3, .05)
	if d := cmp.Diff([]int{9, 8}, out); d != "" {
		t.Error(d)
	}
	// One at a time the first is missed: R_1 is below λ_1.
	_, r, l := GeneralizedESD(x, 1, .05)
	if r[0] > l[0] {
		t.Errorf("R %v > λ %v: the pair does not mask itself", r[0], l[0])
	}
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
	if z := ModifiedZ([]float64{3, 3, 3}, 0); z[0] != 0 || z[2] != 0 {
		t.Errorf("equal values: %v", z)
	}
}

// Rosner's 54 values with the statistics and critical values printed in the
// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.3 (public domain):
// three outliers, although the first two steps alone find none. The printed
// figures are from memory; they are cut off after three decimals, not rounded,
// so a computed value lies from 0 to 0.001 above them.
func TestGeneralizedESD(t *testing.T) {
	x := []float64{-0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58, 1.65,
		1.69, 1.70, 1.76, 1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15, 2.23, 2.24, 2.26, 2.35,
		2.37, 2.40, 2.47, 2.54, 2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21, 3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34,
		5.42, 6.01}
	out, r, l := GeneralizedESD(x, 10, .05)
	approx := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-9 })
	for _, v := range [][]float64{r, l} {
		for i := range v {
			v[i] = math.Floor(v[i]*1000) / 1000
		}
	}
	if d := cmp.Diff([]float64{3.118, 2.942, 3.179, 2.810, 2.815, 2.848, 2.279, 2.310, 2.101, 2.067}, r, approx); d != "" {
		t.Errorf("statistics:\n%s", d)
	}
	if d := cmp.Diff([]float64{3.158, 3.151, 3.143, 3.136, 3.128, 3.120, 3.111, 3.103, 3.094, 3.085}, l, approx); d != "" {
		t.Errorf("critical values:\n%s", d)
	}
	if d := cmp.Diff([]int{53, 52, 51}, out); d != "" {
		t.Error(d)
	}
}

// Uranium isotope measurements of Tietjen and Moore (1972), NIST/SEMATECH
// e-Handbook 1.3.5.17.1 (data from memory; results computed).
func TestGrubbs(t *testing.T) {
	x := []float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}
	out, r, l := GeneralizedESD(x, 1, .05)
	near(t, "G", r[0], 2.468765, 5e-7)
	near(t, "two-sided critical value", l[0], 2.126645, 5e-7)
	near(t, "one-sided critical value", Rosner(8, 1, .1), 2.031652, 5e-7)
	if !slices.Equal(out, []int{7}) {
		t.Errorf("outliers %v", out)
	}
	// One-sided 0.05, n = 3 to 12 and 20; F. E. Grubbs's table agrees to its
	// two decimals (computed to four).
	for n, want := range map[int]float64{3: 1.1531, 4: 1.4625, 5: 1.6714, 6: 1.8221, 7: 1.9381, 8: 2.0317,
		9: 2.1096, 10: 2.1761, 11: 2.2339, 12: 2.2850, 20: 2.5566} {
		got := Rosner(n, 1, .1)
		near(t, "critical value", got, want, 5e-5)
		if most := float64(n-1) / math.Sqrt(float64(n)); got > most {
			t.Errorf("n %d: %v beyond the largest possible %v", n, got, most)
		}
	}
}

// Tukey's table in the help of R's medpolish, with its printed result.
func TestMedianPolish(t *testing.T) {
	p, ok := MedianPolish([][]float64{{14, 15, 14}, {7, 4, 7}, {8, 2, 10}, {15, 9, 10}, {0, 2, 0}})
	if !ok {
		t.Fatal("not ok")
	}
	want := Polish{
		Overall: 8, Row: []float64{6, -1, 0, 2, -8}, Col: []float64{0, -1, 0},
		Residual: [][]float64{{0, 2, 0}, {0, -2, 0}, {0, -5, 2}, {5, 0, 0}, {0, 3, 0}},
	}
	if d := cmp.Diff(want, p); d != "" {
		t.Error(d)
	}
	for _, bad := range [][][]float64{nil, {{}}, {{1, 2}, {3}}, {{1, math.NaN()}, {2, 3}}} {
		if _, ok := MedianPolish(bad); ok {
			t.Errorf("%v: ok", bad)
		}
	}
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
		if o, _, _ := GeneralizedESD(x, 1, .05); o != nil {
			t.Errorf("outliers of %v: %v", x, o)
		}
	}
	if o, _, _ := GeneralizedESD([]float64{1, 1, 1, 1}, 2, .05); len(o) != 0 {
		t.Errorf("equal values: %v", o)
	}
}
