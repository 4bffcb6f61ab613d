package sensito

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
)

// through stores v as JSON and reads it back into a new value.
func through[T any](t *testing.T, v T) (back T, text string) {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Errorf("%v: %v", v, err)
		return back, ""
	}
	if err := json.Unmarshal(b, &back); err != nil {
		t.Errorf("%s: %v", b, err)
	}
	return back, string(b)
}

func TestJSONThereAndBack(t *testing.T) {
	inf := math.Inf(1)
	for _, e := range []Estimate{{1.25, 1, 1.5}, Exact(3), {300, 250, inf}, {-1, -inf, 0}} {
		if back, text := through(t, e); back != e {
			t.Errorf("%v: %s, %v", e, text, back)
		}
	}
	if _, text := through(t, Estimate{300, math.NaN(), inf}); text != `{"value":300,"low":null,"high":null,"no_upper_end":true}` {
		t.Errorf("%s", text)
	}
	for _, s := range []Speed{{397.3, ISO, ISO6}, {81.25, EI, FractionalGradient}, {}, {0.003, EI, Stated}} {
		if back, text := through(t, s); back != s {
			t.Errorf("%v: %s, %v", s, text, back)
		}
	}
	for _, b := range []Base{{}, StatedBase(0.2), UnexposedBase(0.2, 0.21)} {
		if back, text := through(t, b); !reflect.DeepEqual(back, b) {
			t.Errorf("%v: %s, %v", b, text, back)
		}
	}
	r := Rating{Speed{397.3, ISO, ISO6}, -2.1, 0.81, true}
	if back, text := through(t, r); back != r {
		t.Errorf("%v: %s, %v", r, text, back)
	}
	r.DeltaD = math.NaN()
	if back, text := through(t, r); !math.IsNaN(back.DeltaD) || !strings.Contains(text, `"delta_d":null`) {
		t.Errorf("%s", text)
	}
	form, err := NewClosedForm(Constants{BaseFog: 0.2, Gamma: 0.6, Toe: -2.5, ToeWidth: 0.2, Shoulder: 2, Sharpness: 3, From: -3, To: 0})
	if err != nil {
		t.Fatal(err)
	}
	if back, text := through(t, form); *back != *form {
		t.Errorf("%s: %v", text, back)
	}
	if back, text := through(t, Reading{-2, 0.5, 0.01}); back != (Reading{-2, 0.5, 0.01}) {
		t.Errorf("%s", text)
	}
	rs, base := cleanStrip(21, 0.15, 0.01, 3)
	rs[7].Density += 0.15
	fit, err := Fit(rs, base)
	if err != nil {
		t.Fatal(err)
	}
	a, fs := fit.Account(), fit.Findings()
	if back, text := through(t, a); !reflect.DeepEqual(back, a) {
		t.Errorf("%s", text)
	}
	if back, text := through(t, fs); !reflect.DeepEqual(back, fs) || len(fs) == 0 {
		t.Errorf("%s", text)
	}
}

// What is read is checked as what is made.
func TestJSONRefuses(t *testing.T) {
	said := held.New(t)
	for text, into := range map[string]any{
		`{"value":-5,"kind":"ISO","criterion":"iso"}`:  new(Speed),
		`{"value":400,"kind":"ASA","criterion":"iso"}`: new(Speed),
		`"400"`:                            new(Speed),
		`{"base_fog":0.2,"gamma":-1}`:      new(ClosedForm),
		`{"stated":0.2,"unexposed":[0.2]}`: new(Base),
		`{"unexposed":[-1]}`:               new(Base),
		`{"value":"much"}`:                 new(Estimate),
		`"criterion(9)"`:                   new(Criterion),
	} {
		if err := json.Unmarshal([]byte(text), into); !said.Refused(text, err) {
			t.Errorf("%s is read as %v", text, into)
		}
	}
}

func TestSpeedText(t *testing.T) {
	said := held.New(t)
	for _, s := range []Speed{{400, ISO, Stated}, {1250, EI, Stated}, {}} {
		b, err := s.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		var back Speed
		if err := back.UnmarshalText(b); err != nil || back != s {
			t.Errorf("%q: %v, %v", b, back, err)
		}
	}
	for _, s := range []Speed{{-5, ISO, Stated}, {1e9, EI, Stated}, {400, Kind(9), Stated}} {
		if b, err := s.MarshalText(); !said.Is("", err, ErrInput) {
			t.Errorf("%v: %q, %v", s, b, err)
		}
	}
	if _, err := Kind(9).MarshalText(); !said.Is("", err, ErrInput) || Kind(9).String() != "kind(9)" {
		t.Errorf("%v, %v", Kind(9), err)
	}
	if _, err := Criterion(9).MarshalText(); !said.Is("", err, ErrInput) || Criterion(9).String() != "criterion(9)" {
		t.Errorf("%v, %v", Criterion(9), err)
	}
	for s, want := range map[Speed]string{{-5, ISO, Stated}: "ISO -5", {0, EI, Stated}: "EI 0", {math.Inf(1), ISO, Stated}: "ISO +Inf"} {
		if got := s.String(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
		if got := s.Logarithmic(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
