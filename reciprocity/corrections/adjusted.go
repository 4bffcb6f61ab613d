package corrections

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito/printed"
)

// shortEnd is where a table's short end begins.
const shortEnd = 0.02

// mirror lays the times of the short end, whose failure grows as they shrink, on those of
// the long.
const mirror = -7.0

// mostWeighed is the number of rows that are weighed together; a longer table is weighed in
// parts.
const mostWeighed = 40

// adjusted is the column of adjusted times while it is checked.
type adjusted struct {
	rows []Row
	rep  *printed.Builder
	// verdicts of the weighing, by row
	p, implied, low, high, shifted []float64
	cut                            []float64
	coarse                         bool                    // rounded to third stops or the marks of times
	found                          map[int]printed.Finding // by row
	unseen                         []float64               // the least change of a row that would have been accused, as a ratio
}

// checkAdjusted looks at the adjusted times, and returns the law of those not accused; nil
// where there is none.
func checkAdjusted(rep *printed.Builder, rows []Row) reciprocity.Law {
	a := &adjusted{rows: rows, rep: rep, found: map[int]printed.Finding{}}
	for _, v := range []*[]float64{&a.p, &a.implied, &a.low, &a.high, &a.shifted, &a.cut} {
		*v = make([]float64, len(rows))
		for i := range *v {
			(*v)[i] = math.NaN()
		}
	}
	long, short := a.points()
	for _, part := range [][]point{long, short} {
		for len(part) > 0 {
			n := len(part)
			if n > mostWeighed {
				n = max(min(mostWeighed, n-mostWeighed/2), mostWeighed/2)
			}
			a.weigh(part[:n])
			part = part[n:]
		}
	}
	copy(rep.Implied, a.implied)
	rep.Low, rep.High = a.low, a.high
	a.accuse()
	a.notShorter()
	a.rising()
	a.once()
	a.notFalling()
	for i := range rows {
		if f, ok := a.found[i]; ok {
			rep.Add(f)
		}
	}
	rep.Unseen = printed.UnseenBelow(a.unseen)
	return a.law()
}

// points are the rows with a time, in the order of the metered times.
func (a *adjusted) points() (long, short []point) {
	for _, i := range byMetered(a.rows) {
		r := a.rows[i]
		if r.Adjusted == 0 {
			continue
		}
		p := point{row: i, x: math.Log2(r.Metered), y: math.Log2(r.Adjusted / r.Metered), t: r.Adjusted, m: r.Metered,
			unit: 1, low: r.low, high: r.high}
		if u := r.unit["adjusted_s"]; u > 0 {
			p.unit = u
		}
		if r.Metered < shortEnd {
			p.x = mirror - p.x
			short = append(short, p)
		} else {
			long = append(long, p)
		}
	}
	return long, short
}

// weigh weighs rows by each other.
func (a *adjusted) weigh(points []point) {
	if len(points) < printed.FewRows {
		return
	}
	w := weigh(points)
	a.coarse = a.coarse || w.rounding == thirds || w.rounding == marks
	for k, p := range points {
		i := p.row
		a.p[i], a.shifted[i], a.cut[i] = w.p[k], w.shifted[k], w.cutOff(k)
		if math.IsNaN(w.implied[k]) {
			continue
		}
		spread := 1.96*w.sd[k] + w.width[k]/2
		a.implied[i] = p.m * math.Exp2(w.implied[k])
		a.low[i], a.high[i] = p.m*math.Exp2(w.implied[k]-spread), p.m*math.Exp2(w.implied[k]+spread)
		a.unseen = append(a.unseen, math.Exp2(unseen(w, k, cutOff(w.rounding, len(points), w.steady, w.steady, w.marked))))
	}
}

// finer makes up for the tails of the mixture where the rounding is finer than what the laws
// leave open; so much made four in five of the slips found that are said to be (TestUnseen).
const finer = 1.5

// unseen is the least change of a row, in stops, that would have been accused: where
// eps q / (eps q + M') passes the cut-off, M' the mass that the other rows predict, taken
// as normal.
func unseen(w weighed, k int, cut float64) float64 {
	sd := math.Sqrt(w.sd[k]*w.sd[k] + w.width[k]*w.width[k]/12)
	if w.rounding == digits || w.rounding == seconds {
		sd *= finer
	}
	ratio := slipShare * w.mass[k] * (1 - cut) / cut * sd * math.Sqrt(2*math.Pi) / ((1 - slipShare) * w.width[k])
	if !(ratio < 1) {
		return w.width[k] / 2
	}
	return max(w.width[k]/2, sd*math.Sqrt(-2*math.Log(ratio)))
}

