package printed

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/internal/check"
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
	// Additive says that differences count in the column, not ratios: densities, exposure
	// values, degrees, logarithms. Y may then be 0 and less.
	Additive bool
	// Text is Y as printed, for the findings; may be nil.
	Text []string
	// Order is 1 where Y rises down the table, -1 where it falls, 0 where it need
	// do neither.
	Order int
}

// CheckSeries checks a column against its law and its order. With a law a row
// is accused where
//
//	ln(Y / Law(X)), or Y - Law(X) in an additive column
//
// stands more than 3.5 robust standard deviations (modified z of Iglewicz and Hoaglin)
// from the median of the column, of which the rounding of the row is the least, and is
// off by more than a unit of its rounding. A row that would be accused but for its rounding is
// remarked on as explained by it, and so is one that drifts from the law since
// each row was worked out from the rounded one before. Out of order are the fewest
// rows without which the order holds, of these the farthest from a straight line
// of the logarithms.
//
// Errors: [datafile.ErrData] for columns that are empty, of different length, not positive
// (not finite in an additive column), or longer than 2000.
func CheckSeries(s Series) (*Report, error) {
	rep, err := s.begin()
	if err != nil {
		return nil, err
	}
	if s.Law != nil {
		s.againstLaw(rep)
	}
	if s.Order != 0 {
		s.inOrder(rep)
	}
	return rep.Report(), nil
}

func (s *Series) step(i int) float64 { return s.Step[min(i, len(s.Step)-1)] }

// begin checks the input, and sets what the law says.
func (s *Series) begin() (*Builder, error) {
	n := len(s.Y)
	if n == 0 || n != len(s.X) || n > MaxRows || len(s.Step) != 1 && len(s.Step) != n || s.Order < -1 || s.Order > 1 {
		return nil, fmt.Errorf("%w: a series wants 1 to %d rows, as many X as Y, one step or one a row, and an order of 1, 0 or -1",
			datafile.ErrData, MaxRows)
	}
	rep := NewBuilder(n)
	rep.Law = s.Words
	usable := func(v float64) bool { return check.Finite(v) && (s.Additive || v > 0) }
	want := "positive numbers"
	if s.Additive {
		want = "finite numbers"
	}
	for i := range n {
		step := s.step(i)
		if !usable(s.Y[i]) || !check.Finite(s.X[i]) || !(step > 0) || !check.Finite(step) {
			return nil, fmt.Errorf("%w: row %d: %v at %v in steps of %v, want %s", datafile.ErrData, i+1, s.Y[i], s.X[i], step, want)
		}
		if s.Law == nil {
			continue
		}
		at := s.Law(s.X[i])
		if !usable(at) {
			return nil, fmt.Errorf("%w: row %d: the law gives %v at %v", datafile.ErrData, i+1, at, s.X[i])
		}
		rep.Implied[i], rep.Low[i], rep.High[i] = at, at-step/2, at+step/2
	}
	return rep, nil
}

func (s *Series) finding(rep *Builder, i int) Finding {
	at := rep.Implied[i]
	f := Finding{Row: i + 1, Column: s.Column, Printed: Plain(s.Y[i]), Unit: "percent"}
	if i < len(s.Text) && s.Text[i] != "" {
		f.Printed = s.Text[i]
	}
	if s.Additive {
		f.Unit = "units"
	}
	if math.IsNaN(at) {
		return f
	}
	above := 0.0
	if i > 0 {
		above = s.Y[i-1]
	}
	f.Number(at, rep.Low[i], rep.High[i])
	f.Implied, f.Deviation = implied(at, s.step(i)), 100*(s.Y[i]/at-1)
	if s.Additive {
		f.Deviation = s.Y[i] - at
	}
	f.Slip = SlipOf(s.Y[i], at, above, Plain(s.Y[i]))
	return f
}

