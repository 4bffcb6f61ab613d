package scan

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/internal/check"
)

// Span is a step's place along a profile in pixels, from First up to but not including End.
type Span struct{ First, End int }

// Margin returns the span without a share of its length on each side.
func (s Span) Margin(share float64) Span {
	m := min(int(math.Ceil(share*float64(s.End-s.First))), (s.End-s.First-1)/2)
	return Span{s.First + m, s.End - m}
}

// Box returns the part of a tablet's box that a span takes, a sixth left out on each side
// across.
func (s Span) Box(tablet Box, along Axis) Box {
	if along == AlongX {
		m := tablet.Height / 6
		return Box{tablet.X + s.First, tablet.Y + m, s.End - s.First, tablet.Height - 2*m}
	}
	m := tablet.Width / 6
	return Box{tablet.X + m, tablet.Y + s.First, tablet.Width - 2*m, s.End - s.First}
}

// Steps are what a profile was cut into.
type Steps struct {
	Spans []Span
	// Levels are the profile's densities in the spans, margins left out.
	Levels []float64
	// Pitch is the length of a step in pixels.
	Pitch float64
	// Findings are sentences about the steps: another number than told, one missing, one
	// doubled.
	Findings []string
}

const (
	// Margin is the share of a step's length that is left out on each side of it.
	Margin = 0.2
	// finest is the fewest pixels of a step that can be found.
	finest = 6
	// mostSteps is more than any tablet has.
	mostSteps = 64
	// samples is how many a profile is binned to for the search.
	samples = 1500
	// unlike is the density that steps may differ from their own mean by, from an uneven
	// light: it keeps a clean picture from being cut ever finer. A choice.
	unlike = 0.004
)

// leastRange is the density between the thinnest and the densest step of a tablet: less is
// grain. A choice.
const leastRange = 0.02

var errEven = check.Errorf(ErrSteps, "the profile is even; is the box on the tablet, and along the right direction?")

// FindSteps cuts a profile along a tablet into its steps. Steps of a tablet are of one
// length, and so neighbours that are alike, in the toe, are told apart by where the others
// lie. The grid that is found makes
//
//	n ln(rss/n + 0.004²) + 2 steps ln n
//
// the least, rss over the steps' middle parts (the form of Schwarz's criterion, from
// memory); then each edge is moved to where the profile really steps, within a seventh of a
// step. want is the number of steps that was told, 0 for none: it is held against what is
// found and does not lead the search, save that a piece at an end that is no whole step
// goes if the number is right without it.
//
// The error wraps [ErrInput] for a profile shorter than twelve pixels or not finite, and
// [ErrSteps] for one without steps.
func FindSteps(profile []float64, want int) (Steps, error) {
	if len(profile) < 2*finest || !check.Finite(profile...) {
		return Steps{}, check.Errorf(ErrInput, "a profile of %d pixels, want %d at least, and finite", len(profile), 2*finest)
	}
	if want < 0 || want > mostSteps {
		return Steps{}, check.Errorf(ErrInput, "%d steps, want 1 to %d, or 0 where the number is not known", want, mostSteps)
	}
	by := (len(profile) + samples - 1) / samples
	c := newCutting(binned(profile, by))
	g := c.search()
	if flat := c.score(grid{float64(len(c.d)), 0}); !(g.score < flat) {
		return Steps{}, errEven
	}
	g = c.coarser(g)
	s := Steps{Pitch: g.pitch * float64(by)}
	s.Spans = spans(profile, g.pitch*float64(by), g.offset*float64(by))
	s.ends(profile, want)
	s.settle(profile)
	if slices.Max(s.Levels)-slices.Min(s.Levels) < leastRange {
		return Steps{}, errEven
	}
	s.remark(want)
	return s, nil
}

func binned(p []float64, by int) []float64 {
	if by == 1 {
		return p
	}
	var out []float64
	for i := 0; i+by <= len(p); i += by {
		sum := 0.0
		for _, v := range p[i : i+by] {
			sum += v
		}
		out = append(out, sum/float64(by))
	}
	return out
}

// grid is steps of one pitch, the first edge at the offset (0 to pitch).
type grid struct{ pitch, offset float64 }

type scored struct {
	grid
	score float64
}

// cutting has the running sums of a profile.
type cutting struct {
	d, sum, square []float64
}

