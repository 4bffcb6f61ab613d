package structure

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
)

// TargetRead is the finest element of a bar target that was seen on one frame of a bracket.
type TargetRead struct {
	Exposure sensito.Stops // of the frame, against any zero
	// Seen is the frequency on the film of the finest element whose bars could be counted, in
	// cycles/mm, and Next that of the next finer one, which could not.
	Seen, Next float64
}

// Resolved is what was read of a bracketed bar target: the resolving power of this reader,
// microscope, target and light. It is not that of ISO 6328, whose target contrasts (1000:1 and
// 1.6:1, from memory), exposures, and microscope are laid down.
type Resolved struct {
	// Power is that of the best exposure in cycles/mm: the geometric mean of seen and next. Its
	// interval is that of the step of the target, joined with the readers' scatter where an exposure
	// was read more than once.
	Power sensito.Estimate
	// Exposure is where the best was read; at an end of the bracket it may lie beyond.
	Exposure sensito.Stops
	AtEnd    bool
}

// ResolvingPower returns the best of a bracket. The error wraps [ErrInput] for no reads, or
// such as have no step between seen and next.
func ResolvingPower(reads []TargetRead) (Resolved, error) {
	type at struct {
		n, sum, ss, step float64
	}
	by := map[sensito.Stops]*at{}
	lo, hi := sensito.Stops(math.Inf(1)), sensito.Stops(math.Inf(-1))
	for _, r := range reads {
		if !(r.Seen > 0) || !(r.Next > r.Seen) || !check.Finite(r.Next, float64(r.Exposure)) {
			return Resolved{}, check.Errorf(ErrInput, "bars of %v cycles/mm seen, the next of %v", r.Seen, r.Next)
		}
		a := by[r.Exposure]
		if a == nil {
			a = &at{}
			by[r.Exposure] = a
		}
		x, step := math.Log(r.Seen*r.Next)/2, math.Log(r.Next/r.Seen)
		a.n, a.sum, a.ss, a.step = a.n+1, a.sum+x, a.ss+x*x, max(a.step, step)
		lo, hi = min(lo, r.Exposure), max(hi, r.Exposure)
	}
	if len(by) == 0 {
		return Resolved{}, check.Errorf(ErrInput, "no reads of a target")
	}
	var out Resolved
	best := math.Inf(-1)
	for e, a := range by {
		m := a.sum / a.n
		if m < best || m == best && e > out.Exposure {
			continue
		}
		best, out.Exposure, out.AtEnd = m, e, len(by) > 1 && (e == lo || e == hi)
		half := a.step / 2
		if a.n > 1 {
			sd := math.Sqrt(max(a.ss-a.sum*a.sum/a.n, 0) / (a.n - 1) / a.n)
			half = math.Hypot(half, lsq.TwoSided95(int(a.n)-1)*sd)
		}
		out.Power = sensito.Estimate{Value: math.Exp(m), Low: math.Exp(m - half), High: math.Exp(m + half)}
	}
	return out, nil
}
