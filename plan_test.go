package actinic

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/filters"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/spectral"
)

// thirdsCamera goes from f/2.8 to f/22 and from 1/4000 to 30 s in third stops.
func thirdsCamera(bulb bool) *camera.Camera {
	return must(camera.New(camera.Scales{
		Apertures: must(camera.ApertureMarks(camera.ThirdStops, 2.8, 22)), Times: must(camera.TimeMarks(camera.ThirdStops, time.Second/4000, 30*time.Second)), Bulb: bulb,
	}))
}

// stated is a law by its constants, in the order name, value.
func stated(law string, constants ...any) *ReciprocityData {
	d := &ReciprocityData{Form: reciprocity.Form{Law: law, Constants: map[string]float64{}}}
	for i := 0; i < len(constants); i += 2 {
		d.Form.Constants[constants[i].(string)] = constants[i+1].(float64)
	}
	return d
}

// lawFilm has a reciprocity law for all times, or none.
func lawFilm(law *ReciprocityData) *Film {
	p := Provenance{Basis: Invented, Source: "made up for a test"}
	if law != nil {
		law.Provenance, law.Form.Shortest, law.Form.Longest = p, 1, 1000*time.Hour
	}
	return must(NewFilm(FilmData{Name: "Test", Provenance: p, Reciprocity: law}))
}

