package actinic

import (
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/filters"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/spectral"
)

// In bright sun the middle aperture is closed before the shutter goes to its end: by hand,
// EV 15 and EI 1000 are 18.32. At 1/1000 (Tv 10) Av 8.32 would be nearer the smallest, f/22
// (Av 9), than a stop; so f/16 (Av 8), and Tv 10.32: 1/1250. At EI 100 (Ev 15) f/8 asks for
// 1/500, which stays. On a camera of f/2 to f/16 and 1/500, Ev 15: f/5.6 asks for 1/1000;
// 1/250 (Tv 8) and f/11 (Av 7).
func TestBrightSunIsSetAsAPersonWould(t *testing.T) {
	small := must(camera.New(camera.Scales{Apertures: must(camera.ApertureMarks(camera.HalfStops, 2, 16)),
		Times: must(camera.TimeMarks(camera.FullStops, time.Second/500, time.Second)), Bulb: true}))
	for _, c := range []struct {
		index float64
		cam   *camera.Camera
		want  string
	}{{1000, thirdsCamera(true), "1/1250 at f/16"}, {100, thirdsCamera(true), "1/500 at f/8"}, {100, small, "1/250 at f/11"}} {
		p, err := PlanExposure(Shot{Scene: MeteredScene(15, spectral.Light{}), Film: lawFilm(stated("holds")), Index: c.index, Camera: c.cam})
		if err != nil || p.Time.String()+" at "+p.Aperture.String() != c.want {
			t.Errorf("EI %v: %v, %v; want %s", c.index, p, err, c.want)
		}
	}
	// A start that was asked for stays while the shutter has the time.
	p := must(PlanExposure(Shot{Scene: MeteredScene(15, spectral.Light{}), Film: lawFilm(stated("holds")), Index: 400, Start: 5.6, Camera: thirdsCamera(true)}))
	if p.Aperture.Number != 5.6 || p.Time.String() != "1/4000" {
		t.Errorf("asked for f/5.6: %v", p)
	}
}

// A dial at 1/2000 or 1/1000 is not warned of: handbooks have 0 at 1/1000 and half a stop
// at 1/10000 (see reciprocity.Handbook), so 0.15 at 1/2000, less than half a mark. At 1/4000
// it is 0.30, and said.
func TestNominalDialsAreWithinTheRule(t *testing.T) {
	for text, want := range map[time.Duration]string{time.Second / 1000: "", time.Second / 2000: "", time.Second / 4000: "1/4000 is faster than the 1/1000", time.Second / 2: "", 8 * time.Second: "is longer than the 1/2 s"} {
		p, err := PlanExposure(Shot{Scene: MeteredScene(9, spectral.Light{}), Film: lawFilm(nil), Index: 400, Time: text, Aperture: 8, Camera: thirdsCamera(true)})
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, w := range p.Warnings {
			if w.Caution == NoLaw {
				said = w.Text
			}
		}
		if (want == "") != (said == "") || !strings.Contains(said, want) {
			t.Errorf("%v: %q, want %q", text, said, want)
		}
	}
	for metered, want := range map[float64]float64{0.0005: 0.15, 0.00025: 0.30, 0.1: 0, 10: 2, 1e-9: 1, 1e6: 3} {
		if got := handbookStops(metered); math.Abs(got-want) > 0.01 {
			t.Errorf("handbooks at %v s: %.3f, want %.2f", metered, got, want)
		}
	}
}

// A grey filter before the lens takes its density over log10 2 stops: 0.9 is 2.990, by hand.
func TestWornGreyFilter(t *testing.T) {
	said := held.New(t)
	s := Shot{Scene: MeteredScene(12, spectral.Light{}), Film: lawFilm(stated("holds")), Index: 100, Aperture: 8, Camera: thirdsCamera(true)}
	bare := must(PlanExposure(s))
	s.Neutral = 0.9
	worn := must(PlanExposure(s))
	if d := float64(bare.Time.Tv - worn.Time.Tv); math.Abs(d-3) > 1e-9 || worn.Worn != 0.9 || worn.Neutral != 0 {
		t.Errorf("%v\n%v", bare, worn)
	}
	if x := worn.Steps[2]; x.Name != "grey filter" || math.Abs(float64(x.Stops)-2.990) > 5e-4 {
		t.Errorf("%+v", x)
	}
	if !strings.Contains(worn.String(), "behind ND 0.9") || !cautionsOf(worn)[EyeSafety] {
		t.Errorf("%v", worn)
	}
	for _, d := range []float64{-1, math.NaN(), math.Inf(1), 99} {
		s.Neutral = sensito.Density(d)
		if _, err := PlanExposure(s); !said.Is("", err, sensito.ErrInput) {
			t.Errorf("density %v: %v", d, err)
		}
	}
}

