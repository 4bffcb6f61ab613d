package scan

import (
	"testing"

	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		Box.String, Box.MarshalJSON, Box.Inset, Exposed.Signal, Exposed.Rate, Density,
		Flare.Read, Flare.Remove, Flare.Veil, Flare.Slope, FlareOf, NewFrame,
		(*Frame).Origin, (*Frame).Time, (*Frame).Size, (*Frame).Mean, (*Frame).Clipped,
		(*Frame).Keep, Join, MeanError, (*Setup).Measure, Reading.Reading,
		Noise.Variance, Noise.DensitySD, PairNoise, FitNoise, Channel.String,
		Channel.MarshalText, (*Picture).Origin, (*Picture).Size, (*Picture).At, NewPicture,
		Read, Decode, Axis.String, Axis.MarshalText, (*Setup).Profile,
		Response.Greatest, Response.Display, Response.Linear, FitResponse, (*Setup).Exposed,
		(*Setup).PairPoint, (*Setup).SinglePoint, (*Setup).MeasureFlare, Span.Margin,
		Span.Box, FindSteps, Tie.Apply, FitTie, Tie.Plausible, (*Setup).Transmittances,
	})
}
