package reciprocity_test

import (
	"encoding"
	"errors"
	"math"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	var readings, few []reciprocity.Reading
	for i, m := range []float64{0.5, 1, 2, 4, 8, 15, 30, 60, 120} {
		a := m + 0.12*math.Pow(m, 1.5)*(1+0.02*float64(i%3-1))
		readings = append(readings, reciprocity.Reading{Metered: time.Duration(m * 1e9), Adjusted: time.Duration(a * 1e9), SD: 0.05})
	}
	few = readings[2:5]
	curve, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: 0.6, Toe: -2.6, ToeWidth: 0.2, Shoulder: 2.4, Sharpness: 2, From: -3.6, To: 0})
	if err != nil {
		t.Fatal(err)
	}
	power, err := reciprocity.NewPower(1, 0.8)
	if err != nil {
		t.Fatal(err)
	}
	additive, err := reciprocity.NewAdditive(0.2, 1.4)
	if err != nil {
		t.Fatal(err)
	}
	catenary, err := reciprocity.NewCatenary(0.15, 0.1, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	two, err := reciprocity.NewTwoBranch(reciprocity.Branch{Onset: 0.001, P: 1.05}, reciprocity.Branch{Onset: 1, P: 0.85})
	if err != nil {
		t.Fatal(err)
	}
	table, err := reciprocity.NewTable(readings)
	if err != nil {
		t.Fatal(err)
	}
	within, err := reciprocity.Within(power, 100*time.Millisecond, time.Minute)
	if err != nil {
		t.Fatal(err)
	}
	smooth, err := reciprocity.NewSmooth(0.8)
	if err != nil {
		t.Fatal(err)
	}
	hyperbola, err := reciprocity.NewHyperbola(0.15, 0.1, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	form, err := reciprocity.FormOf(two)
	if err != nil {
		t.Fatal(err)
	}
	held.New(t).Drive([]any{
		reciprocity.NewAdditive, reciprocity.AdditiveFrom, reciprocity.Additive.A, reciprocity.Additive.B,
		reciprocity.Additive.Adjusted, reciprocity.Additive.Metered, reciprocity.Additive.Exponent,
		reciprocity.Additive.String, reciprocity.Additive.MarshalText, reciprocity.NewTwoBranch,
		reciprocity.TwoBranch.Short, reciprocity.TwoBranch.Long, reciprocity.TwoBranch.Adjusted,
		reciprocity.TwoBranch.Metered, reciprocity.TwoBranch.Exponent, reciprocity.TwoBranch.String,
		reciprocity.TwoBranch.MarshalText, reciprocity.NewCatenary, reciprocity.Catenary.A,
		reciprocity.Catenary.Optimum, reciprocity.Catenary.Adjusted, reciprocity.Catenary.Metered,
		reciprocity.Catenary.Exponent, reciprocity.Catenary.String, reciprocity.Catenary.MarshalText,
		reciprocity.Trial.MarshalJSON, reciprocity.Choose, reciprocity.Contrast,
		reciprocity.ContrastChange.Development, reciprocity.ContrastChange.DevelopmentRange,
		reciprocity.DevelopmentRange.String, reciprocity.FromDensity, reciprocity.Correct,
		reciprocity.Correction.Caution, reciprocity.Untested, reciprocity.FormatLong, reciprocity.Aperture,
		reciprocity.ByAperture, reciprocity.Kinds, reciprocity.Kind.String, reciprocity.Kind.MarshalText,
		reciprocity.Parameter.String, reciprocity.Parameter.MarshalJSON, reciprocity.Fit, (*reciprocity.Fitted).Kind,
		(*reciprocity.Fitted).Law, (*reciprocity.Fitted).Form, (*reciprocity.Fitted).Scatter,
		(*reciprocity.Fitted).Parameters, (*reciprocity.Fitted).Covariance, (*reciprocity.Fitted).MarshalJSON,
		reciprocity.Forms, reciprocity.Constants, reciprocity.FormOf, reciprocity.Form.Make,
		reciprocity.Form.MarshalText, reciprocity.Form.String, reciprocity.Form.MarshalJSON, reciprocity.ParseLaw,
		reciprocity.Handbook, reciprocity.HandbookDevelopment, reciprocity.NewHyperbola,
		reciprocity.Hyperbola.Adjusted, reciprocity.Hyperbola.Metered, reciprocity.Hyperbola.Exponent,
		reciprocity.Hyperbola.String, reciprocity.Hyperbola.MarshalText, reciprocity.Within, reciprocity.Unwrap,
		reciprocity.Effective, reciprocity.Repeats, reciprocity.NoFailure.Adjusted, reciprocity.NoFailure.Metered,
		reciprocity.NoFailure.Exponent, reciprocity.NoFailure.String, reciprocity.NoFailure.MarshalText,
		(*reciprocity.Fitted).Predict, (*reciprocity.Fitted).Exposed, (*reciprocity.Fitted).Weights,
		reciprocity.NewPower, reciprocity.Power.Onset, reciprocity.Power.P, reciprocity.Power.Adjusted,
		reciprocity.Power.Metered, reciprocity.Power.Exponent, reciprocity.Power.String,
		reciprocity.Power.MarshalText, reciprocity.PFromMagnitudes, reciprocity.NewSmooth, reciprocity.Smooth.P,
		reciprocity.Smooth.RelativeSpeed, reciprocity.Smooth.Adjusted, reciprocity.Smooth.Metered,
		reciprocity.Smooth.Exponent, reciprocity.Smooth.String, reciprocity.Smooth.MarshalText, reciprocity.NewTable,
		reciprocity.Table.Adjusted, reciprocity.Table.Metered, reciprocity.Table.Exponent, reciprocity.Table.Domain,
		reciprocity.Table.String, reciprocity.Table.MarshalText,
	}, power, additive, catenary, two, table, within, smooth, hyperbola, reciprocity.NoFailure{}, reciprocity.Untested(), form, reciprocity.Form{},
		curve, readings, few, readings[:1], []reciprocity.Reading(nil), reciprocity.Branch{Onset: 1, P: 0.85}, reciprocity.Branch{Onset: 0.001, P: 0.95}, reciprocity.Branch{},
		10*time.Second, time.Second, time.Second/100, time.Second/10000, time.Minute, time.Hour, 300*time.Hour, time.Duration(0), -time.Second, 7*time.Millisecond,
		sensito.Stops(0), sensito.Stops(-3), sensito.Stops(2), sensito.Stops(1.5), sensito.Stops(math.NaN()), sensito.LogH(-1.8), sensito.LogH(-2.5), sensito.LogH(-4), sensito.LogH(math.NaN()), sensito.Density(0.9), sensito.Density(0.3), sensito.Density(5), sensito.Density(-1),
		0.8, 1.0, 0.5, 2.0, 10.0, 100.0, 0.001, 1e5, 0.0, -1.0, math.NaN(), math.Inf(1), 1.4,
		func(f float64) (time.Duration, error) { return time.Duration(f * 8 * 60e9), nil },
		"power 1 s p 0.8", "additive a=0.2 b=1.4", "none", "", "power", "x 1", "power onset=1s p=0.8", reciprocity.Kind("power"), reciprocity.Kind("additive"), reciprocity.Kind("x"), reciprocity.Kind(""))
}

// What JSON reads back as, as it is written and with one thing in it changed.
func TestReadsJSON(t *testing.T) {
	laws := []reciprocity.Law{reciprocity.NoFailure{}}
	take := func(l reciprocity.Law, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		laws = append(laws, l)
	}
	power, err := reciprocity.NewPower(1, 0.8)
	take(power, err)
	take(reciprocity.NewAdditive(0.2, 1.4))
	take(reciprocity.NewCatenary(0.15, 0.1, 0.1))
	take(reciprocity.NewHyperbola(0.15, 0.1, 0.1))
	take(reciprocity.NewTwoBranch(reciprocity.Branch{Onset: 0.001, P: 1.05}, reciprocity.Branch{Onset: 1, P: 0.85}))
	take(reciprocity.NewSmooth(0.8))
	take(reciprocity.NewTable([]reciprocity.Reading{{Metered: time.Second, Adjusted: time.Second, SD: 0.05}, {Metered: 10 * time.Second, Adjusted: 20 * time.Second}}))
	take(reciprocity.Within(power, 100*time.Millisecond, time.Minute))
	said := held.New(t)
	for _, l := range laws {
		form, err := reciprocity.FormOf(l)
		if err != nil {
			t.Fatal(err)
		}
		said.Reads(form)
		if _, ok := l.(encoding.TextMarshaler); ok {
			said.Reads(l)
		}
	}
	said.Reads(reciprocity.Kind("power"), reciprocity.Trial{Kind: "power", Score: 12.5, Weight: 0.4}, reciprocity.Trial{Kind: "additive", Score: math.Inf(1), Err: errors.New("no fit")},
		reciprocity.Parameter{Name: "p", Estimate: sensito.Estimate{Value: 0.8, Low: 0.7, High: 0.9}})
}
