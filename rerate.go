package actinic

import (
	"encoding/json"
	"fmt"
	"math"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
)

// Rerating is what it does to set another index than the film's: a push where it is
// higher, and the film gets less light, a pull where it is lower.
type Rerating struct {
	// FilmIndex is the index of the process, and Push log2 of the index that was set over
	// it.
	FilmIndex float64
	Push      sensito.Stops
	// Tones are the ends of the subject and the metered tone: their densities at the
	// film's index and at the one that was set, both at the film's development. Nil where
	// its curve does not reach them.
	Tones []devtime.ToneGain
	// Restores is the development that gives the subject the density range again that it
	// has at the film's index and development, 0 where the strips do not reach it; and
	// Shadow the density of the shadow then.
	Restores time.Duration
	Shadow   sensito.Density
	// Nearest is where the strips do not reach it the one that comes nearest, the longest
	// of a push and the shortest of a pull, with the density range that it gives; 0
	// otherwise.
	Nearest      time.Duration
	NearestRange float64
	// RuleLow and RuleHigh are the factors on the development time of the rule of thumb,
	// where there are no curves to go by; 0 otherwise.
	RuleLow, RuleHigh float64
}

// leastRerating is the push or pull, in stops, below which an index is the film's: half a
// printed step.
const leastRerating = 1.0 / 6

// rerate finds what an index does that is not the film's.
func (pl *planner) rerate(p *Plan) {
	if pl.Shot.Index == 0 || pl.process == nil {
		return
	}
	x, err := pl.process.index()
	if err != nil {
		return
	}
	push := sensito.StopsOf(pl.index.Value / x.Index.Value)
	if !(math.Abs(float64(push)) >= leastRerating) {
		return
	}
	r := &Rerating{FilmIndex: x.Index.Value, Push: push}
	p.Rerating = r
	if curve, err := pl.process.Curve(0); err == nil {
		tones := []sensito.Stops{pl.Shadow, 0, pl.Highlight}
		if gains, err := devtime.ToneGains(curve, sensito.Speed{Value: x.Index.Value}, sensito.Speed{Value: pl.index.Value},
			tones); err == nil {
			r.Tones = gains
		}
	}
	if len(r.Tones) == 3 && pl.process.family != nil {
		r.restore(pl)
	}
	if r.Restores == 0 {
		if rule, err := devtime.PushRuleOfThumb(push); err == nil {
			r.RuleLow, r.RuleHigh = rule.Low, rule.High
		}
	}
}

// restore looks among the developments of the strips for the one that gives the subject
// its density range again.
func (r *Rerating) restore(pl *planner) {
	at := func(tone sensito.Stops) sensito.LogH {
		return sensito.LogHOf(sensito.MeteredExposure / pl.index.Value).Add(tone)
	}
	densityRange := func(c sensito.Curve) (float64, error) {
		lo, err := c.Density(at(pl.Shadow))
		if err != nil {
			return 0, err
		}
		hi, err := c.Density(at(pl.Highlight))
		return float64(hi - lo), err
	}
	t, err := pl.process.family.TimeFor(densityRange, float64(r.Tones[2].Before-r.Tones[0].Before))
	if err != nil {
		shortest, longest := pl.process.family.Range()
		if r.Push < 0 {
			longest = shortest
		}
		if c, err := pl.process.Curve(longest); err == nil {
			if d, err := densityRange(c); err == nil {
				r.Nearest, r.NearestRange = longest, d
			}
		}
		return
	}
	if c, err := pl.process.Curve(t); err == nil {
		if d, err := c.Density(at(pl.Shadow)); err == nil {
			r.Restores, r.Shadow = t, d
		}
	}
}

