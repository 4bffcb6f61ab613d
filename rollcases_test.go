package actinic

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/rolltest"
)

// hardRoll is a roll of invented strips, each a curve of the closed form with its
// constants by development, of steps that a tester would not think hard.
type hardRoll struct {
	name          string
	times         []float64 // minutes
	steps         int
	step          float64
	from          float64
	sd            float64
	target        float64
	gamma         func(minutes float64) float64
	width         float64
	shoulder      float64 // above base plus fog; 0 for none
	sharpness     float64
	toe           float64
	wantsWarning  string // a part of one of the sentences, or another after "|"
	noDevelopment bool
}

func (h hardRoll) make(seed uint64) rolltest.Made {
	r := rand.New(rand.NewPCG(seed, 8))
	var b strings.Builder
	b.WriteString("strip,development,log_h_lx_s,density,density_sd\n")
	for i, t := range h.times {
		base := 0.22 + 0.004*t
		row := func(x string, v float64) {
			fmt.Fprintf(&b, "S%d,%g,%s,%.4f,%g\n", i+1, t, x, math.Max(v+h.sd*r.NormFloat64(), 0), h.sd)
		}
		row("", base)
		for k := range h.steps {
			x := h.from + float64(k)*h.step
			z := (x - h.toe) / h.width
			u := h.gamma(t) * h.width * (math.Max(z, 0) + math.Log1p(math.Exp(-math.Abs(z))))
			if h.shoulder > 0 {
				u *= math.Pow(1+math.Pow(u/h.shoulder, h.sharpness), -1/h.sharpness)
			}
			row(fmt.Sprintf("%.3f", x), base+u)
		}
	}
	head := fmt.Sprintf(`{"film": "Hard film (invented)", "process": "Bath (invented)", "light": "daylight", "target_average_gradient": %g}`, h.target)
	return rolltest.Made{Files: fstest.MapFS{"test.json": {Data: []byte(head)}, "strips.csv": {Data: []byte(b.String())}}}
}

var growing = func(limit float64) func(float64) float64 {
	return func(t float64) float64 { return limit * -math.Expm1(-0.1*t) }
}

// Rolls that a tester can have and that are hard on a fit: each ends with numbers that
// somebody can have meant, and with a film that is published and planned with.
func TestHardRolls(t *testing.T) {
	five := []float64{4, 5.5, 7.5, 10, 14}
	for _, h := range []hardRoll{
		{name: "a toe sharper than the steps", times: five, steps: 27, step: 0.15, from: -3.35, sd: 0.01, target: 0.58, gamma: growing(0.95), width: 0.04, toe: -2.55},
		{name: "a sharp toe in steps of 0.30", times: five, steps: 11, step: 0.30, from: -3.30, sd: 0.01, target: 0.58, gamma: growing(0.95), width: 0.03, toe: -2.5},
		{name: "seven steps of 0.45", times: []float64{5, 7, 9.5, 13, 18}, steps: 7, step: 0.45, from: -3.35, sd: 0.01, target: 0.58, gamma: growing(0.95), width: 0.15, toe: -2.8, shoulder: 2.4, sharpness: 3},
		{name: "bends over all its length", times: five, steps: 27, step: 0.15, from: -3.1, sd: 0.01, target: 0.58, gamma: growing(3.2), width: 0.2, toe: -2.3, shoulder: 2.2, sharpness: 1},
		{name: "bends more softly than the form", times: five, steps: 38, step: 0.10, from: -3.0, sd: 0.01, target: 0.5, gamma: growing(4.5), width: 0.2, toe: -2.3, shoulder: 2.0, sharpness: 0.8},
		{name: "far too contrasty for the target", times: five, steps: 21, step: 0.15, from: -3.8, sd: 0.005, target: 0.12, gamma: func(t float64) float64 { return 7 + 0.02*t }, width: 0.1, toe: -2.75,
			shoulder: 3.1, sharpness: 4, noDevelopment: true, wantsWarning: "nobody can develop|no growth of contrast"},
		{name: "no more than the toe", times: []float64{4, 6}, steps: 31, step: 0.10, from: -3.5, sd: 0.005, target: 0.33, gamma: growing(0.45), width: 0.35, toe: -1.2, noDevelopment: true, wantsWarning: "ends before 1.50 above its speed point"},
		{name: "two strips of one time", times: []float64{8, 8, 12}, steps: 21, step: 0.15, from: -3.2, sd: 0.01, target: 0.5, gamma: growing(0.95), width: 0.15, toe: -2.6},
	} {
		for seed := range uint64(6) {
			name := fmt.Sprintf("%s, seed %d", h.name, seed)
			r := work(t, name, h.make(seed))
			if r == nil {
				continue
			}
			if r.Index == nil {
				t.Errorf("%s: no index: %v", name, r.Warnings)
			}
			if h.noDevelopment != (r.Development == nil) {
				t.Errorf("%s: development %v", name, r.Development)
			}
			said := strings.Join(r.Warnings, "\n")
			if a, b, _ := strings.Cut(h.wantsWarning, "|"); a != "" && !strings.Contains(said, a) && (b == "" || !strings.Contains(said, b)) {
				t.Errorf("%s: %q, want a sentence with %q", name, r.Warnings, h.wantsWarning)
			}
			sane(t, name, r)
		}
	}
}

// sane refuses intervals that nobody can have meant.
func sane(t *testing.T, name string, r *roll.Record) {
	t.Helper()
	for _, s := range r.Strips {
		if lo, hi := s.SpeedPointLow, s.SpeedPointHigh; lo != nil && hi != nil && !(*hi-*lo <= 2) {
			t.Errorf("%s: strip %s has log Hm between %v and %v", name, s.Strip, *lo, *hi)
		}
		if g := s.AverageGradient; g != nil && g.Low == g.Low && !(g.Low > 0 && g.High < 10*g.Value) {
			t.Errorf("%s: strip %s has an average gradient of %v", name, s.Strip, g)
		}
		if lo, hi := s.Speed.Low, s.Speed.High; lo != nil && hi != nil && !(*lo > 0 && *hi < 200**lo) {
			t.Errorf("%s: strip %s has a speed between %v and %v", name, s.Strip, *lo, *hi)
		}
	}
}

// A density that no film has is refused at its place.
func TestHardRollRefused(t *testing.T) {
	h := hardRoll{times: []float64{4, 6}, steps: 21, step: 0.15, from: -3.2, sd: 0.01, target: 0.5, gamma: growing(16), width: 0.1, toe: -2.9}
	_, err := roll.Read(h.make(1).Files)
	if err == nil || !strings.HasPrefix(err.Error(), "strips.csv:") || !strings.Contains(err.Error(), "want a density from 0 to ") {
		t.Errorf("%v", err)
	}
}
