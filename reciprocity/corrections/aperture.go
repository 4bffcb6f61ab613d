package corrections

import (
	"cmp"
	"math"
	"slices"

	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito/printed"
)

// checkPercent holds the printed lengthening against the two times.
func checkPercent(rep *printed.Builder, rows []Row) {
	for i, r := range rows {
		if math.IsNaN(r.Percent) || r.Adjusted == 0 {
			continue
		}
		implied := 100 * (r.Adjusted/r.Metered - 1)
		half := lastPlace(r.printed("adjusted_s", r.Adjusted), r.Adjusted) / 2 / r.Metered * 100
		// The times may be exact; the percentage is rounded to a unit, or to five
		// where it ends in 0 or 5, or cut off.
		if math.Abs(r.Percent-implied) <= 1+min(half, 0.5)+1e-9 {
			continue
		}
		f := printed.Finding{Row: i + 1, Column: "lengthening_percent", Rule: "the lengthening is that of the two times",
			Printed: r.printed("lengthening_percent",
				r.Percent), Implied: printed.ThreeDigits(implied), Deviation: r.Percent - implied, Unit: "percent", Confidence: printed.High}
		above := math.NaN()
		if i > 0 {
			above = rows[i-1].Percent
		}
		f.Slip = printed.SlipOf(r.Percent, implied, above, r.text["lengthening_percent"])
		rep.Add(f)
	}
}

// checkAperture holds the aperture against the law of the times.
func checkAperture(rep *printed.Builder, rows []Row, law reciprocity.Law) {
	var stops []float64
	for _, r := range rows {
		if a := float64(r.Aperture); a > 0 {
			stops = append(stops, a)
		}
	}
	half := stopStep(stops) / 2
	if law == nil {
		aperturesAlone(rep, rows, 2*half)
	}
	for i, r := range rows {
		a := float64(r.Aperture)
		if math.IsNaN(a) {
			continue
		}
		f := printed.Finding{Row: i + 1, Column: "aperture_stops", Printed: r.printed("aperture_stops", a), Unit: "stops"}
		byTime := math.NaN()
		if r.Adjusted > 0 && !rep.Has(i+1, "adjusted_s") {
			byTime = math.Log2(r.Adjusted / r.Metered)
		}
		implied := math.NaN()
		if law != nil && !math.IsNaN(byTime) {
			if s, err := reciprocity.Aperture(law, r.Metered); err == nil {
				implied = max(0, float64(s))
			}
		}
		long := r.Metered >= shortEnd
		switch {
		case !math.IsNaN(byTime) && long && a > byTime+half+0.1:
			f.Rule = "on the long side opening up takes no more stops than lengthening does"
			if math.IsNaN(implied) {
				implied = byTime
			}
		case !math.IsNaN(implied) && math.Abs(a-implied) > half+0.25:
			f.Rule = "the aperture agrees with the time"
		default:
			continue
		}
		f.Implied = printed.Plain(math.Round(implied*100) / 100)
		f.Deviation = a - implied
		f.Confidence = printed.Low
		if math.Abs(f.Deviation) > half+0.5 {
			f.Confidence = printed.High
		}
		above := math.NaN()
		if i > 0 {
			above = float64(rows[i-1].Aperture)
		}
		f.Slip = printed.SlipOf(a, implied, above, r.text["aperture_stops"])
		rep.Add(f)
	}
	// Longer is never less.
	order := slices.DeleteFunc(byMetered(rows), func(i int) bool {
		return !(float64(rows[i].Aperture) >= 0) || rows[i].Metered < shortEnd || rep.Has(i+1, "aperture_stops")
	})
	xs, ys := make([]float64, len(order)), make([]float64, len(order))
	for k, i := range order {
		xs[k], ys[k] = rows[i].Metered, float64(rows[i].Aperture)+1
	}
	for _, k := range printed.Misplaced(ys, 1, xs) {
		i := order[k]
		a := float64(rows[i].Aperture)
		f := printed.Finding{Row: i + 1, Column: "aperture_stops", Rule: "the correction rises with the time",
			Printed: rows[i].printed("aperture_stops", a), Unit: "stops", Confidence: printed.High}
		if k > 0 {
			near := float64(rows[order[k-1]].Aperture)
			f.Implied, f.Deviation = rows[order[k-1]].printed("aperture_stops", near), a-near
		}
		rep.Add(f)
	}
}

// aperturesAlone weighs the stops of a table that prints no times by a smooth curve through
// each other, as an additive column.
func aperturesAlone(rep *printed.Builder, rows []Row, step float64) {
	s := printed.Series{Column: "aperture_stops", Step: []float64{step}, Additive: true}
	var at []int
	for _, i := range byMetered(rows) {
		r := rows[i]
		if a := float64(r.Aperture); r.Adjusted > 0 {
			return
		} else if !math.IsNaN(a) && r.Metered >= shortEnd {
			s.X, s.Y, s.Text = append(s.X, r.Metered), append(s.Y, a), append(s.Text, r.printed("aperture_stops", a))
			at = append(at, i)
		}
	}
	free, err := printed.CheckFree(s)
	if err != nil {
		return // too few rows; logic alone remains
	}
	rep.Law, rep.Unseen = free.Law, free.Unseen
	for k, i := range at {
		rep.Implied[i], rep.Low[i], rep.High[i] = free.Implied[k], free.Low[k], free.High[k]
	}
	for _, f := range free.Findings {
		f.Row, f.Unit = at[f.Row-1]+1, "stops"
		rep.Add(f)
	}
}

// byMetered is the order of the metered times.
func byMetered(rows []Row) []int {
	out := make([]int, len(rows))
	for i := range out {
		out[i] = i
	}
	slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(rows[a].Metered, rows[b].Metered) })
	return out
}

// stopStep is the step that printed stops are rounded to.
func stopStep(v []float64) float64 {
	for _, s := range []float64{1, 0.5, 1.0 / 3, 0.25, 0.1} {
		if !slices.ContainsFunc(v, func(x float64) bool { return math.Abs(x/s-math.Round(x/s)) > 0.05 }) {
			return s
		}
	}
	return 0.1
}