// words says it in a paragraph.
func (r *Rerating) words(p *Plan) string {
	what, light := "push", "less"
	if r.Push < 0 {
		what, light = "pull", "more"
	}
	text := fmt.Sprintf("%v is a %s of %.1f stops from the film's %v: every tone gets so much %s light.", p.Index, what,
		math.Abs(float64(r.Push)), sensito.Speed{Value: r.FilmIndex}, light)
	if len(r.Tones) == 3 {
		s, h := r.Tones[0], r.Tones[2]
		text += fmt.Sprintf(
			" At the same development the shadow at %v goes from density %.2f to %.2f, the highlight at %v from %.2f to %.2f, their range from %.2f to %.2f.",
			s.Tone,
			float64(s.Before),
			float64(s.After),
			h.Tone,
			float64(h.Before),
			float64(h.After),
			float64(h.Before-s.Before),
			float64(h.After-s.After),
		)
	}
	switch {
	case r.Restores > 0:
		text += fmt.Sprintf(" Developed %s the range is as it was, and the shadow has %.2f.",
			devtime.FormatTime(quarter(sensito.Exact(r.Restores.Seconds()))), float64(r.Shadow))
		if r.Push > 0 {
			text += " Development brings back the contrast, hardly the shadows."
		}
	case r.Nearest > 0:
		text += fmt.Sprintf(" No development of the strips brings the range back: the nearest, %s, gives %.2f.", devtime.FormatTime(r.Nearest.Round(time.Second)), r.NearestRange)
		if r.RuleLow > 0 {
			text += fmt.Sprintf(" A rule of thumb multiplies the time by %.2f to %.2f.", r.RuleLow, r.RuleHigh)
		}
		text += " Test it."
	case r.RuleLow > 0:
		text += fmt.Sprintf(" The film's curves do not tell which development brings the contrast back; a rule of thumb multiplies the time by %.2f to %.2f.", r.RuleLow, r.RuleHigh)
	default:
		text += " Neither the film's curves nor a rule of thumb reach so far: test it."
	}
	return text
}

// reratingJSON is a rerating as it is stored.
type reratingJSON struct {
	FilmIndex float64    `json:"film_index"`
	Push      float64    `json:"push_stops"`
	Tones     []toneJSON `json:"tones,omitempty"`
	RestoresS float64    `json:"development_s,omitempty"`
	Shadow    float64    `json:"shadow_density,omitempty"`
	NearestS  float64    `json:"nearest_development_s,omitempty"`
	Nearest   float64    `json:"nearest_density_range,omitempty"`
	RuleLow   float64    `json:"rule_of_thumb_low,omitempty"`
	RuleHigh  float64    `json:"rule_of_thumb_high,omitempty"`
}

// toneJSON is a tone of it.
type toneJSON struct {
	Tone   float64 `json:"tone_stops"`
	Before float64 `json:"density"`
	After  float64 `json:"density_rerated"`
}

// MarshalJSON writes the rerating, its development in seconds.
func (r Rerating) MarshalJSON() ([]byte, error) {
	j := reratingJSON{
		FilmIndex: r.FilmIndex,
		Push:      float64(r.Push),
		RestoresS: r.Restores.Seconds(),
		Shadow:    float64(r.Shadow),
		NearestS:  r.Nearest.Seconds(),
		Nearest:   r.NearestRange,
		RuleLow:   r.RuleLow,
		RuleHigh:  r.RuleHigh,
	}
	for _, t := range r.Tones {
		j.Tones = append(j.Tones, toneJSON{float64(t.Tone), float64(t.Before), float64(t.After)})
	}
	return json.Marshal(j)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (r *Rerating) UnmarshalJSON(text []byte) error {
	var j reratingJSON
	if err := json.Unmarshal(text, &j); err != nil {
		return err
	}
	*r = Rerating{
		FilmIndex: j.FilmIndex,
		Push:      sensito.Stops(j.Push),
		Restores:  figures.Seconds(j.RestoresS),
		Shadow:    sensito.Density(j.Shadow),

		Nearest: figures.Seconds(j.NearestS), NearestRange: j.Nearest,
		RuleLow:  j.RuleLow,
		RuleHigh: j.RuleHigh,
	}
	for _, t := range j.Tones {
		r.Tones = append(
			r.Tones,
			devtime.ToneGain{
				Tone:   sensito.Stops(t.Tone),
				Before: sensito.Density(t.Before),
				After:  sensito.Density(t.After),
				Gain:   t.After - t.Before,
			},
		)
	}
	return nil
}
