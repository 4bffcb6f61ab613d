package structure_test

import (
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/structure"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		structure.ApertureArea, structure.ApertureResponse, structure.Selwyn, structure.SelwynConstant,
		structure.ApertureSD, structure.BarContrast, structure.ResponseFromBars, structure.TargetModulation,
		structure.ThreeBar, structure.JoinResolving, structure.FindEdge, (*structure.Edge).Angle,
		(*structure.Edge).Sides, (*structure.Edge).Profile, (*structure.Edge).Beyond, (*structure.Edge).String,
		(*structure.Edge).Response, (*structure.Edge).FilmResponse, structure.FitGrain, structure.GrainLaw.SD,
		(*structure.Spectrum).Granularity, structure.Granularity.Against, structure.CanMeasure, structure.SDKnown,
		structure.Nutting, structure.Siedentopf, structure.Boolean, structure.BooleanSD, structure.Window.At,
		structure.Window.MeanSquare, structure.Window.Segments, structure.NoisePower, structure.NewPatch,
		(*structure.Patch).Tiles, (*structure.Patch).Add, (*structure.Patch).Spectrum, structure.ResolvingPower,
		structure.NewResponse, (*structure.Response).Points, (*structure.Response).At,
		(*structure.Response).Frequency, (*structure.Response).Times, structure.Gaussian, structure.Box,
		(*structure.Spectrum).Density, (*structure.Spectrum).Frames, (*structure.Spectrum).Tiles,
		(*structure.Spectrum).Without, (*structure.Spectrum).Variance, (*structure.Spectrum).Bins,
	})
}
