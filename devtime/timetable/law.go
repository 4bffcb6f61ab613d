package timetable

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/robust"
	"example.org/actinic/sensito/printed"
)

// developmentLaw finds the law of a table and the rows that do not follow it.
func developmentLaw(rows []Row, temps []float64, use []int, step time.Duration) (string, robust.Shifts) {
	if len(use) < printed.FewRows {
		return "none: too few rows to imply each other", nothingImplied(len(use))
	}
	y := make([]float64, len(use))
	for s, i := range use {
		y[s] = math.Log(rows[i].Time.Minutes())
	}
	t := newTerms(rows, temps, use)
	t.l.Evidence = evidence(rows, use, step)
	sh, ok := t.shifts(y, widths(rows, use, step), step)
	if !ok {
		return "none: the rows do not allow one", nothingImplied(len(use)) // logic alone remains
	}
	var words []string
	for _, f := range t.says {
		words = append(words, f(sh.Coefficients))
	}
	law := "one time for all rows"
	if len(words) > 0 {
		law = "development time goes " + strings.Join(words, ", ")
	}
	return fmt.Sprintf("%s; printed in steps of %s", law, devtime.FormatTime(step)), sh
}

func nothingImplied(n int) robust.Shifts {
	sh := robust.Shifts{Probability: make([]float64, n), Least: make([]float64, n), Implied: make([]float64, n)}
	for s := range sh.Implied {
		sh.Implied[s] = math.NaN()
	}
	return sh
}

// widths are the steps of the rows in minutes: that of the table, or a printed range.
func widths(rows []Row, use []int, step time.Duration) []float64 {
	out := make([]float64, len(use))
	for s, i := range use {
		out[s] = step.Minutes()
		if r := rows[i]; r.high > r.low {
			out[s] = max(out[s], (r.high - r.low).Minutes())
		}
	}
	return out
}

// How far a loose law may be off from level to level of an index or a dilution, and bend with
// temperature in 5 °C, and a law between the strict and the loose one both, in ln of time.
const irregular, bent, between = 0.03, 0.03, 0.015

// A habit is what is usual of a term: the mean of its coefficient and its standard deviation.
type habit struct{ mean, sd float64 }

// What is usual of the slopes and bends of ln of time: on the stops of an index, and on ln of a
// dilution's factor. A push costs the more time the further it goes, and a dilution the less the
// thinner it is; no source.
var (
	pushSlope, pushBend         = habit{0.31, 0.12}, habit{0.02, 0.02}
	dilutionSlope, dilutionBend = habit{0.8, 0.35}, habit{-0.07, 0.07}
)

// terms are the terms of a law of development that a table can tell, with what is known of
// their coefficients beforehand.
type terms struct {
	l             robust.Linear
	strict, loose []float64
	says          []func(c []float64) string
	n             int
}

func newTerms(rows []Row, temps []float64, use []int) *terms {
	t := &terms{n: len(use), l: robust.Linear{
		Z:     make([][]float64, len(use)),
		Share: 0.02,
		// How well makers keep to any law, in ln of time.
		Scatter: []float64{0, 0.015, 0.03, 0.06, 0.12},
	}}
	var ei, dil, tc []float64
	for _, i := range use {
		r := rows[i]
		if r.Index > 0 {
			ei = append(ei, math.Log2(r.Index))
		}
		if s, _ := r.Dilution.Parts(); s > 0 {
			dil = append(dil, math.Log(r.Dilution.Factor()))
		}
		tc = append(tc, temps[i]-20)
	}
	ones := make([]float64, t.n)
	for s := range ones {
		ones[s] = 1
	}
	t.add(ones, math.Log(8), 1, 1)
	t.condition(ei, pushSlope, pushBend, func(v float64) string { return fmt.Sprintf("by %.2f a stop of index", math.Exp(v)) })
	t.condition(dil, dilutionSlope, dilutionBend, func(v float64) string { return fmt.Sprintf("as the dilution to the power %.2f", v) })
	if rows[0].Temperature != 0 || rows[0].Fahrenheit != 0 {
		t.temperature(tc)
	}
	middle := slices.Clone(t.loose)
	for j, sd := range t.strict {
		if sd == 0 {
			middle[j] = between
		}
	}
	t.l.SD = [][]float64{t.strict, middle, t.loose}
	return t
}

