package sensito_test

import (
	"fmt"
	"math"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/printed"
	. "example.org/actinic/sensito"
)

func TestTablets(t *testing.T) {
	tests := []struct {
		name, source string
		steps        int
		first, inc   Density
		last, span   string
	}{
		{"21 steps", "printmaking tutorial: step 0.15, last step 3.05; the first step computed from them", 21, 0.05, 0.15, "3.05", "3.00"},
		{"21 steps from 0", "Saxby, \"Densitometry\", and a maker's sensitometry text: 0 to 3 in 0.15", 21, 0, 0.15, "3.00", "3.00"},
		{"31 steps", "from memory", 31, 0.05, 0.10, "3.05", "3.00"},
	}
	for _, tt := range tests {
		tab, err := UniformTablet(tt.steps, tt.first, tt.inc)
		if err != nil {
			t.Fatal(err)
		}
		ds := tab.Densities()
		if len(ds) != tt.steps {
			t.Fatalf("%s: %d steps", tt.name, len(ds))
		}
		printed.Check(t, tt.name+", last", float64(ds[len(ds)-1]), tt.last)
		printed.Check(t, tt.name+", span", float64(ds[len(ds)-1]-ds[0]), tt.span)
		hs, err := tab.Exposures(1)
		if err != nil {
			t.Fatal(err)
		}
		for i, h := range hs {
			// the same by arithmetic in lux seconds
			if want := 10 * ds[i].Transmittance(); math.Abs(h.LuxSeconds()/want-1) > 1e-12 {
				t.Errorf("%s, step %d: %v lx·s, want %v", tt.name, i+1, h.LuxSeconds(), want)
			}
		}
	}
}

// 21 steps of 0.15 span 3.00. As half stops they would span 3.0103, and the
// exposure of the last step would be 2.4 % out.
func TestStepsAreNotHalfStops(t *testing.T) {
	tab, err := UniformTablet(21, 0.05, 0.15)
	if err != nil {
		t.Fatal(err)
	}
	hs, err := tab.Exposures(0.5)
	if err != nil {
		t.Fatal(err)
	}
	if got := float64(hs[0] - hs[20]); math.Abs(got-3) > 1e-12 {
		t.Errorf("21 steps span %v, want 3.00", got)
	}
	printed.Check(t, "ten stops (computed)", Stops(10).Log10(), "3.0103")
	printed.Check(t, "half a stop (computed)", Stops(0.5).Log10(), "0.150515")
	printed.Check(t, "a third of a stop (computed)", Stops(1.0/3).Log10(), "0.100343")
}

func TestCalibratedTablet(t *testing.T) {
	// As a certificate would list them; the densities are invented, U = 0.006
	// with k = 2 is from NIST SP 250-99, abstract.
	list := []Density{0.06, 0.20, 0.36, 0.49, 0.66}
	tab, err := CalibratedTablet(list, 0.006/2)
	if err != nil {
		t.Fatal(err)
	}
	if tab.SD() != 0.003 {
		t.Errorf("standard deviation %v, want 0.003", tab.SD())
	}
	list[0] = 9 // the tablet has its own copy
	if got := tab.Densities(); got[0] != 0.06 {
		t.Errorf("the tablet changed with the caller's list: %v", got)
	}
	tab.Densities()[0] = 9
	hs, err := tab.Exposures(-1)
	if err != nil || math.Abs(float64(hs[0]+1.06)) > 1e-12 || math.Abs(float64(hs[4]+1.66)) > 1e-12 {
		t.Errorf("exposures %v, %v", hs, err)
	}
	// From the dense end, the same tablet gives the same exposures in reverse.
	back, err := CalibratedTablet([]Density{0.66, 0.49, 0.36, 0.20, 0.06}, 0)
	if err != nil {
		t.Fatal(err)
	}
	rs, err := back.Exposures(-1)
	if err != nil {
		t.Fatal(err)
	}
	for i := range hs {
		if hs[i] != rs[len(rs)-1-i] {
			t.Errorf("step %d: %v and %v", i+1, hs[i], rs[len(rs)-1-i])
		}
	}
	down, err := UniformTablet(21, 3.0, -0.15)
	if err != nil {
		t.Fatal(err)
	}
	if ds := down.Densities(); math.Abs(float64(ds[20])) > 1e-12 {
		t.Errorf("from the dense end the last step is %v", ds[20])
	}
}

