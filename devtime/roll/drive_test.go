package roll_test

import (
	"testing"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		(*roll.Roll).Characterise, (*roll.Record).DetailLines, (*roll.Record).About, (*roll.Record).PairGradient,
		roll.IndexRecord.MarshalJSON, roll.Read, roll.ReadPart, (*roll.Record).Box, (*roll.StripRecord).Taken,
		(*roll.StripRecord).Measured, (*roll.StripRecord).Fit, roll.SpeedRecord.MarshalJSON, roll.SpeedRecord.Speed,
		(*roll.Roll).MeteredAt, roll.Tone.String, (*roll.Record).TonesLines,
	})
}
