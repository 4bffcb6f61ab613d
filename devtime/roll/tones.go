package roll

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/root"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/tone"
)

// Subject says what a record's tones are worked out for.
type Subject struct {
	// Shadow and Highlight are the tones that are to keep detail, in stops from the
	// metered one; both 0 stand for the roll's shadow and +3.
	Shadow, Highlight sensito.Stops
	// LogFlare is the flare factor of the camera as log10 for that subject, see
	// [tone.Veil]; nil stands for that of the bracket's frames, or [UsualFlare] where they
	// do not tell.
	LogFlare *float64
	// Paper is what the negative is printed on; nil where nothing was stated, and the
	// numbered grades are gone through.
	Paper *tone.Paper
	// Sensor is the useful range of the scanner or camera that copies the negative, in
	// stops; 0 where it was not stated.
	Sensor sensito.Stops
}

// UsualFlare is the flare factor that is assumed, as log10: a usual figure, from memory.
const UsualFlare = 0.40

// TonesRecord is which density and which step of grey each tone of a subject gets at the
// record's index and development.
type TonesRecord struct {
	Index        float64 `json:"index"` // the printed number that is set
	DevelopmentS float64 `json:"development_s"`
	LogFlare     float64 `json:"log_flare"`
	FlareFrom    string  `json:"flare_from"` // "stated", "bracket" or "usual figure"
	// Veil is the light of the flare over that of the metered tone; its interval, where the
	// bracket tells it, is that of the index, and is not in those of the densities.
	Veil      sensito.Estimate `json:"veil"`
	Shadow    sensito.Stops    `json:"shadow_stops"`
	Highlight sensito.Stops    `json:"highlight_stops"`
	Tones     []tone.Tone      `json:"tones"` // from -5 to +5, by rising stops
	// DensityRange is that between shadow and highlight, null where the readings do not
	// reach them.
	DensityRange *sensito.Estimate `json:"density_range"`
	// Papers are the one that was stated, or the numbered grades that the range suits or
	// may suit within its interval.
	Papers []PaperFit `json:"papers"`
	// Copy is for copying from base plus fog to the highlight; null as DensityRange.
	Copy *tone.Copy `json:"copy"`
	// SensorStops is the range that was stated, null where none was.
	SensorStops *sensito.Stops `json:"sensor_stops"`
}

// PaperFit is how the density range lies to a paper; Sure is false where its interval
// reaches over an end of the paper's range.
type PaperFit struct {
	tone.Paper
	Fit  tone.Fit `json:"fit"`
	Sure bool     `json:"sure"`
}

// farTone is how far from the metered tone the tones of a record go, in stops.
const farTone = 5

// tones fills the record's tones, which need an index with a development between those
// of the strips.
func (r *builder) tones(roll *Roll, s Subject) error {
	if r.Index == nil || r.Index.Development == nil || r.Exposure == "relative" {
		return nil
	}
	if _, _, _, ok := r.around(r.Index.Development.Value); !ok {
		return nil
	}
	if s.Shadow == 0 && s.Highlight == 0 {
		s.Shadow, s.Highlight = -roll.ShadowStopsBelowMeter, 3
		if s.Shadow == 0 {
			s.Shadow = -4
		}
	}
	out := &TonesRecord{Index: r.Index.Value, DevelopmentS: r.Index.Development.Value, Shadow: s.Shadow,
		Highlight: s.Highlight, Papers: []PaperFit{}}
	if row, ok := sensito.ScaleAt(sensito.Speed{Value: out.Index}.Degrees()); ok {
		out.Index = row.Number
	}
	err := r.flare(out, s)
	if err != nil {
		return err
	}
	var steps []sensito.Stops
	for k := -farTone; k <= farTone; k++ {
		steps = append(steps, sensito.Stops(k))
	}
	of, err := r.densities(out, append(steps, s.Shadow, s.Highlight))
	if err != nil {
		return err
	}
	if out.Tones, err = tone.Place(of, out.Index, out.Veil.Value, steps...); err != nil {
		return err
	}
	ends, err := tone.Place(of, out.Index, out.Veil.Value, s.Shadow, s.Highlight)
	if err != nil {
		return err
	}
	if d, ok := tone.Range(ends[0], ends[1]); ok && d.Value > 0 {
		out.DensityRange = &d
		if err := out.fit(s, ends); err != nil {
			return err
		}
		out.copy(s, sensito.Density(r.baseFogAt(out.DevelopmentS)), ends)
	}
	r.Tones = out
	return nil
}

