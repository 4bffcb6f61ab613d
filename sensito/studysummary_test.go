package sensito

import (
	"fmt"
	"math"
)

// coverage is how often the intervals of a measure held the truth in one cell, in %; NaN where
// it was never told.
func (t *tally) coverage(j int) float64 {
	if t.known[j] == 0 {
		return math.NaN()
	}
	return 100 * float64(t.held[j]) / float64(t.known[j])
}

// medianWidth is that over the best possible; width is sorted once the tally has been printed.
func (t *tally) medianWidth(j int) float64 { return t.width[j][len(t.width[j])/2] }

// over is mean, least and greatest of a figure over tallies, those without it left out.
type over struct {
	sum, least, most float64
	n                int
}

func overAll(ts []*tally, of func(*tally) float64) over {
	o := over{least: math.Inf(1), most: math.Inf(-1)}
	for _, t := range ts {
		if v := of(t); v == v {
			o.sum, o.n = o.sum+v, o.n+1
			o.least, o.most = min(o.least, v), max(o.most, v)
		}
	}
	return o
}

func (o over) mean() float64  { return o.sum / float64(o.n) }
func (o over) String() string { return fmt.Sprintf("%.0f (%.0f to %.0f)", o.mean(), o.least, o.most) }

// several are figures of one kind, condition by condition.
type several []over

func (s several) means() (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for _, o := range s {
		least, most = min(least, o.mean()), max(most, o.mean())
	}
	return least, most
}

func (s several) ends() (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for _, o := range s {
		least, most = min(least, o.least), max(most, o.most)
	}
	return least, most
}

// String has the range of the means where they differ, then that of all.
func (s several) String() string {
	a, b := s.means()
	c, d := s.ends()
	if math.Round(a) == math.Round(b) {
		return fmt.Sprintf("%.0f (%.0f to %.0f)", a, c, d)
	}
	return fmt.Sprintf("%.0f to %.0f (%.0f to %.0f)", a, b, c, d)
}

// clean are the conditions of the doc's table, in its words.
var cleanConditions = []struct{ name, words string }{
	{"06 known", "6 of 0.50, SD 0.01"}, {"07 known", "7 of 0.45"}, {"11 known", "11 of 0.30"}, {"21 known", "21 of 0.15"},
	{"31 known", "31 of 0.10"}, {"07 unknown", "7, SD not stated"}, {"11 unknown", "11, SD not stated"},
	{"21 unknown", "21, SD not stated"}, {"11 fine", "11, SD 0.005"}, {"21 fine", "21, SD 0.005"}, {"21 coarse", "21, SD 0.02"},
	{"21 coarse unknown", "21, 0.02 not stated"},
}

// share is a count of strips in %.
func share(of func(*tally) int) func(*tally) float64 {
	return func(t *tally) float64 { return 100 * float64(of(t)) / float64(t.strips) }
}

func printStudySummary(all map[string][]*tally) {
	cover := func(j int) func(*tally) float64 { return func(t *tally) float64 { return t.coverage(j) } }
	const first = 3 // log Hm, G, ΔD
	three := func(conditions ...string) (s several) {
		for _, c := range conditions {
			for j := range first {
				s = append(s, overAll(all[c], cover(j)))
			}
		}
		return s
	}
	fmt.Println("\nIn the words of the doc:")
	var names []string
	for _, c := range cleanConditions {
		var row several
		widths := over{least: math.Inf(1), most: math.Inf(-1)}
		for j := range first {
			row = append(row, overAll(all[c.name], cover(j)))
			for _, t := range all[c.name] {
				if t.form {
					w := t.medianWidth(j)
					widths.least, widths.most = min(widths.least, w), max(widths.most, w)
				}
			}
		}
		fmt.Printf("%s %v %v %v %.2f to %.2f\n", c.words, row[0], row[1], row[2], widths.least, widths.most)
		if c.name != "06 known" {
			names = append(names, c.name)
		}
	}
	under, cells := 0, 0
	for _, c := range names {
		for _, t := range all[c] {
			for j := range first {
				if cells++; t.coverage(j) < 93 {
					under++
				}
			}
		}
	}
	o := three(names...)
	lo, hi := o.ends()
	mean := 0.0
	for _, x := range o {
		mean += x.mean() / float64(len(o))
	}
	fmt.Printf("strips of 7 to 31 steps: %.0f to %.0f times in a hundred, %.0f in the mean; %d of %d cells below 93\n", lo, hi, mean, under, cells)
	for j := first; j < len(studyMeasures); j++ {
		var s several
		for _, c := range names {
			s = append(s, overAll(all[c], cover(j)))
		}
		fmt.Printf("%s: %v\n", studyMeasures[j].name, s)
	}
	for i, f := range studyFilms {
		var s several
		for _, c := range names {
			s = append(s, overAll(all[c][i:i+1], cover(len(studyMeasures)-1)))
		}
		lo, hi := s.ends()
		fmt.Printf("0.3G of %s: %.0f to %.0f\n", f.name, lo, hi)
	}
	wide := map[bool]float64{}
	bias := 0.0
	for _, c := range names {
		for _, t := range all[c] {
			for j := range first {
				if seven := c == "07 unknown"; !t.form {
					wide[seven] = max(wide[seven], t.medianWidth(j))
				}
			}
			if t.form {
				sum := 0.0
				for _, b := range t.bias[0] {
					sum += b / float64(len(t.bias[0]))
				}
				bias = max(bias, math.Abs(sum))
			}
		}
	}
	fmt.Printf("other films: widths up to %.1f, %.1f with seven steps of unknown deviation; mean error of log Hm on the closed form within %.2f\n", wide[false], wide[true], bias)
	fmt.Printf("rounded: %v; growing: %v; twice: %v\n", three("21 rounded", "21 rounded unknown"), three("21 growing unknown"), three("11 twice", "11 twice unknown"))
	findings := func(c string) over { return overAll(all[c], share(func(t *tally) int { return t.findings })) }
	for _, c := range []string{"21 half stated", "11 half stated", "21 drift", "21 drift unknown"} {
		fmt.Printf("%s: %v, findings on %.0f %%\n", c, three(c), findings(c).mean())
	}
	for _, c := range []string{"07 wild 0.10", "11 wild 0.10", "21 wild 0.10", "21 wild 0.20", "11 leak 0.10", "21 leak 0.10"} {
		n := overAll(all[c], share(func(t *tally) int {
			if c[3:7] == "leak" {
				return t.found[FindLeak]
			}
			return t.named
		}))
		fmt.Printf("%s: named on %.0f to %.0f %%, held %v\n", c, n.least, n.most, three(c))
	}
	var clean several
	for _, c := range names {
		clean = append(clean, findings(c))
	}
	lo, hi = clean.means()
	_, most := clean.ends()
	fmt.Printf("clean strips with a finding about their readings: %.1f to %.1f %%, %.0f %% at most\n", lo, hi, most)
}
