package filters

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/benchunit"
	"example.org/actinic/spectral"
)

// All at once is each by itself.
func TestFactors(t *testing.T) {
	films := []spectral.Sensitivity{panB(), ortho(), spectral.Generic(spectral.ExtendedRed), must(spectral.SensitivityFromPhotons(panBSpectrum()))}
	lights := []spectral.Light{spectral.A.Light(), spectral.D55.Light(), spectral.SensitometricDaylight.Light().WithOutside(spectral.Hold)}
	set := filterSet()
	rng := rand.New(rand.NewPCG(2, 2))
	nm := must(spectral.Grid(380, 780, 10))
	for range 6 { // on one grid
		v := make([]float64, len(nm))
		for i := range v {
			v[i] = rng.Float64()
		}
		set = append(set, must(New("random", must(spectral.New(nm, v, spectral.Hold)))))
	}
	set = append(set, must(Stack(set[3], set[5])), must(New("opaque", flat(0))))
	all := must(Factors(films, lights, set))
	for i, film := range films {
		for j, light := range lights {
			for k, f := range set {
				want, err := Factor(film, light, f)
				if errors.Is(err, ErrOpaque) {
					want, err = math.Inf(1), nil
				}
				if got := all[i][j][k]; err != nil || got != want && !(math.Abs(got/want-1) < 1e-12) {
					t.Errorf("film %d, light %d, %s: %v, want %v, %v", i, j, f.Name(), got, want, err)
				}
			}
		}
	}
	short := must(New("short", must(spectral.New([]float64{500, 600}, []float64{.5, .5}, spectral.Refuse))))
	for name, err := range map[string]error{
		"no films":  fault(Factors(nil, lights, set)),
		"no lights": fault(Factors(films, nil, set)),
		"none":      fault(Factors(films, lights, nil)),
		"empty":     fault(Factors(films, lights, []Filter{{}})),
		"no film":   fault(Factors([]spectral.Sensitivity{{}}, lights, set)),
		"short":     fault(Factors(films, lights, []Filter{short})),
		"all short": fault(Factors(films, lights, []Filter{short, short, short, short})),
	} {
		if err == nil {
			t.Errorf("%s accepted", name)
		}
	}
}

func BenchmarkFactors(b *testing.B) {
	films := []spectral.Sensitivity{panB(), ortho(), spectral.Generic(spectral.Panchromatic)}
	lights := []spectral.Light{spectral.A.Light(), spectral.D55.Light(), spectral.D65.Light()}
	set := filterSet()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Factors(films, lights, set); err != nil {
			b.Fatal(err)
		}
	}
	benchunit.Per(b, len(films)*len(lights)*len(set), "factor")
}

func ExampleFactors() {
	films := []spectral.Sensitivity{spectral.Generic(spectral.Orthochromatic), spectral.Generic(spectral.Panchromatic)}
	lights := []spectral.Light{spectral.D55.Light(), spectral.A.Light()}
	var set []Filter
	for _, number := range []string{"8", "58"} {
		e, err := Find(number)
		if err != nil {
			fmt.Println(err)
			return
		}
		set = append(set, e.Filter)
	}
	all, err := Factors(films, lights, set)
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, film := range []string{"orthochromatic", "panchromatic"} {
		for j, light := range []string{"D55", "A"} {
			fmt.Printf("%s in %s: %.1f and %.1f\n", film, light, all[i][j][0], all[i][j][1])
		}
	}
	// Output:
	// orthochromatic in D55: 2.6 and 6.4
	// orthochromatic in A: 1.7 and 4.4
	// panchromatic in D55: 2.0 and 7.4
	// panchromatic in A: 1.4 and 6.6
}

// A filter's colour in daylight.
func ExampleFilter_XYZ() {
	yellow, err := Find("8")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, o := range []spectral.Observer{spectral.CIE1931, spectral.CIE1964} {
		c, err := yellow.Filter.XYZ(spectral.D55.Light(), o)
		if err != nil {
			fmt.Println(err)
			return
		}
		x, y := c.Chromaticity()
		fmt.Printf("%v: luminous transmittance %.1f %%, x %.3f, y %.3f\n", o, c.Y, x, y)
	}
	// Output:
	// CIE 1931: luminous transmittance 85.2 %, x 0.441, y 0.516
	// CIE 1964: luminous transmittance 81.7 %, x 0.456, y 0.511
}
