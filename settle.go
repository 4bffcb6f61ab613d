package actinic

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/actinic/internal/figures"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

// planner is a shot with all that does not depend on the settings.
type planner struct {
	Shot
	process *Process
	index   sensito.Speed
	ev100   exposure.EV100
	factor  float64
	ev      exposure.Ev // after index and filter
	law     reciprocity.Law
	hasLaw  bool
	words   prose // the texts of the steps and warnings, in order
}

// apertures are the marks of the lens from the widest on.
func (pl *planner) apertures() []camera.ApertureMark { return pl.Camera.Apertures() }

// times are the marks of the shutter from the longest on.
func (pl *planner) times() []camera.TimeMark { return pl.Camera.Times() }

// prepare checks a shot and works out what does not depend on the settings: index,
// factor of the filter, law, and the exposure value that they leave to set.
func (pl *planner) prepare(s Shot) error {
	if s.Film == nil || s.Camera.IsZero() {
		return inputf("a shot needs a film and a camera; load one by LoadFilm and make one by NewCamera")
	}
	for _, d := range []time.Duration{s.Time, s.Handheld, s.Longest} {
		if d < 0 {
			return inputf("a time of %v", d)
		}
	}
	// A subject that nobody measured: three stops to either side of the metered tone.
	if s.Shadow == 0 && s.Highlight == 0 {
		s.Shadow, s.Highlight = -3, 3
	}
	if !(s.Shadow < s.Highlight) || math.IsInf(float64(s.Highlight-s.Shadow), 0) {
		return inputf("a subject from %v to %v", s.Shadow, s.Highlight)
	}
	pl.Shot, pl.factor, pl.law = s, 1, reciprocity.Untested()
	var err error
	if pl.ev100, err = s.Scene.ev100(); err != nil {
		return err
	}
	// A film without a process can be planned with if the index is given.
	if pl.process, err = s.Film.Process(s.Process); err != nil && !(errors.Is(err, ErrMissing) && s.Index != 0) {
		return err
	}
	switch {
	case s.Index != 0:
		if !(s.Index >= plausible.LeastIndex && s.Index <= plausible.GreatestIndex) {
			return inputf("an index of %v", s.Index)
		}
		pl.index = sensito.Speed{Value: s.Index}
	default:
		x, err := pl.process.index()
		if err != nil {
			return err
		}
		// Meters are set to printed numbers.
		pl.index = sensito.Speed{Value: x.Index.Value}
		if row, ok := sensito.ScaleAt(pl.index.Degrees()); ok {
			pl.index.Value = row.Number
		}
	}
	if pl.factor, err = pl.filterFactor(); err != nil {
		return err
	}
	if d := s.Neutral; !(d >= 0 && d <= mostWorn) {
		return inputf("a grey filter of density %v; give the density, such as 0.9 for three stops", float64(d))
	}
	pl.ev = pl.ev100.Ev(pl.index) - exposure.Ev(math.Log2(pl.factor)) - exposure.Ev(camera.NeutralStops(s.Neutral))
	// Without a law of its own the film is taken by the rule for untested ones, and the plan says so.
	if law, err := s.Film.Reciprocity(); err == nil {
		pl.law, pl.hasLaw = law, true
	}
	return nil
}

// mostWorn is a density through which nobody photographs.
const mostWorn = 10

// hasFilter reports whether a filter was asked for, by its curve or by its factor.
func (pl *planner) hasFilter() bool { return !pl.Filter.IsZero() || pl.Shot.Factor != 0 }

// filterFactor is the factor of the filter for this film in this light, or the one given.
func (pl *planner) filterFactor() (float64, error) {
	switch f := pl.Shot.Factor; {
	case f != 0 && !(f >= 1 && f < 1e12):
		return 0, inputf("a filter factor of %v, want at least 1", f)
	case f != 0:
		return f, nil
	case pl.Filter.IsZero():
		return 1, nil
	// A factor belongs to a light as much as to a film: none is guessed.
	case pl.Scene.Light.IsZero():
		return 0, inputf("a filter in a light of no known colour; give Scene.Light, or the factor")
	}
	factor, err := pl.Film.filterFactor(pl.Scene.Light, pl.Filter)
	if errors.Is(err, ErrMissing) {
		return 0, fmt.Errorf("%w; give the factor of the filter", err)
	}
	return factor, err
}

// setting is an aperture and a time with what leads there.
type setting struct {
	aperture  camera.ApertureMark
	time      camera.TimeMark
	neutral   sensito.Density
	metered   float64 // seconds
	adjusted  float64
	residue   sensito.Stops
	tooFast   sensito.Stops // without the neutral density, how far faster than the fastest time
	tooBright bool
}

