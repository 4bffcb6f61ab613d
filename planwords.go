package actinic

import (
	"errors"
	"fmt"
	"math"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

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
	pl.rerate(p)
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
	change, err := c.DevelopmentRange(p.Metered, x.Gradient, func(g float64) (time.Duration, error) {
		t, err := law.TimeFor(g)
		return t.Value, err
	})
	if err == nil {
		p.DevelopmentChange, p.HandbookChange = change.Most, change.Handbook.Percent
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
	add(
		"index",
		sensito.StopsOf(pl.index.Value/100),
		"%v needs %.2f stops %s exposure than ISO 100.%s",
		pl.index,
		math.Abs(math.Log2(pl.index.Value/100)),
		lessOrMore(pl.index.Value > 100),
		pl.history(),
	)
	if p.Filter != "" {
		how := "on this film in this light"
		if pl.Shot.Factor != 0 {
			how = "as given"
		}
		add(
			"filter",
			-sensito.StopsOf(pl.factor),
			"The filter %s has the factor %.3g %s: %.2f stops more.",
			p.Filter,
			pl.factor,
			how,
			math.Log2(pl.factor),
		)
	}
	if set.neutral > 0 {
		add(
			"neutral density",
			-camera.NeutralStops(set.neutral),
			"%s takes %.2f stops.",
			camera.NeutralName(set.neutral),
			float64(camera.NeutralStops(set.neutral)),
		)
	}
	if pl.hasLaw {
		fail := sensito.StopsOf(set.adjusted / set.metered)
		if math.Abs(float64(fail)) < 1e-9 {
			fail = 0 // a rounding of the law and its inverse
		}
		text := fmt.Sprintf("At %v reciprocity holds.", p.Time)
		if fail != 0 {
			text = fmt.Sprintf(
				"At %v the time would be %s; by the film's law it must be %s: %.2f stops more.",
				p.Aperture,
				reciprocity.FormatLong(p.Metered),
				reciprocity.FormatLong(p.Adjusted),
				float64(fail),
			)
			if pl.Time != 0 {
				text = fmt.Sprintf(
					"%s on this film is as good as %s: %.2f stops more, given by the aperture.",
					reciprocity.FormatLong(p.Adjusted),
					reciprocity.FormatLong(p.Metered),
					float64(fail),
				)
			}
		}
		add("reciprocity", -fail, "%s", text)
	}
	side := "as wanted"
	if r := float64(set.residue); math.Abs(r) >= .005 {
		side = fmt.Sprintf("%.2f stops %s exposure than wanted", math.Abs(r), lessOrMore(r < 0))
	}
	add(
		"marks",
		-set.residue,
		"Set %v at %v: EV %.2f, %s.",
		p.Time,
		p.Aperture,
		float64(set.aperture.Av)+float64(set.time.Tv),
		side,
	)
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
	if c, err := reciprocity.Correct(pl.law, figures.Seconds(set.metered)); err == nil && c.Extrapolated &&
		c.Least != c.Most {
		p.Least, p.Most = c.Least, c.Most
		caution, of := BeyondLaw, "is beyond the times that its reciprocity law was found for"
		if !pl.hasLaw {
			caution, of = NoLaw, "lies outside 1/1000 to 1/2 s, and the film has no reciprocity law"
		}
		say(caution, "%s on %s %s: the film may need from %s to %s. Test, or bracket towards more exposure.",
			reciprocity.FormatLong(p.Metered), p.Film, of, reciprocity.FormatLong(c.Least), reciprocity.FormatLong(c.Most))
	}
	if set.tooFast > 0 {
		say(
			TooFast,
			"Without the grey filter the time would be %.1f stops faster than the fastest, %v.",
			float64(set.tooFast),
			pl.times[len(pl.times)-1],
		)
	}
	if set.neutral > 0 {
		say(
			NeutralDensity,
			"A neutral-density filter is needed: %s, which is %.1f stops. Its name is a nominal density: measure it, or test it.",
			camera.NeutralName(set.neutral),
			float64(camera.NeutralStops(set.neutral)),
		)
	}
	if pl.Handheld > 0 && longer(set.time.Time, pl.Handheld) {
		say(
			Tripod,
			"%v is too long to hold by hand, for which %s is the limit: use a tripod.",
			set.time,
			reciprocity.FormatLong(pl.Handheld),
		)
	}
	if pl.Longest > 0 && longer(set.time.Time, pl.Longest) {
		say(TooLong, "%v is longer than the %s that the subject allows.", set.time, reciprocity.FormatLong(pl.Longest))
	}
	if pl.Aperture != 0 && pl.Time != 0 && float64(set.residue) < -0.5 {
		say(Short, "These settings give %.1f stops too little light.", -float64(set.residue))
	}
	if math.Abs(p.Contrast-1) >= leastChange {
		how := "harder"
		if p.Contrast < 1 {
			how = "softer"
		}
		text := fmt.Sprintf(
			"The negative comes out %s than usual: its density range is %.2f times the normal one, for in this light the tones fail by different amounts.",
			how,
			p.Contrast,
		)
		if p.DevelopmentChange != 0 {
			text += " " + pl.developmentWords(p)
		}
		say(ContrastChange, "%s", text)
	}
	if p.Rerating != nil {
		say(PushOrPull, "%s", p.Rerating.words(p))
	}
	if p.Filter != "" || set.neutral > 0 {
		say(EyeSafety, "A filter of a camera does not protect the eye: never look at the sun through it.")
	}
}

// developmentWords says by how much to change the development for the contrast of long or
// short times, as the range that it is.
func (pl *planner) developmentWords(p *Plan) string {
	r := reciprocity.DevelopmentRange{
		Most:     p.DevelopmentChange,
		Handbook: reciprocity.HandbookFigure{Percent: p.HandbookChange},
	}
	text := "To bring it back develop " + r.String()
	if p.Development > 0 {
		most := time.Duration(float64(p.Development) * (1 + p.DevelopmentChange/100))
		text += fmt.Sprintf(
			" (%s instead of %s at the most)",
			devtime.FormatTime(most.Round(time.Second)),
			devtime.FormatTime(p.Development.Round(time.Second)),
		)
	}
	return text + ". Which of them a film takes must be tried; expect the shadows to lose a little more."
}

// history says how the film's own index came to hold for the development that goes with
// it; "" for an index that was asked for.
func (pl *planner) history() string {
	if pl.Shot.Index != 0 || pl.process == nil {
		return ""
	}
	x, err := pl.process.Index()
	if err != nil || x.Provenance.Conditions == "" {
		return ""
	}
	return " It is the film's: " + x.Provenance.Conditions + "."
}
