package cube

import (
	"context"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"example.org/actinic/filters"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

func TestPrepareRefuses(t *testing.T) {
	said := held.New(t)
	good := testChannels(1, testCurve(31, 0))[0]
	with := func(f func(*Channel)) []Channel {
		c := good
		f(&c)
		return []Channel{c}
	}
	long := make([]float64, maxBands+1)
	for i := range long {
		long[i] = 300 + float64(i)/10
	}
	nan := math.NaN()
	for _, r := range []struct {
		name, says string
		bands      []float64
		outside    spectral.Outside
		beyond     OffCurve
		channels   []Channel
		is         error
	}{
		{"no channel", "no channel", testBands(31), spectral.Hold, ClampToCurve, nil, ErrInvalid},
		{"many channels", "the most", testBands(31), spectral.Hold, ClampToCurve, make([]Channel, maxChannels+1), ErrInvalid},
		{"many bands", "the most", long, spectral.Hold, ClampToCurve, []Channel{good}, ErrInvalid},
		{"beyond", "RefuseOffCurve or ClampToCurve", testBands(31), spectral.Hold, 2, []Channel{good}, ErrInvalid},
		{"no band", "two", nil, spectral.Hold, ClampToCurve, []Channel{good}, spectral.ErrInvalid},
		{"bands fall", "sort", []float64{500, 400}, spectral.Hold, ClampToCurve, []Channel{good}, spectral.ErrInvalid},
		{"NaN band", "NaN", []float64{400, nan}, spectral.Hold, ClampToCurve, []Channel{good}, spectral.ErrInvalid},
		{"bands too few for the film", "choose Zero or Hold", []float64{450, 500}, spectral.Refuse, ClampToCurve, []Channel{good}, spectral.ErrOutside},
		{"infrared bands", "overlap", []float64{900, 1000}, spectral.Hold, ClampToCurve, []Channel{good}, spectral.ErrDisjoint},
		{"no film", "sensitivity is empty", testBands(31), spectral.Hold, ClampToCurve, with(func(c *Channel) { c.Film = spectral.Sensitivity{} }), ErrInvalid},
		{"no light", "light is empty", testBands(31), spectral.Hold, ClampToCurve, with(func(c *Channel) { c.Light = spectral.Light{} }), ErrInvalid},
		{"no filter", "Clear", testBands(31), spectral.Hold, ClampToCurve, with(func(c *Channel) { c.Filter = filters.Filter{} }), ErrInvalid},
		{"no curve", "no curve", testBands(31), spectral.Hold, ClampToCurve, with(func(c *Channel) { c.Curve = nil }), ErrInvalid},
		{"white NaN", "log10", testBands(31), spectral.Hold, ClampToCurve, with(func(c *Channel) { c.White = sensito.LogH(nan) }), ErrInvalid},
		{"white linear", "log10", testBands(31), spectral.Hold, ClampToCurve, with(func(c *Channel) { c.White = 2000 }), ErrInvalid},
		{"a step", "jumps", testBands(31), spectral.Hold, ClampToCurve, with(func(c *Channel) { c.Curve = lines{{-3, 0.1}, {-1, 0.1}, {-1 + 1e-9, 2}, {0, 2}} }), ErrInvalid},
		{"empty domain", "domain", testBands(31), spectral.Hold, ClampToCurve, with(func(c *Channel) { c.Curve = lines{{-3, 0.1}, {-3, 0.1}} }), ErrInvalid},
		{"NaN domain", "domain", testBands(31), spectral.Hold, ClampToCurve, with(func(c *Channel) { c.Curve = lines{{nan, 0.1}, {-3, 0.1}} }), ErrInvalid},
		{"NaN density", "NaN", testBands(31), spectral.Hold, ClampToCurve, with(func(c *Channel) { c.Curve = lines{{-3, 0.1}, {0, nan}} }), ErrInvalid},
		{"curve's own error", "outside", testBands(31), spectral.Hold, ClampToCurve, with(func(c *Channel) { c.Curve = boastful{lines{{-3, 0.1}, {0, 2}}} }), sensito.ErrOutside},
	} {
		p, err := Prepare(r.bands, r.outside, r.beyond, r.channels...)
		if p != nil || !said.Is("", err, r.is) || !strings.Contains(err.Error(), r.says) {
			t.Errorf("%s: %v, want it to say %q", r.name, err, r.says)
		}
	}
}

func TestDensitiesRefuses(t *testing.T) {
	said := held.New(t)
	p := prepare(t, testBands(31), ClampToCurve, testChannels(2, testCurve(31, 0))...)
	room := make([]float32, 200)
	for _, r := range []struct {
		name, says string
		p          *Renderer
		d, c       []float32
		w          Options
	}{
		{"nil", "Prepare", nil, nil, nil, Options{}},
		{"zero", "Prepare", &Renderer{}, nil, nil, Options{}},
		{"half a pixel", "whole pixels", p, make([]float32, 2), make([]float32, 32), Options{}},
		{"little room", "room", p, make([]float32, 3), make([]float32, 62), Options{}},
		{"much room", "room", p, make([]float32, 5), make([]float32, 62), Options{}},
		{"workers", "workers", p, make([]float32, 2), make([]float32, 31), Options{Workers: -1}},
		{"overlap", "overwrite", p, room[30:32], room[:31], Options{}},
		{"overlap", "overwrite", p, room[:2], room[1:32], Options{}},
	} {
		if _, err := r.p.Densities(context.Background(), r.d, r.c, r.w); !said.Is("", err, ErrInvalid) || !strings.Contains(err.Error(), r.says) {
			t.Errorf("%s: %v, want it to say %q", r.name, err, r.says)
		}
	}
	if tally, err := p.Densities(context.Background(), nil, nil, Options{}); err != nil || tally != (Counts{}) {
		t.Errorf("no pixels: %+v, %v", tally, err)
	}
	if _, err := p.Densities(context.Background(), room[:2], room[2:33], Options{}); err != nil {
		t.Errorf("neighbours in memory: %v", err)
	}
}

// Every field of a Counts is added.
func TestCountsPlus(t *testing.T) {
	a := Counts{1, 2, 3, 4}
	v := reflect.ValueOf(a.Plus(Counts{10, 20, 30, 40}))
	for i := range v.NumField() {
		if got, want := v.Field(i).Int(), int64(11*(i+1)); got != want {
			t.Errorf("field %d: %d, want %d", i, got, want)
		}
	}
}

// holed is a curve without densities in a small stretch.
type holed struct {
	lines
	from, to sensito.LogH
}

func (h holed) Density(x sensito.LogH) (sensito.Density, error) {
	if x > h.from && x < h.to {
		return 0, sensito.ErrOutside
	}
	return h.lines.Density(x)
}

// A curve is asked between the entries of its table too: a hole there is found, wherever in an octave it is.
func TestHolesAreFound(t *testing.T) {
	film := testChannels(1, testCurve(31, 0))[0]
	for i := range 1 << fewest {
		for k := range probes {
			at := func(off float64) sensito.LogH {
				f := (float64(k) + 0.5 + off) / probes
				return sensito.LogH(-3 + math.Log10(1+(float64(i)+f)/(1<<fewest)))
			}
			c := film
			c.Curve = holed{lines{{-3, 0.1}, {0, 2.1}}, at(-0.1), at(0.1)}
			if p, err := Prepare(testBands(8), spectral.Hold, ClampToCurve, c); p != nil || !errors.Is(err, sensito.ErrOutside) {
				t.Errorf("a hole at %v: %v", at(0), err)
			}
		}
	}
}
