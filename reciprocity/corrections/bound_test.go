package corrections

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/actinic/sensito/printed/printedtest"
)

// An observer is told what the study draws its tables from, and weighs each table with it: the
// five families of laws with the ranges of their constants, how times are rounded, the maker's
// scatter (none or a tenth of a stop, as likely), and the slip, or only that there is one of up
// to four stops. It says of each row how likely it is a slip. No checker that is told less
// finds more, at as many clean tables accused: what it finds bounds what can be found.
//
//	P(row) ~ share/n Σ over laws  S_row Π over the other rows M_i,    P(no slip) ~ (1-share) Σ over laws Π M_i
//
// with M_i the probability of the printed time under the law, and S_row that of the printed
// time where the true one has slipped. The sum runs over 3e5 laws of each family of two
// constants; slopes by decade, of five, are summed from decade to decade.
type observer struct {
	metres []float64 // the metered times of the tables, in order
	laws   [2][]lawAt
	times  map[float64][]value // that may be printed for a metered time
	// byDecade is whether slopes by decade are among the laws, which are not listed.
	byDecade bool
}

// lawAt is a law at all metered times, in units of fine, with its share of the prior.
type lawAt struct {
	z     []uint16
	share float64
}

const (
	fine    = 0.002 // stops, of the tables of M and S
	deepest = 3200  // units of fine, the deepest correction: 6.4 stops
)

// scattersOfStudy are those of the tables of the study.
var scattersOfStudy = [2]float64{0, 0.1}

// unit is a correction in units of fine.
func unit(y float64) uint16 { return uint16(min(max(math.Round(y/fine), 0), deepest-1)) }

// newObserver is told the laws of the study, of which it draws grid² of each family.
func newObserver(k kind, grid int) *observer {
	o := unlearned(k)
	o.byDecade = true
	// Two constants each evenly over the ranges of drawLawOf, in cells that are drawn in;
	// a scatter needs fewer.
	for s, n := range [2]int{grid, max(grid/5, 20)} {
		r := rand.New(rand.NewPCG(1, uint64(k)))
		for f := range 5 {
			if f == 3 {
				continue
			}
			a, b := n, n
			if f == 1 {
				a, b = 20*n, 1
			}
			for i := range a {
				for j := range b {
					law := studyLaw(f, []float64{(float64(i) + r.Float64()) / float64(a), (float64(j) + r.Float64()) / float64(b)})
					o.learn(s, law, 0.2/float64(a*b))
				}
			}
		}
	}
	return o
}

func unlearned(k kind) *observer {
	o := &observer{times: map[float64][]value{}}
	for i, m := range roundTimes {
		if k == marks {
			m = timeMarks[20+i]
		}
		o.metres = append(o.metres, m)
		o.times[m] = printable(k, m)
	}
	return o
}

// learn adds a law, for one of the scatters.
func (o *observer) learn(scatter int, law func(m float64) float64, share float64) {
	l := lawAt{z: make([]uint16, len(o.metres)), share: share}
	for h, m := range o.metres {
		l.z[h] = unit(math.Log2(max(law(m), m) / m))
	}
	o.laws[scatter] = append(o.laws[scatter], l)
}

// newObserverOf is told the laws of five families, of each of which it draws 4 grid² at random;
// where a law has more constants than three that is few, and the bound is a little low.
func newObserverOf(k kind, grid int, of lawOf) *observer {
	o := unlearned(k)
	for s, n := range [2]int{4 * grid * grid, max(grid*grid/5, 1000)} {
		r := rand.New(rand.NewPCG(1, uint64(k)))
		for f := range 5 {
			for range n {
				law := of(f, []float64{r.Float64(), r.Float64(), r.Float64(), r.Float64(), r.Float64()})
				o.learn(s, law, 0.2/float64(n))
			}
		}
	}
	return o
}

// evidence of a table for one scatter of the maker's: M and S by row and correction.
type evidence struct {
	at   []int // of the metered times
	m, s [][]float64
}

// bell is the normal distribution of a scatter, a step where there is none.
func bell(x, sd float64) float64 {
	if sd == 0 {
		if x > 0 {
			return 1
		}
		return 0
	}
	return 0.5 * math.Erfc(-x/sd/math.Sqrt2)
}

// evidence reads a table under the assumption of slips of a kind.
func (o *observer) evidence(rows []Row, s slip, scatter float64) evidence {
	e := evidence{}
	for i, r := range rows {
		h, _ := slices.BinarySearch(o.metres, r.Metered)
		e.at = append(e.at, h)
		m, sl := make([]float64, deepest), make([]float64, deepest)
		values := o.times[r.Metered]
		for _, v := range values {
			p := 0.0
			if v.t == r.Adjusted {
				p = 1
			}
			// A slip is put into a table whose times rise.
			before, after := 0.0, math.Inf(1)
			if i > 0 {
				before = rows[i-1].Adjusted
			}
			if i+1 < len(rows) {
				after = rows[i+1].Adjusted
			}
			q := 0.0
			if v.t >= before && v.t <= after {
				q = slipped(s, v.t, r.Adjusted)
			}
			if p == 0 && q == 0 {
				continue
			}
			for z := range m {
				y := float64(z) * fine
				mass := bell(v.hi-y, scatter) - bell(v.lo-y, scatter)
				m[z] += p * mass
				sl[z] += q * mass
			}
		}
		e.m, e.s = append(e.m, m), append(e.s, sl)
	}
	return e
}

