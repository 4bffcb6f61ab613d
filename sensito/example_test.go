package sensito_test

import (
	"flag"
	"fmt"
	"log"

	"example.org/actinic/sensito"
)

// quarryStrip is a strip of an invented film: 21 steps of 0.15, read to a standard
// deviation of 0.01, and one unexposed patch of 0.22.
func quarryStrip() []sensito.Reading {
	densities := []sensito.Density{
		0.226, 0.219, 0.241, 0.243, 0.268, 0.302, 0.345, 0.401, 0.489, 0.561, 0.660,
		0.743, 0.851, 0.939, 1.042, 1.128, 1.229, 1.331, 1.413, 1.519, 1.606,
	}
	var rs []sensito.Reading
	for i, d := range densities {
		rs = append(rs, sensito.Reading{LogH: -3.40 + 0.15*sensito.LogH(i), Density: d, SD: 0.01})
	}
	return rs
}

// A smooth curve through readings with noise, its speed point and average gradient
// with their 95 % intervals, and the speed.
func ExampleFit() {
	curve, err := sensito.Fit(quarryStrip(), sensito.UnexposedBase(0.22))
	if err != nil {
		log.Fatal(err)
	}
	es, err := curve.Estimate(sensito.MeasureOf(sensito.SpeedPoint), sensito.AverageGradient)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("log Hm %.2f (%.2f to %.2f)\n", es[0].Value, es[0].Low, es[0].High)
	fmt.Printf("average gradient %.2f (%.2f to %.2f)\n", es[1].Value, es[1].Low, es[1].High)
	fmt.Println(curve.Account().Form, len(curve.Findings()))
	// Output:
	// log Hm -2.58 (-2.65 to -2.52)
	// average gradient 0.57 (0.55 to 0.59)
	// closed form 0
}

// A misread step is named, and counts for little.
func ExampleFitted_Findings() {
	readings := quarryStrip()
	readings[8].Density = 0.389 // for 0.489
	curve, err := sensito.Fit(readings, sensito.UnexposedBase(0.22))
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range curve.Findings() {
		fmt.Printf("%s, step %d, off by %.2f\n", f.What, f.Step, float64(f.Shift))
		fmt.Printf("%s %.3f with it, %.3f without\n", f.Effect.Measure, f.Effect.With.Value, f.Effect.Without.Value)
	}
	// Output:
	// wild reading, step 9, off by -0.09
	// average_gradient 0.568 with it, 0.575 without
}

// A curve through points that have no noise to speak of, such as those of a data
// package.
func ExampleInterpolate() {
	points := []sensito.Reading{
		{LogH: -3, Density: 0.22}, {LogH: -2.7, Density: 0.26}, {LogH: -2.4, Density: 0.36}, {LogH: -2.1, Density: 0.52},
		{LogH: -1.8, Density: 0.71}, {LogH: -1.5, Density: 0.91}, {LogH: -1.2, Density: 1.10}, {LogH: -0.9, Density: 1.30},
	}
	curve, err := sensito.Interpolate(points, sensito.StatedBase(0.20), sensito.RefuseFalling)
	if err != nil {
		log.Fatal(err)
	}
	rating, err := sensito.Rate(curve, sensito.FixedDensity)
	if err != nil {
		log.Fatal(err)
	}
	d, err := curve.Density(-2)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("density %.3f at -2.00; %v\n", float64(d), rating.Speed)
	// Output:
	// density 0.581 at -2.00; ISO 320/26°
}

// A speed as text, and as a flag.
func ExampleParseSpeed() {
	s, err := sensito.ParseSpeed("iso 400")
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(s, s.Logarithmic(), s.Value)

	flags := flag.NewFlagSet("meter", flag.ContinueOnError)
	var set sensito.Speed
	flags.TextVar(&set, "speed", sensito.Speed{Value: 100, Kind: sensito.ISO}, "film `speed`")
	if err := flags.Parse([]string{"-speed", "EI 320"}); err != nil {
		log.Fatal(err)
	}
	fmt.Println(set)
	// Output:
	// ISO 400/27° ISO 27° 400
	// EI 320
}
