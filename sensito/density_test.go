package sensito_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/printed"
	. "example.org/actinic/sensito"
)

func TestDensityOf(t *testing.T) {
	said := held.New(t)
	tests := []struct {
		name, source string
		t, o         float64
		want         string
	}{
		{"10 in, 5 out", "NAVEDTRA 14208, ch. 2", 0.50, 2, "0.30"},
		{"T 0.20", "NAVEDTRA 14208, ch. 2 (O = 5), density computed", 0.20, 5, "0.699"},
		{"10 %", "definition", 0.10, 10, "1.000000"},
		{"1 %", "definition", 0.01, 100, "2.000000"},
		{"0.1 %", "definition; 0.01 % stands in one collection of questions, wrongly", 0.001, 1000, "3.000000"},
		{"clear", "definition", 1, 1, "0.000000"},
	}
	for _, tt := range tests {
		d, err := DensityOf(tt.t)
		if err != nil {
			t.Fatal(err)
		}
		printed.Check(t, tt.name+" ("+tt.source+")", float64(d), tt.want)
		e, err := DensityOfOpacity(tt.o)
		if err != nil {
			t.Fatal(err)
		}
		printed.Check(t, tt.name+", by opacity", float64(e), tt.want)
		if math.Abs(d.Transmittance()/tt.t-1) > 1e-12 || math.Abs(e.Opacity()/tt.o-1) > 1e-12 {
			t.Errorf("%s: back to T %v and O %v", tt.name, d.Transmittance(), e.Opacity())
		}
	}
	for _, bad := range []float64{0, -0.1, 1.0001, 50, math.NaN(), math.Inf(1), math.Inf(-1)} {
		if d, err := DensityOf(bad); !said.Is("", err, ErrInput) {
			t.Errorf("transmittance %v: got %v, %v, want ErrInput", bad, d, err)
		}
	}
	for _, bad := range []float64{0, -2, 0.9999, math.NaN(), math.Inf(1)} {
		if d, err := DensityOfOpacity(bad); !said.Is("", err, ErrInput) {
			t.Errorf("opacity %v: got %v, %v, want ErrInput", bad, d, err)
		}
	}
	if d, _ := DensityOf(1); math.Signbit(float64(d)) {
		t.Error("clear film has density -0")
	}
}

// A camera that sees the light table through a lens with flare: the value of a
// patch is put together here from its density, and Scan has to take it apart.
func seen(d Density, s Scan) float64 {
	field := s.Light - s.Dark
	return s.Dark + field*(s.Flare+(1-s.Flare)*d.Transmittance())
}

func TestScanRecovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	for range 1000 {
		s := Scan{Dark: 600 * (rng.Float64() - 0.2), Flare: 0.02 * rng.Float64()}
		s.Light = s.Dark + 1000 + 60000*rng.Float64()
		want := Density(3 * rng.Float64())
		got, sd, err := s.Density(seen(want, s), 0)
		if err != nil || math.Abs(float64(got-want)) > 1e-8 || sd != 0 {
			t.Fatalf("%+v: density %v came back as %v ± %v, %v", s, want, got, sd, err)
		}
		// Brighter is thinner.
		more, _, err := s.Density(seen(want, s)*1.0001+0.01, 0)
		if err == nil && !(more < got) && s.Dark > 0 {
			t.Fatalf("a brighter value has density %v, not below %v", more, got)
		}
	}
}

// Without allowance for flare a dense patch reads thinner. With 1 % of flare a
// density of 2.00 reads -log10(0.01 + 0.99·0.01) = 1.7011 (computed).
func TestScanFlareMatters(t *testing.T) {
	s := Scan{Light: 60000, Flare: 0.01}
	v := seen(2, s)
	s.Flare = 0
	d, _, err := s.Density(v, 0)
	if err != nil {
		t.Fatal(err)
	}
	printed.Check(t, "density 2.00 with 1 % of flare left in", float64(d), "1.7011")
}

