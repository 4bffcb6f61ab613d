package devtime_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	var points, flat []devtime.Point
	for i, v := range []float64{0.33, 0.45, 0.56, 0.61, 0.69, 0.74, 0.77} {
		m := []time.Duration{3, 4, 6, 7, 9, 12, 14}[i]
		points = append(points, devtime.Point{Time: m * time.Minute, Value: v, SD: 0.01})
		flat = append(flat, devtime.Point{Time: m * time.Minute, Value: 0.5 + 0.02*float64(i%2)})
	}
	curve := func(gamma float64) sensito.Curve {
		c, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: gamma, Toe: -2.6, ToeWidth: 0.2, Shoulder: 2.4, Sharpness: 2, From: -3.6, To: 0})
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	strips := []devtime.Strip{{Time: 5 * time.Minute, Curve: curve(0.45)}, {Time: 8 * time.Minute, Curve: curve(0.6)}, {Time: 12 * time.Minute, Curve: curve(0.75)}}
	law, err := devtime.NewContrastTime(0.9, 0.16, 30*time.Second)
	if err != nil {
		t.Fatal(err)
	}
	q10, err := devtime.NewQ10(2.4)
	if err != nil {
		t.Fatal(err)
	}
	within, err := q10.Within(18, 24)
	if err != nil {
		t.Fatal(err)
	}
	dilute, err := devtime.NewDilution(1, 9)
	if err != nil {
		t.Fatal(err)
	}
	strong, err := devtime.NewDilution(1, 3)
	if err != nil {
		t.Fatal(err)
	}
	m := time.Minute
	pool := []any{
		points, flat, points[:2], points[:3], []devtime.Point(nil), curve(0.6), strips, strips[:1], law, q10, within, dilute, strong, devtime.Undiluted(),
		[]devtime.TemperatureRow{{At: 18, Time: 10 * m}, {At: 20, Time: 8 * m}, {At: 22, Time: 6*m + 45*time.Second}, {At: 24, Time: 5*m + 45*time.Second}}, []devtime.TemperatureRow{{At: 18, Time: 10 * m}, {At: 20, Time: 8 * m}}, []devtime.TemperatureRow{{At: 20, Time: 8 * m}},
		[]devtime.DilutionRow{{Dilution: strong, Time: 5 * m}, {Dilution: dilute, Time: 9 * m}, {Dilution: devtime.Undiluted(), Time: 3 * m}}, []devtime.DilutionRow{{Dilution: strong, Time: 5 * m}},
		devtime.Bath{Tank: 300, Dilution: dilute, Films: 1}, devtime.Bath{Tank: 600, Dilution: dilute, Films: 2, MinStock: 50}, devtime.Bath{Tank: 1000, Dilution: devtime.Undiluted(), Films: 4}, devtime.Bath{},
		devtime.Exhaustion{PerFilm: 0.1, Capacity: 10}, devtime.Exhaustion{PerFilm: 0.08, Compound: true, Capacity: 5}, devtime.Exhaustion{},
		devtime.Celsius(20), devtime.Celsius(24), devtime.Celsius(18), devtime.Celsius(16), devtime.Celsius(30), devtime.Celsius(-5), devtime.Celsius(math.NaN()), devtime.Celsius(68),
		8 * m, 5 * m, 30 * time.Second, 12*m + 20*time.Second, 20 * m, time.Second, time.Duration(0), -m, 3 * time.Hour, time.Duration(1),
		devtime.Beyond(0), devtime.Beyond(1), devtime.Beyond(2), devtime.Beyond(3), devtime.Colon(0), devtime.Colon(1), devtime.Colon(2), sensito.Measure(sensito.AverageGradient), sensito.Measure(sensito.Gamma), sensito.Criterion(1), sensito.Criterion(0), sensito.Criterion(2),
		sensito.Stops(1), sensito.Stops(0), sensito.Stops(-2), sensito.Stops(3), sensito.Stops(7), sensito.Stops(math.NaN()), sensito.Density(1.05), sensito.Density(0.8), sensito.Density(0), sensito.Speed{Value: 400}, sensito.Speed{Value: 800}, sensito.Speed{},
		"7:30", "7m30s", "7.5", "1+9", "1:9", "stock", "10%", "20 °C", "68F", "", "x", "1+", "20", "-3", "1e9", "90s", "1h",
		0.62, 0.5, 0.4, 0.85, 1.5, 0.0, -1.0, 10.0, 100.0, 400.0, 1e5, math.NaN(), math.Inf(1), 35.0, 1000.0, 2, 0, 5, 6, -1, 3,
		time.Duration(15 * time.Second),
	}
	held.New(t).Drive([]any{
		devtime.Cautions, devtime.NewContrastTime, devtime.ContrastTime.Limit, devtime.ContrastTime.RatePerMinute,
		devtime.ContrastTime.InductionMinutes, devtime.ContrastTime.Covariance, devtime.ContrastTime.Scatter,
		devtime.ContrastTime.Range, devtime.ContrastTime.Reach, devtime.ContrastTime.Warnings,
		devtime.ContrastTime.At, devtime.ContrastTime.Inside, devtime.ContrastTime.MarshalJSON, devtime.Undiluted,
		devtime.NewDilution, devtime.ParseDilution, devtime.Dilution.Parts, devtime.Dilution.Factor,
		devtime.Dilution.Percent, devtime.Dilution.String, devtime.Dilution.MarshalText, devtime.Dilution.Volumes,
		devtime.PercentSolution, devtime.DilutionLaw.MarshalJSON, devtime.FitDilution, devtime.DilutionLaw.Exponent,
		devtime.DilutionLaw.Time, devtime.Family.MarshalJSON, devtime.NewFamily, devtime.Family.Range,
		devtime.Family.Curve, devtime.ToneGains, devtime.PushRuleOfThumb, devtime.GrowthFit.Law,
		devtime.GrowthFit.Limit, devtime.GrowthFit.RatePerMinute, devtime.GrowthFit.InductionMinutes,
		devtime.GrowthFit.NoInduction, devtime.GrowthFit.Range, devtime.GrowthFit.Inside, devtime.GrowthFit.Warnings,
		devtime.GrowthFit.Constants, devtime.GrowthFit.String, devtime.GrowthFit.MarshalJSON, devtime.FilmsOf,
		devtime.Mixture.Total, devtime.Mixture.String, devtime.Mixture.MarshalJSON, (*devtime.StockError).Error,
		(*devtime.StockError).Unwrap, devtime.Mix, devtime.RoundedMixture.MarshalJSON, devtime.Mixture.ToGraduations,
		devtime.Exhaustion.Factor, devtime.Time.Scale, devtime.ContrastTime.Round,
		devtime.ZoneDevelopment.MarshalJSON, devtime.PaperRange, devtime.SpeedTime.MarshalJSON,
		devtime.SpeedTime.Range, devtime.SpeedTime.At, devtime.SpeedTime.Speed, devtime.FromFahrenheit,
		devtime.Celsius.Fahrenheit, devtime.Celsius.String, devtime.ParseCelsius, devtime.Celsius.MarshalText,
		devtime.Celsius.MarshalJSON, devtime.NewQ10, devtime.NewArrhenius, devtime.TemperatureLaw.Within,
		devtime.TemperatureLaw.Range, devtime.TemperatureLaw.Q10, devtime.TemperatureLaw.ActivationEnergy,
		devtime.TemperatureLaw.MarshalJSON, devtime.TemperatureLaw.Factor, devtime.TemperatureLaw.Convert,
		devtime.Q10From, devtime.TemperatureFit.Data, devtime.FitQ10, devtime.FitArrhenius, devtime.Watkins,
		devtime.WatkinsMixture, devtime.ParseTime, devtime.FormatTime, devtime.Clock.String,
		devtime.Clock.MarshalText, devtime.Time.MarshalJSON, devtime.Time.Seconds, devtime.Time.String,
		devtime.Warning.String, devtime.Time.Warnings,
	}, pool...)
	held.New(t).Drive([]any{
		devtime.ContrastTime.TimeFor, devtime.Family.TimeFor, devtime.Family.At, devtime.Family.Push,
		devtime.FitContrast, devtime.FitContrastInduction, devtime.ProcessFactor, devtime.ZoneDevelopments, devtime.NewSpeedTime,
	}, append(pool, held.Few{})...)
	t.Run("growth", func(t *testing.T) {
		if !held.Here() {
			t.Skip("without vectors a grid of laws ends elsewhere, and the seventh digit is another")
		}
		held.New(t).Drive([]any{devtime.FitGrowth, devtime.GrowthFit.At, devtime.GrowthFit.TimeFor}, append(pool, held.Few{})...)
	})
}

