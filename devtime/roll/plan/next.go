package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/bracketfit"
	"example.org/actinic/internal/cholesky"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/internal/optdesign"
	"example.org/actinic/sensito"
)

// Advice is what the readings so far say, and what one more would.
type Advice struct {
	Record *roll.Record // what the readings say
	// IndexHalfWidth and DevelopmentHalfWidth are those reached, in stops and as a part; NaN
	// where there is no answer yet.
	IndexHalfWidth       sensito.Stops
	DevelopmentHalfWidth float64
	// Frames are the exposures of one more frame of the bracket, none where no frame was
	// read, and Strips the developments of one more strip, the best first.
	Frames []NextFrame
	Strips []NextStrip
	// More is how many frames, each the best next one, would reach the wanted half-width of
	// the bracket's own index; 0 where it is reached, or where as many as it may have do not.
	More  int
	Notes []string
}

// NextFrame is one more frame, and the half-width of the bracket's own index after it.
type NextFrame struct {
	Frame          // its number is 0
	Unexposed bool // a frame that gets no light
	HalfWidth sensito.Stops
	Narrower  float64 // per cent
}

// NextStrip is one more strip, and the half-width of the development after it.
type NextStrip struct {
	Development          time.Duration
	DevelopmentHalfWidth float64
}

// Next evaluates the readings so far, those of [roll.ReadPart] for example, and says what to expose next, and what it would gain:
// for each exposure that the camera has, by how much one more frame there narrows the
// index, by the variance that the fit has,
//
//	c'Vc - (c'Vf)²/(1 + f'Vf)   for a reading of gradient f
//
// and for each development what one more strip does to the time for the target. The films
// that it is averaged over are those that go with the answer so far in place of the guess;
// without an answer, with the guess. Errors are those of [New] and [roll.Roll.Characterise].
func Next(w Wish, r *roll.Roll) (*Advice, error) {
	rec, err := r.Characterise(roll.Settings{})
	if err != nil {
		return nil, err
	}
	w.TargetAverageGradient, w.ShadowStopsBelowMeter = r.TargetAverageGradient, r.ShadowStopsBelowMeter
	a := &Advice{Record: rec, IndexHalfWidth: sensito.Stops(math.NaN()), DevelopmentHalfWidth: math.NaN()}
	if e := rec.Development; e != nil && !math.IsInf(e.High, 0) {
		a.DevelopmentHalfWidth = (e.High - e.Low) / 2 / e.Value
		w.Development = seconds(e.Value).Round(time.Second)
		w.DevelopmentSure = min(max(a.DevelopmentHalfWidth/lsq.Normal95, 0.02), 1)
	}
	if x := rec.Index; x != nil && x.High > x.Low && x.Low > 0 {
		a.IndexHalfWidth = sensito.Stops(math.Log2(x.High/x.Low) / 2)
		w.Index, w.Sure = x.Value, sensito.Stops(min(max(float64(a.IndexHalfWidth)/lsq.Normal95, 0.05), 4))
	}
	d, err := newDesigner(w)
	if err != nil {
		return nil, err
	}
	a.nextStrips(d)
	if err := a.nextFrames(d, r); err != nil {
		return nil, err
	}
	a.notes(d)
	return a, nil
}

// nextStrips tries one more strip at each development, of a gradient as the law has it and
// a deviation as the strips have.
func (a *Advice) nextStrips(d *designer) {
	rec := a.Record
	if rec.ContrastTime == nil {
		return
	}
	law := rec.ContrastTime.Growth
	var points []devtime.Point
	var sds []float64
	for i := range rec.Strips {
		s := &rec.Strips[i]
		if g := s.AverageGradient; g != nil && g.High > g.Low && !slices.Contains(s.LeftOut, "contrast") {
			sd := (g.High - g.Low) / (2 * lsq.Normal95)
			points = append(points, devtime.Point{Time: seconds(s.Taken()), Value: g.Value, SD: sd})
			sds = append(sds, sd/g.Value)
		}
	}
	if len(points) == 0 {
		return
	}
	for _, m := range d.candidateTimes() {
		t := duration(m)
		at, err := law.At(t)
		if err != nil {
			continue
		}
		more := append(slices.Clone(points), devtime.Point{Time: t, Value: at.Value, SD: median(sds) * at.Value})
		slices.SortStableFunc(more, func(a, b devtime.Point) int { return cmp.Compare(a.Time, b.Time) })
		fit, err := devtime.FitGrowth(more)
		if err != nil {
			continue
		}
		if for1, err := fit.TimeFor(d.TargetAverageGradient); err == nil && for1.High > for1.Low {
			a.Strips = append(a.Strips, NextStrip{t, float64(for1.High-for1.Low) / 2 / float64(for1.Value)})
		}
	}
	slices.SortStableFunc(a.Strips, func(x, y NextStrip) int { return cmp.Compare(x.DevelopmentHalfWidth, y.DevelopmentHalfWidth) })
}