// againstLaw holds each row against the law.
func (s *Series) againstLaw(rep *Builder) {
	at := rep.Implied
	r := make([]float64, len(s.Y))
	for i := range r {
		if r[i] = s.Y[i] - at[i]; !s.Additive {
			r[i] = math.Log(s.Y[i] / at[i])
		}
	}
	median, scale := robust.Scale(r, 1e-9)
	if s.Additive {
		scale = max(scale, trimmed(r, median))
	}
	for i := range r {
		step := s.step(i)
		off, near := s.Y[i]-at[i], 1e-9*math.Abs(at[i])+1e-9*step
		if math.Abs(off) <= step/2+near {
			continue
		}
		unit := step / math.Sqrt(12)
		if !s.Additive {
			unit /= at[i]
		}
		z := (r[i] - median) / max(scale, unit)
		if s.drifts(rep, i) {
			continue
		}
		beyond := math.Abs(off) > step+near
		switch {
		case math.Abs(z) > unusual && beyond:
			f := s.finding(rep, i)
			f.Rule, f.Confidence, f.Probability = s.Words, High, AccusedFrom
			rep.Add(f)
		case math.Abs(r[i]-median) > unusual*scale:
			f := s.finding(rep, i)
			f.Rule, f.Confidence, f.Slip = "explained by rounding: within a unit of the last place", Low, ""
			if beyond {
				f.Rule = "off by more than its rounding, as the column goes"
			}
			rep.Add(f)
		}
	}
}

// trimmed is the standard deviation about a median without the two rows farthest from it,
// made up for them as of a normal; in a column of few steps of its rounding the median of
// the deviations is 0 or a whole step. It is 0 below 8 rows.
func trimmed(r []float64, median float64) float64 {
	if len(r) < 8 {
		return 0
	}
	d := make([]float64, len(r))
	for i, v := range r {
		d[i] = (v - median) * (v - median)
	}
	slices.Sort(d)
	sum := 0.0
	for _, v := range d[:len(d)-2] {
		sum += v
	}
	return 1.2 * math.Sqrt(sum/float64(len(d)-2))
}

// drifts tells whether a row was worked out from the row above as printed, and remarks on
// it.
func (s *Series) drifts(rep *Builder, i int) bool {
	if !s.Chain || i == 0 {
		return false
	}
	at, step := rep.Implied, s.step(i)
	chained := s.Y[i-1] * at[i] / at[i-1]
	if s.Additive {
		chained = s.Y[i-1] + at[i] - at[i-1]
	}
	if !(math.Abs(s.Y[i]-at[i]) > step && math.Abs(s.Y[i]-chained) <= step/2+1e-9*math.Abs(at[i])) {
		return false
	}
	f := s.finding(rep, i)
	f.Rule, f.Confidence, f.Slip = "worked out from the rounded row above: the rounding adds up", Low, ""
	rep.Add(f)
	return true
}

// inOrder names the rows out of order.
func (s *Series) inOrder(rep *Builder) {
	y := s.Y
	if s.Additive { // the order of exponentials is the same, and they are positive
		y = make([]float64, len(s.Y))
		low := slices.Min(s.Y)
		span := max(slices.Max(s.Y)-low, 1e-300)
		for i, v := range s.Y {
			y[i] = math.Exp((v - low) / span)
		}
	}
	for _, i := range Misplaced(y, s.Order, s.X) {
		if rep.Has(i+1, s.Column) {
			continue
		}
		f := s.finding(rep, i)
		f.Rule, f.Confidence, f.Probability = "the column rises", High, AccusedFrom
		if s.Order < 0 {
			f.Rule = "the column falls"
		}
		rep.Add(f)
	}
}

// implied prints a value one place finer than the step.
func implied(v, step float64) string {
	p := math.Pow(10, math.Floor(math.Log10(step))-1)
	return fmt.Sprintf("%.*f", max(0, -int(math.Round(math.Log10(p)))), math.Round(v/p)*p)
}

// Misplaced returns the fewest rows without which y goes one way: of several such sets the
// one whose rows are together the farthest from the line through the logarithms. Without an
// x for every y the rows stand at even steps.
func Misplaced(y []float64, order int, x []float64) []int {
	n := len(y)
	if n == 0 {
		return nil
	}
	if len(x) != n {
		x = make([]float64, n)
		for i := range x {
			x[i] = float64(i)
		}
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