// flare settles the flare: what was stated, what the bracket's shadow tells, or what is
// usual.
func (r *builder) flare(t *TonesRecord, s Subject) (err error) {
	if v, ok := r.bracketVeil(); ok && s.LogFlare == nil {
		lo, hi := math.Exp2(float64(s.Shadow)), math.Exp2(float64(s.Highlight))
		t.Veil, t.FlareFrom = v, "bracket"
		t.LogFlare = max((s.Highlight-s.Shadow).Log10()-math.Log10((hi+v.Value)/(lo+v.Value)), 0)
		return nil
	}
	t.LogFlare, t.FlareFrom = UsualFlare, "usual figure"
	if s.LogFlare != nil {
		t.LogFlare, t.FlareFrom = *s.LogFlare, "stated"
	}
	v, err := tone.Veil(s.Shadow, s.Highlight, t.LogFlare)
	t.Veil = sensito.Exact(v)
	return err
}

// mostVeil is more light than flare adds to the metered tone in any camera that is of use.
const mostVeil = 0.5

// bracketVeil is the flare of the camera that exposed the bracket: at its index and
// development the shadow has the target density, and on the strips that density asks for
// the light of the shadow and of the veil. Light of the tablet and meter are taken as
// right: less light than the shadow's is no flare.
func (r *builder) bracketVeil() (v sensito.Estimate, ok bool) {
	b := r.Bracket
	if b == nil || b.Index == nil || b.DevelopmentS == nil || !(b.Index.Value > 0) {
		return v, false
	}
	one, other, part, ok := r.around(*b.DevelopmentS)
	if !ok {
		return v, false
	}
	lo, hi := one.Curve.Domain()
	lo2, hi2 := other.Curve.Domain()
	x, err := root.Find(func(x float64) float64 {
		d, err := one.Curve.Density(sensito.LogH(x))
		e, err2 := other.Curve.Density(sensito.LogH(x))
		if err != nil || err2 != nil {
			return math.NaN()
		}
		return float64(d) + part*float64(e-d) - b.Target
	}, float64(max(lo, lo2)), float64(min(hi, hi2)))
	if err != nil || x-x != 0 {
		return v, false
	}
	v = b.Index.Map(func(index float64) float64 {
		return max(math.Pow(10, x)*index/sensito.MeteredExposure-math.Exp2(-b.BelowMeter), 0)
	})
	return v, v.Value < mostVeil
}

// fit holds the density range to papers, and gives the tones their steps of grey: on the
// stated paper, or on one that has just the range of the negative.
func (t *TonesRecord) fit(s Subject, ends []tone.Tone) error {
	paper := sensito.Density(t.DensityRange.Value)
	if s.Paper != nil {
		fit, sure := s.Paper.Suits(*t.DensityRange)
		t.Papers = append(t.Papers, PaperFit{*s.Paper, fit, sure})
		paper = (s.Paper.Least + s.Paper.Most) / 2
	} else {
		for grade := 0; ; grade++ {
			least, most, err := devtime.PaperRange(grade)
			if err != nil {
				break
			}
			p := tone.Paper{Name: fmt.Sprintf("grade %d", grade), Least: least, Most: most}
			if fit, sure := p.Suits(*t.DensityRange); fit == tone.Fits || !sure {
				t.Papers = append(t.Papers, PaperFit{p, fit, sure})
			}
		}
	}
	return tone.Greys(t.Tones, sensito.Density(ends[0].Density.Value), paper)
}

// copy fills in how the negative is copied; a base plus fog above the highlight, which no
// film has, leaves it out.
func (t *TonesRecord) copy(s Subject, base sensito.Density, ends []tone.Tone) {
	c, err := tone.Copying(max(base, 0), sensito.Density(ends[1].Density.Value), s.Sensor)
	if err != nil {
		return
	}
	t.Copy = &c
	if s.Sensor > 0 {
		t.SensorStops = &s.Sensor
	}
}

// around returns the strips on either side of a development, the same twice where one was
// developed for it, and the weight of the second; ok is false beyond the strips. What was
// left out of the roll's contrast takes no part.
func (r *builder) around(seconds float64) (a, b *StripRecord, w float64, ok bool) {
	var strips []*StripRecord
	for i := range r.Strips {
		if s := &r.Strips[i]; s.Curve != nil && !slices.Contains(s.LeftOut, "contrast") {
			strips = append(strips, s)
		}
	}
	slices.SortStableFunc(strips, func(a, b *StripRecord) int { return cmp.Compare(a.Taken(), b.Taken()) })
	for _, s := range strips {
		switch {
		case math.Abs(s.Taken()-seconds) < 0.5:
			return s, s, 0, true
		case s.Taken() < seconds:
			a = s
		case b == nil:
			b = s
		}
	}
	if a == nil || b == nil {
		return nil, nil, 0, false
	}
	return a, b, math.Log(seconds/a.Taken()) / math.Log(b.Taken()/a.Taken()), true
}

