package actinic

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/filters"
	"example.org/actinic/internal/figures"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/spectral"
)

// Scene is the light of a subject: its luminance, or the illuminance on it, or where
// both are 0 what a meter reads.
type Scene struct {
	Luminance   exposure.Luminance
	Illuminance exposure.Illuminance
	Reading     exposure.EV100
	Reflected   exposure.ReflectedMeter // its K turns the luminance into a reading
	Incident    exposure.IncidentMeter  // its C turns the illuminance into one
	Light       spectral.Light          // what colour it has; needed with a filter
}

func (s Scene) ev100() (exposure.EV100, error) {
	switch {
	case s.Luminance != 0 && s.Illuminance != 0:
		return 0, inputf("a scene with a luminance and an illuminance; give one")
	case s.Luminance != 0:
		return s.Reflected.EV100(s.Luminance)
	case s.Illuminance != 0:
		return s.Incident.EV100(s.Illuminance)
	case math.IsNaN(float64(s.Reading)) || math.Abs(float64(s.Reading)) > 60:
		return 0, inputf("a reading of %v; give the EV at ISO 100", s.Reading)
	}
	return s.Reading, nil
}

// Shot asks for a plan of one exposure.
type Shot struct {
	Scene   Scene
	Film    *Film
	Process string  // as for Film.Process
	Index   float64 // 0 stands for the index of the process

	// Filter is before the lens; the zero Filter is none. Its factor is computed for
	// the film in the light of the scene, unless Factor gives one, at least 1.
	Filter filters.Filter
	Factor float64

	// Aperture and Time are marks of the camera; 0 leaves them free. Longer than the
	// longest mark, Time is a time for which a shutter is held open.
	Aperture exposure.FNumber
	Time     time.Duration
	// Start is the aperture wanted where both are free, 0 for the middle mark. The
	// plan stays there while the time is one that the camera has and nothing forbids;
	// then it stays at the last such time and moves the aperture.
	Start exposure.FNumber

	Camera *camera.Camera
	// Handheld is the longest time at which the camera is held by hand, 0 for one on
	// a tripod; Longest the longest that the subject allows, 0 for any.
	Handheld, Longest time.Duration

	// Shadow and Highlight are the ends of the subject in stops from the metered
	// tone, for what failure of reciprocity does to contrast; both 0 stand for -3
	// and +3.
	Shadow, Highlight sensito.Stops
}

// Caution tells the warnings of a plan apart.
type Caution string

const (
	BeyondLaw      Caution = "beyond the law"  // the time lies outside the range of the reciprocity law
	NoLaw          Caution = "no law"          // the film has none, and the time may need one
	TooFast        Caution = "too fast"        // the shutter has no time so short
	NeutralDensity Caution = "neutral density" // a grey filter is needed
	Tripod         Caution = "tripod"          // too long to hold by hand
	TooLong        Caution = "too long"        // longer than the subject allows
	Short          Caution = "underexposed"    // both settings given, and too little light for them
	ContrastChange Caution = "contrast"        // long or short times change the contrast
	EyeSafety      Caution = "eyes"            // a filter is in the plan, and it does not protect the eye
)

// PlanWarning is something to mind.
type PlanWarning struct {
	Caution Caution `json:"caution"`
	Text    string  `json:"text"`
}

// PlanStep is one step from the scene to the marks.
type PlanStep struct {
	Name string `json:"name"`
	// Stops is what the step adds to the exposure value that is set: below 0 it asks
	// for more exposure. Ev is the sum so far.
	Stops sensito.Stops `json:"stops"`
	Ev    exposure.Ev   `json:"ev"`
	Text  string        `json:"text"`
}

// Plan is what to set, and why.
type Plan struct {
	Film    string
	Process string
	Index   sensito.Speed

	Filter string // "" for none
	Factor float64
	// Neutral is the density of the grey filter that the light needs, 0 for none.
	Neutral sensito.Density

	Aperture camera.ApertureMark
	Time     camera.TimeMark
	// Metered is the time, filters included, that the aperture asks for where
	// reciprocity holds, and Adjusted the one that the law makes of it. Where the time
	// is given and the aperture is free, Adjusted is the time, and Metered what it
	// counts for.
	Metered, Adjusted time.Duration
	// Residue is how many stops more than wanted the marks give.
	Residue sensito.Stops

	// Steps go from the scene to the marks: their stops add up to the exposure value
	// of the marks.
	Steps []PlanStep

	// Development is the time that goes with the index, 0 where it is not known, and
	// Contrast what failure of reciprocity does: the density range of the subject
	// over that without failure. DevelopmentChange restores it, in percent; 0 where
	// there is nothing to restore or nothing to go by.
	Development       time.Duration
	Contrast          float64
	DevelopmentChange float64

	Warnings []PlanWarning
}

