package spectral

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"
)

// Chromaticities of the 10 degree observer. Source: CIE 15:2004, the tables of
// illuminants, from memory: D65 .31382, .33100; D50 .34773, .35952; A .45117, .40594. The
// sums here are over 5 nm and stop at 780 nm.
func TestObservers(t *testing.T) {
	for _, r := range []struct {
		i    Illuminant
		x, y float64
	}{{D65, .31382, .33100}, {D50, .34773, .35952}, {A, .45117, .40594}} {
		x, y := must(CIE1964.XYZ(r.i.Light())).Chromaticity()
		near(t, r.i.String()+" x", x, r.x, 5e-5)
		near(t, r.i.String()+" y", y, r.y, 5e-5)
	}
	// The whites that colour tables print, from memory: D65 94.811, 100, 107.304 for
	// 10 degrees and 95.047, 100, 108.883 for 2; tables at 1 nm, here 5.
	for o, want := range map[Observer]XYZ{CIE1964: {94.811, 100, 107.304}, CIE1931: {95.047, 100, 108.883}} {
		c := must(o.XYZ(D65.Light()))
		near(t, "X", c.X, want.X, .01)
		near(t, "Y", c.Y, 100, 1e-12)
		near(t, "Z", c.Z, want.Z, .03)
	}
	// Both observers see equal energy nearly neutral, x = y = 1/3.
	for _, o := range []Observer{CIE1931, CIE1964} {
		x, y := must(o.XYZ(E.Light())).Chromaticity()
		near(t, o.String(), x, 1./3, 3e-4)
		near(t, o.String(), y, 1./3, 3e-4)
	}
	half := must(CIE1931.XYZ(D55.Light(), must(Flat(.5)), must(Flat(.5))))
	near(t, "a quarter", half.Y, 25, 1e-12)
}

// Lightness 50 is 18.42 % of the white (CIE 1976, from memory), white is 100, black 0.
func TestLab(t *testing.T) {
	white := must(CIE1931.XYZ(D50.Light()))
	grey := func(r float64) XYZ { return must(CIE1931.XYZ(D50.Light(), must(Flat(r)))) }
	for r, want := range map[float64]float64{.18418652: 50, 1: 100, 0: 0, .008856: 8, .02: 15.4866, .005: 4.5165} {
		l, a, b := grey(r).Lab(white)
		near(t, "lightness", l, want, 1e-3)
		near(t, "grey", math.Hypot(a, b), 0, 1e-9)
	}
	if l, _, _ := white.Lab(XYZ{}); !math.IsNaN(l) {
		t.Errorf("beside no white: %v", l)
	}
	if x, _ := (XYZ{}).Chromaticity(); !math.IsNaN(x) {
		t.Errorf("black has the chromaticity %v", x)
	}
}

func TestObserverText(t *testing.T) {
	for _, o := range []Observer{CIE1931, CIE1964} {
		var back Observer
		if text, err := json.Marshal(o); err != nil || json.Unmarshal(text, &back) != nil || back != o {
			t.Errorf("%v: %v %v", o, back, err)
		}
	}
	if o, err := ParseObserver(" 1964 "); err != nil || o != CIE1964 {
		t.Errorf("%v %v", o, err)
	}
	for _, text := range []string{"", "1976", "CIE", "2 degrees"} {
		if _, err := ParseObserver(text); !errorIs(err, ErrInvalid) {
			t.Errorf("%q: %v", text, err)
		}
	}
	if _, err := Observer(7).XYZ(D65.Light()); !errorIs(err, ErrInvalid) {
		t.Error(err)
	}
	if _, err := CIE1931.XYZ(Light{}); !errorIs(err, ErrInvalid) {
		t.Error(err)
	}
	if _, err := CIE1931.XYZ(D65.Light(), must(New([]float64{400, 500}, []float64{1, 1}, Refuse))); !errorIs(err, ErrOutside) {
		t.Error(err)
	}
}

// The lights of ISO 7589, by the convention that the last value is kept.
func ExampleIlluminant_ColourTemperature() {
	for _, i := range []Illuminant{PhotographicDaylight, SensitometricDaylight, StudioTungsten, Photoflood} {
		t, duv, err := i.ColourTemperature()
		fmt.Printf("%v: %.0f K, %+.4f %v\n", i, float64(t), duv, err)
	}
	// Output:
	// photographic daylight: 5517 K, +0.0033 <nil>
	// ISO sensitometric daylight: 5446 K, +0.0056 <nil>
	// studio tungsten: 3100 K, +0.0007 <nil>
	// photoflood: 3400 K, +0.0001 <nil>
}