func newCutting(d []float64) *cutting {
	c := &cutting{d, make([]float64, len(d)+1), make([]float64, len(d)+1)}
	mid := 0.0
	for _, v := range d {
		mid += v / float64(len(d))
	}
	for i, v := range d {
		c.sum[i+1], c.square[i+1] = c.sum[i]+v-mid, c.square[i]+(v-mid)*(v-mid)
	}
	return c
}

// score is the criterion for a grid.
func (c *cutting) score(g grid) float64 {
	n := len(c.d)
	rss, used, cells := 0.0, 0, 0
	margin := 0.1 * g.pitch
	for a := g.offset - g.pitch; a < float64(n); a += g.pitch {
		i, j := max(int(math.Ceil(a+margin)), 0), min(int(math.Floor(a+g.pitch-margin)), n)
		if j <= i {
			continue
		}
		s := c.sum[j] - c.sum[i]
		rss += max(c.square[j]-c.square[i]-s*s/float64(j-i), 0)
		used, cells = used+j-i, cells+1
	}
	return float64(n)*math.Log(rss/float64(max(used, 1))+unlike*unlike) + 2*float64(cells)*math.Log(float64(n))
}

// search tries pitches that move the last edge by less than a tenth of a step, all offsets,
// and then closer about the best.
func (c *cutting) search() scored {
	n := float64(len(c.d))
	best := scored{score: math.Inf(1)}
	try := func(g grid) {
		g.offset = math.Mod(g.offset+g.pitch, g.pitch)
		if s := c.score(g); s < best.score {
			best = scored{g, s}
		}
	}
	for p := max(finest, n/mostSteps); p <= n/1.5; p += max(0.1*p*p/n, 0.02) {
		for o := 0.0; o < p; o += max(p/20, 1) {
			try(grid{p, o})
		}
	}
	for _, fine := range []float64{0.05, 0.02, 0.01} {
		at := best.grid
		for i := -5; i <= 5; i++ {
			p := at.pitch * (1 + float64(i)*fine*at.pitch/n)
			for j := -5; j <= 5; j++ {
				// turn about the middle of the profile, so that pitch and offset do not fight
				k := math.Round((n/2 - at.offset) / at.pitch)
				mid := at.offset + k*at.pitch
				try(grid{p, math.Mod(mid-k*p+float64(j)*fine*p+2*p, p)})
			}
		}
	}
	return best
}

// coarser drops every second or third edge where nothing happens at it: uneven light within
// the steps has cut them finer.
func (c *cutting) coarser(g scored) scored {
	for _, times := range []int{3, 2} {
		for {
			p := g.pitch * float64(times)
			if p > float64(len(c.d))/1.5 {
				break
			}
			best := scored{score: math.Inf(1)}
			for k := range times {
				jumps := c.jumps(g.grid)
				var kept, dropped float64
				for i, j := range jumps {
					if i%times == k {
						kept += j
					} else {
						dropped += j
					}
				}
				if dropped < 0.15*kept && len(jumps) > times {
					o := g.offset + float64(k)*g.pitch
					if h := (grid{p, math.Mod(o, p)}); c.score(h) < best.score {
						best = scored{h, c.score(h)}
					}
				}
			}
			if math.IsInf(best.score, 1) {
				break
			}
			g = best
		}
	}
	return g
}

// jumps are the steps at the edges of a grid from its offset on, without their signs.
func (c *cutting) jumps(g grid) []float64 {
	n := len(c.d)
	mean := func(a, b float64) float64 {
		i, j := max(int(math.Ceil(a)), 0), min(int(math.Floor(b)), n)
		if j <= i {
			return math.NaN()
		}
		return (c.sum[j] - c.sum[i]) / float64(j-i)
	}
	var out []float64
	m := 0.15 * g.pitch
	for e := g.offset; e < float64(n); e += g.pitch {
		j := math.Abs(mean(e+m, e+g.pitch-m) - mean(e-g.pitch+m, e-m))
		if math.IsNaN(j) {
			j = 0
		}
		out = append(out, j)
	}
	return out
}

// spans turns a grid into spans; a piece of less than three tenths of a step goes to the
// margin.
func spans(profile []float64, pitch, offset float64) []Span {
	n := float64(len(profile))
	var out []Span
	for a := offset - pitch; a < n; a += pitch {
		lo, hi := max(a, 0), min(a+pitch, n)
		if hi-lo >= 0.3*pitch {
			out = append(out, Span{int(math.Round(lo)), int(math.Round(hi))})
		}
	}
	return out
}

