package timetable

import (
	"flag"
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

// drawTimes draws a table of n rows whose laws are not the checker's: temperature by
// Arrhenius or by two agents of different coefficients, push by a curve that steepens, dilution
// by a saturating law. scatter is the maker's about them, in stops of time.
func drawTimes(r *rand.Rand, n int, scatter float64) []Row {
	u := r.Float64
	for {
		var indexes, waters, temps []float64
		temps = some(r, []float64{18, 19, 20, 21, 22, 23, 24, 25, 26}, 2, min(n, 7), false)
		indexes, waters = []float64{400}, []float64{9}
		if len(temps) < n {
			indexes = some(r, []float64{100, 200, 400, 800, 1600}, 1, 4, true)
			waters = some(r, []float64{0, 1, 3, 7, 9, 14, 25, 31, 50}, 1, 3, false)
		}
		cells := len(indexes) * len(waters) * len(temps)
		if cells < n {
			continue
		}
		energy, push, bend := 55000+45000*u(), 0.2+0.25*u(), 0.06*u()
		share, second := 0.3*u(), 1.3+2*u()
		half := 5 + 40*u()
		step := []time.Duration{15 * time.Second, 30 * time.Second, 30 * time.Second, time.Minute}[r.IntN(4)]
		base := 5 + 8*u()
		keep := r.Perm(cells)[:n]
		slices.Sort(keep)
		var rows []Row
		ok := true
		for _, k := range keep {
			t, k := k%len(temps), k/len(temps)
			i, d := k%len(indexes), k/len(indexes)
			kelvin := temps[t] + 273.15
			rate := (1-share)*math.Exp(-energy/8.314*(1/kelvin-1/293.15)) + share*math.Pow(second, (temps[t]-20)/10)
			stops := math.Log2(indexes[i] / indexes[0])
			f := 1 + waters[d]
			minutes := base / rate * math.Exp(push*stops+bend*stops*stops) * (f / (1 + f/half)) / ((1 + waters[0]) / (1 + (1+waters[0])/half)) * math.Exp2(scatter*r.NormFloat64())
			dilution, err := devtime.NewDilution(1, waters[d])
			rounded := time.Duration(minutes * float64(time.Minute)).Round(step)
			ok = ok && err == nil && rounded >= 3*time.Minute && rounded <= 70*time.Minute
			rows = append(rows, Row{Index: indexes[i], Dilution: dilution, Temperature: devtime.Celsius(temps[t]), Time: rounded})
		}
		if ok {
			return rows
		}
	}
}

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
	type statement struct {
		p                       float64
		right, accused, slipped bool
	}
	for _, size := range [][2]int{{4, 5}, {6, 7}, {8, 9}, {10, 12}, {13, 16}} {
		r := rand.New(rand.NewPCG(16, uint64(size[0])))
		draw := func(scatter float64) []Row { return drawTimes(r, size[0]+r.IntN(size[1]-size[0]+1), scatter) }
		var said []statement
		clean, slipped := 0, 0
		for _, scatter := range []float64{0, 0.1} {
			accused := 0
			for range 2 * n {
				rep, err := Check(draw(scatter))
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
			t.Logf("%d-%d rows, clean, scatter %.1f: accused %s", size[0], size[1], scatter, printedtest.Rate(accused, 2*n))
			if accused*100 > 2*2*n+300 {
				t.Errorf("%d rows: %d of %d clean tables accused", size[0], accused, 2*n)
			}
		}
		for _, name := range []string{"25 %", "50 %", "100 %", "swapped digits", "copied neighbour", "rows shifted"} {
			hits, others, instead := 0, 0, 0
			for k := 0; k < n; {
				rows := draw(0)
				wrong := slip(r, rows, name)
				if wrong == nil {
					continue
				}
				k++
				slipped++
				rep, err := Check(rows)
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
			t.Logf("%d-%d rows, %s: found %s, another row beside it %d, another instead %d", size[0], size[1], name, printedtest.Rate(hits, n), others, instead)
		}
		// Of what is said, so much is right where 15 of 100 tables hold a slip.
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
			t.Logf("%d-%d rows, printed probability %.2f to %.2f: %d findings, right %.0f %%", size[0], size[1], edges[k-1], edges[k], count, 100*right/all)
		}
	}
}
