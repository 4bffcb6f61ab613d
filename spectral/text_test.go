package spectral

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"reflect"
	"strings"
	"testing"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/held"
)

func TestTextForms(t *testing.T) {
	said := held.New(t)
	type stored struct {
		Light   Illuminant
		T       Kelvin
		Class   Class
		Outside Outside
		Between Between
	}
	all := []stored{{}, {T: 3200.5, Outside: Hold}, {T: 1e6, Class: ExtendedRed, Outside: Zero}}
	for _, i := range Illuminants() {
		all = append(all, stored{Light: i, T: 5500, Class: Orthochromatic})
	}
	for _, s := range all {
		text, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		var back stored
		if err := json.Unmarshal(text, &back); err != nil || back != s {
			t.Errorf("%s reads back as %+v: %v", text, back, err)
		}
	}
	var s stored
	if err := json.Unmarshal([]byte(`{"T": 5500, "Class": "Extended-Red", "Light": "d65"}`), &s); err != nil || s != (stored{D65, 5500, ExtendedRed, Refuse, LogLinear}) {
		t.Errorf("%+v %v", s, err)
	}
	for _, text := range []string{`{"T": -1}`, `{"T": "warm"}`, `{"T": true}`, `{"Light": "D99"}`, `{"Light": 3}`, `{"Class": "red"}`, `{"Outside": ""}`, `{"Between": "curved"}`} {
		if err := json.Unmarshal([]byte(text), &s); !said.Refused("", err) {
			t.Errorf("%s is read", text)
		}
	}
	for name, err := range map[string]error{
		"illuminant": fault(Illuminant(99).MarshalText()), "class": fault(Class(9).MarshalText()), "outside": fault(Outside(7).MarshalText()),
		"temperature": fault(Kelvin(math.NaN()).MarshalText()), "cold": fault(Kelvin(-5).MarshalText()),
	} {
		if !said.Is(name, err, check.ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
	fs := flag.NewFlagSet("", flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	fs.TextVar(&s.Light, "light", D55, "")
	fs.TextVar(&s.T, "temperature", Kelvin(3200), "")
	fs.TextVar(&s.Class, "class", Panchromatic, "")
	fs.TextVar(&s.Outside, "outside", Refuse, "")
	fs.TextVar(&s.Between, "between", Linear, "")
	if err := fs.Parse(strings.Split("-light A -temperature 3400K -outside hold", " ")); err != nil || s != (stored{A, 3400, Panchromatic, Hold, Linear}) {
		t.Errorf("as flags: %+v %v", s, err)
	}
}

func TestSpectraJSON(t *testing.T) {
	said := held.New(t)
	odd := must(New([]float64{400.1, 500, 1e4 / 3}, []float64{1. / 3, -math.Pi, 5e-324}, Hold))
	photons := must(SensitivityFromPhotons(panB()))
	lamp := must(A.Light().Through(Lens()))
	for _, v := range []any{odd, Spectrum{}, Named{"x", odd}, D55.Light(), lamp, A.Light().WithOutside(Hold), Light{}, Generic(Panchromatic),
		photons, Sensitivity{}, Eye(), must(Flat(0.5))} {
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
	if text, err := json.Marshal(must(NewQuadrature([]float64{400, 500}, Hold, panB()))); !said.Is("", err, ErrInvalid) {
		t.Errorf("a quadrature: %s %v", text, err)
	}
	for _, text := range []string{
		`{}`, `[]`, `7`, `{"wavelength_nm":[400,500],"value":[1,2]}`, `{"wavelength_nm":[400,500],"value":[1],"outside":"hold"}`,
		`{"wavelength_nm":[400,500],"value":[1,2],"outside":"hold","unit":"percent"}`, `{"wavelength_nm":[0.4,0.5],"value":[1,2],"outside":"hold"}`,
	} {
		var s Spectrum
		if err := json.Unmarshal([]byte(text), &s); !said.Is("", err, check.ErrInput) || s.Len() > 0 {
			t.Errorf("spectrum %s: %v", text, err)
		}
		var l Light
		if err := json.Unmarshal([]byte(`{"power":[`+text+`]}`), &l); !said.Is("", err, check.ErrInput) {
			t.Errorf("light of %s: %v", text, err)
		}
	}
	for _, text := range []string{`{}`, `{"power":[]}`, `{"sensitivity":[null]}`, `{"sensitivity":[],"x":[]}`,
		`{"sensitivity":[{"wavelength_nm":[400,500],"value":[-1,2],"outside":"zero"}]}`} {
		var s Sensitivity
		if err := json.Unmarshal([]byte(text), &s); !said.Is("", err, check.ErrInput) {
			t.Errorf("sensitivity %s: %v", text, err)
		}
	}
}

// Nothing and nil answer with an error, or say that they hold nothing.
func TestNothing(t *testing.T) {
	said := held.New(t)
	film, light := panB(), D55.Light()
	none := Sensitivity{}
	for name, err := range map[string]error{
		"map by nil":           fault(film.Map(nil)),
		"map of nothing":       fault(Spectrum{}.Map(func(_, v float64) float64 { return v })),
		"scale of nothing":     fault(Spectrum{}.Scale(2)),
		"value of nothing":     fault(Spectrum{}.At(500)),
		"cut of nothing":       fault(Spectrum{}.Cut(400, 500)),
		"resample of nothing":  fault(Spectrum{}.Resample([]float64{400, 500})),
		"resample at nothing":  fault(film.Resample(nil)),
		"light through":        fault(Light{}.Through(film)),
		"light at":             fault(Light{}.At(500)),
		"sensitivity through":  fault(none.Through(film)),
		"sensitivity's cutoff": fault(none.CutOff(.1)),
		"class":                fault(none.Class()),
		"flatness":             fault(none.Flatness(light)),
		"mismatch":             fault(none.Mismatch(380, 780)),
		"integral of nothing":  fault(Integral()),
		"integral of empty":    fault(Integral(Spectrum{}, film)),
		"mean":                 fault(Mean(Spectrum{}, film)),
		"centroid":             fault(Centroid()),
		"width":                fault(EquivalentWidth(Spectrum{})),
		"efficacy":             fault(Efficacy(Light{})),
		"sky":                  fault(ClearSky(Light{}, 1)),
		"photons":              fault(SensitivityFromPhotons(Spectrum{})),
		"logs":                 fault(SensitivityFromLog(nil, nil, LogLinear)),
		"spectrogram":          fault(SensitivityFromSpectrogram([]float64{400, 500}, []float64{1, 1}, Light{}, LogLinear)),
		"equal reading":        fault(AtEqualReading(none, Eye(), light, light)),
		"table":                fault(ReadCSV(nil, "", Hold)),
		"write nothing":        WriteCSV(io.Discard),
		"write nowhere":        WriteCSV(nil, Named{"x", film}),
		"write empty":          WriteCSV(io.Discard, Named{"x", Spectrum{}}),
		"quadrature":           fault(Quadrature{}.Mean(nil)),
		"quadrature of none":   fault(NewQuadrature(nil, Hold, film)),
		"no temperature":       fault(Planck(0, []float64{400, 500})),
	} {
		if !said.Is(name, err, check.ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, _, err := Chromaticity(Light{}); !said.Is("", err, check.ErrInput) {
		t.Errorf("chromaticity: %v", err)
	}
	if v := PlanckRadiance(500, -1); !math.IsNaN(v) {
		t.Errorf("a black body below zero: %v", v)
	}
}

func ExampleParseIlluminant() {
	i, err := ParseIlluminant("d55")
	if err != nil {
		fmt.Println(err)
		return
	}
	text, err := json.Marshal(struct {
		Light Illuminant
		T     Kelvin
	}{i, 5500})
	fmt.Println(string(text), err)
	// Output: {"Light":"D55","T":"5500 K"} <nil>
}

func FuzzSpectrumJSON(f *testing.F) {
	f.Add(`{"wavelength_nm":[400,500],"value":[0.1,1e-9],"outside":"hold"}`)
	f.Add(`null`)
	f.Add(`{"wavelength_nm":[400,500],"value":[1],"outside":"zero"}`)
	f.Fuzz(func(t *testing.T, text string) {
		var s, back Spectrum
		if json.Unmarshal([]byte(text), &s) != nil {
			return
		}
		again, err := json.Marshal(s)
		if err != nil {
			t.Fatalf("%q is read and cannot be written: %v", text, err)
		}
		if err := json.Unmarshal(again, &back); err != nil || !reflect.DeepEqual(back, s) {
			t.Fatalf("%q becomes %q: %v", text, again, err)
		}
	})
}