// finding is about the adjusted time of a row.
func (a *adjusted) finding(i int, implied float64) printed.Finding {
	r := a.rows[i]
	above := 0.0
	if i > 0 {
		above = a.rows[i-1].Adjusted
	}
	f := printed.Finding{Row: i + 1, Column: "adjusted_s", Printed: r.printed("adjusted_s", r.Adjusted), Unit: "stops",
		Confidence: printed.High, Probability: confidence(a.p[i])}
	f.Number(implied, a.low[i], a.high[i])
	if implied > 0 {
		f.Implied = printed.ThreeDigits(implied)
		f.Deviation = math.Log2(r.Adjusted / implied)
		f.Slip = a.slip(i, implied, above)
	}
	return f
}

// slip names what makes the printed time of the implied one.
func (a *adjusted) slip(i int, implied, above float64) printed.Slip {
	r := a.rows[i]
	if a.shifted[i] > 0.5*a.p[i] {
		return printed.SlipShifted
	}
	stops, want := math.Log2(r.Adjusted/r.Metered), math.Log2(implied/r.Metered)
	if want > 0.25 && r.Adjusted != above && math.Abs(stops+want) < 0.12+0.05*want {
		return printed.SlipSign
	}
	if s := printed.SlipOf(r.Adjusted, implied, above, r.text["adjusted_s"], printed.Plain(r.Adjusted)); s != "" {
		return s
	}
	near := func(v, w float64) bool { return v > 0 && w > 0 && math.Abs(math.Log2(v/w)) < 0.12 }
	switch {
	case want > 0.25 && math.Abs(stops-want) > 0.3 && near(r.Adjusted/r.Metered, want):
		return printed.SlipStops
	case want > 0.25 && math.Abs(stops-want) > 0.3 && near(stops, implied/r.Metered):
		return printed.SlipFactor
	case i+1 < len(a.rows) && r.Adjusted == a.rows[i+1].Adjusted:
		return printed.SlipCopiedBelow
	}
	return ""
}

// accuse says what the weighing found.
func (a *adjusted) accuse() {
	worst := -1
	for i, p := range a.p {
		if !math.IsNaN(p) && (worst < 0 || p*a.cut[worst] > a.p[worst]*a.cut[i]) {
			worst = i
		}
	}
	for i, p := range a.p {
		if math.IsNaN(p) || p < max(0.05, a.cut[i]/2) || math.IsNaN(a.implied[i]) {
			continue
		}
		f := a.finding(i, a.implied[i])
		f.Rule = "the time that the other rows imply"
		switch {
		case a.agrees(i):
			f.Rule, f.Confidence, f.Probability = "as many digits as the other rows have", printed.Low, 0
		case !(i == worst && p >= a.cut[i] || p > 0.85 && p >= a.cut[i]):
			f.Confidence = printed.Low
		}
		a.found[i] = f
	}
}

// agrees reports whether a row in digits is what the other rows imply, so that all that is
// against it is one digit more than theirs: a maker who prints 66 and 152 has not slipped. In
// third stops and marks a value off the grid is a slip wherever it lies.
func (a *adjusted) agrees(i int) bool {
	off := math.Abs(math.Log2(a.rows[i].Adjusted / a.implied[i]))
	return !a.coarse && off < agreeing
}

// agreeing is half of what two digits leave open at the least, 1 in 100, in stops.
const agreeing = 0.5 * 0.0144

func (a *adjusted) accused(i int) bool { return a.found[i].Confidence == printed.High }

// broken says that a row breaks a rule. A remark on the row gives way to it, and so does a
// lesser rule; only an accusation stands.
func (a *adjusted) broken(i int, implied float64, rule string, c printed.Confidence) {
	if old, ok := a.found[i]; ok && (old.Confidence == printed.High || c == printed.Low) {
		return
	}
	f := a.finding(i, implied)
	f.Rule, f.Confidence = rule, c
	if c == printed.High {
		f.Probability = max(f.Probability, brokenRule)
	}
	a.found[i] = f
}