// ends leaves out pieces at the ends that are no steps: of less than half a step, of the
// bare table, or of less than a whole one where the number is right without it.
func (s *Steps) ends(profile []float64, want int) {
	short := func(p Span, share float64) bool { return float64(p.End-p.First) < share*s.Pitch }
	drop := func(share float64) {
		for len(s.Spans) > 1 && short(s.Spans[0], share) && !(share > 0.5 && len(s.Spans) <= want) {
			s.Spans = s.Spans[1:]
		}
		for k := len(s.Spans) - 1; k > 0 && short(s.Spans[k], share) && !(share > 0.5 && len(s.Spans) <= want); k-- {
			s.Spans = s.Spans[:k]
		}
	}
	if want == 0 || len(s.Spans) > want {
		drop(0.5)
	}
	if want > 0 && len(s.Spans) > want {
		drop(0.9)
	}
	bare := func(p Span) bool { return level(profile, p) < 0.005 }
	for len(s.Spans) > 2 && bare(s.Spans[0]) && len(s.Spans) != want {
		s.Spans = s.Spans[1:]
		s.Findings = append(s.Findings, "the box begins on the bare light table")
	}
	for k := len(s.Spans) - 1; k > 1 && bare(s.Spans[k]) && len(s.Spans) != want; k-- {
		s.Spans = s.Spans[:k]
		s.Findings = append(s.Findings, "the box ends on the bare light table")
	}
}

// level is the profile's median in a span, margins left out.
func level(profile []float64, p Span) float64 {
	m := p.Margin(Margin)
	return medianOf(append([]float64(nil), profile[m.First:m.End]...))
}

// settle moves each edge to the pixel at which the profile is cut best, within a seventh of
// a step, where it is clear.
func (s *Steps) settle(profile []float64) {
	reach := int(s.Pitch / 7)
	for k := 1; k < len(s.Spans); k++ {
		e := s.Spans[k].First
		a, b := level(profile, s.Spans[k-1]), level(profile, s.Spans[k])
		if math.Abs(a-b) < 0.02 || e != s.Spans[k-1].End {
			continue
		}
		best, at := math.Inf(1), e
		for m := max(e-reach, s.Spans[k-1].First+1); m <= min(e+reach, s.Spans[k].End-1); m++ {
			cost := 0.0
			for i := max(e-2*reach, s.Spans[k-1].First); i < min(e+2*reach, s.Spans[k].End); i++ {
				if i < m {
					cost += math.Abs(profile[i] - a)
				} else {
					cost += math.Abs(profile[i] - b)
				}
			}
			if cost < best {
				best, at = cost, m
			}
		}
		s.Spans[k-1].End, s.Spans[k].First = at, at
	}
	for _, p := range s.Spans {
		s.Levels = append(s.Levels, level(profile, p))
	}
}

// remark holds the number of steps against what was told, and each rise against those
// beside it.
func (s *Steps) remark(want int) {
	if n := len(s.Spans); want > 0 && n != want {
		s.Findings = append(s.Findings, fmt.Sprintf("%d steps were found, %d were told", n, want))
	}
	const clear = 0.03
	for k := 1; k+2 < len(s.Levels); k++ {
		before, here, after := s.Levels[k]-s.Levels[k-1], s.Levels[k+1]-s.Levels[k], s.Levels[k+2]-s.Levels[k+1]
		if before*after < 0 || math.Abs(before) < clear || math.Abs(after) < clear {
			continue
		}
		least, greatest := min(math.Abs(before), math.Abs(after)), max(math.Abs(before), math.Abs(after))
		switch {
		case math.Abs(here) < 0.25*least:
			s.Findings = append(s.Findings,
				fmt.Sprintf("steps %d and %d are alike (%.3f apart, their neighbours %.3f and %.3f): one step doubled, or of twice the length",
					k+1, k+2, math.Abs(here), math.Abs(before), math.Abs(after)))
		case here*before > 0 && math.Abs(here) > 1.6*greatest:
			s.Findings = append(s.Findings,
				fmt.Sprintf("between steps %d and %d the density changes by %.3f, beside them by %.3f and %.3f: a step is missing",
					k+1, k+2, math.Abs(here), math.Abs(before), math.Abs(after)))
		case here*before < 0:
			s.Findings = append(s.Findings, fmt.Sprintf("between steps %d and %d the density goes the other way", k+1, k+2))
		}
	}
}
