package actinic

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/filters"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/spectral"
)

// roomyPlan is a plan with room for its steps and for as many warnings as most have, so that
// all of it is one piece of memory.
type roomyPlan struct {
	Plan
	steps    [mostSteps]PlanStep
	warnings [usualWarnings]PlanWarning
}

// usualWarnings is how many warnings a plan has at the most as a rule.
const usualWarnings = 4

// plan makes the plan of what was settled on: numbers first, then the words about them.
func (pl *planner) plan(set setting) (*Plan, error) {
	roomy := &roomyPlan{}
	p := &roomy.Plan
	*p = Plan{
		Film: pl.Film.Name(), Index: pl.index, Factor: pl.factor, Neutral: set.neutral, Aperture: set.aperture, Time: set.time,
		Metered: figures.Seconds(set.metered), Adjusted: figures.Seconds(set.adjusted), Residue: set.residue, Contrast: 1,
	}
	if pl.hasFilter() {
		// A factor given without a filter is behind something, which has no name.
		p.Filter = cmp.Or(pl.Filter.Name(), unnamed)
	}
	p.Worn = pl.Shot.Neutral
	if pl.process != nil {
		p.Process = pl.process.Name()
		if x, err := pl.process.index(); err == nil && x.Development != nil {
			p.Development = figures.Seconds(x.Development.Value)
			p.Develop = quarter(*x.Development)
		}
	}
	var err error
	if p.Through, err = pl.through(set); err != nil {
		return nil, err
	}
	if err := pl.contrast(p, set); err != nil {
		return nil, err
	}
	p.Steps = roomy.steps[:0]
	pl.steps(p, set)
	pl.rerate(p)
	p.Warnings = roomy.warnings[:0]
	if pl.warn(p, set); len(p.Warnings) == 0 {
		p.Warnings = nil
	}
	// The texts are parts of one string, which is whole now.
	for i := range p.Steps {
		p.Steps[i].Text = pl.words.part(i)
	}
	for i := range p.Warnings {
		p.Warnings[i].Text = pl.words.part(len(p.Steps) + i)
	}
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
			// The curve at the tones of the subject tells most.
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

// develop finds the change of development that brings the contrast back, for a process
// whose growth of contrast is known.
func (pl *planner) develop(p *Plan, c reciprocity.ContrastChange) {
	if pl.process == nil || math.Abs(c.Factor-1) < leastChange {
		return
	}
	x, err := pl.process.index()
	if err != nil || x.Gradient == 0 {
		return
	}
	law, err := pl.process.Growth()
	if err != nil {
		return
	}
	// A law of growth may not reach the contrast asked for: then no change is named.
	change, err := c.DevelopmentRange(p.Metered, x.Gradient, func(g float64) (time.Duration, error) {
		t, err := law.TimeFor(g)
		return t.Value, err
	})
	if err == nil {
		p.DevelopmentChange, p.HandbookChange = change.Most, change.Handbook.Percent
	}
}

// warning adds a warning to the plan, and begins its text.
func (pl *planner) warning(p *Plan, c Caution) *prose {
	p.Warnings = append(p.Warnings, PlanWarning{Caution: c})
	return pl.words.begin()
}

// warn says what to mind, what matters for the exposure first.
func (pl *planner) warn(p *Plan, set setting) {
	// First what may spoil the negative, last what may hurt the eye.
	pl.warnOfBlindness(p)
	pl.warnOfTime(p, set)
	pl.warnOfLimits(p, set)
	if math.Abs(p.Contrast-1) >= leastChange {
		how := "harder"
		if p.Contrast < 1 {
			how = "softer"
		}
		w := pl.warning(p, ContrastChange).say("The negative comes out ").say(how).say(" than usual: its density range is ").
			fixed(p.Contrast, 2).say(" times the normal one, for in this light the tones fail by different amounts.")
		if p.DevelopmentChange != 0 {
			pl.developmentWords(p, w)
		}
	}
	if p.Rerating != nil {
		pl.warning(p, PushOrPull).say(p.Rerating.words(p))
	}
	if p.Filter != "" || p.Worn > 0 || set.neutral > 0 {
		pl.warning(p, EyeSafety).say("A filter of a camera does not protect the eye: never look at the sun through it.")
	}
}

// warnOfLimits says what the camera, the hand and the subject do not allow.
func (pl *planner) warnOfLimits(p *Plan, set setting) {
	if set.tooFast > 0 {
		times := pl.times()
		pl.warning(p, TooFast).say("Without the grey filter the time would be ").fixed(float64(set.tooFast), 1).
			say(" stops faster than the fastest, ").say(times[len(times)-1].String()).say(".")
	}
	if set.neutral > 0 {
		pl.warning(p, NeutralDensity).say("A neutral-density filter is needed: ").say(camera.NeutralName(set.neutral)).say(", which is ").
			fixed(float64(camera.NeutralStops(set.neutral)), 1).say(" stops. Its name is a nominal density: measure it, or test it.")
	}
	if pl.Handheld > 0 && longer(set.time.Time, pl.Handheld) {
		pl.warning(p, Tripod).say(timeWords(set.time)).say(" is too long to hold by hand, for which ").
			say(reciprocity.FormatLong(pl.Handheld)).say(" is the limit: use a tripod.")
	}
	if pl.Longest > 0 && longer(set.time.Time, pl.Longest) {
		pl.warning(p, TooLong).say(timeWords(set.time)).say(" is longer than the ").
			say(reciprocity.FormatLong(pl.Longest)).say(" that the subject allows.")
	}
	// Half a stop is what a mark can be off by itself.
	if pl.Aperture != 0 && pl.Time != 0 && float64(set.residue) < -0.5 {
		pl.warning(p, Short).say("These settings give ").fixed(-float64(set.residue), 1).say(" stops too little light.")
	}
}

// halfMark is half a step of third stops: less than that no dial sets.
const halfMark = 1.0 / 6

// warnOfTime says that the film may need more at this time than the plan gives, by as much
// as a mark.
func (pl *planner) warnOfTime(p *Plan, set setting) {
	metered := figures.Seconds(set.metered)
	if shortest, longest := pl.law.Domain(); metered.Seconds() >= shortest && metered.Seconds() <= longest {
		return // within the times of the law the film may be expected to need what it says
	}
	c, err := reciprocity.Correct(pl.law, metered)
	if err != nil || !c.Extrapolated || c.Least == c.Most {
		return
	}
	// A dial at 1/1000 stands for 1/1024: the ends of a law are marks too.
	if !(math.Log2(c.Most.Seconds()/c.Least.Seconds()) >= halfMark) {
		return
	}
	if pl.hasLaw {
		p.Least, p.Most = c.Least, c.Most
		pl.warning(p, BeyondLaw).say(reciprocity.FormatLong(p.Metered)).say(" on ").say(p.Film).
			say(" is beyond the times that its reciprocity law was found for: the film may need from ").
			say(reciprocity.FormatLong(c.Least)).say(" to ").say(reciprocity.FormatLong(c.Most)).
			say(". Test, or bracket towards more exposure.")
		return
	}
	why, at := "is longer than the 1/2 s", reciprocity.FormatLong(p.Metered)
	if _, longest := pl.law.Domain(); set.metered < longest {
		// The mark is what stands on the dial, and what a person would call it.
		if why, at = "is faster than the 1/1000", timeWords(set.time); handbookStops(set.metered) < halfMark {
			return
		}
	}
	p.Least, p.Most = c.Least, c.Most
	pl.warning(p, NoLaw).say(at).say(" ").say(why).say(" to which films keep reciprocity as a rule, and ").say(p.Film).
		say(" has no reciprocity law: handbooks give ").fixed(handbookStops(set.metered), 1).
		say(" stops more by the aperture for an ordinary film; this one may need from ").
		say(reciprocity.FormatLong(c.Least)).say(" to ").say(reciprocity.FormatLong(c.Most)).
		say(". Test, or bracket towards more exposure.")
}

// handbookStops is by how much handbooks open the lens at a metered time, in seconds,
// between the rows of [reciprocity.Handbook] by the logarithm of time and beyond them as
// the last.
func handbookStops(metered float64) float64 {
	rows := reciprocity.Handbook()
	for i, r := range rows {
		at := r.Indicated.Seconds()
		if metered > at {
			continue
		}
		if i == 0 {
			return float64(r.Aperture)
		}
		b := rows[i-1]
		w := math.Log(metered/b.Indicated.Seconds()) / math.Log(at/b.Indicated.Seconds())
		return float64(b.Aperture) + w*float64(r.Aperture-b.Aperture)
	}
	return float64(rows[len(rows)-1].Aperture)
}

// What a film hardly sees, our choice: four stops taken by a filter, and two more than it
// takes from the eye.
const (
	blindStops = 4
	blindMore  = 2
)

// hardlySeen reports whether a film on which a filter has a factor hardly sees what it passes,
// and the filter's factor for the eye.
func hardlySeen(factor float64, light spectral.Light, f filters.Filter) (is bool, eye float64) {
	if !(math.Log2(factor) >= blindStops) {
		return false, 1
	}
	eye, err := filters.Factor(spectral.Eye(), light, f)
	return err == nil && math.Log2(factor/eye) >= blindMore, eye
}

// warnOfBlindness says that the film hardly sees what the filter passes.
func (pl *planner) warnOfBlindness(p *Plan) {
	if pl.Filter.IsZero() || pl.Scene.Light.IsZero() {
		return
	}
	blind, eye := hardlySeen(pl.factor, pl.Scene.Light, pl.Filter)
	if !blind {
		return
	}
	pl.warning(p, AlmostBlind).say(p.Film).say(" hardly sees what ").say(p.filterWords()).say(" passes: it takes ").
		fixed(math.Log2(pl.factor), 1).say(" stops from this film and ").fixed(math.Log2(eye), 1).
		say(" from the eye. So large a factor hangs on the very end of the film's sensitivity, which is known the least: " +
			"take a lighter filter, or test this one.")
}

// through is what a meter behind the filters reads and needs.
func (pl *planner) through(set setting) (*exposure.ThroughMeter, error) {
	if pl.Meter.IsZero() {
		return nil, nil
	}
	grey := camera.NeutralStops(pl.Shot.Neutral) + camera.NeutralStops(set.neutral)
	m := &exposure.ThroughMeter{Reads: pl.ev100 - exposure.EV100(grey)}
	switch {
	case !pl.Filter.IsZero():
		f, err := filters.Factor(pl.Meter, pl.Scene.Light, pl.Filter)
		if err != nil {
			return nil, fmt.Errorf("the meter behind the filter: %w", err)
		}
		m.Reads -= exposure.EV100(math.Log2(f))
		m.Correction = sensito.StopsOf(pl.factor / f)
	case pl.hasFilter():
		return nil, inputf("what a meter reads behind a filter of which the factor alone is known cannot be told; meter in the hand, or give the filter's curve")
	}
	m.Dial = pl.index.Value / m.Correction.Factor()
	return m, nil
}

// developmentWords says by how much to change the development for the contrast of long or
// short times, as the range that it is.
func (pl *planner) developmentWords(p *Plan, w *prose) {
	r := reciprocity.DevelopmentRange{
		Most:     p.DevelopmentChange,
		Handbook: reciprocity.HandbookFigure{Percent: p.HandbookChange},
	}
	w.say(" To bring it back develop ").say(r.String())
	if p.Development > 0 {
		most := time.Duration(float64(p.Development) * (1 + p.DevelopmentChange/100))
		w.say(" (").say(devtime.FormatTime(quarter(sensito.Exact(most.Seconds())))).say(" instead of ").
			say(devtime.FormatTime(p.Develop)).say(" at the most)")
	}
	w.say(". Which of them a film takes must be tried; expect the shadows to lose a little more.")
}

// history says how the film's own index came to hold for the development that goes with
// it, and nothing of an index that was asked for.
func (pl *planner) history(w *prose) {
	if pl.Shot.Index != 0 || pl.process == nil {
		return
	}
	x, err := pl.process.index()
	if err != nil {
		return
	}
	// Who tested the process, and with what, is said of it and not once more of its index.
	said := x.Provenance.Conditions
	if of := pl.process.data.Provenance.Conditions; of != "" {
		said = strings.TrimPrefix(strings.TrimPrefix(said, of), "; ")
	}
	if said != "" {
		w.say(" It is the film's: ").say(said).say(".")
	}
}
