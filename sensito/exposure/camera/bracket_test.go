package camera_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	. "example.org/actinic/sensito/exposure/camera"
)

// plainCamera is invented: a scale each, to 1/1000 and 1 s.
func plainCamera(t testing.TB, steps Steps, byNumber bool) *Camera {
	t.Helper()
	as, err := ApertureMarks(steps, 2, 22)
	if err != nil {
		t.Fatal(err)
	}
	ts, err := TimeMarks(steps, time.Second/1000, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	c, err := New(Scales{Apertures: as, Times: ts, ByNumber: byNumber})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func ei(v float64) sensito.Speed { return sensito.Speed{Value: v} }

// A very fast film outdoors at a fixed aperture runs out of fastest time: common
// practice, no source. In full sun, EV 15, EI 3200 at f/8 asks for 1/16384 s
// (computed): four stops beyond 1/1000, so ND 1.2.
func TestFastFilmOutdoors(t *testing.T) {
	c := plainCamera(t, ThirdStops, false)
	p, err := PlanBracket(c, Bracket{From: ei(50), To: ei(6400), Aperture: 8, Places: []Place{{Name: "tips", Light: 15}}})
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Frames) != 22 {
		t.Fatalf("%d frames from EI 50 to EI 6400, want 22", len(p.Frames))
	}
	want := map[float64]struct {
		time   string // seconds, computed: 64·100/(S·2^15)
		mark   string
		filter sensito.Density
	}{
		50:   {"0.003906", "1/250", 0},
		160:  {"0.001221", "1/800", 0},
		200:  {"0.000977", "1/1000", 0},
		250:  {"0.000781", "1/640", 0.3},
		400:  {"0.000488", "1/1000", 0.3},
		500:  {"0.000391", "1/640", 0.6},
		3200: {"0.000061", "1/1000", 1.2},
		6400: {"0.000031", "1/1000", 1.5},
	}
	for _, f := range p.Frames {
		if fast := f.Index.Value > 210; fast != (f.Beyond > 0) || fast != (f.Filter > 0) || !f.Reached {
			t.Errorf("%v: beyond %v, filter %v, reached %v", f.Index, f.Beyond, f.Filter, f.Reached)
		}
		w, ok := want[f.Index.Value]
		if !ok {
			continue
		}
		if got := fmt.Sprintf("%.6f", f.Wanted.Seconds()); got != w.time {
			t.Errorf("%v wants %s s, want %s", f.Index, got, w.time)
		}
		if f.Mark.String() != w.mark || math.Abs(float64(f.Filter-w.filter)) > 1e-12 {
			t.Errorf("%v: set %v with %s, want %s with %s", f.Index, f.Mark, NeutralName(f.Filter), w.mark, NeutralName(w.filter))
		}
	}
	if d, ok := p.FilterFor("tips"); !ok || math.Abs(float64(d)-1.5) > 1e-12 {
		t.Errorf("one filter for all: %v, %v, want ND 1.5", NeutralName(d), ok)
	}
	text := p.String()
	for _, say := range []string{"frames 8 to 22 (EI 250 to EI 6400)", "ND 1.5 over the whole series", "never look at the sun"} {
		if !strings.Contains(text, say) {
			t.Errorf("the plan does not say %q:\n%s", say, text)
		}
	}
}

// Indoors it is the slow indexes that run out, and no filter helps.
func TestSlowFilmIndoors(t *testing.T) {
	c := plainCamera(t, ThirdStops, false)
	p, err := PlanBracket(c, Bracket{From: ei(6400), To: ei(50), Thirds: 3, Aperture: 11, Places: []Place{{"mill", 4, true}}})
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range p.Frames {
		// t = 128·100/(S·16): 1.07 s at EI 750
		if slow := f.Index.Value < 700; slow == f.Reached || slow != (f.Beyond < 0) || f.Filter != 0 {
			t.Errorf("%v: reached %v, beyond %v, filter %v", f.Index, f.Reached, f.Beyond, f.Filter)
		}
		if i > 0 && !(f.Wanted > p.Frames[i-1].Wanted) {
			t.Errorf("%v wants %v, not more than the index before", f.Index, f.Wanted)
		}
		if !f.Reached && f.Exposed != 0 {
			t.Errorf("%v is not exposed and is called EI %v", f.Index, f.Exposed)
		}
	}
	if _, ok := p.FilterFor("mill"); ok {
		t.Error("a filter is said to make long times shorter")
	}
	for _, say := range []string{"longer than the longest time 1s, by up to 4.0 stops", "write down the light", "outside 1/1000 to 1/2"} {
		if !strings.Contains(p.String(), say) {
			t.Errorf("the plan does not say %q:\n%s", say, p)
		}
	}
	if strings.Contains(p.String(), "Outdoors") {
		t.Errorf("advice for outdoors in a plan for indoors:\n%s", p)
	}
}

func TestTooManyFrames(t *testing.T) {
	said := held.New(t)
	c := plainCamera(t, ThirdStops, false)
	b := Bracket{From: ei(100), To: ei(3200), Aperture: 8, Frames: 12, Places: []Place{{"tips", 13, false}, {"mill", 7, true}}}
	_, err := PlanBracket(c, b)
	if !said.Is("", err, ErrFrames) || !strings.Contains(err.Error(), "need 32 frames, there are 12") || !strings.Contains(err.Error(), "steps of 3 thirds") {
		t.Errorf("got %v, want ErrFrames with the numbers and the step that fits", err)
	}
	b.Widen = true
	p, err := PlanBracket(c, b)
	if err != nil {
		t.Fatal(err)
	}
	if p.Thirds != 3 || len(p.Frames) != 12 {
		t.Errorf("widened to %d thirds and %d frames, want 3 and 12", p.Thirds, len(p.Frames))
	}
	if a, z := p.Frames[0].Index.Value, p.Frames[5].Index.Value; a != 100 || z != 3200 {
		t.Errorf("from EI %v to EI %v, want 100 to 3200", a, z)
	}
	if !strings.Contains(p.String(), "widened from a third of a stop to one stop") {
		t.Errorf("the plan does not say that it was widened:\n%s", p)
	}
	b.Frames = 11 // the last step is shorter: 100 to 3200 in 4, 4, 4, 3 thirds
	p, err = PlanBracket(c, b)
	if err != nil || p.Thirds != 4 || len(p.Frames) != 10 || p.Frames[4].Index.Value != 3200 || p.Frames[3].Index.Value != 1600 {
		t.Errorf("got %+v, %v", p, err)
	}
	b.Frames = 3
	if _, err := PlanBracket(c, b); !said.Is("", err, ErrFrames) {
		t.Errorf("two places on three frames: got %v, want ErrFrames", err)
	}
	b.Frames, b.From = 2, b.To // one index each
	if p, err := PlanBracket(c, b); err != nil || len(p.Frames) != 2 {
		t.Errorf("one index at two places: got %v, %v", p, err)
	}
}

// A dial in full stops cannot tell three indexes in third stops apart.
func TestSameMarkTwice(t *testing.T) {
	c := plainCamera(t, FullStops, false)
	p, err := PlanBracket(c, Bracket{From: ei(100), To: ei(800), Aperture: 8, Places: []Place{{"mill", 7, true}}})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(p.String(), "only 4 different exposures of 10 frames") {
		t.Errorf("the plan does not say that frames are alike:\n%s", p)
	}
}

func TestBracketRefuses(t *testing.T) {
	c := plainCamera(t, ThirdStops, false)
	good := func() Bracket {
		return Bracket{From: ei(100), To: ei(400), Aperture: 8, Places: []Place{{"tips", 13, false}}}
	}
	with := func(change func(*Bracket)) error {
		b := good()
		change(&b)
		return second(PlanBracket(c, b))
	}
	if err := with(func(*Bracket) {}); err != nil {
		t.Fatal(err)
	}
	nan, inf := math.NaN(), math.Inf(1)
	for name, err := range map[string]error{
		"no camera":       second(PlanBracket(nil, good())),
		"empty camera":    second(PlanBracket(&Camera{}, good())),
		"no place":        with(func(b *Bracket) { b.Places = nil }),
		"light NaN":       with(func(b *Bracket) { b.Places[0].Light = exposure.EV100(nan) }),
		"light Inf":       with(func(b *Bracket) { b.Places[0].Light = exposure.EV100(inf) }),
		"light beyond":    with(func(b *Bracket) { b.Places[0].Light = 300 }),
		"from 0":          with(func(b *Bracket) { b.From = ei(0) }),
		"from NaN":        with(func(b *Bracket) { b.From = ei(nan) }),
		"to negative":     with(func(b *Bracket) { b.To = ei(-100) }),
		"to Inf":          with(func(b *Bracket) { b.To = ei(inf) }),
		"to off scale":    with(func(b *Bracket) { b.To = ei(1e6) }),
		"negative frames": with(func(b *Bracket) { b.Frames = -1 }),
		"negative step":   with(func(b *Bracket) { b.Thirds = -1 }),
	} {
		if !errors.Is(err, sensito.ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
	for name, err := range map[string]error{
		"aperture 0":        with(func(b *Bracket) { b.Aperture = 0 }),
		"aperture NaN":      with(func(b *Bracket) { b.Aperture = exposure.FNumber(nan) }),
		"not a mark":        with(func(b *Bracket) { b.Aperture = 6.7 }),
		"wider than widest": with(func(b *Bracket) { b.Aperture = 1.4 }),
	} {
		if !errors.Is(err, ErrReach) {
			t.Errorf("%s: got %v, want ErrReach", name, err)
		}
	}
	// A step of a million thirds takes both ends.
	b := good()
	b.Thirds = 1 << 20
	if p, err := PlanBracket(c, b); err != nil || len(p.Frames) != 2 {
		t.Errorf("a huge step: got %v, %v, want the two ends", p, err)
	}
	// A camera of one time: only ND filters in whole stops, and what they do
	// not lead to is said.
	one, err := New(Scales{Apertures: c.Apertures(), Times: []TimeMark{TimeAt(time.Second / 50)}})
	if err != nil {
		t.Fatal(err)
	}
	p, err := PlanBracket(one, good())
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(p.String(), "no filter leads to a mark") {
		t.Errorf("a camera of one time reaches all of it:\n%s", p)
	}
}

// The laws of a plan, on brackets drawn at random.
func TestBracketLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 1))
	for range 300 {
		steps := Steps(rng.IntN(3))
		half := sensito.Stops(0.5 / float64(int(steps)+1))
		c := plainCamera(t, steps, false)
		as := c.Apertures()
		k := rng.IntN(len(as) - 1)
		light := exposure.EV100(4 + 12*rng.Float64())
		from, _ := sensito.ScaleAt(rng.IntN(40))
		to, _ := sensito.ScaleAt(rng.IntN(40))
		b := Bracket{From: ei(from.Number), To: ei(to.Number), Thirds: rng.IntN(4), Aperture: as[k+1].Number, Places: []Place{{"tips", light, false}}}
		p, err := PlanBracket(c, b)
		if err != nil {
			t.Fatal(err)
		}
		b.Places = []Place{{"tips", light + 0.5, false}}
		brighter, err := PlanBracket(c, b)
		if err != nil {
			t.Fatal(err)
		}
		b.Places, b.Aperture = []Place{{"tips", light, false}}, as[k].Number
		wider, err := PlanBracket(c, b)
		if err != nil {
			t.Fatal(err)
		}
		if p.Frames[0].Index != b.From || p.Frames[len(p.Frames)-1].Index != b.To {
			t.Fatalf("from %v to %v, asked %v to %v", p.Frames[0].Index, p.Frames[len(p.Frames)-1].Index, b.From, b.To)
		}
		for i, f := range p.Frames {
			// t = 100 N²/(S 2^EV), N by position
			n := float64(p.Aperture.Av.FNumber())
			want := 100 * n * n / (f.Index.Value * math.Exp2(float64(light)))
			if math.Abs(f.Wanted.Seconds()-want) > 1e-9+1e-12*want {
				t.Fatalf("frame %d wants %v, formula %v s", f.Number, f.Wanted, want)
			}
			if !(brighter.Frames[i].Wanted < f.Wanted) {
				t.Fatalf("more light lengthens %v to %v", f.Wanted, brighter.Frames[i].Wanted)
			}
			if !(wider.Frames[i].Wanted < f.Wanted) {
				t.Fatalf("a wider aperture lengthens %v to %v", f.Wanted, wider.Frames[i].Wanted)
			}
			if g := wider.Frames[i]; f.Reached && g.Reached && f.Filter == g.Filter && g.Mark.Time > f.Mark.Time {
				t.Fatalf("a wider aperture sets %v after %v", g.Mark, f.Mark)
			}
			if !f.Reached {
				if !(f.Beyond < 0) || f.Filter != 0 {
					t.Fatalf("frame not reached with filters at hand: %+v", f)
				}
				continue
			}
			if math.Abs(float64(f.Residue)) > float64(half)+1e-5 {
				t.Fatalf("residue %v on a scale of %v", f.Residue, steps)
			}
			// What reaches the film: t 10^-D at the mark, against the time wanted.
			given := math.Exp2(-float64(f.Mark.Tv)) * f.Filter.Transmittance()
			if r := sensito.StopsOf(given / want); math.Abs(float64(r-f.Residue)) > 1e-9 {
				t.Fatalf("residue %v, by the light it is %v", f.Residue, r)
			}
			if e := 100 * n * n / (given * math.Exp2(float64(light))); math.Abs(e/f.Exposed-1) > 1e-9 {
				t.Fatalf("exposed as EI %v, by the light it is %v", f.Exposed, e)
			}
			// The weakest filter: with a stop less there is no mark.
			if f.Filter > 0 {
				weaker := want * (f.Filter - 0.3).Opacity()
				if _, _, err := c.NearestTime(exposure.Tv(-math.Log2(weaker))); !errors.Is(err, ErrReach) {
					t.Fatalf("%s would do instead of %s: %v", NeutralName(f.Filter-0.3), NeutralName(f.Filter), err)
				}
			}
		}
		// One filter for the series leaves no frame out.
		if d, ok := p.FilterFor("tips"); ok {
			for _, f := range p.Frames {
				tv := exposure.Tv(-math.Log2(100 * math.Exp2(float64(p.Aperture.Av)) / (f.Index.Value * math.Exp2(float64(light)) * d.Transmittance())))
				if _, _, err := c.NearestTime(tv); err != nil {
					t.Fatalf("%s for all leaves out %v: %v", NeutralName(d), f.Index, err)
				}
			}
		}
	}
}

