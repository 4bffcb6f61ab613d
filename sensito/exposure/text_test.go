package exposure_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	. "example.org/actinic/sensito/exposure"
)

// settings is what a program of its own would store.
type settings struct {
	Aperture FNumber
	Time     Shutter
	Receptor Receptor
}

func TestSettingsJSON(t *testing.T) {
	said := held.New(t)
	for _, s := range []settings{
		{5.6, Shutter(8 * time.Millisecond), Hemispherical},
		{0, 0, Flat}, // left free
		{0.95, Shutter(137 * time.Second), Flat},
	} {
		text, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		var back settings
		if err := json.Unmarshal(text, &back); err != nil || back != s {
			t.Errorf("%s reads back as %+v: %v", text, back, err)
		}
	}
	for text, want := range map[string]settings{
		`{"Aperture": 5.6, "Time": "30\"", "Receptor": "FLAT"}`:     {5.6, Shutter(30 * time.Second), Flat},
		`{"Aperture": "f5.6", "Time": "1 / 250"}`:                   {5.6, Shutter(4 * time.Millisecond), Flat},
		`{"Aperture": null, "Time": null}`:                          {},
		`{"Aperture": "", "Time": "", "Receptor": "hemispherical"}`: {0, 0, Hemispherical},
	} {
		var got settings
		if err := json.Unmarshal([]byte(text), &got); err != nil || got != want {
			t.Errorf("%s reads as %+v: %v", text, got, err)
		}
	}
	for _, text := range []string{
		`{"Aperture": -5.6}`, `{"Aperture": true}`, `{"Aperture": "f/"}`, `{"Aperture": 1e999}`, `{"Aperture": {}}`,
		`{"Time": "125"}`, `{"Time": 8000000}`, `{"Receptor": "round"}`, `{"Receptor": ""}`,
	} {
		var got settings
		if err := json.Unmarshal([]byte(text), &got); !said.Refused(text, err) {
			t.Errorf("%s reads as %+v", text, got)
		}
	}
	for name, err := range map[string]error{
		"negative time":   second(Shutter(-1).MarshalText()),
		"negative number": second(FNumber(-1).MarshalText()),
		"NaN":             second(FNumber(math.NaN()).MarshalText()),
		"no receptor":     second(Receptor(9).MarshalText()),
	} {
		if !said.Is(name, err, sensito.ErrInput) || !said.Is(name, err, check.ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestSettingsFlags(t *testing.T) {
	var s settings
	fs := flag.NewFlagSet("", flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	fs.TextVar(&s.Aperture, "aperture", FNumber(8), "")
	fs.TextVar(&s.Time, "time", Shutter(time.Second), "")
	fs.TextVar(&s.Receptor, "receptor", Flat, "")
	want := settings{8, Shutter(time.Second / 60), Hemispherical}
	if err := fs.Parse([]string{"-time", "1/50", "-receptor", "hemispherical"}); err != nil {
		t.Fatal(err)
	}
	if want.Time = Shutter(20 * time.Millisecond); s != want {
		t.Errorf("read %+v, want %+v", s, want)
	}
}

// Errors say which package speaks.
func TestErrorPrefix(t *testing.T) {
	said := held.New(t)
	for _, err := range []error{
		second(ParseShutter("125")), second(ParseFNumber("")), second(ParseReceptor("")), second(Tv(99).Time()),
		second(ReflectedMeter{}.EV100(0)), second(IncidentMeter{}.EV100(0)), second(ReflectedMeter{K: 14}.EV100(1)),
		second(EV100(15).Time(asa(100), 0)),
	} {
		if !strings.HasPrefix(err.Error(), "exposure: ") || !said.Is("", err, check.ErrInput) {
			t.Error(err)
		}
	}
}

// As documented: NaN where the speed is not positive.
func TestEVOfNoSpeed(t *testing.T) {
	for _, s := range []float64{0, -100, math.NaN(), math.Inf(1)} {
		if v := EV100(15).Ev(asa(s)); !math.IsNaN(float64(v)) {
			t.Errorf("Ev at ISO %v is %v", s, v)
		}
		if v := Ev(15).EV100(asa(s)); !math.IsNaN(float64(v)) {
			t.Errorf("EV100 at ISO %v is %v", s, v)
		}
	}
}

// Settings as they are stored.
func ExampleShutter() {
	type frame struct {
		Aperture FNumber `json:"aperture"`
		Time     Shutter `json:"time"`
	}
	var f frame
	if err := json.Unmarshal([]byte(`{"aperture": 5.6, "time": "1/125"}`), &f); err != nil {
		fmt.Println(err)
		return
	}
	text, err := json.Marshal(f)
	fmt.Println(f.Time.Duration(), string(text), err)
	// Output: 8ms {"aperture":"f/5.6","time":"1/125"} <nil>
}
