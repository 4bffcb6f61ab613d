package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito/exposure/camera"
)

// Table is a part of a shooting list: a title, a line about it, rows of cells, header
// first.
type Table struct {
	Title, About string
	Rows         [][]string
}

// List is the plan as a shooting list to print: what to expose, in order, with empty cells
// to tick off, and what it is expected to give.
func (p *Plan) List() []Table {
	return []Table{p.summary(), p.stripList(), p.stepList(), p.frameList(), p.choices()}
}

func (p *Plan) summary() Table {
	rows := [][]string{{"", "This plan", "Even plan"}}
	row := func(name string, of func(*Layout) string) {
		rows = append(rows, []string{name, of(&p.Own), of(&p.Even)})
	}
	row("Index, half-width of 95 %", func(l *Layout) string { return stops(float64(l.Expected.IndexHalfWidth)) })
	if !p.Wish.StripsFirst {
		row("the same, strips developed first", func(l *Layout) string { return stops(float64(l.Expected.Tested)) })
	}
	row("Development, half-width", func(l *Layout) string { return percent(l.Expected.DevelopmentHalfWidth) })
	row("Efficiency of the bracket", func(l *Layout) string { return fmt.Sprintf("%.2f", l.Expected.Efficiency) })
	row("Different exposures of it", func(l *Layout) string { return strconv.Itoa(l.Distinct()) })
	row("Frames: strips, bracket", func(l *Layout) string {
		s, b := l.FilmFrames()
		return fmt.Sprintf("%d × %d = %d, %d", len(l.Strips), s/max(len(l.Strips), 1), s, b)
	})
	row("Rolls of 36", func(l *Layout) string { return l.rolls() })
	return Table{Title: "What it gives", Rows: rows,
		About: fmt.Sprintf("Guess: EI %s ± %s stop, %s for an average gradient of %.2f, light %v; densities read to ± %s. Half of the films that go with the guess come out sharper.",
			index(p.Wish.Index), number(float64(p.Wish.Sure), 2), clock(p.Wish.Development), p.Wish.TargetAverageGradient,
			p.Wish.Light, number(p.Wish.DensitySD, 4))}
}

// percent prints a half-width that is a part of the development.
func percent(v float64) string {
	if !check.Finite(v) {
		return "not known"
	}
	return fmt.Sprintf("± %.1f %%", 100*v)
}

// stops prints a half-width of an index.
func stops(v float64) string {
	if !check.Finite(v) {
		return "not known"
	}
	return fmt.Sprintf("± %.2f stop", v)
}

// rollFrames is how many frames a roll has; a strip that is cut off costs one more.
const rollFrames = 36

// rolls says how much film to load: strips do not go over the end of a roll.
func (l *Layout) rolls() string {
	strips, bracket := l.FilmFrames()
	each := strips/max(len(l.Strips), 1) + 1
	n := 0
	if fit := rollFrames / each; fit > 0 {
		n = (len(l.Strips) + fit - 1) / fit
	}
	switch {
	case bracket <= rollFrames/2:
		return fmt.Sprintf("%d and a half", n)
	case bracket <= rollFrames:
		return strconv.Itoa(n + 1)
	}
	return strconv.Itoa(n + 2)
}

func (p *Plan) stripList() Table {
	rows := [][]string{{"Strip", "Develop", "Exposed", "Unexposed", "Done"}}
	for _, s := range p.Own.Strips {
		rows = append(rows, []string{s.Name, clock(s.Development), strconv.Itoa(len(s.Stops)), strconv.Itoa(s.Unexposed), ""})
	}
	return Table{"Strips", "Pieces of film with frames of an evenly lit grey card, out of focus, all exposed alike, cut apart (a frame is lost at each cut) and each developed by itself.", rows}
}

func (p *Plan) stepList() Table {
	rows := [][]string{header("Stops", p.Own.StripsBy, "Times", "Done")}
	for _, s := range p.Own.Steps {
		rows = append(rows, cells(fmt.Sprintf("%+.2f", s.Stops), s.Setting, strconv.Itoa(s.Times), ""))
	}
	if len(p.Own.Strips) > 0 {
		rows = append(rows, unexposed(p.Own.StripsBy, "–", strconv.Itoa(p.Own.Strips[0].Unexposed), ""))
	}
	return Table{"Frames of each strip", fmt.Sprintf("By %s%s; stops from the metered tone, so that 0 is as metered at EI %s.", p.Own.StripsBy,
		behind(p.Own.Steps), index(p.Wish.Index)), rows}
}