// Six scenes worked by hand. The numbers are what each step in order adds to the exposure
// value: they sum to Av + Tv of the marks less the EV at ISO 100. A step's stops are of
// exposure, and so the other way round.
func TestPlansByHand(t *testing.T) {
	swift := must(LoadFilm("Garnedd Swift"))
	for _, c := range []struct {
		name     string
		shot     Shot
		aperture exposure.FNumber
		time     string
		neutral  sensito.Density
		ev100    float64
		steps    []float64
		cautions []Caution
	}{{
		// A bright tip. Luminance: log2(100 · 4096/12.5) = log2 32768 = 15 exactly.
		// Index: log2(125/100) = +0.3219, so Ev 15.3219. f/8 is Av 6: Tv 9.3219, a
		// metered 1.5625 ms. The law t + a t^1.62 with a = 0.1107: t^0.62 = 0.01818,
		// so log2(1 + 0.1107 · 0.01818) = 0.0029 more: -0.0029. Tv 9.3190; the nearest
		// mark is 1/640 with Tv 9.3333, +0.0143: so much less exposure.
		name: "luminance, time free", shot: Shot{Scene: Scene{Luminance: 4096}, Film: must(LoadFilm("Rhiwlas")), Process: "Tarren", Aperture: 8},
		aperture: 8, time: "1/640", ev100: 15, steps: []float64{0, .3219, -.0029, .0143},
	}, {
		// The very fast film outdoors with a slow shutter. EV 15, index 1000: +3.3219,
		// Ev 18.3219. 1/15 is Tv 4, at which reciprocity holds: Av 14.3219 is wanted and
		// f/22 is Av 9. Grey filters of 0.3 take 0.3 log2(10) = 0.99658 each: six,
		// -5.9795, lead to Av 8.3424 (five only to 9.339, more than a sixth beyond the
		// last mark). f/18 is Av 8.3333: -0.0091.
		name: "very fast film, slow shutter", shot: Shot{Scene: MeteredScene(15, spectral.Light{}), Film: swift, Process: "Tarren", Time: time.Second / 15},
		aperture: 18, time: "1/15", neutral: 1.8, ev100: 15, steps: []float64{0, 3.3219, -5.9795, 0, -.0091}, cautions: []Caution{NeutralDensity, EyeSafety},
	}, {
		// The same film at dusk behind a filter of factor 4 on a tripod. EV 2, index
		// +3.3219, filter -2: Ev 3.3219. f/8: Tv -2.6781, a metered 6.400 s. Between 1 s
		// and 10 s (20 s) the table's slope is log10 20 = 1.30103: 6.4^1.30103 = 11.19 s,
		// -0.8061. Tv -3.4842; 10 s is Tv -3.3333: +0.1509, less exposure than wanted.
		// The tones spread by about that slope, so the negative is harder.
		name: "very fast film, dusk, filter", shot: Shot{Scene: MeteredScene(2, spectral.Light{}), Film: swift, Process: "Tarren", Factor: 4, Aperture: 8},
		aperture: 8, time: "10s", ev100: 2, steps: []float64{0, 3.3219, -2, -.8061, .1509}, cautions: []Caution{ContrastChange, EyeSafety},
	}, {
		// An incident meter by hand. log2(100 · 1320/330) = log2 400 = 8.6439. Index 400:
		// +2, Ev 10.6439. At f/5.6 (Av 5) Tv 5.6439, slower than 1/60 (Tv 6), which is
		// the limit: so 1/60, and Av 4.6439. f/5 is Av 4.6667: +0.0228. No law: no step.
		name: "illuminance, both free, by hand", shot: Shot{Scene: Scene{Illuminance: 1320, Incident: exposure.IncidentMeter{C: 330, Receptor: exposure.Hemispherical}}, Film: lawFilm(nil), Index: 400, Start: 5.6, Handheld: time.Second / 60},
		aperture: 5, time: "1/60", ev100: 8.6439, steps: []float64{0, 2, .0228},
	}, {
		// Correction by aperture. EV 3 at index 100: Ev 3. 8 s is Tv -3; with p = 0.8
		// from 1 s it counts for 8^0.8 = 5.278 s, so by (1 - p) log2 8 = 0.6 less. Av 5.4;
		// f/6.3 is Av 5.3333: -0.0667. The slope is 1/0.8 = 1.25, so harder.
		name: "long time given", shot: Shot{Scene: MeteredScene(3, spectral.Light{}), Film: lawFilm(stated("power", "onset_s", 1.0, "p", 0.8)), Index: 100, Time: 8 * time.Second},
		aperture: 6.3, time: "8s", ev100: 3, steps: []float64{0, 0, -.6, -.0667}, cautions: []Caution{ContrastChange},
	}, {
		// Too fast for the shutter, with a meter of K = 14: log2(100 · 9175.04/14) = 16.
		// Index 800: +3, Ev 19. f/2.8 is Av 3: Tv 16, four stops faster than 1/4000.
		// Four grey filters, -3.9863: Tv 12.0137; 1/4000 is Tv 12: -0.0137.
		name: "too fast for the shutter", shot: Shot{Scene: Scene{Luminance: 9175.04, Reflected: exposure.ReflectedMeter{K: 14, AnyConstant: true}}, Film: lawFilm(stated("holds")), Index: 800, Aperture: 2.8},
		aperture: 2.8, time: "1/4000", neutral: 1.2, ev100: 16, steps: []float64{0, 3, -3.9863, 0, -.0137}, cautions: []Caution{TooFast, NeutralDensity, EyeSafety},
	}} {
		t.Run(c.name, func(t *testing.T) {
			c.shot.Camera = thirdsCamera(true)
			p, err := PlanExposure(c.shot)
			if err != nil {
				t.Fatal(err)
			}
			if p.Aperture.Number != c.aperture || p.Time.String() != c.time || math.Abs(float64(p.Neutral-c.neutral)) > 1e-9 {
				t.Errorf("set %v at %v with neutral density %v, want %s at %v with %v", p.Time, p.Aperture, p.Neutral, c.time, c.aperture, c.neutral)
			}
			if got := float64(p.Steps[0].Ev); math.Abs(got-c.ev100) > 5e-5 {
				t.Errorf("EV %.4f at ISO 100, want %.4f", got, c.ev100)
			}
			if len(p.Steps) != len(c.steps) {
				t.Fatalf("%d steps, want %d:\n%v", len(p.Steps), len(c.steps), p)
			}
			for i, s := range p.Steps {
				// Half a unit of the last digit; the constants of the first film are
				// fitted, and its curve may change in the last digit.
				if math.Abs(-float64(s.Stops)-c.steps[i]) > 1e-4 {
					t.Errorf("step %q is %.4f stops, want %.4f", s.Name, float64(s.Stops), -c.steps[i])
				}
			}
			var got []Caution
			for _, w := range p.Warnings {
				got = append(got, w.Caution)
			}
			if len(got) != len(c.cautions) {
				t.Errorf("cautions %v, want %v", got, c.cautions)
			}
			for i := range min(len(got), len(c.cautions)) {
				if got[i] != c.cautions[i] {
					t.Errorf("cautions %v, want %v", got, c.cautions)
				}
			}
		})
	}
}

