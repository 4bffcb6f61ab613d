package devtime

import (
	"cmp"
	"math"
	"slices"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
)

// SpeedTime is the effective speed of a film against development time, by
// interpolation between the strips of a family. Between neighbouring times t1
// and t2 the log exposure of the speed point runs straight against the
// logarithm of time:
//
//	log H(t) = log H1 + (log H2 - log H1) ln(t/t1) / ln(t2/t1)
//
// It interpolates only. Film speed grows fast at first and hardly at all later,
// so a straight line carried beyond the last strip promises speed that is not
// there. The interpolation is ours; no source.
type SpeedTime struct {
	t []float64 // ln minutes, rising
	h []float64 // log lx·s
	s []float64 // standard deviations, 0 where not known
	k []time.Duration
}

// MarshalJSON is an error: store the points.
func (s SpeedTime) MarshalJSON() ([]byte, error) {
	return nil, check.Errorf(ErrInput, "speed against time is not stored; store its points")
}

// NewSpeedTime takes the speed points of a family: Value is the log10 exposure
// in lx·s that gave the criterion (for ISO 6 the density 0.10 above base plus
// fog). Two times or more, in any order; strips of the same time are averaged,
// weighted by 1/SD² where they have standard deviations.
//
// Errors: [ErrInput].
func NewSpeedTime(points []Point) (SpeedTime, error) {
	p := slices.Clone(points)
	slices.SortStableFunc(p, func(a, b Point) int { return cmp.Compare(a.Time, b.Time) })
	var s SpeedTime
	for i := 0; i < len(p); {
		j := i
		known := p[i].SD > 0
		var sw, swh, sh float64
		for ; j < len(p) && p[j].Time == p[i].Time; j++ {
			q := p[j]
			if !(q.Time > 0) || !check.Finite(q.Value) || !(q.SD >= 0) || !check.Finite(q.SD) {
				return SpeedTime{}, check.Errorf(ErrInput,
					"strip at %v with log H %v, standard deviation %v", q.Time, q.Value, q.SD)
			}
			if known != (q.SD > 0) {
				return SpeedTime{}, check.Errorf(ErrInput,
					"standard deviations on some strips only: give all or none")
			}
			w := 1.0
			if known {
				w = 1 / (q.SD * q.SD)
			}
			sw += w
			swh += w * q.Value
			sh++
		}
		sd := 0.0
		if known {
			sd = 1 / math.Sqrt(sw)
		}
		if i > 0 && known != (s.s[0] > 0) {
			return SpeedTime{}, check.Errorf(ErrInput, "standard deviations on some strips only: give all or none")
		}
		s.t = append(s.t, math.Log(p[i].Time.Minutes()))
		s.h = append(s.h, swh/sw)
		s.s = append(s.s, sd)
		s.k = append(s.k, p[i].Time)
		i = j
	}
	if len(s.t) < 2 {
		return SpeedTime{}, check.Errorf(ErrInput, "strips at %d different times, want 2 or more", len(s.t))
	}
	return s, nil
}

// Range is the shortest and longest time of the family.
func (s SpeedTime) Range() (shortest, longest time.Duration) {
	if len(s.k) == 0 {
		return 0, 0
	}
	return s.k[0], s.k[len(s.k)-1]
}

// At is the log10 exposure of the speed point in lx·s at time t. The interval
// is NaN where the strips had no standard deviations.
//
// Errors: [ErrOutside], naming the range, for a time outside the family.
func (s SpeedTime) At(t time.Duration) (sensito.Estimate, error) {
	lo, hi := s.Range()
	if !(t >= lo && t <= hi) || t <= 0 {
		return sensito.Estimate{}, check.Errorf(ErrOutside,
			"the family covers %s to %s, %s was asked for", FormatTime(lo), FormatTime(hi), FormatTime(t))
	}
	x := math.Log(t.Minutes())
	i, exact := slices.BinarySearch(s.k, t)
	if exact {
		return s.interval(s.h[i], s.s[i]), nil
	}
	f := (x - s.t[i-1]) / (s.t[i] - s.t[i-1])
	return s.interval(
		s.h[i-1]+f*(s.h[i]-s.h[i-1]),
		math.Hypot((1-f)*s.s[i-1], f*s.s[i])), nil
}

func (s SpeedTime) interval(h, sd float64) sensito.Estimate {
	if s.s[0] == 0 {
		return sensito.Estimate{Value: h, Low: math.NaN(), High: math.NaN()}
	}
	d := lsq.Normal95 * sd
	return sensito.Estimate{Value: h, Low: h - d, High: h + d}
}

// Speed is the arithmetic speed at time t for speed points of the ISO 6
// criterion,
//
//	S = 0.80 / Hm
//
// It is an exposure index unless the contrast condition of ISO 6 is met at t.
//
// Errors: [ErrOutside].
//
// Source: ISO 6:1993, as stated in the encyclopaedia article "Film speed".
func (s SpeedTime) Speed(t time.Duration) (sensito.Estimate, error) {
	h, err := s.At(t)
	if err != nil {
		return h, err
	}
	return h.Map(func(x float64) float64 { return 0.8 * math.Pow(10, -x) }), nil
}
