package actinic

import (
	"math"
	"testing"
	"time"

	"example.org/actinic/filters"
)

// quickest is the shortest of many rounds of each of some works, taken in turns: what else
// the machine does lengthens rounds, and hardly all of one work's and none of another's.
func quickest(rounds, times int, works ...func()) []float64 {
	best := make([]float64, len(works))
	for i := range best {
		best[i] = math.Inf(1)
	}
	for range rounds {
		for i, work := range works {
			start := time.Now()
			for range times {
				work()
			}
			best[i] = min(best[i], time.Since(start).Seconds())
		}
	}
	return best
}

// A plan costs what it adds, by ratios within one run: behind a filter that the film has seen
// it takes less time than the integrals of the factor alone, and as much as without a filter.
// The bounds are three times and more from what was measured (0.08, 0.08 and 1.0), so that
// they tell a memory that does not remember from one that does, and nothing finer.
func TestPlanCostsLittleBesideItsFactor(t *testing.T) {
	shots := newFilterShots()
	again, bare := shots[0], benchShot(filters.Filter{})
	sensitivity := must(again.Film.Sensitivity())
	next := 0
	took := quickest(25, 18,
		func() { must(PlanExposure(again)) },
		func() { must(PlanExposure(bare)) },
		func() { must(filters.Factor(sensitivity, again.Scene.Light, again.Filter)) },
		func() { next = (next + 1) % len(shots); must(PlanExposure(shots[next])) },
	)
	repeated, without, factor, first := took[0], took[1], took[2], took[3]
	t.Logf("a plan repeated over its factor %.2f, over one with a filter new to the film %.2f, over one without a filter %.2f",
		repeated/factor, repeated/first, repeated/without)
	if !(repeated < factor/2) {
		t.Errorf("a repeated plan takes %.2f times as long as the factor of its filter, want below 1/2", repeated/factor)
	}
	if !(repeated < first/2) {
		t.Errorf("a repeated plan takes %.2f times as long as one with another filter, want below 1/2", repeated/first)
	}
	if !(repeated < 3*without) {
		t.Errorf("a repeated plan takes %.2f times as long as one without a filter, want below 3", repeated/without)
	}
}

// What a plan leaves to the collector is counted, and does not depend on the machine.
func TestPlanAllocates(t *testing.T) {
	for name, c := range map[string]struct {
		shot Shot
		most float64
	}{
		// Measured 15 and 15; the race detector has one more.
		"with a filter":    {benchShot(must(filters.Find("21")).Filter), 18},
		"without a filter": {benchShot(filters.Filter{}), 18},
	} {
		if got := testing.AllocsPerRun(100, func() { must(PlanExposure(c.shot)) }); got > c.most {
			t.Errorf("%s: %v allocations, want at most %v", name, got, c.most)
		}
	}
}
