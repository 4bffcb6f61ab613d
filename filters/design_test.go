package filters

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/spectral"
)

// every returns the worth of a set by the plain formula, without updates.
func (s *design) worthOf(set []int) (info, deviation float64) {
	s.reset()
	for _, k := range set {
		w, _, _ := s.gain(k, 1, false)
		info += w
		s.take(k, 1)
	}
	return info, s.deviation()
}

// Against all sets there are: of eight filters three, with repetition.
func TestPlanReadingsBest(t *testing.T) {
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	set := filterSet()[:8]
	for _, average := range []bool{false, true} {
		d := Design{Frames: 3, SD: .02, Average: average, Recovery: Recovery{Smooth: 40}}
		got := must(PlanReadings(film, []spectral.Light{light}, set, d))
		nm, smooth, _ := d.Recovery.settings(3)
		s := must(newDesign(film, light, set, nm, smooth[0], d))
		best := math.Inf(-1)
		for i := range 8 {
			for j := i; j < 8; j++ {
				for k := j; k < 8; k++ {
					info, dev := s.worthOf([]int{i, j, k})
					if average {
						info = -dev
					}
					best = max(best, info)
				}
			}
		}
		var mine []int
		for _, f := range got.Filters {
			for range f.Frames {
				mine = append(mine, slices.IndexFunc(set, func(x Filter) bool { return x.Name() == f.Filter.Name() }))
			}
		}
		info, dev := s.worthOf(mine)
		near(t, "deviation", got.Deviation[2], dev, 1e-9)
		if average {
			info = -dev
		}
		if !(info >= best-0.02*math.Abs(best)) {
			t.Errorf("average %v: %v is worth %.4f, the best of all %.4f", average, mine, info, best)
		}
	}
}

// What a reading is worth on the average is what it takes off the variances.
func TestDesignGain(t *testing.T) {
	film, light, set := spectral.Generic(spectral.Panchromatic), spectral.D55.Light(), filterSet()
	s := must(newDesign(film, light, set, must(spectral.Grid(380, 720, 10)), 40, Design{Frames: 3, SD: .02}))
	for _, k := range []int{3, 7, 0} {
		before := s.deviation()
		worth, _, _ := s.gain(k, 1, true)
		s.take(k, 1)
		n := float64(len(s.z))
		near(t, "gain", worth, n*(before*before-s.deviation()*s.deviation()), 1e-9*worth)
	}
	s.take(7, -1)
	again, _, _ := s.gain(7, 1, true)
	before := s.deviation()
	s.take(7, 1)
	near(t, "taken, dropped and taken", again, float64(len(s.z))*(before*before-s.deviation()*s.deviation()), 1e-6*again)
}

// Readings as planned leave a smaller error than readings through any filters.
func TestPlanReadingsPays(t *testing.T) {
	if testing.Short() {
		t.Skip("120 films")
	}
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	set := filterSet()
	const frames, sd = 9, .02
	plan := must(PlanReadings(film, []spectral.Light{light}, set, Design{Frames: frames, SD: sd, Average: true}))
	var planned []Filter
	for _, f := range plan.Filters {
		for range f.Frames {
			planned = append(planned, f.Filter)
		}
	}
	rng := rand.New(rand.NewPCG(6, 6))
	rms := func(set []Filter) float64 {
		r := must(Recover(simulate(film, light, set, sd, rng), light, Recovery{}))
		truth := must(r.Scaled(film))
		sum := 0.0
		for i := range truth {
			sum += (r.Value[i] - truth[i]) * (r.Value[i] - truth[i]) / float64(len(truth))
		}
		return sum
	}
	var a, b float64
	const runs = 60
	for range runs {
		a += rms(planned) / runs
		any := make([]Filter, frames)
		for i, k := range rng.Perm(len(set))[:frames] {
			any[i] = set[k]
		}
		b += rms(any) / runs
	}
	// The figure is in the doc of PlanReadings.
	t.Logf("rms error %.4f as planned, %.4f at random: %.2f; %.1f numbers", math.Sqrt(a), math.Sqrt(b), math.Sqrt(a/b), plan.Degrees)
	if !(a < b) {
		t.Errorf("planned %v, at random %v", math.Sqrt(a), math.Sqrt(b))
	}
	if !slices.IsSortedFunc(plan.Deviation[:frames-1], func(x, y float64) int { return -int(math.Copysign(1, x-y)) }) {
		t.Errorf("more readings do not help: %v", plan.Deviation)
	}
	if n, ok := plan.FramesFor(plan.Deviation[4]); !ok || n != 5 {
		t.Errorf("%v %v", n, ok)
	}
	if _, ok := plan.FramesFor(0); ok {
		t.Error("certainty after nine readings")
	}
}

func TestPlanReadingsRefuses(t *testing.T) {
	said := held.New(t)
	film, lights, set := panB(), []spectral.Light{spectral.D55.Light(), spectral.A.Light()}, filterSet()
	good := Design{Frames: 4, SD: .02}
	if p, err := PlanReadings(film, lights, set, good); err != nil || len(p.Deviation) != 4 || !(p.Degrees > 1) {
		t.Errorf("%v %v", p, err)
	}
	opaque := must(New("opaque", flat(0)))
	for name, err := range map[string]error{
		"no frames":  fault(PlanReadings(film, lights, set, Design{SD: .02})),
		"no SD":      fault(PlanReadings(film, lights, set, Design{Frames: 3})),
		"NaN":        fault(PlanReadings(film, lights, set, Design{Frames: 3, SD: math.NaN()})),
		"no light":   fault(PlanReadings(film, nil, set, good)),
		"dark":       fault(PlanReadings(film, []spectral.Light{{}}, set, good)),
		"no filters": fault(PlanReadings(film, lights, nil, good)),
		"empty":      fault(PlanReadings(film, lights, []Filter{{}}, good)),
		"opaque":     fault(PlanReadings(film, lights, []Filter{opaque}, good)),
		"no film":    fault(PlanReadings(spectral.Sensitivity{}, lights, set, good)),
		"nodes":      fault(PlanReadings(film, lights, set, Design{Frames: 3, SD: .02, Recovery: Recovery{Nodes: []float64{400}}})),
	} {
		if err == nil {
			t.Errorf("%s accepted", name)
		}
	}
	if _, err := PlanReadings(film, lights, []Filter{opaque}, good); !said.Is("", err, ErrOpaque) {
		t.Error(err)
	}
}

func ExamplePlanReadings() {
	var candidates []Filter
	for _, e := range Catalogue() {
		candidates = append(candidates, e.Filter)
	}
	candidates = append(candidates, Clear())
	film := spectral.Generic(spectral.Panchromatic) // what it may be like
	lights := []spectral.Light{spectral.D55.Light(), spectral.A.Light()}
	plan, err := PlanReadings(film, lights, candidates, Design{Frames: 8, SD: 0.02})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("light %d, %.1f numbers, deviation %.2f of the peak\n", plan.Light, plan.Degrees, plan.Deviation[7])
	for _, f := range plan.Filters {
		fmt.Println(f.Frames, f.Filter.Name())
	}
	// Output:
	// light 0, 6.0 numbers, deviation 0.17 of the peak
	// 1 16 yellow orange
	// 1 22 deep orange
	// 1 25 red
	// 1 29 deep red
	// 1 13 green
	// 1 58 deep green
	// 1 47 blue
	// 1 violet
}