// PlanExposure goes from a scene to the marks of a camera:
//
//	Ev = EV100 + log2(S/100) - log2 F - stops of grey filter - log2(t/m(t))
//
// with the index S, the filter factor F for this film in this light, and m(t) the
// metered time that the time t counts for by the film's reciprocity law. The order
// matters, and is this one: the filter lengthens the time, and the longer time fails
// reciprocity. Ev = Av + Tv is then put on marks that the camera has.
//
// Where the aperture is free the time is one of the marks, so that its failure is
// known before the aperture is looked for; where the time is free it is t with m(t)
// the metered one. Both are exact: there is nothing left to iterate. Where both
// are free see Shot.Start. Where both are given they are kept; too much light then
// asks for a grey filter, and too little is a warning.
//
// The residue is at most half a step of the scale that is free, or half a step of
// grey filters (0.50 stop) where both are given.
//
// The error wraps [sensito.ErrInput] if the input is not usable, [camera.ErrReach] if the
// camera cannot do it, [ErrMissing] if the film lacks what is asked of it,
// [ErrUnknown] for a process that it has not got, and otherwise is that of the law.
func PlanExposure(s Shot) (*Plan, error) {
	pl, err := newPlanner(s)
	if err != nil {
		return nil, err
	}
	set, err := pl.settle()
	if err != nil {
		return nil, err
	}
	return pl.plan(set)
}

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
	// The marks of the camera: apertures from the widest on, times from the longest on.
	apertures []camera.ApertureMark
	times     []camera.TimeMark
}

func newPlanner(s Shot) (*planner, error) {
	if s.Film == nil || s.Camera == nil || len(s.Camera.Times()) == 0 {
		return nil, inputf("a shot needs a film and a camera; load one by LoadFilm and make one by NewCamera")
	}
	for _, d := range []time.Duration{s.Time, s.Handheld, s.Longest} {
		if d < 0 {
			return nil, inputf("a time of %v", d)
		}
	}
	if s.Shadow == 0 && s.Highlight == 0 {
		s.Shadow, s.Highlight = -3, 3
	}
	if !(s.Shadow < s.Highlight) || math.IsInf(float64(s.Highlight-s.Shadow), 0) {
		return nil, inputf("a subject from %v to %v", s.Shadow, s.Highlight)
	}
	pl := &planner{Shot: s, factor: 1, law: reciprocity.NoFailure{}, apertures: s.Camera.Apertures(), times: s.Camera.Times()}
	var err error
	if pl.ev100, err = s.Scene.ev100(); err != nil {
		return nil, err
	}
	if pl.process, err = s.Film.Process(s.Process); err != nil && !(errors.Is(err, ErrMissing) && s.Index != 0) {
		return nil, err
	}
	switch {
	case s.Index != 0:
		if !(s.Index >= plausible.LeastIndex && s.Index <= plausible.GreatestIndex) {
			return nil, inputf("an index of %v", s.Index)
		}
		pl.index = sensito.Speed{Value: s.Index}
	default:
		x, err := pl.process.Index()
		if err != nil {
			return nil, err
		}
		// Meters are set to printed numbers.
		pl.index = sensito.Speed{Value: x.Index.Value}
		if row, ok := sensito.ScaleAt(pl.index.Degrees()); ok {
			pl.index.Value = row.Number
		}
	}
	if pl.factor, err = pl.filterFactor(); err != nil {
		return nil, err
	}
	pl.ev = pl.ev100.Ev(pl.index) - exposure.Ev(math.Log2(pl.factor))
	if law, err := s.Film.Reciprocity(); err == nil {
		pl.law, pl.hasLaw = law, true
	}
	return pl, nil
}

func (pl *planner) hasFilter() bool { return len(pl.Filter.Spectra()) > 0 || pl.Shot.Factor != 0 }

