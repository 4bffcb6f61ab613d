package actinic

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/actinic/filters"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/sensito/exposure/card"
	"example.org/actinic/spectral"
)

// What a card is for: bright sun (common practice), the usual filters, two lights, and times
// as dials and watches have them.
const cardSun exposure.EV100 = 15

var (
	cardFilters = []string{"8", "11", "15", "21", "25", "29"}
	cardLights  = []spectral.Illuminant{spectral.D55, spectral.A}
	cardTimes   = []float64{1, 2, 4, 8, 15, 30, 60, 120, 240}
	cardPushes  = []sensito.Stops{-1, 1, 2}
)

// slowest is no fast limit: a law that begins there was tested at long times only.
const slowest = time.Second / 30

// longestSet is longer than a card has room to tell, in seconds.
const longestSet = 4 * 3600

// FieldCard makes the card of a film in a process, as for [Film.Process], for a camera: index
// and development, pull and push, filter factors in daylight D55 and tungsten A, long times
// within the reciprocity law, the fastest time that needs no correction, and the grey
// filters that apertures need in the sun (EV 15 at ISO 100).
//
// The error wraps [sensito.ErrInput] without a film or a camera and [ErrUnknown] for a
// process that the film has not got.
func FieldCard(f *Film, process string, cam *camera.Described) (*card.Card, error) {
	if f == nil || cam == nil || cam.Camera == nil || len(cam.Camera.Times()) == 0 {
		return nil, inputf("a card needs a film and a camera; load one by LoadFilm and take another from camera.Default or camera.Parse")
	}
	p, err := f.Process(process)
	if err != nil && !(errors.Is(err, ErrMissing) && process == "") {
		return nil, err
	}
	b := &cardBuilder{Card: card.Card{Film: f.Name(), Camera: cam.Name, Basis: f.Data().Provenance.Basis, Rerated: []card.Index{}, Filters: []card.Filter{},
		Long: []card.Time{}, Neutral: []card.Neutral{}, Cautions: []string{}, Missing: []string{}}, film: f, process: p, cam: cam.Camera}
	b.indexes()
	if err := b.filters(); err != nil {
		return nil, err
	}
	if err := b.times(); err != nil {
		return nil, err
	}
	if err := b.neutral(); err != nil {
		return nil, err
	}
	b.cautions()
	return &b.Card, nil
}

// cardBuilder makes a card, part by part.
type cardBuilder struct {
	card.Card
	film    *Film
	process *Process // nil for a film without
	cam     *camera.Camera
	blind   []string // filters that the film hardly sees through
}

func (b *cardBuilder) lacks(format string, args ...any) {
	b.Missing = append(b.Missing, fmt.Sprintf(format, args...))
}

// planner is for a shot of the film in the light of a meter's reading.
func (b *cardBuilder) planner(ev exposure.EV100) (*planner, error) {
	s := Shot{Scene: MeteredScene(ev, spectral.Light{}), Film: b.film, Camera: b.cam}
	if b.process != nil {
		s.Process = b.process.Name()
	}
	if b.Index == 0 {
		s.Index = 100 // of no matter where it is used
	}
	pl := &planner{}
	return pl, pl.prepare(s)
}

// indexes fills in the film's own index and the pushes and pulls that its curves restore.
func (b *cardBuilder) indexes() {
	if b.process == nil {
		b.lacks("a process")
		return
	}
	b.Process = b.process.Name()
	x, err := b.process.Index()
	if err != nil {
		b.lacks("an index")
		return
	}
	own := sensito.Speed{Value: x.Index.Value}
	if row, ok := sensito.ScaleAt(own.Degrees()); ok {
		own.Value = row.Number
	}
	b.Index = own.Value
	if x.Development == nil {
		b.lacks("a development")
		return
	}
	b.Development = quarter(*x.Development).Seconds()
	for _, push := range cardPushes {
		index := sensito.Speed{Value: own.Value * push.Factor()}
		if row, ok := sensito.ScaleAt(index.Degrees()); ok {
			index.Value = row.Number
		}
		pl := &planner{Shot: Shot{Index: index.Value, Shadow: -3, Highlight: 3}, process: b.process, index: index}
		p := &Plan{Index: index}
		pl.rerate(p)
		if r := p.Rerating; r != nil && r.Restores > 0 {
			b.Rerated = append(b.Rerated, card.Index{Index: index.Value, Stops: push,
				Development: quarter(sensito.Exact(r.Restores.Seconds())).Seconds(), Shadow: r.Shadow, OwnShadow: r.Tones[0].Before})
		}
	}
	if len(b.Rerated) == 0 {
		b.lacks("curves that say how to develop a push or a pull")
	}
}

