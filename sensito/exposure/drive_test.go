package exposure_test

import (
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/exposure"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		exposure.ParseFNumber, exposure.FNumber.String, exposure.FNumber.MarshalText, exposure.FNumber.Av,
		exposure.Av.FNumber, exposure.Av.Ev, exposure.TvOf, exposure.Tv.Time, exposure.Ev.Tv, exposure.Ev.Av,
		exposure.Ev.String, exposure.Ev.EV100, exposure.EV100.Ev, exposure.EV100.Time, exposure.EV100.FNumber,
		exposure.EV100.String, exposure.APEX.Sv, exposure.APEX.Index, exposure.APEX.Bv, exposure.APEX.Luminance,
		exposure.APEX.Iv, exposure.APEX.Illuminance, exposure.Bv.Ev, exposure.Iv.Ev, exposure.Luminance.String,
		exposure.Illuminance.String, exposure.ReflectedMeter.EV100, exposure.ReflectedMeter.Luminance,
		exposure.ReflectedMeter.ImpliedReflectance, exposure.Receptor.String, exposure.ParseReceptor,
		exposure.Receptor.MarshalText, exposure.IncidentMeter.EV100, exposure.IncidentMeter.Illuminance,
		exposure.Shutter.Duration, exposure.Shutter.String, exposure.Shutter.MarshalText, exposure.ParseShutter,
		exposure.FormatShutter,
	})
}

// What JSON reads back as, as it is written and with one thing in it changed.
func TestReadsJSON(t *testing.T) {
	held.New(t).Reads(exposure.FNumber(5.6), exposure.Flat, exposure.Hemispherical, exposure.Shutter(8*time.Millisecond))
}
