package actinic

import (
	"fmt"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/sensito/exposure/camera"
)

// String explains the plan in plain words.
func (p *Plan) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s at %v", p.Film, p.Index)
	if p.Process != "" {
		fmt.Fprintf(&b, ", %s", p.Process)
	}
	b.WriteString("\nSet ")
	fmt.Fprintf(&b, "%v at %v", p.Time, p.Aperture)
	if p.Filter != "" {
		fmt.Fprintf(&b, " with the filter %s", p.Filter)
	}
	if p.Neutral > 0 {
		fmt.Fprintf(&b, " behind %s", camera.NeutralName(p.Neutral))
	}
	b.WriteString(".\n")
	// The names of the steps are one column, stops and exposure values two more.
	wide := 0
	for _, s := range p.Steps {
		wide = max(wide, len(s.Name))
	}
	for _, s := range p.Steps {
		// The light is where the sum begins: it adds nothing.
		stops := strings.Repeat(" ", 6)
		if s.Name != "light" {
			stops = fmt.Sprintf("%+6.2f", float64(s.Stops)+0) // +0 takes the sign off a zero
		}
		fmt.Fprintf(&b, "  %-*s %s  EV %6.2f  %s\n", wide, s.Name, stops, float64(s.Ev), s.Text)
	}
	if p.Development > 0 {
		fmt.Fprintf(&b, "Develop %s.\n", devtime.FormatTime(p.Development.Round(time.Second)))
	}
	for _, w := range p.Warnings {
		fmt.Fprintf(&b, "- %s\n", w.Text)
	}
	// Who develops is told of the chemistry, last, whatever else there is to say.
	if p.Development > 0 {
		fmt.Fprintf(&b, "- %s\n", devtime.Caution)
	}
	return b.String()
}
