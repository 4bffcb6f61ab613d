package camera_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	. "example.org/actinic/sensito/exposure/camera"
)

func shutter(t testing.TB, text string) time.Duration {
	t.Helper()
	d, err := exposure.ParseShutter(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func second[T any](_ T, err error) error { return err }

// The full-stop marks and their values: Exif 2.2 (JEITA CP-3451), annex C, tables
// of Av and Tv as copied in an imaging header. Two of its cells are misprinted
// there, Av 4 as 5 and Tv 4 as 1/16; the encyclopaedia articles "f-number" and
// "Shutter speed" have f/4 and 1/15.
func TestFullStopTables(t *testing.T) {
	as, err := ApertureMarks(FullStops, 1, 32)
	if err != nil {
		t.Fatal(err)
	}
	for i, n := range []exposure.FNumber{1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22, 32} {
		if i >= len(as) || as[i] != (ApertureMark{Number: n, Av: exposure.Av(i)}) {
			t.Errorf("Av %d: got %v, want %v", i, as, n)
		}
	}
	ts, err := TimeMarks(FullStops, shutter(t, "1/2000"), 30*time.Second)
	if err != nil {
		t.Fatal(err)
	}
	for i, text := range []string{"30s", "15s", "8s", "4s", "2s", "1s", "1/2", "1/4", "1/8", "1/15", "1/30", "1/60", "1/125", "1/250", "1/500", "1/1000", "1/2000"} {
		m := ts[len(ts)-1-i]
		if m.String() != text || m.Tv != exposure.Tv(i-5) {
			t.Errorf("Tv %d: got %v at Tv %v, want %s", i-5, m, float64(m.Tv), text)
		}
	}
}

// How far the number of a mark lies from its value, in stops. The marks are those
// of the encyclopaedia articles "f-number" and "Shutter speed" and a table of half
// and third stops; the differences were computed independently. Every mark not
// listed lies closer than the last one listed for its scale.
func TestMarksByNumber(t *testing.T) {
	type off struct {
		mark  string
		value float64
		error float64
	}
	tests := []struct {
		name  string
		steps Steps
		times bool
		rows  []off
	}{
		{"full f", FullStops, false, []off{{"f/11", 7, -0.0811}, {"f/22", 9, -0.0811}, {"f/0.7", -1, -0.0291}, {"f/1.4", 1, -0.0291}, {"f/2.8", 3, -0.0291}, {"f/5.6", 5, -0.0291}, {"f/45", 11, -0.0163}, {"f/90", 13, -0.0163}}},
		{"half f", HalfStops, false, []off{{"f/0.8", -0.5, -0.144}, {"f/13", 7.5, -0.099}, {"f/11", 7, -0.081}, {"f/22", 9, -0.081}, {"f/3.3", 3.5, -0.055}, {"f/1.7", 1.5, 0.031}}},
		{"third f", ThirdStops, false, []off{{"f/1.2", 0.667, -0.141}, {"f/11", 7, -0.081}, {"f/22", 9, -0.081}, {"f/13", 7.333, 0.068}, {"f/1.1", 0.333, -0.058}, {"f/2.2", 2.333, -0.058}, {"f/3.5", 3.667, -0.052}, {"f/14", 7.667, -0.052}}},
		{"full t", FullStops, true, []off{{"30s", -5, 0.0931}, {"15s", -4, 0.0931}, {"1/15", 4, -0.0931}, {"1/30", 5, -0.0931}, {"1/60", 6, -0.0931}, {"1/125", 7, -0.0342}, {"1/250", 8, -0.0342}, {"1/500", 9, -0.0342}, {"1/1000", 10, -0.0342}, {"1/2000", 11, -0.0342}, {"1/4000", 12, -0.0342}, {"1/8000", 13, -0.0342}}},
		{"half t", HalfStops, true, []off{{"0.3s", 1.5, 0.237}, {"1/10", 3.5, -0.178}, {"1/20", 4.5, -0.178}, {"1/15", 4, -0.093}, {"1/30", 5, -0.093}, {"1/60", 6, -0.093}, {"1/6", 2.5, 0.085}, {"1/750", 9.5, 0.051}}},
		{"third t", ThirdStops, true, []off{{"1/15", 4, -0.093}, {"1/30", 5, -0.093}, {"1/60", 6, -0.093}, {"1/6", 2.667, -0.082}, {"0.6s", 0.667, 0.070}, {"0.3s", 1.667, 0.070}, {"1/1250", 10.333, -0.046}, {"1/2500", 11.333, -0.046}}},
	}
	for _, tt := range tests {
		got := make(map[string]off) // the value and how far off, by mark
		if tt.times {
			// half and third stops longer than 1 s are not in the table
			longest := time.Second
			if tt.steps == FullStops {
				longest = 30 * time.Second
			}
			ms, err := TimeMarks(tt.steps, 0, longest)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range ms {
				got[m.String()] = off{m.String(), float64(m.Tv), float64(exposure.TvOf(m.Time) - m.Tv)}
			}
		} else {
			ms, err := ApertureMarks(tt.steps, 0, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range ms {
				got[m.String()] = off{m.String(), float64(m.Av), float64(m.Number.Av() - m.Av)}
			}
		}
		least := math.Inf(1)
		for _, r := range tt.rows {
			g := got[r.mark]
			if math.Abs(g.value-r.value) > 0.0005 || math.Abs(g.error-r.error) > 0.0005 {
				t.Errorf("%s, %s: value %.3f, off by %+.4f, want %.3f and %+.4f", tt.name, r.mark, g.value, g.error, r.value, r.error)
			}
			delete(got, r.mark)
			least = min(least, math.Abs(r.error))
		}
		for _, g := range got {
			if math.Abs(g.error) > least+0.0005 {
				t.Errorf("%s: %s at %.3f is off by %+.4f and not in the list", tt.name, g.mark, g.value, g.error)
			}
		}
	}
}

// The number of marks: a slip in a typed list moves all that follow. Lists as in
// the sources of [TestMarksByNumber].
func TestScalesEnd(t *testing.T) {
	for steps, want := range map[Steps]struct {
		n     int
		first exposure.FNumber
		av    exposure.Av
		last  exposure.FNumber
		endAv exposure.Av
	}{FullStops: {17, 0.5, -2, 128, 14}, HalfStops: {31, 0.7, -1, 128, 14}, ThirdStops: {43, 0.7, -1, 90, 13}} {
		ms, err := ApertureMarks(steps, 0, 0)
		if err != nil || len(ms) != want.n {
			t.Fatalf("%v: %d marks, %v, want %d", steps, len(ms), err, want.n)
		}
		a, z := ms[0], ms[len(ms)-1]
		if a.Number != want.first || a.Av != want.av || z.Number != want.last || math.Abs(float64(z.Av-want.endAv)) > 1e-12 {
			t.Errorf("%v: from %v (%v) to %v (%v)", steps, a, a.Av, z, z.Av)
		}
		ts, err := TimeMarks(steps, 0, 0)
		if err != nil {
			t.Fatal(err)
		}
		if f, l := ts[0], ts[len(ts)-1]; f.String() != "1/8000" || math.Abs(float64(f.Tv-13)) > 1e-12 || l.String() != "30s" || l.Tv != -5 {
			t.Errorf("%v: times from %v (%v) to %v (%v)", steps, f, f.Tv, l, l.Tv)
		}
	}
}

// The marks once more, as the sources print them: aperture scales from the tables
// of the encyclopaedia article "f-number", times from the article "Shutter speed"
// (full) and a table of shutter marks (half, third; 1 s and shorter).
func TestMarksAsPrinted(t *testing.T) {
	apertures := map[Steps]string{
		FullStops:  "0.5 0.7 1.0 1.4 2 2.8 4 5.6 8 11 16 22 32 45 64 90 128",
		HalfStops:  "0.7 0.8 1.0 1.2 1.4 1.7 2 2.4 2.8 3.3 4 4.8 5.6 6.7 8 9.5 11 13 16 19 22 27 32 38 45 54 64 76 90 107 128",
		ThirdStops: "0.7 0.8 0.9 1.0 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5.0 5.6 6.3 7.1 8 9 10 11 13 14 16 18 20 22 25 29 32 36 40 45 51 57 64 72 80 90",
	}
	for steps, text := range apertures {
		ms, err := ApertureMarks(steps, 0, 0)
		if err != nil {
			t.Fatal(err)
		}
		want := strings.Fields(text)
		if len(ms) != len(want) {
			t.Fatalf("%v: %d marks, printed %d", steps, len(ms), len(want))
		}
		for i, m := range ms {
			if n, err := exposure.ParseFNumber(want[i]); err != nil || m.Number != n {
				t.Errorf("%v: %v, printed %s", steps, m, want[i])
			}
		}
	}
	between := "0.7s 0.3s 1/6 1/10 1/20 1/45 1/90 1/180 1/350 1/750 1/1500 1/3000 1/6000"
	full := "1s 1/2 1/4 1/8 1/15 1/30 1/60 1/125 1/250 1/500 1/1000 1/2000 1/4000 1/8000"
	var half []string
	for i, f := range strings.Fields(full) {
		half = append(half, f)
		if b := strings.Fields(between); i < len(b) {
			half = append(half, b[i])
		}
	}
	times := map[Steps]string{
		FullStops:  full,
		HalfStops:  strings.Join(half, " "),
		ThirdStops: "1s 0.8s 0.6s 1/2 0.4s 0.3s 1/4 1/5 1/6 1/8 1/10 1/13 1/15 1/20 1/25 1/30 1/40 1/50 1/60 1/80 1/100 1/125 1/160 1/200 1/250 1/320 1/400 1/500 1/640 1/800 1/1000 1/1250 1/1600 1/2000 1/2500 1/3200 1/4000 1/5000 1/6400 1/8000",
	}
	for steps, text := range times {
		ms, err := TimeMarks(steps, 0, time.Second)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, m := range ms {
			got = append(got, m.String())
		}
		slices.Reverse(got)
		if s := strings.Join(got, " "); s != text {
			t.Errorf("%v: marks %s, printed %s", steps, s, text)
		}
	}
}

// One mark, two values. Source: tables of half and third stops in the
// encyclopaedia article "f-number" and a table of shutter marks.
func TestOneMarkTwoValues(t *testing.T) {
	av := func(s Steps, n exposure.FNumber) float64 {
		ms, err := ApertureMarks(s, n, n)
		if err != nil {
			t.Fatal(err)
		}
		return float64(ms[0].Av)
	}
	tv := func(s Steps, text string) float64 {
		ms, err := TimeMarks(s, shutter(t, text), shutter(t, text))
		if err != nil {
			t.Fatal(err)
		}
		return float64(ms[0].Tv)
	}
	for _, r := range []struct {
		mark              string
		half, third       float64
		wantHalf, wantThr float64
	}{
		{"f/1.2", av(HalfStops, 1.2), av(ThirdStops, 1.2), 0.5, 0.667},
		{"f/13", av(HalfStops, 13), av(ThirdStops, 13), 7.5, 7.333},
		{"0.3s", tv(HalfStops, "0.3s"), tv(ThirdStops, "0.3s"), 1.5, 1.667},
		{"1/6", tv(HalfStops, "1/6"), tv(ThirdStops, "1/6"), 2.5, 2.667},
		{"1/10", tv(HalfStops, "1/10"), tv(ThirdStops, "1/10"), 3.5, 3.333},
		{"1/20", tv(HalfStops, "1/20"), tv(ThirdStops, "1/20"), 4.5, 4.333},
	} {
		if math.Abs(r.half-r.wantHalf) > 0.0005 || math.Abs(r.third-r.wantThr) > 0.0005 {
			t.Errorf("%s: half %.3f, third %.3f, want %.3f and %.3f", r.mark, r.half, r.third, r.wantHalf, r.wantThr)
		}
	}
}

// oddCamera is invented: third stops from f/2.8, times in full stops,
// and a fastest time of its own.
func oddCamera(t testing.TB, byNumber bool) *Camera {
	t.Helper()
	as, err := ApertureMarks(ThirdStops, 2.8, 22)
	if err != nil {
		t.Fatal(err)
	}
	ts, err := TimeMarks(FullStops, shutter(t, "1/8000"), 30*time.Second)
	if err != nil {
		t.Fatal(err)
	}
	c, err := New(Scales{
		Apertures: append(as, ApertureAt(1.9)),
		Times:     append(ts, TimeAt(shutter(t, "1/12000"))),
		Bulb:      true,
		ByNumber:  byNumber,
	})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestNearest(t *testing.T) {
	exact, byNumber := oddCamera(t, false), oddCamera(t, true)
	tests := []struct {
		c       *Camera
		tv      exposure.Tv
		mark    string
		residue float64
	}{
		{exact, 6, "1/60", 0},
		{byNumber, 6, "1/60", 0.0931},
		{exact, 6.4, "1/60", 0.4},
		{exact, 6.6, "1/125", -0.4},
		{exact, -5, "30s", 0},
		{exact, 13.55, "1/12000", -0.0007}, // log2 12000 = 13.5507
		{exact, 13.7, "1/12000", 0.1493},
		// bulb: 2^5.5 = 45.25 s is held for 45, 2^8 for 256
		{exact, -5.5, "bulb 45s", -0.0080},
		{exact, -8, "bulb 4m16s", 0},
		{exact, -5.001, "30s", -0.001},
	}
	for _, tt := range tests {
		m, r, err := tt.c.NearestTime(tt.tv)
		if err != nil || m.String() != tt.mark || math.Abs(float64(r)-tt.residue) > 0.0006 {
			t.Errorf("Tv %v: got %v, %v, %v, want %s, %+.4f", float64(tt.tv), m, r, err, tt.mark, tt.residue)
		}
	}
	if m, r, err := exact.NearestAperture(7.3); err != nil || m.Number != 13 || math.Abs(float64(r)+0.0333) > 0.0001 {
		t.Errorf("Av 7.3: got %v, %v, %v, want f/13 and a thirtieth less", m, r, err)
	}
	if m, err := exact.Aperture(13); err != nil || math.Abs(float64(m.Av)-22.0/3) > 1e-12 {
		t.Errorf("f/13 is %v, %v, want Av 7⅓", m.Av, err)
	}
	if m, err := byNumber.Aperture(13); err != nil || math.Abs(float64(m.Av)-7.4009) > 0.0001 {
		t.Errorf("f/13 by its number is %v, %v, want Av 7.4009 (computed)", m.Av, err)
	}
}

func TestOutOfReach(t *testing.T) {
	said := held.New(t)
	c := oddCamera(t, false)
	fast, err := New(Scales{Apertures: c.Apertures(), Times: []TimeMark{TimeAt(time.Second / 50)}})
	if err != nil {
		t.Fatal(err)
	}
	for name, err := range map[string]error{
		"too fast":            third(c.NearestTime(14)),
		"infinitely fast":     third(c.NearestTime(exposure.Tv(math.Inf(1)))),
		"too long, no bulb":   third(fast.NearestTime(5)),
		"too fast, one mark":  third(fast.NearestTime(6)),
		"too wide":            third(c.NearestAperture(1)),
		"too small":           third(c.NearestAperture(9.5)),
		"between marks":       second(c.Aperture(6)),
		"wider than all":      second(c.Aperture(1.4)),
		"smaller than all":    second(c.Aperture(32)),
		"aperture not number": second(c.Aperture(exposure.FNumber(math.NaN()))),
	} {
		if !said.Is(name, err, ErrReach) {
			t.Errorf("%s: got %v, want ErrReach", name, err)
		}
	}
	for name, err := range map[string]error{
		"time NaN":     third(c.NearestTime(exposure.Tv(math.NaN()))),
		"aperture NaN": third(c.NearestAperture(exposure.Av(math.NaN()))),
		"bulb forever": third(c.NearestTime(-40)),
		"bulb and Inf": third(c.NearestTime(exposure.Tv(math.Inf(-1)))),
	} {
		if !said.Is(name, err, sensito.ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
}

func third[A, B any](_ A, _ B, err error) error { return err }

func TestCameraRefuses(t *testing.T) {
	said := held.New(t)
	as, err := ApertureMarks(FullStops, 2.8, 16)
	if err != nil {
		t.Fatal(err)
	}
	ts, err := TimeMarks(FullStops, shutter(t, "1/1000"), time.Second)
	if err != nil {
		t.Fatal(err)
	}
	add := func(m ...TimeMark) error {
		return second(New(Scales{Apertures: as, Times: append(m, ts...)}))
	}
	stop := func(m ...ApertureMark) error {
		return second(New(Scales{Apertures: append(m, as...), Times: ts}))
	}
	for name, err := range map[string]error{
		"no apertures":          second(New(Scales{Times: ts})),
		"no times":              second(New(Scales{Apertures: as})),
		"time without a value":  add(TimeMark{Time: time.Second / 3000}),
		"time 0":                add(TimeAt(0)),
		"negative time":         add(TimeAt(-time.Second)),
		"time twice":            add(ts[0]),
		"time NaN":              add(TimeMark{Time: time.Second / 3000, Tv: exposure.Tv(math.NaN())}),
		"number beside another": add(TimeMark{Time: shutter(t, "1/130"), Tv: 6.8}),
		"bulb as a mark":        add(TimeMark{Time: time.Minute, Tv: exposure.TvOf(time.Minute), Bulb: true}),
		"aperture, no value":    stop(ApertureMark{Number: 22}),
		"aperture 0":            stop(ApertureAt(0)),
		"negative aperture":     stop(ApertureAt(-2)),
		"aperture NaN":          stop(ApertureAt(exposure.FNumber(math.NaN()))),
		"aperture Inf":          stop(ApertureAt(exposure.FNumber(math.Inf(1)))),
		"aperture twice":        stop(as[1]),
		"no such scale":         second(ApertureMarks(9, 0, 0)),
		"no such time scale":    second(TimeMarks(9, 0, 0)),
		"not a mark":            second(ApertureMarks(FullStops, 1.9, 16)),
		"not a mark, small":     second(ApertureMarks(FullStops, 2, 13)),
		"ends exchanged":        second(ApertureMarks(FullStops, 16, 2)),
		"not a time mark":       second(TimeMarks(ThirdStops, shutter(t, "1/12000"), 0)),
		"not a long time mark":  second(TimeMarks(ThirdStops, 0, time.Minute)),
		"times exchanged":       second(TimeMarks(ThirdStops, time.Second, time.Second/1000)),
	} {
		if !said.Is(name, err, sensito.ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
	// What a camera hands out is not the camera.
	c, err := New(Scales{Apertures: as, Times: ts})
	if err != nil {
		t.Fatal(err)
	}
	c.Times()[0].Tv, c.Apertures()[0].Av = 99, 99
	as[0].Av, ts[0].Tv = 99, 99
	if c.Times()[0].Tv == 99 || c.Times()[len(ts)-1].Tv == 99 || c.Apertures()[0].Av == 99 {
		t.Error("the camera changed with the caller's marks")
	}
}

// By position, no mark is nearer than the one chosen, and what is left over is at
// most half a step of the scale.
func TestResidueAtMostHalfAStep(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	for _, steps := range []Steps{FullStops, HalfStops, ThirdStops} {
		half := 0.5 / float64(int(steps)+1)
		as, err1 := ApertureMarks(steps, 0, 0)
		ts, err2 := TimeMarks(steps, 0, 0)
		c, err3 := New(Scales{Apertures: as, Times: ts})
		if err := errors.Join(err1, err2, err3); err != nil {
			t.Fatal(err)
		}
		for range 2000 {
			v := 20*rng.Float64() - 6
			inside := v > -5-half && v < 13+half
			m, r, err := c.NearestTime(exposure.Tv(v))
			if (err == nil) != inside {
				t.Fatalf("%v, Tv %v: %v", steps, v, err)
			}
			if err == nil && (math.Abs(float64(r)) > half+1e-5 || math.Abs(v-float64(m.Tv)-float64(r)) > 1e-12) {
				t.Fatalf("%v, Tv %v: %v leaves %v", steps, v, m, r)
			}
			v = 18*rng.Float64() - 3
			first, last := float64(as[0].Av), float64(as[len(as)-1].Av)
			inside = v > first-half && v < last+half
			am, r, err := c.NearestAperture(exposure.Av(v))
			if (err == nil) != inside {
				t.Fatalf("%v, Av %v: %v", steps, v, err)
			}
			if err == nil && (math.Abs(float64(r)) > half+1e-5 || math.Abs(v-float64(am.Av)-float64(r)) > 1e-12) {
				t.Fatalf("%v, Av %v: %v leaves %v", steps, v, am, r)
			}
		}
	}
}

// A camera with a few odd marks. It is invented.
func ExampleNew() {
	apertures, err := ApertureMarks(ThirdStops, 4, 22)
	if err != nil {
		fmt.Println(err)
		return
	}
	times, err := TimeMarks(ThirdStops, 0, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	fastest, err := exposure.ParseShutter("1/12000")
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := New(Scales{
		Apertures: append(apertures, ApertureAt(3.8)),
		Times:     append(times, TimeAt(fastest)),
		Bulb:      true,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, tv := range []exposure.Tv{6.9, 13.5, -6.1, 14.2} {
		m, over, err := c.NearestTime(tv)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(m, over)
	}
	// Output:
	// 1/125 -0.10 stops
	// 1/12000 -0.05 stops
	// bulb 1m9s +0.01 stops
	// camera: out of the camera's reach: Tv 14.20 is 0.65 stops faster than the fastest time 1/12000; close the aperture down, or use a neutral-density filter
}

func TestCameraAsJSON(t *testing.T) {
	said := held.New(t)
	for _, byNumber := range []bool{false, true} {
		c := oddCamera(t, byNumber)
		text, err := json.Marshal(c)
		if err != nil {
			t.Fatal(err)
		}
		var back Camera
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(c.Scales(), back.Scales()); diff != "" {
			t.Error(diff)
		}
	}
	if _, err := json.Marshal(&Camera{}); !said.Is("", err, sensito.ErrInput) {
		t.Errorf("a camera without marks: %v", err)
	}
	if err := json.Unmarshal([]byte(`{"apertures": [], "times": []}`), new(Camera)); !said.Is("", err, sensito.ErrInput) {
		t.Errorf("no marks: %v", err)
	}
	if err := json.Unmarshal([]byte(`{"time": "soon"}`), new(TimeMark)); !said.Refused("", err) {
		t.Error("a time of soon was read")
	}
}

func TestStepsAsText(t *testing.T) {
	said := held.New(t)
	for _, s := range []Steps{FullStops, HalfStops, ThirdStops} {
		text, err := s.MarshalText()
		var back Steps
		if err != nil || back.UnmarshalText(text) != nil || back != s {
			t.Errorf("%v: %q %v, back %v", s, text, err, back)
		}
	}
	var s Steps
	if _, err := Steps(9).MarshalText(); !said.Refused("", err) || s.UnmarshalText([]byte("fifth")) == nil {
		t.Error("a scale that there is not")
	}
}

// Without a camera, the printed scale answers, as a camera with that scale does.
func TestNearestMarkOfAScale(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		av    exposure.Av
		steps Steps
		want  string
		left  float64
	}{
		{6.1, ThirdStops, "f/8", 0.1}, {5, HalfStops, "f/5.6", 0}, {7.4, ThirdStops, "f/13", 0.0667}, {7.4, HalfStops, "f/13", -0.1}, {-2, FullStops, "f/0.5", 0},
	} {
		m, left, err := NearestAperture(c.av, c.steps)
		if err != nil || m.String() != c.want || math.Abs(float64(left)-c.left) > 1e-3 {
			t.Errorf("Av %v on %v: %v, %v, %v", c.av, c.steps, m, left, err)
		}
	}
	if m, left, err := NearestTime(6.9, ThirdStops); err != nil || m.String() != "1/125" || math.Abs(float64(left)+0.1) > 1e-9 {
		t.Error(m, left, err)
	}
	for _, err := range []error{
		third(NearestAperture(20, ThirdStops)), third(NearestTime(-9, FullStops)),
	} {
		if !said.Is("", err, ErrReach) {
			t.Error(err)
		}
	}
	for _, err := range []error{
		third(NearestAperture(5, 9)), third(NearestTime(5, 9)), third(NearestAperture(exposure.Av(math.NaN()), FullStops)),
		third(new(Camera).NearestAperture(5)), third(new(Camera).NearestTime(5)), second(new(Camera).Aperture(8)),
	} {
		if !said.Is("", err, sensito.ErrInput) {
			t.Error(err)
		}
	}
}

func TestCameraOfOneScale(t *testing.T) {
	said := held.New(t)
	c, err := OfScale(HalfStops, 2, 16, 0, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	as, ts := c.Apertures(), c.Times()
	if as[0].Number != 2 || as[len(as)-1].Number != 16 || ts[0].Time != time.Second || ts[len(ts)-1].Time != time.Second/8000 || !c.Scales().Bulb {
		t.Errorf("%v %v", as, ts)
	}
	for _, err := range []error{second(OfScale(9, 2, 16, 0, 0)), second(OfScale(FullStops, 3, 16, 0, 0)), second(OfScale(FullStops, 2, 16, time.Second/7, 0))} {
		if !said.Is("", err, sensito.ErrInput) {
			t.Error(err)
		}
	}
}
