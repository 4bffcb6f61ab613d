package exposure_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/printed"
	"example.org/actinic/sensito"
	. "example.org/actinic/sensito/exposure"
)

// Encyclopaedia article "Exposure value", table 3 (K = 12.5, C = 250): exposure
// value at ISO 100 and, as printed, cd/m², foot-lamberts, lux, footcandles.
var ev100Table = []struct {
	ev                 EV100
	cdm2, fl, lux, fcd string
}{
	{-4, "0.008", "0.0023", "0.156", "0.015"},
	{-3, "0.016", "0.0046", "0.313", "0.029"},
	{-2, "0.031", "0.0091", "0.625", "0.058"},
	{-1, "0.063", "0.018", "1.25", "0.116"},
	{0, "0.125", "0.036", "2.5", "0.232"},
	{1, "0.25", "0.073", "5", "0.465"},
	{2, "0.5", "0.146", "10", "0.929"},
	{3, "1", "0.292", "20", "1.86"},
	{4, "2", "0.584", "40", "3.72"},
	{5, "4", "1.17", "80", "7.43"},
	{6, "8", "2.33", "160", "14.9"},
	{7, "16", "4.67", "320", "29.7"},
	{8, "32", "9.34", "640", "59.5"},
	{9, "64", "18.7", "1280", "119"},
	{10, "128", "37.4", "2560", "238"},
	{11, "256", "74.7", "5120", "476"},
	{12, "512", "149", "10240", "951"},
	{13, "1024", "299", "20480", "1903"},
	{14, "2048", "598", "40960", "3805"},
	{15, "4096", "1195", "81920", ""}, // the last cell is empty in print
}

const footcandle = 10.7639104 // lx, 1/0.3048²

func TestEV100Table(t *testing.T) {
	for _, r := range ev100Table {
		l, err := ReflectedMeter{}.Luminance(r.ev)
		if err != nil {
			t.Fatal(err)
		}
		e, err := IncidentMeter{}.Illuminance(r.ev)
		if err != nil {
			t.Fatal(err)
		}
		at := fmt.Sprintf("EV %g", float64(r.ev))
		printed.Check(t, at+", cd/m²", float64(l), r.cdm2)
		printed.Check(t, at+", fL", float64(l)/footLambert, r.fl)
		printed.Check(t, at+", lx", float64(e), r.lux)
		if r.fcd != "" {
			printed.Check(t, at+", fc", float64(e)/footcandle, r.fcd)
		}
		if back, err := (ReflectedMeter{}).EV100(l); err != nil || math.Abs(float64(back-r.ev)) > 1e-12 {
			t.Errorf("%v came back as %v, %v", r.ev, back, err)
		}
		if back, err := (IncidentMeter{}).EV100(e); err != nil || math.Abs(float64(back-r.ev)) > 1e-12 {
			t.Errorf("%v came back as %v, %v", r.ev, back, err)
		}
	}
}

