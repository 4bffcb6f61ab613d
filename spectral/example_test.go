package spectral_test

import (
	"fmt"
	"log"
	"math"

	"example.org/actinic/spectral"
)

// A film, a light and a filter on three grids, integrated as they are.
func ExampleIntegral() {
	film, err := spectral.New([]float64{400, 450, 500, 560, 600, 650}, []float64{0.7, 1, 0.5, 0.7, 0.6, 0}, spectral.Zero)
	if err != nil {
		log.Fatal(err)
	}
	yellow, err := spectral.New([]float64{380, 470, 520, 780}, []float64{0, 0, 0.9, 0.9}, spectral.Hold)
	if err != nil {
		log.Fatal(err)
	}
	light := spectral.D55.Light().Spectra()[0]
	bare, err := spectral.Integral(light, film)
	if err != nil {
		log.Fatal(err)
	}
	filtered, err := spectral.Integral(light, film, yellow)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.3f\n", bare/filtered)
	// Output: 2.045
}

// One film and light, many filters on one grid.
func ExampleQuadrature() {
	nm, _ := spectral.Grid(380, 700, 10)
	film := spectral.Generic(spectral.Panchromatic).Spectra()[0]
	light := spectral.SensitometricDaylight.Light().Spectra()[0]
	rule, err := spectral.NewQuadrature(nm, spectral.Hold, film, light)
	if err != nil {
		log.Fatal(err)
	}
	t := make([]float64, len(nm))
	for _, edge := range []float64{500, 550, 600} {
		for i, l := range nm {
			t[i] = 0.9 / (1 + math.Exp(-(l-edge)/6))
		}
		mean, err := rule.Mean(t) // allocates nothing
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("cut-on %.0f nm: %.2f stops\n", edge, -math.Log2(mean))
	}
	// Output:
	// cut-on 500 nm: 0.99 stops
	// cut-on 550 nm: 1.68 stops
	// cut-on 600 nm: 3.07 stops
}

// The light of D65 has not quite the temperature of its name.
func ExampleNominal() {
	t := spectral.Nominal(6500)
	_, err := spectral.Daylight(t, spectral.Rounded)
	fmt.Printf("%.1f K, %.1f mired, %v\n", float64(t), float64(t.Mired()), err)
	_, err = spectral.Daylight(3200, spectral.Rounded)
	fmt.Println(err)
	// Output:
	// 6503.6 K, 153.8 mired, <nil>
	// spectral: no such colour temperature: daylight at 3200 K, it is for 4000 to 25000 K
}

// What film loses against the meter under a lamp.
func ExampleAtEqualReading() {
	for _, class := range []spectral.Class{spectral.BlueSensitive, spectral.Orthochromatic, spectral.Panchromatic} {
		q, err := spectral.AtEqualReading(spectral.Generic(class), spectral.Eye(),
			spectral.SensitometricDaylight.Light().WithOutside(spectral.Hold),
			spectral.SensitometricTungsten.Light().WithOutside(spectral.Hold))
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("%v: %+.1f stops\n", class, math.Log2(q))
	}
	// Output:
	// blue-sensitive: -1.3 stops
	// orthochromatic: -0.7 stops
	// panchromatic: -0.4 stops
}
