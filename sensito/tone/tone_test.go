package tone_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	. "example.org/actinic/sensito/tone"
)

// curve is a film of gradient 0.6 without toe or shoulder.
func curve(t testing.TB) sensito.Curve {
	t.Helper()
	var rs []sensito.Reading
	for i := range 11 {
		rs = append(rs, sensito.Reading{LogH: sensito.LogH(-4 + 0.4*float64(i)), Density: sensito.Density(0.2 + 0.24*float64(i))})
	}
	c, err := sensito.Interpolate(rs, sensito.StatedBase(0.2), sensito.RefuseFalling)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A subject of 2.20 with a flare factor of 0.40 gives an image of 1.80: the usual worked
// example (common practice, no single source). The image is the ratio of the exposures.
func TestVeilGivesTheWorkedExample(t *testing.T) {
	lo := sensito.Stops(-5)
	hi := lo + sensito.StopsOf(math.Pow(10, 2.20))
	v, err := Veil(lo, hi, 0.40)
	if err != nil {
		t.Fatal(err)
	}
	a, _ := At(100, lo, v)
	b, _ := At(100, hi, v)
	if math.Abs(float64(b-a)-1.80) > 1e-9 {
		t.Errorf("the image is %.4f, want 1.80", float64(b-a))
	}
	// Hand: 2^hi = 158.49/32 = 4.9527; (4.9527 - 63.096/32)/62.096 = 0.04801.
	if math.Abs(v-0.04801) > 5e-5 {
		t.Errorf("veil %.5f", v)
	}
	if v, err := Veil(lo, hi, 0); err != nil || v > 1e-12 {
		t.Errorf("no flare: %v, %v", v, err)
	}
}

// Without flare the metered tone has 8/S lx s, and each stop is 0.30103 (arithmetic).
func TestAt(t *testing.T) {
	for _, c := range []struct {
		index, tone, want float64
	}{{800, 0, -2}, {800, 1, -2 + 0.30103}, {100, -4, -1.09691 - 1.20412}} {
		if x, err := At(c.index, sensito.Stops(c.tone), 0); err != nil || math.Abs(float64(x)-c.want) > 1e-5 {
			t.Errorf("index %v, tone %v: %v, %v", c.index, c.tone, x, err)
		}
	}
}

func TestPlace(t *testing.T) {
	tones, err := Place(Of(curve(t)), 800, 0, -8, -4, 0, 3, 8)
	if err != nil {
		t.Fatal(err)
	}
	if tones[0].Density != nil || tones[4].Density != nil {
		t.Error("tones beyond the readings have densities")
	}
	// By hand: 0.2 + 0.6 (4 - 2 + 0.30103 tone).
	for i, want := range map[int]float64{1: 1.4 - 0.6*1.20412, 2: 1.4, 3: 1.4 + 0.6*0.90309} {
		if d := tones[i].Density; d == nil || math.Abs(d.Value-want) > 1e-4 {
			t.Errorf("tone %v: %+v, want %.4f", tones[i].Stops, d, want)
		}
	}
	r, ok := Range(tones[1], tones[3])
	if !ok || math.Abs(r.Value-0.6*7*0.30103) > 1e-4 {
		t.Errorf("range %+v", r)
	}
	// Half widths of 0.03 and 0.04 are 0.05 together.
	with := func(v, half float64) Tone {
		return Tone{Density: &sensito.Estimate{Value: v, Low: v - half, High: v + half}}
	}
	if r, ok := Range(with(0.3, 0.03), with(1.5, 0.04)); !ok || math.Abs(r.Low-1.15) > 1e-9 || math.Abs(r.High-1.25) > 1e-9 {
		t.Errorf("%+v", r)
	}
	if _, ok := Range(tones[0], tones[3]); ok {
		t.Error("a range of a tone without density")
	}
	if err := Greys(tones, sensito.Density(tones[1].Density.Value), sensito.Density(r.Value)); err != nil {
		t.Fatal(err)
	}
	if *tones[1].Grey != 0 || *tones[3].Grey != 10 || tones[0].Grey != nil {
		t.Errorf("%+v", tones)
	}
}

// Flare raises shadows more than highlights, and densities go up with the tones.
func TestFlareShortensTheRange(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	of := Of(curve(t))
	for range 200 {
		index := 50 * math.Exp2(4*rng.Float64())
		v := 0.2 * rng.Float64()
		plain, err1 := Place(of, index, 0, -4, 0, 2)
		veiled, err2 := Place(of, index, v, -4, 0, 2)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		a, ok1 := Range(plain[0], plain[2])
		b, ok2 := Range(veiled[0], veiled[2])
		if ok1 && ok2 && v > 1e-6 && !(b.Value < a.Value) {
			t.Errorf("index %v, veil %v: %v with flare, %v without", index, v, b.Value, a.Value)
		}
		for i := 1; i < 3; i++ {
			if p, q := veiled[i-1].Density, veiled[i].Density; p != nil && q != nil && !(q.Value > p.Value) {
				t.Errorf("density falls from %v to %v", p, q)
			}
		}
	}
}

func TestISORange(t *testing.T) {
	said := held.New(t)
	for _, text := range []string{"R110", "iso r110", "110", " ISO R110 "} {
		if p, err := ISORange(text); err != nil || p.Name != "ISO R110" || math.Abs(float64(p.Least)-1.05) > 1e-12 || math.Abs(float64(p.Most)-1.15) > 1e-12 {
			t.Errorf("%q: %+v, %v", text, p, err)
		}
	}
	for _, text := range []string{"", "R", "R1.1", "R20", "R1000", "grade 2", "R-110"} {
		if _, err := ISORange(text); !said.Is(text, err, sensito.ErrSyntax) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestSuits(t *testing.T) {
	p, _ := ISORange("R110")
	for _, c := range []struct {
		v, half float64
		fit     Fit
		sure    bool
	}{{1.10, 0.02, Fits, true}, {1.06, 0.02, Fits, false}, {0.9, 0.02, TooShort, true}, {1.3, 0.02, TooLong, true}, {1.10, math.NaN(), Fits, true}} {
		fit, sure := p.Suits(sensito.Estimate{Value: c.v, Low: c.v - c.half, High: c.v + c.half})
		if fit != c.fit || sure != c.sure {
			t.Errorf("%v ± %v: %v, %v", c.v, c.half, fit, sure)
		}
		text, _ := fit.MarshalText()
		var back Fit
		if err := back.UnmarshalText(text); err != nil || back != fit {
			t.Errorf("%s: %v, %v", text, back, err)
		}
	}
}

// A density of 0.30103 is a stop (arithmetic): film of base 0.30 may be copied a stop over
// the bare light, and 0.30 to 2.10 is 6 stops.
func TestCopying(t *testing.T) {
	c, err := Copying(0.30103, 2.10721, 8)
	if err != nil || math.Abs(float64(c.Open)-1) > 1e-4 || math.Abs(float64(c.Span)-6) > 1e-4 || math.Abs(float64(*c.Spare)-2) > 1e-4 {
		t.Errorf("%+v, %v", c, err)
	}
	if c, err := Copying(0.2, 1, 0); err != nil || c.Spare != nil {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestBadInput(t *testing.T) {
	said := held.New(t)
	nan, inf := math.NaN(), math.Inf(1)
	var errs []error
	add := func(_ any, err error) { errs = append(errs, err) }
	for _, v := range []float64{nan, inf, -1, 0} {
		add(At(v, 0, 0))
		add(Place(Of(curve(t)), v, 0, 0))
	}
	for _, v := range []float64{nan, inf, -1} {
		add(At(100, 0, v))
		add(Veil(-4, 3, v))
		add(Copying(sensito.Density(v), 2, 0))
		add(Copying(0.2, 2, sensito.Stops(v)))
		errs = append(errs, Greys(nil, 0, sensito.Density(v)))
	}
	add(At(100, 1e9, 0))
	add(Veil(3, -4, 0.4))
	add(Veil(-4, 3, 2.2))
	add(Veil(-1e300, 3, 0.4))
	add(Copying(2, 1, 0))
	add(Copying(0.2, sensito.Density(inf), 0))
	add(Place(nil, 100, 0, 0))
	add(Place(Of(nil), 100, 0, 0))
	for i, err := range errs {
		if !said.Is("", err, sensito.ErrInput) {
			t.Errorf("case %d: %v", i, err)
		}
	}
}

// Where the shadow, the metered tone and the highlight of a subject come to lie, and whether
// the negative suits a paper.
func ExamplePlace() {
	var readings []sensito.Reading
	for i := range 11 { // a straight film of gradient 0.6, invented
		readings = append(readings, sensito.Reading{LogH: sensito.LogH(-4 + 0.4*float64(i)), Density: sensito.Density(0.2 + 0.24*float64(i))})
	}
	film, err := sensito.Interpolate(readings, sensito.StatedBase(0.2), sensito.RefuseFalling)
	if err != nil {
		fmt.Println(err)
		return
	}
	veil, err := Veil(-4, 3, 0.40)
	if err != nil {
		fmt.Println(err)
		return
	}
	tones, err := Place(Of(film), 800, veil, -4, 0, 3)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, t := range tones {
		fmt.Printf("%v stops: density %.2f\n", float64(t.Stops), t.Density.Value)
	}
	paper, _ := ISORange("R110")
	r, _ := Range(tones[0], tones[2])
	fit, _ := paper.Suits(r)
	fmt.Printf("range %.2f on %s: %v\n", r.Value, paper.Name, fit)
	// Output:
	// -4 stops: density 0.92
	// 0 stops: density 1.42
	// 3 stops: density 1.94
	// range 1.02 on ISO R110: too short
}
