package timetable

import (
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/robust"
	"example.org/actinic/sensito/printed"
)

// times is the column of times while it is checked.
type times struct {
	rows  []Row
	temps []float64
	use   []int // the rows whose conditions can be
	rep   *printed.Builder
	step  time.Duration
	// by row; NaN where the others say nothing
	p, implied, sd, cut, least []float64
	order                      []outOfOrder
	found                      map[int]printed.Finding
}

// cutOff is the probability of a slip from which a row is accused; under it at most one in
// fifty clean tables is, with a scatter of the maker's of a tenth of a stop or without, in one
// step or in steps that grow with the time (study_test.go). least is the share of no scatter in
// the probability: what is a slip only if the other rows are scattered counts for a part, since
// a scattered row is easily taken for one.
func cutOff(rows int, least float64) float64 {
	odds := 0.6
	switch {
	case rows < 4 || rows > 16:
		return printed.AccusedFrom
	case rows < 6:
		odds = 0.13
	case rows == 8 || rows == 9:
		odds = 0.45
	}
	const scattered = 0.3
	return odds / (odds + least + scattered*(1-least))
}

// steady is the share of no scatter in the probability of a slip from which the other rows are
// said to keep to their rounding.
const steady = 0.2

// checkTimes looks at the times: what the other rows imply, then the order, which no
// remark softens, then what is unusual.
func checkTimes(rep *printed.Builder, rows []Row, temps []float64) {
	n := len(rows)
	t := &times{rows: rows, temps: temps, rep: rep, found: map[int]printed.Finding{}, p: make([]float64, n),
		implied: make([]float64, n), sd: make([]float64, n), cut: make([]float64, n), least: make([]float64, n)}
	printedTimes := make([]time.Duration, n)
	for i, r := range rows {
		printedTimes[i] = r.Time
		t.p[i], t.implied[i], t.sd[i] = 0, math.NaN(), math.NaN()
		if !math.IsNaN(temps[i]) {
			t.use = append(t.use, i)
		}
	}
	t.step = stepOf(printedTimes)
	law, sh := developmentLaw(rows, temps, t.use, t.step)
	rep.Law = law
	t.take(sh)
	t.order = disorder(rows, temps, t.use)
	t.accuse()
	t.disordered()
	for i := range rows {
		if f, ok := t.found[i]; ok {
			rep.Add(f)
		}
	}
	remarkBands(rep, rows, temps, t.use, t.step)
	t.offStep()
}

// take takes over what the rows say of each other.
func (t *times) take(sh robust.Shifts) {
	var unseen []float64
	for s, i := range t.use {
		t.p[i], t.implied[i], t.cut[i] = sh.Probability[s], sh.Implied[s], cutOff(len(t.use), sh.Least[s])
		t.least[i] = sh.Least[s]
		minutes := math.Exp(sh.Implied[s])
		t.rep.Implied[i] = minutes
		if s >= len(sh.SD) || math.IsNaN(minutes) {
			continue
		}
		t.sd[i] = sh.SD[s]
		spread := math.Exp(1.96 * sh.SD[s])
		t.rep.Low[i], t.rep.High[i] = minutes/spread, minutes*spread
		unseen = append(unseen, math.Exp(unseenBelow(sh.SD[s], t.cut[i])))
	}
	t.rep.Unseen = printed.UnseenBelow(unseen)
}

// unseenBelow is the change in ln of a time at which a row passes the cut-off: where
// the shift of a slip, of standard deviation 1, is so much likelier than none.
func unseenBelow(sd, cut float64) float64 {
	const share, slip = 0.02, 1.0
	v := 1 / (1/(sd*sd) - 1/(slip*slip+sd*sd))
	if !(v > 0) {
		return math.Inf(1)
	}
	odds := cut / (1 - cut) / share * math.Sqrt(slip*slip+sd*sd) / sd
	return math.Sqrt(2 * v * math.Log(max(odds, 1)))
}

func (t *times) finding(i int) printed.Finding {
	r, at := t.rows[i], t.implied[i]
	var implied time.Duration
	if minutes := math.Exp(at); minutes < 60000 {
		implied = time.Duration(minutes * float64(time.Minute)).Round(time.Second)
	}
	read, above := r.Time.Minutes(), 0.0
	if i > 0 {
		above = t.rows[i-1].Time.Minutes()
	}
	f := printed.Finding{Row: i + 1, Column: "time", Printed: r.printed(), Unit: "percent", Probability: confidence(t.p[i], t.least[i], len(t.use))}
	if implied > 0 {
		f.Number(implied.Minutes(), t.rep.Low[i], t.rep.High[i])
		f.Implied = devtime.FormatTime(implied)
		f.Deviation = 100 * (read/implied.Minutes() - 1)
		f.Slip = printed.SlipOf(read, implied.Minutes(), above, r.text, devtime.FormatTime(r.Time), printed.Plain(read))
		if f.Slip == "" && i+1 < len(t.rows) && t.rows[i+1].Time == r.Time {
			f.Slip = printed.SlipCopiedBelow
		}
		if s := t.shifted(i); s != "" {
			f.Slip = s
		}
	}
	return f
}