func TestMeterFigures(t *testing.T) {
	ok := func(v float64, err error) float64 {
		t.Helper()
		if err != nil {
			t.Error(err)
		}
		return v
	}
	lum := func(m ReflectedMeter, e EV100) float64 { l, err := m.Luminance(e); return ok(float64(l), err) }
	lux := func(m IncidentMeter, e EV100) float64 { l, err := m.Illuminance(e); return ok(float64(l), err) }
	evL := func(m ReflectedMeter, l Luminance) float64 { e, err := m.EV100(l); return ok(float64(e), err) }
	evE := func(m IncidentMeter, l Illuminance) float64 { e, err := m.EV100(l); return ok(float64(e), err) }

	f8 := FNumber(8).Av().Ev(TvOf(time.Second)).EV100(asa(100))
	f16 := FNumber(16).Av().Ev(TvOf(time.Second / 100)).EV100(asa(100))
	ftK := 1.16 / (0.3048 * 0.3048) // cd/ft² in cd/m²
	oldDome := IncidentMeter{C: 30 * footcandle, Receptor: Hemispherical}
	tests := []struct {
		name, source string
		got          float64
		want         string
	}{
		{"luminance for f/8, 1 s, 100", "docstring of a general high-dynamic-range imaging library", lum(ReflectedMeter{}, f8), "8.0"},
		{"illuminance for f/8, 1 s, 100", "the same", lux(IncidentMeter{}, f8), "160.0"},
		{"EV of 0.125 cd/m²", "the same", evL(ReflectedMeter{}, 0.125), "0.0"},
		{"EV of 2.5 lx", "the same", evE(IncidentMeter{}, 2.5), "0.0"},
		{"luminance at EV 15", "GNU Units 2.22 run", lum(ReflectedMeter{}, 15), "4096"},
		{"illuminance at EV 15", "GNU Units 2.22 run", lux(IncidentMeter{}, 15), "81920"},
		{"luminance of sunny 16", "GNU Units 2.22 documentation", lum(ReflectedMeter{}, f16), "3200"},
		{"EV of 4 cd/m²", "ISO 2721:2013, 4.2 has the luminance; EV computed", evL(ReflectedMeter{}, 4), "5.000000"},
		{"EV of 4096 cd/m²", "ISO 2721:2013, 4.2 has the luminance; EV computed", evL(ReflectedMeter{}, 4096), "15.000000"},
		{"K of 1.16 cd/ft²", "a forum post on the older standards; computed", ftK, "12.486"},
		{"footcandles for f/16 at 1/S", "the same post: 256 times 30", lux(oldDome, f16) / footcandle, "7680"},
		{"implied reflectance, 12.5 and 250, %", "encyclopaedia article \"Light meter\"", 100 * ok(ReflectedMeter{}.ImpliedReflectance(IncidentMeter{})), "15.7"},
		{"implied reflectance, 14 and 250, %", "the same", 100 * ok(ReflectedMeter{K: 14, AnyConstant: true}.ImpliedReflectance(IncidentMeter{})), "17.6"},
		// the two constants are per square foot and in footcandles: 12 %
		{"implied reflectance, 1.16 and 30, %", "a forum post on the older standards", 100 * ok(ReflectedMeter{K: ftK}.ImpliedReflectance(oldDome)), "12"},
		{"EV of K 14 and 12.5 apart", "computed", math.Log2(14 / 12.5), "0.16"},
		{"the same by the meters", "computed", evL(ReflectedMeter{}, 100) - evL(ReflectedMeter{K: 14, AnyConstant: true}, 100), "0.16"},
		{"dome without a constant, lx at EV 0", "ANSI PH3.49-1971, 322 lx, by way of GNU Units 2.22", lux(IncidentMeter{Receptor: Hemispherical}, 0), "3.22"},
	}
	for _, tt := range tests {
		printed.Check(t, tt.name+" ("+tt.source+")", tt.got, tt.want)
	}
}

// The ranges of ISO 2720:1974, as cited in the encyclopaedia article "Light
// meter": the ends are in, what lies beyond needs AnyConstant.
func TestMeterRanges(t *testing.T) {
	said := held.New(t)
	reflected := func(k float64, anyway bool) error {
		return second(ReflectedMeter{k, anyway}.EV100(100))
	}
	flat := func(c float64, anyway bool) error {
		return second(IncidentMeter{c, Flat, anyway}.EV100(100))
	}
	dome := func(c float64, anyway bool) error {
		return second(IncidentMeter{c, Hemispherical, anyway}.EV100(100))
	}
	tests := []struct {
		name    string
		meter   func(float64, bool) error
		in, out []float64
		says    string
	}{
		{"K", reflected, []float64{0, 10.6, 12.5, 13.4}, []float64{10.59, 13.41, 14}, "10.6 to 13.4"},
		{"C, flat", flat, []float64{0, 240, 250, 400}, []float64{239, 401, 540}, "240 to 400"},
		{"C, dome", dome, []float64{0, 320, 340, 540}, []float64{319, 541, 250}, "320 to 540"},
	}
	for _, tt := range tests {
		for _, v := range tt.in {
			if err := tt.meter(v, false); err != nil {
				t.Errorf("%s = %g: %v", tt.name, v, err)
			}
		}
		for _, v := range tt.out {
			err := tt.meter(v, false)
			if !said.Is("", err, sensito.ErrRange) || !strings.Contains(err.Error(), tt.says) || !strings.Contains(err.Error(), "AnyConstant") {
				t.Errorf("%s = %g: got %v, want ErrRange with %q and the way out", tt.name, v, err, tt.says)
			}
			if err := tt.meter(v, true); err != nil {
				t.Errorf("%s = %g with AnyConstant: %v", tt.name, v, err)
			}
		}
		for _, v := range []float64{-12.5, math.NaN(), math.Inf(1)} {
			if err := tt.meter(v, true); !said.Is("", err, sensito.ErrInput) {
				t.Errorf("%s = %g: got %v, want ErrInput even with AnyConstant", tt.name, v, err)
			}
		}
	}
}

