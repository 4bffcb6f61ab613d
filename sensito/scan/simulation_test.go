package scan

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/copystand"
)

var study = flag.Int("scan.rolls", 1, "simulated tablets a set-up in the study of patches")

// shutter is the time of a full stop below a second.
func shutter(stops int) time.Duration {
	return time.Duration(math.Exp2(float64(stops)) * float64(time.Second))
}

func taken(t testing.TB, name string, s copystand.Stand, v []uint16, d time.Duration) *Frame {
	t.Helper()
	f, err := NewFrame(&Picture{width: s.Width, height: s.Height, u: v, origin: Origin{File: name, Format: "TIFF", Numbers: "16 bits", Channel: "grey", White: 65535}}, d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// tablet is a field with steps in a box, film base about it and the bare table beyond.
type tablet struct {
	box       Box
	densities []float64
	slant     float64 // pixels down for one across
}

func (b tablet) field(width, height int) []float64 {
	d := make([]float64, width*height)
	for i := range d {
		x, y := float64(i%width), float64(i/width)
		sx, sy := x-float64(b.box.X)+b.slant*(y-float64(height)/2), y-float64(b.box.Y)-b.slant*(x-float64(width)/2)
		switch k := int(math.Floor(sx / float64(b.box.Width) * float64(len(b.densities)))); {
		case sy < -30 || sy > float64(b.box.Height)+30:
			d[i] = 0 // the bare table
		case sy < -1 || sy > float64(b.box.Height)+1 || k < 0 || k >= len(b.densities):
			d[i] = 0.2 // the film's edge
		default:
			d[i] = b.densities[k]
		}
	}
	return d
}

// simulated is a tablet photographed at several times, with what a set-up needs.
func simulated(t testing.TB, seed uint64, b tablet, flare float64, specks int, times ...time.Duration) (*Setup, []*Frame) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 7))
	s := copystand.New(700, 160)
	s.Flare = flare
	open := make([]float64, s.Width*s.Height)
	for i := range open {
		open[i] = 1
	}
	film := copystand.Film(r, b.field(s.Width, s.Height), s.Width, 0.03, 3)
	copystand.Dust(r, film, s.Width, specks)
	u := &Setup{Light: taken(t, "light", s, s.Expose(r, open, shutter(-6).Seconds()), shutter(-6)), Flare: Flare(flare)}
	for _, d := range append([]time.Duration{shutter(-6)}, times...) {
		u.Darks = append(u.Darks, taken(t, "dark "+d.String(), s, s.Dark(r, d.Seconds()), d))
	}
	var frames []*Frame
	for _, d := range times {
		frames = append(frames, taken(t, "film "+d.String(), s, s.Expose(r, film, d.Seconds()), d))
	}
	return u, frames
}

func ramp(from, by float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = from + by*float64(i)
	}
	return out
}

// Tablets are found and measured in pictures with all that spoils them: densities within
// 0.01 up to 2.0 and 0.02 up to 3.0, three standard deviations of grain and photons on top, and standard
// deviations that hold.
func TestSimulatedTablets(t *testing.T) {
	b := tablet{Box{30, 50, 630, 60}, ramp(0.22, 0.135, 21), 0.004}
	inside, all := 0, 0
	var zz float64
	for k := range 4 * *study {
		flare := []float64{0, 0.005, 0.01, 0.02}[k%4]
		u, frames := simulated(t, uint64(k), b, flare, 8, shutter(-6), shutter(-3), shutter(0))
		p, err := u.Profile(b.box, AlongX, frames...)
		if err != nil {
			t.Fatal(err)
		}
		steps, err := FindSteps(p, 21)
		if err != nil {
			t.Fatal(err)
		}
		if len(steps.Spans) != 21 || len(steps.Findings) > 0 {
			t.Errorf("tablet %d: %d steps, pitch %.2f, %v", k, len(steps.Spans), steps.Pitch, steps.Findings)
			continue
		}
		for i, s := range steps.Spans {
			if want := 30 * i; i > 0 && math.Abs(float64(s.First-want)) > 2 {
				t.Errorf("tablet %d: step %d begins at %d, want %d", k, i+1, s.First, want)
			}
			r, err := u.Measure(s.Margin(Margin).Box(b.box, AlongX), frames...)
			if err != nil {
				t.Fatal(err)
			}
			truth := b.densities[i]
			off := float64(r.Density) - truth
			limit := 0.01
			if truth > 2 {
				limit = 0.02
			}
			if math.Abs(off) > limit+3*r.SD {
				t.Errorf("flare %v: step %d of %.3f reads %+.4f off, sd %.4f (%d set aside, correlation %.2f) %v", flare, i+1, truth, off, r.SD, r.SetAside, r.Correlation, r.Warnings)
			}
			all++
			zz += off * off / (r.SD * r.SD)
			if math.Abs(off) < 1.959964*r.SD {
				inside++
			}
		}
	}
	share := float64(inside) / float64(all)
	t.Logf("%d of %d within their 95 %% interval: %.3f; rms z %.3f", inside, all, share, math.Sqrt(zz/float64(all)))
	if sd := math.Sqrt(0.95 * 0.05 / float64(all)); share < 0.95-0.02-2*sd || share > 0.95+0.02+2*sd {
		t.Errorf("coverage %.3f of %d, want 0.93 to 0.97", share, all)
	}
}