// add adds a term: the values of the rows, the mean of its coefficient, and its standard
// deviations under a strict law and a loose one.
func (t *terms) add(values []float64, mean, sd, sdLoose float64) {
	for s := range t.n {
		t.l.Z[s] = append(t.l.Z[s], values[s])
	}
	t.l.Mean = append(t.l.Mean, mean)
	t.strict, t.loose = append(t.strict, sd), append(t.loose, sdLoose)
}

// shown has the coefficient of the next term said.
func (t *terms) shown(of func(v float64) string) {
	at := len(t.l.Mean)
	t.says = append(t.says, func(c []float64) string { return of(c[at]) })
}

func levelsOf(x []float64) []float64 { return slices.Compact(slices.Sorted(slices.Values(x))) }

// condition adds the slope on an index or a dilution, its bend, and the steps from level to
// level that are not quite regular.
func (t *terms) condition(x []float64, slope, bend habit, words func(v float64) string) {
	if len(x) == 0 {
		return
	}
	levels, at := levelsOf(x), robust.Median(x)
	if len(levels) < 2 {
		return
	}
	t.shown(words)
	centred, squared := make([]float64, len(x)), make([]float64, len(x))
	for i, v := range x {
		centred[i] = v - at
		squared[i] = centred[i] * centred[i]
	}
	t.add(centred, slope.mean, slope.sd, slope.sd)
	if len(levels) < 3 {
		return
	}
	t.add(squared, bend.mean, bend.sd, bend.sd)
	if len(levels) > 40 {
		return
	}
	for _, v := range levels {
		is := make([]float64, len(x))
		for s := range x {
			if x[s] == v {
				is[s] = 1
			}
		}
		t.add(is, 0, 0, irregular)
	}
}

// temperature adds the slope on temperature and its bend.
func (t *terms) temperature(tc []float64) {
	levels := levelsOf(tc)
	if len(levels) < 2 {
		return
	}
	t.shown(func(v float64) string { return fmt.Sprintf("with temperature by a Q10 of %.2f", math.Exp(-10*v)) })
	t.add(tc, -0.092, 0.04, 0.04)
	if len(levels) > 2 {
		bend := make([]float64, len(tc))
		for s, v := range tc {
			bend[s] = v * v / 25
		}
		t.add(bend, 0, 0, bent)
	}
}

// shifts finds the rows that do not follow. The rounding is relative to the true time, for
// which the printed one stands at first, and what is implied where that is a slip.
func (t *terms) shifts(y, width []float64, step time.Duration) (sh robust.Shifts, ok bool) {
	noise := make([]float64, len(y))
	mid := math.Exp(robust.Median(y))
	set := func(at func(s int) float64) {
		for s := range noise {
			m := min(max(at(s), mid/4), mid*4)
			noise[s] = width[s] / math.Sqrt(12) / max(m, step.Minutes())
		}
	}
	set(func(s int) float64 { return math.Exp(y[s]) })
	for range 2 {
		if sh, ok = t.l.Shifts(y, noise); !ok {
			return sh, false
		}
		set(func(s int) float64 {
			if sh.Probability[s] > 0.5 {
				return math.Exp(sh.Implied[s])
			}
			return math.Exp(y[s])
		})
	}
	return sh, true
}

// stepOf is the step that printed times are rounded to. A coarser step makes each
// time that is a multiple of it likelier, in proportion, and each that is not a
// slip, with a chance of 0.03.
func stepOf(times []time.Duration) time.Duration {
	best, top := time.Second, math.Inf(-1)
	for _, s := range []time.Duration{time.Minute, 30 * time.Second, 15 * time.Second, 10 * time.Second, 5 * time.Second, time.Second} {
		score := 0.0
		for _, t := range times {
			if t%s == 0 {
				score += math.Log(s.Seconds())
			} else {
				score += math.Log(0.03)
			}
		}
		if score > top {
			best, top = s, score
		}
	}
	return best
}
