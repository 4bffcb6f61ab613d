package filters

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/provenance"
	"example.org/actinic/spectral"
)

// Meter errors in stops behind filters, for the invented panchromatic film, in
// Planck 5500 K and in A; computed. Silicon and its infrared cut are invented.
func TestMeterError(t *testing.T) {
	said := held.New(t)
	nm := must(spectral.Grid(380, 1100, 1)) // the figures leave the ultraviolet out
	day := must(spectral.Planck(5500, nm)).WithOutside(spectral.Zero)
	tungsten := must(spectral.Planck(2848*1.438776877/1.435, nm)).WithOutside(spectral.Zero)
	eye := spectral.Eye()
	for _, r := range []struct {
		name          string
		meter         spectral.Sensitivity
		l0            float64
		day, tungsten float64 // NaN where no figure is given
	}{
		{"V, LP495", eye, 495, -.722, -.238},
		{"V, LP590", eye, 590, +.084, +.482},
		{"silicon, LP590", Silicon(), 590, -1.557, -1.006},
		{"silicon, LP610", Silicon(), 610, -2.040, -1.447},
		{"silicon with cut, LP590", FilteredSilicon(), 590, -.702, -.448},
	} {
		f := logistic(r.l0, 4)
		near(t, r.name+", daylight", float64(must(MeterError(panB(), r.meter, day, f))), r.day, 5e-4)
		near(t, r.name+", A", float64(must(MeterError(panB(), r.meter, tungsten, f))), r.tungsten, 5e-4)
	}
	// The sign: a meter blind to what the filter passes asks for too much exposure.
	blue := must(spectral.SensitivityFromLinear(must(spectral.New([]float64{380, 450, 600}, []float64{0, 1, .01}, spectral.Zero))))
	if e := must(MeterError(panB(), blue, day, logistic(590, 4))); !(e > 1) {
		t.Errorf("a blue meter behind red: %+.2f", float64(e))
	}
	if e := must(MeterError(panB(), panB(), day, logistic(590, 4))); e != 0 {
		t.Errorf("a meter like the film: %v", e)
	}
	// A meter that gets nothing has no error but says so.
	near320 := must(spectral.SensitivityFromLinear(must(spectral.New([]float64{380, 400, 420}, []float64{0, 1, 0}, spectral.Zero))))
	block := must(New("block", must(spectral.New([]float64{430, 440}, []float64{0, 1}, spectral.Hold))))
	if _, err := MeterError(panB(), near320, day, block); !said.Is("", err, ErrOpaque) || !strings.Contains(err.Error(), "meter") {
		t.Errorf("a blind meter: %v", err)
	}
}

// A neutral filter of resin that is open in the infrared: density 0.9 up to 690 nm
// and 91 % at 850 nm (measured sample; the shape between is ours). The film loses
// three stops, a bare silicon meter hardly one; behind an infrared cut the meter
// agrees again.
// Silicon sees the lamp as far as it sees at all: the red filter's error is that of the
// black body carried to 1100 nm, computed by an independent integration (numpy) for
// Planck at 2856 K, -1.7425 stops.
func TestMeterInTungsten(t *testing.T) {
	film, red := spectral.Generic(spectral.Panchromatic), must(Find("25")).Filter
	near(t, "silicon at 2856 K", float64(must(MeterError(film, Silicon(), must(spectral.LightAt(2856)), red))), -1.7425, 5e-5)
	near(t, "silicon in A", float64(must(MeterError(film, Silicon(), spectral.A.Light(), red))), -1.7425, 1e-3)
}

func TestInfraredLeak(t *testing.T) {
	day := must(spectral.Planck(5500, must(spectral.Grid(350, 1100, 1))))
	resin := must(New("resin ND 0.9", must(spectral.New([]float64{400, 690, 760, 850, 1100}, []float64{.122, .122, .85, .91, .91}, spectral.Hold))))
	near(t, "film", must(Factor(panB(), day, resin)), 8.19, 0.01)
	e := must(MeterError(panB(), Silicon(), day, resin))
	if !(e < -2.0 && e > -2.7) {
		t.Errorf("bare silicon: %+.2f stops", float64(e))
	}
	if e := must(MeterError(panB(), spectral.Eye(), day, resin)); math.Abs(float64(e)) > 0.01 {
		t.Errorf("eye: %+.2f stops", float64(e))
	}

	// A noise floor of 1e-4 looks like a leak: no filter is deeper than 13.3 stops.
	floor := must(New("floor", must(spectral.New([]float64{400, 700}, []float64{1e-4, 1e-4}, spectral.Hold))))
	near(t, "floor", float64(sensito.StopsOf(must(Factor(panB(), day, floor)))), 13.3, 0.05)
}

