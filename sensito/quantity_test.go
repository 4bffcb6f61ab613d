package sensito

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/check"
)

func TestQuantities(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"a stop in log10", Stops(1).Log10(), 0.30102999566398120},
		{"a third of a stop in log10", Stops(1.0 / 3).Log10(), 0.100343},          // computed
		{"half a stop in log10, which is not 0.15", Stops(0.5).Log10(), 0.150515}, // computed
		{"three steps of the speed scale are not a stop", math.Pow(10, 0.3), 1.99526},
		{"density 1 passes 10 %", Density(1).Transmittance(), 0.1},
		{"density 2 passes 1 %", Density(2).Transmittance(), 0.01},
		{"density 3 passes 0.1 %", Density(3).Transmittance(), 0.001},
		{"opacity of density 1", Density(1).Opacity(), 10},
		{"log H of 1 lx·s", float64(LogHOf(1)), 0},
		{"one stop more", float64(LogHOf(1).Add(1).Sub(LogHOf(1))), 1},
		{"factor of three stops", Stops(3).Factor(), 8},
		{"stops of a factor of 1.5", float64(StopsOf(1.5)), 0.584963},
	} {
		if math.Abs(c.got-c.want) > 5e-6*max(1, math.Abs(c.want)) {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
		}
	}
	rng := rand.New(rand.NewPCG(1, 1))
	for range 1000 {
		s := Stops(20 * (rng.Float64() - 0.5))
		if b := StopsOf(s.Factor()); math.Abs(float64(b-s)) > 1e-12 {
			t.Errorf("%v comes back as %v", s, b)
		}
		h := LogH(6 * (rng.Float64() - 0.5))
		if b := LogHOf(h.LuxSeconds()); math.Abs(float64(b-h)) > 1e-12 {
			t.Errorf("%v comes back as %v", h, b)
		}
		if b := h.Add(s).Sub(h); math.Abs(float64(b-s)) > 1e-12 {
			t.Errorf("adding %v to %v moves it by %v", s, h, b)
		}
	}
	for in, want := range map[Stops]string{0: "+0.00 stops", 1: "+1.00 stop", 0.9999999: "+1.00 stop", -1.004: "-1.00 stop", 1.01: "+1.01 stops", -1: "-1.00 stop", 4.0 / 3: "+1.33 stops", -0.5: "-0.50 stops"} {
		if got := in.String(); got != want {
			t.Errorf("%v prints %q, want %q", float64(in), got, want)
		}
	}
	if s := LogH(-2.1).String(); s != "-2.10 log lx·s" {
		t.Errorf("prints %q", s)
	}
	if !math.IsNaN(float64(LogHOf(-1))) || !math.IsInf(float64(LogHOf(0)), -1) || !math.IsNaN(float64(StopsOf(-1))) {
		t.Error("special cases")
	}
}

func TestEstimateJSON(t *testing.T) {
	for _, e := range []Estimate{{1.25, 1, 1.5}, Exact(3), {2, math.NaN(), math.NaN()}, {300, 250, math.Inf(1)}} {
		b, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		var back Estimate
		if err := json.Unmarshal(b, &back); err != nil {
			t.Fatal(err)
		}
		same := func(a, b float64) bool { return a == b || !check.Finite(a) && math.IsNaN(b) }
		if !same(e.Value, back.Value) || !same(e.Low, back.Low) || !same(e.High, back.High) {
			t.Errorf("%v writes %s, reads %v", e, b, back)
		}
	}
	if b, _ := json.Marshal(Estimate{2, math.NaN(), 3}); string(b) != `{"value":2,"low":null,"high":3}` {
		t.Errorf("%s", b)
	}
	if e := (Estimate{2, 1, 4}).Map(func(x float64) float64 { return 1 / x }); e != (Estimate{0.5, 0.25, 1}) {
		t.Errorf("%v", e)
	}
}