// densities gives densities at the development of t: between two strips straight against
// the logarithm of time, as [devtime.Family] has it. Two strips are read apart from each
// other, so their half widths are added in squares. Those of the tones are taken in one go.
func (r *builder) densities(t *TonesRecord, tones []sensito.Stops) (tone.Densities, error) {
	a, b, w, _ := r.around(t.DevelopmentS)
	at := make([]sensito.LogH, len(tones))
	for i, s := range tones {
		var err error
		if at[i], err = tone.At(t.Index, s, t.Veil.Value); err != nil {
			return nil, err
		}
	}
	first := densitiesOf(a.Curve, at)
	if a == b {
		return first, nil
	}
	second := densitiesOf(b.Curve, at)
	return func(x sensito.LogH) (sensito.Estimate, error) {
		d, err := first(x)
		if err != nil {
			return d, err
		}
		e, err := second(x)
		if err != nil {
			return e, err
		}
		v := d.Value + w*(e.Value-d.Value)
		h := math.Hypot((1-w)*(d.High-d.Low)/2, w*(e.High-e.Low)/2)
		return sensito.Estimate{Value: v, Low: v - h, High: v + h}, nil
	}, nil
}

// densitiesOf is [tone.Of] that has worked out the densities at some exposures together.
func densitiesOf(c *sensito.Fitted, at []sensito.LogH) tone.Densities {
	of := tone.Of(c)
	var reached []sensito.LogH
	var measures []sensito.Measure
	for _, x := range at {
		if _, err := c.Density(x); err == nil && !slices.Contains(reached, x) {
			reached = append(reached, x)
			measures = append(measures, func(c sensito.Curve) (float64, error) {
				d, err := c.Density(x)
				return float64(d), err
			})
		}
	}
	es, err := c.Estimate(measures...)
	if err != nil {
		return of
	}
	return func(x sensito.LogH) (sensito.Estimate, error) {
		if i := slices.Index(reached, x); i >= 0 {
			return es[i], nil
		}
		return of(x)
	}
}

// baseFogAt is base plus fog at a development between the strips.
func (r *builder) baseFogAt(seconds float64) float64 {
	a, b, w, ok := r.around(seconds)
	if !ok {
		return math.NaN()
	}
	return a.BaseFog + w*(b.BaseFog-a.BaseFog)
}

// veilWords is a veil in percent, with its interval where it has one.
func veilWords(v sensito.Estimate) string {
	if v.High > v.Low {
		return fmt.Sprintf("%.1f %% (%.1f to %.1f)", 100*v.Value, 100*v.Low, 100*v.High)
	}
	return fmt.Sprintf("%.1f %%", 100*v.Value)
}

// flareWords says where the flare is from.
func flareWords(from string) string {
	switch from {
	case "bracket":
		return "as the shadow of the bracket has it"
	case "usual figure":
		return "a usual figure, not measured"
	}
	return from
}

// TonesLines say in a few lines what the tones come to.
func (r *Record) TonesLines() []Line {
	t := r.Tones
	if t == nil {
		return nil
	}
	out := []Line{{"Set and developed", fmt.Sprintf("%s, %s", ei(t.Index), minutes(t.DevelopmentS))},
		{"Flare", fmt.Sprintf("log flare factor %.2f (%s) for a subject from %s to %s stops: a veil of %s of the metered tone", t.LogFlare, flareWords(t.FlareFrom),
			fmt.Sprintf("%+g", float64(t.Shadow)), fmt.Sprintf("%+g", float64(t.Highlight)), veilWords(t.Veil))}}
	if t.DensityRange == nil {
		return append(out, Line{"Density range", "not known: the readings do not reach the shadow or the highlight"})
	}
	d := t.DensityRange
	text := fmt.Sprintf("%.2f", d.Value)
	if h := (d.High - d.Low) / 2; h > 0 && !math.IsInf(h, 0) {
		text += fmt.Sprintf(" ± %.2f", h)
	}
	out = append(out, Line{"Density range", text})
	for _, p := range t.Papers {
		words := p.Fit.String()
		if !p.Sure {
			words += ", not sure within the interval"
		}
		out = append(out, Line{"Paper " + p.Name, fmt.Sprintf("%s (it suits %.2f to %.2f)", words, float64(p.Least), float64(p.Most))})
	}
	if len(t.Papers) == 0 {
		out = append(out, Line{"Paper", "no numbered grade suits this range"})
	}
	if c := t.Copy; c != nil {
		copying := fmt.Sprintf("open by %.1f stops over the time that brings the bare light just below the end of the scale; from base plus fog to the highlight are %.1f stops",
			float64(c.Open), float64(c.Span))
		switch {
		case c.Spare == nil:
		case *c.Spare >= 0:
			copying += fmt.Sprintf(", and a range of %.1f stops holds them with %.1f to spare", float64(*t.SensorStops), float64(*c.Spare))
		default:
			copying += fmt.Sprintf(", %.1f more than a range of %.1f: take two exposures", -float64(*c.Spare), float64(*t.SensorStops))
		}
		out = append(out, Line{"Copying", copying})
	}
	return out
}
