package plan

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

// Invented cameras.
const (
	to500   = `{"name": "to 1/500 (invented)", "times": "full", "fastest": "1/500", "longest": "1s", "apertures": "half", "widest": "f/2", "smallest": "f/16"}`
	to12000 = `{"name": "to 1/12000 (invented)", "times": "third", "fastest": "1/12000", "longest": "30s", "apertures": "third", "widest": "f/1.4", "smallest": "f/16"}`
	coarse  = `{"name": "full stops (invented)", "times": "full", "fastest": "1/500", "longest": "1s", "apertures": "full", "widest": "f/2", "smallest": "f/16"}`
	byDial  = `{"name": "sets the time (invented)", "times": "full", "fastest": "1/2000", "longest": "8s", "apertures": "full", "widest": "f/2", "smallest": "f/16", "priority": "aperture"}`
	byTime  = `{"name": "sets the aperture (invented)", "times": "full", "fastest": "1/2000", "longest": "8s", "apertures": "full", "widest": "f/2", "smallest": "f/22", "priority": "shutter"}`
)

// made is a plan without the search for the strips, which takes longest.
func made(t testing.TB, text string, w Wish) *designer {
	t.Helper()
	w.Camera = described(t, text)
	d, err := newDesigner(w)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// What the marks stand for, by hand: f/1 and 1 s are 0; each full stop is one; third and
// half stops are parts. Encyclopaedia articles "f-number" and "Shutter speed".
var byHand = map[string]float64{
	"f/1.4": 1, "f/2": 2, "f/2.4": 2.5, "f/2.8": 3, "f/3.3": 3.5, "f/4": 4, "f/4.8": 4.5, "f/5.6": 5, "f/6.7": 5.5, "f/8": 6, "f/9.5": 6.5, "f/11": 7, "f/13": 7.5, "f/16": 8, "f/5": 4 + 2./3,
	"1s": 0, "1/2": 1, "1/4": 2, "1/8": 3, "1/15": 4, "1/30": 5, "1/60": 6, "1/125": 7, "1/250": 8, "1/500": 9, "1/1000": 10, "1/2000": 11, "1/4000": 12, "1/8000": 13,
	"1/50": 5 + 2./3, "1/80": 6 + 1./3, "1/100": 6 + 2./3, "1/160": 7 + 1./3, "1/200": 7 + 2./3, "1/320": 8 + 1./3, "1/400": 8 + 2./3, "1/640": 9 + 1./3, "1/800": 9 + 2./3,
	"1/1250": 10 + 1./3, "1/1600": 10 + 2./3, "1/2500": 11 + 1./3, "1/3200": 11 + 2./3, "1/5000": 12 + 1./3, "1/6400": 12 + 2./3, "1/10": 3 + 1./3, "1/13": 3 + 2./3,
	"1/20": 4 + 1./3, "1/25": 4 + 2./3, "1/40": 5 + 1./3, "1/3": 1 + 2./3, "1/5": 2 + 1./3, "1/6": 2 + 2./3, "0.3s": 1 + 2./3, "0.4s": 1 + 1./3,
}

// Brackets of two cameras in the sun and in a dark mill, by hand.
//
// The sun, EV 15. EI 400 asks for Ev = 15 + log2(400/100) = 17. Two stops and a half to
// either side, for a guess sure to one stop, are Ev 14.5 to 19.5. The camera to 1/500 ends
// at f/16 (Av 8) and 1/500 (Tv 9), Ev 17: 2.5 stops are missing. ND 0.6 is 0.6/0.30103 =
// 1.993 stops, so that it ends at Ev 18.993, half a stop short, which is let pass; ND 0.3
// would be 1.5 stops short. EI 1600 asks for Ev 19, 16.5 to 21.5: to 1/12000 (Tv log2 12000 =
// 13.55) at f/16 it is Ev 21.55, so that no filter is needed.
//
// The mill, EV 4. EI 400 asks for Ev 6, 3.5 to 8.5; EI 1600 for Ev 8, 5.5 to 10.5: f/4 (Av 4)
// with Tv 1.5 to 6.5, or any other aperture with as many times. No filter.
func TestBracketsByHand(t *testing.T) {
	for _, c := range []struct {
		name, camera string
		index        float64
		light        exposure.EV100
		neutral      float64
		lo, hi       float64 // exposure values, with the filter
		distinct     int
	}{
		// Ev 14.5 to 19.5 less 1.993 are 12.507 to 17.507: half stops 13, 13.5 … 17.
		{"1/500 in the sun", to500, 400, 15, 0.6, 14.993, 18.993, 9},
		// Half stops from 3.5 to 8.5.
		{"1/500 in the mill", to500, 400, 4, 0, 3.5, 8.5, 11},
		// Thirds from 16.667 to 21, and 21.333 with 1/10000, which there is not; 1/12000 at
		// f/16 is 21.55, outside 21.5. At f/16 from 1/400 (16.667) to 1/8000 (21): 14.
		{"1/12000 in the sun", to12000, 1600, 15, 0, 16 + 2./3, 21, 14},
		// Thirds from 5.667 to 10.333.
		{"1/12000 in the mill", to12000, 1600, 4, 0, 5 + 2./3, 10 + 1./3, 15},
	} {
		s := made(t, c.camera, Wish{Index: c.index, Light: c.light}).bracket
		first, last := s.settings[0].ev(), s.settings[len(s.settings)-1].ev()
		if math.Abs(float64(s.neutral)-c.neutral) > 1e-9 || math.Abs(first-c.lo) > 0.001 || math.Abs(last-c.hi) > 0.001 || distinct(s.settings) != c.distinct {
			t.Errorf("%s, by %s: ND %v, Ev %.3f to %.3f, %d exposures; want ND %v, %.3f to %.3f, %d", c.name, s.how, float64(s.neutral), first, last,
				distinct(s.settings), c.neutral, c.lo, c.hi, c.distinct)
		}
		for _, x := range s.settings {
			av, ok1 := byHand[x.Aperture.String()]
			tv, ok2 := byHand[x.Time.String()]
			if !ok1 || !ok2 {
				t.Errorf("%s: %v is not in the table", c.name, x)
			}
			// EI = 100 2^(Av + Tv + ND/0.30103 - EV)
			want := 100 * math.Exp2(av+tv+c.neutral/0.30103-float64(c.light))
			if got := x.exposedAs(c.light); math.Abs(got/want-1) > 1e-4 {
				t.Errorf("%s: %v is exposed as EI %v, want %v", c.name, x, got, want)
			}
		}
	}
	// Digit by digit: f/16 and 1/250 are Ev 16; at EV 12 that is 2^4 times EI 100.
	if got := (Setting{Aperture: camera.ApertureMark{Number: 16, Av: 8}, Time: camera.TimeMark{Time: 4 * time.Millisecond, Tv: 8}}).exposedAs(12); math.Abs(got-1600) > 1e-9 {
		t.Errorf("%v", got)
	}
}

// What is turned: the shutter where its marks are as fine as any, the aperture where its
// are finer, both where neither reaches alone; full stops all round make a wider bracket.
func TestWhatIsTurned(t *testing.T) {
	for _, c := range []struct {
		camera string
		w      Wish
		how    How
	}{
		{to12000, Wish{Index: 400, Light: 12}, ByShutter},
		// Half stops by the aperture from f/2.8 to f/16 at one time: Ev 13.5 to 18.5 needs ten.
		{to500, Wish{Index: 400, Light: 10, Sure: 0.5}, ByAperture},
		// From f/2 to f/16 there are six stops; seven need the shutter too.
		{to500, Wish{Index: 400, Light: 10, Sure: 1.6}, ByBoth},
		{coarse, Wish{Index: 100, Light: 12, Sure: 0.5}, ByShutter},
		{byDial, Wish{Index: 400, Light: 12}, ByDial},
		{byTime, Wish{Index: 400, Light: 12, Sure: 0.5}, ByDial},
	} {
		s := made(t, c.camera, c.w).bracket
		if s.how != c.how || distinct(s.settings) < leastDistinct || s.neutral != 0 {
			t.Errorf("%s %+v: by %s, %d exposures, ND %v; want by %s", c.camera[:40], c.w, s.how, distinct(s.settings), float64(s.neutral), c.how)
		}
		for i, x := range s.settings[1:] {
			if !(x.ev() > s.settings[i].ev()) || x.Neutral != s.settings[i].Neutral {
				t.Errorf("%v after %v", x, s.settings[i])
			}
		}
	}
}

// A camera that sets the time: the dial has printed numbers, the frame is exposed as it says,
// and the time follows. EI 400 at EV 12 is Ev 14; at f/8 that is Tv 8, 1/256 s.
func TestIndexDial(t *testing.T) {
	d := made(t, byDial, Wish{Index: 400, Light: 12})
	for _, x := range d.bracket.settings {
		want := 100 * math.Exp2(float64(x.Aperture.Av)) / (x.Dial * math.Exp2(12))
		if got := x.Time.Time.Seconds(); math.Abs(got/want-1) > 1e-5 || math.Abs(x.exposedAs(12)/x.Dial-1) > 1e-9 {
			t.Errorf("%v: %v s, exposed as %v; want %v s", x, got, x.exposedAs(12), want)
		}
		if v := printed(x.Dial); v != x.Dial {
			t.Errorf("%v is not on the dial", x.Dial)
		}
	}
	// The aperture is the camera's: what it is set to is not a mark.
	d = made(t, byTime, Wish{Index: 400, Light: 12, Sure: 0.5})
	for _, x := range d.bracket.settings {
		if x.Time != d.bracket.settings[0].Time || math.Abs(x.exposedAs(12)/x.Dial-1) > 1e-9 {
			t.Errorf("%v", x)
		}
	}
}

var plainOnce = sync.OnceValues(func() (*Plan, error) {
	d, err := camera.Parse("camera.json", []byte(to500))
	if err != nil {
		return nil, err
	}
	return New(Wish{Camera: d, Index: 400, Light: 12, HalfWidth: 0.25, Strips: 4})
})

func plain(t testing.TB) *Plan {
	t.Helper()
	p, err := plainOnce()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A plan is what was asked for: frames within their number, the ends and unexposed frames
// there, exposures enough, never worse than the even one of as much film.
func TestPlan(t *testing.T) {
	p := plain(t)
	own, even := &p.Own, &p.Even
	s, b := own.FilmFrames()
	s2, b2 := even.FilmFrames()
	if s != s2 || b != b2 || b > 36 || len(own.Strips) != 4 || own.Unexposed < 1 || own.Distinct() < leastDistinct {
		t.Errorf("%d and %d frames, %d and %d even; %d strips, %d unexposed, %d distinct", s, b, s2, b2, len(own.Strips), own.Unexposed, own.Distinct())
	}
	e, f := own.Expected, even.Expected
	if !(e.IndexHalfWidth <= 0.25) || !(e.IndexHalfWidth < f.IndexHalfWidth) || !(e.Tested < e.Moved) || !(e.Efficiency > f.Efficiency && e.Efficiency <= 1) {
		t.Errorf("%+v\n%+v", e, f)
	}
	// The design says by how much less film: half-widths of the bracket go with the root of
	// the efficiencies, film by film; their medians nearly so.
	if r := float64(e.Tested/f.Tested) / math.Sqrt(f.Efficiency/e.Efficiency); math.Abs(r-1) > 0.06 {
		t.Errorf("half-widths %v and %v, efficiencies %v and %v", e.Tested, f.Tested, e.Efficiency, f.Efficiency)
	}
	for _, s := range own.Strips {
		if len(s.Stops)+s.Unexposed < 9 || s.Unexposed < 1 {
			t.Errorf("%+v", s)
		}
	}
	if p.StripsFirst == 0 || p.StripsFirst > b {
		t.Errorf("%d frames if the strips come first, %d otherwise", p.StripsFirst, b)
	}
	// More film is never worse, a surer guess neither.
	more := p.Wish
	more.Frames, more.HalfWidth = 36, 0.02
	q, err := New(more)
	if err != nil {
		t.Fatal(err)
	}
	if !(q.Own.Expected.Tested < e.Tested) || len(q.Notes) == 0 || !strings.Contains(q.Notes[0], "not ± 0.02") {
		t.Errorf("%v with all the film, %v without; %q", q.Own.Expected, e, q.Notes[0])
	}
}

// The files are read by package roll as soon as densities are in them, and are not before.
func TestFiles(t *testing.T) {
	said := held.New(t)
	p := plain(t)
	files, err := p.Files(Names{"Ffestin Pan (invented)", "Bath (invented)", "overcast, EV 12"})
	if err != nil {
		t.Fatal(err)
	}
	fsys := fstest.MapFS{}
	for name, content := range files {
		fsys[name] = &fstest.MapFile{Data: content}
	}
	if _, err := roll.Read(fsys); !said.Refused("", err) || !strings.Contains(err.Error(), "strips.csv:2") {
		t.Errorf("empty cells are read: %v", err)
	}
	if r, err := roll.ReadPart(fsys); err != nil || len(r.Strips)+len(r.Bracket) != 0 || r.MeteredAt() != 400 {
		t.Errorf("%v, %v", r, err)
	}
	fill(fsys, "strips.csv")
	r, err := roll.ReadPart(fsys)
	if err != nil || len(r.Strips) != 4 || len(r.Bracket) != 0 {
		t.Fatal(r, err)
	}
	fill(fsys, "bracket.csv")
	if r, err = roll.Read(fsys); err != nil {
		t.Fatal(err)
	}
	if r.BracketDevelopment != 10*time.Minute || len(r.Strips[0].Unexposed) != Places*p.Own.Strips[0].Unexposed || r.Relative {
		t.Errorf("%+v", r)
	}
	rec, err := r.Characterise(roll.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range rec.Warnings {
		if strings.Contains(w, "was not read") {
			t.Error(w)
		}
	}
	if !json.Valid(files["readings.json"]) {
		t.Error("readings.json is no JSON")
	}
	if _, err := p.Files(Names{"a\nb", "c", "d"}); !said.Is("", err, ErrWish) {
		t.Error(err)
	}
}

// fill puts a density into the empty cells of a table.
func fill(fsys fstest.MapFS, name string) {
	lines := bytes.Split(bytes.TrimSpace(fsys[name].Data), []byte("\n"))
	for i, l := range lines[1:] {
		cells := strings.SplitN(string(l), ",", 5)
		cells[3] = fmt.Sprintf("%.3f", 0.3+0.02*float64(i%13))
		lines[i+1] = []byte(strings.Join(cells, ","))
	}
	fsys[name] = &fstest.MapFile{Data: append(bytes.Join(lines, []byte("\n")), '\n')}
}

// What is printed and written holds what is promised.
func TestPlanJSON(t *testing.T) {
	p := plain(t)
	text, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	var j struct {
		Strips []struct {
			Strip        string
			DevelopmentS float64 `json:"development_s"`
			Stops        []float64
		}
		Frames []struct {
			Frame     int
			EI        float64
			ExposedAs float64 `json:"exposed_as"`
			TimeS     float64 `json:"time_s"`
			Aperture  exposure.FNumber
			ND        float64
		}
		Expected, Even struct {
			Index       float64 `json:"index_half_width_stops"`
			Development float64 `json:"development_half_width_percent"`
			Efficiency  float64
		}
	}
	if err := json.Unmarshal(text, &j); err != nil {
		t.Fatal(err)
	}
	if len(j.Strips) != 4 || len(j.Strips[0].Stops) == 0 || !(j.Strips[0].DevelopmentS > 60) || len(j.Frames) != len(p.Own.Frames) ||
		!(j.Expected.Index > 0 && j.Even.Index > j.Expected.Index) || !(j.Expected.Development > 1) || !(j.Even.Efficiency > 0 && j.Even.Efficiency < j.Expected.Efficiency) {
		t.Errorf("%s", text)
	}
	for i, f := range j.Frames {
		g := p.Own.Frames[i]
		if f.Frame != i+1 || f.TimeS != g.Time.Time.Seconds() || f.Aperture != g.Aperture.Number || math.Abs(f.ExposedAs-g.ExposedAs) > 1e-9 || f.EI != g.Index {
			t.Errorf("%+v, %+v", f, g)
		}
	}
	list := p.String()
	for _, want := range []string{"Bracket\n", "Strips\n", "lens covered", "Even plan", "to 1/500 (invented)"} {
		if !strings.Contains(list, want) {
			t.Errorf("the list has no %q:\n%s", want, list)
		}
	}
	for _, l := range strings.Split(list, "\n") {
		if len([]rune(l)) > 90 {
			t.Errorf("a line of %d characters: %s", len([]rune(l)), l)
		}
	}
}

func TestRefuses(t *testing.T) {
	said := held.New(t)
	good := Wish{Index: 400, Light: 12}
	for name, spoil := range map[string]func(*Wish){
		"no index": func(w *Wish) { w.Index = 0 }, "index NaN": func(w *Wish) { w.Index = math.NaN() }, "sure": func(w *Wish) { w.Sure = -1 },
		"light": func(w *Wish) { w.Light = exposure.EV100(math.Inf(1)) }, "half-width": func(w *Wish) { w.HalfWidth = 9 },
		"percent": func(w *Wish) { w.DevelopmentHalfWidth = 2 }, "densities": func(w *Wish) { w.DensitySD = 1 }, "scatter": func(w *Wish) { w.Scatter = -1 },
		"frames": func(w *Wish) { w.Frames = 3 }, "many frames": func(w *Wish) { w.Frames = 1000 }, "strips": func(w *Wish) { w.Strips = 2 },
		"development": func(w *Wish) { w.Development = time.Second }, "sure of it": func(w *Wish) { w.DevelopmentSure = 5 },
		"target": func(w *Wish) { w.TargetAverageGradient = 9 }, "shadow": func(w *Wish) { w.ShadowStopsBelowMeter = 20 },
		"camera": func(w *Wish) { w.Camera = &camera.Described{} },
	} {
		w := good
		spoil(&w)
		if _, err := New(w); !said.Is(name, err, ErrWish) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Repeats(math.NaN(), 1, true); !said.Is("", err, ErrWish) {
		t.Error(err)
	}
	// One aperture and two times make no bracket: the error is about the camera.
	w := good
	w.Camera = described(t, `{"times": ["1/60", "1/125"], "bulb": false, "apertures": ["f/11"]}`)
	if _, err := New(w); !said.Is("", err, ErrWish) || !said.Is("", err, camera.ErrReach) || !strings.Contains(err.Error(), "distinct exposures") {
		t.Error(err)
	}
}
