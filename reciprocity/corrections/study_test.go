package corrections

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/actinic/sensito"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/printedtest"
)

var long = flag.Int("tables", 0, "so many tables of each kind in the study instead of a short run")

// A lawOf is a law of a family out of five, its constants at u, from 0 to 1, of their ranges.
type lawOf func(family int, u []float64) func(m float64) float64

// studyLaw has laws that are not on the checker's grid: an onset with a power, (t+1)^p, an
// added power, slopes drawn anew for each decade, a square beyond an onset.
func studyLaw(family int, u []float64) func(m float64) float64 {
	switch family {
	case 0:
		p, onset := 0.70+0.25*u[0], math.Exp2(-2+4*u[1])
		return func(m float64) float64 {
			if m < onset {
				return m
			}
			return onset * math.Pow(m/onset, 1/p)
		}
	case 1:
		p := 0.72 + 0.23*u[0]
		return func(m float64) float64 { return max(m, math.Pow(m+1, 1/p)-1) }
	case 2:
		a, b := 0.02*math.Exp2(3.5*u[0]), 1.25+0.55*u[1]
		return func(m float64) float64 { return m + a*math.Pow(m, b) }
	case 3:
		onset := -1 + 1.5*u[4]
		return func(m float64) float64 {
			y := 0.0
			for k := range 4 { // u are slopes, stops a stop, by decade
				if d := math.Log10(m) - onset - float64(k); d > 0 {
					y += (0.05 + 0.35*u[k]) * min(d, 1) / math.Log10(2)
				}
			}
			return m * math.Exp2(y)
		}
	}
	c, onset := 0.004+0.03*u[0], -1+3*u[1]
	return func(m float64) float64 {
		d := max(0, math.Log2(m)-onset)
		return m * math.Exp2(c*d*d)
	}
}

var roundTimes = []float64{0.1, 0.25, 0.5, 1, 2, 3, 4, 5, 8, 10, 15, 20, 30, 40, 50, 60, 80, 90, 100, 120, 150, 180, 200, 240, 300, 400, 480, 500, 600, 900, 1000}

// roundTo rounds an adjusted time as a table does.
func roundTo(k kind, m, t float64) float64 {
	switch k {
	case thirds:
		y := math.Round(3*math.Log2(t/m)) / 3
		t = m * math.Exp2(y) // and that to two digits, as books have it
	case marks:
		best := timeMarks[0]
		for _, v := range timeMarks {
			if math.Abs(math.Log(v/t)) < math.Abs(math.Log(best/t)) {
				best = v
			}
		}
		return best
	case clock:
		u := ladder(t, []float64{2, 0.1, 10, 0.5, 60, 1, 120, 5, 300, 15, 900, 30, 3600, 60}, 600)
		return math.Round(t/u) * u
	case seconds:
		u := ladder(t, []float64{2, 0.1, 10, 0.5}, 1)
		return math.Round(t/u) * u
	}
	u := place(t, 2)
	v, _ := parse(fmt.Sprintf("%.6g", math.Round(t/u)*u))
	return v
}

func parse(s string) (float64, error) {
	var v float64
	_, err := fmt.Sscan(s, &v)
	return v, err
}

// drawTable draws a table of n rows: metered times and the adjusted ones, rounded, with a
// scatter of the maker's in stops.
func drawTable(r *rand.Rand, k kind, n int, scatter float64) []Row {
	rows, _ := drawTableOf(r, k, n, scatter)
	return rows
}

// drawTableOf says of which family the table's law is as well.
func drawTableOf(r *rand.Rand, k kind, n int, scatter float64) (rows []Row, family int) {
	return drawTableBy(r, k, n, scatter, studyLaw)
}

func drawTableBy(r *rand.Rand, k kind, n int, scatter float64, of lawOf) (rows []Row, family int) {
	for {
		pick := r.Perm(len(roundTimes))[:n]
		slices.Sort(pick)
		family = r.IntN(5)
		law := of(family, []float64{r.Float64(), r.Float64(), r.Float64(), r.Float64(), r.Float64()})
		rows = nil
		for _, i := range pick {
			m := roundTimes[i]
			if k == marks {
				m = timeMarks[20+i]
			}
			t := roundTo(k, m, max(m, law(m)*math.Exp2(scatter*r.NormFloat64())))
			rows = append(rows, Row{Metered: m, Adjusted: t, Aperture: sensito.Stops(math.NaN()), Percent: math.NaN()})
		}
		last := rows[n-1]
		rises := slices.IsSortedFunc(rows, func(a, b Row) int {
			switch {
			case a.Adjusted < b.Adjusted:
				return -1
			case a.Adjusted > b.Adjusted:
				return 1
			}
			return 0
		})
		if last.Adjusted < 60*last.Metered && rises {
			return rows, family
		}
	}
}

