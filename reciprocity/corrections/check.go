package corrections

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"example.org/actinic/internal/elementary"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
)

// Row is a row of a table of corrections for reciprocity failure.
// Times are in seconds. Of the corrections a table may give some: what it does
// not give is NaN, save Adjusted, which is 0.
type Row struct {
	Metered  float64
	Adjusted float64       // expose this long instead; 0 where not given
	Aperture sensito.Stops // or open the lens by this; NaN where not given
	// Percent is the printed lengthening, 100 (adjusted/metered - 1); NaN where
	// not given.
	Percent float64

	text map[string]string // as printed
	// unit is that of a column in this row, in seconds, and low and high are the ends of a
	// printed range of Adjusted; 0 where none is. factor is the printed one where the table
	// gives no time.
	unit              map[string]float64
	low, high, factor float64
}

func (r Row) printed(column string, v float64) string {
	if t := r.text[column]; t != "" {
		return t
	}
	return printed.Plain(v)
}

// Check checks a table of corrections for reciprocity failure.
//
// First comes logic: the adjusted time is not shorter than the metered one, and
// rises with it; a printed lengthening is that of the two times; and the aperture
// agrees with the time, which does not mean that both are the same number of
// stops. Opened by s stops the film is exposed for the metered time m, as if it had
// been metered at m/2^s, so s is right where
//
//	Adjusted(m / 2^s) = m
//
// Then each time is held against a grid of laws: failure beyond an onset as a
// power of the time, or as a power that is added ([reciprocity.Power] and
// [reciprocity.Additive]), below 1/50 s the short branch of
// [reciprocity.TwoBranch], each with several amounts of scatter. A law counts by how well all rows
// follow it, where any row may be a slip; what is implied for a row is what the
// laws say, weighted by how they do on the others. The noise floor is the
// rounding: half a unit of the second digit, or of the last where that is finer.
//
// Errors: [datafile.ErrData] for no rows, more than 2000, or values out of range.
func Check(rows []Row) (*printed.Report, error) {
	if len(rows) == 0 || len(rows) > printed.MaxRows {
		return nil, fmt.Errorf("%w: a table of %d rows, want 1 to %d", datafile.ErrData, len(rows), printed.MaxRows)
	}
	for i, r := range rows {
		a := float64(r.Aperture)
		switch {
		case !(r.Metered >= shortestSeconds && r.Metered <= longestSeconds):
			return nil, fmt.Errorf("%w: row %d: metered %v s, want 1e-9 s to a century", datafile.ErrData, i+1, r.Metered)
		case r.Adjusted != 0 && !(r.Adjusted >= shortestSeconds && r.Adjusted <= longestSeconds):
			return nil, fmt.Errorf("%w: row %d: adjusted %v s, want 1e-9 s to a century", datafile.ErrData, i+1, r.Adjusted)
		case !math.IsNaN(a) && !(a >= 0 && a <= 20):
			return nil, fmt.Errorf("%w: row %d: opened by %v stops, want 0 to 20", datafile.ErrData, i+1, a)
		case !math.IsNaN(r.Percent) && !(r.Percent >= 0 && r.Percent <= 1e6):
			return nil, fmt.Errorf("%w: row %d: lengthened by %v percent, want 0 or more", datafile.ErrData, i+1, r.Percent)
		case r.Adjusted == 0 && math.IsNaN(a):
			return nil, fmt.Errorf("%w: row %d has no correction", datafile.ErrData, i+1)
		}
	}
	rep := printed.NewBuilder(len(rows))
	law := checkAdjusted(rep, rows)
	checkPercent(rep, rows)
	checkAperture(rep, rows, law)
	return rep.Report(), nil
}

// shortest is where a table's short end begins.
const shortEnd = 0.02

// lastPlace is the unit that a number was rounded to, taken as that of the second
// digit where it ends in zeros.
func lastPlace(text string, v float64) float64 {
	second := math.Pow(10, math.Floor(math.Log10(v))-1)
	mantissa, exp, _ := strings.Cut(strings.ToLower(text), "e")
	e, _ := strconv.Atoi(exp)
	place := math.Pow(10, float64(e))
	if _, frac, ok := strings.Cut(mantissa, "."); ok {
		place = math.Pow(10, float64(e-len(frac)))
	}
	return min(place, second)
}

// failure is a row as a point of the law: x is log2 of the metered time, y the
// stops by time.
type failure struct {
	row  int
	x, y float64
	sd   float64
}

