package devtime

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/root"
	"example.org/actinic/sensito"
)

// Strip is the characteristic curve of a film at one development time.
type Strip struct {
	Time  time.Duration
	Curve sensito.Curve
}

// Family is the curves of one film in one process at several times. Between two
// of them the density at an exposure runs straight against the logarithm of
// time, so a family gives a curve for every time in its range, and whatever can
// be asked of a curve: what index the film really has at a development, what
// contrast, and what a push costs in the shadows.
type Family struct {
	strips []Strip
}

// MarshalJSON is an error: a family is curves, which are stored with their strips.
func (f Family) MarshalJSON() ([]byte, error) {
	return nil, check.Errorf(ErrInput, "a family is not stored; store its strips")
}

// NewFamily returns the family of two strips or more, in any order.
//
// Errors: [ErrInput] for fewer than two strips, a time twice, a time that is
// not positive, a strip without a curve, or neighbours with no exposure in
// common.
func NewFamily(strips []Strip) (Family, error) {
	s := slices.Clone(strips)
	slices.SortFunc(s, func(a, b Strip) int { return cmp.Compare(a.Time, b.Time) })
	if len(s) < 2 {
		return Family{}, check.Errorf(ErrInput, "%d strips, want 2 or more", len(s))
	}
	for i, q := range s {
		if !(q.Time > 0) || q.Curve == nil {
			return Family{}, check.Errorf(ErrInput, "strip at %v without a time or a curve", q.Time)
		}
		if i == 0 {
			continue
		}
		if q.Time == s[i-1].Time {
			return Family{}, check.Errorf(ErrInput,
				"two strips at %s; join their readings into one curve", FormatTime(q.Time))
		}
		b := blend{s[i-1].Curve, q.Curve, .5}
		if lo, hi := b.Domain(); !(lo < hi) {
			return Family{}, check.Errorf(ErrInput,
				"the strips at %s and %s have no exposure in common", FormatTime(s[i-1].Time), FormatTime(q.Time))
		}
	}
	return Family{s}, nil
}

// Range is the shortest and longest time of the family.
func (f Family) Range() (shortest, longest time.Duration) {
	if len(f.strips) == 0 {
		return 0, 0
	}
	return f.strips[0].Time, f.strips[len(f.strips)-1].Time
}

// Curve is the characteristic curve at a time.
//
// Errors: [ErrOutside], naming the range, for a time outside the family.
func (f Family) Curve(t time.Duration) (sensito.Curve, error) {
	lo, hi := f.Range()
	if !(t >= lo && t <= hi) || t <= 0 {
		return nil, check.Errorf(ErrOutside,
			"the family covers %s to %s, %s was asked for", FormatTime(lo), FormatTime(hi), FormatTime(t))
	}
	i, exact := slices.BinarySearchFunc(f.strips, t, func(s Strip, t time.Duration) int {
		switch {
		case s.Time < t:
			return -1
		case s.Time > t:
			return 1
		}
		return 0
	})
	if exact {
		return f.strips[i].Curve, nil
	}
	a, b := f.strips[i-1], f.strips[i]
	w := math.Log(float64(t)/float64(a.Time)) / math.Log(float64(b.Time)/float64(a.Time))
	return blend{a.Curve, b.Curve, w}, nil
}

// TimeFor is the shortest time in the family at which a measure of the curve
// (a contrast, or an index such as sensito.Index gives) has the target value.
//
// Errors: [ErrOutside], naming what the family reaches; the measure's own where
// fewer than two strips have it.
func (f Family) TimeFor(m sensito.Measure, target float64) (time.Duration, error) {
	if m == nil || math.IsNaN(target) || len(f.strips) == 0 {
		return 0, check.Errorf(ErrInput, "target of %v", target)
	}
	var first error
	least, most := math.Inf(1), math.Inf(-1)
	var prev float64
	have := false
	for i, s := range f.strips {
		v, err := m(s.Curve)
		if err != nil || math.IsNaN(v) {
			if first == nil {
				first = err
			}
			have = false
			continue
		}
		if v == target {
			return s.Time, nil
		}
		least, most = math.Min(least, v), math.Max(most, v)
		if have && (prev < target) != (v < target) {
			a, b := math.Log(f.strips[i-1].Time.Minutes()), math.Log(s.Time.Minutes())
			x, err := root.Find(func(x float64) float64 {
				switch x {
				case a:
					return prev - target
				case b:
					return v - target
				}
				w := (x - a) / (b - a)
				y, err := m(blend{f.strips[i-1].Curve, s.Curve, w})
				if err != nil {
					if first == nil {
						first = err
					}
					return math.NaN()
				}
				return y - target
			}, a, b)
			if err == nil && !math.IsNaN(x) {
				t, _ := minutes(math.Exp(x))
				return t, nil
			}
		}
		prev, have = v, true
	}
	if most < least {
		return 0, fmt.Errorf("devtime: no strip has the measure asked for: %w", first)
	}
	lo, hi := f.Range()
	return 0, check.Errorf(ErrOutside,
		"%.4g is asked for, and the family reaches %.4g to %.4g from %s to %s", target, least, most, FormatTime(lo), FormatTime(hi))
}

