package timetable

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"example.org/actinic/sensito/printed/printedtest"
)

// An observer is told what the study draws its tables from: its laws and the ranges of their
// constants, the steps of the rounding, the maker's scatter (none or a tenth of a stop, as
// likely), and the slip, or only that there is one of up to 16 times. It says of each row how
// likely that is a slip. No checker that is told less finds more, at as many clean tables
// accused: what it finds bounds what can be found. Sums over laws are taken over so many drawn
// at random, and over the base that times are multiples of.
type observer struct {
	rates, pushes, dilutions [][]float64 // ln, by law and temperature, stops or water
}

var steps = []time.Duration{15 * time.Second, 30 * time.Second, time.Minute}

func newObserver(laws int) *observer {
	r := rand.New(rand.NewPCG(3, 3))
	o := &observer{}
	for range laws {
		l := newTimeLaw([6]float64{r.Float64(), r.Float64(), r.Float64(), r.Float64(), r.Float64(), r.Float64()})
		var rates, pushes, dilutions []float64
		for _, t := range studyTemps {
			rates = append(rates, -math.Log(l.rate(t)))
		}
		for s := range 5 {
			pushes = append(pushes, math.Log(l.pushed(float64(s))))
		}
		for _, w := range studyWaters {
			dilutions = append(dilutions, math.Log(l.diluted(w)))
		}
		o.rates, o.pushes, o.dilutions = append(o.rates, rates), append(o.pushes, pushes), append(o.dilutions, dilutions)
	}
	return o
}

// weights are the sums over laws of no slip and of a slip in each row, for a step and a
// scatter in ln of time.
func (o *observer) weights(rows []Row, from origin, factor float64, step time.Duration, scatter float64) (none float64, slips []float64) {
	n := len(rows)
	slips = make([]float64, n)
	off := 0
	for _, r := range rows {
		if r.Time%step != 0 {
			off++
		}
	}
	if off > 1 {
		return 0, slips
	}
	// The true times that may stand behind each row: itself, or what a slip has changed.
	type cell struct{ lo, hi, p float64 } // ln of minutes
	right, slipped := make([]cell, n), make([][]cell, n)
	around := func(t time.Duration, p float64) cell {
		return cell{math.Log((t - step/2).Minutes()), math.Log((t + step/2).Minutes()), p}
	}
	for i, r := range rows {
		if r.Time%step == 0 {
			right[i] = around(r.Time, 1)
		}
		for _, f := range []float64{factor, 1 / factor} {
			if factor == 0 {
				break
			}
			for t := time.Duration(float64(r.Time)/f).Round(step) - 2*step; t <= time.Duration(float64(r.Time)/f).Round(step)+2*step; t += step {
				if t >= leastTime && t <= mostTime && time.Duration(float64(t)*f).Round(15*time.Second) == r.Time {
					slipped[i] = append(slipped[i], around(t, 0.5))
				}
			}
		}
	}
	// Told no factor, a slip is as likely anywhere in ln of time.
	any := make([]float64, n)
	if factor == 0 {
		for i, r := range rows {
			any[i] = (15 * time.Second).Seconds() / r.Time.Seconds() / (2 * math.Log(16))
			slipped[i] = nil
		}
	}
	at := make([]int, n)
	stops := make([]int, n)
	waters := make([]int, n)
	first := slices.Index(studyWaters, from.water)
	for i, r := range rows {
		at[i], _ = slices.BinarySearch(studyTemps, float64(r.Temperature))
		stops[i] = int(math.Round(math.Log2(r.Index / from.index)))
		waters[i] = slices.Index(studyWaters, math.Round(r.Dilution.Factor()-1))
	}
	g, m := make([]float64, n), make([]float64, n)
	low, high := math.Log(5), math.Log(13)
	const bases = 24
	share := func(c cell, y float64) float64 {
		if c.p == 0 {
			return 0
		}
		return c.p * (normal((c.hi-y)/scatter) - normal((c.lo-y)/scatter))
	}
	laws := len(o.rates)
	if scatter > 0 {
		laws /= 40
	}
	for k := range laws {
		dilutions := o.dilutions[k]
		for i := range rows {
			g[i] = o.rates[k][at[i]] + o.pushes[k][stops[i]] + dilutions[waters[i]] - dilutions[first]
		}
		if scatter == 0 {
			// The bases at which all rows, and all but one, are in their cells.
			lo1, lo2, hi1, hi2 := math.Inf(-1), math.Inf(-1), math.Inf(1), math.Inf(1)
			li, hi := -1, -1
			for i, c := range right {
				a, b := c.lo-g[i], c.hi-g[i]
				if c.p == 0 { // nothing is right here
					a, b = math.Inf(1), math.Inf(-1)
				}
				if a > lo1 {
					lo1, lo2, li = a, lo1, i
				} else if a > lo2 {
					lo2 = a
				}
				if b < hi1 {
					hi1, hi2, hi = b, hi1, i
				} else if b < hi2 {
					hi2 = b
				}
			}
			none += span(max(lo1, low), min(hi1, high))
			if max(min(lo1, lo2), low) >= high {
				continue
			}
			for i := range rows {
				a, b := lo1, hi1
				if li == i {
					a = lo2
				}
				if hi == i {
					b = hi2
				}
				if a, b = max(a, low), min(b, high); a >= b {
					continue
				}
				slips[i] += any[i] * span(a, b)
				for _, c := range slipped[i] {
					slips[i] += c.p * span(max(a, c.lo-g[i]), min(b, c.hi-g[i]))
				}
			}
			continue
		}
		for q := range bases {
			base := low + (high-low)*(float64(q)+0.5)/bases
			zeros, z, prod := 0, 0, math.Exp(base)*(high-low)/bases // even in minutes
			for i, c := range right {
				if m[i] = share(c, base+g[i]); m[i] < 1e-9 {
					if zeros, z = zeros+1, i; zeros > 1 {
						break
					}
					continue
				}
				prod *= m[i]
			}
			if zeros > 1 {
				continue
			}
			if zeros == 0 {
				none += prod
			}
			for i := range rows {
				if zeros == 1 && i != z {
					continue
				}
				w := prod
				if zeros == 0 {
					w /= m[i]
				}
				slips[i] += w * any[i]
				for _, c := range slipped[i] {
					slips[i] += w * share(c, base+g[i])
				}
			}
		}
	}
	none /= float64(laws)
	for i := range slips {
		slips[i] /= float64(laws)
	}
	return none, slips
}