// What a meter behind the filter reads and needs: its own factor less light, and the ratio
// of the two factors more exposure, so that meter and hand come to the same settings.
func TestMeterBehindTheFilter(t *testing.T) {
	said := held.New(t)
	film, light, red := must(LoadFilm("Ceunant")), spectral.D55.Light(), must(filters.Find("25")).Filter
	p := must(PlanExposure(Shot{Scene: MeteredScene(13, light), Film: film, Filter: red, Neutral: 0.3, Meter: spectral.Eye(), Aperture: 8, Camera: thirdsCamera(false)}))
	eye := must(filters.Factor(spectral.Eye(), light, red))
	want := 13 - math.Log2(eye) - 0.3/math.Log10(2)
	if m := p.Through; m == nil || math.Abs(float64(m.Reads)-want) > 1e-9 || math.Abs(float64(m.Correction)-math.Log2(p.Factor/eye)) > 1e-9 {
		t.Errorf("%+v, want %.3f", m, want)
	}
	// Following it: its reading at its dial leads to the same settings.
	ev := float64(p.Through.Reads) + math.Log2(p.Through.Dial/100)
	if marks := float64(p.Aperture.Av) + float64(p.Time.Tv) + float64(p.Residue); math.Abs(ev-marks) > 0.02 {
		t.Errorf("by the meter EV %.3f, by the plan %.3f", ev, marks)
	}
	if _, err := PlanExposure(Shot{Scene: MeteredScene(13, light), Film: film, Factor: 4, Meter: spectral.Eye(), Aperture: 8, Camera: thirdsCamera(false)}); !said.Is("", err, sensito.ErrInput) {
		t.Errorf("a meter behind a bare factor: %v", err)
	}
}

// The film that is blind to red says so behind a red filter, and no other film does.
func TestAlmostBlind(t *testing.T) {
	for name, want := range map[string]bool{"Ortho": true, "Swift": false, "Fine": false, "Medium": false} {
		film := must(LoadFilm(name))
		p, err := PlanExposure(Shot{Scene: MeteredScene(12, spectral.D55.Light()), Film: film, Process: film.Processes()[0], Filter: must(filters.Find("25")).Filter, Aperture: 8, Camera: thirdsCamera(true)})
		if err != nil {
			t.Fatal(err)
		}
		if got := cautionsOf(p)[AlmostBlind]; got != want {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
}

// A development is set to a quarter of a minute within its interval, and not outside it.
func TestQuarter(t *testing.T) {
	for _, c := range []struct{ value, low, high, want float64 }{
		{825.3, 800, 850, 825}, {833, 820, 846, 840}, {310, 308, 312, 310}, {344, 344, 344, 345}, {127, 127, 127, 127}, {620.4, math.NaN(), math.NaN(), 615},
	} {
		if got := quarter(sensito.Estimate{Value: c.value, Low: c.low, High: c.high}).Seconds(); got != c.want {
			t.Errorf("%v (%v to %v): %v, want %v", c.value, c.low, c.high, got, c.want)
		}
	}
}

// A push beyond the strips says what the nearest development gives.
func TestPushBeyondTheStrips(t *testing.T) {
	p := must(PlanExposure(Shot{Scene: MeteredScene(8, spectral.Light{}), Film: must(LoadFilm("Swift")), Process: "Tarren", Index: 4000, Aperture: 4, Camera: thirdsCamera(true)}))
	r := p.Rerating
	if r == nil || r.Restores != 0 || r.Nearest != 19*time.Minute || !(r.NearestRange > 0.82) {
		t.Fatalf("%+v", r)
	}
	for _, want := range []string{"is not known, see below", "the nearest, 19:00"} {
		if !strings.Contains(p.String(), want) {
			t.Errorf("lacks %q:\n%v", want, p)
		}
	}
}

// The index of a tested film says how it was found, and not who tested it.
func TestPlanSaysHowTheIndexWasFound(t *testing.T) {
	r := must(must(roll.Read(os.DirFS("examples/testroll/quarry"))).Characterise(roll.Settings{}))
	film := must(FilmOf(r, Provenance{Basis: Invented, Source: "made up for a test"}))
	text := must(PlanExposure(Shot{Scene: MeteredScene(9, spectral.Light{}), Film: film, Aperture: 8, Camera: thirdsCamera(true)})).String()
	if !strings.Contains(text, "It is the film's: found at the development") || strings.Contains(text, "Chwarelwr") {
		t.Error(text)
	}
}