// Development is what a film is at a development time.
type Development struct {
	Time     time.Duration
	Index    float64 // the index it really has, by the criterion asked for
	Contrast float64 // by the measure asked for
	// ShadowLoss is how many stops less than the criterion wants the shadows
	// get when the film is exposed at another index: log2(rated/Index).
	// Negative is to spare.
	ShadowLoss sensito.Stops
}

// At is the real index and the contrast at a time, and what exposing at the
// index rated then does to the shadows; rated is 0 for the real index itself.
//
// Errors: [ErrOutside]; [ErrInput]; those of the curve.
func (f Family) At(t time.Duration, rated float64, by sensito.Criterion, contrast sensito.Measure) (Development, error) {
	c, err := f.Curve(t)
	if err != nil {
		return Development{}, err
	}
	if !(rated >= 0) || !check.Finite(rated) || contrast == nil {
		return Development{}, check.Errorf(ErrInput, "rated index of %v", rated)
	}
	d := Development{Time: t}
	index, err := sensito.Index(c, by)
	if err != nil {
		return Development{}, err
	}
	d.Index = index.Value
	if d.Contrast, err = contrast(c); err != nil {
		return Development{}, err
	}
	if rated > 0 {
		d.ShadowLoss = sensito.StopsOf(rated / d.Index)
	}
	return d, nil
}

// Push is the development for exposing at the index rated and printing at a
// contrast: the time that gives the contrast, the index the film really has
// then, and what is lost in the shadows. Speed hardly grows with development
// while contrast does, so a push is mostly paid for by the shadows.
//
// Errors: as [Family.TimeFor] and [Family.At].
func (f Family) Push(rated float64, by sensito.Criterion, contrast sensito.Measure, target float64) (Development, error) {
	t, err := f.TimeFor(contrast, target)
	if err != nil {
		return Development{}, err
	}
	return f.At(t, rated, by, contrast)
}

// blend is the curve between two of a family.
type blend struct {
	a, b sensito.Curve
	w    float64
}

func (c blend) Domain() (lo, hi sensito.LogH) {
	l1, h1 := c.a.Domain()
	l2, h2 := c.b.Domain()
	return max(l1, l2), min(h1, h2)
}

func (c blend) BaseFog() sensito.Density {
	return sensito.Density(c.mix(float64(c.a.BaseFog()), float64(c.b.BaseFog())))
}

func (c blend) mix(a, b float64) float64 { return a + c.w*(b-a) }

func (c blend) Density(h sensito.LogH) (sensito.Density, error) {
	a, err := c.a.Density(h)
	if err != nil {
		return 0, err
	}
	b, err := c.b.Density(h)
	return sensito.Density(c.mix(float64(a), float64(b))), err
}

func (c blend) Slope(h sensito.LogH) (float64, error) {
	a, err := c.a.Slope(h)
	if err != nil {
		return 0, err
	}
	b, err := c.b.Slope(h)
	return c.mix(a, b), err
}

