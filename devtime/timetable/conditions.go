package timetable

import (
	"fmt"
	"math"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/sensito/printed"
)

// mended is a row with another dilution or index, as a slip would have changed it.
type mended struct {
	row    Row
	column string
	slip   printed.Slip
	words  string
}

// checkConditions looks for a dilution or index that has slipped: one that stands in this
// row alone, while the value that a slip makes of it, with a zero lost or too many, stands
// in others, whose conditions the row completes; and with which the time is as the others
// imply, while without it it is not. It returns the rows as they were meant, so that the
// time is not blamed.
func checkConditions(rep *printed.Builder, rows []Row, temps []float64) []Row {
	if len(rows) < 4 || len(rows) > 200 {
		return rows
	}
	probabilities := func(rows []Row) []float64 {
		use := make([]int, 0, len(rows))
		p, times := make([]float64, len(rows)), make([]time.Duration, len(rows))
		for i := range rows {
			if times[i] = rows[i].Time; !math.IsNaN(temps[i]) {
				use = append(use, i)
			}
		}
		_, sh := developmentLaw(rows, temps, use, stepOf(times))
		for s, i := range use {
			p[i] = sh.Probability[s]
		}
		return p
	}
	var before []float64
	out := rows
	for i := range rows {
		for _, m := range candidates(rows, temps, i) {
			if before == nil {
				before = probabilities(rows)
			}
			if before[i] < 0.05 {
				break
			}
			tried := append([]Row{}, rows...)
			tried[i] = m.row
			if after := probabilities(tried); !(after[i] < before[i]/10 && after[i] < 0.05) {
				continue
			}
			out = tried
			f := printed.Finding{Row: i + 1, Column: m.column, Unit: "percent", Slip: m.slip, Confidence: printed.High,
				Probability: max(confidence(before[i], 1, len(rows)), 0.5),
				Rule:        "with " + m.words + " the time is what the other rows imply"}
			if m.column == "dilution" {
				f.Printed, f.Implied = rows[i].Dilution.String(), m.row.Dilution.String()
				f.Deviation = 100 * (rows[i].Dilution.Factor()/m.row.Dilution.Factor() - 1)
				f.Number(m.row.Dilution.Factor(), m.row.Dilution.Factor(), m.row.Dilution.Factor())
			} else {
				f.Printed, f.Implied = printed.Plain(rows[i].Index), printed.Plain(m.row.Index)
				f.Deviation = 100 * (rows[i].Index/m.row.Index - 1)
				f.Number(m.row.Index, m.row.Index, m.row.Index)
			}
			rep.Add(f)
			return out
		}
	}
	remarkColon(rep, rows)
	return out
}

// candidates are what a row may have meant: a lone level that a slip makes of one that
// other rows have, where no other row has those conditions already.
func candidates(rows []Row, temps []float64, i int) (out []mended) {
	r := rows[i]
	taken := func(m Row) bool {
		for k, o := range rows {
			if k != i && o.Index == m.Index && o.Dilution == m.Dilution && temps[k] == temps[i] {
				return true
			}
		}
		return false
	}
	count := func(same func(o Row) bool) (n int) {
		for _, o := range rows {
			if same(o) {
				n++
			}
		}
		return n
	}
	if stock, water := r.Dilution.Parts(); stock > 0 && count(func(o Row) bool { return o.Dilution == r.Dilution }) == 1 {
		for _, f := range []float64{10, 0.1, 100, 0.01} {
			d, err := devtime.NewDilution(stock, water*f)
			m := r
			if m.Dilution = d; err != nil || water == 0 || count(func(o Row) bool { return o.Dilution == d }) < 2 || taken(m) {
				continue
			}
			out = append(out, mended{m, "dilution", printed.SlipTens, d.String()})
		}
	}
	if r.Index > 0 && count(func(o Row) bool { return o.Index == r.Index }) == 1 {
		for _, f := range []float64{10, 0.1, 100, 0.01} {
			m := r
			if m.Index = r.Index * f; count(func(o Row) bool { return o.Index == m.Index }) < 2 || taken(m) {
				continue
			}
			out = append(out, mended{m, "ei", printed.SlipTens, "an index of " + printed.Plain(m.Index)})
		}
	}
	return out
}

// remarkColon remarks on a lone 1+30 among rows of 1+31, which is what 1:31 becomes where
// the colon is read as parts in all; times hardly show it.
func remarkColon(rep *printed.Builder, rows []Row) {
	count := map[devtime.Dilution]int{}
	for _, r := range rows {
		count[r.Dilution]++
	}
	for i, r := range rows {
		stock, water := r.Dilution.Parts()
		if stock == 0 || water < 2 || count[r.Dilution] > 1 {
			continue
		}
		for _, by := range []float64{1, -1} {
			d, err := devtime.NewDilution(stock, water+by*stock)
			if err != nil || count[d] < 3 {
				continue
			}
			rep.Add(printed.Finding{Row: i + 1, Column: "dilution", Printed: r.Dilution.String(), Implied: d.String(),
				Unit: "percent", Deviation: 100 * (r.Dilution.Factor()/d.Factor() - 1), Slip: printed.SlipColon, Confidence: printed.Low,
				Rule: fmt.Sprintf("the other rows have %v: a part in all read for a part of water", d)})
		}
	}
}