// What JSON reads back as, as it is written and with one thing in it changed.
func TestReadsJSON(t *testing.T) {
	made := func(v any, err error) any {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	law, _ := devtime.NewContrastTime(0.9, 0.16, 30*time.Second)
	q10, _ := devtime.NewQ10(2.4)
	dilute, _ := devtime.NewDilution(1, 9)
	mixed, _ := devtime.Mix(devtime.Bath{Tank: 600, Dilution: dilute, Films: 2, MinStock: 5})
	var points []devtime.Point
	for i, v := range []float64{0.33, 0.45, 0.56, 0.61, 0.69, 0.74, 0.77} {
		points = append(points, devtime.Point{Time: time.Duration(3+2*i) * time.Minute, Value: v, SD: 0.01})
	}
	interval := devtime.Time{Value: 8 * time.Minute, Low: 7 * time.Minute, High: devtime.Unbounded, Extrapolated: true}
	held.New(t).Reads(law, made(devtime.FitContrast(points)), q10, made(q10.Within(18, 24)), made(devtime.NewArrhenius(60)),
		devtime.Celsius(20), devtime.Clock(450*time.Second), dilute, mixed, made(mixed.ToGraduations(5, 50)), interval, devtime.Time{Value: time.Minute, Low: -1, High: -1},
		devtime.ZoneDevelopment{N: 1, Subject: 6, Gradient: 0.7, Time: interval}, devtime.ZoneDevelopment{N: -2, Subject: 9, Err: errors.New("not reached")})
}
