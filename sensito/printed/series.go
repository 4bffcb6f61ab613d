package printed

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/internal/robust"
	"example.org/actinic/sensito/datafile"
)

// Series is a printed column against another: speed numbers of one system against
// those of another, factors against strength, times that go up by a ratio.
type Series struct {
	Column string
	X, Y   []float64
	// Step is the step that each Y was rounded to; one for all, or one a row.
	Step []float64
	// Law is what Y should be at X, nil where only the order is known, and Words
	// says it.
	Law   func(x float64) float64
	Words string
	// Chain says that each Y may have been worked out from the one above it, so that
	// rounding adds up.
	Chain bool
	// Order is 1 where Y rises down the table, -1 where it falls, 0 where it need
	// do neither.
	Order int
}

// CheckSeries checks a column against its law and its order. With a law a row
// is accused where
//
//	ln(Y / Law(X))
//
// stands more than 3.5 robust standard deviations (modified z of Iglewicz and Hoaglin)
// from the median of the column, of which the rounding of the row is the least, and is
// off by more than a unit of its rounding. A row that would be accused but for its rounding is
// remarked on as explained by it, and so is one that drifts from the law since
// each row was worked out from the rounded one before. Out of order are the fewest
// rows without which the order holds, of these the farthest from a straight line
// of the logarithms.
//
// Errors: [datafile.ErrData] for columns that are empty, of different length, not positive,
// or longer than 2000.
func CheckSeries(s Series) (*Report, error) {
	n := len(s.Y)
	if n == 0 || n != len(s.X) || n > MaxRows || len(s.Step) != 1 && len(s.Step) != n || s.Order < -1 || s.Order > 1 {
		return nil, fmt.Errorf("%w: a series wants 1 to %d rows, as many X as Y, one step or one a row, and an order of 1, 0 or -1", datafile.ErrData, MaxRows)
	}
	step := func(i int) float64 { return s.Step[min(i, len(s.Step)-1)] }
	rep := NewBuilder(n)
	rep.Law = s.Words
	at := rep.Implied
	for i := range n {
		if !(s.Y[i] > 0) || math.IsInf(s.Y[i], 0) || math.IsNaN(s.X[i]) || math.IsInf(s.X[i], 0) || !(step(i) > 0) || math.IsInf(step(i), 0) {
			return nil, fmt.Errorf("%w: row %d: %v at %v in steps of %v, want positive numbers", datafile.ErrData, i+1, s.Y[i], s.X[i], step(i))
		}
		if s.Law != nil {
			if at[i] = s.Law(s.X[i]); !(at[i] > 0) || math.IsInf(at[i], 0) {
				return nil, fmt.Errorf("%w: row %d: the law gives %v at %v", datafile.ErrData, i+1, at[i], s.X[i])
			}
		}
	}
	finding := func(i int) Finding {
		f := Finding{Row: i + 1, Column: s.Column, Printed: Plain(s.Y[i]), Unit: "percent"}
		if !math.IsNaN(at[i]) {
			above := 0.0
			if i > 0 {
				above = s.Y[i-1]
			}
			f.Implied, f.Deviation = implied(at[i], step(i)), 100*(s.Y[i]/at[i]-1)
			f.Slip = SlipOf(s.Y[i], at[i], above, f.Printed)
		}
		return f
	}
	if s.Law != nil {
		r := make([]float64, n)
		for i := range r {
			r[i] = math.Log(s.Y[i] / at[i])
		}
		median, scale := robust.Scale(r, 1e-9)
		for i := range r {
			off := s.Y[i] - at[i]
			if math.Abs(off) <= step(i)/2+1e-9*at[i] {
				continue
			}
			z := (r[i] - median) / max(scale, step(i)/math.Sqrt(12)/at[i])
			if s.Chain && i > 0 {
				// worked out from the row above, as printed
				chained := s.Y[i-1] * at[i] / at[i-1]
				if drift := math.Abs(s.Y[i] - chained); math.Abs(off) > step(i) && drift <= step(i)/2+1e-9*at[i] {
					f := finding(i)
					f.Rule, f.Confidence, f.Slip = "worked out from the rounded row above: the rounding adds up", Low, ""
					rep.Add(f)
					continue
				}
			}
			switch {
			case math.Abs(z) > unusual && math.Abs(off) > step(i):
				f := finding(i)
				f.Rule, f.Confidence = s.Words, High
				rep.Add(f)
			case math.Abs(r[i]-median) > unusual*scale:
				f := finding(i)
				f.Rule, f.Confidence, f.Slip = "explained by rounding: within a unit of the last place", Low, ""
				if math.Abs(off) > step(i) {
					f.Rule = "off by more than its rounding, as the column goes"
				}
				rep.Add(f)
			}
		}
	}
	if s.Order != 0 {
		for _, i := range Misplaced(s.Y, s.Order, s.X) {
			if rep.Has(i+1, s.Column) {
				continue
			}
			f := finding(i)
			f.Rule, f.Confidence = "the column rises", High
			if s.Order < 0 {
				f.Rule = "the column falls"
			}
			rep.Add(f)
		}
	}
	return rep.Report(), nil
}

