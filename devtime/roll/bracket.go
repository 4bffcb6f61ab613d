package roll

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/actinic/internal/bracketfit"
	"example.org/actinic/internal/check"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
)

// How well it is known where midtone and highlight were placed, in stops: a midtone is
// metered, a highlight about three stops over it (common practice, no source).
const (
	midtoneSD      = 0.3
	highlightStops = 3
	highlightSD    = 1
)

// frames is the bracket as the fit sees it.
type frames struct {
	bracketfit.Bracket
	names []string
	lines map[[2]int]int // of frame and tone, the first
}

// gather lays out the roll's frames by name. A tone read several times on a frame
// counts with the mean of its readings, and a deviation no smaller: they are of one
// patch. So do unexposed patches beyond the first few.
func (roll *Roll) gather(below float64) *frames {
	b := &frames{lines: map[[2]int]int{}}
	b.Tones = []bracketfit.Tone{{Stops: -below}, {Stops: 0, SD: midtoneSD}, {Stops: highlightStops, SD: highlightSD}}
	at, of := map[string]int{}, map[[2]int]int{} // places of frames, and of readings of a frame's tone
	var times []float64
	for _, f := range roll.Bracket {
		if f.Tone == Unexposed {
			b.Unexposed = append(b.Unexposed, bracketfit.Reading{Density: float64(f.Density), SD: f.SD})
			continue
		}
		i, ok := at[f.Frame]
		if !ok {
			i = len(b.names)
			at[f.Frame] = i
			b.names = append(b.names, f.Frame)
			b.LogIndex = append(b.LogIndex, math.Log10(f.Index))
		}
		key := [2]int{i, int(f.Tone)}
		if k, ok := of[key]; ok {
			times[k]++
			g := &b.Readings[k]
			g.Density += (float64(f.Density) - g.Density) / times[k]
			if g.SD > 0 && f.SD > 0 {
				g.SD = max(g.SD, f.SD)
			} else {
				g.SD = 0
			}
			continue
		}
		of[key], b.lines[key] = len(b.Readings), f.Line
		times = append(times, 1)
		b.Readings = append(b.Readings, bracketfit.Reading{Frame: i, Tone: int(f.Tone), Density: float64(f.Density), SD: f.SD})
	}
	if n := len(b.Unexposed); n > mostUnexposed {
		last := &b.Unexposed[mostUnexposed-1]
		for k, u := range b.Unexposed[mostUnexposed:] {
			last.Density += (u.Density - last.Density) / float64(k+2)
		}
		b.Unexposed = b.Unexposed[:mostUnexposed]
	}
	return b
}

// What a bracket has at most: no film is so long.
const (
	mostFrames    = 60
	mostUnexposed = 20
)

// bracket evaluates the frames.
func (r *builder) bracket(roll *Roll) {
	below := float64(roll.ShadowStopsBelowMeter)
	if below == 0 {
		below = 4
	}
	out := &BracketRecord{BelowMeter: below, Frames: []FrameRecord{}, Neighbours: []string{}, Shape: "frames"}
	r.Bracket = out
	if roll.BracketDevelopment > 0 {
		out.DevelopmentS = figures.Known(roll.BracketDevelopment.Seconds())
	}
	b := roll.gather(below)
	out.UnexposedFound = len(b.Unexposed) > 0
	out.Frames = b.records()
	none := func(format string, args ...any) {
		text := fmt.Sprintf(format, args...)
		r.find(Finding{What: Unusable, File: bracketFile, Line: 1, Text: text})
		r.warn("%s", text)
	}
	if !slices.ContainsFunc(b.Readings, func(g bracketfit.Reading) bool { return g.Tone == int(Shadow) }) {
		none("The bracket has no shadow patches, so it gives no index.")
		return
	}
	if len(b.names) > mostFrames {
		none("The bracket gives no index: %d frames, and it takes up to %d.", len(b.names), mostFrames)
		return
	}
	if b.Shape = r.shapeAt(out.DevelopmentS); b.Shape != nil {
		out.Shape = "strips"
	}
	got, err := bracketfit.Fit(b.Bracket)
	if err != nil {
		none("The bracket gives no index: %s.", figures.Bare(err))
		return
	}
	out.Target = got.BaseFog + float64(sensito.SpeedPointDensity)
	b.diagnose(out.Frames, got)
	out.FrameScatter = got.Scatter
	if got.ReadSD > 0 {
		out.ReadingSD = &got.ReadSD
		r.warn("Densities of the bracket came without standard deviation; from their scatter it is about %.3f.", got.ReadSD)
	}
	if why := b.beyond(got); why != "" {
		none("The bracket gives no index: %s.", why)
		return
	}
	e := sensito.Estimate{Value: math.Pow(10, got.LogIndex), Low: math.Pow(10, got.Low), High: math.Pow(10, got.High)}
	out.Index = &e
	read := map[int]bool{}
	for _, g := range b.Readings {
		read[g.Tone] = true
	}
	for _, t := range []struct {
		tone Tone
		to   **float64
	}{{Midtone, &out.Midtone}, {Highlight, &out.Highlight}} {
		if read[int(t.tone)] {
			*t.to = figures.Known(got.Density[t.tone])
		}
	}
	out.Neighbours = neighbours(out.Frames, e.Value)
	for _, f := range got.Findings {
		r.find(b.finding(f, got))
	}
	if len(out.Frames) < 6 {
		r.warn("A bracket of %d frames can hardly bear a bad one: seven or more would.", len(out.Frames))
	}
}