// filters fills in what the usual filters ask for in two lights.
func (b *cardBuilder) filters() error {
	film, err := b.film.Sensitivity()
	if err != nil {
		b.lacks("a spectral sensitivity, so no filter factors: test the filters")
		return nil
	}
	for _, light := range cardLights {
		for _, number := range cardFilters {
			entry, err := filters.Find(number)
			if err != nil {
				return err
			}
			f, err := filters.Factor(film, light.Light(), entry.Filter)
			if err != nil {
				return err
			}
			blind, _ := hardlySeen(f, light.Light(), entry.Filter)
			b.Filters = append(b.Filters, card.Filter{Filter: entry.Filter.Name(), Light: light.String(), Factor: f,
				Stops: sensito.StopsOf(f), AlmostBlind: blind})
			if blind && !slices.Contains(b.blind, entry.Filter.Name()) {
				b.blind = append(b.blind, entry.Filter.Name())
			}
		}
	}
	return nil
}

// times fills in long times within the film's law, and the fast limit.
func (b *cardBuilder) times() error {
	law, err := b.film.Reciprocity()
	if err != nil {
		b.lacks("a reciprocity law, so no long times: bracket beyond 1/2 s")
		return nil
	}
	pl, err := b.planner(cardSun)
	if err != nil {
		return err
	}
	longest := b.cam.Times()[0]
	for _, m := range cardTimes {
		c, err := reciprocity.Correct(law, time.Duration(m*float64(time.Second)))
		if err != nil || c.Extrapolated || c.Adjusted.Seconds() > longestSet {
			continue // beyond what the law was found for
		}
		if !b.cam.Scales().Bulb && c.Adjusted.Seconds() > longest.Time.Seconds()*math.Exp2(halfMark) {
			continue // beyond what this camera has
		}
		t := card.Time{Metered: m, Set: c.Adjusted.Seconds()}
		p := &Plan{Metered: c.Metered}
		if err := pl.contrast(p, setting{metered: m, adjusted: t.Set, time: camera.TimeAt(c.Adjusted)}); err == nil && b.knowsGrowth() {
			percent := math.Round(p.DevelopmentChange)
			t.Percent = &percent
		}
		b.Long = append(b.Long, t)
	}
	for _, m := range b.cam.Times() {
		if m.Time >= slowest {
			continue
		}
		c, err := reciprocity.Correct(law, time.Duration(math.Exp2(-float64(m.Tv))*float64(time.Second)))
		if err != nil || math.Abs(float64(c.ByTime)) >= halfMark || math.Log2(c.Most.Seconds()/c.Least.Seconds()) >= halfMark {
			continue
		}
		if t := m.Time.Seconds(); b.Fast == 0 || t < b.Fast {
			b.Fast = t
		}
	}
	return nil
}

// knowsGrowth reports whether a change of development can be worked out at all.
func (b *cardBuilder) knowsGrowth() bool {
	if b.process == nil {
		return false
	}
	x, err := b.process.Index()
	if err != nil || x.Gradient == 0 {
		return false
	}
	_, err = b.process.Growth()
	return err == nil
}

// neutral fills in grey filters for the whole-stop apertures that need one in the sun.
func (b *cardBuilder) neutral() error {
	if b.Index == 0 {
		return nil
	}
	pl, err := b.planner(cardSun)
	if err != nil {
		return err
	}
	last := math.Inf(-1)
	for _, a := range b.cam.Apertures() {
		if float64(a.Av) < last+0.9 { // whole stops from the widest on
			continue
		}
		last = float64(a.Av)
		set, err := pl.timeFree(a)
		if err != nil {
			continue
		}
		if set.neutral > 0 {
			b.Neutral = append(b.Neutral, card.Neutral{Aperture: a.Number,
				Density: sensito.Density(math.Round(float64(set.neutral)*100) / 100), Time: timeWords(set.time)})
		}
	}
	return nil
}

// cautions says what to mind, in few words.
func (b *cardBuilder) cautions() {
	say := func(format string, args ...any) { b.Cautions = append(b.Cautions, fmt.Sprintf(format, args...)) }
	if b.Basis == Invented {
		say("The film and its figures are invented.")
	}
	if len(b.blind) > 0 {
		say("The film hardly sees what the filter %s passes: test before you trust a factor.", strings.Join(b.blind, " or "))
	}
	if slices.ContainsFunc(b.Long, func(t card.Time) bool { return t.Percent != nil && *t.Percent != 0 }) {
		say("Long times: set by the film's law; develop between as usual and the percentage, the most that it may take.")
	}
	if len(b.Rerated) > 0 {
		say("A push brings back contrast, not shadows.")
	}
	if len(b.Filters) > 0 || len(b.Neutral) > 0 {
		say("Filters do not protect the eye: never look at the sun through one.")
	}
	if b.Development > 0 {
		say("Chemistry: gloves, goggles, air. The maker's safety data sheet and local rules come first.")
	}
}
