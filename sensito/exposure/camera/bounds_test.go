package camera

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
)

// Descriptions of invented cameras with something at a bound are read, or refused, as they were. Each mark is
// printed with its value.
func TestDescriptionsAtTheBounds(t *testing.T) {
	said := held.New(t)
	marks := func(n int) string {
		out := make([]string, n)
		for i := range out {
			out[i] = fmt.Sprintf("%q", fmt.Sprintf("f/%.3f", 1+float64(i)/4))
		}
		return "[" + strings.Join(out, ", ") + "]"
	}
	const times, apertures = `"times": "full", "fastest": "1/500", "longest": "1s"`, `"apertures": "half", "widest": "f/2", "smallest": "f/16"`
	for i, s := range []string{
		times + ", " + apertures, times, apertures, "", `"times": "third"`, `"times": "fourth"`, `"times": 3`, `"times": null`, `"times": []`, `"apertures": []`, `"times": ["1/500"]`, `"times": ["1/500", "1/500"]`, `"times": ["1/500", "1/250", "1/501"]`, `"times": ["1/500", "2x"]`, `"times": ["1/60", "1/500", "1/125"]`, `"times": ["1s", "2s", "4s"], "fastest": "2s"`, `"times": ["1s", "2s", "4s"], "longest": "2s"`,
		`"times": "full", "fastest": "1s", "longest": "1/500"`, `"times": "full", "fastest": "1/8"`, `"times": "full", "longest": "1/8000"`, `"times": "full", "fastest": "1/500", "longest": "1/500"`, `"times": "full", "fastest": "1/1000000"`, `"times": "full", "fastest": "1/1000001"`, `"times": "full", "fastest": "1/1100000"`, `"times": "full", "longest": "24h"`, `"times": "full", "longest": "24h1s"`, `"times": "full", "longest": "25h"`, `"times": "full", "longest": "x"`, `"times": "half", "fastest": "1/350"`, `"times": ["24h", "1s"]`, `"times": ["25h", "1s"]`,
		`"apertures": "full", "widest": "f/0.5"`, `"apertures": "full", "widest": "f/0.1"`, `"apertures": "full", "smallest": "f/512"`, `"apertures": "full", "smallest": "f/1000"`, `"apertures": "full", "widest": "f/16", "smallest": "f/2"`, `"apertures": ["f/2", "f/2.8", "f/4"]`, `"apertures": ["f/3.5", "f/4.5", "f/6.3", "f/9"]`, `"apertures": ["f/13", "f/16"]`, `"apertures": ["f/13", "f/19"]`, `"apertures": ["f/2", "f/2.01"]`, `"apertures": ["f/2", "f/2.0001"]`, `"apertures": ["f/2", "f/2"]`, `"apertures": [2, 4]`, `"apertures": ["f/2", 0]`, `"apertures": ["f/8"], "widest": "f/4"`,
		`"apertures": ` + marks(200), `"apertures": ` + marks(201), `"bulb": true`, `"bulb": 1`, `"name": "x"`, `"name": ""`, `"name": 3`, `"other": 1`, `"x-other": 1`, `"by": "number"`,
	} {
		text := s
		if !strings.Contains(text, `"name"`) {
			text = strings.TrimSuffix(`"name": "Bothy (invented)", `+s, ", ")
		}
		d, err := Parse("camera.json", []byte("{"+text+"}"))
		name := fmt.Sprint(i, " ", s[:min(len(s), 60)])
		if err != nil {
			said.Refused(name, err)
			continue
		}
		again, err := json.Marshal(d)
		var out []string
		for _, m := range d.Camera.Times() {
			out = append(out, fmt.Sprintf("%v %.2f", m, float64(m.Tv)))
		}
		for _, m := range d.Camera.Apertures() {
			out = append(out, fmt.Sprintf("%v %.2f", m, float64(m.Av)))
		}
		if len(out) > 60 {
			out = append(out[:30], fmt.Sprint(len(out), " marks"))
		}
		said.Values(name, out, string(again[:min(len(again), 500)]), err)
	}
}

// A scale of one mark is of third stops: a value up to a sixth of a stop off is on it.
func TestOneMark(t *testing.T) {
	for v, want := range map[float64]float64{3.16: 0, 2.84: 0, 3.18: 0.18, 2.8: -0.2} {
		if at, beyond := nearest([]float64{3}, v); at != 0 || math.Abs(beyond-want) > 1e-12 {
			t.Errorf("%v: mark %d, %v beyond, want %v", v, at, beyond, want)
		}
	}
}