// LogH is the inverse. The blend of two rising curves rises.
func (c blend) LogH(d sensito.Density) (sensito.LogH, error) {
	// Where both curves have the density the answer lies between theirs; else
	// search the whole domain.
	lo, hi := c.Domain()
	x, err1 := c.a.LogH(d)
	y, err2 := c.b.LogH(d)
	if err1 == nil && err2 == nil {
		lo, hi = max(lo, min(x, y)), min(hi, max(x, y))
	}
	if math.IsInf(float64(lo), 0) || math.IsInf(float64(hi), 0) {
		// A curve without bounds, known at one density only: step out.
		mid := lo
		if math.IsInf(float64(lo), 0) {
			mid = hi
		}
		if math.IsInf(float64(mid), 0) {
			mid = 0
		}
		lo, hi = max(lo, mid-20), min(hi, mid+20)
	}
	f := func(x float64) float64 {
		v, err := c.Density(sensito.LogH(x))
		if err != nil {
			return math.NaN()
		}
		return float64(v - d)
	}
	v, err := root.Find(f, float64(lo), float64(hi))
	if err != nil || math.IsNaN(v) {
		return 0, fmt.Errorf("%w: density %v between two developments", sensito.ErrNotReached, d)
	}
	return sensito.LogH(v), nil
}

// ToneGain is what a tone gains in density.
type ToneGain struct {
	Tone          sensito.Stops // from the metered tone
	Before, After sensito.Density
	Gain          float64
}

// ToneGains is what exposing at another index (from one, to the other; only their
// values count) does while the development stays: rating a film at half its index gives every tone a stop more. Each tone, in
// stops from the metered one, has the exposure
//
//	log10(sensito.MeteredExposure / index) + 0.30103 tone
//
// and the result is its density at both indexes. On the straight part a stop
// gains 0.30 gamma; a shadow on the toe and a highlight on the shoulder gain
// less. No flare is allowed for.
//
// Errors: [ErrInput]; those of the curve where a tone leaves it.
func ToneGains(c sensito.Curve, from, to sensito.Speed, tones []sensito.Stops) ([]ToneGain, error) {
	if c == nil || !(from.Value > 0) || !(to.Value > 0) || !check.Finite(from.Value, to.Value) {
		return nil, check.Errorf(ErrInput, "from index %v to index %v, on a curve or none", from.Value, to.Value)
	}
	out := make([]ToneGain, len(tones))
	for i, n := range tones {
		a, err := c.Density(sensito.LogHOf(sensito.MeteredExposure / from.Value).Add(n))
		if err != nil {
			return nil, err
		}
		b, err := c.Density(sensito.LogHOf(sensito.MeteredExposure / to.Value).Add(n))
		if err != nil {
			return nil, err
		}
		out[i] = ToneGain{n, a, b, float64(b - a)}
	}
	return out, nil
}

// FactorRange is a rule of thumb as a band of factors on the development time, for
// want of curves.
type FactorRange struct {
	Low, High  float64 // factors on the development time
	Source     string
	FromMemory bool
}

// PushRuleOfThumb is the band of factors by which the trade changes development
// time when a film is pushed (stops above 0) or pulled (below 0). It knows
// nothing of the film: use it only where there are no curves, and say so.
// Between whole stops the ends run geometrically.
//
// Errors: [ErrOutside] beyond two stops of push or one of pull, for which
// nothing was found in print or in common use.
//
// Source: one stop +35 to 50 %, two stops +75 to 100 %: H. Horenstein,
// Black & White Photography: A Basic Manual p. 154, as quoted. A zone-system
// book's N+1 is gentler, about +25 % (B. Thornton). A pull of one stop, -20 to
// -30 %, is from memory.
func PushRuleOfThumb(push sensito.Stops) (FactorRange, error) {
	s := float64(push)
	const book = "H. Horenstein, Black & White Photography: A Basic Manual, p. 154, as quoted"
	between := func(f, a, b float64) float64 { return a * math.Pow(b/a, f) }
	switch {
	case s >= 0 && s <= 1:
		return FactorRange{between(s, 1, 1.35), between(s, 1, 1.50), book, false}, nil
	case s > 1 && s <= 2:
		return FactorRange{between(s-1, 1.35, 1.75), between(s-1, 1.50, 2.00), book, false}, nil
	case s < 0 && s >= -1:
		return FactorRange{between(-s, 1, .7), between(-s, 1, .8), "common practice, from memory", true}, nil
	}
	return FactorRange{}, check.Errorf(ErrOutside, "no rule of thumb for a push of %v; measure the film", push)
}