// shapeAt takes the form of the curve from the strips: at the bracket's development
// from the two around it, from all of them where that is not known or outside.
func (r *builder) shapeAt(development *float64) *bracketfit.Shape {
	var in []*StripRecord
	for i := range r.Strips {
		if r.Strips[i].takes("contrast") {
			in = append(in, &r.Strips[i])
		}
	}
	slices.SortStableFunc(in, func(a, b *StripRecord) int { return cmp.Compare(a.Taken(), b.Taken()) })
	if development != nil {
		for i, s := range in {
			t := *development
			switch {
			case math.Abs(math.Log(t/s.Taken())) < 0.01:
				if shape := r.shapeOf(s); shape != nil {
					return shape
				}
			case i > 0 && in[i-1].Taken() < t && t < s.Taken():
				a, b := r.shapeOf(in[i-1]), r.shapeOf(s)
				if a != nil && b != nil {
					return bracketfit.Between(a, b, math.Log(t/in[i-1].Taken())/math.Log(s.Taken()/in[i-1].Taken()))
				}
			}
		}
	}
	var all []*bracketfit.Shape
	for _, s := range in {
		if shape := r.shapeOf(s); shape != nil {
			all = append(all, shape)
		}
	}
	return bracketfit.Pool(all)
}

// shapeOf fits the form to a strip without the readings that were found bad.
func (r *builder) shapeOf(s *StripRecord) *bracketfit.Shape {
	first, bad := 0, map[int]bool{} // patches raised by a leak, and wild ones
	for _, f := range r.About(s.Strip) {
		switch f.What {
		case Leak:
			first = max(first, f.Step)
		case WildReading:
			bad[f.Step] = true
		}
	}
	patches := make([]bracketfit.Patch, 0, len(s.Readings))
	for i, g := range s.Readings {
		if !bad[i+1] && i+1 > first {
			patches = append(patches, bracketfit.Patch{LogH: float64(g.LogH), Density: float64(g.Density), SD: g.SD})
		}
	}
	var unexposed []bracketfit.Patch
	for _, d := range s.Unexposed {
		p := bracketfit.Patch{Density: float64(d)}
		if len(s.Readings) > 0 {
			p.SD = s.Readings[0].SD
		}
		unexposed = append(unexposed, p)
	}
	shape, err := bracketfit.FitStrip(thinned(patches), unexposed)
	if err != nil {
		return nil
	}
	shape = r.follow(shape, s)
	if by := r.fogged[s.Strip]; by > 0 {
		shape = shape.Fogged(by)
	}
	return shape
}

// follow lets a shape follow the curve that was laid through the strip, of whatever
// form it is.
func (r *builder) follow(shape *bracketfit.Shape, s *StripRecord) *bracketfit.Shape {
	lo, hi := s.Curve.Domain()
	base := float64(s.Curve.BaseFog())
	return shape.Follow(func(x float64) float64 {
		d, err := s.Curve.Density(min(max(sensito.LogH(x), lo), hi))
		if err != nil {
			return math.NaN()
		}
		return float64(d) - base
	}, float64(lo), float64(hi))
}

// mostPatches is how many patches of a strip are fitted one by one for its shape.
const mostPatches = 60

// thinned joins patches in order of exposure where there are very many.
func thinned(ps []bracketfit.Patch) []bracketfit.Patch {
	if len(ps) <= mostPatches {
		return ps
	}
	slices.SortStableFunc(ps, func(a, b bracketfit.Patch) int { return cmp.Compare(a.LogH, b.LogH) })
	out := make([]bracketfit.Patch, 0, mostPatches)
	for k := range mostPatches {
		part := ps[k*len(ps)/mostPatches : (k+1)*len(ps)/mostPatches]
		var sum bracketfit.Patch
		n := float64(len(part))
		for _, p := range part {
			sum.LogH += p.LogH / n
			sum.Density += p.Density / n
			sum.SD += p.SD / n // no smaller: they may share an error
		}
		out = append(out, sum)
	}
	return out
}

