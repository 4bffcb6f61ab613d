package roll

import (
	"encoding/json"

	"example.org/actinic/devtime"
	"example.org/actinic/sensito"
)

// Record is what a test roll says of a film in one process under one light. It
// marshals to JSON as it is; an interval of 95 % goes with every number that comes
// from readings, and what could not be found is null with a sentence in Warnings.
//
// Read back from JSON it is the same but for the fitted curves and the law, which are
// not in it: [StripRecord.Fit] lays the curve through the readings again.
type Record struct {
	Film                  string  `json:"film"`
	Process               string  `json:"process"`
	Light                 string  `json:"light"`
	TargetAverageGradient float64 `json:"target_average_gradient"`

	// Details say who tested, when and with what; see [Roll.Details].
	Details map[string]string `json:"about,omitempty"`
	// Exposure is "relative" where the strips' exposures are known to each other only;
	// no strip has a speed then.
	Exposure string `json:"exposure,omitempty"`

	Strips []StripRecord `json:"strips"` // in order of development

	// ContrastTime is the growth of the average gradient with time; nil for
	// strips of fewer than two times or without a law.
	ContrastTime *ContrastTimeRecord `json:"contrast_time"`
	// Development is the time for the target, in seconds; nil where none serves. An
	// upper end that the strips do not set is +Inf.
	Development *sensito.Estimate `json:"development_for_target_s"`
	// Index is the recommended exposure index with the development that belongs to
	// it; nil where none was found.
	Index *IndexRecord `json:"index"`
	// IndexAsTested is the bracket's index at the bracket's own development, where
	// Index was moved to another; nil otherwise.
	IndexAsTested *IndexRecord   `json:"index_as_tested"`
	Bracket       *BracketRecord `json:"bracket,omitempty"`

	// Tones are which density and which grey each tone of a subject gets at Index and
	// its development; nil where the roll has not got them or exposures are relative.
	Tones *TonesRecord `json:"tones"`

	// Findings say which readings, frames or strips are not as the others, or which
	// law the film does not follow; empty for a clean roll.
	Findings []Finding `json:"findings"`
	// Limits says what limits the index and the development most.
	Limits string `json:"limits"`
	// Recommendation says in words what to set, how long to develop, and why.
	Recommendation []string `json:"recommendation"`
	Warnings       []string `json:"warnings"`
}

// StripRecord is one strip.
type StripRecord struct {
	Strip        string  `json:"strip"`
	DevelopmentS float64 `json:"development_s"` // as written in the test
	// TakenS is the development that the strip was taken to have had, in seconds,
	// where it seems exchanged with another; nil where it is the written one.
	TakenS *float64 `json:"development_taken_s,omitempty"`
	// LeftOut names the numbers of the roll that the strip took no part in, since it
	// does not go with the others: "speed", "contrast".
	LeftOut []string `json:"left_out,omitempty"`

	BaseFog        float64     `json:"base_fog"`
	SpeedPointLogH float64     `json:"speed_point_log_h"`
	SpeedPointLow  *float64    `json:"speed_point_log_h_low"`
	SpeedPointHigh *float64    `json:"speed_point_log_h_high"`
	DeltaD         *float64    `json:"delta_d"` // nil where the strip ends too soon
	MeetsISO       bool        `json:"meets_iso"`
	Speed          SpeedRecord `json:"speed"` // null where exposures are relative
	// RelativeSpeed is the log10 of the speed on the scale of the roll's own exposures,
	// -log10 Hm, where these are relative: differences between strips are those of
	// their speeds.
	RelativeSpeed   *float64          `json:"speed_relative_log_h,omitempty"`
	Gamma           *sensito.Estimate `json:"gamma"`
	AverageGradient *sensito.Estimate `json:"average_gradient"`
	ContrastIndex   *sensito.Estimate `json:"contrast_index"`

	// Account is the fit's account of itself.
	Account sensito.Account `json:"fit"`

	// Readings and Unexposed are what the curve was fitted to, in the order of the
	// file.
	Readings  []ReadingRecord   `json:"readings"`
	Unexposed []sensito.Density `json:"unexposed"`

	// Curve is the fitted curve; nil in a record read from JSON.
	Curve *sensito.Fitted `json:"-"`
}

// ReadingRecord is one reading of a strip.
type ReadingRecord struct {
	LogH    sensito.LogH    `json:"log_h_lx_s"`
	Density sensito.Density `json:"density"`
	SD      float64         `json:"density_sd,omitempty"`
	Line    int             `json:"line,omitempty"` // of strips.csv
}

