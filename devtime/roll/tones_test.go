package roll_test

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/tone"
)

// straight is a roll of a film of known curve: toe, then straight, exact readings, strips
// at 8 and 16 minutes whose gradients are 0.5 and 0.7.
func straight(t *testing.T) *roll.Roll {
	t.Helper()
	r := &roll.Roll{Film: "Film (invented)", Process: "P", Light: "L", TargetAverageGradient: 0.6, ShadowStopsBelowMeter: 4}
	for k, g := range []float64{0.5, 0.7} {
		s := roll.Strip{Name: string(rune('A' + k)), Development: time.Duration(8*(k+1)) * time.Minute, Unexposed: []sensito.Density{0.25, 0.25}}
		for i := range 21 {
			x := -3.6 + 0.15*float64(i)
			d := 0.25 + g*0.2*math.Log1p(math.Pow(10, (x+2.9)/0.2*0.4343))*1
			s.Readings = append(s.Readings, sensito.Reading{LogH: sensito.LogH(x), Density: sensito.Density(d), SD: 0.005})
		}
		r.Strips = append(r.Strips, s)
	}
	return r
}

// The tones of a record are those of its own curves at its index and development, flare
// counted; the range is the difference of its ends.
func TestTones(t *testing.T) {
	flare := 0.0
	r, err := straight(t).Characterise(roll.Settings{Subject: roll.Subject{LogFlare: &flare, Sensor: 10}})
	if err != nil {
		t.Fatal(err)
	}
	x := r.Tones
	if x == nil || x.DensityRange == nil || x.Copy == nil || len(x.Tones) != 11 || x.FlareFrom != "stated" || x.Veil.Value != 0 {
		t.Fatalf("%+v", x)
	}
	w := math.Log(x.DevelopmentS/480) / math.Log(2)
	for _, q := range x.Tones {
		h := math.Log10(8/x.Index) + 0.30103*float64(q.Stops)
		if math.Abs(h-float64(q.LogH)) > 1e-4 {
			t.Errorf("%v: log H %v, want %.4f", q.Stops, q.LogH, h)
		}
		if q.Density == nil {
			continue
		}
		a, err1 := r.Strips[0].Curve.Density(q.LogH)
		b, err2 := r.Strips[1].Curve.Density(q.LogH)
		if want := float64(a) + w*float64(b-a); err1 != nil || err2 != nil || math.Abs(q.Density.Value-want) > 1e-3 {
			t.Errorf("%v: %v, want %.4f", q.Stops, q.Density.Value, want)
		}
	}
	if g := x.Tones[1].Grey; g == nil || *g != 0 { // -4, the roll's shadow
		t.Errorf("the shadow has grey %v", g)
	}
	if len(x.Papers) == 0 || x.Copy.Spare == nil || len(r.TonesLines()) < 5 {
		t.Errorf("%+v %v", x, r.TonesLines())
	}
	text, err := json.Marshal(r)
	var back roll.Record
	if err != nil || json.Unmarshal(text, &back) != nil || back.Tones == nil || back.Tones.DensityRange.Value != x.DensityRange.Value {
		t.Errorf("%v, %+v", err, back.Tones)
	}
}

// Flare that was not stated is the usual figure, and flattens; a stated paper is the only
// one; a range it cannot be is refused.
func TestTonesAsAskedFor(t *testing.T) {
	said := held.New(t)
	usual, err := straight(t).Characterise(roll.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	none := 0.0
	paper, err := tone.ISORange("R200")
	if err != nil {
		t.Fatal(err)
	}
	plain, err := straight(t).Characterise(roll.Settings{Subject: roll.Subject{LogFlare: &none, Paper: &paper}})
	if err != nil {
		t.Fatal(err)
	}
	if usual.Tones.FlareFrom != "usual figure" || !(usual.Tones.DensityRange.Value < plain.Tones.DensityRange.Value) {
		t.Errorf("%+v, %+v", usual.Tones, plain.Tones)
	}
	if p := plain.Tones.Papers; len(p) != 1 || p[0].Name != "ISO R200" || p[0].Fit != tone.TooShort {
		t.Errorf("%+v", p)
	}
	for _, bad := range []float64{math.NaN(), -1, 9} {
		if _, err := straight(t).Characterise(roll.Settings{Subject: roll.Subject{LogFlare: &bad}}); !said.Refused("", err) {
			t.Errorf("a flare of %v was taken", bad)
		}
	}
}

// The bracket of a camera with a veil tells the veil.
func TestFlareFromTheBracket(t *testing.T) {
	plain := straight(t)
	r, err := plain.Characterise(roll.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	const veil = 0.05
	plain.BracketDevelopment = 8 * time.Minute
	for i, index := range []float64{100, 200, 400, 800, 1600} {
		for tn, stops := range map[roll.Tone]float64{roll.Shadow: -4, roll.Midtone: 0} {
			d, err := r.Strips[0].Curve.Density(sensito.LogHOf(8 / index * (math.Exp2(stops) + veil)))
			if err != nil {
				continue
			}
			plain.Bracket = append(plain.Bracket, roll.FrameReading{Frame: string(rune('1' + i)), Index: index, Tone: tn, Density: d, SD: 0.01})
		}
	}
	got, err := plain.Characterise(roll.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if got.Tones == nil || got.Tones.FlareFrom != "bracket" || math.Abs(got.Tones.Veil.Value-veil) > 0.02 || got.Tones.Veil.Low > veil || got.Tones.Veil.High < veil {
		t.Errorf("%+v, %+v", got.Tones, got.Bracket)
	}
	// Of seven stops of subject, 2.1072 in log10, the film gets the ratio of 2^3 and 2^-4 with the veil on both.
	v := got.Tones.Veil.Value
	if want := 7*math.Log10(2) - math.Log10((8+v)/(1./16+v)); math.Abs(got.Tones.LogFlare-want) > 1e-9 {
		t.Errorf("log flare %v, want %v", got.Tones.LogFlare, want)
	}
}