// Effective reflectances of the invented film in D55 without a filter and behind
// LP590; computed from the CIE's samples.
func TestTones(t *testing.T) {
	_, d55, _ := lights(t)
	samples := TestColours()
	red := logistic(590, 4)
	for _, r := range []struct {
		tcs          int
		bare, behind float64
		change       float64
	}{{9, .15529, .48424, 1.64}, {11, .15909, .08822, -.85}, {13, .52040, .74450, .52}} {
		p := samples[r.tcs-1]
		a := must(EffectiveReflectance(panB(), d55, Clear(), p))
		b := must(EffectiveReflectance(panB(), d55, red, p))
		near(t, p.Name, a, r.bare, 5e-6)
		near(t, p.Name+" behind red", b, r.behind, 1e-5) // .744495 for the complexion: the last digit is the rounding's
		before, after := must(Tones(panB(), d55, Clear(), p)), must(Tones(panB(), d55, red, p))
		near(t, p.Name+" in stops", float64(after[0].Above(before[0])), r.change, 5e-3)
	}

	// The factor depends on the colour of the subject; computed.
	for _, r := range []struct {
		tcs  int
		want float64
	}{{9, 1.395}, {11, 7.844}, {12, 25.81}} {
		p := samples[r.tcs-1]
		got := must(Factor(panB(), must(d55.Through(p.Reflectance)), red))
		tol := 5e-4
		if r.want > 10 {
			tol = 5e-3
		}
		near(t, "factor for "+p.Name, got, r.want, tol)
		// It is the neutral factor times what the patch loses against grey.
		a := must(EffectiveReflectance(panB(), d55, Clear(), p))
		b := must(EffectiveReflectance(panB(), d55, red, p))
		near(t, "the same", got, must(Factor(panB(), d55, red))*a/b, 1e-9*got)
	}

	// A grey stays what it is through anything, and is zero stops from itself.
	grey := Surface{Name: "grey", Reflectance: must(spectral.Flat(Grey))}
	for _, e := range Catalogue() {
		tone := must(Tones(panB(), d55, e.Filter, grey))[0]
		near(t, "grey", tone.Reflectance, Grey, 1e-12)
		near(t, "grey", float64(tone.StopsFromGrey), 0, 1e-12)
	}
	// The reflectances are smooth: a slip of the pen in the table would be a step.
	for _, p := range samples {
		v := p.Reflectance.Values()
		for i := 1; i < len(v)-1; i++ {
			if bend := math.Abs(v[i+1] - 2*v[i] + v[i-1]); !(bend < 0.07) {
				t.Errorf("%s bends by %.3f at %v nm", p.Name, bend, p.Reflectance.Wavelengths()[i])
			}
		}
	}
	if len(samples) != 14 || len(Subjects()) < 6 {
		t.Error("the sets are not whole")
	}
	for _, p := range Subjects() {
		if p.Basis != provenance.Invented {
			t.Errorf("%s is %v", p.Name, p.Basis)
		}
		_ = must(Tones(spectral.Generic(spectral.ExtendedRed), d55, Clear(), p))
	}
}

