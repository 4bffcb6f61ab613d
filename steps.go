package actinic

import (
	"math"

	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

// stepper adds the steps of a plan up: each says how much more exposure it asks for, and
// what is left of the exposure value after all is that of the marks.
type stepper struct {
	plan  *Plan
	ev    exposure.Ev // the sum so far
	words *prose
}

// mostSteps is how many there are when all of them are.
const mostSteps = 7

// add adds a step that asks for so many stops more exposure, and begins its text.
func (s *stepper) add(name string, stops sensito.Stops) *prose {
	s.ev -= exposure.Ev(stops)
	// -0 + 0 is 0; JSON would show the sign of -0.
	s.plan.Steps = append(s.plan.Steps, PlanStep{Name: name, Stops: stops + 0, Ev: s.ev})
	return s.words.begin()
}

// steps tells the way from the scene to the marks. The order is the one in which each
// acts on the next: the filter lengthens the time, and the longer time fails reciprocity.
func (pl *planner) steps(p *Plan, set setting) {
	s := &stepper{plan: p, ev: exposure.Ev(pl.ev100), words: &pl.words}
	pl.lightStep(s)
	pl.indexStep(s)
	if p.Filter != "" {
		pl.filterStep(s)
	}
	if pl.Shot.Neutral > 0 {
		s.neutral("grey filter", pl.Shot.Neutral, " before the lens takes ")
	}
	if set.neutral > 0 {
		s.neutral("neutral density", set.neutral, " takes ")
	}
	if pl.hasLaw {
		pl.reciprocityStep(s, set)
	}
	w := s.add("marks", set.residue).say("Set ").say(timeWords(p.Time)).say(" at ").say(p.Aperture.String()).
		say(": EV ").fixed(float64(set.aperture.Av)+float64(set.time.Tv), 2)
	if r := float64(set.residue); math.Abs(r) >= .005 { // less is not printed
		w.say(", ").fixed(math.Abs(r), 2).say(" stops ").say(lessOrMore(r < 0)).say(" exposure than wanted.")
	} else {
		w.say(", as wanted.")
	}
}

// neutral adds the step of a grey filter.
func (s *stepper) neutral(name string, d sensito.Density, how string) {
	takes := camera.NeutralStops(d)
	s.add(name, takes).say(camera.NeutralName(d)).say(how).fixed(float64(takes), 2).say(" stops: so much more.")
}

// lightStep says what the meter reads, and from what.
func (pl *planner) lightStep(s *stepper) {
	w := s.add("light", 0)
	switch scene := pl.Scene; {
	case scene.Luminance != 0:
		k := scene.Reflected.K
		if k == 0 {
			k = 12.5 // what the zero meter stands for
		}
		w.say("A luminance of ").say(scene.Luminance.String()).say(" is ").say(pl.ev100.String()).
			say(" for a meter with K = ").figures(k, 4).say(".")
	case scene.Illuminance != 0:
		w.say("An illuminance of ").say(scene.Illuminance.String()).say(" is ").say(pl.ev100.String()).say(" for an incident meter")
		if c := scene.Incident.C; c != 0 {
			w.say(" with C = ").figures(c, 4)
		}
		w.say(".")
	default:
		w.say("The meter reads ").say(pl.ev100.String()).say(".")
	}
}

// indexStep says what the index asks for, and where it is from.
func (pl *planner) indexStep(s *stepper) {
	stops := sensito.StopsOf(pl.index.Value / 100)
	w := s.add("index", -stops).say(pl.index.String()).say(" needs ").fixed(math.Abs(float64(stops)), 2).
		say(" stops ").say(lessOrMore(pl.index.Value > 100)).say(" exposure than ISO 100.")
	pl.history(w)
}

// filterStep says what the filter takes, and where its factor is from.
func (pl *planner) filterStep(s *stepper) {
	w := s.add("filter", sensito.StopsOf(pl.factor))
	switch name := s.plan.Filter; {
	case name == unnamed:
		w.say("A filter of factor ").figures(pl.factor, 3)
	case pl.Shot.Factor != 0:
		w.say("The filter ").say(name).say(" has the factor ").figures(pl.factor, 3).say(" as given")
	default:
		w.say("The filter ").say(name).say(" has the factor ").figures(pl.factor, 3).say(" on this film in this light")
	}
	w.say(": ").fixed(math.Log2(pl.factor), 2).say(" stops more.")
}

// reciprocityStep says what failure of reciprocity asks for, by time or by aperture,
// whichever is free.
func (pl *planner) reciprocityStep(s *stepper, set setting) {
	p := s.plan
	fail := sensito.StopsOf(set.adjusted / set.metered)
	if math.Abs(float64(fail)) < 1e-9 {
		fail = 0 // a rounding of the law and its inverse
	}
	w := s.add("reciprocity", fail)
	metered, adjusted := reciprocity.FormatLong(p.Metered), reciprocity.FormatLong(p.Adjusted)
	switch {
	case fail == 0:
		w.say("At ").say(timeWords(p.Time)).say(" reciprocity holds.")
	case pl.Time != 0:
		w.say(adjusted).say(" on this film is as good as ").say(metered).say(": ").fixed(float64(fail), 2).
			say(" stops more, given by the aperture.")
	default:
		w.say("At ").say(p.Aperture.String()).say(" the time would be ").say(metered).say("; by the film's law it must be ").
			say(adjusted).say(": ").fixed(float64(fail), 2).say(" stops more.")
	}
}

// lessOrMore is the word for one of two directions.
func lessOrMore(less bool) string {
	if less {
		return "less"
	}
	return "more"
}
