package corrections

import (
	"math"
	"slices"
)

// point is a row as a point of the law: x is log2 of the metered time, y the stops by
// time, log2(adjusted/metered).
type point struct {
	row       int
	x, y      float64
	t, m      float64
	unit      float64 // seconds that the printed number counts
	low, high float64 // ends of a printed range, 0 where none is
}

// rounding is a way in which the adjusted times may have been rounded. It gives every row
// a cell from lo to hi, in stops of correction, in which the law lies if the printed value
// is right, and says whether the value is on its grid.
type rounding struct {
	kind   kind
	lo, hi []float64 // lo is -Inf where the times are equal: a law below its onset
	on     []bool
	width  []float64 // of the cell
	middle []float64
	slip   []float64 // probability mass of a slip in the row, once there is one
}

// of is the rounding of some of the rows.
func (r rounding) of(rows []int) rounding {
	return rounding{r.kind, pick(r.lo, rows), pick(r.hi, rows), pick(r.on, rows), pick(r.width, rows), pick(r.middle, rows),
		pick(r.slip, rows)}
}

// pick is some of the elements, in the order of the places.
func pick[T any](of []T, places []int) []T {
	out := make([]T, len(places))
	for k, i := range places {
		out[k] = of[i]
	}
	return out
}

// kind is a kind of rounding.
type kind int

const (
	digits kind = iota // two digits or more
	seconds
	clock
	thirds
	marks
	kinds
)

// String names the rounding, as the law says it.
func (k kind) String() string {
	return [...]string{"digits", "whole seconds", "the steps of a clock", "third stops", "the marks of times"}[k]
}

// slipWide are the stops over which a slip may lie.
const slipWide = 8

// copyShare is how likely a slip is the copy of a neighbour.
const copyShare = 0.1

// roundings are those that a table may have. A reading that leaves more than a fifth of
// the rows (at least one) off its grid is none; one slip never hides the grid, nor do
// shifted rows.
func roundings(points []point) []rounding {
	n := len(points)
	spare := max(1, n/5)
	if n >= 7 && len(shifts(points)) > 0 {
		spare = 3
	}
	var out []rounding
	add := func(k kind, cell func(p point) (lo, hi float64, on bool)) bool {
		r := rounding{k, make([]float64, n), make([]float64, n), make([]bool, n), make([]float64, n), make([]float64, n),
			make([]float64, n)}
		off, coarse := 0, true
		for i, p := range points {
			lo, hi, on := cell(p)
			if p.high > p.low { // a printed range is its own rounding
				lo, hi, on = math.Log2(p.low/p.m), math.Log2(p.high/p.m), true
			}
			if !on {
				off++
				coarse = coarse && isCoarse(p)
			}
			second := width2(p)
			r.lo[i], r.hi[i], r.on[i], r.width[i], r.middle[i] = lo, hi, on, hi-lo, (lo+hi)/2
			if math.Abs(p.t/p.m-1) < 1e-9 {
				r.lo[i] = math.Inf(-1)
			}
			r.slip[i] = min(second, r.width[i], 1) / slipWide
			if i > 0 && p.t == points[i-1].t || i+1 < n && p.t == points[i+1].t {
				r.slip[i] += copyShare
			}
		}
		if off > spare || k >= clock && !coarse {
			return false
		}
		out = append(out, r)
		return true
	}
	for d := 2; d <= 5; d++ {
		if add(digits, digitCell(d, d == 5)) {
			break
		}
	}
	add(seconds, steppedCell(func(t float64) float64 { return ladder(t, []float64{2, 0.1, 10, 0.5}, 1) }))
	add(clock, steppedCell(clockStep))
	add(thirds, thirdCell)
	add(marks, markCell)
	return out
}

// clockStep is the step in which times are read on a clock.
func clockStep(t float64) float64 {
	return ladder(t, []float64{2, 0.1, 10, 0.5, 60, 1, 120, 5, 300, 15, 900, 30, 3600, 60}, 600)
}

// isCoarse reports whether a time off the grid is printed as roughly as the others are on it, in
// two digits or fives of the third. A slip is; 1523 among third stops is not, and shows that
// the others are there by chance.
func isCoarse(p point) bool {
	v := p.t / p.unit
	return multiple(v, 5*place(v, 3))
}

// ladder is the step at t: pairs of a bound and the step below it.
func ladder(t float64, steps []float64, beyond float64) float64 {
	for i := 0; i < len(steps); i += 2 {
		if t < steps[i] {
			return steps[i+1]
		}
	}
	return beyond
}

func place(v float64, digit int) float64 {
	return math.Pow(10, math.Floor(math.Log10(v)+1e-12)-float64(digit-1))
}