// implied prints a value one place finer than the step.
func implied(v, step float64) string {
	p := math.Pow(10, math.Floor(math.Log10(step))-1)
	return fmt.Sprintf("%.*f", max(0, -int(math.Round(math.Log10(p)))), math.Round(v/p)*p)
}

// Misplaced returns the fewest rows without which y goes one way: of several such sets the
// one whose rows are together the farthest from the line through the logarithms.
func Misplaced(y []float64, order int, x []float64) []int {
	n := len(y)
	if n == 0 {
		return nil
	}
	off := make([]float64, n)
	lx, ly := make([]float64, n), make([]float64, n)
	logs := true
	for i := range y {
		logs = logs && x[i] > 0
		ly[i] = math.Log(y[i])
		lx[i] = x[i]
	}
	if logs {
		for i := range lx {
			lx[i] = math.Log(x[i])
		}
	}
	if _, ok := robust.Bisquare(off, lx, ly, 0); !ok {
		clear(off)
	}
	// The rank of each y the way it goes, equal ones alike.
	sorted := slices.Clone(y)
	slices.Sort(sorted)
	rank := func(v float64) int {
		k, _ := slices.BinarySearch(sorted, v)
		if order < 0 {
			// Behind all that are not smaller: counted from the other end.
			for ; k+1 < n && sorted[k+1] == v; k++ {
			}
			return n - 1 - k
		}
		return k
	}
	// The longest run in order; among equals the one that keeps the least deviation. A
	// tree of prefixes (P. M. Fenwick, Softw. Pract. Exper. 24 (1994) 327) holds the
	// best run that ends at a rank or below.
	length, kept, from := make([]int, n), make([]float64, n), make([]int, n)
	better := func(i, k int) bool {
		return k < 0 || i >= 0 && (length[i] > length[k] || length[i] == length[k] && kept[i] < kept[k])
	}
	tree := make([]int, n+1)
	for r := range tree {
		tree[r] = -1
	}
	end := -1
	for i, v := range y {
		r := rank(v) + 1
		best := -1
		for k := r; k > 0; k -= k & -k {
			if better(tree[k], best) {
				best = tree[k]
			}
		}
		length[i], kept[i], from[i] = 1, math.Abs(off[i]), best
		if best >= 0 {
			length[i], kept[i] = length[best]+1, kept[best]+math.Abs(off[i])
		}
		for k := r; k <= n; k += k & -k {
			if better(i, tree[k]) {
				tree[k] = i
			}
		}
		if better(i, end) {
			end = i
		}
	}
	in := make([]bool, n)
	for i := end; i >= 0; i = from[i] {
		in[i] = true
	}
	var out []int
	for i := range n {
		if !in[i] {
			out = append(out, i)
		}
	}
	return slices.Clip(out)
}
