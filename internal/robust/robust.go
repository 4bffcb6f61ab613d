// Package robust holds the statistics that a few wild values do not move:
// median and median deviation, outlier tests, a robust line and the median
// polish of a two-way table.
//
// Functions leave their arguments unchanged. Values that are not finite give
// NaN, never a plausible number.
package robust

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Consistency turns a median absolute deviation into the standard deviation of
// a normal sample: 1/Φ⁻¹(3/4).
const Consistency = 1.482602218505602

// meanConsistency does the same for a mean absolute deviation: sqrt(π/2).
const meanConsistency = 1.2533141373155003

// Median is the middle value, the mean of the two middle ones for an even
// number. It is NaN for an empty or not finite sample.
func Median(x []float64) float64 {
	return medianInPlace(slices.Clone(x))
}

func medianInPlace(x []float64) float64 {
	for _, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return math.NaN()
		}
	}
	if len(x) == 0 {
		return math.NaN()
	}
	return middle(x)
}

// MAD is the median and the median absolute deviation from it, without any
// factor.
func MAD(x []float64) (median, mad float64) {
	y := slices.Clone(x)
	median = medianInPlace(y)
	for i, v := range y {
		y[i] = math.Abs(v - median)
	}
	return median, medianInPlace(y)
}

// Scale is the median and a standard deviation that outliers do not move:
//
//	1.4826 MAD
//
// Where more than half of the values agree the MAD is 0, as in tables rounded
// to a coarse step; the scale is then 1.2533 times the mean absolute deviation
// from the median. It is never below floor, the standard deviation that the
// rounding of the values alone would give (step/sqrt(12)).
//
// Source: B. Iglewicz and D. C. Hoaglin, How to Detect and Handle Outliers
// (1993), for both factors; the floor is ours.
func Scale(x []float64, floor float64) (median, scale float64) {
	median, mad := MAD(x)
	scale = Consistency * mad
	if mad == 0 {
		var s float64
		for _, v := range x {
			s += math.Abs(v - median)
		}
		scale = meanConsistency * s / float64(len(x))
	}
	if scale < floor {
		scale = floor
	}
	return median, scale
}

// ModifiedZ is, for each value, its distance from the median in robust
// standard deviations:
//
//	0.6745 (x - median) / MAD
//
// with the scale of [Scale] where the MAD is 0 or below the floor. Beyond 3.5
// a value is usually called an outlier. Where all values agree and there is no
// floor, every result is 0.
//
// Source: Iglewicz and Hoaglin (1993).
func ModifiedZ(x []float64, floor float64) []float64 {
	median, scale := Scale(x, floor)
	z := make([]float64, len(x))
	for i, v := range x {
		if d := v - median; d != 0 {
			z[i] = 0.6745 * Consistency * d / scale
		}
	}
	return z
}

// GeneralizedESD is Rosner's test for up to most outliers in a sample from a
// normal distribution, at the significance alpha. It returns the indices of the
// outliers, the most extreme first, and the statistics and critical values of
// every step, for most below len(x)-1 steps.
//
//	R_i = max|x - mean| / s        after removing the i-1 most extreme
//	λ_i = (n-i) t / sqrt((n-i-1+t²)(n-i+1)),   t = t(1 - alpha/(2(n-i+1)); n-i-1)
//
// The number of outliers is the largest i with R_i > λ_i, so that two outliers
// cannot hide each other. The first λ is the two-sided critical value of
// Grubbs. The approximation is good for n of 15 and fair from 8 on.
//
// Source: B. Rosner, Technometrics 25 (1983) 165-172; NIST/SEMATECH e-Handbook
// of Statistical Methods, 1.3.5.17.3.
func GeneralizedESD(x []float64, most int, alpha float64) (outliers []int, stat, critical []float64) {
	n := len(x)
	most = min(most, n-2)
	for _, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, nil, nil
		}
	}
	left := make([]int, n)
	for i := range left {
		left[i] = i
	}
	var order []int
	count := 0
	for i := 1; i <= most; i++ {
		var mean, ss float64
		for _, k := range left {
			mean += x[k]
		}
		mean /= float64(len(left))
		worst, at := -1.0, 0
		for j, k := range left {
			d := math.Abs(x[k] - mean)
			ss += d * d
			if d > worst {
				worst, at = d, j
			}
		}
		s := math.Sqrt(ss / float64(len(left)-1))
		if s == 0 {
			break // the rest agrees exactly
		}
		order = append(order, left[at])
		left = slices.Delete(left, at, at+1)
		r, l := worst/s, Rosner(n, i, alpha)
		stat, critical = append(stat, r), append(critical, l)
		if r > l {
			count = i
		}
	}
	return order[:count], stat, critical
}

// Rosner is the critical value λ_i of [GeneralizedESD] for a sample of n.
func Rosner(n, i int, alpha float64) float64 {
	nu := float64(n - i - 1)
	if nu < 1 {
		return math.Inf(1)
	}
	p := 1 - alpha/(2*float64(n-i+1))
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: nu}.Quantile(p)
	return (nu + 1) * t / math.Sqrt((nu+t*t)*(nu+2))
}

// Polish is a two-way table split into parts:
//
//	table[i][j] = Overall + Row[i] + Col[j] + Residual[i][j]
type Polish struct {
	Overall  float64
	Row, Col []float64
	Residual [][]float64
}

// MedianPolish takes medians out of rows and columns in turn, rows first,
// until the sum of absolute residuals changes by less than one part in 100, or
// for ten rounds. ok is false for an empty, ragged or not finite table.
//
// Source: J. W. Tukey, Exploratory Data Analysis (1977).
func MedianPolish(table [][]float64) (p Polish, ok bool) {
	if len(table) == 0 || len(table[0]) == 0 {
		return p, false
	}
	rows, cols := len(table), len(table[0])
	p.Row, p.Col = make([]float64, rows), make([]float64, cols)
	p.Residual = make([][]float64, rows)
	for i, r := range table {
		if len(r) != cols || math.IsNaN(Median(r)) {
			return Polish{}, false
		}
		p.Residual[i] = slices.Clone(r)
	}
	column := make([]float64, rows)
	var before float64
	for range 10 {
		for i, r := range p.Residual {
			m := Median(r)
			for j := range r {
				r[j] -= m
			}
			p.Row[i] += m
		}
		m := Median(p.Col)
		for j := range p.Col {
			p.Col[j] -= m
		}
		p.Overall += m
		for j := range cols {
			for i, r := range p.Residual {
				column[i] = r[j]
			}
			m := Median(column)
			for _, r := range p.Residual {
				r[j] -= m
			}
			p.Col[j] += m
		}
		m = Median(p.Row)
		for i := range p.Row {
			p.Row[i] -= m
		}
		p.Overall += m
		var sum float64
		for _, r := range p.Residual {
			for _, v := range r {
				sum += math.Abs(v)
			}
		}
		if sum == 0 || math.Abs(sum-before) <= 0.01*sum {
			break
		}
		before = sum
	}
	return p, true
}