// width2 is the width of a cell of two digits.
func width2(p point) float64 {
	half := place(p.t/p.unit, 2) * p.unit / 2
	return math.Log2((p.t + half) / (p.t - half))
}

func around(p point, half float64) (lo, hi float64) {
	return math.Log2(max(p.t-half, p.t/16) / p.m), math.Log2((p.t + half) / p.m)
}

// digitCell is a rounding to so many digits; always takes every value.
func digitCell(d int, always bool) func(p point) (lo, hi float64, on bool) {
	return func(p point) (lo, hi float64, on bool) {
		v := p.t / p.unit
		u := place(v, d)
		lo, hi = around(p, u*p.unit/2)
		return lo, hi, always || multiple(v, u)
	}
}

func multiple(v, u float64) bool { return math.Abs(v/u-math.Round(v/u)) < 1e-6*max(1, v/u) }

func steppedCell(step func(t float64) float64) func(p point) (lo, hi float64, on bool) {
	return func(p point) (lo, hi float64, on bool) {
		u := step(p.t)
		lo, hi = around(p, u/2)
		return lo, hi, multiple(p.t, u)
	}
}

// thirdCell is a correction in third stops, whose time was rounded in turn: to two digits, a
// tenth of a second or the steps of a clock, and no more coarsely than it is printed.
func thirdCell(p point) (lo, hi float64, on bool) {
	third := math.Round(3*p.y) / 3
	v := p.t / p.unit
	e := max(place(v, 2)*p.unit, 0.1)
	if !multiple(p.t, e) {
		for d := 2; d <= 5; d++ {
			u := place(v, d)
			if d > 2 && multiple(v, 5*u) {
				u *= 5
			}
			if multiple(v, u) {
				e = u * p.unit
				break
			}
		}
	}
	if step := clockStep(p.t); multiple(p.t, step) {
		e = max(e, step)
	}
	return third - 1./6, third + 1./6, math.Abs(p.y-third) <= math.Log2(1+e/2/p.t)+1e-9
}

// timeMarks are the times that cameras and books mark, a third of a stop apart.
var timeMarks = func() []float64 {
	m := []float64{0.5, 0.6, 0.8, 1, 1.3, 1.6, 2, 2.5, 3.2, 4, 5, 6, 8, 10, 13, 15, 20, 25, 30, 40, 50, 60, 80, 100, 120,
		160, 200, 240, 320, 400, 480, 640}
	for k := len(m); m[len(m)-1] < 1e6; k++ {
		m = append(m, 2*m[k-3])
	}
	for m[0] > 1e-5 {
		m = append([]float64{m[2] / 2}, m...)
	}
	return m
}()

// markCell reaches half way, in stops, to the marks on either side.
func markCell(p point) (lo, hi float64, on bool) {
	k, _ := slices.BinarySearch(timeMarks, p.t)
	if k > 0 && (k == len(timeMarks) || p.t/timeMarks[k-1] < timeMarks[k]/p.t) {
		k--
	}
	k = min(max(k, 1), len(timeMarks)-2)
	lo = math.Log2(math.Sqrt(timeMarks[k-1]*timeMarks[k]) / p.m)
	hi = math.Log2(math.Sqrt(timeMarks[k]*timeMarks[k+1]) / p.m)
	within := 1e-6
	if p.t < 1 { // fractions of a second are printed by several rules
		within = 0.013
	}
	return lo, hi, math.Abs(p.t/timeMarks[k]-1) < within
}

// A shift is rows that have slipped against the metered times: row from repeats its
// neighbour, and the rows after it, up to to, carry what belongs to the row before (by is
// -1), or those from to up to from what belongs to the row after (by is 1).
type shift struct{ from, to, by int }

// shifts are those that a table may have: blocks of two and three rows beside two equal
// times.
func shifts(points []point) []shift {
	var out []shift
	n := len(points)
	for k := 1; k < n; k++ {
		if points[k].t != points[k-1].t || points[k].m == points[k-1].m {
			continue
		}
		for long := 1; long <= 2; long++ {
			if k+long < n {
				out = append(out, shift{k, k + long, -1})
			}
			if k-1-long >= 0 {
				out = append(out, shift{k - 1, k - 1 - long, 1})
			}
		}
	}
	return out
}

// apply returns the points as they are without the shift: the repeating row is gone, and
// the others stand at the metered time that they belong to. moved are the rows of the block.
func (s shift) apply(points []point) (out []point, moved []int) {
	for i, p := range points {
		switch {
		case i == s.from:
			moved = append(moved, i)
			continue
		case s.by < 0 && i > s.from && i <= s.to, s.by > 0 && i < s.from && i >= s.to:
			at := points[i+s.by]
			p.x, p.m, p.y = at.x, at.m, math.Log2(p.t/at.m)
			moved = append(moved, i)
		}
		out = append(out, p)
	}
	return out, moved
}