type slip string

var slips = []slip{"25 %", "50 %", "100 %", "swapped digits", "copied neighbour", "rows shifted", "sign of a stop"}

// spoil puts a slip into a table. It returns the rows that are then wrong, nil where the
// table does not lend itself to it.
func spoil(r *rand.Rand, rows []Row, s slip, k kind) []int {
	i := r.IntN(len(rows))
	was := rows[i].Adjusted
	least := 1.25
	if k == thirds || k == marks {
		least = 1.5
	}
	change := func(f float64) []int {
		if r.IntN(2) == 0 {
			f = 1 / f
		}
		// A slip is printed in as many digits as the table has.
		t := was * f
		u := place(t, 2)
		rows[i].Adjusted, _ = parse(fmt.Sprintf("%.6g", math.Round(t/u)*u))
		return []int{i}
	}
	switch s {
	case "25 %":
		return change(1.25)
	case "50 %":
		return change(1.5)
	case "100 %":
		return change(2)
	case "swapped digits":
		b := []byte(fmt.Sprintf("%.6g", was))
		at := r.IntN(len(b))
		if at+1 >= len(b) || b[at] == '.' || b[at+1] == '.' || b[at] == b[at+1] {
			return nil
		}
		b[at], b[at+1] = b[at+1], b[at]
		v, err := parse(string(b))
		if err != nil || v == 0 {
			return nil
		}
		rows[i].Adjusted = v
	case "copied neighbour":
		to := i - 1 + 2*r.IntN(2)
		if to < 0 || to >= len(rows) {
			return nil
		}
		rows[i].Adjusted = rows[to].Adjusted
	case "rows shifted":
		block := 2 + r.IntN(2)
		if i == 0 || i+block > len(rows) {
			return nil
		}
		var out []int
		wide := false
		for j := i + block - 1; j >= i; j-- {
			wide = wide || rows[j].Adjusted/rows[j-1].Adjusted >= least
			rows[j].Adjusted = rows[j-1].Adjusted
			out = append(out, j)
		}
		if !wide {
			return nil
		}
		return out
	case "sign of a stop":
		rows[i].Adjusted = roundTo(digits, 1, rows[i].Metered*rows[i].Metered/was)
	}
	if f := rows[i].Adjusted / was; !(f >= least || f <= 1/least) {
		return nil
	}
	return []int{i}
}

// tally is what a study found.
type tally struct{ n, hit, other, accused int }

func count(t testing.TB, rows []Row, wrong []int, c *tally, said *[]statement) {
	t.Helper()
	rep, err := Check(rows)
	if err != nil {
		t.Fatal(err)
	}
	c.n++
	hit, other := false, false
	for _, f := range rep.Findings {
		right := slices.Contains(wrong, f.Row-1)
		if said != nil {
			*said = append(*said, statement{f.Probability, right, f.Confidence == printed.High, len(wrong) > 0})
		}
		if f.Confidence != printed.High {
			continue
		}
		hit, other = hit || right, other || !right
	}
	if hit {
		c.hit++
		if other {
			c.other++
		}
	}
	if hit || other {
		c.accused++
	}
}

// statement is a probability that was printed.
type statement struct {
	p              float64
	right, accused bool
	slipped        bool
}

// TestStudy draws clean tables, without a scatter of the maker's and with a tenth of a stop,
// and tables with one slip, and prints the rates with their 95 % intervals (Wilson). The
// figures of the long run, -tables 660, are in the doc of the package.
func TestStudy(t *testing.T) {
	n := 16
	if *long > 0 {
		n = *long
	}
	if testing.Short() {
		t.Skip("hundreds of tables")
	}
	for _, k := range []kind{digits, thirds, marks, clock, seconds} {
		t.Run(k.String(), func(t *testing.T) { study(t, k, n, studyLaw) })
	}
}

// TestFewRows is the study's clean tables and slips of 100 % with 4 to 6 rows, in two digits, in third
// stops and in whole seconds, which can be taken for third stops.
func TestFewRows(t *testing.T) {
	n := 20
	if *long > 0 {
		n = *long
	}
	if testing.Short() {
		t.Skip("hundreds of tables")
	}
	for _, k := range []kind{digits, thirds, seconds} {
		for rows := 4; rows <= 6; rows++ {
			r := rand.New(rand.NewPCG(16, uint64(10*int(k)+rows)))
			var clean [2]tally
			for j, scatter := range []float64{0, 0.1} {
				for range 2 * n {
					count(t, drawTable(r, k, rows, scatter), nil, &clean[j], nil)
				}
				if c := clean[j]; c.accused*100 > 6*c.n+300 {
					t.Errorf("%v, %d rows: %d of %d clean tables accused", k, rows, c.accused, c.n)
				}
			}
			found := tally{}
			for found.n < n {
				table := drawTable(r, k, rows, 0)
				if wrong := spoil(r, table, "100 %", k); wrong != nil {
					count(t, table, wrong, &found, nil)
				}
			}
			t.Logf("%v, %d rows: clean accused %s, with a scatter %s; 100 %% found %s", k, rows, printedtest.Rate(clean[0].accused, clean[0].n),
				printedtest.Rate(clean[1].accused, clean[1].n), printedtest.Rate(found.hit, found.n))
		}
	}
}