func TestTabletRefuses(t *testing.T) {
	said := held.New(t)
	nan, inf := Density(math.NaN()), Density(math.Inf(1))
	good, err := UniformTablet(3, 0.05, 0.15)
	if err != nil {
		t.Fatal(err)
	}
	for name, err := range map[string]error{
		"no steps":            second(UniformTablet(0, 0.05, 0.15)),
		"negative steps":      second(UniformTablet(-3, 0.05, 0.15)),
		"no increment":        second(UniformTablet(21, 0.05, 0)),
		"increment NaN":       second(UniformTablet(21, 0.05, nan)),
		"first NaN":           second(UniformTablet(21, nan, 0.15)),
		"first negative":      second(UniformTablet(21, -0.05, 0.15)),
		"last negative":       second(UniformTablet(21, 0.05, -0.15)),
		"beyond numbers":      second(UniformTablet(21, 0.05, inf)),
		"empty list":          second(CalibratedTablet(nil, 0)),
		"list with NaN":       second(CalibratedTablet([]Density{0.05, nan, 0.35}, 0)),
		"list with Inf":       second(CalibratedTablet([]Density{0.05, inf}, 0)),
		"negative density":    second(CalibratedTablet([]Density{-0.05, 0.10}, 0)),
		"twice the same":      second(CalibratedTablet([]Density{0.05, 0.20, 0.20}, 0)),
		"twice, falling":      second(CalibratedTablet([]Density{0.35, 0.20, 0.20}, 0)),
		"exchanged":           second(CalibratedTablet([]Density{0.05, 0.35, 0.20, 0.50}, 0)),
		"sd negative":         second(CalibratedTablet([]Density{0.05, 0.20}, -0.01)),
		"sd NaN":              second(CalibratedTablet([]Density{0.05, 0.20}, math.NaN())),
		"exposure NaN":        second(good.Exposures(LogH(nan))),
		"exposure -Inf":       second(good.Exposures(LogHOf(0))),
		"too few densities":   second(good.Readings(0, []Density{1, 2}, 0)),
		"too many densities":  second(good.Readings(0, make([]Density, 4), 0)),
		"none read":           second(good.Readings(0, []Density{nan, nan, nan}, 0)),
		"zero value, no step": second(Tablet{}.Readings(0, nil, 0)),
	} {
		if !said.Is(name, err, ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
	many, err := UniformTablet(1_000_000, 0, 1e-6)
	if err != nil {
		t.Fatal(err)
	}
	if hs, err := many.Exposures(0); err != nil || len(hs) != 1_000_000 || math.Abs(float64(hs[999_999]+0.999999)) > 1e-9 {
		t.Errorf("a million steps: %v", err)
	}
}

func TestTabletReadings(t *testing.T) {
	tab, err := UniformTablet(4, 0.05, 0.15)
	if err != nil {
		t.Fatal(err)
	}
	rs, err := tab.Readings(-0.5, []Density{1.20, Density(math.NaN()), 0.90, 0.75}, 0.01)
	if err != nil || len(rs) != 3 {
		t.Fatalf("got %v, %v, want three readings", rs, err)
	}
	if r := rs[1]; math.Abs(float64(r.LogH)+0.85) > 1e-12 || r.Density != 0.90 || r.SD != 0.01 {
		t.Errorf("the second reading is %+v, want log H -0.85, density 0.90", r)
	}
}

// From a strip under a tablet to its ISO speed. The film is invented, and its
// densities are those of a closed form.
func ExampleTablet_Readings() {
	film, err := NewClosedForm(Constants{BaseFog: 0.20, Gamma: 0.684429, Toe: -2.2, ToeWidth: 0.2})
	if err != nil {
		fmt.Println(err)
		return
	}
	tab, err := UniformTablet(21, 0.05, 0.15)
	if err != nil {
		fmt.Println(err)
		return
	}
	const without LogH = 0.25 // log10 of lux on the tablet times seconds
	hs, err := tab.Exposures(without)
	if err != nil {
		fmt.Println(err)
		return
	}
	read := make([]Density, len(hs))
	for i, h := range hs {
		if read[i], err = film.Density(h); err != nil {
			fmt.Println(err)
			return
		}
	}
	rs, err := tab.Readings(without, read, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := Interpolate(rs, StatedBase(0.20), RefuseFalling)
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := Rate(c, FixedDensity)
	fmt.Println(r.Speed, err)
	// Output: ISO 125/22° <nil>
}

func second[T any](_ T, err error) error { return err }