// value is a time that a table may print, and the corrections that are rounded to it.
type value struct{ t, lo, hi float64 }

// printable are the times that a table may print for a metered one, by trying corrections.
func printable(k kind, metered float64) (out []value) {
	const step = fine / 2
	for y := 0.0; y < fine*deepest; y += step {
		t := roundTo(k, metered, metered*math.Exp2(y))
		if n := len(out); n > 0 && out[n-1].t == t {
			out[n-1].hi = y + step/2
			continue
		}
		out = append(out, value{t, y - step/2, y + step/2})
	}
	out[0].lo = math.Inf(-1) // nothing is printed shorter than the metered time
	return out
}

// anySlip is a slip of up to four stops, as likely anywhere.
const anySlip slip = "any"

// slipped is the probability that a slip makes printed of a true time.
func slipped(s slip, was, printed float64) float64 {
	if s == anySlip {
		if math.Abs(math.Log2(printed/was)) > 4 {
			return 0
		}
		u := place(printed, 2)
		return math.Log2((printed+u/2)/(printed-u/2)) / 8
	}
	f := map[slip]float64{"25 %": 1.25, "50 %": 1.5, "100 %": 2}[s]
	p := 0.0
	for _, f := range [2]float64{f, 1 / f} {
		t := was * f
		u := place(t, 2)
		if v, _ := parse(fmt.Sprintf("%.6g", math.Round(t/u)*u)); v == printed {
			p += 0.5
		}
	}
	return p
}

// weights are the sums over laws of no slip, and of a slip in each row.
func (o *observer) weights(e evidence, scatter int, r *rand.Rand) (none float64, rows []float64) {
	n := len(e.at)
	rows = make([]float64, n)
	mass := make([]float64, n)
	for _, l := range o.laws[scatter] {
		zeros, at, prod := 0, -1, l.share
		for i, h := range e.at {
			mass[i] = e.m[i][l.z[h]]
			if mass[i] < 1e-12 {
				if zeros++; zeros > 1 {
					break
				}
				at = i
				continue
			}
			prod *= mass[i]
		}
		switch zeros {
		case 0:
			none += prod
			for i, h := range e.at {
				rows[i] += prod / mass[i] * e.s[i][l.z[h]]
			}
		case 1:
			rows[at] += prod * e.s[at][l.z[e.at[at]]]
		}
	}
	if !o.byDecade {
		return none, rows
	}
	const onsets = 24
	for k := range onsets {
		onset := -1 + 1.5*(float64(k)+r.Float64())/onsets
		b := o.decades(e, onset, scatter, r)
		none += 0.2 / onsets * b[most]
		for i := range rows {
			rows[i] += 0.2 / onsets * b[i]
		}
	}
	return none, rows
}

// most is the number of rows of a table of the study.
const most = 8

// belief is the weight of a slip in each row so far, and in the last place of none.
type belief [most + 1]float64

// row takes up row j.
func (b *belief) row(j int, m, s float64) {
	for q := range j {
		b[q] *= m
	}
	b[j] = b[most] * s
	b[most] *= m
}

// decades sums over the slopes of four decades from an onset on: the weight of having come
// to a correction goes from decade to decade.
func (o *observer) decades(e evidence, onset float64, scatter int, r *rand.Rand) belief {
	const grid = 0.01 // stops
	cells := int(fine*deepest/grid) + 1
	state, next := make([]belief, cells), make([]belief, cells)
	state[0][most] = 1
	decade := make([]float64, len(e.at)) // from the onset
	for i, h := range e.at {
		decade[i] = math.Log10(o.metres[h]) - onset
	}
	i := 0
	for ; i < len(decade) && decade[i] <= 0; i++ { // not yet at the onset
		state[0].row(i, e.m[i][0], e.s[i][0])
	}
	slopes := [2]int{56, 14}[scatter]
	for d := range 4 {
		from := i
		for i < len(decade) && decade[i] <= float64(d)+1 {
			i++
		}
		clear(next)
		for c := range state {
			if state[c] == (belief{}) {
				continue
			}
			for k := range slopes {
				slope := (0.05 + 0.35*(float64(k)+r.Float64())/float64(slopes)) / math.Log10(2)
				w := state[c]
				for j := from; j < i; j++ {
					z := unit(float64(c)*grid + slope*(decade[j]-float64(d)))
					w.row(j, e.m[j][z], e.s[j][z])
				}
				if w == (belief{}) {
					continue
				}
				to := &next[min(int(float64(c)+slope/grid+r.Float64()), cells-1)]
				for q, v := range w {
					to[q] += v / float64(slopes)
				}
			}
		}
		state, next = next, state
	}
	var sum belief
	for _, v := range state {
		for q := range v {
			sum[q] += v[q]
		}
	}
	return sum
}

