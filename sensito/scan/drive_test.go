package scan

import (
	"math"
	"testing"
	"time"

	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	s := &Setup{Light: even(t, 60240, 20, shutter(-6)), Darks: []*Frame{even(t, 240, 3, shutter(-6)), even(t, 280, 3, shutter(-4))}}
	flared := &Setup{Light: s.Light, Darks: s.Darks, Flare: 0.01, FlareSD: 0.002}
	dark := even(t, 300, 3, shutter(-6))
	film := even(t, 23000, 40, shutter(-4))
	var profile []float64
	for i := range 120 {
		profile = append(profile, 1/math.Pow(10, 0.15*float64(i/12))+0.0005*float64(i%3))
	}
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
	}, s, flared, film, even(t, 9000, 25, shutter(-4)), dark, even(t, 65535, 0, shutter(-4)), inner, Box{0, 0, 40, 30}, Box{35, 5, 30, 20}, Box{5, 5, 1, 1}, Box{}, Span{3, 20}, Span{}, Axis(0), Axis(1), Axis(2), Channel(0), Channel(1), Channel(2), Channel(5),
		Exposed{23000, 280, shutter(-4)}, Exposed{60240, 240, shutter(-6)}, Exposed{12000, 240, shutter(-5)}, Exposed{240, 240, time.Second}, Exposed{},
		Known{0.3, 0.31, 0.01}, Known{1.2, 1.22, 0.01}, Known{2.4, 2.46, 0.02}, Counted{20000, shutter(-4), 900}, Counted{5200, shutter(-6), 300}, Counted{},
		NoisePoint{1000, 60}, NoisePoint{20000, 900}, NoisePoint{50000, 2300}, Flare(0.01), Flare(0), Flare(-1), Flare(0.3), profile, profile[:40], []float64(nil), make([]float64, 48),
		10, 0, 1, 6, -1, 100, 40, 30, 0.5, 0.01, 0.2, 1.0, 0.0, -1.0, 5000.0, math.NaN(), time.Second/60, time.Second, time.Duration(0), []byte("P5 4 2 65535\n0123456789abcdef"), []byte("P5"), "grey", "red", "10,20,30,40", "x")
}

// What JSON reads back as, as it is written and with one thing in it changed.
func TestReadsJSON(t *testing.T) { held.New(t).Reads(Box{5, 6, 30, 20}, Axis(1), Channel(1)) }
