package roll

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// Settings of [Roll.Characterise]. The zero value is usable.
type Settings struct {
	// Seed of the drawn intervals; the same roll and seed give the same record.
	Seed uint64
	// Resamplings, if above 0, makes the strips' intervals from so many drawn and
	// refitted strips instead of first-order propagation: slower, and a check on it.
	Resamplings int
}

// frameSD is assumed of a bracket's densities that come without one: placing,
// shutter, diaphragm and densitometer together (common practice, no source).
const frameSD = 0.02

// Characterise turns the readings into a record: per strip, across the family, and
// the recommendation.
//
// A strip is fitted by [sensito.Fit], rated by [sensito.Rate]. The average
// gradients of strips of two times or more give the growth of contrast, with an
// induction time where the strips ask for one, and from it the time for the
// target. The index comes from the bracket if there is one (the index at which the
// shadow has 0.10 above base plus fog), otherwise from the fixed-density speed at
// that time.
//
// A strip that does not reach what is asked is left out with a warning; readings
// that cannot be right are an error, as is a roll without one usable strip. Errors
// wrap those of package sensito.
func (roll *Roll) Characterise(set Settings) (*Record, error) {
	if len(roll.Strips) == 0 {
		return nil, fmt.Errorf("%w: a test roll without strips", datafile.ErrData)
	}
	if !(roll.TargetAverageGradient > 0) || math.IsInf(roll.TargetAverageGradient, 0) {
		return nil, fmt.Errorf("%w: target average gradient is %v, want more than 0", datafile.ErrData, roll.TargetAverageGradient)
	}
	r := &builder{Record{Film: roll.Film, Process: roll.Process, Light: roll.Light,
		TargetAverageGradient: roll.TargetAverageGradient, Warnings: []string{}}}
	by := roll.Criterion
	if by == sensito.Stated {
		by = sensito.FixedDensity
	}
	var missing error
	for _, s := range roll.byTime() {
		sr, err := r.strip(s, by, set)
		switch {
		case errors.Is(err, sensito.ErrNotReached):
			r.warn("Strip %s was left out: %v.", s.Name, figures.Bare(err))
			missing = fmt.Errorf("strip %s: %w", s.Name, err)
		case err != nil:
			return nil, fmt.Errorf("strip %s: %w", s.Name, err)
		default:
			r.Strips = append(r.Strips, *sr)
		}
	}
	if len(r.Strips) == 0 {
		return nil, missing
	}
	law, ok := r.family()
	develop := r.develop(law, ok)
	if len(roll.Bracket) > 0 {
		if err := r.bracket(roll, set); err != nil {
			return nil, err
		}
	}
	r.index(develop)
	r.recommend(develop)
	return &r.Record, nil
}

// builder makes a record, part by part.
type builder struct{ Record }

func (r *builder) warn(format string, args ...any) {
	r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...))
}

// strip fits and measures one strip.
func (r *builder) strip(s Strip, by sensito.Criterion, set Settings) (*StripRecord, error) {
	var base sensito.Base
	if len(s.Unexposed) > 0 {
		base = sensito.UnexposedBase(s.Unexposed...)
	}
	fit, err := sensito.Fit(s.Readings, base)
	if err != nil {
		return nil, err
	}
	rating, err := sensito.Rate(fit, by)
	if err != nil && by != sensito.FixedDensity && errors.Is(err, sensito.ErrNotReached) {
		r.warn("Strip %s has no index by %v (%v); the fixed density was used.", s.Name, by, figures.Bare(err))
		rating, err = sensito.Rate(fit, sensito.FixedDensity)
	}
	if err != nil {
		return nil, err
	}
	logIndex := func(c sensito.Curve) (float64, error) {
		of := rating.Speed.Criterion
		if of == sensito.ISO6 {
			of = sensito.FixedDensity
		}
		v, err := sensito.Index(c, of)
		return math.Log10(v), err
	}
	es, err := estimates(fit, set, sensito.SpeedPoint, logIndex, sensito.Gamma, sensito.AverageGradient, sensito.ContrastIndex)
	if err != nil {
		return nil, err
	}
	point, index := es[0], es[1]
	sr := &StripRecord{
		Strip: s.Name, DevelopmentS: s.Development.Seconds(),
		BaseFog: float64(fit.BaseFog()), SpeedPointLogH: float64(rating.SpeedPoint),
		DeltaD: figures.Known(rating.DeltaD), MeetsISO: rating.MeetsISO,
		Gamma: es[2], AverageGradient: es[3], ContrastIndex: es[4],
		Curve: fit, Readings: slices.Clone(s.Readings), Unexposed: slices.Clone(s.Unexposed),
	}
	if point != nil {
		sr.SpeedPointLow, sr.SpeedPointHigh = figures.Known(point.Low), figures.Known(point.High)
	}
	// The interval of the speed is taken on its logarithm.
	speed := sensito.Estimate{Low: math.NaN(), High: math.NaN()}
	if index != nil {
		speed = index.Map(func(x float64) float64 { return math.Pow(10, x) })
	}
	sr.Speed = SpeedRecord{rating.Speed.Kind, rating.Speed.Criterion, rating.Speed.Value, rating.Speed.Degrees(), figures.Known(speed.Low), figures.Known(speed.High)}
	if x := fit.Scatter(); hasSD(s.Readings) && x > 2 {
		r.warn("The readings of strip %s scatter %.1f times as much about the curve as their standard deviations say; the intervals were widened. Look for a misread step.", s.Name, x)
	}
	if sr.DeltaD == nil {
		r.warn("Strip %s ends before 1.30 above its speed point: the contrast condition of ISO 6 could not be checked, so its speed is an index.", s.Name)
	}
	if sr.AverageGradient == nil {
		r.warn("Strip %s ends before 1.50 above its speed point: it has no average gradient and takes no part in the growth of contrast.", s.Name)
	}
	if s.Development < devtime.EvenTime {
		r.warn("Strip %s was developed for %s: times under about five minutes risk uneven development.", s.Name, devtime.FormatTime(s.Development))
	}
	return sr, nil
}

// estimates takes the measures that the curve has; nil stands for one it has not.
func estimates(fit *sensito.Fitted, set Settings, measures ...sensito.Measure) ([]*sensito.Estimate, error) {
	out := make([]*sensito.Estimate, len(measures))
	var there []sensito.Measure
	var at []int
	for i, m := range measures {
		if _, err := m(fit); err == nil {
			there, at = append(there, m), append(at, i)
		}
	}
	var es []sensito.Estimate
	var err error
	if set.Resamplings > 0 {
		es, err = fit.Resample(sensito.Sampling{Draws: set.Resamplings, Seed: set.Seed}, there...)
	} else {
		es, err = fit.Estimate(there...)
	}
	if err != nil {
		return nil, err
	}
	for k, i := range at {
		out[i] = &es[k]
	}
	return out, nil
}

func hasSD(rs []sensito.Reading) bool {
	return !slices.ContainsFunc(rs, func(r sensito.Reading) bool { return !(r.SD > 0) })
}

// sd returns the standard deviation behind a 95 % interval, 0 where not known.
func sd(e sensito.Estimate) float64 {
	if w := (e.High - e.Low) / (2 * lsq.Normal95); w > 0 && !math.IsInf(w, 0) {
		return w
	}
	return 0
}
