package sensito

// Finding is something about the readings or the film that their fit would not leave
// unsaid.
type Finding struct {
	What        string  `json:"what"`             // one of the constants below
	Step        int     `json:"step,omitempty"`   // from 1 over the readings in the order given; 0 where none
	LogH        LogH    `json:"log_h"`            // where
	Shift       Density `json:"shift_density"`    // by how much the reading, or readings, seem to be off
	Probability float64 `json:"probability"`      // that it is so
	Effect      *Effect `json:"effect,omitempty"` // what it does
}

// Effect is what a finding does to a measure.
type Effect struct {
	Measure string   `json:"measure"`
	With    Estimate `json:"with"`    // as it would be if the readings were taken as they are
	Without Estimate `json:"without"` // as it is
}

// What a finding is.
const (
	FindWild  = "wild reading"
	FindLeak  = "leak"
	FindForm  = "form"
	FindDrift = "drift"
	FindNoise = "noise"
)

// Findings returns what was found, nothing for a strip as it should be.
func (f *Fitted) Findings() []Finding {
	if f == nil {
		return nil
	}
	return append([]Finding(nil), f.findings...)
}