func TestDensityAbove(t *testing.T) {
	said := held.New(t)
	a, b := Tone{Name: "a", StopsFromGrey: 1}, Tone{Name: "b", StopsFromGrey: -1}
	straight := must(sensito.NewClosedForm(sensito.Constants{BaseFog: .2, Gamma: .6, Toe: -2, ToeWidth: .001}))
	// On the straight part: gamma times log10 of the exposures' ratio.
	near(t, "straight", float64(must(a.DensityAbove(b, straight, 0))), .6*math.Log10(4), 1e-9)
	soft := must(sensito.NewClosedForm(sensito.Constants{BaseFog: .2, Gamma: .6, Toe: -2, ToeWidth: .2}))
	if d := must(a.DensityAbove(b, soft, -2)); !(d > 0 && d < 0.3) {
		t.Errorf("in the toe %v", d)
	}
	short := must(sensito.NewClosedForm(sensito.Constants{BaseFog: .2, Gamma: .6, Toe: -2, ToeWidth: .2, From: -3, To: -0.1}))
	if _, err := a.DensityAbove(b, short, 0); !said.Is("", err, sensito.ErrOutside) {
		t.Errorf("outside the curve: %v", err)
	}
}

func TestToneRefusals(t *testing.T) {
	said := held.New(t)
	_, d55, _ := lights(t)
	percent := Surface{Name: "x", Reflectance: must(spectral.New([]float64{400, 700}, []float64{10, 60}, spectral.Hold))}
	below := Surface{Name: "x", Reflectance: must(spectral.New([]float64{400, 700}, []float64{-.01, .6}, spectral.Hold))}
	short := Surface{Name: "x", Reflectance: must(spectral.New([]float64{450, 700}, []float64{.1, .6}, spectral.Refuse))}
	black := Surface{Name: "x", Reflectance: must(spectral.Flat(0))}
	for _, r := range []struct {
		p    Surface
		want error
		says string
	}{{percent, ErrInvalid, "percent"}, {below, ErrInvalid, "Clamp"}, {Surface{Name: "x"}, ErrInvalid, "no reflectance"}, {short, spectral.ErrOutside, "WithOutside"}, {black, ErrOpaque, "nothing"}} {
		if _, err := Tones(panB(), d55, Clear(), r.p); !said.Is("", err, r.want) || !strings.Contains(err.Error(), r.says) {
			t.Errorf("%v", err)
		}
	}
	if _, err := EffectiveReflectance(spectral.Sensitivity{}, d55, Clear(), black); !said.Is("", err, ErrInvalid) {
		t.Error("no film")
	}
}

func subject(name string) Surface {
	for _, p := range Subjects() {
		if p.Name == name {
			return p
		}
	}
	panic(name)
}

func TestRank(t *testing.T) {
	said := held.New(t)
	film, day := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	var candidates []Filter
	for _, e := range Catalogue() {
		candidates = append(candidates, e.Filter)
	}
	c := must(Rank(film, day, candidates, subject("yellow lichen"), subject("clear sky")))
	if len(c) != len(candidates) {
		t.Fatalf("%d of %d", len(c), len(candidates))
	}
	place := map[string]int{}
	for i, x := range c {
		place[x.Filter.Name()] = i
		if i > 0 && x.Separation > c[i-1].Separation {
			t.Errorf("%s out of order", x.Filter.Name())
		}
		near(t, "gain", float64(x.Gain), float64(x.Separation-c[0].Separation+c[0].Gain), 1e-12)
		near(t, "factor", x.Factor, must(Factor(film, day, x.Filter)), 1e-12)
	}
	// The lore: red darkens the sky most, yellow less, blue the wrong way round.
	if !(place["29 deep red"] < place["15 deep yellow"] && place["15 deep yellow"] < place["6 light yellow"] && c[len(c)-1].Filter.Name() == "47 blue") {
		t.Errorf("the order is %v", place)
	}
	if last := c[len(c)-1]; !(last.Gain < 0) {
		t.Errorf("blue gains %v", last.Gain)
	}
	if !strings.Contains(c[0].Reason, "clear sky") || !strings.Contains(c[0].Reason, "down") || !strings.Contains(c[0].Reason, "stops") {
		t.Error(c[0].Reason)
	}
	// Foliage against rust wants green.
	g := must(Rank(film, day, candidates, subject("foliage"), subject("rust")))
	if n := g[0].Filter.Name(); n != "58 deep green" && n != "47 blue" {
		t.Errorf("foliage over rust by %s", n)
	}

	opaque := must(New("opaque", must(spectral.Flat(0))))
	if got := must(Rank(film, day, []Filter{opaque, candidates[0]}, subject("skin"), subject("rust"))); len(got) != 1 {
		t.Errorf("an opaque filter is ranked: %v", got)
	}
	if _, err := Rank(film, day, []Filter{opaque}, subject("skin"), subject("rust")); !said.Is("", err, ErrOpaque) {
		t.Error("none but an opaque one")
	}
	if _, err := Rank(film, day, []Filter{{}}, subject("skin"), subject("rust")); !said.Is("", err, ErrInvalid) {
		t.Error("an empty filter")
	}
}

