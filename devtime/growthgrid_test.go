package devtime

import (
	"math"
	"testing"
	"time"
)

// A grid weighs its laws as each law alone is weighed, by its parts of the limit.
func TestGridAsOneByOne(t *testing.T) {
	var points []Point
	for i, m := range []time.Duration{5, 7, 9, 12, 16} {
		points = append(points, Point{m * time.Minute, 0.7 * (1 - math.Exp(-0.16*(float64(m)-0.5))) * (1 + 0.01*math.Sin(float64(3*i))), 0.008})
	}
	g := newGrowthGrid(points, true, points[0].Time, points[4].Time)
	defer g.done()
	noise := g.noise(0.02, 2)
	for _, p := range []growthPatch{{noise, 0.3, false, 0}, {noise, 0.2, true, 0}, {noise, 0.1, false, 0.3}, {noise, 0.1, false, 3}} {
		steps, delays := 17, 1
		rate, delay := span{-4, -1}, span{0, 4}
		if p.delayed {
			delays = 6
		}
		g.lay(&p, rate, delay, steps, delays)
		for c, got := range g.laid.lnWeight {
			i, j := c/delays, c%delays
			n := growthNode{rate: math.Exp(rate.lo + (rate.hi-rate.lo)/float64(steps-1)*float64(i)), order: p.order}
			prior := p.prior * (rate.hi - rate.lo) / float64(steps-1)
			if p.delayed {
				width := (delay.hi - delay.lo) / float64(delays)
				n.induction = delay.lo + width*(float64(j)+0.5)
				z := n.induction / inductionSpread
				prior *= width * math.Sqrt(2/math.Pi) / inductionSpread * math.Exp(-z*z/2)
			}
			var sxx, sxy float64
			for k, t := range g.t {
				x := n.share(t)
				sxx += x * x * noise.w[k]
				sxy += x * g.y[k] * noise.w[k]
			}
			limit := sxy / sxx
			want := math.Log(prior/limit/math.Sqrt(sxx)) - (noise.syy-sxy*limit)/2 - noise.lnVar/2
			if !(math.Abs(got-want) < 1e-8*math.Abs(want)) || !(math.Abs(g.laid.limit[c]-limit) < 1e-9*limit) {
				t.Fatalf("%+v: ln weight %v, limit %v; want %v, %v", n, got, g.laid.limit[c], want, limit)
			}
		}
	}
}

// The mean of many laws is that of each.
func TestMeanAt(t *testing.T) {
	var nodes []growthNode
	for i := range 700 {
		n := growthNode{limit: 0.6 + 0.001*float64(i%50), rate: 0.05 + 0.0005*float64(i), induction: float64(i%3) * 0.7, weight: 1. / 700}
		if i%2 > 0 {
			n.order, n.induction = []float64{0.1, 0.3, 1, 3}[i%4], 0
		}
		nodes = append(nodes, n)
	}
	for _, at := range []float64{0, 0.5, 6, 20} {
		want := 0.0
		for _, n := range nodes {
			want += n.weight * n.at(at)
		}
		if got := meanAt(nodes, at); !(math.Abs(got-want) < 1e-13) {
			t.Errorf("%v minutes: %v, want %v", at, got, want)
		}
	}
}
