package structure_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/copystand"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/structure"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	edge := copystand.Edge(60, 50, 5, copystand.Blurred(1.2))
	found, err := structure.FindEdge(edge, 60, 50, 4)
	if err != nil {
		t.Fatal(err)
	}
	flat := func() []float64 {
		out := make([]float64, 128*128)
		for i := range out {
			out[i] = 0.8 + 0.02*r.NormFloat64()
		}
		return out
	}
	patch, err := structure.NewPatch(128, 128, 4, 48)
	if err != nil {
		t.Fatal(err)
	}
	if err := patch.Add(nil, flat(), flat()); err != nil {
		t.Fatal(err)
	}
	response, err := structure.Gaussian(2, 200, 40)
	if err != nil {
		t.Fatal(err)
	}
	e := func(v float64) sensito.Estimate { return sensito.Estimate{Value: v, Low: v * 0.95, High: v * 1.05} }
	pool := []any{
		found, edge, patch, response, (*structure.Response)(nil), structure.Rectangular, structure.Hann, structure.Hamming, structure.Window(3), []bool(nil), func(f float64) float64 { return math.Exp(-f / 50) }, func(v float64) (float64, error) { return -math.Log10(v), nil },
		structure.Granularity{Density: 0.4, Aperture: 48, SD: e(0.008)}, structure.Granularity{Density: 0.8, Aperture: 48, SD: e(0.011)}, structure.Granularity{Density: 1.4, Aperture: 48, SD: e(0.014)}, structure.Granularity{},
		structure.TargetRead{Exposure: -1, Seen: 50, Next: 56}, structure.TargetRead{Exposure: 0, Seen: 63, Next: 71}, structure.TargetRead{Exposure: 1, Seen: 56, Next: 63}, structure.TargetRead{}, []sensito.Estimate{e(1), e(0.8), e(0.5), e(0.2)}, []float64{0, 10, 30, 80}, []float64{1, 0.5},
		sensito.Density(0.8), sensito.Density(0.1), sensito.Density(0), sensito.Density(-1), sensito.Density(3), sensito.Exact(2), 128, 60, 50, 0, 1, -1, 40, 16, 4.0, 48.0, 0.01, 0.5, 1.0, 10.0, 50.0, 200.0, 0.0, -1.0, math.NaN(), 1000.0,
	}
	held.New(t).Drive([]any{
		structure.ApertureArea, structure.ApertureResponse, structure.Selwyn, structure.SelwynConstant,
		structure.TargetModulation, structure.ThreeBar, structure.JoinResolving, (*structure.Edge).Angle,
		(*structure.Edge).Sides, (*structure.Edge).Beyond, (*structure.Edge).String, structure.GrainLaw.SD,
		structure.Granularity.Against, structure.CanMeasure, structure.SDKnown, structure.ResolvingPower,
		(*structure.Response).Points, (*structure.Response).At, (*structure.Response).Frequency,
		(*structure.Spectrum).Density, (*structure.Spectrum).Frames, (*structure.Spectrum).Variance,
	}, pool...)
	held.New(t).Drive([]any{
		structure.ApertureSD, structure.BarContrast, structure.ResponseFromBars, structure.FindEdge,
		(*structure.Edge).Profile, (*structure.Edge).Response, (*structure.Edge).FilmResponse, structure.FitGrain,
		(*structure.Spectrum).Granularity, structure.Nutting, structure.Siedentopf, structure.Boolean,
		structure.BooleanSD, structure.Window.At, structure.Window.MeanSquare, structure.Window.Segments,
		structure.NoisePower, structure.NewPatch, (*structure.Patch).Tiles, (*structure.Patch).Add,
		(*structure.Patch).Spectrum, structure.NewResponse, (*structure.Response).Times, structure.Gaussian,
		structure.Box, (*structure.Spectrum).Tiles, (*structure.Spectrum).Without, (*structure.Spectrum).Bins,
	}, append(pool, held.Few{})...)
}
