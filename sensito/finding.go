package sensito

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/internal/filmfit"
)

// Finding is something about the readings or the film that their fit would not leave
// unsaid.
type Finding struct {
	What        string  `json:"what"`           // [FindWild] and so on
	Step        int     `json:"step,omitempty"` // from 1 over the readings in the order given; 0 where it is not about one
	LogH        LogH    `json:"log_h"`          // where
	Shift       Density `json:"shift_density"`  // by how much density seems to be off there
	Probability float64 `json:"probability"`    // that it is so
	Effect      *Effect `json:"effect,omitempty"`
}

// Effect is what a finding does to a measure, "speed_point_log_h" or
// "average_gradient": the one that it moves more, in units of its interval.
type Effect struct {
	Measure string   `json:"measure"`
	With    Estimate `json:"with"`    // if the readings were taken as they are
	Without Estimate `json:"without"` // as the fit gives it
}

// What a finding is.
const (
	// FindWild is a reading that does not belong to the others: misread, a speck, the
	// wrong patch. Where no one reading can be named, the two likeliest are found, each
	// with a probability below a half.
	FindWild = "wild reading"
	// FindLeak is stray light on the least exposed readings, up to Step.
	FindLeak = "leak"
	// FindForm is a film that is not of the closed form; LogH is where it misses most.
	// The intervals know already.
	FindForm = "form"
	// FindDrift is an error that neighbouring readings share.
	FindDrift = "drift"
	// FindNoise is a scatter that the stated deviations do not explain.
	FindNoise = "noise"
)

// String prints the finding in a few words.
func (f Finding) String() string {
	switch f.What {
	case FindWild:
		return fmt.Sprintf("wild reading: step %d at log H %.2f is off by %+.3f (probability %.2f)",
			f.Step, float64(f.LogH), float64(f.Shift), f.Probability)
	case FindLeak:
		return fmt.Sprintf("leak: the least exposed steps up to step %d at log H %.2f are raised by %.3f (probability %.2f)",
			f.Step, float64(f.LogH), float64(f.Shift), f.Probability)
	}
	return fmt.Sprintf("%s at log H %.2f (probability %.2f)", f.What, float64(f.LogH), f.Probability)
}

// Findings returns what was found, nothing for a strip as it should be.
func (f *Fitted) Findings() []Finding {
	if f == nil {
		return nil
	}
	return slices.Clone(f.findings)
}

// departureFound is the logarithm of the Bayes factor from which the film is not of
// the closed form.
const departureFound = 2

// driftFound is the probability from which a drift is a finding.
const driftFound = 0.7

// find fills the findings.
func (f *Fitted) find() {
	w := &f.weighed
	f.findWild()
	for i, d := range w.Doubts {
		if d.Drift > 0 && w.Chances[i] > driftFound {
			f.findings = append(f.findings, Finding{What: FindDrift, LogH: LogH(f.data.X[0]),
				Probability: w.Chances[i], Effect: f.effect()})
		}
	}
	if w.Departure > departureFound {
		x, by := f.misses()
		f.findings = append(f.findings, Finding{What: FindForm, LogH: x, Shift: by, Probability: 1 / (1 + math.Exp(-w.Departure))})
	}
	if f.widened < surprise {
		f.findings = append(f.findings, Finding{What: FindNoise, LogH: LogH(f.data.X[0]), Probability: 1 - f.widened})
	}
}

// fewSteps is the number of readings below which a wild one can hardly be told from a
// film of another form: it is then named from a smaller probability on.
const fewSteps = 10

// findWild looks at the doubts about single readings and the first ones.
func (f *Fitted) findWild() {
	w := &f.weighed
	wild := make([]float64, len(f.data.X))
	leak, none := 0.0, 0.0
	longest, most := 0, 0.0
	for i, d := range w.Doubts {
		p := w.Chances[i]
		for _, r := range d.Wild {
			wild[r] += p
		}
		if d.Leak > 0 {
			leak += p
			if p > most {
				longest, most = d.Leak, p
			}
		}
		if len(d.Wild) == 0 && d.Leak == 0 { // drift names no reading
			none += p
		}
	}
	unsaid := 0.3
	if len(f.data.X) < fewSteps {
		unsaid = 0.7
	}
	if !(none < unsaid) {
		return
	}
	effect := f.effect()
	found := false
	add := func(i int) {
		shift := f.given[f.order[i]].Density
		if d, err := f.Density(LogH(f.data.X[i])); err == nil {
			shift -= d
		}
		f.findings = append(f.findings, Finding{FindWild, f.order[i] + 1, LogH(f.data.X[i]), shift, wild[i], effect})
		found = true
	}
	for i, p := range wild {
		if p > 0.5 {
			add(i)
		}
	}
	if leak > 0.5 {
		i := longest - 1
		f.findings = append(f.findings, Finding{FindLeak, f.order[i] + 1, LogH(f.data.X[i]), f.leakBy(longest), leak, effect})
		found = true
	}
	if !found { // one of two
		for range 2 {
			best := 0
			for i := range wild {
				if wild[i] > wild[best] {
					best = i
				}
			}
			if wild[best] > 0.1 && f.strays(best) {
				add(best)
			}
			wild[best] = 0
		}
	}
}

// stray is how many standard deviations from the curve a reading must lie to be named as
// one of two: a curve that is free to go through a reading says nothing against it.
const stray = 3

// strays reports whether reading i, in the order of the data, lies that far off.
func (f *Fitted) strays(i int) bool {
	d, err := f.Density(LogH(f.data.X[i]))
	off := math.Abs(f.data.Y[i] - float64(d))
	return err == nil && off*math.Sqrt(f.data.W[i]) > stray*f.weighed.Heaviest().Noise
}

// leakBy is the mean shift of the leak over the first n readings.
func (f *Fitted) leakBy(n int) Density {
	var sum Density
	for i := range n {
		d, _ := f.Density(LogH(f.data.X[i]))
		sum += f.given[f.order[i]].Density - d
	}
	return sum / Density(n)
}

// effect compares the measures with those of the readings taken as they are.
func (f *Fitted) effect() *Effect {
	if len(f.weighed.Plain.Parts) == 0 {
		return nil
	}
	plain := *f
	plain.weighed = filmfit.Weighed{Mixture: f.weighed.Plain, Doubts: []filmfit.Doubt{{}}}
	plain.mean = Interpolated{}
	plain.settleMean()
	var out *Effect
	worst := 0.0
	for _, m := range [...]struct {
		name string
		of   Measure
	}{{"speed_point_log_h", MeasureOf(SpeedPoint)}, {"average_gradient", AverageGradient}} {
		a, errA := plain.Estimate(m.of)
		b, errB := f.Estimate(m.of)
		if errA != nil || errB != nil {
			continue
		}
		by := math.Abs(a[0].Value-b[0].Value) / (b[0].High - b[0].Low)
		if out == nil || by > worst {
			out, worst = &Effect{m.name, a[0], b[0]}, by
		}
	}
	return out
}

// misses returns where the mean curve's slope departs most from the closed form, among
// the readings' exposures, and by how much the density would be off over
// the reach of the departure.
func (f *Fitted) misses() (LogH, Density) {
	k := f.weighed.Mean()
	best := 0
	for i, d := range k.Departure {
		if math.Abs(d*k.Rate[i]) > math.Abs(k.Departure[best]*k.Rate[best]) {
			best = i
		}
	}
	return LogH(k.X[best]), Density(k.Departure[best] * k.Rate[best] * formReach)
}

// formReach is the range of log H over which a departure of the slope is told as a
// density: that of a departure's reach.
const formReach = 0.8
