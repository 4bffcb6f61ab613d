package tone_test

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/tone"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	readings := []sensito.Reading{{LogH: -3, Density: 0.12}, {LogH: -2.4, Density: 0.3}, {LogH: -1.8, Density: 0.75}, {LogH: -1.2, Density: 1.2}, {LogH: -0.6, Density: 1.6}}
	curve, err := sensito.Interpolate(readings, sensito.StatedBase(0.1), 0)
	if err != nil {
		t.Fatal(err)
	}
	at := func(v float64) *sensito.Estimate { e := sensito.Exact(v); return &e }
	held.New(t).Drive([]any{
		tone.ISORange, tone.Fit.String, tone.Fit.MarshalText, tone.Paper.Suits, tone.Copying, tone.Veil, tone.At,
		tone.Of, tone.Place, tone.Range, tone.Greys,
	}, curve, tone.Of(curve), 125.0, 400.0, 0.001, 0.0, -1.0, 1e7, math.NaN(),
		sensito.Stops(0), sensito.Stops(-3), sensito.Stops(2), sensito.Stops(5), sensito.Stops(40), sensito.Stops(math.NaN()),
		tone.Tone{Stops: -3, LogH: -2.8, Density: at(0.2)}, tone.Tone{Stops: 0, LogH: -2, Density: at(0.7)}, tone.Tone{Stops: 4, LogH: -1, Density: at(1.6)}, tone.Tone{},
		sensito.Density(0.7), sensito.Density(0.1), sensito.Density(1.3), sensito.Density(2.1), sensito.Density(-0.1), sensito.Density(math.Inf(1)),
		sensito.Exact(1), sensito.Estimate{Value: 0.8, Low: 0.7, High: 0.9}, sensito.Estimate{Value: 1.6, Low: 1.1, High: 2}, sensito.Estimate{Value: math.NaN()},
		tone.Paper{Name: "normal", Least: 0.8, Most: 1.1}, tone.Paper{}, "R110", "R50", "110", "R29", "R30", "R31", "R249", "R250", "R251", "R0", "R1e9", "", tone.Fits, tone.TooShort, tone.TooLong, tone.Fit(3))
}

// What JSON reads back as, as it is written and with one thing in it changed.
func TestReadsJSON(t *testing.T) { held.New(t).Reads(tone.TooShort, tone.Fits) }