// beyond tells why an index is not to be relied on, "" where it is.
func (b *frames) beyond(got *bracketfit.Result) string {
	lo, hi := slices.Min(b.LogIndex), slices.Max(b.LogIndex)
	const half = 0.15 // half a stop in log10
	value := math.Pow(10, got.LogIndex)
	switch {
	case !check.Finite(value, got.Low, got.High) || !(got.High-got.Low < 1.5):
		return "the densities of the shadow leave it open within five stops; expose frames in smaller steps about the index"
	case got.LogIndex > hi+half:
		return fmt.Sprintf("it would lie near EI %.3g, beyond the frames; expose frames at higher indexes", value)
	case got.LogIndex < lo-half:
		return fmt.Sprintf("it would lie near EI %.3g, beyond the frames; expose frames at lower indexes", value)
	}
	return ""
}

// records are the frames as read, by index, slowest first.
func (b *frames) records() []FrameRecord {
	out := make([]FrameRecord, len(b.names))
	for i, name := range b.names {
		out[i] = FrameRecord{Frame: name, Index: figures.Digits(math.Pow(10, b.LogIndex[i]), 12)}
	}
	for _, g := range b.Readings {
		d := g.Density
		f := &out[g.Frame]
		switch Tone(g.Tone) {
		case Shadow:
			f.Shadow = &d
		case Midtone:
			f.Midtone = &d
		case Highlight:
			f.Highlight = &d
		}
	}
	slices.SortStableFunc(out, func(x, y FrameRecord) int {
		return cmp.Or(cmp.Compare(x.Index, y.Index), strings.Compare(x.Frame, y.Frame))
	})
	return out
}

// diagnose fills what the fit says of each frame.
func (b *frames) diagnose(out []FrameRecord, got *bracketfit.Result) {
	for i := range out {
		k := slices.Index(b.names, out[i].Frame)
		out[i].Off = figures.Known(got.FrameOff[k])
		out[i].Residuals = map[string]float64{}
		for j, g := range b.Readings {
			if g.Frame == k {
				out[i].Residuals[Tone(g.Tone).String()] = got.Residuals[j]
			}
		}
	}
}

// neighbours are the frames on either side of an index.
func neighbours(fs []FrameRecord, index float64) []string {
	out := []string{}
	for i, f := range fs {
		last := i+1 == len(fs)
		if f.Index <= index && (last || fs[i+1].Index > index) {
			out = append(out, f.Frame)
			if !last {
				out = append(out, fs[i+1].Frame)
			}
		}
	}
	return out
}

// finding puts a finding of the fit into words.
func (b *frames) finding(f bracketfit.Finding, got *bracketfit.Result) Finding {
	e := func(logIndex float64) sensito.Estimate {
		return sensito.Estimate{Value: math.Pow(10, logIndex), Low: math.NaN(), High: math.NaN()}
	}
	without := e(got.LogIndex)
	without.Low, without.High = math.Pow(10, got.Low), math.Pow(10, got.High)
	out := Finding{File: bracketFile, Probability: f.Probability, Effect: &Effect{"bracket index", e(got.Trusting), without}}
	tail := fmt.Sprintf(" The bracket's index is %.0f without it, %.0f with it.", without.Value, out.Effect.With.Value)
	switch {
	case f.Frame < 0:
		out.What = WildReading
		out.Text = fmt.Sprintf("An unexposed patch beside the frames does not go with the others: it lies %+.2f from base plus fog.", f.Off) + tail
	case f.Tone < 0:
		out.What, out.Frame = WildFrame, b.names[f.Frame]
		out.Line = b.firstLine(f.Frame)
		out.Text = fmt.Sprintf("Frame %s seems to have got %+.1f stops more than its index says.", out.Frame, f.Off) + tail
	default:
		out.What, out.Frame = WildReading, b.names[f.Frame]
		out.Line = b.lines[[2]int{f.Frame, f.Tone}]
		out.Text = fmt.Sprintf("The %v of frame %s lies %+.2f from the curve of all the frames.", Tone(f.Tone), out.Frame, f.Off) + tail
	}
	return out
}

func (b *frames) firstLine(frame int) int {
	first := 0
	for k, line := range b.lines {
		if k[0] == frame && (first == 0 || line < first) {
			first = line
		}
	}
	return first
}
