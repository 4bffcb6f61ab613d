package actinic

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

// MarshalJSON writes the plan as an object: what to set, the steps with their stops,
// and the warnings. Times are in seconds.
func (p *Plan) MarshalJSON() ([]byte, error) {
	type settings struct {
		Aperture exposure.FNumber `json:"aperture"`
		Time     string           `json:"time"`
		TimeS    float64          `json:"time_s"`
		Bulb     bool             `json:"bulb"`
		Filter   string           `json:"filter,omitempty"`
		Factor   float64          `json:"filter_factor"`
		Neutral  sensito.Density  `json:"neutral_density"`
	}
	return json.Marshal(struct {
		Film         string        `json:"film"`
		Process      string        `json:"process,omitempty"`
		Index        float64       `json:"index"`
		Set          settings      `json:"set"`
		MeteredS     float64       `json:"metered_s"`
		AdjustedS    float64       `json:"adjusted_s"`
		Residue      sensito.Stops `json:"residue_stops"`
		Steps        []PlanStep    `json:"steps"`
		Contrast     float64       `json:"contrast_factor"`
		DevelopmentS *float64      `json:"development_s"`
		Change       float64       `json:"development_change_percent"`
		Warnings     []PlanWarning `json:"warnings"`
		Caution      string        `json:"developer_caution,omitempty"`
	}{
		p.Film, p.Process, p.Index.Value,
		settings{p.Aperture.Number, exposure.FormatShutter(p.Time.Time), p.Time.Time.Seconds(), p.Time.Bulb, p.Filter, p.Factor, p.Neutral},
		p.Metered.Seconds(), p.Adjusted.Seconds(), p.Residue, p.Steps, p.Contrast, p.developmentSeconds(), p.DevelopmentChange,
		append([]PlanWarning{}, p.Warnings...), p.caution(),
	})
}

func (p *Plan) developmentSeconds() *float64 {
	if p.Development == 0 {
		return nil
	}
	s := p.Development.Seconds()
	return &s
}

func (p *Plan) caution() string {
	if p.Development == 0 {
		return ""
	}
	return devtime.Caution
}

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
	wide := 0
	for _, s := range p.Steps {
		wide = max(wide, len(s.Name))
	}
	for _, s := range p.Steps {
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
	if p.Development > 0 {
		fmt.Fprintf(&b, "- %s\n", devtime.Caution)
	}
	return b.String()
}
