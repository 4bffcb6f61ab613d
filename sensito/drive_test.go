package sensito_test

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	var readings []sensito.Reading
	for i := range 14 {
		x := -3.4 + 0.2*float64(i)
		readings = append(readings, sensito.Reading{LogH: sensito.LogH(x), Density: sensito.Density(0.2 + 0.12*math.Log1p(math.Exp((x+2.6)/0.2)) + 0.003*float64(i%3-1)), SD: 0.01})
	}
	curve, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: 0.6, Toe: -2.6, ToeWidth: 0.2, Shoulder: 2.4, Sharpness: 2, From: -3.6, To: 0})
	if err != nil {
		t.Fatal(err)
	}
	inter, err := sensito.Interpolate(readings, sensito.StatedBase(0.2), 0)
	if err != nil {
		t.Fatal(err)
	}
	fitted, err := sensito.Fit(readings, sensito.StatedBase(0.2))
	if err != nil {
		t.Fatal(err)
	}
	tablet, err := sensito.UniformTablet(21, 0.05, 0.15)
	if err != nil {
		t.Fatal(err)
	}
	pool := []any{
		fitted, readings, readings[:3], readings[:1], []sensito.Reading(nil), curve, inter, curve.Constants(), sensito.Constants{BaseFog: 0.2, Gamma: 0.6, Toe: -2.6, ToeWidth: 0.2}, sensito.Constants{}, tablet, sensito.Tablet{},
		sensito.StatedBase(0.2), sensito.UnexposedBase(0.19, 0.21), sensito.Base{}, sensito.Falling(0), sensito.Falling(1), sensito.Falling(2),
		sensito.BracketReading{Index: 100, Density: 0.52, SD: 0.02}, sensito.BracketReading{Index: 200, Density: 0.4, SD: 0.02}, sensito.BracketReading{Index: 400, Density: 0.27, SD: 0.02}, sensito.BracketReading{Index: 800, Density: 0.2, SD: 0.02},
		sensito.Sampling{Draws: 20, Seed: 1}, sensito.Sampling{Draws: 3}, sensito.Measure(sensito.AverageGradient), sensito.Measure(sensito.Gamma), sensito.Scan{Light: 50000, Dark: 200}, sensito.Scan{Light: 60000, Dark: 100, Flare: 0.01}, sensito.Scan{},
		sensito.Criterion(1), sensito.Criterion(0), sensito.Criterion(2), sensito.Criterion(3), sensito.Criterion(9), sensito.Kind(0), sensito.Kind(1), sensito.Kind(2), sensito.Kind(5), sensito.ScaleSource(0), sensito.ScaleSource(1), sensito.ScaleSource(7),
		sensito.LogH(-2), sensito.LogH(-2.8), sensito.LogH(-1.2), sensito.LogH(-3.5), sensito.LogH(-5), sensito.LogH(1), sensito.LogH(math.NaN()), sensito.LogH(-0.9),
		sensito.Density(0.5), sensito.Density(0.3), sensito.Density(1.1), sensito.Density(0.1), sensito.Density(0), sensito.Density(-1), sensito.Density(3), sensito.Density(math.NaN()), []sensito.Density{0.05, 0.2, 0.36, 0.5, 0.66}, []sensito.Density(nil), make([]sensito.Density, 3), []sensito.LogH{-2.5, -2, -1}, make([]sensito.LogH, 5),
		sensito.Speed{Value: 125}, sensito.Speed{Value: 400}, sensito.Speed{Value: 37}, sensito.Speed{}, sensito.Speed{Value: math.NaN()}, sensito.Speed{Value: 1e6}, sensito.Exact(2), sensito.Estimate{Value: 0.8, Low: 0.7, High: 0.9}, sensito.Estimate{Value: -120.4, Low: -130, High: -100.3}, sensito.Estimate{},
		func(x float64) float64 { return 10 * x }, "ISO 125/22°", "125", "EI 400", "400/27°", "21°", "", "x", "-3", "0", "1e9", "100/20°", 27, 21, 0, 100, -20, 1, 45,
		0.7, 2.1, 0.3, 1.5, 0.0, -1.0, 1e-4, 40000.0, 300.0, math.NaN(), 0.02,
	}
	held.New(t).Drive([]any{
		(*sensito.Fitted).Account, (*sensito.Fitted).Scatter, sensito.StatedBase, sensito.UnexposedBase,
		sensito.Base.MarshalJSON, sensito.DensityOf, sensito.DensityOfOpacity, sensito.Scan.Density, sensito.Exact,
		sensito.Estimate.String, sensito.Estimate.Map, sensito.Estimate.MarshalJSON, sensito.FieldIndexAt,
		sensito.Finding.String, (*sensito.Fitted).Findings, (*sensito.Fitted).Density, (*sensito.Fitted).Slope,
		(*sensito.Fitted).LogH, (*sensito.Fitted).Densities, (*sensito.Fitted).LogHs, (*sensito.Fitted).Domain,
		(*sensito.Fitted).BaseFog, (*sensito.Fitted).MarshalJSON, sensito.NewClosedForm,
		(*sensito.ClosedForm).Constants, (*sensito.ClosedForm).MarshalJSON, (*sensito.ClosedForm).BaseFog,
		(*sensito.ClosedForm).Domain, (*sensito.ClosedForm).Density, (*sensito.ClosedForm).Slope,
		(*sensito.ClosedForm).LogH, (*sensito.ClosedForm).String, sensito.SpeedPoint, sensito.ISOContrast,
		sensito.AverageGradient, sensito.ChordGradient, sensito.Gamma, sensito.Interpolate,
		(*sensito.Interpolated).MarshalJSON, (*sensito.Interpolated).BaseFog, (*sensito.Interpolated).Domain,
		(*sensito.Interpolated).Density, (*sensito.Interpolated).Densities, (*sensito.Interpolated).LogHs,
		(*sensito.Interpolated).Slope, (*sensito.Interpolated).LogH, sensito.MeetsISO, sensito.SpeedAt,
		sensito.Index, sensito.LogIndex, sensito.FractionalGradientPoint, sensito.DeltaXOf,
		sensito.Rating.MarshalJSON, sensito.Rating.String, sensito.FlareRange, sensito.DensityRange,
		sensito.RequiredGradient, (*sensito.Fitted).ClosedForm, (*sensito.Fitted).Points, sensito.LogHOf,
		sensito.LogH.LuxSeconds, sensito.LogH.Add, sensito.LogH.Sub, sensito.LogH.String, sensito.StopsOf,
		sensito.Stops.Factor, sensito.Stops.Log10, sensito.Stops.String, sensito.Density.Transmittance,
		sensito.Density.Opacity, sensito.Density.String, sensito.ScaleSource.String, sensito.ScaleRow.LogHm,
		sensito.ScaleRow.Arithmetic, sensito.ScaleRow.Both, sensito.Scale, sensito.ScaleAt, sensito.Kind.String,
		sensito.Kind.MarshalText, sensito.Criterion.String, sensito.Criterion.MarshalText, sensito.Speed.Degrees,
		sensito.Speed.Valid, sensito.Speed.String, sensito.Speed.Arithmetic, sensito.Speed.Logarithmic,
		sensito.Speed.MarshalText, sensito.Speed.MarshalJSON, sensito.ParseSpeed, sensito.UniformTablet,
		sensito.CalibratedTablet, sensito.Tablet.Densities, sensito.Tablet.SD, sensito.Tablet.Exposures,
		sensito.Tablet.Readings,
	}, pool...)
	held.New(t).Drive([]any{
		sensito.ContrastIndex, sensito.ContrastIndexFoot, sensito.FieldIndex, sensito.Fit, sensito.StraightPart,
		sensito.Rate, sensito.UsefulRange, (*sensito.Fitted).Resample, (*sensito.Fitted).Estimate,
		(*sensito.Interpolated).Estimate,
	}, append(pool, held.Few{})...)
}