func TestMeterRefuses(t *testing.T) {
	said := held.New(t)
	nan, inf := math.NaN(), math.Inf(1)
	for name, err := range map[string]error{
		"no luminance":         second(ReflectedMeter{}.EV100(0)),
		"negative luminance":   second(ReflectedMeter{}.EV100(-1)),
		"luminance NaN":        second(ReflectedMeter{}.EV100(Luminance(nan))),
		"luminance Inf":        second(ReflectedMeter{}.EV100(Luminance(inf))),
		"no illuminance":       second(IncidentMeter{}.EV100(0)),
		"negative illuminance": second(IncidentMeter{}.EV100(-1)),
		"illuminance NaN":      second(IncidentMeter{}.EV100(Illuminance(nan))),
		"EV NaN":               second(ReflectedMeter{}.Luminance(EV100(nan))),
		"EV Inf":               second(IncidentMeter{}.Illuminance(EV100(inf))),
		"EV -Inf":              second(IncidentMeter{}.Illuminance(EV100(-inf))),
		"EV beyond numbers":    second(ReflectedMeter{}.Luminance(2000)),
		"no such receptor":     second(IncidentMeter{Receptor: 9}.EV100(100)),
		"reflectance, bad K":   second(ReflectedMeter{K: -1}.ImpliedReflectance(IncidentMeter{})),
		"reflectance, bad C":   second(ReflectedMeter{}.ImpliedReflectance(IncidentMeter{C: -1})),
	} {
		if !said.Is(name, err, sensito.ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
	if got := Illuminance(81920).String() + ", " + Luminance(0.0078125).String(); got != "81920 lx, 0.007812 cd/m²" {
		t.Errorf("got %q", got)
	}
}

// Ten times the light is 3.32 EV more on any meter, and K and C only move the
// zero.
func TestMeterProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	for range 300 {
		r := ReflectedMeter{K: 10.6 + 2.8*rng.Float64()}
		i := IncidentMeter{C: 320 + 80*rng.Float64(), Receptor: Receptor(rng.IntN(2))}
		l := math.Exp2(20*rng.Float64() - 5)
		a, err1 := r.EV100(Luminance(l))
		b, err2 := r.EV100(Luminance(10 * l))
		c, err3 := i.EV100(Illuminance(l))
		d, err4 := i.EV100(Illuminance(10 * l))
		if err := errors.Join(err1, err2, err3, err4); err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(b-a)-math.Log2(10)) > 1e-12 || math.Abs(float64(d-c)-math.Log2(10)) > 1e-12 {
			t.Fatalf("ten times the light is %v and %v EV", b-a, d-c)
		}
		// A surface of the implied reflectance gives both meters the same answer.
		refl, err := r.ImpliedReflectance(i)
		if err != nil {
			t.Fatal(err)
		}
		same, err := r.EV100(Luminance(refl * l / math.Pi))
		if err != nil || math.Abs(float64(same-c)) > 1e-12 {
			t.Fatalf("reflected %v, incident %v, %v", same, c, err)
		}
	}
}

func ExampleReflectedMeter() {
	_, err := ReflectedMeter{K: 14}.EV100(4096)
	fmt.Println(err)
	e, err := ReflectedMeter{K: 14, AnyConstant: true}.EV100(4096)
	fmt.Println(e, err)
	e, err = ReflectedMeter{}.EV100(4096)
	fmt.Println(e, err)
	// Output:
	// exposure: K = 14; ISO 2720 has 10.6 to 13.4 for a reflected-light meter; set AnyConstant if the meter is calibrated so
	// EV 14.84 at ISO 100 <nil>
	// EV 15.00 at ISO 100 <nil>
}
