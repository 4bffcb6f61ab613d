package scan

import (
	"math"
	"math/rand/v2"
	"testing"
)

// drawn is a profile of a tablet on invented film: steps of one length but for a slight
// perspective, edges blurred, noise that knows its neighbours, a light that is not even.
func drawn(r *rand.Rand, levels []float64) []float64 {
	width := 8 + 60*r.Float64()
	grow := 1 + 0.04*(r.Float64()-0.5)/float64(len(levels))
	blur, sd := 0.3+r.Float64()*width/12, 0.002+0.006*r.Float64()
	var edges []float64
	x := 0.0
	for range levels {
		edges = append(edges, x)
		x += width
		width *= grow
	}
	p := make([]float64, int(x))
	noise := 0.0
	for i := range p {
		p[i] = levels[0] + 0.01*float64(i)/float64(len(p))
		for j := 1; j < len(levels); j++ {
			p[i] += (levels[j] - levels[j-1]) * 0.5 * (1 + math.Erf((float64(i)-edges[j])/blur/math.Sqrt2))
		}
		noise = 0.6*noise + 0.8*r.NormFloat64()
		p[i] += sd * noise
	}
	return p
}

// Steps are counted right whatever the toe, the blur and the noise; one that is missing or
// doubled is noticed, save in a toe where steps hardly differ.
func TestStepsStudy(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 7))
	unnoticed, all := 0, 0
	for k := range 300 {
		n := []int{11, 21, 31}[k%3]
		levels := make([]float64, n)
		from := -1.5 * r.Float64()
		for i := range levels {
			x := from + float64(i)*3/float64(n)
			levels[i] = 0.25 + 0.65*0.25*math.Log1p(math.Exp(x/0.25))
		}
		at := n/2 + r.IntN(n/3)
		var shown []float64
		switch k % 4 {
		case 2: // one missing
			shown = append(append(shown, levels[:at]...), levels[at+1:]...)
		case 3: // one doubled, the last lost
			shown = append(append(shown, levels[:at]...), levels[at-1:n-1]...)
		default:
			shown = levels
		}
		s, err := FindSteps(drawn(r, shown), n)
		if err != nil {
			t.Errorf("%d: %v", k, err)
			continue
		}
		if k%4 < 2 {
			if len(s.Spans) != n || len(s.Findings) > 0 {
				t.Errorf("%d: %d steps of %d, %q", k, len(s.Spans), n, s.Findings)
			}
			continue
		}
		all++
		if len(s.Findings) == 0 {
			unnoticed++
		}
	}
	t.Logf("%d of %d missing or doubled steps were not noticed", unnoticed, all)
	if unnoticed*20 > all {
		t.Errorf("%d of %d missing or doubled steps were not noticed", unnoticed, all)
	}
}
