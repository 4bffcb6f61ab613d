package reciprocity

import (
	"math"
	"strconv"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Tones tells what each tone of a scene gains or loses when every tone fails
// by its own intensity. exposed is the time the shutter was really open;
// offsets are the tones in stops from the metered one, which comes out right.
// The result is the exposure, in the same stops, that each tone has in effect.
//
// A tone x stops up has the metered time m/2^x, where m = Metered(exposed) is
// that of the metered tone, and would need Adjusted(m/2^x); so it counts as
//
//	log2(exposed / Adjusted(m / 2^x))
//
// stops from the metered one. In weak light shadows fall further than they
// should and the scale is stretched by the local exponent, up to 1/p; in very
// short exposures it is squeezed. extrapolated says that a tone's metered time
// lies outside the domain of the law, which for deep shadows is soon.
//
// It assumes D = F(t ψ(I)), the result of E. Kron, Jahrbuch für Photographie
// 28 (1914) 6-10: curves of density against log time are parallel, and all
// failure is in ψ. It holds as far as the law, found at one density, does for
// the others.
//
// Errors: [ErrInput] for a time or an offset that cannot be used; those of the
// law.
func Tones(l Law, exposed time.Duration, offsets []sensito.Stops) (effective []sensito.Stops, extrapolated bool, err error) {
	if err := usable(l); err != nil {
		return nil, false, err
	}
	t := exposed.Seconds()
	m, err := l.Metered(t)
	if err != nil {
		return nil, false, err
	}
	effective = make([]sensito.Stops, len(offsets))
	for i, x := range offsets {
		var beyond bool
		if effective[i], beyond, err = toneAt(l, t, m, x); err != nil {
			return nil, false, err
		}
		extrapolated = extrapolated || beyond
	}
	return effective, extrapolated, nil
}

// toneAt is what a tone x stops from the metered one gains or loses at the time t, m the
// metered time of that one; see [Tones].
func toneAt(l Law, t, m float64, x sensito.Stops) (effective sensito.Stops, extrapolated bool, err error) {
	tone := m / x.Factor()
	a, err := l.Adjusted(tone)
	if err != nil {
		return 0, false, err
	}
	return sensito.StopsOf(t / a), outside(l, tone), nil
}

// ContrastChange is what failure does to the density range of a scene.
type ContrastChange struct {
	Normal float64 // density range of the scene where reciprocity holds
	Failed float64 // density range with failure
	// Factor is Failed/Normal: above 1 the negative is harder than normal.
	Factor float64
	// Shadow and Highlight are the exposures those tones have in effect, in
	// stops from the metered tone.
	Shadow, Highlight sensito.Stops
	Extrapolated      bool // see [Tones]
}

// Contrast compares the density ranges of a scene with and without failure.
// metered is the exposure that the metered tone has where reciprocity holds;
// shadow and highlight are the ends of the scene in stops from it, shadow
// below highlight; exposed is the time the shutter was open, see [Tones].
//
// Errors: [ErrInput]; those of the law; those of the curve where a tone leaves
// it.
func Contrast(l Law, c sensito.Curve, metered sensito.LogH, exposed time.Duration,
	shadow, highlight sensito.Stops) (ContrastChange, error) {
	if !(shadow < highlight) {
		return ContrastChange{}, check.Errorf(ErrInput,
			"shadow at %v is not below the highlight at %v", shadow, highlight)
	}
	if c == nil {
		return ContrastChange{}, check.Errorf(ErrInput, "no curve")
	}
	if err := usable(l); err != nil {
		return ContrastChange{}, err
	}
	t := exposed.Seconds()
	m, err := l.Metered(t)
	if err != nil {
		return ContrastChange{}, err
	}
	var e [2]sensito.Stops
	var far [2]bool
	for i, s := range [2]sensito.Stops{shadow, highlight} {
		if e[i], far[i], err = toneAt(l, t, m, s); err != nil {
			return ContrastChange{}, err
		}
	}
	var d [4]float64
	for i, s := range [4]sensito.Stops{shadow, highlight, e[0], e[1]} {
		v, err := c.Density(metered.Add(s))
		if err != nil {
			return ContrastChange{}, err
		}
		d[i] = float64(v)
	}
	r := ContrastChange{
		Normal: d[1] - d[0], Failed: d[3] - d[2],
		Shadow: e[0], Highlight: e[1], Extrapolated: far[0] || far[1],
	}
	if !(r.Normal > 0) {
		return ContrastChange{}, check.Errorf(ErrInput, "the scene has no density range on this curve")
	}
	r.Factor = r.Failed / r.Normal
	return r, nil
}

// Development is the change of development time in percent that restores the
// normal range, given the contrast of normal development and how long a
// contrast takes (for example the TimeFor of a law of development):
//
//	100 (time(contrast/Factor) / time(contrast) - 1)
//
// It supposes that all densities scale with the contrast.
//
// Errors: [ErrInput]; those of timeFor.
func (c ContrastChange) Development(
	contrast float64, timeFor func(contrast float64) (time.Duration, error),
) (percent float64, err error) {
	if !(contrast > 0) || !(c.Factor > 0) || timeFor == nil {
		return 0, check.Errorf(ErrInput, "contrast %v, factor %v", contrast, c.Factor)
	}
	normal, err := timeFor(contrast)
	if err != nil {
		return 0, err
	}
	changed, err := timeFor(contrast / c.Factor)
	if err != nil {
		return 0, err
	}
	if !(normal > 0) {
		return 0, check.Errorf(ErrInput, "a normal development time of %v", normal)
	}
	return 100 * (changed.Seconds()/normal.Seconds() - 1), nil
}

// DevelopmentRange is by how much to change the development for the contrast that
// failure brings, as a range: from no change, if every tone fails like the metered
// one, to Most, if each fails by its own intensity. The figure of the handbook
// stands beside it. Percents are of the normal time; less is negative.
type DevelopmentRange struct {
	None     float64 // 0: no tone fails more than the metered one
	Most     float64 // every tone fails by its own intensity, see [Tones]
	Handbook HandbookFigure
}

// DevelopmentRange is [ContrastChange.Development] as the range that is honest: which
// of its two ends a film takes must be tried. metered is the time that the meter
// gave.
//
// Schwarzschild's law alone, equal blackening where I t^p is equal, asks for no
// change: with one time for all tones I alone tells them apart. Kron's curves, on
// which [Tones] stands, ask for about twice what handbooks print. Their figure lies
// between the two.
//
// Errors: as [ContrastChange.Development]; [ErrInput] for a metered time that is not
// positive.
func (c ContrastChange) DevelopmentRange(
	metered time.Duration, contrast float64, timeFor func(contrast float64) (time.Duration, error),
) (DevelopmentRange, error) {
	h, err := HandbookDevelopment(metered)
	if err != nil {
		return DevelopmentRange{}, err
	}
	most, err := c.Development(contrast, timeFor)
	return DevelopmentRange{Most: most, Handbook: h}, err
}

// String says the range in words, "0 to 37 % less; handbooks: 18 % less".
func (d DevelopmentRange) String() string {
	var room [64]byte
	b := room[:0]
	if math.Abs(d.Most) >= 0.5 {
		b = append(b, "0 to "...)
	}
	b = appendChange(b, d.Most)
	b = append(b, "; handbooks: "...)
	return string(appendChange(b, d.Handbook.Percent))
}

// appendChange appends a change of development in whole per cent.
func appendChange(b []byte, percent float64) []byte {
	switch {
	case percent <= -0.5:
		return append(strconv.AppendFloat(b, -percent, 'f', 0, 64), " % less"...)
	case percent >= 0.5:
		return append(strconv.AppendFloat(b, percent, 'f', 0, 64), " % more"...)
	}
	return append(b, "no change"...)
}

// FromDensity turns one test exposure into a [Reading] for [Fit]: a patch given
// the nominal exposure E t over the time t came out with a density; on the
// characteristic curve, measured at a time where reciprocity holds, that
// density belongs to a smaller exposure. The patch was then metered for
//
//	metered = t 10^(curve.LogH(density) - nominal)
//
// sd is the standard deviation of the density, 0 where not known.
//
// Errors: [ErrInput]; those of the curve.
//
// Source: the definition of a metered time, worked out here.
func FromDensity(c sensito.Curve, t time.Duration, nominal sensito.LogH, density sensito.Density, sd float64) (Reading, error) {
	if _, err := seconds(t.Seconds()); err != nil {
		return Reading{}, err
	}
	if !(sd >= 0) || !check.Finite(sd) || math.IsNaN(float64(nominal)) {
		return Reading{}, check.Errorf(ErrInput, "nominal exposure %v, standard deviation %v", nominal, sd)
	}
	if c == nil {
		return Reading{}, check.Errorf(ErrInput, "no curve")
	}
	h, err := c.LogH(density)
	if err != nil {
		return Reading{}, err
	}
	m, err := duration(t.Seconds() * math.Pow(10, float64(h-nominal)))
	if err != nil {
		return Reading{}, err
	}
	r := Reading{Metered: m, Adjusted: t}
	if sd > 0 {
		g, err := c.Slope(h)
		if err != nil {
			return Reading{}, err
		}
		if !(g > 0) {
			return Reading{}, check.Errorf(ErrInput, "the curve is flat at density %v", density)
		}
		r.SD = sensito.LogH(sd / g).Sub(0)
	}
	return r, nil
}
