package timetable

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/printedtest"
)

var long = flag.Int("tables", 0, "so many tables of each kind in the study instead of a short run")

// A lawOfTimes is how many times as long as at the origin and 20 °C is developed.
type lawOfTimes interface {
	times(from origin, index, water, celsius float64) float64
}

// roundedTo rounds to a step, byLength to a quarter of a minute below 5 minutes, a half below
// 10, a whole from there on, as some books do.
func roundedTo(t, step time.Duration) time.Duration { return t.Round(step) }

func byLength(t, _ time.Duration) time.Duration {
	switch {
	case t < 5*time.Minute:
		return t.Round(15 * time.Second)
	case t < 10*time.Minute:
		return t.Round(30 * time.Second)
	}
	return t.Round(time.Minute)
}

// drawTimesFrom draws a table of n rows by a law. scatter is the maker's about it, in stops of
// time. It returns the index and water that the table's times go from as well.
func drawTimesFrom[L lawOfTimes](r *rand.Rand, n int, scatter float64, round func(t, step time.Duration) time.Duration,
	of func(u [6]float64) L) (rows []Row, from origin) {
	u := r.Float64
	for {
		temps := some(r, studyTemps, 2, min(n, 7), false)
		indexes, waters := []float64{400}, []float64{9}
		if len(temps) < n {
			indexes = some(r, []float64{100, 200, 400, 800, 1600}, 1, 4, true)
			waters = some(r, studyWaters, 1, 3, false)
		}
		cells := len(indexes) * len(waters) * len(temps)
		if cells < n {
			continue
		}
		law := of([6]float64{u(), u(), u(), u(), u(), u()})
		step := []time.Duration{15 * time.Second, 30 * time.Second, 30 * time.Second, time.Minute}[r.IntN(4)]
		base := 5 + 8*u()
		keep := r.Perm(cells)[:n]
		slices.Sort(keep)
		from = origin{indexes[0], waters[0]}
		rows = nil
		ok := true
		for _, k := range keep {
			t, k := k%len(temps), k/len(temps)
			i, d := k%len(indexes), k/len(indexes)
			minutes := base * law.times(from, indexes[i], waters[d], temps[t]) * math.Exp2(scatter*r.NormFloat64())
			dilution, err := devtime.NewDilution(1, waters[d])
			rounded := round(time.Duration(minutes*float64(time.Minute)), step)
			ok = ok && err == nil && rounded >= leastTime && rounded <= mostTime
			rows = append(rows, Row{Index: indexes[i], Dilution: dilution, Temperature: devtime.Celsius(temps[t]), Time: rounded})
		}
		if ok {
			return rows, from
		}
	}
}

const leastTime, mostTime = 3 * time.Minute, 70 * time.Minute

var studyWaters = []float64{0, 1, 3, 7, 9, 14, 25, 31, 50}

var studyTemps = []float64{18, 19, 20, 21, 22, 23, 24, 25, 26}

// origin is where the times of a table are counted from.
type origin struct{ index, water float64 }

// timeLaw is a law of the study: temperature by Arrhenius and by two agents of different
// coefficients, dilution by a saturating law, neither of a form that the checker holds, and push
// by a curve that steepens.
type timeLaw struct{ energy, push, bend, share, second, half float64 }

// newTimeLaw is the law with its constants at u, from 0 to 1, of their ranges.
func newTimeLaw(u [6]float64) timeLaw {
	return timeLaw{55000 + 45000*u[0], 0.2 + 0.25*u[1], 0.06 * u[2], 0.3 * u[3], 1.3 + 2*u[4], 5 + 40*u[5]}
}

// times is how many times as long as at the origin and 20 °C is developed.
func (l timeLaw) times(from origin, index, water, celsius float64) float64 {
	return l.pushed(math.Log2(index/from.index)) * l.diluted(water) / l.diluted(from.water) / l.rate(celsius)
}

func (l timeLaw) rate(celsius float64) float64 {
	return (1-l.share)*math.Exp(-l.energy/8.314*(1/(celsius+273.15)-1/293.15)) + l.share*math.Pow(l.second, (celsius-20)/10)
}

func (l timeLaw) pushed(stops float64) float64 { return math.Exp(l.push*stops + l.bend*stops*stops) }

func (l timeLaw) diluted(water float64) float64 { return (1 + water) / (1 + (1+water)/l.half) }