// shifted tells whether this row and a neighbour both carry what is implied for the row
// before them, or for that after.
func (t *times) shifted(i int) printed.Slip {
	like := func(k, from int) bool {
		if k < 0 || k >= len(t.rows) || from < 0 || from >= len(t.rows) || math.IsNaN(t.implied[k]) || math.IsNaN(t.implied[from]) {
			return false
		}
		read := math.Log(t.rows[k].Time.Minutes())
		return math.Abs(read-t.implied[from]) < 0.06 && math.Abs(read-t.implied[k]) > 0.12
	}
	for _, by := range []int{-1, 1} {
		if like(i, i+by) && (like(i-by, i) || like(i+by, i+2*by)) {
			return printed.SlipShifted
		}
	}
	return ""
}

// accuse says what the weighing found: the likeliest row from the cut-off on, others from
// a half.
func (t *times) accuse() {
	worst := -1
	for _, i := range t.use {
		if worst < 0 || t.p[i] > t.p[worst] {
			worst = i
		}
	}
	for _, i := range t.use {
		p := t.p[i]
		high := p >= printed.AccusedFrom || i == worst && p >= t.cut[i] || p > 0.5 && p >= t.cut[i]
		if !high && p < printed.RemarkedFrom && !(p >= t.cut[i]/2 && i == worst) {
			continue
		}
		f := t.finding(i)
		f.Rule, f.Confidence = "the time that the other rows imply", printed.Low
		if high {
			f.Confidence = printed.High
		}
		t.found[i] = f
	}
}

// disordered names rows out of order. Of the pairs out of order, the row that stands in
// most of them is named, and it is accused where the order is broken by more than a step and
// a tenth, whatever else is said of it; where the other rows do not keep to any law so well,
// by more than three standard deviations of a difference of two.
func (t *times) disordered() {
	accused := func(i int) bool { return t.found[i].Confidence == printed.High }
	left := slices.DeleteFunc(slices.Clone(t.order), func(o outOfOrder) bool { return accused(o.long) || accused(o.short) })
	for len(left) > 0 {
		worst := t.mostOutOfOrder(left)
		f := t.finding(worst)
		f.Confidence = printed.Low
		for _, o := range left {
			if o.long != worst && o.short != worst {
				continue
			}
			if f.Rule == "" {
				f.Rule = o.rule(worst)
			}
			d := t.rows[o.short].Time - t.rows[o.long].Time
			if off := math.Log(float64(t.rows[o.short].Time) / float64(t.rows[o.long].Time)); d > t.step && off > max(math.Log(1.1), t.scatter(o)) {
				f.Confidence = printed.High
				f.Probability = max(f.Probability, brokenOrder)
			}
		}
		if _, remarked := t.found[worst]; !remarked || f.Confidence == printed.High {
			t.found[worst] = f
		}
		left = slices.DeleteFunc(left, func(o outOfOrder) bool { return o.long == worst || o.short == worst })
	}
}

// scatter is three standard deviations of the difference of two rows in ln of time, as the
// rows other than the pair stand about what is implied for them.
func (t *times) scatter(o outOfOrder) float64 {
	var off []float64
	for _, i := range t.use {
		if d := math.Log(t.rows[i].Time.Minutes()) - t.implied[i]; i != o.long && i != o.short && !math.IsNaN(d) {
			off = append(off, math.Abs(d))
		}
	}
	if len(off) < 2 {
		return 0
	}
	return 3 * math.Sqrt2 * robust.Consistency * robust.Median(off)
}

func (t *times) mostOutOfOrder(left []outOfOrder) int {
	count := map[int]int{}
	for _, o := range left {
		count[o.long]++
		count[o.short]++
	}
	worst := -1
	for _, i := range t.use {
		if count[i] > 0 && (worst < 0 || count[i] > count[worst] || count[i] == count[worst] && t.p[i] > t.p[worst]) {
			worst = i
		}
	}
	return worst
}

// offStep remarks on times off the table's own step.
func (t *times) offStep() {
	if t.step < 15*time.Second {
		return
	}
	for i, r := range t.rows {
		if r.Time%t.step == 0 || r.high > 0 || t.rep.Has(i+1, "time") {
			continue
		}
		f := t.finding(i)
		f.Rule = fmt.Sprintf("the other times are in steps of %s", devtime.FormatTime(t.step))
		f.Confidence = printed.Low
		t.rep.Add(f)
	}
}

// brokenOrder is the probability that is printed for a row named for the order alone.
const brokenOrder = 0.95

// confidence is the printed probability for that of the weighing, as the study has it where 15
// of 100 tables hold a slip: of ten rows and more that need a scatter one or the other stands
// out by chance.
func confidence(p, least float64, rows int) float64 {
	switch {
	case math.IsNaN(p):
		return 0
	case least > steady || rows < 10:
		return p
	case rows < 13:
		return math.Pow(p, 3)
	}
	return math.Pow(p, 5)
}
