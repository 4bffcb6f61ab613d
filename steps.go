package actinic

import (
	"fmt"
	"math"

	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

// stepper adds the steps of a plan up: each says how much more exposure it asks for, and
// what is left of the exposure value after all is that of the marks.
type stepper struct {
	plan *Plan
	ev   exposure.Ev // the sum so far
}

// add adds a step that asks for so many stops more exposure.
func (s *stepper) add(name string, stops sensito.Stops, format string, args ...any) {
	s.ev -= exposure.Ev(stops)
	// -0 + 0 is 0; JSON would show the sign of -0.
	s.plan.Steps = append(s.plan.Steps, PlanStep{name, stops + 0, s.ev, fmt.Sprintf(format, args...)})
}

// steps tells the way from the scene to the marks. The order is the one in which each
// acts on the next: the filter lengthens the time, and the longer time fails reciprocity.
func (pl *planner) steps(p *Plan, set setting) {
	s := &stepper{plan: p, ev: exposure.Ev(pl.ev100)}
	pl.lightStep(s)
	s.add("index", -sensito.StopsOf(pl.index.Value/100), "%v needs %.2f stops %s exposure than ISO 100.%s",
		pl.index, math.Abs(math.Log2(pl.index.Value/100)), lessOrMore(pl.index.Value > 100), pl.history())
	if p.Filter != "" {
		words := fmt.Sprintf("The filter %s has the factor %.3g on this film in this light", p.Filter, pl.factor)
		switch {
		case p.Filter == unnamed:
			words = fmt.Sprintf("A filter of factor %.3g", pl.factor)
		case pl.Shot.Factor != 0:
			words = fmt.Sprintf("The filter %s has the factor %.3g as given", p.Filter, pl.factor)
		}
		s.add("filter", sensito.StopsOf(pl.factor), "%s: %.2f stops more.", words, math.Log2(pl.factor))
	}
	if pl.Shot.Neutral > 0 {
		takes := camera.NeutralStops(pl.Shot.Neutral)
		s.add("grey filter", takes, "%s before the lens takes %.2f stops: so much more.", camera.NeutralName(pl.Shot.Neutral), float64(takes))
	}
	if set.neutral > 0 {
		takes := camera.NeutralStops(set.neutral)
		s.add("neutral density", takes, "%s takes %.2f stops: so much more.", camera.NeutralName(set.neutral), float64(takes))
	}
	if pl.hasLaw {
		pl.reciprocityStep(s, set)
	}
	side := "as wanted"
	if r := float64(set.residue); math.Abs(r) >= .005 { // less is not printed
		side = fmt.Sprintf("%.2f stops %s exposure than wanted", math.Abs(r), lessOrMore(r < 0))
	}
	s.add("marks", set.residue, "Set %s at %v: EV %.2f, %s.", timeWords(p.Time), p.Aperture, float64(set.aperture.Av)+float64(set.time.Tv), side)
}

// lightStep says what the meter reads, and from what.
func (pl *planner) lightStep(s *stepper) {
	switch scene := pl.Scene; {
	case scene.Luminance != 0:
		k := scene.Reflected.K
		if k == 0 {
			k = 12.5 // what the zero meter stands for
		}
		s.add("light", 0, "A luminance of %v is %v for a meter with K = %.4g.", scene.Luminance, pl.ev100, k)
	case scene.Illuminance != 0:
		lux := ""
		if scene.Incident.C != 0 {
			lux = fmt.Sprintf(" with C = %.4g", scene.Incident.C)
		}
		s.add("light", 0, "An illuminance of %v is %v for an incident meter%s.", scene.Illuminance, pl.ev100, lux)
	default:
		s.add("light", 0, "The meter reads %v.", pl.ev100)
	}
}

// reciprocityStep says what failure of reciprocity asks for, by time or by aperture,
// whichever is free.
func (pl *planner) reciprocityStep(s *stepper, set setting) {
	p := s.plan
	fail := sensito.StopsOf(set.adjusted / set.metered)
	if math.Abs(float64(fail)) < 1e-9 {
		fail = 0 // a rounding of the law and its inverse
	}
	metered, adjusted := reciprocity.FormatLong(p.Metered), reciprocity.FormatLong(p.Adjusted)
	var text string
	switch {
	case fail == 0:
		text = fmt.Sprintf("At %s reciprocity holds.", timeWords(p.Time))
	case pl.Time != 0:
		text = fmt.Sprintf("%s on this film is as good as %s: %.2f stops more, given by the aperture.", adjusted, metered, float64(fail))
	default:
		text = fmt.Sprintf("At %v the time would be %s; by the film's law it must be %s: %.2f stops more.",
			p.Aperture, metered, adjusted, float64(fail))
	}
	s.add("reciprocity", fail, "%s", text)
}

// lessOrMore is the word for one of two directions.
func lessOrMore(less bool) string {
	if less {
		return "less"
	}
	return "more"
}