// Third stops whose times were then rounded to the steps of a clock are third stops.
func TestThirdsByTheClock(t *testing.T) {
	n := 40
	if *long > 0 {
		n = *long
	}
	for _, scatter := range []float64{0, 0.1} {
		c := tally{}
		for rows := 5; rows <= 9; rows += 2 {
			r := rand.New(rand.NewPCG(5, uint64(rows)))
			for range n {
				table := drawTable(r, thirds, rows, scatter)
				for i, row := range table {
					exact := row.Metered * math.Exp2(math.Round(3*math.Log2(row.Adjusted/row.Metered))/3)
					table[i].Adjusted = max(roundTo(clock, row.Metered, exact), row.Metered)
				}
				count(t, table, nil, &c, nil)
			}
		}
		t.Logf("third stops by the clock, scatter %.1f: clean accused %s", scatter, printedtest.Rate(c.accused, c.n))
		if c.accused*100 > 4*c.n {
			t.Errorf("scatter %.1f: %d of %d clean tables accused", scatter, c.accused, c.n)
		}
	}
}

// study is that of a rounding.
func study(t *testing.T, k kind, n int, of lawOf) {
	draw := func(r *rand.Rand, scatter float64) []Row {
		rows, _ := drawTableBy(r, k, 7+r.IntN(2), scatter, of)
		return rows
	}
	r := rand.New(rand.NewPCG(15, uint64(k)))
	var said []statement
	clean, slipped := 0, 0
	for _, scatter := range []float64{0, 0.1} {
		c := tally{}
		for range 2 * n {
			count(t, draw(r, scatter), nil, &c, &said)
		}
		clean += c.n
		t.Logf("%v, clean, scatter %.1f: accused %s", k, scatter, printedtest.Rate(c.accused, c.n))
		if c.accused*100 > 2*c.n+300 {
			t.Errorf("%v: %d of %d clean tables accused", k, c.accused, c.n)
		}
	}
	for _, s := range slips {
		if *long == 0 && k > thirds && s != "50 %" {
			continue // the short run
		}
		c := tally{}
		for c.n < n {
			rows := draw(r, 0)
			if wrong := spoil(r, rows, s, k); wrong != nil {
				count(t, rows, wrong, &c, &said)
			}
		}
		slipped += c.n
		t.Logf("%v, %s: found %s, another row beside it %d, another instead %d", k, s, printedtest.Rate(c.hit, c.n), c.other, c.accused-c.hit)
	}
	for _, s := range calibration(said, slipped, clean) {
		t.Log(k, s)
	}
	for _, s := range slips[1:3] {
		c := tally{}
		for c.n < n && *long > 0 {
			rows := draw(r, 0.1)
			if wrong := spoil(r, rows, s, k); wrong != nil {
				count(t, rows, wrong, &c, nil)
			}
		}
		if c.n > 0 {
			t.Logf("%v, %s on a scatter: found %s", k, s, printedtest.Rate(c.hit, c.n))
		}
	}
}

// slippedShare is the share of tables that hold a slip, for the calibration.
const slippedShare = 0.15

// calibration is the share of findings that were right by their probability, where 15 of
// 100 tables hold a slip; of those that were accused in the second figure.
func calibration(said []statement, slipped, clean int) (out []string) {
	edges := []float64{0.01, 0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 0.85, 0.95, 1.01}
	for k := 1; k < len(edges); k++ {
		var right, all [2]float64
		n := 0
		for _, s := range said {
			if s.p < edges[k-1] || s.p >= edges[k] {
				continue
			}
			w := slippedShare / float64(slipped)
			if !s.slipped {
				w = (1 - slippedShare) / float64(clean)
			}
			n++
			for a := range all {
				if a == 1 && !s.accused {
					continue
				}
				all[a] += w
				if s.right {
					right[a] += w
				}
			}
		}
		out = append(out, fmt.Sprintf("printed probability %.2f to %.2f: %d findings, right %.0f %%, of the accused %.0f %%", edges[k-1], edges[k], n, 100*right[0]/all[0], 100*right[1]/all[1]))
	}
	return out
}
