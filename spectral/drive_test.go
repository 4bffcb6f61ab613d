package spectral_test

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/spectral"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	nm := []float64{380, 420, 450, 500, 550, 600, 650, 700, 720}
	values := []float64{0.1, 0.3, 0.8, 1, 0.7, 0.9, 0.6, 0.05, 0.01}
	pan, _ := spectral.New(nm, values, spectral.Zero)
	part, _ := spectral.New(nm[2:6], values[1:5], spectral.Refuse)
	hold, _ := spectral.New(nm[1:7], values[:6], spectral.Hold)
	held.New(t).Drive([]any{
		spectral.ScaleOf, spectral.Named.Scale, spectral.Named.Fraction, spectral.Named.Light,
		spectral.Named.Sensitivity, spectral.ReadCSV, spectral.WriteCSV, spectral.Nominal, spectral.DaylightLocus,
		spectral.Daylight, spectral.Eye, spectral.Efficacy, spectral.ColourTemperature, spectral.Spectrum.Follow,
		spectral.Generic, spectral.Integral, spectral.Mean, spectral.Centroid, spectral.PhotonCentroid,
		spectral.Pivot, spectral.LogCentroid, spectral.RMSWidth, spectral.EquivalentWidth,
		spectral.Spectrum.MarshalJSON, spectral.Light.MarshalJSON, spectral.Sensitivity.MarshalJSON,
		spectral.Quadrature.MarshalJSON, spectral.NewLight, spectral.Light.At, spectral.Light.IsZero,
		spectral.Light.Same, spectral.Light.Spectra, spectral.Light.AppendSpectra, spectral.Light.Through,
		spectral.Light.WithOutside, spectral.Illuminants, spectral.Illuminant.String, spectral.ParseIlluminant,
		spectral.Illuminant.Light, spectral.Lens, spectral.PlanckRadiance, spectral.Planck, spectral.LightAt,
		spectral.AtEqualReading, spectral.Observer.String, spectral.ParseObserver, spectral.Observer.MarshalText,
		spectral.Observer.XYZ, spectral.XYZ.Chromaticity, spectral.XYZ.Lab, spectral.Chromaticity,
		spectral.Illuminant.ColourTemperature, spectral.NewQuadrature, spectral.Quadrature.Integrate,
		spectral.Quadrature.Mean, spectral.Quadrature.Total, spectral.Quadrature.Len,
		spectral.Quadrature.Wavelengths, spectral.Quadrature.Weights, spectral.SensitivityFromLinear,
		spectral.SensitivityFromLog, spectral.SensitivityFromExposures, spectral.SensitivityFromPhotons,
		spectral.SensitivityFromLogPhotons, spectral.SensitivityFromSpectrogram, spectral.Sensitivity.At,
		spectral.Sensitivity.Spectra, spectral.Sensitivity.AppendSpectra, spectral.Sensitivity.IsZero,
		spectral.Sensitivity.Through, spectral.Class.String, spectral.Sensitivity.CutOff, spectral.Sensitivity.Class,
		spectral.Sensitivity.Flatness, spectral.Sensitivity.Mismatch, spectral.RayleighDepth, spectral.ClearSky,
		spectral.Outside.String, spectral.New, spectral.Flat, spectral.Grid, spectral.FromMicrometres,
		spectral.FromPercent, spectral.FromDensity, spectral.Spectrum.At, spectral.Spectrum.Range,
		spectral.Spectrum.Len, spectral.Spectrum.Same, spectral.Spectrum.Wavelengths, spectral.Spectrum.Values,
		spectral.Spectrum.Outside, spectral.Spectrum.WithOutside, spectral.Spectrum.Extremes, spectral.Spectrum.Map,
		spectral.Spectrum.Scale, spectral.Spectrum.Clamp, spectral.Spectrum.Cut, spectral.Spectrum.Resample,
		spectral.Spectrum.PhotonToEnergy, spectral.Spectrum.EnergyToPhoton, spectral.PhotonEnergy,
		spectral.Kelvin.Mired, spectral.Mired.Kelvin, spectral.MiredShift, spectral.Kelvin.String,
		spectral.Mired.String, spectral.ParseKelvin, spectral.Illuminant.MarshalText, spectral.Kelvin.MarshalText,
		spectral.ParseClass, spectral.Class.MarshalText, spectral.ParseOutside, spectral.Outside.MarshalText,
		spectral.Between.String, spectral.Between.MarshalText,
	}, nm, values, nm[2:6], nm[:1], []float64(nil), []float64{500, 400}, []float64{400, 401, 402, 500, 650},
		spectral.Kelvin(5500), spectral.Kelvin(2856), spectral.Kelvin(3200), spectral.Kelvin(4000), spectral.Kelvin(25000), spectral.Kelvin(0),
		550.0, 400.0, 700.0, 0.5, 0.1, 2.0, -1.0, 0.0, 1200.0, 720.0, 380.0, math.NaN(),
		pan, part, hold, spectral.Spectrum{}, spectral.A.Light(), spectral.D55.Light(), spectral.Light{},
		spectral.Generic(spectral.Panchromatic), spectral.Generic(spectral.Orthochromatic), spectral.Sensitivity{}, spectral.Eye(),
		func(nm, value float64) float64 { return value * nm / 500 }, func(nm, value float64) float64 { return -value },
		spectral.XYZ{X: 41, Y: 35, Z: 20}, spectral.XYZ{X: 0.1, Y: 0.05, Z: 0.01}, spectral.XYZ{},
		"panchromatic", "D55", "5500 K", "zero", "A", "nm", "density", "log10", "percent", "", "CIE 1931", "x")
}
