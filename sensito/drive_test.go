package sensito_test

import (
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		(*sensito.Fitted).Account, (*sensito.Fitted).Scatter, sensito.StatedBase, sensito.UnexposedBase,
		sensito.Base.MarshalJSON, sensito.ContrastIndex, sensito.ContrastIndexFoot, sensito.DensityOf,
		sensito.DensityOfOpacity, sensito.Scan.Density, sensito.Exact, sensito.Estimate.String, sensito.Estimate.Map,
		sensito.Estimate.MarshalJSON, sensito.FieldIndexAt, sensito.FieldIndex, sensito.Finding.String,
		(*sensito.Fitted).Findings, sensito.Fit, (*sensito.Fitted).Density, (*sensito.Fitted).Slope,
		(*sensito.Fitted).LogH, (*sensito.Fitted).Densities, (*sensito.Fitted).LogHs, (*sensito.Fitted).Domain,
		(*sensito.Fitted).BaseFog, (*sensito.Fitted).MarshalJSON, sensito.NewClosedForm,
		(*sensito.ClosedForm).Constants, (*sensito.ClosedForm).MarshalJSON, (*sensito.ClosedForm).BaseFog,
		(*sensito.ClosedForm).Domain, (*sensito.ClosedForm).Density, (*sensito.ClosedForm).Slope,
		(*sensito.ClosedForm).LogH, (*sensito.ClosedForm).String, sensito.SpeedPoint, sensito.ISOContrast,
		sensito.AverageGradient, sensito.ChordGradient, sensito.Gamma, sensito.StraightPart, sensito.Interpolate,
		(*sensito.Interpolated).MarshalJSON, (*sensito.Interpolated).BaseFog, (*sensito.Interpolated).Domain,
		(*sensito.Interpolated).Density, (*sensito.Interpolated).Densities, (*sensito.Interpolated).LogHs,
		(*sensito.Interpolated).Slope, (*sensito.Interpolated).LogH, sensito.Rate, sensito.MeetsISO, sensito.SpeedAt,
		sensito.Index, sensito.LogIndex, sensito.FractionalGradientPoint, sensito.DeltaXOf,
		sensito.Rating.MarshalJSON, sensito.Rating.String, sensito.UsefulRange, sensito.FlareRange,
		sensito.DensityRange, sensito.RequiredGradient, (*sensito.Fitted).ClosedForm, (*sensito.Fitted).Points,
		sensito.LogHOf, sensito.LogH.LuxSeconds, sensito.LogH.Add, sensito.LogH.Sub, sensito.LogH.String,
		sensito.StopsOf, sensito.Stops.Factor, sensito.Stops.Log10, sensito.Stops.String,
		sensito.Density.Transmittance, sensito.Density.Opacity, sensito.Density.String, (*sensito.Fitted).Resample,
		sensito.ScaleSource.String, sensito.ScaleRow.LogHm, sensito.ScaleRow.Arithmetic, sensito.ScaleRow.Both,
		sensito.Scale, sensito.ScaleAt, sensito.Kind.String, sensito.Kind.MarshalText, sensito.Criterion.String,
		sensito.Criterion.MarshalText, sensito.Speed.Degrees, sensito.Speed.Valid, sensito.Speed.String,
		sensito.Speed.Arithmetic, sensito.Speed.Logarithmic, sensito.Speed.MarshalText, sensito.Speed.MarshalJSON,
		sensito.ParseSpeed, sensito.UniformTablet, sensito.CalibratedTablet, sensito.Tablet.Densities,
		sensito.Tablet.SD, sensito.Tablet.Exposures, sensito.Tablet.Readings, (*sensito.Fitted).Estimate,
		(*sensito.Interpolated).Estimate,
	})
}