// From the plan to the film's index. Dials in full stops put frames up to half a
// stop from their indexes, and filters a little more; evaluated at the indexes that
// they were really exposed at, they still find the film. The film is a
// closed form and invented.
func TestExposedFindsTheFilm(t *testing.T) {
	film, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.25, Gamma: 0.65, Toe: -2.6, ToeWidth: 0.15})
	if err != nil {
		t.Fatal(err)
	}
	const luminance = 2600.0 // cd/m², invented
	light, err := exposure.ReflectedMeter{}.EV100(luminance)
	if err != nil {
		t.Fatal(err)
	}
	p, err := PlanBracket(plainCamera(t, FullStops, false), Bracket{From: ei(50), To: ei(1600), Aperture: 11, Places: []Place{{"tips", light, false}}})
	if err != nil {
		t.Fatal(err)
	}
	const below = 4 // stops
	var frames []sensito.BracketReading
	for _, f := range p.Frames {
		// What a mid tone gets is 8/S with S = K N²/(L t) by the exposure equation, with the
		// constant of MeteredExposure; the shadow four stops less.
		n := float64(p.Aperture.Av.FNumber())
		tm := math.Exp2(-float64(f.Mark.Tv)) * f.Filter.Transmittance()
		h := sensito.LogHOf(sensito.MeteredExposure * luminance * tm / (12.5 * n * n)).Add(-below)
		d, err := film.Density(h)
		if err != nil {
			t.Fatal(err)
		}
		frames = append(frames, sensito.BracketReading{Index: f.Exposed, Density: d})
	}
	got, err := sensito.FieldIndex(frames, film.BaseFog()+sensito.SpeedPointDensity, 0, sensito.Sampling{})
	if err != nil {
		t.Fatal(err)
	}
	m, err := sensito.SpeedPoint(film)
	if err != nil {
		t.Fatal(err)
	}
	want := sensito.FieldIndexAt(sensito.LogH(m), below).Value
	// Interpolation between full stops follows this toe to 0.1 %; at the indexes
	// asked for, the same frames would give EI 208 for 163.
	if math.Abs(got.Value/want-1) > 0.005 {
		t.Errorf("the frames give EI %.1f, the film has %.1f", got.Value, want)
	}
}

