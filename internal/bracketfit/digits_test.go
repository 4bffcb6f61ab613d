package bracketfit

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/held"
)

// What one bracket of each design gives is what it was.
func TestDigits(t *testing.T) {
	said := held.New(t)
	designs := map[string]func(d *design){
		"usual":       func(*design) {},
		"no strip":    func(d *design) { d.strip = 0 },
		"shadow only": func(d *design) { d.shadowOnly, d.strip = true, 0 },
		"unstated":    func(d *design) { d.unstated = true },
		"wild":        func(d *design) { d.wild = 0.15 },
		"off":         func(d *design) { d.off = 0.5 },
		"far":         func(d *design) { d.step, d.frames = 1, 4 },
		"logistic":    func(d *design) { d.family, d.strip = "logistic", 0 },
		"placed":      func(d *design) { d.place, d.placeSD = 0.2, 0.3 },
	}
	for name, change := range designs {
		d := usual
		change(&d)
		b, _, _ := d.draw(rand.New(rand.NewPCG(31, 9)))
		r, err := Fit(b)
		if err != nil {
			t.Fatal(name, err)
		}
		said.Values(name, r.LogIndex, r.Low, r.High, r.SD, r.Trusting, r.Outside, r.PNone, r.BaseFog, r.Scatter, r.ReadSD)
		said.Values(name+", tones", r.Density)
		said.Values(name+", frames", r.FrameOff)
		for i, f := range r.Findings {
			said.Values(fmt.Sprintf("%s, finding %d", name, i+1), f.Frame, f.Tone, f.Probability, f.Off)
		}
		shape := make([]float64, 9)
		for i := range shape {
			shape[i] = r.Shape.Density(-3 + 0.5*float64(i))
		}
		said.Values(name+", shape", shape)
	}
}