// randomShot draws a shot that a camera may or may not be able to do.
func randomShot(rng *rand.Rand, films []*Film) Shot {
	s := Shot{Film: films[rng.IntN(len(films))], Index: 400, Camera: thirdsCamera(rng.IntN(2) == 0), Scene: MeteredScene(exposure.EV100(-2+20*rng.Float64()), spectral.Light{})}
	if ps := s.Film.Processes(); len(ps) > 0 {
		s.Process, s.Index = ps[rng.IntN(len(ps))], 0
	}
	if rng.IntN(2) == 0 {
		s.Factor = 1 + 15*rng.Float64()
	}
	as, ts := s.Camera.Apertures(), s.Camera.Times()
	switch rng.IntN(4) {
	case 0:
		s.Aperture = as[rng.IntN(len(as))].Number
	case 1:
		s.Time = ts[rng.IntN(len(ts))].Time
	case 2:
		s.Start = as[rng.IntN(len(as))].Number
		s.Longest = ts[rng.IntN(len(ts))].Time
	default:
		s.Handheld = time.Second / 60
	}
	return s
}

// brighter is a scene by so many stops brighter.
func brighter(s Scene, by exposure.EV100) Scene {
	return MeteredScene(*s.EV100+by, s.Light)
}

func planFilms() []*Film {
	films := []*Film{lawFilm(nil), lawFilm(stated("power", "onset_s", 1.0, "p", 0.8)), lawFilm(stated("catenary", "a", 0.2, "optimum_s", 0.01, "reference_s", 0.01)), lawFilm(stated("two-branch", "onset_s", 1.0, "p", 0.8, "short_onset_s", 0.002, "short_p", 1.2))}
	for _, name := range Films() {
		films = append(films, must(LoadFilm(name)))
	}
	return films
}

func TestPlanProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 5))
	films := planFilms()
	plans, compared, filtered := 0, 0, 0
	for range 3000 {
		s := randomShot(rng, films)
		p, err := PlanExposure(s)
		if err != nil {
			if !errors.Is(err, camera.ErrReach) && !errors.Is(err, reciprocity.ErrOutside) {
				t.Fatalf("%+v: %v", s, err)
			}
			continue
		}
		plans++
		// The steps sum to the marks.
		ev := float64(p.Steps[0].Ev)
		for _, x := range p.Steps {
			ev -= float64(x.Stops)
			if x.Stops == 0 && math.Signbit(float64(x.Stops)) {
				t.Errorf("step %s is -0", x.Name) // JSON would print it so
			}
		}
		if want := float64(p.Aperture.Av) + float64(p.Time.Tv); math.Abs(ev-want) > 1e-6 || math.Abs(float64(p.Steps[len(p.Steps)-1].Ev)-want) > 1e-6 {
			t.Fatalf("steps sum to %v, marks to %v:\n%v", ev, want, p)
		}
		// The residue is at most half a step; a shutter held open for whole seconds
		// beyond 30 s has finer ones.
		if math.Abs(float64(p.Residue)) > 1./6+1e-6 {
			t.Fatalf("residue %v:\n%v", p.Residue, p)
		}
		// At the adjusted time film, light and aperture are in order: the law's
		// inverse gives back the metered one.
		if s.Film.reciprocity != nil {
			law := s.Film.reciprocity
			if m, err := law.Metered(p.Adjusted.Seconds()); err == nil && p.Adjusted > time.Millisecond && math.Abs(m/p.Metered.Seconds()-1) > 1e-5 {
				t.Fatalf("metered %v, and %v s by the inverse:\n%v", p.Metered, m, p)
			}
		}
		// More light never lengthens the time.
		more := s
		more.Scene = brighter(more.Scene, exposure.EV100(3*rng.Float64()))
		if q, err := PlanExposure(more); err == nil && q.Neutral == p.Neutral {
			compared++
			if q.Time.Tv < p.Time.Tv-1e-6 {
				t.Fatalf("with more light:\n%v\nand with less:\n%v", q, p)
			}
			if q.Aperture.Av < p.Aperture.Av-1e-6 {
				t.Fatalf("a wider aperture with more light:\n%v\nand with less:\n%v", q, p)
			}
		}
		// A filter never shortens it.
		strong := s
		strong.Factor = max(s.Factor, 1) * (1 + 7*rng.Float64())
		if q, err := PlanExposure(strong); err == nil && q.Neutral == p.Neutral {
			filtered++
			if q.Time.Tv > p.Time.Tv+1e-6 {
				t.Fatalf("behind a filter:\n%v\nand behind less:\n%v", q, p)
			}
		}
	}
	if plans < 1500 || compared < 1000 || filtered < 1000 {
		t.Errorf("only %d plans, %d with more light, %d with more filter", plans, compared, filtered)
	}
}