// how a wanted time lies to what camera and law can do.
type reach int8

const (
	within   reach = 0
	tooShort reach = 1
	tooLong  reach = -1
)

// atAperture finds the time for an aperture.
func (pl *planner) atAperture(a camera.ApertureMark, neutral sensito.Density) (setting, reach, error) {
	set := setting{aperture: a, neutral: neutral}
	// Ev = Av + Tv, so the time is 2^(Av - Ev); a grey filter takes from the light.
	set.metered = math.Exp2(-float64(pl.ev) + float64(a.Av) + float64(camera.NeutralStops(neutral)))
	var err error
	if set.adjusted, err = pl.law.Adjusted(set.metered); err != nil {
		if !errors.Is(err, reciprocity.ErrOutside) {
			return set, within, err
		}
		// Beyond the law's times the caller moves the aperture, in this direction.
		if lo, _ := pl.law.Domain(); set.metered < lo {
			return set, tooShort, err
		}
		return set, tooLong, err
	}
	// The camera is set to the corrected time, not to the metered one.
	v := exposure.Tv(-math.Log2(set.adjusted))
	m, beyond, err := pl.Camera.Reach(v)
	if err != nil {
		return set, within, err
	}
	set.time, set.residue = m, sensito.Stops(v-m.Tv)
	switch {
	case beyond > 0:
		set.tooFast = sensito.Stops(beyond)
		return set, tooShort, fmt.Errorf("%w: at %v the time would be %s, %.1f stops faster than the fastest, %v",
			camera.ErrReach, a, reciprocity.FormatLong(figures.Seconds(set.adjusted)), beyond, m)
	case beyond < 0:
		return set, tooLong, fmt.Errorf("%w: at %v the time would be %s, %.1f stops longer than the longest, %v; open the aperture, bring more light, or hold the shutter open",
			camera.ErrReach, a, reciprocity.FormatLong(figures.Seconds(set.adjusted)), -beyond, m)
	}
	return set, within, nil
}

// atTime finds the aperture value for a time.
func (pl *planner) atTime(m camera.TimeMark, neutral sensito.Density) (set setting, wanted exposure.Av, err error) {
	// The mark stands for its exact value, 1/60 for 1/64; the law is asked backwards.
	set = setting{time: m, neutral: neutral, adjusted: math.Exp2(-float64(m.Tv))}
	if set.metered, err = pl.law.Metered(set.adjusted); err != nil {
		return set, 0, err
	}
	return set, exposure.Av(float64(pl.ev) - float64(camera.NeutralStops(neutral)) + math.Log2(set.metered)), nil
}

const mostFilters = 40 // steps of grey filter, more than any scene asks for

// settle chooses aperture and time by what of them was given.
func (pl *planner) settle() (setting, error) {
	switch {
	case pl.Aperture != 0 && pl.Time != 0:
		return pl.bothGiven()
	case pl.Aperture != 0:
		a, err := pl.Camera.Aperture(pl.Aperture)
		if err != nil {
			return setting{}, err
		}
		return pl.timeFree(a)
	case pl.Time != 0:
		m, err := pl.Camera.Time(pl.Time)
		if err != nil {
			return setting{}, err
		}
		return pl.apertureFree(m)
	}
	return pl.bothFree()
}

// timeFree takes grey filters until the camera has the time.
func (pl *planner) timeFree(a camera.ApertureMark) (setting, error) {
	first, how, err := pl.atAperture(a, 0)
	set := first
	for n := 1; how == tooShort && n <= mostFilters; n++ {
		set, how, err = pl.atAperture(a, camera.NeutralStep*sensito.Density(n))
	}
	// What is said of the scene is about the lens without the grey filter.
	set.tooFast = first.tooFast
	return set, err
}

// apertureFree takes grey filters until the lens has the aperture.
func (pl *planner) apertureFree(m camera.TimeMark) (setting, error) {
	for n := 0; ; n++ {
		set, av, err := pl.atTime(m, camera.NeutralStep*sensito.Density(n))
		if err != nil {
			return set, err
		}
		if set.aperture, set.residue, err = pl.Camera.NearestAperture(av); err == nil {
			set.tooBright = n > 0
			return set, nil
		}
		// Too dark for the widest aperture: no grey filter mends that.
		if widest := pl.apertures()[0].Av; av < widest || n == mostFilters {
			return set, fmt.Errorf("%w; at %v there is too little light by %.1f stops", err, m, float64(widest-av))
		}
	}
}

