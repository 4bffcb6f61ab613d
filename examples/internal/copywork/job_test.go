package copywork

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
)

func TestShutter(t *testing.T) {
	said := held.New(t)
	for text, want := range map[string]float64{
		"1/60": math.Exp2(-6), "1/125": math.Exp2(-7), "1/15": math.Exp2(-4), "1/13": math.Exp2(-11. / 3), "1/90": math.Exp2(-6.5),
		"0.0156s": 0.0156, "1/60s": 1. / 60, "8s": 8, "30s": 30, `30"`: 32, "2m": 120,
	} {
		var s Shutter
		if err := s.UnmarshalText([]byte(text)); err != nil || math.Abs(float64(s)/1e9-want) > 2e-9 {
			t.Errorf("%q: %v s, want %v; %v", text, float64(s)/1e9, want, err)
		}
	}
	for _, bad := range []string{"", "60", "1/70", "1/0", "-1s", "fast"} {
		if err := new(Shutter).UnmarshalText([]byte(bad)); !said.Refused("", err) {
			t.Errorf("%q accepted", bad)
		}
	}
}

func TestJobs(t *testing.T) {
	said := held.New(t)
	job := Job{File: "job.json", Program: "program"}
	for _, bad := range []string{"", "{", `{"a": "x"}`, `{"b": 1}`, `{"a": 1} 2`, `{"a": 1, "a": 2}`, `{"A": 1}`, "[]", "{\"a\": 1,\n \"c\": 2}", "\xff{}"} {
		var v struct {
			A int `json:"a"`
		}
		if err := job.Read([]byte(bad), &v); !said.Refused(bad, err) {
			t.Errorf("%q is read", bad)
		}
	}
	for _, good := range []string{"{}", `{"a": 1}`, "\ufeff{\"a\": 1}\n"} {
		var v struct {
			A int `json:"a"`
		}
		if err := job.Read([]byte(good), &v); err != nil {
			t.Errorf("%q: %v", good, err)
		}
	}
}
