package reciprocity

import (
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// film is an invented curve: base 0.2, a straight part of gamma 0.6.
func film(t *testing.T) sensito.Curve {
	t.Helper()
	var r []sensito.Reading
	for i := range 30 {
		h := -4 + .15*float64(i)
		r = append(r, sensito.Reading{LogH: sensito.LogH(h), Density: sensito.Density(.2 + .6*(h+4))})
	}
	c, err := sensito.Interpolate(r, sensito.StatedBase(.2), sensito.RefuseFalling)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Tones a stop apart come out apart by the local exponent, and the metered
// tone comes out right, by time and by aperture.
func TestTones(t *testing.T) {
	said := held.New(t)
	l := must(NewCatenary(.2, .01, .01))
	for _, exposed := range []time.Duration{dur(1e-4), dur(.01), dur(10), dur(300)} {
		m := must(l.Metered(exposed.Seconds()))
		const d = 1e-4
		e, _, err := Tones(l, exposed, []sensito.Stops{0, d, -4, 3})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "metered tone", float64(e[0]), 0, 1e-12)
		near(t, "slope", float64(e[1])/d, must(l.Exponent(m)), 1e-5)
		if !(e[2] < 0 && e[3] > 0) {
			t.Errorf("%v: tones %v out of order", exposed, e)
		}
	}
	// On a power law beyond its onset every interval is stretched by 1/p:
	// gamma on the intensity scale is 1/p of that on the time scale.
	p := must(NewPower(1e-6, .8))
	e, _, _ := Tones(p, 10*time.Second, []sensito.Stops{-3, 2})
	near(t, "3 stops down", float64(e[0]), -3/.8, 1e-12)
	near(t, "2 stops up", float64(e[1]), 2/.8, 1e-12)
	// The shadow of a long exposure leaves the readings first.
	w := must(Within(p, 0, 20*time.Second))
	if _, beyond, _ := Tones(w, dur(must(p.Adjusted(10))), []sensito.Stops{0, 2}); beyond {
		t.Error("marked as extrapolated inside the domain")
	}
	if _, beyond, _ := Tones(w, dur(must(p.Adjusted(10))), []sensito.Stops{-2}); !beyond {
		t.Error("shadow not marked as extrapolated")
	}
	if _, _, err := Tones(p, 0, nil); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	if _, _, err := Tones(p, time.Second, []sensito.Stops{sensito.Stops(math.NaN())}); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
}

// Less development for long exposures: a law with a = 0.2 (Kron's plates have
// 0.11 to 0.22), its optimum at the meter's usual 1/100 s, a film of gamma 0.6
// that follows gamma = 1.1 (1 - exp(-0.13 t)). The handbook has -10, -20, -30 %
// at 1, 10 and 100 s, and our model the same direction and size.
func TestContrastAgainstHandbook(t *testing.T) {
	said := held.New(t)
	c := film(t)
	timeFor := func(g float64) (time.Duration, error) {
		return time.Duration(-math.Log(1-g/1.1) / .13 * float64(time.Minute)), nil
	}
	l := must(NewCatenary(.2, .01, .01))
	for _, h := range Handbook() {
		if h.Adjusted == 0 {
			continue
		}
		m := h.Indicated.Seconds()
		r, err := Contrast(l, c, -2, dur(must(l.Adjusted(m))), -3, 2)
		if err != nil {
			t.Fatal(err)
		}
		d, err := r.Development(.6, timeFor)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%v: range ×%.3f, development %+.0f %%, handbook %+.0f %%", h.Indicated, r.Factor, d, h.Development)
		if !(d < 0) || math.Abs(d-h.Development) > 12 {
			t.Errorf("%v: development %+.1f %%, handbook %+.0f %%", h.Indicated, d, h.Development)
		}
		near(t, "factor", r.Factor, float64(r.Highlight-r.Shadow)/5, 1e-6) // straight curve
	}
	// Short exposures go the other way.
	r, err := Contrast(l, c, -2, dur(1e-4), -3, 2)
	if err != nil || !(r.Factor < 1) {
		t.Errorf("short exposure: %+v, %v", r, err)
	}
	if d, err := r.Development(.6, timeFor); err != nil || !(d > 0) {
		t.Errorf("short exposure: development %v, %v", d, err)
	}
	none, err := Contrast(NoFailure{}, c, -2, time.Second, -3, 2)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "no failure", none.Factor, 1, 1e-12)

	if _, err := Contrast(l, c, -2, time.Second, 2, -3); !said.Is("", err, ErrInput) {
		t.Errorf("tones crossed: %v", err)
	}
	if _, err := Contrast(l, c, -2, time.Second, -30, 2); !said.Is("", err, sensito.ErrOutside) {
		t.Errorf("tone beyond the curve: %v", err)
	}
	if _, err := Contrast(l, c, -2, 0, -3, 2); !said.Is("", err, ErrInput) {
		t.Errorf("no time: %v", err)
	}
	if _, err := r.Development(0, timeFor); !said.Is("", err, ErrInput) {
		t.Errorf("no contrast: %v", err)
	}
	if _, err := r.Development(.6, nil); !said.Is("", err, ErrInput) {
		t.Errorf("no law of development: %v", err)
	}
	boom := errors.New("no")
	if _, err := r.Development(.6, func(float64) (time.Duration, error) { return 0, boom }); !said.Is("", err, boom) {
		t.Errorf("error of the law of development: %v", err)
	}
}

// A patch that was given t seconds and came out as if it had less.
func TestFromDensity(t *testing.T) {
	said := held.New(t)
	c := film(t)
	l := must(NewPower(1, .8))
	// 30 s at a nominal log H of -2: in effect Metered(30)/30 of it.
	h := sensito.LogH(-2 + math.Log10(must(l.Metered(30))/30))
	d, err := c.Density(h)
	if err != nil {
		t.Fatal(err)
	}
	r, err := FromDensity(c, 30*time.Second, -2, d, .01)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "metered", r.Metered.Seconds(), must(l.Metered(30)), 1e-6)
	near(t, "adjusted", r.Adjusted.Seconds(), 30, 0)
	near(t, "standard deviation", float64(r.SD), .01/.6/math.Log10(2), 1e-6)
	if _, err := FromDensity(c, 0, -2, d, 0); !said.Is("", err, ErrInput) {
		t.Errorf("no time: %v", err)
	}
	if _, err := FromDensity(c, time.Second, -2, d, -1); !said.Is("", err, ErrInput) {
		t.Errorf("negative deviation: %v", err)
	}
	if _, err := FromDensity(c, time.Second, sensito.LogH(math.NaN()), d, 0); !said.Is("", err, ErrInput) {
		t.Errorf("NaN exposure: %v", err)
	}
	if _, err := FromDensity(c, time.Second, -2, 9, 0); !said.Is("", err, sensito.ErrNotReached) {
		t.Errorf("density beyond the curve: %v", err)
	}
}

// A mill in the dark, metered for 30 s on an invented film, from shadows three
// stops below the metered tone to highlights two above.
func ExampleTones() {
	law, _ := NewPower(1, 0.8)
	adjusted, _ := law.Adjusted(30)
	exposed := time.Duration(adjusted * float64(time.Second))
	tones, _, err := Tones(law, exposed, []sensito.Stops{-3, 0, 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f, %.2f, %.2f stops\n", float64(tones[0]), math.Abs(float64(tones[1])), float64(tones[2]))
	// Output: -3.75, 0.00, 2.50 stops
}