// checkAdjusted looks at the adjusted times, and returns the law of those not
// accused; nil where there is none.
func checkAdjusted(rep *printed.Builder, rows []Row) reciprocity.Law {
	var long, short []failure
	for i, r := range rows {
		if r.Adjusted == 0 {
			continue
		}
		half := lastPlace(r.printed("adjusted_s", r.Adjusted), r.Adjusted) / 2
		f := failure{i, math.Log2(r.Metered), math.Log2(r.Adjusted / r.Metered), math.Log2(1+half/r.Adjusted) / math.Sqrt(3)}
		f.sd = max(f.sd, 0.01)
		if r.Metered < shortEnd {
			short = append(short, f)
		} else {
			long = append(long, f)
		}
	}
	finding := func(i int, implied float64) printed.Finding {
		r := rows[i]
		above := 0.0
		if i > 0 {
			above = rows[i-1].Adjusted
		}
		f := printed.Finding{Row: i + 1, Column: "adjusted_s", Printed: r.printed("adjusted_s", r.Adjusted), Unit: "stops", Confidence: printed.High}
		if implied > 0 {
			f.Implied = printed.ThreeDigits(implied)
			f.Deviation = math.Log2(r.Adjusted / implied)
			f.Slip = printed.SlipOf(r.Adjusted, implied, above, r.text["adjusted_s"], printed.Plain(r.Adjusted))
		}
		return f
	}
	probability := make([]float64, len(rows))
	for _, part := range []struct {
		points []failure
		laws   []lawGrid
	}{{long, longLaws()}, {short, shortLaws()}} {
		p, implied := weighLaws(part.points, part.laws)
		for k, f := range part.points {
			i := f.row
			at := rows[i].Metered * math.Exp2(implied[k])
			probability[i], rep.Implied[i] = p[k], at
			if p[k] < printed.RemarkedFrom {
				continue
			}
			f := finding(i, at)
			f.Rule = "the time that the other rows imply"
			if p[k] < printed.AccusedFrom {
				f.Confidence = printed.Low
			}
			rep.Add(f)
		}
	}
	for i, r := range rows {
		if r.Adjusted == 0 || r.Adjusted >= r.Metered || rep.Has(i+1, "adjusted_s") {
			continue
		}
		at := r.Metered
		if rep.Implied[i] > at {
			at = rep.Implied[i]
		}
		f := finding(i, at)
		f.Rule = "the adjusted time is not shorter than the metered one"
		if r.Adjusted > 0.9*r.Metered { // a law counted from another reference, or rounding
			f.Confidence = printed.Low
		}
		rep.Add(f)
	}
	order := byMetered(rows)
	order = slices.DeleteFunc(order, func(i int) bool { return rows[i].Adjusted == 0 || rep.Has(i+1, "adjusted_s") })
	xs, ys := make([]float64, len(order)), make([]float64, len(order))
	for k, i := range order {
		xs[k], ys[k] = rows[i].Metered, rows[i].Adjusted
	}
	for _, k := range printed.Misplaced(ys, 1, xs) {
		f := finding(order[k], rep.Implied[order[k]])
		f.Rule = "the adjusted time rises with the metered one"
		rep.Add(f)
	}
	for k := 1; k < len(order); k++ {
		if i, before := order[k], order[k-1]; xs[k] == xs[k-1] && ys[k] != ys[k-1] && !rep.Has(i+1, "adjusted_s") {
			f := finding(i, ys[k-1])
			f.Rule, f.Confidence = fmt.Sprintf("one metered time has one adjusted time (see row %d)", before+1), printed.Low
			rep.Add(f)
		}
	}
	// In stops a long correction does not fall, whatever the rounding.
	for k := 1; k < len(order); k++ {
		before, i := order[k-1], order[k]
		a, b := rows[before], rows[i]
		if a.Metered < 1 || a.Metered == b.Metered || rep.Has(i+1, "adjusted_s") || rep.Has(before+1, "adjusted_s") {
			continue
		}
		least := (a.Adjusted - lastPlace(a.printed("adjusted_s", a.Adjusted), a.Adjusted)/2) / a.Metered
		most := (b.Adjusted + lastPlace(b.printed("adjusted_s", b.Adjusted), b.Adjusted)/2) / b.Metered
		fall := math.Log2(least / most)
		if !(fall > 0) {
			continue
		}
		worst, other := i, before
		if probability[before] > probability[i] {
			worst, other = before, i
		}
		f := finding(worst, rep.Implied[worst])
		f.Rule = fmt.Sprintf("the correction in stops does not fall as the time grows (see row %d)", other+1)
		if fall < 0.1 {
			f.Confidence = printed.Low
		}
		rep.Add(f)
	}
	// The law in words, from what was not accused.
	rep.Law = "none: too few rows with a time"
	var readings []reciprocity.Reading
	for i, r := range rows {
		if r.Adjusted > 0 && !rep.Has(i+1, "adjusted_s") {
			readings = append(readings, reciprocity.Reading{Metered: figures.Seconds(r.Metered), Adjusted: figures.Seconds(r.Adjusted)})
		}
	}
	readings = slices.DeleteFunc(readings, func(r reciprocity.Reading) bool { return r.Metered <= 0 || r.Adjusted <= 0 })
	if len(readings) > 1 {
		if best, _, err := reciprocity.Choose(readings, 0.1); err == nil {
			rep.Law = best.Law().String()
			return best.Law()
		}
	}
	return nil
}

// slipShare is how many entries are slips before anything is seen, and slipRange the
// stops over which a slip may lie.
const slipShare, slipRange = 0.03, 16.0

var lawScatter = [...]float64{0, 0.03, 0.08, 0.2, 0.4}