// notShorter: the adjusted time is not shorter than the metered one.
func (a *adjusted) notShorter() {
	for i, r := range a.rows {
		if r.Adjusted == 0 || r.Adjusted >= r.Metered {
			continue
		}
		at := r.Metered
		if a.implied[i] > at {
			at = a.implied[i]
		}
		c := printed.High
		if r.Adjusted > 0.9*r.Metered { // a law counted from another reference, or rounding
			c = printed.Low
		}
		a.broken(i, at, "the adjusted time is not shorter than the metered one", c)
	}
}

// rising: the adjusted time rises with the metered one.
func (a *adjusted) rising() {
	order := a.order()
	xs, ys := make([]float64, len(order)), make([]float64, len(order))
	for k, i := range order {
		xs[k], ys[k] = a.rows[i].Metered, a.rows[i].Adjusted
	}
	for _, k := range printed.Misplaced(ys, 1, xs) {
		a.broken(order[k], a.implied[order[k]], "the adjusted time rises with the metered one", printed.High)
	}
}

// order are the rows with a time that are not accused, in the order of the metered times.
func (a *adjusted) order() []int {
	return slices.DeleteFunc(byMetered(a.rows), func(i int) bool { return a.rows[i].Adjusted == 0 || a.accused(i) })
}

// once: one metered time has one adjusted time.
func (a *adjusted) once() {
	order := a.order()
	for k := 1; k < len(order); k++ {
		before, i := a.rows[order[k-1]], a.rows[order[k]]
		if before.Metered == i.Metered && before.Adjusted != i.Adjusted {
			a.broken(order[k], before.Adjusted, fmt.Sprintf("one metered time has one adjusted time (see row %d)",
				order[k-1]+1), printed.Low)
		}
	}
}

// notFalling: in stops a long correction does not fall. Rounded to a third of a stop or to
// the marks of times it may seem to, by up to a third, and by as much again where the
// maker's own scatter is a tenth of a stop; what the rounding of tables of more rows allows
// is for the weighing.
func (a *adjusted) notFalling() {
	order := a.order()
	for k := 1; k < len(order); k++ {
		before, i := order[k-1], order[k]
		r, s := a.rows[before], a.rows[i]
		if r.Metered < 1 || r.Metered == s.Metered {
			continue
		}
		least := (r.Adjusted - lastPlace(r.printed("adjusted_s", r.Adjusted), r.Adjusted)/2) / r.Metered
		most := (s.Adjusted + lastPlace(s.printed("adjusted_s", s.Adjusted), s.Adjusted)/2) / s.Metered
		fall := math.Log2(least / most)
		if !(fall > 0.1) || a.coarse && !(fall > 1./3) {
			continue
		}
		worst, other := i, before
		if a.p[before] > a.p[i] {
			worst, other = before, i
		}
		c := printed.Low
		if fall > 1./3 && len(order) <= printed.FewRows {
			c = printed.High
		}
		a.broken(worst, a.implied[worst], fmt.Sprintf("the correction in stops does not fall as the time grows (see row %d)", other+1), c)
	}
}

// law says the law in words, from what was not accused.
func (a *adjusted) law() reciprocity.Law {
	a.rep.Law = "none: too few rows with a time"
	var readings []reciprocity.Reading
	for i, r := range a.rows {
		if _, remarked := a.found[i]; r.Adjusted > 0 && !remarked {
			readings = append(readings, reciprocity.Reading{Metered: figures.Seconds(r.Metered), Adjusted: figures.Seconds(r.Adjusted)})
		}
	}
	readings = slices.DeleteFunc(readings, func(r reciprocity.Reading) bool { return r.Metered <= 0 || r.Adjusted <= 0 })
	if len(readings) > 1 {
		if best, _, err := reciprocity.Choose(readings, 0.1); err == nil {
			a.rep.Law = best.Law().String()
			return best.Law()
		}
	}
	return nil
}

// brokenRule is the probability that is printed for a row that breaks a rule.
const brokenRule = 0.95

// confidence is the printed probability for that of the weighing, which is cautious: the
// share of named rows that were right in the study, were 15 of 100 tables slipped.
func confidence(p float64) float64 {
	if math.IsNaN(p) {
		return 0
	}
	return p
}