func cautionsOf(p *Plan) map[Caution]bool {
	m := map[Caution]bool{}
	for _, w := range p.Warnings {
		m[w.Caution] = true
	}
	return m
}

// Dropping a warning's cause drops the warning.
func TestWarningsHaveCauses(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 5))
	films := planFilms()
	causes := map[Caution]func(*Shot, *Plan){
		Tripod:         func(s *Shot, _ *Plan) { s.Handheld = 0 },
		TooLong:        func(s *Shot, _ *Plan) { s.Longest = 0 },
		NeutralDensity: func(s *Shot, p *Plan) { s.Scene = brighter(s.Scene, -(exposure.EV100(camera.NeutralStops(p.Neutral)))) },
		TooFast:        func(s *Shot, p *Plan) { s.Scene = brighter(s.Scene, -(exposure.EV100(camera.NeutralStops(p.Neutral)))) },
		BeyondLaw:      func(s *Shot, _ *Plan) { s.Film, s.Process, s.Index = lawFilm(stated("holds")), "", 400 },
		NoLaw:          func(s *Shot, _ *Plan) { s.Film = lawFilm(stated("holds")) },
		ContrastChange: func(s *Shot, _ *Plan) { s.Film, s.Process, s.Index = lawFilm(stated("holds")), "", 400 },
		EyeSafety: func(s *Shot, p *Plan) {
			s.Factor = 0
			s.Scene = brighter(s.Scene, -(exposure.EV100(camera.NeutralStops(p.Neutral)) + exposure.EV100(math.Log2(p.Factor))))
		},
		Short: func(s *Shot, p *Plan) { s.Scene = brighter(s.Scene, exposure.EV100(-p.Residue)) },
	}
	seen := map[Caution]int{}
	for range 3000 {
		s := randomShot(rng, films)
		if rng.IntN(4) == 0 {
			s.Handheld, s.Aperture, s.Time = time.Second/30, 8, 0
		}
		if rng.IntN(5) == 0 {
			s.Aperture, s.Time = 8, time.Second/30
		}
		p, err := PlanExposure(s)
		if err != nil {
			continue
		}
		for _, w := range p.Warnings {
			drop, ok := causes[w.Caution]
			if !ok {
				t.Fatalf("no cause known of %q", w.Caution)
			}
			without := s
			drop(&without, p)
			q, err := PlanExposure(without)
			if err != nil {
				continue
			}
			seen[w.Caution]++
			if cautionsOf(q)[w.Caution] {
				t.Fatalf("%q stays without its cause:\n%v\nbefore:\n%v", w.Caution, q, p)
			}
		}
	}
	for c := range causes {
		if seen[c] < 5 {
			t.Errorf("%q was seen %d times", c, seen[c])
		}
	}
}

