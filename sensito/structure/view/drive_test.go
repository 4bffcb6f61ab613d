package view_test

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/structure/view"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	readings := []sensito.Reading{{LogH: -3, Density: 0.12}, {LogH: -2.4, Density: 0.3}, {LogH: -1.8, Density: 0.75}, {LogH: -1.2, Density: 1.2}, {LogH: -0.6, Density: 1.6}}
	curve, err := sensito.Interpolate(readings, sensito.StatedBase(0.1), 0)
	if err != nil {
		t.Fatal(err)
	}
	sd := func(d sensito.Density) (float64, error) { return 0.01 * math.Sqrt(0.2+float64(d)), nil }
	response := func(v float64) float64 { return math.Exp(-v / 40) }
	power := func(v float64) float64 { return 0.5 * math.Exp(-v*v/2e4) }
	format := view.Formats()[0]
	full := view.Negative{Format: format, Power: power, UpTo: 150, Film: response, Lens: response, Enlarger: response}
	grain := view.Negative{Format: format, SD48: 0.009, Film: response, Lens: response, Enlarger: response}
	pool := []any{
		curve, view.Film{Curve: curve, SD: sd}, view.Film{}, response, format, view.Format{}, full, grain, view.Negative{},
		view.Print{Width: 240, Height: 300, Distance: 300, Gradient: 1.6}, view.Print{Width: 240, Height: 300, Distance: 300, Gradient: 1, Eye: 400, Threshold: 0.2}, view.Print{},
		view.Tone{Name: "sky", Light: 3, Filter: -1}, view.Tone{Name: "mill", Light: -4, Filter: -0.5}, view.Tone{Name: "slate", Light: 0}, view.Tone{Name: "x", Light: sensito.Stops(math.NaN())},
		sensito.LogH(-1.8), sensito.LogH(-2.9), sensito.LogH(-0.5), sensito.LogH(math.NaN()), sensito.LogH(-0.6),
		view.Signal{LogH: -1.8, Density: 0.75, Gradient: 0.7, SD: 0.01, ToNoise: 30, NoiseEquivalent: 0.014},
		0.5, 10.0, 1.0, 300.0, 0.05, 0.0, -1.0, 1e5, math.NaN(), 4, 1, 0, 2, -1, 20, 1000,
		[]float64{0, 1, 2, 3, 4, 5}, []float64{0.1, 0.12, 0.5, 0.9, 1.1, 1.12}, []float64(nil), []float64{1, 1},
	}
	held.New(t).Drive([]any{
		view.EdgeAcutance, view.JohnsonFairchild, view.MannosSakrison, view.SubjectiveQuality, view.Barten,
		view.Eye.Name, view.Eye.Weight, view.CyclesPerMM, view.Formats, view.Format.Enlargement, view.Film.At,
		view.Signal.Contrast, view.NoiseEquivalentQuanta,
	}, pool...)
	held.New(t).Drive([]any{
		view.Eye.Acutance, view.Print.Of, view.Film.Range, view.Film.Index, view.CountedQuanta, view.BestQuanta,
		view.Film.Tones,
	}, append(pool, held.Few{})...)
}