// White noise, and white noise smoothed by a running mean of 3 × 3, on 30 × 30 pixels: the
// standard error of the mean is 2.9111 times sd/30 (exact: along each axis the variance
// of a mean of 30 is 1 + 2(2/3·29/30 + 1/3·28/30) times that of pixels that know nothing of
// each other). Derived.
func TestMeanErrorOfSmoothedNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	const n, runs = 30, 400
	var white, smooth, truth float64
	for range runs {
		z := make([]float64, (n+2)*(n+2))
		for i := range z {
			z[i] = r.NormFloat64()
		}
		w, s, mean := make([]float64, n*n), make([]float64, n*n), 0.0
		for y := range n {
			for x := range n {
				w[y*n+x] = z[y*(n+2)+x]
				for k := range 9 {
					s[y*n+x] += z[(y+k/3)*(n+2)+x+k%3] / 9
				}
				mean += s[y*n+x] / (n * n)
			}
		}
		truth += mean * mean / runs
		a, _, err := MeanError(w, n, n)
		if err != nil {
			t.Fatal(err)
		}
		b, _, err := MeanError(s, n, n)
		if err != nil {
			t.Fatal(err)
		}
		white, smooth = white+a*a/runs, smooth+b*b/runs
	}
	const want = 2.9111 / 3.0 / 30 // the sd of a pixel is a third
	near(t, "the draws themselves", math.Sqrt(truth), want, 0.1*want)
	near(t, "white", math.Sqrt(white), 1.0/30, 0.07/30)
	near(t, "smoothed", math.Sqrt(smooth), want, 0.08*want)
	for _, bad := range [][]float64{nil, make([]float64, 49), append(make([]float64, 63), math.NaN())} {
		_, _, err := MeanError(bad, 8, 8)
		refused(t, "mean error", err)
	}
	if se, ratio, err := MeanError(make([]float64, 64), 8, 8); se != 0 || ratio != 1 || err != nil {
		t.Errorf("no noise: %v, %v, %v", se, ratio, err)
	}
}