func TestPlanRefuses(t *testing.T) {
	film := must(LoadFilm("Swift"))
	ok := Shot{Scene: MeteredScene(12, spectral.Light{}), Film: film, Process: "Tarren", Camera: thirdsCamera(false), Aperture: 8}
	if _, err := PlanExposure(ok); err != nil {
		t.Fatal(err)
	}
	orange := must(filters.Find("21")).Filter
	for _, c := range []struct {
		name   string
		change func(*Shot)
		want   error
	}{
		{"no film", func(s *Shot) { s.Film = nil }, sensito.ErrInput},
		{"no camera", func(s *Shot) { s.Camera = nil }, sensito.ErrInput},
		{"two lights", func(s *Shot) { s.Scene.Luminance, s.Scene.Illuminance = 1, 1 }, sensito.ErrInput},
		{"negative luminance", func(s *Shot) { s.Scene.Luminance = -1 }, sensito.ErrInput},
		{"no light", func(s *Shot) { s.Scene = Scene{Light: s.Scene.Light} }, sensito.ErrInput},
		{"two kinds of light", func(s *Shot) { s.Scene.Luminance = 100 }, sensito.ErrInput},
		{"NaN reading", func(s *Shot) { s.Scene = MeteredScene(exposure.EV100(math.NaN()), spectral.Light{}) }, sensito.ErrInput},
		{"infinite reading", func(s *Shot) { s.Scene = MeteredScene(exposure.EV100(inf), spectral.Light{}) }, sensito.ErrInput},
		{"K out of range", func(s *Shot) { s.Scene = Scene{Luminance: 100, Reflected: exposure.ReflectedMeter{K: 20}} }, sensito.ErrRange},
		{"NaN index", func(s *Shot) { s.Index = math.NaN() }, sensito.ErrInput},
		{"negative index", func(s *Shot) { s.Index = -400 }, sensito.ErrInput},
		{"factor below 1", func(s *Shot) { s.Factor = .5 }, sensito.ErrInput},
		{"NaN factor", func(s *Shot) { s.Factor = math.NaN() }, sensito.ErrInput},
		{"a filter in no light", func(s *Shot) { s.Filter = orange }, sensito.ErrInput},
		{"a film without sensitivity", func(s *Shot) {
			s.Film, s.Process, s.Index, s.Filter, s.Scene.Light = lawFilm(nil), "", 100, orange, spectral.D55.Light()
		}, ErrMissing},
		{"a film without an index", func(s *Shot) { s.Film, s.Process = lawFilm(nil), "" }, ErrMissing},
		{"which process", func(s *Shot) { s.Process = "" }, ErrUnknown},
		{"no such aperture", func(s *Shot) { s.Aperture = 7 }, camera.ErrReach},
		{"no such time", func(s *Shot) { s.Aperture, s.Time = 0, time.Second/70 }, camera.ErrReach},
		{"negative time", func(s *Shot) { s.Time = -1 }, sensito.ErrInput},
		{"too dark", func(s *Shot) { s.Scene = MeteredScene(-7, s.Scene.Light) }, camera.ErrReach},
		{"too dark for the time", func(s *Shot) { s.Aperture, s.Time, s.Scene = 0, time.Second/4000, MeteredScene(2, s.Scene.Light) }, camera.ErrReach},
		{"a subject upside down", func(s *Shot) { s.Shadow, s.Highlight = 3, -4 }, sensito.ErrInput},
		{"NaN subject", func(s *Shot) { s.Shadow = sensito.Stops(math.NaN()) }, sensito.ErrInput},
	} {
		s := ok
		c.change(&s)
		if p, err := PlanExposure(s); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, %v; want an error that wraps %v", c.name, p, err, c.want)
		}
	}
}

