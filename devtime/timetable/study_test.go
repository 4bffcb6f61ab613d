package timetable

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/sensito/printed"
)

// tableMaker draws tables of development times as makers print them.
type tableMaker struct {
	q10, push, exponent [2]float64      // ranges of the constants
	steps               []time.Duration // of the rounding
	scatter             float64         // of the maker's times about a law, in ln
	bend                float64         // irregularity from level to level, in ln
}

// usual is the maker of the study: rounding is all the noise.
var usual = tableMaker{
	q10: [2]float64{1.6, 3.8}, push: [2]float64{1.2, 1.6}, exponent: [2]float64{0.4, 1.4},
	steps: []time.Duration{15 * time.Second, 15 * time.Second, 30 * time.Second},
}

// table draws a part of a grid of 8 to 30 rows.
func (m tableMaker) table(r *rand.Rand) []Row {
	between := func(b [2]float64) float64 { return b[0] + (b[1]-b[0])*r.Float64() }
	for {
		indexes := some(r, []float64{100, 200, 400, 800, 1600, 3200}, 1, 5, true)
		waters := some(r, []float64{0, 1, 2, 3, 4, 7, 9, 15, 19, 25, 31, 50, 63, 100}, 1, 3, false)
		temps := some(r, []float64{18, 19, 20, 21, 22, 23, 24, 25, 26}, 1, 6, false)
		cells := len(indexes) * len(waters) * len(temps)
		n := 8 + r.IntN(23)
		if cells < n {
			continue
		}
		q10, push, exponent := between(m.q10), between(m.push), between(m.exponent)
		base := 4 * math.Exp(1.2*r.Float64()) // of the shortest times, in minutes
		step := m.steps[r.IntN(len(m.steps))]
		keep := r.Perm(cells)[:n]
		if r.IntN(3) == 0 && cells <= 30 {
			keep = r.Perm(cells) // the whole grid
		}
		slices.Sort(keep)
		offset := func(k int) []float64 {
			out := make([]float64, k)
			for i := range out {
				out[i] = m.bend * r.NormFloat64()
			}
			return out
		}
		oi, od, ot := offset(len(indexes)), offset(len(waters)), offset(len(temps))
		var rows []Row
		bad := false
		for _, k := range keep {
			t, k := k%len(temps), k/len(temps)
			i, d := k%len(indexes), k/len(indexes)
			dilution, err := devtime.NewDilution(1, waters[d])
			if err != nil {
				panic(err)
			}
			min := base * math.Pow(push, math.Log2(indexes[i]/indexes[0])) * math.Pow((1+waters[d])/(1+waters[0]), exponent) *
				math.Pow(q10, (temps[len(temps)-1]-temps[t])/10) * math.Exp(oi[i]+od[d]+ot[t]+m.scatter*r.NormFloat64())
			time := (time.Duration(min * float64(time.Minute))).Round(step)
			bad = bad || time < 3*60e9 || time > 90*60e9
			rows = append(rows, Row{Index: indexes[i], Dilution: dilution, Temperature: devtime.Celsius(temps[t]), Time: time})
		}
		if !bad {
			return rows
		}
	}
}

// some draws a few values in order, neighbours where run.
func some(r *rand.Rand, from []float64, least, most int, run bool) []float64 {
	n := least + r.IntN(most-least+1)
	var out []float64
	if run {
		at := r.IntN(len(from) - n + 1)
		return from[at : at+n]
	}
	for _, i := range r.Perm(len(from))[:n] {
		out = append(out, from[i])
	}
	slices.Sort(out)
	return out
}

// spoil puts one slip of a kind into a row. It returns the row, and how far the
// slip changes the time or the temperature, as a ratio; 0 where the row does not
// lend itself to the slip.
func spoil(r *rand.Rand, rows []Row, kind printed.Slip) (row int, ratio float64) {
	row = r.IntN(len(rows))
	x := &rows[row]
	was := x.Time
	switch kind {
	case printed.SlipMinutes:
		if x.Time /= 60; r.IntN(2) == 0 {
			x.Time *= 3600
		}
	case printed.SlipDecimal:
		if x.Time /= 10; r.IntN(2) == 0 {
			x.Time *= 100
		}
	case printed.SlipCopied:
		if row == 0 {
			return 0, 0
		}
		x.Time = rows[row-1].Time
	case printed.SlipFahrenheit:
		c := x.Temperature
		x.Temperature = devtime.Celsius(math.Round(c.Fahrenheit()))
		return row, float64(x.Temperature / c)
	case printed.SlipDigits:
		text := devtime.FormatTime(x.Time)
		if r.IntN(2) == 0 {
			text = printed.Plain(x.Time.Minutes())
		}
		b := []byte(text)
		var at []int
		for i := range b {
			if b[i] >= '0' && b[i] <= '9' {
				at = append(at, i)
			}
		}
		i := r.IntN(len(at) - 1 + 1)
		if i+1 >= len(at) {
			return 0, 0
		}
		b[at[i]], b[at[i+1]] = b[at[i+1]], b[at[i]]
		t, err := devtime.ParseTime(string(b))
		if err != nil {
			return 0, 0
		}
		x.Time, x.text = t, string(b)
	}
	return row, float64(x.Time) / float64(was)
}