// By number, the same marks stand for other values, and the plan says so.
func TestBracketByNumber(t *testing.T) {
	b := Bracket{From: ei(100), To: ei(200), Aperture: 11, Places: []Place{{"mill", 10, true}}}
	p, err := PlanBracket(plainCamera(t, FullStops, true), b)
	if err != nil {
		t.Fatal(err)
	}
	// t = 121·100/(100·1024) = 0.1182 s: 1/8 gives log2(0.125/0.1182) more.
	f := p.Frames[0]
	if f.Mark.String() != "1/8" || math.Abs(float64(f.Residue)-math.Log2(0.125/(121.0/1024))) > 1e-9 {
		t.Errorf("got %v, %v", f.Mark, f.Residue)
	}
	if !strings.Contains(p.String(), "by their engraved numbers") {
		t.Errorf("the plan does not say how marks are taken:\n%s", p)
	}
}

// A fast film in a disused slate quarry: the bright tips outdoors, metered as a
// luminance, and the winding engine in its house. Place, film and camera are
// invented.
func ExamplePlanBracket() {
	apertures, err1 := ApertureMarks(ThirdStops, 2.8, 22)
	times, err2 := TimeMarks(ThirdStops, time.Second/1000, time.Second)
	camera, err3 := New(Scales{Apertures: apertures, Times: times})
	tips, err4 := exposure.ReflectedMeter{}.EV100(2600) // cd/m²
	if err := errors.Join(err1, err2, err3, err4); err != nil {
		fmt.Println(err)
		return
	}
	plan, err := PlanBracket(camera, Bracket{
		From: sensito.Speed{Value: 200}, To: sensito.Speed{Value: 3200},
		Aperture: 8,
		Places:   []Place{{Name: "tips", Light: tips}, {Name: "engine house", Light: 6, Indoors: true}},
		Frames:   12, Widen: true,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(plan)
	// Output:
	// Exposure-index bracket at f/8, one stop between indexes
	// tips: EV 14.34 at ISO 100
	// engine house: EV 6.00 at ISO 100
	// frame  place         index    wanted   set    filter  residue      exposed as
	// 1      tips          EI 200   1/650    1/640          +0.01 stops  EI 198
	// 2      tips          EI 400   1/1300   1/640  ND 0.3  +0.01 stops  EI 396
	// 3      tips          EI 800   1/2600   1/640  ND 0.6  +0.02 stops  EI 790
	// 4      tips          EI 1600  1/5200   1/640  ND 0.9  +0.02 stops  EI 1577
	// 5      tips          EI 3200  1/10400  1/640  ND 1.2  +0.02 stops  EI 3146
	// 6      engine house  EI 200   0.5s     1/2            +0.00 stops  EI 200
	// 7      engine house  EI 400   1/4      1/4            +0.00 stops  EI 400
	// 8      engine house  EI 800   1/8      1/8            +0.00 stops  EI 800
	// 9      engine house  EI 1600  1/16     1/15           +0.00 stops  EI 1600
	// 10     engine house  EI 3200  1/32     1/30           +0.00 stops  EI 3200
	// - The step is widened from a third of a stop to one stop, so that the bracket fits on 12 frames.
	// - tips: faster than the fastest time 1/1000, by up to 3.3 stops: frames 2 to 5 (EI 400 to EI 3200).
	// - tips: ND 1.2 over the whole series brings every frame in reach, without a change of filter.
	// - A filter's name is a nominal density: measure it, or test it against one frame without.
	// - A neutral-density filter for exposure does not protect the eye: never look at the sun through it.
	// - Indoors: write down the light, an index belongs to it; lamps on the mains flicker, so that times below about 1/50 differ from frame to frame.
	// - Outdoors: meter before and after the series, and repeat it if the two differ by more than a third of a stop.
	// - Marks are taken by the exact values of their positions; the largest residue is +0.02 stops (+ is more exposure).
	// - Leave one frame unexposed for base plus fog.
}
