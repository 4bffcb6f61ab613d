package actinic

import (
	"encoding/json"
	"fmt"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

// planJSON is a plan as it is stored. Times are in seconds.
type planJSON struct {
	Film         string                 `json:"film"`
	Process      string                 `json:"process,omitempty"`
	Index        float64                `json:"index"`
	Set          planSettings           `json:"set"`
	MeteredS     float64                `json:"metered_s"`
	AdjustedS    float64                `json:"adjusted_s"`
	LeastS       float64                `json:"adjusted_low_s,omitempty"`
	MostS        float64                `json:"adjusted_high_s,omitempty"`
	Residue      sensito.Stops          `json:"residue_stops"`
	Steps        []PlanStep             `json:"steps"`
	Contrast     float64                `json:"contrast_factor"`
	DevelopmentS *float64               `json:"development_s"`
	DevelopS     float64                `json:"develop_s,omitempty"`
	Through      *exposure.ThroughMeter `json:"meter_through,omitempty"`
	Change       float64                `json:"development_change_percent"`
	Handbook     float64                `json:"handbook_change_percent,omitempty"`
	Rerating     *Rerating              `json:"rerating,omitempty"`
	Warnings     []PlanWarning          `json:"warnings"`
	Caution      string                 `json:"developer_caution,omitempty"`
}

// planSettings is what to set on the camera and before the lens.
type planSettings struct {
	Aperture exposure.FNumber `json:"aperture"`
	Av       exposure.Av      `json:"aperture_av"`
	Time     string           `json:"time"`
	TimeS    float64          `json:"time_s"`
	Tv       exposure.Tv      `json:"time_tv"`
	Bulb     bool             `json:"bulb"`
	Filter   string           `json:"filter,omitempty"`
	Factor   float64          `json:"filter_factor"`
	Neutral  sensito.Density  `json:"neutral_density"`
	Worn     sensito.Density  `json:"worn_neutral_density,omitempty"`
}

// MarshalJSON writes the plan as an object: what to set, the steps with their stops,
// and the warnings. Times are in seconds. [Plan.UnmarshalJSON] reads it back.
func (p Plan) MarshalJSON() ([]byte, error) {
	j := planJSON{
		Film: p.Film, Process: p.Process, Index: p.Index.Value,
		Set: planSettings{p.Aperture.Number, p.Aperture.Av, exposure.FormatShutter(p.Time.Time), p.Time.Time.Seconds(), p.Time.Tv,
			p.Time.Bulb, p.Filter, p.Factor, p.Neutral, p.Worn},
		MeteredS: p.Metered.Seconds(), AdjustedS: p.Adjusted.Seconds(),
		LeastS: p.Least.Seconds(), MostS: p.Most.Seconds(), Residue: p.Residue,
		Contrast: p.Contrast, Change: p.DevelopmentChange, Handbook: p.HandbookChange, Rerating: p.Rerating,
		DevelopS: p.Develop.Seconds(), Through: p.Through,
		// Lists are never null, which readers in other languages would have to look for.
		Steps: append([]PlanStep{}, p.Steps...), Warnings: append([]PlanWarning{}, p.Warnings...),
	}
	if p.Development != 0 {
		s := p.Development.Seconds()
		j.DevelopmentS, j.Caution = &s, devtime.Caution
	}
	return json.Marshal(j)
}

// UnmarshalJSON reads a plan as MarshalJSON writes it. The error is that of encoding/json,
// or wraps [datafile.ErrData] for times that cannot be.
func (p *Plan) UnmarshalJSON(text []byte) error {
	var j planJSON
	if err := json.Unmarshal(text, &j); err != nil {
		return err
	}
	// A duration holds 292 years; NaN fails the comparison.
	for _, s := range []float64{j.Set.TimeS, j.MeteredS, j.AdjustedS, j.LeastS, j.MostS, j.DevelopS} {
		if !(s >= 0 && s < 1e9) {
			return fmt.Errorf("%w: a plan with a time of %v s", datafile.ErrData, s)
		}
	}
	*p = Plan{
		Film: j.Film, Process: j.Process, Index: sensito.Speed{Value: j.Index},
		Filter: j.Set.Filter, Factor: j.Set.Factor, Neutral: j.Set.Neutral, Worn: j.Set.Worn, Through: j.Through,
		Aperture: camera.ApertureMark{Number: j.Set.Aperture, Av: j.Set.Av},
		Time:     camera.TimeMark{Time: figures.Seconds(j.Set.TimeS), Tv: j.Set.Tv, Bulb: j.Set.Bulb},
		Metered:  figures.Seconds(j.MeteredS), Adjusted: figures.Seconds(j.AdjustedS),
		Least: figures.Seconds(j.LeastS), Most: figures.Seconds(j.MostS), Residue: j.Residue,
		Contrast: j.Contrast, DevelopmentChange: j.Change, HandbookChange: j.Handbook, Rerating: j.Rerating,
		Steps: j.Steps, Warnings: j.Warnings, Develop: figures.Seconds(j.DevelopS),
	}
	if d := j.DevelopmentS; d != nil {
		if !(*d > 0 && *d < 1e9) {
			return fmt.Errorf("%w: a plan with a development of %v s", datafile.ErrData, *d)
		}
		p.Development = figures.Seconds(*d)
	}
	return nil
}
