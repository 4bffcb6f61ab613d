package plan

import (
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/internal/optdesign"
	"example.org/actinic/internal/stripset"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

// Plan is a test laid out. It marshals to JSON, see [Plan.MarshalJSON].
type Plan struct {
	Wish  Wish // with the values that zero stood for
	Own   Layout
	Even  Layout   // the plain plan of as much film, to be compared with
	Notes []string // what to mind, in order
	// Choices are what other numbers of strips and steps would give.
	Choices []Choice
	// StripsFirst is how many frames the bracket needs for the wanted half-width if it is
	// developed when the strips have said the time; 0 where as many as it may have do not.
	StripsFirst int
}

// Layout is what is exposed, and how sharp it is expected to come out.
type Layout struct {
	Strips []Strip
	// Steps are the different exposures of a strip with their settings, most light last.
	Steps []Step
	// Frames are the exposed ones of the bracket; Unexposed are so many more, each read at
	// [Places].
	Frames    []Frame
	Unexposed int
	// StripsBy and FramesBy say what is turned from exposure to exposure.
	StripsBy, FramesBy How
	Expected           Expectation
}

// Strip is a piece of film with frames of a grey card, developed by itself.
type Strip struct {
	Name        string
	Development time.Duration
	// Stops are those from the metered tone at the guess of the index, by the exact values
	// of the marks, in rising order; an exposure that is repeated stands twice.
	Stops     []float64
	Unexposed int // frames that get no light
}

// Step is an exposure of the strips.
type Step struct {
	Setting
	Stops float64
	Times int // how often on each strip
}

// Frame is a frame of the bracket.
type Frame struct {
	Setting
	Number int
	// Index is the printed one nearest to what the frame is exposed as, and ExposedAs the
	// one that the marks exactly stand for, which goes with its densities.
	Index     float64
	ExposedAs float64
}

// Expectation says how sharp an answer is expected, as the median over films that go with
// the guess: for half of them it comes out sharper.
//
// Measured (TestPromises in its long form: 200 simulated tests a row, films drawn from the
// guess, exposures that scatter by 0.05 stop, strips that differ by 1 % of contrast and 0.01
// in log H): half-widths promised and found, in stops and per cent of the development, and
// how often the intervals held the truth.
//
//	                               Tested        Moved         development  held, of
//	to 1/12000, EV 12              0.121 0.117   0.169 0.178   6.2 5.8      181 194 191, 195
//	  the even plan                0.145 0.149   0.194 0.198   6.3 6.5      189 192 191, 195
//	to 1/500 in the sun, sd 0.02   0.215 0.215   0.248 0.260   6.3 6.2      184 187 188, 191
//	  the even plan                0.221 0.229   0.260 0.270   6.6 6.9      188 193 190, 193
//	4 strips, 36 frames            0.097 0.093   0.186 0.187   9.2 9.1      181 187 189, 189
//	  the even plan                0.126 0.127   0.212 0.205  10.1 9.5      183 190 192, 192
//	strips first, 9 frames         0.164 0.159   0.217 0.221   7.8 7.6      178 188 188, 191
//	  the even plan                0.179 0.176   0.236 0.244   8.3 8.1      187 190 192, 193
//
// Tests without an answer, 2 to 6 of 100, had an index beyond the bracket or a target
// beyond the strips. The bracket is what the design makes sharper, by the root of the
// efficiencies; of the development the even plan knows nearly as much. Films of another
// form than the fit's come out otherwise (TestOtherFilms, 100 of each form for a plan that
// promised 0.174 stop and 9.2 %): an exponential shoulder 0.168 and 11, two emulsions
// 0.184 and 6, a toe that fades as 1/x 0.208 and 10, no straight part 0.213 and 16,
// upswept 0.188 and 11, logistic 0.236 and 12; the intervals of the index held 90
// (upswept) to 95 % of them.
type Expectation struct {
	// IndexHalfWidth is that of the interval of 95 % of the index that the test ends with,
	// for the time that gives the target. It is one of the next two.
	IndexHalfWidth sensito.Stops
	// Moved is for a bracket developed for the guess of the time, whose index the strips
	// move; Tested for one that is developed when the strips have said the time.
	Moved, Tested sensito.Stops
	// DevelopmentHalfWidth is that of the time for the target, as a part of it.
	DevelopmentHalfWidth float64
	// Efficiency is the variance of the best bracket for the index, of as many frames on
	// the same settings and not in whole numbers, over that of this one.
	Efficiency float64
}

// Choice is a number of strips of so many frames, and the half-width of the development
// that it gives.
type Choice struct {
	Strips, FramesEach   int
	DevelopmentHalfWidth float64
}

// New makes a plan.
//
// Frames and steps are chosen among the exposures that the camera's marks give, by the
// variance of what is wanted: of the index for the bracket, of the logarithm of the average
// gradient and, less, of the speed point for the steps, of the time for the target for the
// developments; each averaged over 18 films that go with the guess (index, time, growth of
// contrast, toe, shoulder), with the information that the fits have. The bracket has the
// least frames for the wanted half-width, on eight exposures or more, the ends of its range
// and an unexposed frame among them; the strips the least film.
//
// How sharp it comes out is the fits' own interval, and not the bound of the information
// alone, see [Expectation].
//
// The error wraps [ErrWish], and [camera.ErrReach] too where the camera does not reach
// exposures enough; Notes say what is not reached otherwise.
func New(w Wish) (*Plan, error) {
	d, err := newDesigner(w)
	if err != nil {
		return nil, err
	}
	p := &Plan{Wish: d.Wish}
	l, err := d.designStrips(p)
	if err != nil {
		return nil, err
	}
	problem, err := d.problem(l)
	if err != nil {
		return nil, err
	}
	first, err := d.fewest(problem, l, d.tested)
	if err != nil {
		return nil, err
	}
	frames := first
	if !d.StripsFirst {
		if frames, err = d.fewest(problem, l, d.moved); err != nil {
			return nil, err
		}
	}
	if l.frames, err = d.designFrames(problem, frames); err != nil {
		return nil, err
	}
	p.Own = d.layout(l)
	p.Own.Expected = d.expected(l, efficiency(problem, l.frames))
	for i, c := range p.Choices { // it was tried on fewer films
		if c.Strips == len(l.times) && c.FramesEach == total(l.steps) {
			p.Choices[i].DevelopmentHalfWidth = p.Own.Expected.DevelopmentHalfWidth
		}
	}
	even := &layout{times: d.evenTimes(len(l.times), 2), steps: d.evenSteps(total(l.steps)), frames: d.evenFrames(frames)}
	p.Even = d.layout(even)
	p.Even.Expected = d.expected(even, efficiency(problem, even.frames))
	if at, err := d.designFrames(problem, first); err == nil {
		if d.tested(&layout{times: l.times, steps: l.steps, frames: at}) <= float64(d.HalfWidth) {
			p.StripsFirst = first
		}
	}
	p.Notes = d.notes(p)
	return p, nil
}

// fewest is the least number of frames for the wanted half-width, as many as there may be
// where they do not reach it: more are never worse.
func (d *designer) fewest(p *optdesign.Problem, l *layout, half func(*layout) float64) (int, error) {
	lo, hi := leastFrames, d.Frames
	try := *l
	for lo < hi {
		n := (lo + hi) / 2
		var err error
		if try.frames, err = d.designFrames(p, n); err != nil {
			return 0, err
		}
		if half(&try) <= float64(d.HalfWidth) {
			hi = n
		} else {
			lo = n + 1
		}
	}
	return lo, nil
}

func total(n []int) int {
	sum := 0
	for _, k := range n {
		sum += k
	}
	return sum
}

// expected is what a layout promises.
func (d *designer) expected(l *layout, efficiency float64) Expectation {
	e := Expectation{Moved: sensito.Stops(d.moved(l)), Tested: sensito.Stops(d.tested(l)),
		DevelopmentHalfWidth: median(d.developments(l)), Efficiency: efficiency}
	e.IndexHalfWidth = e.Moved
	if d.StripsFirst {
		e.IndexHalfWidth = e.Tested
	}
	return e
}

// tested is the half-width of the bracket's own index.
func (d *designer) tested(l *layout) float64 { return median(d.indexHalfWidths(l)) }

// moved is that of the index moved by the strips.
func (d *designer) moved(l *layout) float64 {
	own, by := d.indexHalfWidths(l), d.moves(l)
	for i := range own {
		own[i] = math.Hypot(own[i], by[i])
	}
	return median(own)
}

// moves are the half-widths, in stops, that moving an index from the guess of the
// development to the time for the target adds, film by film, as package roll moves it.
func (d *designer) moves(l *layout) []float64 {
	if l.moves != nil {
		return l.moves
	}
	var out []float64
	half := d.developments(l)
	for i := range d.films {
		f := &d.films[i]
		var strips []stripset.Strip
		for _, m := range l.times {
			c := f.at(m)
			cov := d.covariance(&c, l.steps)
			s := stripset.Strip{Minutes: m}
			s.Value[stripset.LnGradient], s.Value[stripset.Base] = math.NaN(), math.NaN()
			s.Value[stripset.Speed] = f.speedPoint(m)
			s.Cov[stripset.Speed][stripset.Speed] = cov.Quadratic(c.Point())
			strips = append(strips, s)
		}
		course, err := stripset.NewCourse(strips, nil)
		if err != nil {
			out = append(out, math.Inf(1))
			continue
		}
		_, sd, ok := course.Move(min(max(d.Development.Minutes(), slices.Min(l.times)), slices.Max(l.times)), f.time)
		if !ok {
			out = append(out, math.Inf(1))
			continue
		}
		out = append(out, moveBeyond*math.Hypot(lsq.Normal95*sd, course.Slope(f.time)*f.time*half[i])/stop)
	}
	l.moves = out
	return out
}

// layout puts places among settings into what a person exposes.
func (d *designer) layout(l *layout) Layout {
	out := Layout{StripsBy: d.steps.how, FramesBy: d.bracket.how, Unexposed: l.frames[len(d.index)]}
	var stops []float64
	for i := len(d.stops) - 1; i >= 0; i-- { // exposure values rise, stops fall
		if l.steps[i] == 0 {
			continue
		}
		st := math.Round(1e4*d.stops[i]) / 1e4
		out.Steps = append(out.Steps, Step{d.steps.settings[i], st, l.steps[i]})
		for range l.steps[i] {
			stops = append(stops, st)
		}
	}
	slices.SortFunc(out.Steps, func(a, b Step) int { return int(math.Copysign(1, a.Stops-b.Stops)) })
	slices.Sort(stops)
	for k, m := range slices.Sorted(slices.Values(l.times)) {
		out.Strips = append(out.Strips, Strip{name(k), duration(m), slices.Clone(stops), l.steps[len(d.stops)]})
	}
	for i, s := range d.bracket.settings {
		for range l.frames[i] {
			as := s.exposedAs(d.Light)
			out.Frames = append(out.Frames, Frame{s, len(out.Frames) + 1, printed(as), as})
		}
	}
	return out
}

// name is a letter, A for the shortest development.
func name(k int) string { return string(rune('A' + k)) }

// printed is the number of the scale nearest to an index.
func printed(index float64) float64 {
	row, ok := sensito.ScaleAt(sensito.Speed{Value: index}.Degrees())
	if !ok {
		return index
	}
	return row.Number
}

// unreached says what a camera does not reach.
func unreached(what string, s *series, lo, hi float64) error {
	err := check.Errorf(ErrWish, "%s would need exposure values from %.1f to %.1f, and the camera has %d distinct exposures of them; meter another light (-ev), or take a camera with other marks",
		what, lo, hi, distinct(s.settings))
	return fmt.Errorf("%w (%w)", err, camera.ErrReach)
}

// FilmFrames is how many frames the layout takes: of the strips and of the bracket.
func (l *Layout) FilmFrames() (strips, bracket int) {
	for _, s := range l.Strips {
		strips += len(s.Stops) + s.Unexposed
	}
	return strips, len(l.Frames) + l.Unexposed
}

// Distinct is how many different exposures the bracket has, the unexposed ones not counted.
func (l *Layout) Distinct() int {
	n := 0
	for i, f := range l.Frames {
		if i == 0 || f.Setting != l.Frames[i-1].Setting {
			n++
		}
	}
	return n
}

// Neutral is the grey filter of the bracket, 0 for none.
func (l *Layout) Neutral() sensito.Density {
	if len(l.Frames) == 0 {
		return 0
	}
	return l.Frames[0].Neutral
}

// notes are what to mind.
func (d *designer) notes(p *Plan) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	e := p.Own.Expected
	if float64(e.IndexHalfWidth) > float64(d.HalfWidth) {
		say("The index: %s with %d frames, not ± %.2f as wanted: give it more frames, read densities more exactly, or start from a surer guess.",
			stops(float64(e.IndexHalfWidth)), d.Frames, float64(d.HalfWidth))
	}
	if e.DevelopmentHalfWidth > d.DevelopmentHalfWidth {
		say("The development: %s, not ± %.1f %% as wanted; more strips, longer ones or more exact readings would give more.",
			percent(e.DevelopmentHalfWidth), 100*d.DevelopmentHalfWidth)
	}
	switch {
	case d.StripsFirst:
		say("Develop the strips first and evaluate them; then develop the bracket for the time that they give, and write that time into test.json as bracket_development. Developed for the guess of %s, its index has to be moved by the strips, and comes out to %s only.",
			clock(d.Development), stops(float64(e.Moved)))
	case p.StripsFirst > 0:
		_, frames := p.Own.FilmFrames()
		say("The bracket is developed for %s; should the strips give another time, they move its index. Developed when the strips have said the time, and bracket_development in test.json changed to it, these frames give %s, and %d of them ± %.2f, in place of %d.",
			clock(d.Development), stops(float64(e.Tested)), p.StripsFirst, float64(d.HalfWidth), frames)
	default:
		say("The bracket is developed for %s; should the strips give another time, they move its index. Developed when the strips have said the time, and bracket_development in test.json changed to it, these frames give %s.",
			clock(d.Development), stops(float64(e.Tested)))
	}
	for _, s := range []struct {
		what string
		s    *series
	}{{"bracket", &d.bracket}, {"strips", &d.steps}} {
		if s.s.short > endSlack {
			say("The %s should go %.1f stops further to more light than the camera does: meter more light, or a wider lens.", s.what, s.s.short)
		}
		if s.s.over > endSlack {
			say("The %s should go %.1f stops further to less light than the camera does: meter less light.", s.what, s.s.over)
		}
		if s.s.neutral > 0 {
			say("%s stays before the lens for the whole of the %s; its name is a nominal density: measure it, or test it against a frame without. It does not protect the eye: never look at the sun through it.",
				camera.NeutralName(s.s.neutral), s.what)
		}
	}
	d.slowAndFast(p, say)
	say("Meter before and after: if the light has changed by more than a third of a stop, begin again.")
	say("Each frame that got no light is read at %d places, so that errors of reading average out.", Places)
	say("Strips are frames of an evenly lit grey card, out of focus, metered by itself in the light told: stops are from the metered tone.")
	return out
}

// slowAndFast warns of times outside those at which films keep reciprocity.
func (d *designer) slowAndFast(p *Plan, say func(string, ...any)) {
	var slow, fast time.Duration
	look := func(t time.Duration) {
		if t > camera.ReciprocalTo {
			slow = max(slow, t)
		}
		if t < camera.ReciprocalFrom && (fast == 0 || t < fast) {
			fast = t
		}
	}
	for _, f := range p.Own.Frames {
		look(f.Time.Time)
	}
	for _, s := range p.Own.Steps {
		look(s.Time.Time)
	}
	if slow > 0 {
		say("Times longer than 1/2, up to %s, are among the exposures: ordinary films lose by them, and the index found includes what the film loses. More light is better.", exposure.FormatShutter(slow))
	}
	if fast > 0 {
		say("Times shorter than 1/1000, down to %s, are among the exposures: ordinary films lose by them, and the index found includes what the film loses.", exposure.FormatShutter(fast))
	}
}

// clock prints a development as 10:00.
func clock(t time.Duration) string {
	s := int(math.Round(t.Seconds()))
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}
