package roll

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
)

// findings takes over what the fit of a strip found, with the place in the file.
func (r *builder) findings(f *sensito.Fitted, s *Strip) {
	for _, g := range f.Findings() {
		x := g.LogH
		out := Finding{What: g.What, Strips: []string{s.Name}, Step: g.Step, LogH: &x, File: stripsFile, Line: s.FirstLine,
			Probability: g.Probability}
		if g.Step > 0 {
			out.Line = s.line(g.Step - 1)
		}
		tail := ""
		e := g.Effect
		if e == nil && g.Step > 0 {
			e = takenAsRead(f, s)
		}
		if e != nil {
			out.Effect = &Effect{e.Measure + " of strip " + s.Name, e.With, e.Without}
			tail = effectWords(e)
		}
		out.Text = stripWords(g, s.Name) + tail
		r.find(out)
	}
}

// sharedDoubts takes back doubts about a reading of which no more is said than that it may
// be misread, where two strips or more have one at the same exposure: a slip strikes one
// strip, the film's own form all of them.
func (r *builder) sharedDoubts() {
	doubt := func(f *Finding) bool {
		return f.What == WildReading && len(f.Strips) == 1 && f.LogH != nil && f.Probability <= 0.5
	}
	shared := func(f *Finding) bool {
		return doubt(f) && slices.ContainsFunc(r.Findings, func(o Finding) bool {
			return doubt(&o) && o.Strips[0] != f.Strips[0] && math.Abs(float64(*o.LogH-*f.LogH)) < sameStep
		})
	}
	kept := []Finding{}
	for i := range r.Findings {
		if f := &r.Findings[i]; !shared(f) {
			kept = append(kept, *f)
		}
	}
	r.Findings = kept
}

// sameStep is within what two strips' exposures of one step differ, in log10.
const sameStep = 0.02

// takenAsRead is what a strip's speed point would be with every reading taken as it
// stands, by straight lines between them; nil where it has none.
func takenAsRead(f *sensito.Fitted, s *Strip) *sensito.Effect {
	without, err := f.Estimate(sensito.MeasureOf(sensito.SpeedPoint))
	if err != nil {
		return nil
	}
	c, err := sensito.Interpolate(s.Readings, sensito.StatedBase(f.BaseFog()), sensito.PoolFalling)
	if err != nil {
		return nil
	}
	with := sensito.Estimate{Value: math.NaN(), Low: math.NaN(), High: math.NaN()}
	if h, err := sensito.SpeedPoint(c); err == nil {
		with.Value = float64(h)
	}
	return &sensito.Effect{Measure: "speed_point_log_h", With: with, Without: finite(without[0])}
}

// stripWords says a finding about one strip in a sentence.
func stripWords(g sensito.Finding, strip string) string {
	at := fmt.Sprintf("log H %.2f", float64(g.LogH))
	switch g.What {
	case sensito.FindWild:
		if g.Probability <= 0.5 {
			return fmt.Sprintf("Strip %s, step %d at %s may be misread by %+.2f (probability %.2f), or another that is named here.",
				strip, g.Step, at, float64(g.Shift), g.Probability)
		}
		return fmt.Sprintf("Strip %s, step %d at %s does not go with the others: it lies %+.2f from their curve.", strip,
			g.Step, at, float64(g.Shift))
	case sensito.FindLeak:
		return fmt.Sprintf("Strip %s has got stray light on its least exposed patches, up to step %d at %s: they are raised by %.2f, the unexposed ones are not.",
			strip, g.Step, at, float64(g.Shift))
	case sensito.FindForm:
		return fmt.Sprintf("The curve of strip %s is not of the closed form, which misses it by %+.3f near %s; it was followed as it is, and the intervals know.",
			strip, float64(g.Shift), at)
	case sensito.FindDrift:
		return fmt.Sprintf("The residuals of strip %s follow each other: neighbouring readings share an error, such as a densitometer that drifts or a tablet that is not as stated. The intervals were widened; read the strip again.", strip)
	case sensito.FindNoise:
		return fmt.Sprintf("The readings of strip %s scatter more about every curve than their standard deviations say; the intervals were widened.", strip)
	}
	return fmt.Sprintf("Strip %s: %v.", strip, g)
}

// effectWords says what a finding does to a measure, where it does something.
func effectWords(e *sensito.Effect) string {
	what, with, without := "", "none", "none"
	switch e.Measure {
	case "speed_point_log_h":
		what = " By the fixed density the strip has EI"
		for _, x := range []struct {
			to *string
			h  float64
		}{{&with, e.With.Value}, {&without, e.Without.Value}} {
			if x.h == x.h {
				*x.to = fmt.Sprintf("%.0f", sensito.SpeedAt(sensito.LogH(x.h)).Value)
			}
		}
	case "average_gradient":
		what = " Its average gradient is"
		with, without = fmt.Sprintf("%.3f", e.With.Value), fmt.Sprintf("%.3f", e.Without.Value)
	}
	if what == "" || with == without {
		return ""
	}
	return fmt.Sprintf("%s %s without, %s with it.", what, without, with)
}

// find adds a finding.
func (r *builder) find(f Finding) {
	if f.Strips == nil {
		f.Strips = []string{}
	}
	if f.Line == 0 {
		f.File = ""
	}
	r.Findings = append(r.Findings, f)
}

// sd returns the standard deviation behind a 95 % interval, 0 where not known.
func sd(e sensito.Estimate) float64 {
	if w := (e.High - e.Low) / (2 * lsq.Normal95); w > 0 && !math.IsInf(w, 0) {
		return w
	}
	return 0
}
