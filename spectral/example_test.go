package spectral_test

import (
	"encoding/json"
	"fmt"
	"log"
	"math"
	"strings"

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

// A table as a spectrophotometer or an author writes it; the headings say the scale.
func ExampleReadCSV() {
	file := strings.NewReader("# invented\nwavelength_nm,log10_sensitivity,percent_transmittance\n400,-0.3,2\n500,0,8\n600,-0.9,91\n")
	columns, err := spectral.ReadCSV(file, "slate.csv", spectral.Hold)
	if err != nil {
		log.Fatal(err)
	}
	film, err := columns[0].Sensitivity()
	if err != nil {
		log.Fatal(err)
	}
	filter, err := columns[1].Fraction()
	if err != nil {
		log.Fatal(err)
	}
	s, err := film.At(450)
	if err != nil {
		log.Fatal(err)
	}
	t, err := filter.At(450)
	fmt.Printf("%.3f %.3f %v\n", s, t, err)

	_, err = spectral.ReadCSV(strings.NewReader("wavelength_nm,value\n400,0.1\n410,\n"), "torn.csv", spectral.Hold)
	fmt.Println(err)
	// Output:
	// 0.708 0.050 <nil>
	// torn.csv:3:5: value: read "", want a finite number; leave out wavelengths that were not measured
}

// A film as it is plotted, log10 of the sensitivity.
func ExampleSensitivityFromLog() {
	film, err := spectral.SensitivityFromLog([]float64{380, 440, 520, 580, 640, 680}, []float64{-0.5, 0, -0.3, -0.2, -0.4, -1.8}, spectral.LogLinear)
	if err != nil {
		log.Fatal(err)
	}
	class, err := film.Class()
	if err != nil {
		log.Fatal(err)
	}
	centre, err := spectral.Centroid(append(spectral.D55.Light().Spectra(), film.Spectra()...)...)
	fmt.Printf("%v, centre %.0f nm %v\n", class, centre, err)
	// Output:
	// panchromatic, centre 515 nm <nil>
}

// Lights, films and filters are stored as JSON and come back as they were.
func ExampleSensitivity_MarshalJSON() {
	s, err := spectral.New([]float64{400, 500, 600}, []float64{0.5, 1, 0.2}, spectral.Zero)
	if err != nil {
		log.Fatal(err)
	}
	film, err := spectral.SensitivityFromLinear(s)
	if err != nil {
		log.Fatal(err)
	}
	text, err := json.Marshal(film)
	fmt.Println(string(text), err)
	var back spectral.Sensitivity
	fmt.Println(json.Unmarshal(text, &back))
	// Output:
	// {"sensitivity":[{"wavelength_nm":[400,500,600],"value":[0.5,1,0.2],"outside":"zero"}]} <nil>
	// <nil>
}