// span is the share of bases, even in minutes, between two of their logarithms.
func span(a, b float64) float64 {
	if a >= b {
		return 0
	}
	return math.Exp(b) - math.Exp(a)
}

func normal(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// says is the row taken for a slip, and how likely it is.
func (o *observer) says(rows []Row, from origin, factor float64) (row int, p float64) {
	clean := 0.0
	slips := make([]float64, len(rows))
	for k, step := range steps {
		for _, scatter := range []float64{0, 0.1 * math.Ln2} {
			none, each := o.weights(rows, from, factor, step, scatter)
			w := [3]float64{0.25, 0.5, 0.25}[k]
			clean += w * none
			for i, v := range each {
				slips[i] += w * v / float64(len(rows))
			}
		}
	}
	total := clean
	for i, v := range slips {
		if total += v; v > slips[row] {
			row = i
		}
	}
	if total == 0 {
		return 0, 0
	}
	return row, slips[row] / total
}

// TestBound prints what the observer finds of slips of 25 %, told the slip and told only that
// there is one, at a cut-off under which 2 of 100 clean tables are accused, scattered or not.
// The figures of the long run, -tables 200, are in the doc of Check.
func TestBound(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of laws a table")
	}
	n, laws, name, factor := 8, 6000, "50 %", 1.5
	if *long > 0 {
		n, laws, name, factor = *long, 100000, "25 %", 1.25
	}
	for _, size := range [][2]int{{8, 9}, {10, 12}} {
		t.Run(fmt.Sprintf("%d-%d rows", size[0], size[1]), func(t *testing.T) {
			o := newObserver(laws)
			r := rand.New(rand.NewPCG(77, uint64(size[0])))
			draw := func(scatter float64) ([]Row, origin) {
				return drawTimesFrom(r, size[0]+r.IntN(size[1]-size[0]+1), scatter, roundedTo, newTimeLaw)
			}
			var cut [2]float64
			for k, told := range []float64{factor, 0} {
				for _, scatter := range []float64{0, 0.1} {
					var clean []float64
					for range n {
						rows, from := draw(scatter)
						_, p := o.says(rows, from, told)
						clean = append(clean, p)
					}
					slices.Sort(clean)
					cut[k] = max(cut[k], clean[n-1-n*2/100])
				}
			}
			var hits [2]int
			for range n {
				rows, from := draw(0)
				wrong := slip(r, rows, name)
				for k, told := range []float64{factor, 0} {
					if row, p := o.says(rows, from, told); row == wrong[0] && p > cut[k] {
						hits[k]++
					}
				}
			}
			t.Logf("%s: told it %s, told that there is one %s", name, printedtest.Rate(hits[0], n), printedtest.Rate(hits[1], n))
			if hits[0]*2 < n || hits[1]*2 < n {
				t.Errorf("the observer finds %v of %d", hits, n)
			}
		})
	}
}
