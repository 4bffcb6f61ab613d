package robust

import (
	"cmp"
	"math"
	"slices"
)

// Line is the line y = At + Slope x that most points follow, and the robust standard
// deviation of a point about it.
type Line struct{ Slope, At, Scale float64 }

const (
	// bisquareWidth gives the bisquare 95 % of the efficiency of least squares on
	// normal residuals.
	bisquareWidth = 4.685
	// Few is the number of points up to which [Bisquare] takes no memory but the stack,
	// as long as x rises.
	Few    = 24
	rounds = 100
)

// Bisquare returns the line through points by Tukey's bisquare, and sets r to the
// residuals y - line. A point at a residual of r counts for
//
//	w = (1 - (r / 4.685 s)²)²,   none beyond 4.685 s,   s = 1.4826 median|r|
//
// and line, residuals, scale and weights are found in turn until no step moves the
// line by more than 1e-5 s, at most a hundred times. It starts from a line of Theil
// and Sen's kind, the median of the slopes of all pairs that lie a third of the
// sample apart or more in the order of x; of more than [Few] points, of those just a
// third and a half apart. So a sixth of the points may be wild in any way, and a
// quarter if they are not all near the ends. The scale is at least floor; where it is
// 0, because more than half of the points lie on one line, that is the line.
//
// ok is false, and r is not set, where no two x differ, a value is not finite, or
// lengths differ. Memory is taken for more than Few points, or where x does not rise.
//
// Sources: A. E. Beaton and J. W. Tukey, Technometrics 16 (1974) 147; H. Theil (1950)
// and P. K. Sen, J. Amer. Statist. Assoc. 63 (1968) 1379.
func Bisquare(r, x, y []float64, floor float64) (l Line, ok bool) {
	n := len(x)
	if n < 2 || len(y) != n || len(r) != n {
		return Line{}, false
	}
	var few [2*Few + Few*Few/4]float64
	var order [Few]uint8
	space := few[:]
	if n > Few {
		space = make([]float64, 4*n)
	}
	xc, sorted, slopes := space[:n], space[n:2*n], space[2*n:]
	var mean float64
	for _, v := range x {
		mean += v
	}
	mean /= float64(n)
	for i, v := range x {
		xc[i] = v - mean
	}
	m, ok := someSlopes(slopes, xc, y)
	if m == 0 || !ok {
		return Line{}, false
	}
	l.Slope = nth(slopes[:m], m/2)
	for i, v := range xc {
		sorted[i] = y[i] - l.Slope*v
	}
	l.At = nth(sorted, n/2)
	if d := l.At + l.Slope; d-d != 0 {
		return Line{}, false
	}
	var span float64
	for _, v := range xc {
		span = max(span, math.Abs(v))
	}
	for i := range order {
		order[i] = uint8(i)
	}
	for round := 0; ; round++ {
		for i, v := range xc {
			r[i] = y[i] - l.At - l.Slope*v
		}
		l.Scale = max(Consistency*medianAbs(r, sorted, &order), floor)
		if !(l.Scale > 0) || round == rounds {
			break
		}
		k := 1 / (bisquareWidth * l.Scale)
		var sw, sx, sxx, sr, sxr float64
		for i, v := range xc {
			u := r[i] * k
			w := max(1-u*u, 0)
			w *= w
			sw += w
			wx := w * v
			sx += wx
			sxx += wx * v
			sr += w * r[i]
			sxr += wx * r[i]
		}
		// What is to be added to the line.
		det := sw*sxx - sx*sx
		if !(det > 1e-12*sw*sw*span*span) {
			break // what counts lies at one x
		}
		b := (sw*sxr - sx*sr) / det
		a := (sr - b*sx) / sw
		if l.At, l.Slope = l.At+a, l.Slope+b; math.Abs(a)+math.Abs(b)*span <= 1e-5*l.Scale {
			for i, v := range xc {
				r[i] -= a + b*v
			}
			break
		}
	}
	l.At -= l.Slope * mean
	return l, !math.IsNaN(l.At)
}

// someSlopes sets s to the slopes of pairs of points far apart, of those with
// different x, and returns their number; not ok where a value is not finite.
func someSlopes(s, x, y []float64) (m int, ok bool) {
	n := len(x)
	var sum float64
	for i := range x {
		sum += x[i] + y[i]
	}
	if sum-sum != 0 {
		return 0, false
	}
	if !slices.IsSorted(x) {
		order := make([]int, n)
		for i := range order {
			order[i] = i
		}
		slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(x[a], x[b]), a-b) })
		sx, sy := make([]float64, n), make([]float64, n)
		for i, k := range order {
			sx[i], sy[i] = x[k], y[k]
		}
		x, y = sx, sy
	}
	if n > Few {
		for _, apart := range [...]int{n / 2, n / 3} {
			for i := 0; i+apart < n; i++ {
				if d := x[i+apart] - x[i]; d > 0 {
					s[m] = (y[i+apart] - y[i]) / d
					m++
				}
			}
		}
	} else {
		apart := (n + 2) / 3
		for i := range n - apart {
			xi, yi := x[i], y[i]
			for j := i + apart; j < n; j++ {
				if d := x[j] - xi; d > 0 {
					s[m] = (y[j] - yi) / d
					m++
				}
			}
		}
	}
	return m, true
}

// medianAbs is the median of |r|. For few points sorted is kept in order by insertion
// in the order of the call before, which is nearly right; order holds it.
func medianAbs(r, sorted []float64, order *[Few]uint8) float64 {
	n := len(r)
	sorted = sorted[:n]
	if n > Few {
		for i, v := range r {
			sorted[i] = math.Abs(v)
		}
		return middle(sorted)
	}
	last := 0.0
	for i, at := range order[:n] {
		v := math.Abs(r[at])
		if v >= last {
			sorted[i], last = v, v
			continue
		}
		j := i
		for ; j > 0 && sorted[j-1] > v; j-- {
			sorted[j], order[j] = sorted[j-1], order[j-1]
		}
		sorted[j], order[j] = v, at
	}
	if n%2 == 1 {
		return sorted[n/2]
	}
	return (sorted[n/2-1] + sorted[n/2]) / 2
}

// middle is the median of finite values, which it puts into another order.
func middle(x []float64) float64 {
	n := len(x)
	m := nth(x, n/2)
	if n%2 == 1 {
		return m
	}
	return slices.Max(x[:n/2])/2 + m/2
}

// nth returns the value that has k smaller or equal ones before it in order, and
// puts x into an order where these stand before it. Time grows with len(x). The values
// must be no NaN.
//
// Source: C. A. R. Hoare, Commun. ACM 4 (1961) 321 (FIND); parted without a branch on
// the values, which could not be foreseen.
func nth(x []float64, k int) float64 {
	lo, hi := 0, len(x)
	for left := 8 * len(x); hi-lo > 3; {
		if left -= hi - lo; left < 0 { // unlucky pivots
			break
		}
		a, p, b := x[lo], x[lo+(hi-lo)/2], x[hi-1]
		p = max(min(a, p), min(max(a, p), b)) // the median of three
		part := x[lo:hi]
		n := 0
		for i, v := range part {
			part[i], part[n] = part[n], v
			less := 0
			if v < p {
				less = 1
			}
			n += less
		}
		if k < lo+n {
			hi = lo + n
			continue
		}
		lo += n
		part, n = x[lo:hi], 0
		for i, v := range part {
			part[i], part[n] = part[n], v
			same := 0
			if v <= p {
				same = 1
			}
			n += same
		}
		if k < lo+n {
			return p
		}
		lo += n
	}
	slices.Sort(x[lo:hi])
	return x[k]
}