// slip puts a slip into a table and returns the rows that are then wrong, nil where the
// table does not lend itself to it.
func slip(r *rand.Rand, rows []Row, name string) []int {
	i := r.IntN(len(rows))
	was := rows[i].Time
	change := func(f float64) []int {
		if r.IntN(2) == 0 {
			f = 1 / f
		}
		rows[i].Time = time.Duration(float64(was) * f).Round(15 * time.Second)
		return []int{i}
	}
	switch name {
	case "25 %":
		return change(1.25)
	case "50 %":
		return change(1.5)
	case "100 %":
		return change(2)
	case "swapped digits":
		b := []byte(devtime.FormatTime(was))
		at := r.IntN(len(b) - 1)
		to := at + 1
		if b[to] == ':' {
			to++
		}
		if b[at] == ':' || b[at] == b[to] {
			return nil
		}
		b[at], b[to] = b[to], b[at]
		t, err := devtime.ParseTime(string(b))
		if err != nil {
			return nil
		}
		rows[i].Time, rows[i].text = t, string(b)
	case "copied neighbour":
		to := i - 1 + 2*r.IntN(2)
		if to < 0 || to >= len(rows) {
			return nil
		}
		rows[i].Time = rows[to].Time
	case "rows shifted":
		block := 2 + r.IntN(2)
		if i == 0 || i+block > len(rows) {
			return nil
		}
		var out []int
		wide := false
		for j := i + block - 1; j >= i; j-- {
			f := float64(rows[j].Time) / float64(rows[j-1].Time)
			wide = wide || f >= 1.25 || f <= 0.8
			rows[j].Time = rows[j-1].Time
			out = append(out, j)
		}
		if !wide {
			return nil
		}
		return out
	}
	if f := float64(rows[i].Time) / float64(was); f < 1.25 && f > 0.8 {
		return nil
	}
	return []int{i}
}

// statement is a probability that was printed.
type statement struct {
	p                       float64
	right, accused, slipped bool
}

// TestSlipStudy prints the rates with their 95 % intervals (Wilson) by numbers of rows;
// those of the long run, -tables 300, are in the doc of Check.
func TestSlipStudy(t *testing.T) {
	if testing.Short() {
		t.Skip("hundreds of tables")
	}
	n := 12
	if *long > 0 {
		n = *long
	}
	for _, size := range [][2]int{{4, 5}, {6, 7}, {8, 9}, {10, 12}, {13, 16}} {
		t.Run(fmt.Sprintf("%d-%d rows", size[0], size[1]), func(t *testing.T) { slipStudy(t, size, n, newTimeLaw) })
	}
}

func slipStudy[L lawOfTimes](t *testing.T, size [2]int, n int, of func(u [6]float64) L) {
	r := rand.New(rand.NewPCG(16, uint64(size[0])))
	rows := func() int { return size[0] + r.IntN(size[1]-size[0]+1) }
	var said []statement
	clean, slipped := 0, 0
	for _, c := range []struct {
		name    string
		scatter float64
		round   func(t, step time.Duration) time.Duration
	}{{"clean", 0, roundedTo}, {"clean, scatter 0.1", 0.1, roundedTo}, {"clean, steps by length", 0, byLength},
		{"clean, steps by length, scatter 0.1", 0.1, byLength}} {
		accused := 0
		for range 2 * n {
			table, _ := drawTimesFrom(r, rows(), c.scatter, c.round, of)
			rep, err := Check(table)
			if err != nil {
				t.Fatal(err)
			}
			if rep.Accused() > 0 {
				accused++
			}
			for _, f := range rep.Findings {
				said = append(said, statement{f.Probability, false, f.Confidence == printed.High, false})
			}
			clean++
		}
		t.Logf("%s: accused %s", c.name, printedtest.Rate(accused, 2*n))
		if accused*100 > 2*2*n+300 {
			t.Errorf("%s: %d of %d tables accused", c.name, accused, 2*n)
		}
	}
	for _, name := range []string{"25 %", "50 %", "100 %", "swapped digits", "copied neighbour", "rows shifted"} {
		hits, others, instead := 0, 0, 0
		for k := 0; k < n; {
			table, _ := drawTimesFrom(r, rows(), 0, roundedTo, of)
			wrong := slip(r, table, name)
			if wrong == nil {
				continue
			}
			k++
			slipped++
			rep, err := Check(table)
			if err != nil {
				t.Fatal(err)
			}
			hit, other := false, false
			for _, f := range rep.Findings {
				right := slices.Contains(wrong, f.Row-1)
				said = append(said, statement{f.Probability, right, f.Confidence == printed.High, true})
				if f.Confidence == printed.High {
					hit, other = hit || right, other || !right
				}
			}
			switch {
			case hit && other:
				hits, others = hits+1, others+1
			case hit:
				hits++
			case other:
				instead++
			}
		}
		t.Logf("%s: found %s, another row beside it %d, another instead %d", name, printedtest.Rate(hits, n), others, instead)
	}
	for _, s := range calibration(said, slipped, clean) {
		t.Log(s)
	}
}

// calibration is how much of what is said at a probability is right, where 15 of 100 tables
// hold a slip.
func calibration(said []statement, slipped, clean int) (out []string) {
	edges := []float64{0.01, 0.1, 0.2, 0.35, 0.5, 0.7, 0.85, 0.95, 1.01}
	for k := 1; k < len(edges); k++ {
		right, all, count := 0.0, 0.0, 0
		for _, s := range said {
			if s.p < edges[k-1] || s.p >= edges[k] {
				continue
			}
			w := 0.85 / float64(clean)
			if s.slipped {
				w = 0.15 / float64(slipped)
			}
			count++
			if all += w; s.right {
				right += w
			}
		}
		out = append(out, fmt.Sprintf("printed probability %.2f to %.2f: %d findings, right %.0f %%", edges[k-1], edges[k], count, 100*right/all))
	}
	return out
}