// The factor is that of the filter on this film in this light.
func TestPlanFilter(t *testing.T) {
	film, light, orange := must(LoadFilm("Ceunant")), spectral.D55.Light(), must(filters.Find("21")).Filter
	p := must(PlanExposure(Shot{Scene: MeteredScene(13, light), Film: film, Filter: orange, Aperture: 8, Camera: thirdsCamera(false)}))
	want := must(filters.Factor(must(film.Sensitivity()), light, orange))
	if p.Factor != want || p.Filter != orange.Name() || math.Abs(float64(p.Steps[2].Stops)-math.Log2(want)) > 1e-12 {
		t.Errorf("filter %s, factor %v, step %v; want factor %v", p.Filter, p.Factor, p.Steps[2].Stops, want)
	}
}

func TestPlanAsData(t *testing.T) {
	p := must(PlanExposure(Shot{Scene: MeteredScene(2, spectral.Light{}), Film: must(LoadFilm("Swift")), Process: "Tarren", Factor: 4, Aperture: 8, Camera: thirdsCamera(false)}))
	b, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Set struct {
			Aperture, Time string
			TimeS          float64 `json:"time_s"`
		}
		Residue  float64 `json:"residue_stops"`
		Steps    []PlanStep
		Warnings []PlanWarning
		Contrast float64 `json:"contrast_factor"`
		Change   float64 `json:"development_change_percent"`
		Caution  string  `json:"developer_caution"`
	}
	if err := json.Unmarshal(b, &got); err != nil {
		t.Fatal(err)
	}
	if got.Set.Aperture != "f/8" || got.Set.Time != "10s" || got.Set.TimeS != 10 || len(got.Steps) != len(p.Steps) || len(got.Warnings) != len(p.Warnings) ||
		got.Residue != float64(p.Residue) || !(got.Contrast > 1.1) || !(got.Change < 0) || got.Caution != devtime.Caution {
		t.Errorf("%s", b)
	}
	text := p.String()
	for _, s := range p.Steps {
		if !strings.Contains(text, s.Text) {
			t.Errorf("%q is not said", s.Text)
		}
	}
	for _, w := range p.Warnings {
		if !strings.Contains(text, w.Text) {
			t.Errorf("%q is not said", w.Text)
		}
	}
	if !strings.Contains(text, devtime.Caution) {
		t.Error("development without the caution")
	}
}

func TestPlansInParallel(t *testing.T) {
	cam := thirdsCamera(true)
	var wg sync.WaitGroup
	for i := range 16 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for _, name := range Films() {
				film, err := LoadFilm(name)
				if err != nil {
					t.Error(err)
					return
				}
				for _, process := range film.Processes() {
					p, err := PlanExposure(Shot{Scene: MeteredScene(exposure.EV100(4+i%8), spectral.D65.Light()), Film: film, Process: process, Filter: must(filters.Find("8")).Filter, Camera: cam})
					if err != nil || len(p.String()) == 0 {
						t.Errorf("%s: %v", name, err)
					}
				}
			}
		}()
	}
	wg.Wait()
}

// benchShot is a frame at dusk behind a filter, from a tripod: all steps but grey filters, and
// warnings.
func benchShot(filter filters.Filter) Shot {
	return Shot{Scene: MeteredScene(2, spectral.D55.Light()), Film: must(LoadFilm("Swift")), Process: "Tarren", Filter: filter, Aperture: 8, Camera: thirdsCamera(true)}
}

func benchmarkPlans(b *testing.B, shots ...Shot) {
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if _, err := PlanExposure(shots[i%len(shots)]); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPlanExposure(b *testing.B) {
	benchmarkPlans(b, benchShot(must(filters.Find("21")).Filter))
}

func BenchmarkPlanExposureWithoutFilter(b *testing.B) { benchmarkPlans(b, benchShot(filters.Filter{})) }

// Every filter is one that the film has forgotten.
func BenchmarkPlanExposureNewFilter(b *testing.B) { benchmarkPlans(b, newFilterShots()...) }

// newFilterShots are shots in turn each of which wants a factor that the film does not keep.
func newFilterShots() []Shot {
	var shots []Shot
	for range keptFactors + 1 {
		filter := must(filters.Find("21")).Filter
		shots = append(shots, benchShot(must(filters.New("21", must(filter.Spectra()[0].Scale(1))))))
	}
	return shots
}
