package filters

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"reflect"
	"testing"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

func TestFactorMarkText(t *testing.T) {
	said := held.New(t)
	for m := FactorMark(0); m <= 122; m++ {
		if got, err := ParseFactorMark(m.String()); err != nil || got != m {
			t.Errorf("%v reads back as %v: %v", m, got, err)
		}
	}
	var m FactorMark
	fs := flag.NewFlagSet("", flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	fs.TextVar(&m, "mark", FactorMark(3), "")
	if err := fs.Parse([]string{"-mark", "2 2/3"}); err != nil || m != 8 {
		t.Errorf("as a flag: %v %v", m, err)
	}
	for _, text := range []string{"", "1/2", "2 1/2", "-1", "41", "1 2", "2 1/3 1/3", "3/3", "+1", "1e1", "999999999999"} {
		if got, err := ParseFactorMark(text); !said.Is(text, err, ErrInvalid) {
			t.Errorf("%q reads as %v: %v", text, got, err)
		}
	}
	if _, err := FactorMark(-1).MarshalText(); !said.Is("", err, check.ErrInput) {
		t.Errorf("-1: %v", err)
	}
}

func FuzzParseFactorMark(f *testing.F) {
	for _, s := range []string{"2 2/3", "1/3", "0", "40 2/3", "2/3/1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		m, err := ParseFactorMark(text)
		if err != nil {
			return
		}
		if back, err := ParseFactorMark(m.String()); err != nil || back != m {
			t.Fatalf("%q is %v and reads as %v, %v", text, m, back, err)
		}
	})
}

// Whatever a user would store comes back equal.
func TestJSONRoundTrips(t *testing.T) {
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	red := must(Find("25"))
	two := must(Stack(red.Filter, must(Neutral(.3))))
	tones := must(Tones(film, light, red.Filter, Subjects()...))
	choices := must(Rank(film, light, []Filter{red.Filter, two}, Subjects()[1], Subjects()[0]))
	reading := SpeedReading{red.Filter, 1.2, 0.01}
	recovered := must(Recover(simulate(film, light, filterSet(), 0.01, rand.New(rand.NewPCG(1, 1))), light, Recovery{}))
	deviations := Deviations{Filter: Deviation{Noise: must(spectral.Flat(0.003)), Scale: 0.005}, Film: recovered.Deviation()}
	for _, v := range []any{red.Filter, two, Clear(), Filter{}, red, Subjects(), TestColours()[3], Surface{}, tones, choices, reading,
		recovered, Recovery{}, Recovery{Smooth: 40, Nodes: []float64{400, 500, 600}}, deviations, FactorMark(8)} {
		text, err := json.Marshal(v)
		if err != nil {
			t.Fatalf("%T: %v", v, err)
		}
		back := reflect.New(reflect.TypeOf(v))
		if err := json.Unmarshal(text, back.Interface()); err != nil {
			t.Errorf("%T: %v", v, err)
		} else if !reflect.DeepEqual(back.Elem().Interface(), v) {
			t.Errorf("%T reads back as another: %.300s", v, text)
		}
	}
	if text, err := json.Marshal(must(Prepare(film, light, []float64{400, 500}, spectral.Hold))); !errors.Is(err, ErrInvalid) {
		t.Errorf("prepared: %s %v", text, err)
	}
	var f Filter
	for _, text := range []string{`{}`, `{"name":"x"}`, `{"name":"x","transmittance":[null]}`, `[]`, `"25 red"`,
		`{"name":"x","transmittance":[{"wavelength_nm":[400,500],"value":[1,2],"outside":"hold"}]}`,
		`{"name":"x","transmittance":[{"wavelength_nm":[400,500],"value":[1,0.5]}]}`} {
		if err := json.Unmarshal([]byte(text), &f); !errors.Is(err, check.ErrInput) {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// Nothing and nil answer with an error.
func TestNothing(t *testing.T) {
	said := held.New(t)
	film, light, s := spectral.Generic(spectral.Panchromatic), spectral.D55.Light(), Subjects()[0]
	for name, err := range map[string]error{
		"no filter":              fault(Factor(film, light, Filter{})),
		"stack of nothing":       fault(Stack()),
		"stack with none":        fault(Stack(Filter{})),
		"tone without a film":    fault(Tones(spectral.Sensitivity{}, light, Clear(), s)),
		"tone of nothing":        fault(Tones(film, light, Clear(), Surface{})),
		"rank of nothing":        fault(Rank(film, light, nil, s, s)),
		"reading without curve":  fault(SpeedReadingFromDensity(Clear(), 1, .01, nil)),
		"reading without filter": fault(SpeedReadingFromDensity(Filter{}, 1, .01, must(sensito.NewClosedForm(sensito.Constants{BaseFog: .2, Gamma: .6, Toe: -2, ToeWidth: .1})))),
		"density without curve":  fault(Tone{}.DensityAbove(Tone{}, nil, 0)),
		"nothing prepared":       fault(Prepared{}.Factor(nil)),
		"nothing's reflectance":  fault(Prepared{}.Reflectance([]float64{1})),
		"nothing recovered":      fault(Recovered{}.Sensitivity()),
		"meter of nothing":       fault(MeterError(film, spectral.Sensitivity{}, light, Clear())),
		"glass of nothing":       fault(Glass("x", spectral.Spectrum{}, 1, 1)),
	} {
		if !said.Is(name, err, check.ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func ExampleParseFactorMark() {
	m, err := ParseFactorMark("2 2/3")
	fmt.Println(m.Factor(), float64(m.Stops()), err)
	// Output: 6 2.6666666666666665 <nil>
}