func ExampleFactor() {
	film := spectral.Generic(spectral.Panchromatic)
	red, _ := Find("25")
	for _, light := range []spectral.Illuminant{spectral.SensitometricDaylight, spectral.SensitometricTungsten} {
		f, err := Factor(film, light.Light(), red.Filter)
		if err != nil {
			fmt.Println(err)
			return
		}
		mark, _ := FactorMarkOf(f)
		fmt.Printf("%v: %.2f, %.2f stops, marked %v\n", light, f, float64(sensito.StopsOf(f)), mark)
	}
	// Output:
	// ISO sensitometric daylight: 8.18, 3.03 stops, marked 3
	// ISO sensitometric studio tungsten: 4.37, 2.13 stops, marked 2
}

func ExampleRank() {
	film := spectral.Generic(spectral.Panchromatic)
	var candidates []Filter
	for _, number := range []string{"8", "15", "25", "58"} {
		e, _ := Find(number)
		candidates = append(candidates, e.Filter)
	}
	var sky, slate Surface
	for _, p := range Subjects() {
		switch p.Name {
		case "clear sky":
			sky = p
		case "purple slate":
			slate = p
		}
	}
	best, err := Rank(film, spectral.D55.Light(), candidates, slate, sky)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range best {
		fmt.Printf("%s: %+.1f stops, %s\n", c.Filter.Name(), float64(c.Gain), c.Reason)
	}
	// Output:
	// 25 red: +1.6 stops, purple slate 0.4 stops up, clear sky 1.2 stops down against grey; costs 3.1 stops
	// 15 deep yellow: +0.9 stops, purple slate 0.1 stops up, clear sky 0.8 stops down against grey; costs 1.3 stops
	// 8 yellow: +0.7 stops, purple slate stays, clear sky 0.7 stops down against grey; costs 1.0 stops
	// 58 deep green: +0.4 stops, purple slate 0.1 stops down, clear sky 0.5 stops down against grey; costs 2.9 stops
}

func ExampleStack() {
	film := spectral.Generic(spectral.Panchromatic)
	day := spectral.D55.Light()
	yellow, _ := Find("15")
	red, _ := Find("25")
	both, _ := Stack(yellow.Filter, red.Filter)
	a, _ := Factor(film, day, yellow.Filter)
	b, _ := Factor(film, day, red.Filter)
	c, _ := Factor(film, day, both)
	fmt.Printf("%s: %.1f, and not %.1f times %.1f = %.1f\n", both.Name(), c, a, b, a*b)
	// Output:
	// 15 deep yellow + 25 red: 9.3, and not 2.5 times 8.4 = 20.9
}

// What a meter behind the filter does wrong.
func ExampleMeterError() {
	film := spectral.Generic(spectral.Panchromatic)
	red, err := Find("25")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, light := range []spectral.Illuminant{spectral.SunGlobal, spectral.A} {
		for _, m := range []struct {
			name string
			s    spectral.Sensitivity
		}{{"an eye", spectral.Eye()}, {"silicon behind an infrared cut", FilteredSilicon()}} {
			e, err := MeterError(film, m.s, light.Light(), red.Filter)
			if err != nil {
				fmt.Println(err)
				return
			}
			fmt.Printf("%v, %s: %+.2f stops\n", light, m.name, float64(e))
		}
	}
	// Output:
	// sun and sky, an eye: -0.47 stops
	// sun and sky, silicon behind an infrared cut: -1.50 stops
	// A, an eye: +0.05 stops
	// A, silicon behind an infrared cut: -1.10 stops
}