var slipKinds = []printed.Slip{printed.SlipMinutes, printed.SlipFahrenheit, printed.SlipDigits, printed.SlipDecimal, printed.SlipCopied}

// tally is what a study found.
type tally struct {
	slips, found, named map[printed.Slip]int
	wrong               int // tables with another row accused
	clean, alarms       int
}

func (t tally) rate() (found, alarms float64) {
	var n, k int
	for _, s := range slipKinds {
		n += t.slips[s]
		k += t.found[s]
	}
	return 100 * float64(k) / float64(n), 100 * float64(t.alarms) / float64(t.clean)
}

func (t tally) String() string {
	var b strings.Builder
	for _, s := range slipKinds {
		fmt.Fprintf(&b, "%s %d of %d (named %d); ", s, t.found[s], t.slips[s], t.named[s])
	}
	found, alarms := t.rate()
	fmt.Fprintf(&b, "found %.1f %%; another row accused in %d; %d of %d clean tables accused, %.1f %%", found, t.wrong, t.alarms, t.clean, alarms)
	return b.String()
}

// study draws tables with a slip of more than 15 % each, the kinds in turn, and as
// many clean ones.
func study(tb testing.TB, m tableMaker, n int, seed uint64) tally {
	r := rand.New(rand.NewPCG(seed, 0))
	t := tally{slips: map[printed.Slip]int{}, found: map[printed.Slip]int{}, named: map[printed.Slip]int{}}
	for i := 0; i < n; {
		kind := slipKinds[i%len(slipKinds)]
		rows := m.table(r)
		row, ratio := spoil(r, rows, kind)
		if !(math.Abs(ratio-1) > 0.15) || ratio == 0 {
			continue
		}
		i++
		rep, err := Check(rows)
		if err != nil {
			tb.Fatal(err)
		}
		t.slips[kind]++
		found, wrong := false, false
		for _, f := range rep.Findings {
			if f.Confidence != printed.High {
				continue
			}
			if f.Row == row+1 {
				if !found && f.Slip == kind {
					t.named[kind]++
				}
				found = true
			} else {
				wrong = true
			}
		}
		if found {
			t.found[kind]++
		}
		if wrong {
			t.wrong++
		}
	}
	for range n {
		rows := m.table(r)
		rep, err := Check(rows)
		if err != nil {
			tb.Fatal(err)
		}
		t.clean++
		if rep.Accused() > 0 {
			t.alarms++
		}
	}
	return t
}

// The figures of the study, as the documentation of Check gives them, by
// two seeds, and by makers that the checker knows nothing of.
func TestDevelopmentStudy(t *testing.T) {
	if testing.Short() {
		t.Skip("hundreds of tables")
	}
	const n, second, other = 500, 200, 100
	like := func(change func(*tableMaker)) tableMaker {
		m := usual
		change(&m)
		return m
	}
	for _, c := range []struct {
		name          string
		maker         tableMaker
		n             int
		seed          uint64
		found, alarms float64 // percent, at least and at most
	}{
		{"usual", usual, n, 1, 95, 2},
		{"usual, another seed", usual, second, 2, 95, 2},
		{"constants of a wider range", like(func(m *tableMaker) {
			m.q10, m.push, m.exponent = [2]float64{1.3, 4.3}, [2]float64{1.1, 1.75}, [2]float64{0.3, 1.6}
		}), other, 3, 95, 2},
		{"half and whole minutes", like(func(m *tableMaker) { m.steps = []time.Duration{30 * time.Second, time.Minute} }), other, 4, 92, 2},
		{"scatter of 2 % about the law", like(func(m *tableMaker) { m.scatter = 0.02 }), other, 5, 90, 2},
		// A slip of 15 % is then hardly more than the table's own disorder.
		{"levels and rows off by 3 % each", like(func(m *tableMaker) { m.scatter, m.bend = 0.03, 0.03 }), other, 6, 80, 4},
	} {
		got := study(t, c.maker, c.n, c.seed)
		t.Logf("%s: %v", c.name, got)
		if found, alarms := got.rate(); !(found >= c.found && alarms <= c.alarms) {
			t.Errorf("%s: found %.1f %%, want %v; accused %.1f %% of clean tables, want at most %v", c.name, found, c.found, alarms, c.alarms)
		}
	}
}
