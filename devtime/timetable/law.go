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
		sh := robust.Shifts{Probability: make([]float64, len(use)), Implied: make([]float64, len(use))}
		for s := range sh.Implied {
			sh.Implied[s] = math.NaN()
		}
		return "none: too few rows to imply each other", sh
	}
	y := make([]float64, len(use))
	for s, i := range use {
		y[s] = math.Log(rows[i].Time.Minutes())
	}
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
	l := robust.Linear{
		Z:     make([][]float64, len(use)),
		Share: 0.02,
		// How well makers keep to any law, in ln of time.
		Scatter: []float64{0, 0.015, 0.03, 0.06, 0.12},
	}
	var strict, loose []float64
	term := func(values []float64, mean, sd, sdLoose float64) {
		for s := range use {
			l.Z[s] = append(l.Z[s], values[s])
		}
		l.Mean = append(l.Mean, mean)
		strict, loose = append(strict, sd), append(loose, sdLoose)
	}
	ones := make([]float64, len(use))
	for s := range ones {
		ones[s] = 1
	}
	term(ones, math.Log(8), 1, 1)
	centre := func(x []float64) (levels []float64, at float64) {
		levels = slices.Compact(slices.Sorted(slices.Values(x)))
		return levels, robust.Median(x)
	}
	steps := func(x, levels []float64, sd float64) {
		if len(levels) < 3 || len(levels) > 40 {
			return
		}
		for _, v := range levels {
			is := make([]float64, len(x))
			for s := range x {
				if x[s] == v {
					is[s] = 1
				}
			}
			term(is, 0, 0, sd)
		}
	}
	minus := func(x []float64, at float64) []float64 {
		out := make([]float64, len(x))
		for i, v := range x {
			out[i] = v - at
		}
		return out
	}
	var says []func(c []float64) string
	shown := func(at int, of func(v float64) string) {
		says = append(says, func(c []float64) string { return of(c[at]) })
	}
	if len(ei) > 0 {
		levels, at := centre(ei)
		if len(levels) > 1 {
			shown(len(l.Mean), func(v float64) string { return fmt.Sprintf("by %.2f a stop of index", math.Exp(v)) })
			term(minus(ei, at), 0.31, 0.12, 0.12)
			steps(ei, levels, 0.05)
		}
	}
	if len(dil) > 0 {
		levels, at := centre(dil)
		if len(levels) > 1 {
			shown(len(l.Mean), func(v float64) string { return fmt.Sprintf("as the dilution to the power %.2f", v) })
			term(minus(dil, at), 0.8, 0.35, 0.35)
			steps(dil, levels, 0.05)
		}
	}
	if rows[0].Temperature != 0 || rows[0].Fahrenheit != 0 {
		levels, _ := centre(tc)
		if len(levels) > 1 {
			shown(len(l.Mean), func(v float64) string { return fmt.Sprintf("with temperature by a Q10 of %.2f", math.Exp(-10*v)) })
			term(tc, -0.092, 0.04, 0.04)
			if len(levels) > 2 {
				bend := make([]float64, len(tc))
				for s, v := range tc {
					bend[s] = v * v / 25
				}
				term(bend, 0, 0, 0.05)
			}
		}
	}
	l.SD = [][]float64{strict, loose}
	// The rounding is relative to the true time, for which the printed one stands
	// at first.
	noise := make([]float64, len(use))
	mid := math.Exp(robust.Median(y))
	set := func(at func(s int) float64) {
		for s := range noise {
			t := min(max(at(s), mid/4), mid*4)
			noise[s] = step.Minutes() / math.Sqrt(12) / max(t, step.Minutes())
		}
	}
	set(func(s int) float64 { return math.Exp(y[s]) })
	var sh robust.Shifts
	for range 2 {
		var ok bool
		if sh, ok = l.Shifts(y, noise); !ok {
			// Nothing can be implied; logic alone remains.
			sh = robust.Shifts{Probability: make([]float64, len(use)), Implied: make([]float64, len(use))}
			for s := range y {
				sh.Implied[s] = math.NaN()
			}
			return "none: the rows do not allow one", sh
		}
		set(func(s int) float64 {
			if sh.Probability[s] > 0.5 {
				return math.Exp(sh.Implied[s])
			}
			return math.Exp(y[s])
		})
	}
	var words []string
	for _, f := range says {
		words = append(words, f(sh.Coefficients))
	}
	law := "one time for all rows"
	if len(words) > 0 {
		law = "development time goes " + strings.Join(words, ", ")
	}
	return fmt.Sprintf("%s; printed in steps of %s", law, devtime.FormatTime(step)), sh
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