func (pl *planner) filterFactor() (float64, error) {
	switch f := pl.Shot.Factor; {
	case f != 0 && !(f >= 1 && f < 1e12):
		return 0, inputf("a filter factor of %v, want at least 1", f)
	case f != 0:
		return f, nil
	case len(pl.Filter.Spectra()) == 0:
		return 1, nil
	case len(pl.Scene.Light.Spectra()) == 0:
		return 0, inputf("a filter in a light of no known colour; give Scene.Light, or the factor")
	}
	film, err := pl.Film.Sensitivity()
	if err != nil {
		return 0, fmt.Errorf("%w; give the factor of the filter", err)
	}
	return filters.Factor(film, pl.Scene.Light, pl.Filter)
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
	set.metered = math.Exp2(-float64(pl.ev) + float64(a.Av) + float64(camera.NeutralStops(neutral)))
	var err error
	if set.adjusted, err = pl.law.Adjusted(set.metered); err != nil {
		if !errors.Is(err, reciprocity.ErrOutside) {
			return set, within, err
		}
		if lo, _ := pl.law.Domain(); set.metered < lo {
			return set, tooShort, err
		}
		return set, tooLong, err
	}
	v := exposure.Tv(-math.Log2(set.adjusted))
	m, beyond, err := pl.Camera.Reach(v)
	if err != nil {
		return set, within, err
	}
	set.time, set.residue = m, sensito.Stops(v-m.Tv)
	switch {
	case beyond > 0:
		set.tooFast = sensito.Stops(beyond)
		return set, tooShort, fmt.Errorf("%w: at %v the time would be %s, %.1f stops faster than the fastest, %v", camera.ErrReach, a, figures.About(figures.Seconds(set.adjusted)), beyond, m)
	case beyond < 0:
		return set, tooLong, fmt.Errorf("%w: at %v the time would be %s, %.1f stops longer than the longest, %v; open the aperture, bring more light, or hold the shutter open", camera.ErrReach, a, figures.About(figures.Seconds(set.adjusted)), -beyond, m)
	}
	return set, within, nil
}

// atTime finds the aperture value for a time.
func (pl *planner) atTime(m camera.TimeMark, neutral sensito.Density) (set setting, wanted exposure.Av, err error) {
	set = setting{time: m, neutral: neutral, adjusted: math.Exp2(-float64(m.Tv))}
	if set.metered, err = pl.law.Metered(set.adjusted); err != nil {
		return set, 0, err
	}
	return set, exposure.Av(float64(pl.ev) - float64(camera.NeutralStops(neutral)) + math.Log2(set.metered)), nil
}