func TestFindSteps(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	make := func(widths []int, d []float64) []float64 {
		var p []float64
		for i, w := range widths {
			for range w {
				p = append(p, d[i]+0.002*r.NormFloat64())
			}
		}
		return p
	}
	even := func(n, w int) []int {
		out := []int{}
		for range n {
			out = append(out, w)
		}
		return out
	}
	toe := append([]float64{0.25, 0.25, 0.252, 0.257, 0.27}, ramp(0.3, 0.08, 16)...)
	doubled := append(append([]float64{}, toe[:10]...), toe[9:20]...)
	missing := append(append([]float64{}, toe[:10]...), toe[11:]...)
	down := []float64{}
	for i := range toe {
		down = append(down, toe[len(toe)-1-i])
	}
	for _, c := range []struct {
		name     string
		profile  []float64
		want     int
		found    int
		findings int
		says     string
	}{
		{"toe", make(even(21, 31), toe), 21, 21, 0, ""},
		{"falling", make(even(21, 31), down), 21, 21, 0, ""},
		{"not told", make(even(21, 31), toe), 0, 21, 0, ""},
		{"narrow", make(even(21, 9), toe), 21, 21, 0, ""},
		{"wide", make(even(21, 251), toe), 21, 21, 0, ""},
		{"one less than told", make(even(20, 31), toe[:20]), 21, 20, 1, "20 steps were found, 21"},
		{"one more than told", make(even(21, 31), toe), 20, 21, 1, "21 steps were found, 20"},
		{"doubled", make(even(21, 31), doubled), 21, 21, 1, "steps 10 and 11 are alike"},
		{"of twice the length", make(append(append(even(9, 31), 62), even(11, 31)...), append(append([]float64{}, toe[:10]...), toe[10:]...)), 21, 22, 2, "steps 10 and 11 are alike"},
		{"missing", make(even(20, 31), missing), 21, 20, 2, "between steps 10 and 11"},
		{"loose box", make(append(append([]int{9}, even(21, 31)...), 9), append(append([]float64{0.2}, toe...), 0.2)), 21, 21, 0, ""},
		{"three", make(even(3, 40), []float64{0.2, 0.9, 1.5}), 0, 3, 0, ""},
		{"gradient within", func() []float64 {
			p := make(even(21, 31), toe)
			for i := range p {
				p[i] += 0.02 * math.Sin(float64(i)/650*math.Pi)
			}
			return p
		}(), 21, 21, 0, ""},
	} {
		s, err := FindSteps(c.profile, c.want)
		if err != nil || len(s.Spans) != c.found || len(s.Findings) != c.findings || !strings.Contains(strings.Join(s.Findings, "; "), c.says) {
			t.Errorf("%s: %d steps, want %d; findings %q, want %d; %v", c.name, len(s.Spans), c.found, s.Findings, c.findings, err)
		}
		for i := 1; i < len(s.Spans); i++ {
			if s.Spans[i].First < s.Spans[i-1].End || s.Spans[i].End <= s.Spans[i].First {
				t.Errorf("%s: spans %v", c.name, s.Spans)
			}
		}
	}
	if _, err := FindSteps(make([]int{300}, []float64{0.3}), 21); err == nil {
		t.Error("steps in an even profile")
	}
	for _, bad := range [][]float64{nil, {1, 2, 3}, append(make([]int{20}, []float64{1}), math.NaN())} {
		_, err := FindSteps(bad, 3)
		refused(t, fmt.Sprint(len(bad)), err)
	}
}

// A plane that is taken off takes power from the axes; put back, white noise has a flat
// spectrum there too.
func TestPlaneTakesFromTheAxes(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	const n, runs = 24, 1500
	var axis, count float64
	for range runs {
		v := make([]float64, n*n)
		for i := range v {
			v[i] = r.NormFloat64()
		}
		p, _ := fitPlane(v, nil, n, n)
		for i := range v {
			v[i] -= p.at(i%n, i/n)
		}
		for _, b := range periodogram(v, n, n, 1.01/n) { // the first of each axis
			axis, count = axis+b.power, count+1
		}
	}
	near(t, "power of the first bins", axis/count, 1, 3/math.Sqrt(count))
	if count != 2*runs {
		t.Errorf("%v bins, want 2 a run", count/runs)
	}
}

// Exposures are joined by their variances: a noisy one beside a clean one neither moves the
// density nor widens it.
func TestJoinedByVariance(t *testing.T) {
	s := &Setup{Light: even(t, 50000, 0, time.Second)}
	clean, noisy := even(t, 20000, 20, 4*time.Second), even(t, 5010, 400, time.Second)
	one, err := s.Measure(inner, clean)
	if err != nil {
		t.Fatal(err)
	}
	both, err := s.Measure(inner, clean, noisy)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "density", float64(both.Density), float64(one.Density), one.SD)
	if both.Exposures != 2 || !(both.SD < 1.1*one.SD) {
		t.Errorf("joined sd %v, alone %v", both.SD, one.SD)
	}
}