// nextFrames tries one more frame at each exposure.
func (a *Advice) nextFrames(d *designer, r *roll.Roll) error {
	read := len(r.Bracket) > 0
	var scs []optdesign.Scenario
	for i := range d.films {
		f := &d.films[i]
		before := d.beforeOf(f, r)
		have := d.haveRead(f, r)
		for j, v := range have.A {
			before.A[j] += v
		}
		scs = append(scs, optdesign.Scenario{Weight: 1, Prior: before, Info: d.frameInformation(&f.target),
			Wanted: [][]float64{f.target.IndexGradient(len(d.tones) - 1)}})
	}
	p, err := optdesign.New(optdesign.Variance, scs)
	if err != nil {
		return err
	}
	n := make([]float64, p.Candidates())
	now := p.Value(n)
	half := func(v float64) float64 { return lsq.Normal95 * math.Sqrt(v) / stop }
	if b := a.Record.Bracket; read && b != nil && b.Index != nil && b.Index.High > b.Index.Low {
		// What the record has is what was reached; the information says by how much less.
		reached := math.Log2(b.Index.High/b.Index.Low) / 2
		half = func(v float64) float64 { return reached * math.Sqrt(v/now) }
	}
	if read {
		a.list(d, p.After(n), now, half)
	}
	if half(now) <= float64(d.HalfWidth) {
		return nil
	}
	for more := 1; more <= d.Frames; more++ {
		after := p.After(n)
		best := 0
		for i, v := range after {
			if v < after[best] {
				best = i
			}
		}
		n[best]++
		if half(after[best]) <= float64(d.HalfWidth) {
			a.More = more
			break
		}
	}
	return nil
}

// list puts one more frame at each exposure into the advice.
func (a *Advice) list(d *designer, after []float64, now float64, half func(float64) float64) {
	for i, v := range after {
		next := NextFrame{HalfWidth: sensito.Stops(half(v)), Narrower: 100 * (1 - math.Sqrt(v/now))}
		if i == len(d.index) {
			next.Unexposed = true
		} else {
			s := d.bracket.settings[i]
			as := s.exposedAs(d.Light)
			next.Frame = Frame{Setting: s, Index: printed(as), ExposedAs: as}
		}
		a.Frames = append(a.Frames, next)
	}
	slices.SortStableFunc(a.Frames, func(x, y NextFrame) int { return cmp.Compare(x.HalfWidth, y.HalfWidth) })
}

// beforeOf is what the strips that were read say of a film's curve at its time.
func (d *designer) beforeOf(f *film, r *roll.Roll) cholesky.Matrix {
	// Exposures of the strips as places of this film's axis: those of the two strips
	// nearest to its time.
	strips := slices.Clone(r.Strips)
	slices.SortStableFunc(strips, func(a, b roll.Strip) int {
		far := func(s roll.Strip) float64 { return math.Abs(math.Log(s.Development.Minutes() / f.time)) }
		return cmp.Compare(far(a), far(b))
	})
	m := bracketfit.WeakInformation()
	scale := math.Log10(sensito.MeteredExposure)
	for i, s := range strips {
		if i == 2 {
			break
		}
		for _, g := range s.Readings {
			sd := g.SD
			if sd == 0 {
				sd = d.DensitySD
			}
			x := float64(g.LogH) - scale
			if r.Relative {
				x = float64(g.LogH) - math.Log10(d.Index)
			}
			for j, v := range f.target.PatchInformation(x, sd, float64(d.Scatter)).A {
				m.A[j] += v / 2 // two strips say of the time between them what one does
			}
		}
		for range s.Unexposed {
			m.Add(0, 0, 0.5/(d.DensitySD*d.DensitySD))
		}
	}
	fac := cholesky.New(m.N)
	if _, ok := m.Factor(fac); !ok {
		return f.target.Before(cholesky.New(0), d.tones, true)
	}
	return f.target.Before(fac.Inverse(), d.tones, true)
}

// haveRead is the information of the frames that were read.
func (d *designer) haveRead(f *film, r *roll.Roll) cholesky.Matrix {
	n := len(f.target.IndexGradient(len(d.tones) - 1))
	out := cholesky.New(n)
	seen := map[string]bool{}
	for _, g := range r.Bracket {
		sd := g.SD
		if sd == 0 {
			sd = d.DensitySD
		}
		var m cholesky.Matrix
		switch {
		case g.Tone == roll.Unexposed:
			m = bracketfit.UnexposedInformation(len(d.tones)-1, sd)
		case seen[g.Frame]:
			continue
		default:
			seen[g.Frame] = true
			m = f.target.FrameInformation(d.tones, math.Log10(g.Index), sd, float64(d.Scatter))
		}
		for j, v := range m.A {
			out.A[j] += v
		}
	}
	return out
}

// notes say what comes next in words.
func (a *Advice) notes(d *designer) {
	say := func(format string, args ...any) { a.Notes = append(a.Notes, fmt.Sprintf(format, args...)) }
	switch x := a.Record.Bracket; {
	case x == nil:
		if a.More > 0 {
			say("The bracket would come to ± %.2f stop with %d frames, each where it brings most.", float64(d.HalfWidth), a.More)
		}
		if e := a.Record.Development; e != nil {
			say("The bracket is not read yet. Develop it for %s, which the strips give, and write that time into test.json as bracket_development.",
				clock(seconds(e.Value)))
		} else {
			say("The bracket is not read yet.")
		}
	case x.Index == nil:
		say("The bracket gives no index yet: %s", strings.Join(a.Record.Warnings, " "))
	case a.More > 0:
		say("%d more frames, each where it brings most, would bring the bracket's index to ± %.2f stop.", a.More, float64(d.HalfWidth))
	case float64(a.IndexHalfWidth) <= float64(d.HalfWidth):
		say("The index is known as well as wanted, to ± %.2f stop.", float64(a.IndexHalfWidth))
	}
	if h := a.DevelopmentHalfWidth; h <= d.DevelopmentHalfWidth {
		say("The development is known as well as wanted, to ± %.1f %%.", 100*h)
	}
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