// From one draw no interval is told; it panicked.
func TestFieldIndexOfOneDraw(t *testing.T) {
	frames := []sensito.BracketReading{{Index: 100, Density: 0.52, SD: 0.02}, {Index: 400, Density: 0.27, SD: 0.02}}
	e, err := sensito.FieldIndex(frames, 0.4, 0.01, sensito.Sampling{Draws: 1})
	if err != nil || !(e.Value > 100 && e.Value < 400) || !math.IsNaN(e.Low) || !math.IsNaN(e.High) {
		t.Errorf("%v, %v", e, err)
	}
}

// What JSON reads back as, as it is written and with one thing in it changed.
func TestReadsJSON(t *testing.T) {
	curve, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: 0.6, Toe: -2.6, ToeWidth: 0.2, Shoulder: 2.4, Sharpness: 2, From: -3.6, To: 0})
	if err != nil {
		t.Fatal(err)
	}
	rating, err := sensito.Rate(curve, sensito.FixedDensity)
	if err != nil {
		t.Fatal(err)
	}
	held.New(t).Reads(sensito.Exact(2), sensito.Estimate{Value: 0.8, Low: 0.7, High: math.Inf(1)}, sensito.Estimate{Value: 0.8, Low: math.Inf(-1), High: math.NaN()},
		sensito.EI, sensito.Criterion(1), sensito.Speed{Value: 125}, sensito.Speed{Value: 400, Kind: sensito.EI, Criterion: sensito.Criterion(2)},
		rating, sensito.StatedBase(0.2), sensito.UnexposedBase(0.19, 0.21), curve)
}