// verdict is the weights of a table by the scatter of the maker's.
type verdict struct {
	clean [2]float64
	slip  [2][]float64 // by row
}

func (o *observer) weigh(rows []Row, s slip, r *rand.Rand) (p verdict) {
	n := len(rows)
	possible := rows[n-1].Adjusted < 60*rows[n-1].Metered &&
		slices.IsSortedFunc(rows, func(a, b Row) int { return cmp.Compare(a.Adjusted, b.Adjusted) })
	for k, scatter := range scattersOfStudy {
		p.clean[k], p.slip[k] = o.weights(o.evidence(rows, s, scatter), k, r)
		if !possible {
			p.clean[k] = 0
		}
	}
	return p
}

// says is the row that is taken for a slip, and how likely it is. clean is the share of
// scattered tables among those without a slip, slipped that among those with one.
func (p verdict) says(clean, slipped float64) (row int, prob float64) {
	n := float64(len(p.slip[0]))
	total, top := (1-clean)*p.clean[0]+clean*p.clean[1], 0.0
	for i := range p.slip[0] {
		w := ((1-slipped)*p.slip[0][i] + slipped*p.slip[1][i]) / n
		if total += w; w > top {
			row, top = i, w
		}
	}
	if total == 0 {
		return 0, 0
	}
	return row, top / total
}

// TestBound prints what the observer finds, told the slip and told only that there is one, at a
// cut-off under which 2 of 100 clean tables are accused, scattered or not. The figures of the
// long run, -tables 200, are in the doc of the package.
func TestBound(t *testing.T) {
	if testing.Short() {
		t.Skip("hundreds of thousands of laws")
	}
	n, laws, of := 8, 60, []slip{"50 %"}
	if *long > 0 {
		n, laws, of = *long, 550, []slip{"25 %", "50 %", "100 %"}
	}
	for _, k := range []kind{digits, thirds} {
		t.Run(k.String(), func(t *testing.T) { bound(t, newObserver(k, laws), k, n, studyLaw, of) })
		t.Run(k.String()+", foreign laws", func(t *testing.T) { bound(t, newObserverOf(k, laws, foreignLaw), k, n, foreignLaw, of) })
	}
}

// bound is that of a rounding, of tables by laws that the observer is told.
func bound(t *testing.T, o *observer, k kind, n int, law lawOf, of []slip) {
	draw := func(r *rand.Rand, scatter float64) []Row {
		rows, _ := drawTableBy(r, k, 7+r.IntN(2), scatter, law)
		return rows
	}
	r := rand.New(rand.NewPCG(77, uint64(k)))
	// Verdicts on clean tables by the scatter, told each slip and none.
	var plain [2][]float64
	told := map[slip]*[2][]float64{}
	for _, s := range of {
		told[s] = &[2][]float64{}
	}
	for c, scatter := range scattersOfStudy {
		for range n {
			rows := draw(r, scatter)
			_, p := o.weigh(rows, anySlip, r).says(0.5, 0.5)
			plain[c] = append(plain[c], p)
			for _, s := range of {
				_, p := o.weigh(rows, s, r).says(0.5, 0.5)
				told[s][c] = append(told[s][c], p)
			}
		}
	}
	for _, s := range of {
		hits, hitsAny := 0, 0
		for range n {
			rows := draw(r, 0)
			wrong := spoil(r, rows, s, k)
			if row, p := o.weigh(rows, s, r).says(0.5, 0.5); row == wrong[0] && p > cutAt(told[s]) {
				hits++
			}
			if row, p := o.weigh(rows, anySlip, r).says(0.5, 0.5); row == wrong[0] && p > cutAt(&plain) {
				hitsAny++
			}
		}
		t.Logf("%v, %s: told it %s, told that there is one %s", k, s, printedtest.Rate(hits, n), printedtest.Rate(hitsAny, n))
		if s != "25 %" && (hits*2 < n || hitsAny*2 < n) {
			t.Errorf("%v, %s: the observer finds %d and %d of %d", k, s, hits, hitsAny, n)
		}
	}
}

// cutAt is the cut-off over which 2 of 100 of the worse of two sets are.
func cutAt(sets *[2][]float64) (cut float64) {
	for _, v := range sets {
		v = slices.Sorted(slices.Values(v))
		cut = max(cut, v[len(v)-1-len(v)*2/100])
	}
	return cut
}
