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
	"example.org/actinic/sensito/exposure/camera"
)

// plan makes the plan of what was settled on: numbers first, then the words about them.
func (pl *planner) plan(set setting) (*Plan, error) {
	p := &Plan{
		Film: pl.Film.Name(), Index: pl.index, Factor: pl.factor, Neutral: set.neutral, Aperture: set.aperture, Time: set.time,
		Metered: figures.Seconds(set.metered), Adjusted: figures.Seconds(set.adjusted), Residue: set.residue, Contrast: 1,
	}
	if pl.hasFilter() {
		// A factor given without a filter is behind something, which has no name.
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
	x, err := pl.process.Index()
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

// warn says what to mind, what matters for the exposure first.
func (pl *planner) warn(p *Plan, set setting) {
	say := func(c Caution, format string, args ...any) {
		p.Warnings = append(p.Warnings, PlanWarning{c, fmt.Sprintf(format, args...)})
	}
	// First what may spoil the negative, last what may hurt the eye.
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
		say(TooFast, "Without the grey filter the time would be %.1f stops faster than the fastest, %v.",
			float64(set.tooFast), pl.times[len(pl.times)-1])
	}
	if set.neutral > 0 {
		say(NeutralDensity, "A neutral-density filter is needed: %s, which is %.1f stops. Its name is a nominal density: measure it, or test it.",
			camera.NeutralName(set.neutral), float64(camera.NeutralStops(set.neutral)))
	}
	if pl.Handheld > 0 && longer(set.time.Time, pl.Handheld) {
		say(Tripod, "%v is too long to hold by hand, for which %s is the limit: use a tripod.", set.time,
			reciprocity.FormatLong(pl.Handheld))
	}
	if pl.Longest > 0 && longer(set.time.Time, pl.Longest) {
		say(TooLong, "%v is longer than the %s that the subject allows.", set.time, reciprocity.FormatLong(pl.Longest))
	}
	// Half a stop is what a mark can be off by itself.
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
		text += fmt.Sprintf(" (%s instead of %s at the most)", devtime.FormatTime(most.Round(time.Second)),
			devtime.FormatTime(p.Development.Round(time.Second)))
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
