package roll

import (
	"fmt"
	"math"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
)

// ei prints an index on the speed scale.
func ei(v float64) string { return sensito.Speed{Value: v}.String() }

// minutes prints a time in seconds, to the second.
func minutes(s float64) string { return devtime.FormatTime(figures.Seconds(s).Round(time.Second)) }

// recommend says in words what the numbers mean.
func (r *builder) recommend(develop time.Duration) {
	say := func(format string, args ...any) {
		r.Recommendation = append(r.Recommendation, fmt.Sprintf(format, args...))
	}
	if x := r.Index; x != nil {
		s := "Set " + ei(x.Value)
		if !math.IsNaN(x.Low) {
			s += fmt.Sprintf(" (%.0f, with 95 %% confidence between %.0f and %.0f)", x.Value, x.Low, x.High)
		}
		switch x.From {
		case "bracket":
			say("%s: there the shadow placed %v stops below the meter reading has %.2f, which is 0.10 above base plus fog.", s, r.Bracket.BelowMeter, r.Bracket.Target)
		case "curves":
			say("%s: the exposure that gives 0.10 above base plus fog at the recommended development, from the strips.", s)
		default:
			say("%s: from %s, the nearest to the target, since no development for the target could be found.", s, x.From)
		}
	}
	if b := r.Bracket; b != nil && b.Index != nil {
		if b.Highlight != nil {
			say("At that index the highlight has density %.2f, %.2f above the shadow.", *b.Highlight, *b.Highlight-b.Target)
		}
		for _, name := range b.Neighbours {
			for _, f := range b.Frames {
				if f.Frame == name {
					say("Frame %s at EI %.4g%s.", f.Frame, f.Index, patchWords(f))
				}
			}
		}
		r.compareWithStrips(say, develop)
	}
	if d := r.Development; d != nil {
		s := fmt.Sprintf("Develop %s", minutes(d.Value))
		switch {
		case math.IsNaN(d.Low):
		case math.IsInf(d.High, 0):
			s += fmt.Sprintf(" (with 95 %% confidence not under %s; the strips set no upper end)", minutes(d.Low))
		default:
			s += fmt.Sprintf(" (%s to %s)", minutes(d.Low), minutes(d.High))
		}
		say("%s in %s for an average gradient of %.2f.", s, r.Process, r.TargetAverageGradient)
	}
	r.sayISO(say)
	if what, ok := r.limit(); ok {
		say("%s", what)
	}
	say("%s", devtime.Caution)
}

// compareWithStrips holds the bracket's index against the strips: at the frames'
// own development the two should differ by the placing of the shadow alone.
func (r *builder) compareWithStrips(say func(string, ...any), develop time.Duration) {
	b := r.Bracket
	at := develop
	if b.DevelopmentS != nil {
		at = figures.Seconds(*b.DevelopmentS)
	}
	v, ok := r.speedAt(at)
	if !ok {
		return
	}
	d := math.Log2(v / b.Index.Value)
	rule := b.BelowMeter - math.Log2(10) // the standards put the speed point 3.32 stops under the meter reading
	if math.Abs(d-rule) <= 0.5 {
		say("The strips give %s by the fixed density, %.1f stops faster; a shadow placed %v stops down makes %.1f of that by itself.", ei(v), d, b.BelowMeter, rule)
	} else {
		r.warn("The strips give %s by the fixed density, %.1f stops from the bracket's index, where the placing of the shadow alone makes %.1f: flare, meter, shutter or the light of the tablet differ. The bracket is what the camera does.", ei(v), d, rule)
	}
	switch w, ok := r.speedAt(develop); {
	case b.DevelopmentS == nil:
		r.warn("How long the bracket was developed was not said; its index holds for that development.")
	case ok && math.Abs(math.Log2(w/v)) > 0.15:
		r.warn("The bracket was developed %s and its index holds for that. At %s the strips are %+.1f stops faster, which would make it %s.", minutes(*b.DevelopmentS), minutes(develop.Seconds()), math.Log2(w/v), ei(b.Index.Value*w/v))
	}
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

// speedAt returns the fixed-density speed at a development, from the strips.
func (r *builder) speedAt(develop time.Duration) (float64, bool) {
	var points []devtime.Point
	for _, s := range r.Strips {
		points = append(points, devtime.Point{Time: figures.Seconds(s.DevelopmentS), Value: s.SpeedPointLogH})
	}
	family, err := devtime.NewSpeedTime(points)
	if err != nil || develop <= 0 {
		return 0, false
	}
	h, err := family.At(develop)
	if err != nil {
		return 0, false
	}
	return sensito.SpeedAt(sensito.LogH(h.Value)), true
}

// sayISO names the strips that have an ISO speed.
func (r *builder) sayISO(say func(string, ...any)) {
	n := 0
	for _, s := range r.Strips {
		if !s.MeetsISO {
			continue
		}
		n++
		say("Strip %s, developed %s, meets the contrast condition of ISO 6 (ΔD %.2f): its speed is %v in this process and light.", s.Strip, minutes(s.DevelopmentS), *s.DeltaD, s.Speed.Speed())
	}
	if n == 0 {
		say("No strip meets the contrast condition of ISO 6 (ΔD 0.80 ± 0.05), so the numbers are exposure indexes and no ISO speed.")
	}
}

// limit says what makes the result most uncertain.
func (r *builder) limit() (string, bool) {
	var worst string
	var most float64
	consider := func(name string, stops float64) {
		if stops > most && !math.IsInf(stops, 0) {
			worst, most = fmt.Sprintf("What limits the index most is %s (± %.2f stop).", name, stops), stops
		}
	}
	if x := r.Index; x != nil && x.Low > 0 && x.High > 0 {
		half := math.Log2(x.High/x.Low) / 2
		if x.From == "bracket" {
			consider("the noise of the bracket's shadow densities; more frames near the index would narrow it", half)
		} else {
			consider("the noise of the lowest readings and of base plus fog; read several unexposed patches and steps close to the speed point", half)
		}
	}
	return worst, worst != ""
}