// The standard deviation against the scatter of simulated readings.
func TestScanSD(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 2))
	for _, d := range []Density{0.1, 0.8, 1.6, 2.2} {
		s := Scan{Light: 50000, Dark: 300, Flare: 0.004}
		v := seen(d, s)
		const noise, n = 6.0, 20000
		_, want, err := s.Density(v, noise)
		if err != nil {
			t.Fatal(err)
		}
		var sum, sum2 float64
		for range n {
			got, _, err := s.Density(v+noise*rng.NormFloat64(), 0)
			if err != nil {
				t.Fatal(err)
			}
			sum += float64(got - d)
			sum2 += float64(got-d) * float64(got-d)
		}
		// 20000 draws give the scatter to 0.5 %, one standard deviation; the
		// rest of the 2 % is the curvature left out.
		if sd := math.Sqrt(sum2/n - sum/n*sum/n); math.Abs(sd/want-1) > 0.02 {
			t.Errorf("density %v scatters by %v, stated %v", d, sd, want)
		}
	}
}

func TestScanRefuses(t *testing.T) {
	said := held.New(t)
	nan, inf := math.NaN(), math.Inf(1)
	good := Scan{Light: 60000, Dark: 300, Flare: 0.005}
	tests := []struct {
		name  string
		s     Scan
		v, sd float64
		says  string
	}{
		{"zero value", Scan{}, 100, 0, "light field"},
		{"dark over light", Scan{Light: 300, Dark: 600}, 400, 0, "light field above the dark frame"},
		{"light NaN", Scan{Light: nan}, 100, 0, "light field"},
		{"light Inf", Scan{Light: inf}, 100, 0, "light field"},
		{"dark NaN", Scan{Light: 100, Dark: nan}, 50, 0, "dark frame"},
		{"dark -Inf", Scan{Light: 100, Dark: -inf}, 50, 0, "dark frame"},
		{"flare negative", Scan{Light: 100, Flare: -0.1}, 50, 0, "flare"},
		{"flare 1", Scan{Light: 100, Flare: 1}, 50, 0, "flare"},
		{"flare NaN", Scan{Light: 100, Flare: nan}, 50, 0, "flare"},
		{"value NaN", good, nan, 0, "value"},
		{"value Inf", good, inf, 0, "value"},
		{"value at dark", good, 300, 0, "too dense"},
		{"value at the flare", good, 300 + 0.005*59700, 0, "too dense"},
		{"value below dark", good, 100, 0, "too dense"},
		{"above the light field", good, 62000, 0, "above the light field"},
		{"sd negative", good, 30000, -1, "standard deviation"},
		{"sd NaN", good, 30000, nan, "standard deviation"},
	}
	for _, tt := range tests {
		d, _, err := tt.s.Density(tt.v, tt.sd)
		if !said.Is("", err, ErrInput) || !strings.Contains(err.Error(), tt.says) {
			t.Errorf("%s: got %v, %v, want ErrInput with %q", tt.name, d, err, tt.says)
		}
	}
	// Clear film with noise may lie a little above the light field.
	if d, _, err := good.Density(60300, 0); err != nil || !(d < 0 && d > -0.009) {
		t.Errorf("half a per cent above the light field: got %v, %v", float64(d), err)
	}
}

// Densities with a camera over a light table. All values are invented.
func ExampleScan() {
	s := Scan{Light: 52100, Dark: 520, Flare: 0.003}
	for _, v := range []float64{36800, 5640, 1190} {
		d, sd, err := s.Density(v, 15)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%.0f: %v ± %.4f\n", v, d, sd)
	}
	_, _, err := s.Density(640, 15)
	fmt.Println(err)
	// Output:
	// 36800: 0.15 ± 0.0002
	// 5640: 1.02 ± 0.0013
	// 1190: 2.00 ± 0.0126
	// sensito: unusable input: value 640 is not above dark frame and flare (674.74); the patch is too dense for this scan: expose longer, or mask the light table
}
