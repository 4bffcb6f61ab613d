package roll

import (
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
)

// ei prints an index on the speed scale.
func ei(v float64) string { return sensito.Speed{Value: v}.String() }

// minutes prints a time in seconds, to the second.
func minutes(s float64) string { return devtime.FormatTime(figures.Seconds(s).Round(time.Second)) }

// Line is a line of the box at the top of a page: what it is about and what it says.
type Line struct{ Name, Text string }

// Box returns the answer in four lines: index, development, range, and what limits
// them. All else in the record explains it.
func (r *Record) Box() []Line {
	set, develop, within := "none could be found", "none could be found", "–"
	if x := r.Index; x != nil {
		set = fmt.Sprintf("%s (%.0f)", ei(x.Value), x.Value)
		if x.Low > 0 && x.High > 0 {
			within = fmt.Sprintf("EI %.0f to %.0f", x.Low, x.High)
		} else {
			within = "of the index not known"
		}
		switch d := x.Development; {
		case d == nil:
			develop = "as the bracket was, which was not said"
		default:
			develop = minutes(d.Value) + " in " + r.Process
			if r.Development == nil || d.Value != r.Development.Value {
				develop += ", for which the index holds; not the target's development"
			}
			if d.Low > 0 && d.High > d.Low && !math.IsInf(d.High, 1) {
				within += fmt.Sprintf(", %s to %s", minutes(d.Low), minutes(d.High))
			}
		}
	} else if d := r.Development; d != nil {
		develop = minutes(d.Value) + " in " + r.Process
		if d.Low > 0 && d.High > d.Low && !math.IsInf(d.High, 1) {
			within = fmt.Sprintf("%s to %s", minutes(d.Low), minutes(d.High))
		}
	}
	return []Line{{"Index", set}, {"Development", develop}, {"Range (95 %)", within}, {"Limited by", r.Limits}}
}

// recommend says in words what the numbers mean.
func (r *builder) recommend() {
	say := func(format string, args ...any) {
		r.Recommendation = append(r.Recommendation, fmt.Sprintf(format, args...))
	}
	r.sayIndex(say)
	r.sayBracket(say)
	if d := r.Development; d != nil {
		s := fmt.Sprintf("Develop %s", minutes(d.Value))
		switch {
		case math.IsNaN(d.Low):
		case math.IsInf(d.High, 1):
			s += fmt.Sprintf(" (with 95 %% confidence not under %s; the strips set no upper end)", minutes(d.Low))
		default:
			s += fmt.Sprintf(" (%s to %s)", minutes(d.Low), minutes(d.High))
		}
		say("%s in %s for an average gradient of %.2f.", s, r.Process, r.TargetAverageGradient)
	}
	r.sayISO(say)
	r.limits()
	say("%s", devtime.Caution)
}

func (r *builder) sayIndex(say func(string, ...any)) {
	x := r.Index
	if x == nil {
		return
	}
	s := "Set " + ei(x.Value)
	if x.Low > 0 && x.High > 0 {
		s += fmt.Sprintf(" (%.0f, with 95 %% confidence between %.0f and %.0f)", x.Value, x.Low, x.High)
	} else {
		s += " (its uncertainty is not known)"
	}
	switch {
	case x.From == "bracket":
		say("%s: there the shadow placed %v stops below the meter reading has %.2f, which is 0.10 above base plus fog; %s.",
			s, r.Bracket.BelowMeter, r.Bracket.Target, x.History)
	case strings.HasPrefix(x.From, "bracket"):
		say("%s: %s. As tested, the shadow placed %v stops below the meter reading has %.2f there, which is 0.10 above base plus fog.",
			s, x.History, r.Bracket.BelowMeter, r.Bracket.Target)
	case x.From == "curves":
		say("%s: the exposure that gives 0.10 above base plus fog at the recommended development, from the strips.", s)
	default:
		say("%s: from %s, the nearest to the target, developed %s, since the strips give no speed at a development for the target.",
			s, x.From, minutes(x.Development.Value))
	}
}

// sayBracket tells densities and neighbours, and holds the index against the strips.
func (r *builder) sayBracket(say func(string, ...any)) {
	b := r.Bracket
	if b == nil || b.Index == nil {
		return
	}
	if b.Highlight != nil {
		say("At the index as tested the highlight has density %.2f, %.2f above the shadow.", *b.Highlight, *b.Highlight-b.Target)
	}
	for _, name := range b.Neighbours {
		for _, f := range b.Frames {
			if f.Frame == name {
				say("Frame %s at EI %.4g%s.", f.Frame, f.Index, patchWords(f))
			}
		}
	}
	r.compareWithStrips(say)
}

// apart is from how many stops on strips and bracket are said to differ.
const apart = 0.5

