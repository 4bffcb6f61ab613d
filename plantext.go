package actinic

import (
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure/camera"
)

// timeWords is a mark as it is set, and a time held by hand as it is counted.
func timeWords(m camera.TimeMark) string {
	if m.Bulb {
		return "bulb " + reciprocity.FormatLong(m.Time)
	}
	return m.String()
}

// unnamed is a filter of which the factor is known and no name.
const unnamed = "unnamed"

// filterWords names the filter in a sentence.
func (p *Plan) filterWords() string {
	if p.Filter == unnamed {
		return fmt.Sprintf("a filter of factor %.3g", p.Factor)
	}
	return "the filter " + p.Filter
}

// developWords says how long to develop, of another index than the film's what is known of
// that.
func (p *Plan) developWords() string {
	if p.Development <= 0 {
		return ""
	}
	own := devtime.FormatTime(p.Develop)
	switch r := p.Rerating; {
	case r == nil:
		return fmt.Sprintf("Develop %s.\n", own)
	case r.Restores > 0:
		return fmt.Sprintf("Develop %s for the contrast of the film's own %s, see below.\n", devtime.FormatTime(quarter(sensito.Exact(r.Restores.Seconds()))), own)
	}
	return fmt.Sprintf("The film's own development is %s; which one goes with this index is not known, see below.\n", own)
}

// quarter is a development in seconds as it is set: to a quarter of a minute where that lies
// within its interval, or makes less than two per cent where no interval is known, which no
// negative shows (common practice, no source); otherwise to the second.
func quarter(e sensito.Estimate) time.Duration {
	t := figures.Seconds(e.Value)
	q := t.Round(devtime.QuarterMinute)
	s := q.Seconds()
	low, high := e.Low, e.High
	if !(low < high) {
		low, high = 0.98*e.Value, 1.02*e.Value
	}
	if q > 0 && low <= s && s <= high {
		return q
	}
	return t.Round(time.Second)
}

// String explains the plan in plain words.
func (p *Plan) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s at %v", p.Film, p.Index)
	if p.Process != "" {
		fmt.Fprintf(&b, ", %s", p.Process)
	}
	b.WriteString("\nSet ")
	fmt.Fprintf(&b, "%s at %v", timeWords(p.Time), p.Aperture)
	if p.Filter != "" {
		fmt.Fprintf(&b, " with %s", p.filterWords())
	}
	// A grey filter that is needed and the one that is worn are two filters to carry.
	word := "behind"
	for _, d := range []sensito.Density{p.Worn, p.Neutral} {
		if d > 0 {
			fmt.Fprintf(&b, " %s %s", word, camera.NeutralName(d))
			word = "and"
		}
	}
	b.WriteString(".\n")
	b.WriteString("In stops of exposure, + is more:\n")
	// The names of the steps are one column, stops and exposure values two more.
	wide := 0
	for _, s := range p.Steps {
		wide = max(wide, len(s.Name))
	}
	for _, s := range p.Steps {
		// The light is where the sum begins: it asks for nothing.
		stops := strings.Repeat(" ", 6)
		if s.Name != "light" {
			stops = fmt.Sprintf("%+6.2f", float64(s.Stops)+0) // +0 takes the sign off a zero
		}
		fmt.Fprintf(&b, "  %-*s %s  EV %6.2f  %s\n", wide, s.Name, stops, float64(s.Ev), s.Text)
	}
	if t := p.Through; t != nil {
		fmt.Fprintf(&b, "A meter behind the filters reads EV %.2f at ISO 100: give %.2f stops %s than it says, or set it to EI %.0f.\n",
			float64(t.Reads), math.Abs(float64(t.Correction)), lessOrMore(t.Correction < 0), t.Dial)
	}
	b.WriteString(p.developWords())
	for _, w := range p.Warnings {
		fmt.Fprintf(&b, "- %s\n", w.Text)
	}
	// Who develops is told of the chemistry, last, whatever else there is to say.
	if p.Development > 0 {
		fmt.Fprintf(&b, "- %s\n", devtime.Caution)
	}
	return b.String()
}
