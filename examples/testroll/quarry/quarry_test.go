package quarry

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/sensito"
)

var update = flag.Bool("update", false, "write the shipped roll anew from the generator")

// The film that the roll was made from, so that the truth is known.
const (
	limit     = 1.02   // of the slope of the straight part
	rate      = 0.088  // per minute
	induction = 0.8    // minutes
	toeWidth  = 0.27   // log10 H: a long toe
	toeAt     = -3.02  // after a long development
	slower    = 0.55   // log10 H by which the toe lies higher, times e^(-t/4 min)
	shoulder  = 2.15   // density above base plus fog
	readSD    = 0.01   // of a reading of the strips
	frameSD   = 0.015  // of a reading of the frames
	flare     = 0.0002 // lx·s at the metered exposure of EI 400, scattered over the frame
)

func film(t *testing.T, minutes float64) *sensito.ClosedForm {
	f, err := sensito.NewClosedForm(sensito.Constants{
		BaseFog:  sensito.Density(0.21 + 0.006*minutes),
		Gamma:    limit * -math.Expm1(-rate*(minutes-induction)),
		Toe:      sensito.LogH(toeAt + slower*math.Exp(-minutes/4)),
		ToeWidth: toeWidth, Shoulder: shoulder, Sharpness: 5,
	})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

var development = []struct {
	strip, text string
	minutes     float64
}{{"A", "6:00", 6}, {"B", "8:00", 8}, {"C", "10:30", 10.5}, {"D", "14:00", 14}, {"E", "19:00", 19}}

func density(t *testing.T, f *sensito.ClosedForm, x sensito.LogH) float64 {
	d, err := f.Density(x)
	if err != nil {
		t.Fatal(err)
	}
	return float64(d)
}

func made(t *testing.T) map[string][]byte {
	rng := rand.New(rand.NewPCG(1862, 7))
	var head, strips, bracket bytes.Buffer
	head.WriteString(`{
  "film": "Garnedd Swift (invented)",
  "process": "Tarren 1+31 at 20 °C, inverted once a minute (invented)",
  "light": "sensitometric daylight, 1/50 s",
  "target_average_gradient": 0.58,
  "shadow_stops_below_meter": 4,
  "bracket_development": "14:00",
  "tester": "A. Chwarelwr (invented)",
  "date": "2026-05-09",
  "instrument": "a densitometer with a noise of 0.010 (invented)"
}
`)
	strips.WriteString("strip,development,log_h_lx_s,density,density_sd\n")
	for _, d := range development {
		f := film(t, d.minutes)
		for range 3 {
			fmt.Fprintf(&strips, "%s,%s,,%.3f,%.3f\n", d.strip, d.text, float64(f.BaseFog())+readSD*rng.NormFloat64(), readSD)
		}
		for step := 1; step <= 21; step++ { // 0.15 steps, densest first
			x := -0.62 - (3.05 - 0.15*float64(step-1))
			fmt.Fprintf(&strips, "%s,%s,%.2f,%.3f,%.3f\n", d.strip, d.text, x, density(t, f, sensito.LogH(x))+readSD*rng.NormFloat64(), readSD)
		}
	}
	bracket.WriteString("frame,ei,patch,density,density_sd\n")
	f := film(t, 14)
	frame := 0
	for _, row := range sensito.Scale() {
		if row.Number < 200 || row.Number > 2000 {
			continue
		}
		frame++
		hg := sensito.MeteredExposure / row.Number
		veil := flare * 400 / row.Number
		for _, p := range []struct {
			name  string
			stops float64
		}{{"shadow", -4}, {"midtone", 0}, {"highlight", 3}} {
			x := sensito.LogHOf(hg*math.Exp2(p.stops) + veil)
			fmt.Fprintf(&bracket, "%d,%s,%s,%.3f,%.3f\n", frame, row.Arithmetic(), p.name, density(t, f, x)+frameSD*rng.NormFloat64(), frameSD)
		}
	}
	for range 2 {
		fmt.Fprintf(&bracket, "0,400,unexposed,%.3f,%.3f\n", float64(f.BaseFog())+readSD*rng.NormFloat64(), readSD)
	}
	return map[string][]byte{"test.json": head.Bytes(), "strips.csv": strips.Bytes(), "bracket.csv": bracket.Bytes()}
}

// The shipped files are those of the generator.
func TestShipped(t *testing.T) {
	for name, want := range made(t) {
		if *update {
			if err := os.WriteFile(name, want, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		got, err := Files.ReadFile(name)
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not what the generator makes (%v); run go test ./examples/testroll/quarry -update", name, err)
		}
	}
}

// The truth behind the roll lies within the record's intervals.
func TestTruth(t *testing.T) {
	test, err := roll.Read(Files)
	if err != nil {
		t.Fatal(err)
	}
	r, err := test.Characterise(roll.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	within := func(name string, e *sensito.Estimate, want float64) {
		t.Helper()
		switch {
		case e == nil:
			t.Errorf("%s is missing", name)
		case !(e.Low <= want && want <= e.High):
			t.Errorf("%s is %v, the truth %.4g", name, e, want)
		}
	}
	g := func(minutes float64) float64 {
		v, err := sensito.AverageGradient(film(t, minutes))
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for i, s := range r.Strips {
		f := film(t, development[i].minutes)
		within(s.Strip+" average gradient", s.AverageGradient, g(development[i].minutes))
		ci, _ := sensito.ContrastIndex(f)
		within(s.Strip+" contrast index", s.ContrastIndex, ci)
		xm, _ := sensito.SpeedPoint(f)
		within(s.Strip+" log Hm", &sensito.Estimate{Low: *s.SpeedPointLow, High: *s.SpeedPointHigh}, float64(xm))
	}
	lo, hi := 5.0, 25.0
	for range 60 {
		if m := (lo + hi) / 2; g(m) < test.TargetAverageGradient {
			lo = m
		} else {
			hi = m
		}
	}
	within("development", r.Development, 60*lo)
	if r.Index == nil || r.Index.From != "bracket" {
		t.Fatalf("index %v", r.Index)
	}
	// The index at which the shadow, flare included, falls on the speed point.
	xm, _ := sensito.SpeedPoint(film(t, 14))
	within("index", &r.Index.Estimate, (sensito.MeteredExposure/16+flare*400)/xm.LuxSeconds())
}
