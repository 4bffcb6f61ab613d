package cube

import (
	"fmt"
	"math"
	"reflect"

	"example.org/actinic/sensito"
)

// A table holds density against exposure, not against its logarithm: entries are
// at 2^e (1 + j/2^m) times the exposure where the curve starts, so that the
// exponent and the first m mantissa bits of a float32 are the index, and the
// mantissa bits below them the place between two entries. Straight lines between
// entries follow the logarithm alone to 2^-2m/18.
type tables struct {
	entries []float32
	cells   []cell   // the same for plain Go
	of      []limits // by channel
	shift   uint32   // mantissa bits below the index
	single  bool     // all channels have one curve
}

// A cell is an entry and the rise to the next one for each number that the mantissa
// bits below the index can be.
type cell struct{ density, step float32 }

// limits are float32 bits, which sort as the numbers do, negative ones below all.
// Exposures are over that of the curve's start.
type limits struct {
	start     float64 // log H of exposure 1
	low, high int32   // beyond these an exposure is outside
	end       int32   // the last exposure in the table
	first     int32   // the index of the entry of exposure 1
}

const (
	one       = 0x3f800000 // the bits of 1
	largest   = 0x7f7fffff // the largest number
	fewest    = 5          // mantissa bits of the index
	most      = 12
	probes    = 8    // points to a cell at which a table is held to its curve
	tolerance = 1e-4 // there; leaves room for what lies between, and for the sums
	unbounded = 15   // log H to which a curve without a bound is taken
	flat      = 1e-5 // a curve that differs less from its end has reached it
)

func newTables(curves []sensito.Curve, bands int) (tables, error) {
	t := tables{of: make([]limits, len(curves)), single: true}
	type span struct {
		lo, hi       float64
		below, above bool // is there an outside?
		first        int
	}
	spans := make([]span, len(curves))
	same := make([]int, len(curves)) // the first channel with this curve
	seen := map[sensito.Curve]int{}
	for i, c := range curves {
		same[i] = i
		if reflect.ValueOf(c).Comparable() {
			if j, ok := seen[c]; ok {
				same[i], spans[i] = j, spans[j]
				continue
			}
			seen[c] = i
		}
		if i > 0 {
			t.single = false
		}
		s := span{}
		var err error
		if s.lo, s.hi, s.below, s.above, err = domain(c); err != nil {
			return tables{}, fmt.Errorf("channel %d: %w", i, err)
		}
		spans[i] = s
	}
	for bits := fewest; ; bits++ {
		t.entries = t.entries[:0]
		worst, channel := 0.0, 0
		for i, c := range curves {
			if same[i] != i {
				spans[i] = spans[same[i]]
				continue
			}
			spans[i].first = len(t.entries)
			e, off, err := tabulate(t.entries, c, spans[i].lo, spans[i].hi, bits)
			if err != nil {
				return tables{}, fmt.Errorf("channel %d: %w", i, err)
			}
			t.entries = e
			if !(off <= worst) {
				worst, channel = off, i
			}
		}
		if worst <= tolerance {
			t.shift = uint32(23 - bits)
			break
		}
		if bits == most {
			return tables{}, fmt.Errorf("channel %d: %w", channel,
				invalid("a table of 2^%d entries to an octave misses the curve by %.2g: it jumps, or is steeper than any film", most, worst))
		}
	}
	t.cells = make([]cell, len(t.entries)-1)
	for i := range t.cells {
		t.cells[i] = cell{t.entries[i], (t.entries[i+1] - t.entries[i]) / float32(uint32(1)<<t.shift)}
	}
	// What rounding may do to a sum of so many terms.
	guard := float64(bands+16) / (1 << 24)
	for i, s := range spans {
		end := math.Pow(10, s.hi-s.lo)
		l := limits{start: s.lo, low: 0, high: largest, end: floatBits(end), first: int32(s.first)}
		if s.below {
			l.low = floatBits(1 - guard)
		}
		if s.above {
			l.high = floatBits(end * (1 + guard))
		}
		t.of[i] = l
	}
	return t, nil
}

func floatBits(x float64) int32 { return int32(math.Float32bits(float32(x))) }

// domain returns the exposures to tabulate, and whether there are any outside
// them. Where the curve has no bound the table ends when the curve is level.
func domain(c sensito.Curve) (lo, hi float64, below, above bool, err error) {
	a, b := c.Domain()
	lo, hi = max(float64(a), -unbounded), min(float64(b), unbounded)
	if !(lo < hi) {
		return 0, 0, false, false, invalid("the curve's domain is log H %g to %g", float64(a), float64(b))
	}
	below, above = true, true
	at := func(x float64) float64 {
		d, e := c.Density(sensito.LogH(x))
		if e != nil && err == nil {
			err = e
		}
		return float64(d)
	}
	const step = 0.125
	if math.IsInf(float64(a), -1) {
		bottom := at(lo)
		for lo+step < hi && math.Abs(at(lo+step)-bottom) < flat {
			lo, below = lo+step, false
		}
	}
	if math.IsInf(float64(b), 1) {
		top := at(hi)
		for hi-step > lo && math.Abs(at(hi-step)-top) < flat {
			hi, above = hi-step, false
		}
	}
	return lo, hi, below, above, err
}

// tabulate appends the table of a curve with 2^bits entries to an octave, and
// returns how far straight lines between the entries are from the curve.
func tabulate(entries []float32, c sensito.Curve, lo, hi float64, bits int) ([]float32, float64, error) {
	end := float64(float32(math.Pow(10, hi-lo)))
	at := func(x float64) (float64, error) {
		d, err := c.Density(sensito.LogH(min(max(lo+math.Log10(x), lo), hi)))
		if err == nil && !(math.Abs(float64(d)) < math.MaxFloat32) {
			err = invalid("the curve has density %g at log H %g", float64(d), lo+math.Log10(x))
		}
		return float64(d), err
	}
	worst := 0.0
	left, err := at(1)
	if err != nil {
		return nil, 0, err
	}
	entries = append(entries, float32(left))
	for i := 0; ; i++ {
		x0, x1 := entry(i, bits), entry(i+1, bits)
		last := x1 >= end
		right, err := at(min(x1, end))
		if err != nil {
			return nil, 0, err
		}
		// The line of the last cell meets the curve where the curve ends.
		if f := (end - x0) / (x1 - x0); last && f > 0.01 {
			right = left + (right-left)/f
		}
		a, b := float64(float32(left)), float64(float32(right))
		for k := range probes {
			f := (float64(k) + 0.5) / probes
			x := x0 + f*(x1-x0)
			if x > end {
				break
			}
			want, err := at(x)
			if err != nil {
				return nil, 0, err
			}
			worst = max(worst, math.Abs(a+f*(b-a)-want))
		}
		entries = append(entries, float32(right))
		if last {
			// One more, so that the end itself has a right neighbour.
			return append(entries, float32(right)), worst, nil
		}
		left = right
	}
}

// entry returns the exposure of an entry.
func entry(i, bits int) float64 {
	return math.Ldexp(1+float64(i&(1<<bits-1))/float64(int(1)<<bits), i>>bits)
}