// bothGiven keeps the settings.
func (pl *planner) bothGiven() (setting, error) {
	a, err := pl.Camera.Aperture(pl.Aperture)
	if err != nil {
		return setting{}, err
	}
	m, err := pl.Camera.Time(pl.Time)
	if err != nil {
		return setting{}, err
	}
	set, av, err := pl.atTime(m, 0)
	if err != nil {
		return set, err
	}
	// Settings that let in too much are kept, with the grey filter that brings them right.
	if n := math.Round(float64(av-a.Av) / float64(camera.NeutralStops(camera.NeutralStep))); n > 0 {
		if set, av, err = pl.atTime(m, camera.NeutralStep*sensito.Density(n)); err != nil {
			return set, err
		}
		set.tooBright = true
	}
	set.aperture, set.residue = a, sensito.Stops(av-a.Av)
	return set, nil
}

// bothFree starts at an aperture and moves it only where the time would be one that
// cannot be.
func (pl *planner) bothFree() (setting, error) {
	c, apertures, times := pl.Camera, pl.apertures(), pl.times()
	start := apertures[len(apertures)/2]
	if pl.Start != 0 {
		var err error
		if start, err = c.Aperture(pl.Start); err != nil {
			return setting{}, err
		}
	}
	set, how, err := pl.atAperture(start, 0)
	if err != nil && how == within {
		return set, err
	}
	limit := pl.limit()
	// Opening and closing are told by where the start stands among the marks.
	at := slices.Index(apertures, start)
	if pl.Start == 0 {
		if fixed, ok := pl.bright(set, how, at, apertures, times); ok {
			return fixed, nil
		}
	}
	switch {
	case how == tooShort:
		// Too bright: the fastest time, with the aperture closed as far as that asks.
		for i := len(times) - 1; i >= 0; i-- {
			fixed, av, err := pl.atTime(times[i], 0)
			if err != nil {
				continue // the law does not reach down to this one
			}
			if fixed.aperture, fixed.residue, err = c.NearestAperture(av); err == nil &&
				slices.Index(apertures, fixed.aperture) >= at {
				return fixed, nil
			}
			break
		}
		// Not even the smallest aperture will do: grey filters.
		return pl.timeFree(apertures[len(apertures)-1])
	case how == within && (limit == 0 || !longer(set.time.Time, limit)):
		return set, nil
	}
	// The longest time that may be.
	for _, m := range times {
		if limit > 0 && longer(m.Time, limit) {
			continue
		}
		fixed, av, err := pl.atTime(m, 0)
		if err != nil {
			continue // the law does not reach up to this one
		}
		if fixed.aperture, fixed.residue, err = c.NearestAperture(av); err == nil &&
			slices.Index(apertures, fixed.aperture) <= at {
			return fixed, nil
		}
		break
	}
	// Too dark for that as well: the widest aperture, and the time it takes.
	return pl.timeFree(apertures[0])
}

// bright finds what a person would set where the middle aperture asks for a faster time
// than is easy: first the aperture is closed at the fastest easy time, up to a stop from
// the smallest, then the time goes faster; ok is false for other light, and where that
// does not do. at is where the middle aperture stands.
func (pl *planner) bright(middle setting, how reach, at int, apertures []camera.ApertureMark, times []camera.TimeMark,
) (set setting, ok bool) {
	easy := easyTime(times)
	if !(how == tooShort || how == within && middle.time.Tv > easy.Tv+1e-6) {
		return setting{}, false
	}
	smallest := apertures[len(apertures)-1].Av
	last := at
	for i := at; i < len(apertures) && apertures[i].Av <= smallest-1+1e-6; i++ {
		last = i
	}
	if fixed, av, err := pl.atTime(easy, 0); err == nil {
		fixed.aperture, fixed.residue, err = pl.Camera.NearestAperture(av)
		if i := slices.Index(apertures, fixed.aperture); err == nil && at <= i && i <= last {
			return fixed, true
		}
	}
	set, how, err := pl.atAperture(apertures[last], 0)
	return set, err == nil && how == within
}

// easyTime is the fastest time that is set without need: 1/1000, to which films keep
// reciprocity as a rule, or the fastest but a stop.
func easyTime(times []camera.TimeMark) camera.TimeMark {
	fastest := times[len(times)-1]
	easy := times[0]
	for _, m := range times {
		if m.Tv <= min(10, fastest.Tv-1)+1e-6 {
			easy = m
		}
	}
	return easy
}

// longer reports whether a is longer than b by more than a rounding: time.Second/15
// is not rounded as 1/15 is.
func longer(a, b time.Duration) bool { return a.Seconds() > b.Seconds()*(1+1e-6) }

// limit is the longest time that hand and subject allow, 0 for any.
func (pl *planner) limit() time.Duration {
	switch {
	case pl.Handheld == 0:
		return pl.Longest
	case pl.Longest == 0:
		return pl.Handheld
	}
	return min(pl.Handheld, pl.Longest)
}