// Taken returns the development that the strip was taken to have had, in seconds.
func (s *StripRecord) Taken() float64 {
	if s.TakenS != nil {
		return *s.TakenS
	}
	return s.DevelopmentS
}

// Measured returns the readings as package sensito has them.
func (s *StripRecord) Measured() []sensito.Reading {
	out := make([]sensito.Reading, len(s.Readings))
	for i, r := range s.Readings {
		out[i] = sensito.Reading{LogH: r.LogH, Density: r.Density, SD: r.SD}
	}
	return out
}

// Fit returns the fitted curve, or lays it through the readings again in a record
// that was read from JSON. The error is that of [sensito.Fit].
func (s *StripRecord) Fit() (*sensito.Fitted, error) {
	if s.Curve != nil {
		return s.Curve, nil
	}
	return fitCurve(s.Measured(), s.Unexposed)
}

func fitCurve(readings []sensito.Reading, unexposed []sensito.Density) (*sensito.Fitted, error) {
	var base sensito.Base
	if len(unexposed) > 0 {
		base = sensito.UnexposedBase(unexposed...)
	}
	return sensito.Fit(readings, base)
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

type speedJSON SpeedRecord

// MarshalJSON writes null for no speed.
func (s SpeedRecord) MarshalJSON() ([]byte, error) {
	if s.Value == 0 {
		return []byte("null"), nil
	}
	return json.Marshal(speedJSON(s))
}

// UnmarshalJSON reads what MarshalJSON writes.
func (s *SpeedRecord) UnmarshalJSON(b []byte) error {
	*s = SpeedRecord{}
	return json.Unmarshal(b, (*speedJSON)(s))
}

// Speed returns the typed speed.
func (s SpeedRecord) Speed() sensito.Speed {
	return sensito.Speed{Value: s.Value, Kind: s.Kind, Criterion: s.Criterion}
}

// ContrastTimeRecord holds the constants of the average gradient's growth, and the
// times of the strips that it was found from.
type ContrastTimeRecord struct {
	Limit     sensito.Estimate `json:"limit"`
	Rate      sensito.Estimate `json:"rate_per_min"`
	Induction sensito.Estimate `json:"induction_min"`
	// NoInduction is how likely it is that there is no induction time at all.
	NoInduction float64 `json:"no_induction_probability"`
	ShortestS   float64 `json:"shortest_s"`
	LongestS    float64 `json:"longest_s"`

	// Growth is the fit, whose average over laws gives contrasts and times; zero in a
	// record read from JSON.
	Growth devtime.GrowthFit `json:"-"`
}

// IndexRecord is an exposure index, the development for which it holds, and what it
// was found from: "bracket", "bracket, moved by the strips", "curves", or "strip NAME"
// where the target lies outside the strips' times.
type IndexRecord struct {
	sensito.Estimate
	From string
	// Development is in seconds; nil where it is not known.
	Development *sensito.Estimate
	// History says how the index came to hold for that development.
	History string
}

// BracketRecord is the evaluation of the bracketed frames.
type BracketRecord struct {
	Target       float64           `json:"shadow_target_density"` // base plus fog and 0.10
	BelowMeter   float64           `json:"shadow_stops_below_meter"`
	DevelopmentS *float64          `json:"development_s"` // nil where not known
	Index        *sensito.Estimate `json:"index"`
	Highlight    *float64          `json:"highlight_density"` // at that index
	Midtone      *float64          `json:"midtone_density"`
	Frames       []FrameRecord     `json:"frames"`     // by index, slowest first
	Neighbours   []string          `json:"neighbours"` // the frames on either side of the index
	// Shape says where the form of the curve was taken from: "strips" or "frames".
	Shape string `json:"shape_from"`
	// ReadingSD is the standard deviation of a reading, found from the frames where
	// none was stated; FrameScatter that of a frame's exposure, in stops.
	ReadingSD    *float64 `json:"found_density_sd,omitempty"`
	FrameScatter float64  `json:"frame_scatter_stops"`

	UnexposedFound bool `json:"base_fog_from_frames"`
}

// FrameRecord is one frame of the bracket; a patch not read is nil.
type FrameRecord struct {
	Frame     string   `json:"frame"`
	Index     float64  `json:"ei"`
	Shadow    *float64 `json:"shadow"`
	Midtone   *float64 `json:"midtone"`
	Highlight *float64 `json:"highlight"`
	// Residuals are the densities read less those of the fit, by tone.
	Residuals map[string]float64 `json:"residuals,omitempty"`
	// Off is how many stops more the frame seems to have got than was set.
	Off *float64 `json:"off_stops,omitempty"`
}
