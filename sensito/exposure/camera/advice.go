package camera

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
)

// ReciprocalFrom and ReciprocalTo are the times between which ordinary film keeps
// reciprocity. Source: encyclopaedia article "Film speed", Reciprocity.
const (
	ReciprocalFrom = time.Second / 1000
	ReciprocalTo   = time.Second / 2
)

// Advice says in words what to mind: what the camera does not reach and what
// helps, how exact the marks are, and what the light and the times do to the
// result. What it says of lamps, of metering again and of filters' names is common
// practice without a source.
func (p *Plan) Advice() []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	fast, long := p.camera.times[len(p.camera.times)-1], p.camera.times[0]
	if step := max(p.asked.Thirds, 1); p.Thirds > step {
		say("The step is widened from %s to %s, so that the bracket fits on %d frames.", thirds(step), thirds(p.Thirds), p.asked.Frames)
	}
	filtered := false
	for _, place := range places(p.Frames) {
		pick := func(f func(Frame) bool) []Frame {
			return slices.DeleteFunc(slices.Clone(p.Frames), func(x Frame) bool { return x.Place != place || !f(x) })
		}
		where := ""
		if place != "" {
			where = place + ": "
		}
		if fs := pick(func(f Frame) bool { return f.Beyond > 0 }); len(fs) > 0 {
			most := slices.MaxFunc(fs, func(a, b Frame) int { return cmp.Compare(a.Beyond, b.Beyond) })
			say("%sfaster than the fastest time %v, by up to %.1f stops: %s.", where, fast, float64(most.Beyond), spans(fs))
			if bad := slices.DeleteFunc(slices.Clone(fs), func(f Frame) bool { return f.Reached }); len(bad) > 0 {
				say("%sno filter leads to a mark: %s; use a smaller aperture in a plan of its own, or leave out.", where, spans(bad))
			}
			if d, ok := p.FilterFor(place); ok {
				say("%s%s over the whole series brings every frame in reach, without a change of filter.", where, NeutralName(d))
			}
			filtered = filtered || slices.ContainsFunc(fs, func(f Frame) bool { return f.Filter > 0 })
		}
		if fs := pick(func(f Frame) bool { return f.Beyond < 0 }); len(fs) > 0 {
			most := slices.MinFunc(fs, func(a, b Frame) int { return cmp.Compare(a.Beyond, b.Beyond) })
			say("%slonger than the longest time %v, by up to %.1f stops: %s; bring more light, open the aperture, or leave out.",
				where, long, -float64(most.Beyond), spans(fs))
		}
		if n, of := exposures(pick(func(f Frame) bool { return f.Reached })); n < of {
			say("%sthe marks of the shutter make only %d different exposures of %d frames; take wider steps to save film.", where, n, of)
		}
		if fs := pick(func(f Frame) bool {
			return f.Reached && (f.Mark.Time > ReciprocalTo || f.Mark.Time < ReciprocalFrom)
		}); len(fs) > 0 {
			say("%soutside 1/1000 to 1/2, between which ordinary films keep reciprocity: %s; the index found there includes what the film loses.", where, spans(fs))
		}
	}
	if filtered {
		say("A filter's name is a nominal density: measure it, or test it against one frame without.")
		if slices.ContainsFunc(p.asked.Places, func(x Place) bool { return !x.Indoors }) {
			say("A neutral-density filter for exposure does not protect the eye: never look at the sun through it.")
		}
	}
	if slices.ContainsFunc(p.asked.Places, func(x Place) bool { return x.Indoors }) {
		say("Indoors: write down the light, an index belongs to it; lamps on the mains flicker, so that times below about 1/50 differ from frame to frame.")
	}
	if slices.ContainsFunc(p.asked.Places, func(x Place) bool { return !x.Indoors }) {
		say("Outdoors: meter before and after the series, and repeat it if the two differ by more than a third of a stop.")
	}
	basis := "the exact values of their positions"
	if p.camera.byNumber {
		basis = "their engraved numbers"
	}
	worst := sensito.Stops(0)
	for _, f := range p.Frames {
		if math.Abs(float64(f.Residue)) > math.Abs(float64(worst)) {
			worst = f.Residue
		}
	}
	say("Marks are taken by %s; the largest residue is %v (+ is more exposure).", basis, worst)
	say("Leave one frame unexposed for base plus fog.")
	return out
}

// String prints the plan as a table, with the advice below it.
func (p *Plan) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Exposure-index bracket at %v, %s between indexes\n", p.Aperture, thirds(p.Thirds))
	for _, x := range p.asked.Places {
		name := x.Name
		if name == "" {
			name = "light"
		}
		fmt.Fprintf(&b, "%s: %v\n", name, x.Light)
	}
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "frame\tplace\tindex\twanted\tset\tfilter\tresidue\texposed as")
	for _, f := range p.Frames {
		set, filter, residue, exposed := "-", "", "out of reach", ""
		if f.Reached {
			set, residue, exposed = f.Mark.String(), f.Residue.String(), "EI "+whole(f.Exposed)
		}
		if f.Filter > 0 {
			filter = NeutralName(f.Filter)
		}
		line := fmt.Sprintf("%d\t%s\t%v\t%s\t%s\t%s\t%s\t%s", f.Number, f.Place, f.Index, figures.About(f.Wanted), set,
			filter, residue, exposed)
		fmt.Fprintln(w, line)
	}
	_ = w.Flush() // a strings.Builder does not fail
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	for i, l := range lines {
		lines[i] = strings.TrimRight(l, " ")
	}
	for _, s := range p.Advice() {
		lines = append(lines, "- "+s)
	}
	return strings.Join(lines, "\n") + "\n"
}

// whole prints an index to the unit, or to two digits below 10.
func whole(v float64) string {
	if v < 10 {
		return fmt.Sprintf("%.2g", v)
	}
	return fmt.Sprintf("%.0f", v)
}

// thirds prints a step of so many thirds of a stop.
func thirds(n int) string {
	switch {
	case n == 1:
		return "a third of a stop"
	case n == 3:
		return "one stop"
	case n%3 == 0:
		return fmt.Sprintf("%d stops", n/3)
	}
	return fmt.Sprintf("%d thirds of a stop", n)
}

// places lists the names of the places in order.
func places(fs []Frame) []string {
	var names []string
	for _, f := range fs {
		if !slices.Contains(names, f.Place) {
			names = append(names, f.Place)
		}
	}
	return names
}

// exposures counts the different settings among frames, and the frames.
func exposures(fs []Frame) (n, of int) {
	type setting struct {
		mark   TimeMark
		filter sensito.Density
	}
	seen := make(map[setting]bool)
	for _, f := range fs {
		seen[setting{f.Mark, f.Filter}] = true
	}
	return len(seen), len(fs)
}

// spans names frames by runs: "frame 3 (EI 400), frames 9 to 12 (EI 800 to EI
// 1600)".
func spans(fs []Frame) string {
	var out []string
	for i := 0; i < len(fs); {
		j := i
		for j+1 < len(fs) && fs[j+1].Number == fs[j].Number+1 {
			j++
		}
		a, z := fs[i], fs[j]
		if i == j {
			out = append(out, fmt.Sprintf("frame %d (%v)", a.Number, a.Index))
		} else {
			out = append(out, fmt.Sprintf("frames %d to %d (%v to %v)", a.Number, z.Number, a.Index, z.Index))
		}
		i = j + 1
	}
	return strings.Join(out, ", ")
}