// compareWithStrips holds the bracket's index against the strips: at the frames'
// own development the two should differ by the placing of the shadow alone.
func (r *builder) compareWithStrips(say func(string, ...any)) {
	b := r.Bracket
	var at float64
	switch {
	case r.relative():
		return
	case b.DevelopmentS != nil:
		at = *b.DevelopmentS
	case r.Development != nil:
		at = r.Development.Value
	}
	v, ok := r.speedAt(at)
	if !ok {
		return
	}
	d := math.Log2(v / b.Index.Value)
	rule := b.BelowMeter - math.Log2(10) // the standards put the speed point 3.32 stops under the meter reading
	if math.Abs(d-rule) <= apart {
		say("The strips give %s by the fixed density, %s; a shadow placed %v stops down makes %.1f of that by itself.",
			ei(v), faster(d), b.BelowMeter, rule)
		return
	}
	e := sensito.Estimate{Value: v * math.Exp2(-rule), Low: math.NaN(), High: math.NaN()}
	what := "meter, shutter or the light of the tablet differ"
	if d < rule {
		what = "flare lifts the shadow, or meter, shutter or the light of the tablet differ"
	}
	text := fmt.Sprintf("The strips give %s by the fixed density, %s than the bracket's index, where the placing of the shadow alone makes %.1f: %s. The bracket is what the camera does.",
		ei(v), faster(d), rule, what)
	r.find(Finding{What: Flare, Effect: &Effect{"bracket index", *b.Index, e}, Text: text})
}

// faster says a difference of speeds in words.
func faster(stops float64) string {
	if stops < 0 {
		return fmt.Sprintf("%.1f stops slower", -stops)
	}
	return fmt.Sprintf("%.1f stops faster", stops)
}

func patchWords(f FrameRecord) string {
	s := ""
	for _, p := range []struct {
		name string
		d    *float64
	}{{"shadow", f.Shadow}, {"midtone", f.Midtone}, {"highlight", f.Highlight}} {
		if p.d != nil {
			s += fmt.Sprintf(", %s %.2f", p.name, *p.d)
		}
	}
	return s
}

// speedAt returns the fixed-density speed at a development in seconds, from the strips.
func (r *builder) speedAt(s float64) (float64, bool) {
	if r.speeds == nil {
		return 0, false
	}
	h, _, ok := r.speeds.At(s / 60)
	return sensito.SpeedAt(sensito.LogH(h)).Value, ok
}

// sayISO names the strips that have an ISO speed.
func (r *builder) sayISO(say func(string, ...any)) {
	if r.relative() {
		say("The strips' exposures are relative: they give contrast, development and how the speeds of the strips differ, and no speed. Say metered_at_ei in test.json to tie them.")
		return
	}
	if len(r.Strips) == 0 {
		return
	}
	n := 0
	for _, s := range r.Strips {
		if !s.MeetsISO || s.DeltaD == nil {
			continue
		}
		n++
		say("Strip %s, developed %s, meets the contrast condition of ISO 6 (ΔD %.2f): its speed is %v in this process and light.",
			s.Strip, minutes(s.DevelopmentS), *s.DeltaD, s.Speed.Speed())
	}
	if n == 0 {
		say("No strip meets the contrast condition of ISO 6 (ΔD 0.80 ± 0.05), so the numbers are exposure indexes and no ISO speed.")
	}
}

// limits says what makes the result most uncertain.
func (r *builder) limits() {
	x := r.Index
	switch {
	case x == nil && r.relative():
		r.Limits = "that the exposures are relative: there is no index until they are tied, by metered_at_ei or a bracket"
		return
	case x == nil:
		r.Limits = "the readings give no index; the findings and notes say why"
		return
	case !(x.Low > 0 && x.High > 0):
		r.Limits = "the scatter of the readings is not known: repeat some, or state their standard deviation"
		return
	}
	half := math.Log2(x.High/x.Low) / 2
	what := "the noise of the lowest readings and of base plus fog; read several unexposed patches and steps close to the speed point"
	if strings.HasPrefix(x.From, "bracket") {
		what = "the noise and the exposures of the frames; more frames near the index would narrow it"
		if was := r.IndexAsTested; was != nil && was.Low > 0 && half*half > 2*math.Pow(math.Log2(was.High/was.Low)/2, 2) {
			what = "that the bracket was developed otherwise; bracket again at the recommended development"
			if was.Development == nil {
				what = "that it was not said how long the bracket was developed"
			}
		}
	}
	r.Limits = fmt.Sprintf("%s (± %.2f stop)", what, half)
	switch n := len(r.Findings); {
	case n == 1:
		r.Limits += "; see the finding below"
	case n > 1:
		r.Limits += fmt.Sprintf("; see the %d findings below", n)
	}
	r.Recommendation = append(r.Recommendation, fmt.Sprintf("What limits the index most is %s (± %.2f stop).", what, half))
}