func (p *Plan) frameList() Table {
	rows := [][]string{header("Frame", p.Own.FramesBy, "Exposed as EI", "Done")}
	for _, f := range p.Own.Frames {
		rows = append(rows, cells(strconv.Itoa(f.Number), f.Setting, fmt.Sprintf("%.0f", f.ExposedAs), ""))
	}
	if n, k := len(p.Own.Frames), p.Own.Unexposed; k > 0 {
		which := strconv.Itoa(n + 1)
		if k > 1 {
			which = fmt.Sprintf("%d to %d", n+1, n+k)
		}
		rows = append(rows, unexposed(p.Own.FramesBy, which, "–", ""))
	}
	about := fmt.Sprintf("By %s%s; one subject with a shadow %s stops under the metered tone and a highlight about %d over it.",
		p.Own.FramesBy, behindFrames(p.Own.Frames), number(float64(p.Wish.ShadowStopsBelowMeter), 2), highlightStops)
	return Table{"Bracket", about, rows}
}

// choices are the numbers of strips and frames that were tried, those that give more than
// any of less film.
func (p *Plan) choices() Table {
	rows := [][]string{{"Strips", "Frames each", "Frames", "Development"}}
	all := slices.Clone(p.Choices)
	slices.SortStableFunc(all, func(a, b Choice) int { return cmp.Compare(a.Strips*a.FramesEach, b.Strips*b.FramesEach) })
	least := math.Inf(1)
	for _, c := range all {
		if c.DevelopmentHalfWidth < least-0.001 {
			least = c.DevelopmentHalfWidth
			rows = append(rows, []string{strconv.Itoa(c.Strips), strconv.Itoa(c.FramesEach), strconv.Itoa(c.Strips * c.FramesEach),
				percent(least)})
		}
	}
	return Table{"Fewer strips", "What less film for the strips would give, about.", rows}
}

func header(first string, by How, rest ...string) []string {
	out := []string{first}
	if by == ByDial {
		out = append(out, "Index dial")
	}
	return append(append(out, "Time", "Aperture"), rest...)
}

func cells(first string, s Setting, rest ...string) []string {
	out := []string{first}
	t, n := s.Time.String(), s.Aperture.String()
	if s.Dial > 0 {
		out = append(out, index(s.Dial))
		t = about(s)
	}
	return append(append(out, t, n), rest...)
}

// about is the time of a camera that sets it, to two figures as a fraction.
func about(s Setting) string {
	if v := s.Time.Time.Seconds(); v > 0 && v < 0.5 {
		return fmt.Sprintf("≈ 1/%.0f", 1/v)
	}
	return "≈ " + number(s.Time.Time.Seconds(), 1) + "s"
}

func unexposed(by How, first string, rest ...string) []string {
	out := []string{first}
	if by == ByDial {
		out = append(out, "–")
	}
	return append(append(out, "lens covered", "–"), rest...)
}

func behind(steps []Step) string {
	if len(steps) > 0 && steps[0].Neutral > 0 {
		return " behind " + camera.NeutralName(steps[0].Neutral) + " throughout"
	}
	return ""
}

func behindFrames(frames []Frame) string {
	if len(frames) > 0 && frames[0].Neutral > 0 {
		return " behind " + camera.NeutralName(frames[0].Neutral) + " throughout"
	}
	return ""
}

// String prints the list as text.
func (p *Plan) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Plan of a test roll\n%v\n", p.Wish.Camera)
	for _, t := range p.List() {
		fmt.Fprintf(&b, "\n%s\n", t.Title)
		folded(&b, t.About)
		w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
		for _, r := range t.Rows {
			fmt.Fprintln(w, strings.Join(r, "\t"))
		}
		_ = w.Flush() // a strings.Builder does not fail
	}
	b.WriteString("\n")
	for _, n := range p.Notes {
		folded(&b, "- "+n)
	}
	lines := strings.Split(b.String(), "\n")
	for i, l := range lines {
		lines[i] = strings.TrimRight(l, " ")
	}
	return strings.Join(lines, "\n")
}

// folded writes a sentence in lines of 78 characters.
func folded(b *strings.Builder, s string) {
	n := 0
	for i, word := range strings.Fields(s) {
		k := len([]rune(word))
		switch {
		case i > 0 && n+1+k > 78:
			b.WriteString("\n")
			n = 0
		case i > 0:
			b.WriteString(" ")
			n++
		}
		b.WriteString(word)
		n += k
	}
	b.WriteString("\n")
}