// A lawGrid is laws that are tried: y in stops against x, log2 of seconds.
type lawGrid struct {
	constants [][2]float64
	// at sets y to a law at the points x.
	at func(y, x []float64, c [2]float64)
}

// weighLaws gives for each point the probability of a slip, and what the others
// imply.
func weighLaws(points []failure, grids []lawGrid) (p, implied []float64) {
	n := len(points)
	p, implied = make([]float64, n), make([]float64, n)
	if n < printed.FewRows {
		for i := range implied {
			implied[i] = math.NaN()
		}
		return
	}
	// The density of a point at d from a law, over that of a slip, is height
	// exp(-d²/2v).
	const wide = slipShare / slipRange
	const kinds = len(lawScatter)
	x, at, good := make([]float64, n), make([]float64, n), make([]float64, n)
	half, height := make([]float64, kinds*n), make([]float64, kinds*n)
	for i, f := range points {
		x[i] = f.x
		for k, s := range lawScatter {
			v := f.sd*f.sd + s*s
			half[k*n+i], height[k*n+i] = -0.5/v, (1-slipShare)/(wide*math.Sqrt(2*math.Pi*v))
		}
	}
	density := func(k int) {
		for i, f := range points {
			d := f.y - at[i]
			good[i] = max(d*d*half[k*n+i], -700)
		}
		elementary.Exp(good, good)
		for i, h := range height[k*n : k*n+n] {
			good[i] *= h
		}
	}
	// A first pass finds the greatest weight, so that none overflows. The logarithm
	// of a product is taken when it might.
	laws := 0
	for _, grid := range grids {
		laws += len(grid.constants)
	}
	logs := make([]float64, 0, laws*kinds)
	top := math.Inf(-1)
	for _, grid := range grids {
		for _, c := range grid.constants {
			grid.at(at, x, c)
			for k := range kinds {
				density(k)
				sum, product := 0.0, 1.0
				for _, v := range good {
					if product *= v + 1; product > 1e200 {
						sum, product = sum+math.Log(product), 1
					}
				}
				sum += math.Log(product)
				logs = append(logs, sum)
				top = max(top, sum)
			}
		}
	}
	var total float64
	weight := make([]float64, n)
	for _, grid := range grids {
		for _, c := range grid.constants {
			for k, l := range logs[:kinds] {
				w := math.Exp(l - top)
				if w < 1e-12 {
					continue
				}
				total += w
				grid.at(at, x, c)
				density(k)
				for i, v := range good {
					// without the point itself
					o := w / (v + 1)
					p[i] += o
					weight[i] += o
					implied[i] += o * at[i]
				}
			}
			logs = logs[kinds:]
		}
	}
	for i := range p {
		p[i] /= total
		implied[i] /= weight[i]
	}
	return p, implied
}

// hinge is failure as a power of the time beyond an onset: c is the onset and the
// slope, which is negative for short times.
func hinge(y, x []float64, c [2]float64) {
	for i, x := range x {
		y[i] = max(0, c[1]*(x-c[0]))
	}
}

// added is failure as a power that is added: log2(1 + 2^(c0 + c1 x)).
func added(y, x []float64, c [2]float64) {
	for i, x := range x {
		y[i] = math.Ln2 * (c[0] + c[1]*x)
	}
	elementary.Exp(y, y)
	for i := range y {
		y[i]++
	}
	elementary.Log(y, y)
	for i := range y {
		y[i] /= math.Ln2
	}
}

// longLaws are laws of long exposures.
var longLaws = sync.OnceValue(func() []lawGrid {
	hinges, powers := lawGrid{at: hinge, constants: [][2]float64{{0, 0}}}, lawGrid{at: added}
	for onset := -6.0; onset <= 7; onset += 0.25 {
		for slope := 0.025; slope <= 1.2; slope += 0.025 {
			hinges.constants = append(hinges.constants, [2]float64{onset, slope})
		}
	}
	for b := 0.2; b < 1.05; b += 0.1 {
		for a := -9.0; a <= 1.5; a += 0.125 {
			powers.constants = append(powers.constants, [2]float64{a, b})
		}
	}
	return []lawGrid{hinges, powers}
})

// shortLaws are laws of short ones.
var shortLaws = sync.OnceValue(func() []lawGrid {
	hinges := lawGrid{at: hinge, constants: [][2]float64{{0, 0}}}
	for onset := -17.0; onset <= -6; onset += 0.5 {
		for slope := 0.02; slope <= 0.5; slope += 0.02 {
			hinges.constants = append(hinges.constants, [2]float64{onset, -slope})
		}
	}
	return []lawGrid{hinges}
})

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
			Printed: r.printed("lengthening_percent", r.Percent), Implied: printed.ThreeDigits(implied), Deviation: r.Percent - implied, Unit: "percent", Confidence: printed.High}
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
		f := printed.Finding{Row: i + 1, Column: "aperture_stops", Rule: "the correction rises with the time", Printed: rows[i].printed("aperture_stops", a), Unit: "stops", Confidence: printed.High}
		if k > 0 {
			near := float64(rows[order[k-1]].Aperture)
			f.Implied, f.Deviation = rows[order[k-1]].printed("aperture_stops", near), a-near
		}
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
