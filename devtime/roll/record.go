package roll

import (
	"encoding/json"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
)

// Record is what a test roll says of a film in one process under one light. It
// marshals to JSON as it is; an interval of 95 % goes with every number that comes
// from readings, and what could not be found is null with a sentence in Warnings.
type Record struct {
	Film                  string  `json:"film"`
	Process               string  `json:"process"`
	Light                 string  `json:"light"`
	TargetAverageGradient float64 `json:"target_average_gradient"`

	Strips []StripRecord `json:"strips"` // in order of development

	// ContrastTime is the growth of the average gradient with time; nil for
	// strips of fewer than two times or without a law.
	ContrastTime *ContrastTimeRecord `json:"contrast_time"`
	// Development is the time for the target, in seconds; nil where none serves.
	Development *sensito.Estimate `json:"development_for_target_s"`
	// Index is the recommended exposure index; nil where none was found.
	Index   *IndexRecord   `json:"index"`
	Bracket *BracketRecord `json:"bracket,omitempty"`

	// Recommendation says in words what to set, how long to develop, and what
	// limits it.
	Recommendation []string `json:"recommendation"`
	Warnings       []string `json:"warnings"`
}

// StripRecord is one strip.
type StripRecord struct {
	Strip        string  `json:"strip"`
	DevelopmentS float64 `json:"development_s"`

	BaseFog         float64           `json:"base_fog"`
	SpeedPointLogH  float64           `json:"speed_point_log_h"`
	SpeedPointLow   *float64          `json:"speed_point_log_h_low"`
	SpeedPointHigh  *float64          `json:"speed_point_log_h_high"`
	DeltaD          *float64          `json:"delta_d"` // nil where the strip ends too soon
	MeetsISO        bool              `json:"meets_iso"`
	Speed           SpeedRecord       `json:"speed"`
	Gamma           *sensito.Estimate `json:"gamma"`
	AverageGradient *sensito.Estimate `json:"average_gradient"`
	ContrastIndex   *sensito.Estimate `json:"contrast_index"`

	// Curve is the fitted curve, and Readings and Unexposed what it was fitted to.
	Curve     *sensito.Fitted   `json:"-"`
	Readings  []sensito.Reading `json:"-"`
	Unexposed []sensito.Density `json:"-"`
}

// SpeedRecord is a speed with the right name on it: ISO where the contrast
// condition is met, EI otherwise. Value is arithmetic and unrounded.
type SpeedRecord struct {
	Kind      sensito.Kind      `json:"kind"`
	Criterion sensito.Criterion `json:"criterion"`
	Value     float64           `json:"value"`
	Degrees   int               `json:"degrees"`
	Low       *float64          `json:"low"`
	High      *float64          `json:"high"`
}

// Speed returns the typed speed.
func (s SpeedRecord) Speed() sensito.Speed {
	return sensito.Speed{Value: s.Value, Kind: s.Kind, Criterion: s.Criterion}
}

// ContrastTimeRecord holds the constants of the average gradient's growth.
type ContrastTimeRecord struct {
	Limit     sensito.Estimate `json:"limit"`
	Rate      sensito.Estimate `json:"rate_per_min"`
	Induction sensito.Estimate `json:"induction_min"`

	// Law is the fitted law.
	Law devtime.ContrastTime `json:"-"`
}

// IndexRecord is an exposure index and what it was found from: "bracket",
// "curves", or "strip NAME" where the target lies outside the strips' times.
type IndexRecord struct {
	sensito.Estimate
	From string
}

// BracketRecord is the evaluation of the bracketed frames.
type BracketRecord struct {
	Target         float64           `json:"shadow_target_density"` // base plus fog and 0.10
	BelowMeter     float64           `json:"shadow_stops_below_meter"`
	DevelopmentS   *float64          `json:"development_s"` // nil where not known
	Index          *sensito.Estimate `json:"index"`
	Highlight      *float64          `json:"highlight_density"` // at that index
	Midtone        *float64          `json:"midtone_density"`
	Frames         []FrameRecord     `json:"frames"`     // by index, slowest first
	Neighbours     []string          `json:"neighbours"` // the frames on either side of the index
	AssumedSD      *float64          `json:"assumed_density_sd,omitempty"`
	UnexposedFound bool              `json:"base_fog_from_frames"`
}

// FrameRecord is one frame of the bracket; a patch not read is nil.
type FrameRecord struct {
	Frame     string   `json:"frame"`
	Index     float64  `json:"ei"`
	Shadow    *float64 `json:"shadow"`
	Midtone   *float64 `json:"midtone"`
	Highlight *float64 `json:"highlight"`
}

// MarshalJSON writes value, low, high and from.
func (x IndexRecord) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Value *float64 `json:"value"`
		Low   *float64 `json:"low"`
		High  *float64 `json:"high"`
		From  string   `json:"from"`
	}{figures.Known(x.Value), figures.Known(x.Low), figures.Known(x.High), x.From})
}