const mostFilters = 40 // steps of grey filter, more than any scene asks for

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
		if av < pl.apertures[0].Av || n == mostFilters {
			return set, fmt.Errorf("%w; at %v there is too little light by %.1f stops", err, m, float64(pl.apertures[0].Av-av))
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
	c := pl.Camera
	start := pl.apertures[len(pl.apertures)/2]
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
	at := slices.Index(pl.apertures, start)
	switch {
	case how == tooShort:
		for i := len(pl.times) - 1; i >= 0; i-- {
			fixed, av, err := pl.atTime(pl.times[i], 0)
			if err != nil {
				continue // the law does not reach down to this one
			}
			if fixed.aperture, fixed.residue, err = c.NearestAperture(av); err == nil && slices.Index(pl.apertures, fixed.aperture) >= at {
				return fixed, nil
			}
			break
		}
		return pl.timeFree(pl.apertures[len(pl.apertures)-1])
	case how == within && (limit == 0 || !longer(set.time.Time, limit)):
		return set, nil
	}
	// The longest time that may be.
	for _, m := range pl.times {
		if limit > 0 && longer(m.Time, limit) {
			continue
		}
		fixed, av, err := pl.atTime(m, 0)
		if err != nil {
			continue // the law does not reach up to this one
		}
		if fixed.aperture, fixed.residue, err = c.NearestAperture(av); err == nil && slices.Index(pl.apertures, fixed.aperture) <= at {
			return fixed, nil
		}
		break
	}
	return pl.timeFree(pl.apertures[0])
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

func (pl *planner) plan(set setting) (*Plan, error) {
	p := &Plan{
		Film: pl.Film.Name(), Index: pl.index, Factor: pl.factor, Neutral: set.neutral, Aperture: set.aperture, Time: set.time,
		Metered: figures.Seconds(set.metered), Adjusted: figures.Seconds(set.adjusted), Residue: set.residue, Contrast: 1,
	}
	if pl.hasFilter() {
		if p.Filter = pl.Filter.Name(); p.Filter == "" {
			p.Filter = "filter"
		}
	}
	if pl.process != nil {
		p.Process = pl.process.Name()
		if x, err := pl.process.Index(); err == nil && x.Development != nil {
			p.Development = figures.Seconds(x.Development.Value)
		}
	}
	if err := pl.contrast(p, set); err != nil {
		return nil, err
	}
	pl.steps(p, set)
	pl.warn(p, set)
	return p, nil
}

// leastChange is the smallest change of contrast worth a word: less than a tenth is
// lost among papers and developers (common practice, no source).
const leastChange = 0.10

// contrast finds what failure of reciprocity does to the density range at the time
// that is set.
func (pl *planner) contrast(p *Plan, set setting) error {
	exposed := figures.Seconds(math.Exp2(-float64(set.time.Tv)))
	if pl.process != nil {
		if curve, err := pl.process.Curve(0); err == nil {
			metered := sensito.LogHOf(sensito.MeteredExposure / pl.index.Value)
			c, err := reciprocity.Contrast(pl.law, curve, metered, exposed, pl.Shadow, pl.Highlight)
			if err == nil {
				p.Contrast = c.Factor
				pl.develop(p, c)
				return nil
			}
		}
	}
	// The tones or the law do not reach so far: the slope at the metered tone tells.
	m, err := pl.law.Metered(exposed.Seconds())
	if err == nil {
		if p.Contrast, err = pl.law.Exponent(m); err == nil {
			pl.develop(p, reciprocity.ContrastChange{Factor: p.Contrast})
			return nil
		}
	}
	if errors.Is(err, reciprocity.ErrOutside) { // the mark lies a little beyond the table
		p.Contrast = 1
		return nil
	}
	return err
}

func (pl *planner) develop(p *Plan, c reciprocity.ContrastChange) {
	if pl.process == nil || math.Abs(c.Factor-1) < leastChange {
		return
	}
	x, err := pl.process.Index()
	if err != nil || x.Gradient == 0 {
		return
	}
	law, err := pl.process.Growth()
	if err != nil {
		return
	}
	change, err := c.Development(x.Gradient, func(g float64) (time.Duration, error) {
		t, err := law.TimeFor(g)
		return t.Value, err
	})
	if err == nil {
		p.DevelopmentChange = change
	}
}

func (pl *planner) steps(p *Plan, set setting) {
	ev := exposure.Ev(pl.ev100)
	add := func(name string, stops sensito.Stops, format string, args ...any) {
		ev += exposure.Ev(stops)
		p.Steps = append(p.Steps, PlanStep{name, stops, ev, fmt.Sprintf(format, args...)})
	}
	switch s := pl.Scene; {
	case s.Luminance != 0:
		k := s.Reflected.K
		if k == 0 {
			k = 12.5
		}
		add("light", 0, "A luminance of %v is %v for a meter with K = %.4g.", s.Luminance, pl.ev100, k)
	case s.Illuminance != 0:
		lux := ""
		if s.Incident.C != 0 {
			lux = fmt.Sprintf(" with C = %.4g", s.Incident.C)
		}
		add("light", 0, "An illuminance of %v is %v for an incident meter%s.", s.Illuminance, pl.ev100, lux)
	default:
		add("light", 0, "The meter reads %v.", pl.ev100)
	}
	add("index", sensito.StopsOf(pl.index.Value/100), "%v needs %.2f stops %s exposure than ISO 100.", pl.index, math.Abs(math.Log2(pl.index.Value/100)), lessOrMore(pl.index.Value > 100))
	if p.Filter != "" {
		how := "on this film in this light"
		if pl.Shot.Factor != 0 {
			how = "as given"
		}
		add("filter", -sensito.StopsOf(pl.factor), "The filter %s has the factor %.3g %s: %.2f stops more.", p.Filter, pl.factor, how, math.Log2(pl.factor))
	}
	if set.neutral > 0 {
		add("neutral density", -camera.NeutralStops(set.neutral), "%s takes %.2f stops.", camera.NeutralName(set.neutral), float64(camera.NeutralStops(set.neutral)))
	}
	if pl.hasLaw {
		fail := sensito.StopsOf(set.adjusted / set.metered)
		if math.Abs(float64(fail)) < 1e-9 {
			fail = 0 // a rounding of the law and its inverse
		}
		text := fmt.Sprintf("At %v reciprocity holds.", p.Time)
		if fail != 0 {
			text = fmt.Sprintf("At %v the time would be %s; by the film's law it must be %s: %.2f stops more.", p.Aperture, figures.About(p.Metered), figures.About(p.Adjusted), float64(fail))
			if pl.Time != 0 {
				text = fmt.Sprintf("%s on this film is as good as %s: %.2f stops more, given by the aperture.", figures.About(p.Adjusted), figures.About(p.Metered), float64(fail))
			}
		}
		add("reciprocity", -fail, "%s", text)
	}
	side := "as wanted"
	if r := float64(set.residue); math.Abs(r) >= .005 {
		side = fmt.Sprintf("%.2f stops %s exposure than wanted", math.Abs(r), lessOrMore(r < 0))
	}
	add("marks", -set.residue, "Set %v at %v: EV %.2f, %s.", p.Time, p.Aperture, float64(set.aperture.Av)+float64(set.time.Tv), side)
}

func lessOrMore(less bool) string {
	if less {
		return "less"
	}
	return "more"
}

func (pl *planner) warn(p *Plan, set setting) {
	say := func(c Caution, format string, args ...any) {
		p.Warnings = append(p.Warnings, PlanWarning{c, fmt.Sprintf(format, args...)})
	}
	lo, hi := pl.law.Domain()
	outside := func(t float64) bool { return t < lo*(1-1e-6) || t > hi*(1+1e-6) }
	switch {
	case pl.hasLaw && outside(set.metered):
		say(BeyondLaw, "The reciprocity law of %s was found for metered times from %s to %s; what it says at %s is carried beyond them. Test, or bracket towards more exposure.", p.Film, figures.About(figures.Seconds(lo)), figures.About(figures.Seconds(hi)), figures.About(p.Metered))
	case !pl.hasLaw && (p.Adjusted > camera.ReciprocalTo || p.Adjusted < camera.ReciprocalFrom):
		say(NoLaw, "%s has no reciprocity law, so %s was taken as it is; outside 1/1000 to 1/2 ordinary films need more.", p.Film, figures.About(p.Adjusted))
	}
	if set.tooFast > 0 {
		say(TooFast, "Without the grey filter the time would be %.1f stops faster than the fastest, %v.", float64(set.tooFast), pl.times[len(pl.times)-1])
	}
	if set.neutral > 0 {
		say(NeutralDensity, "A neutral-density filter is needed: %s, which is %.1f stops. Its name is a nominal density: measure it, or test it.", camera.NeutralName(set.neutral), float64(camera.NeutralStops(set.neutral)))
	}
	if pl.Handheld > 0 && longer(set.time.Time, pl.Handheld) {
		say(Tripod, "%v is too long to hold by hand, for which %s is the limit: use a tripod.", set.time, figures.About(pl.Handheld))
	}
	if pl.Longest > 0 && longer(set.time.Time, pl.Longest) {
		say(TooLong, "%v is longer than the %s that the subject allows.", set.time, figures.About(pl.Longest))
	}
	if pl.Aperture != 0 && pl.Time != 0 && float64(set.residue) < -0.5 {
		say(Short, "These settings give %.1f stops too little light.", -float64(set.residue))
	}
	if math.Abs(p.Contrast-1) >= leastChange {
		how := "harder"
		if p.Contrast < 1 {
			how = "softer"
		}
		text := fmt.Sprintf("The negative comes out %s than usual: its density range is %.2f times the normal one, for in this light the tones fail by different amounts.", how, p.Contrast)
		if p.DevelopmentChange != 0 {
			text += fmt.Sprintf(" Develop %.0f %% %s to bring it back", math.Abs(p.DevelopmentChange), lessOrMore(p.DevelopmentChange < 0))
			if p.Development > 0 {
				text += fmt.Sprintf(", %s instead of %s", devtime.FormatTime((time.Duration(float64(p.Development) * (1 + p.DevelopmentChange/100))).Round(time.Second)), devtime.FormatTime(p.Development.Round(time.Second)))
			}
			text += "; test it first, and expect the shadows to lose a little more."
		}
		say(ContrastChange, "%s", text)
	}
	if p.Filter != "" || set.neutral > 0 {
		say(EyeSafety, "A filter of a camera does not protect the eye: never look at the sun through it.")
	}
}
