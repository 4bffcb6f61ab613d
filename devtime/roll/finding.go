package roll

import (
	"example.org/actinic/sensito"
)

// What a [Finding] is.
const (
	WildReading = sensito.FindWild  // one reading that does not go with the others of its strip or frame
	WildFrame   = "wild frame"      // a frame exposed otherwise than it was set
	Leak        = sensito.FindLeak  // stray light on a part of a strip
	Fog         = "fog"             // all of a strip is raised, its unexposed patches too
	Order       = "order"           // strips exchanged or mislabelled, or one that does not go with its neighbours
	Form        = sensito.FindForm  // a curve that is not of the closed form
	Drift       = sensito.FindDrift // residuals that follow each other
	Noise       = sensito.FindNoise // more scatter than the standard deviations say
	Flare       = "flare"           // the bracket and the strips differ by more than the placing of the shadow
	CopyFlare   = "copy flare"      // camera readings whose flare was not stated
	Unusable    = "unusable"        // a strip or a bracket that gives nothing, with the reason
)

// Finding is something about the readings that the numbers alone would not say.
type Finding struct {
	What string `json:"what"` // one of the constants above
	// Strips are the strips meant, two where they seem exchanged; none for a finding
	// about the bracket.
	Strips []string `json:"strips"`
	Frame  string   `json:"frame,omitempty"`
	// Step counts from 1 over the exposed patches of the strip in the order of the
	// file: of a wild reading itself, of a leak the last patch that it raised.
	Step int           `json:"step,omitempty"`
	LogH *sensito.LogH `json:"log_h_lx_s,omitempty"`
	File string        `json:"file,omitempty"`
	Line int           `json:"line,omitempty"`
	// Probability that it is so, where one was computed.
	Probability float64 `json:"probability,omitempty"`
	Effect      *Effect `json:"effect,omitempty"`
	Text        string  `json:"text"`
}

// Effect is what a finding does to a number.
type Effect struct {
	Number  string           `json:"number"`  // such as "base_fog"
	With    sensito.Estimate `json:"with"`    // if the readings are taken as they stand
	Without sensito.Estimate `json:"without"` // if what was found is taken out
}

// files of a test.
const (
	headFile    = "test.json"
	stripsFile  = "strips.csv"
	bracketFile = "bracket.csv"
)

// About returns the findings about a strip, or those about the bracket for "".
func (r *Record) About(strip string) []Finding {
	var out []Finding
	for _, f := range r.Findings {
		if strip == "" && len(f.Strips) == 0 {
			out = append(out, f)
		}
		for _, s := range f.Strips {
			if s == strip && strip != "" {
				out = append(out, f)
			}
		}
	}
	return out
}
