package cube_test

import (
	"context"
	"fmt"
	"log"
	"math"

	"example.org/actinic/filters"
	"example.org/actinic/filters/cube"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// A grey card and a rusty beam on an invented film, without a filter and behind a
// red one, each exposed for the card.
func ExampleRenderer_Densities() {
	film, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.22, Gamma: 0.66, Toe: -2.35, ToeWidth: 0.16, From: -3.6, To: 1})
	if err != nil {
		log.Fatal(err)
	}
	red, err := filters.Find("25")
	if err != nil {
		log.Fatal(err)
	}
	var channels []cube.Channel
	for _, f := range []filters.Filter{filters.Clear(), red.Filter} {
		channels = append(channels, cube.Channel{
			Film: spectral.Generic(spectral.Panchromatic), Light: spectral.D55.Light().WithOutside(spectral.Zero), Filter: f,
			Curve: film, White: -1.2 - sensito.LogH(math.Log10(filters.Grey)),
		})
	}
	bands := []float64{400, 450, 500, 550, 600, 650, 700}
	p, err := cube.Prepare(bands, spectral.Hold, cube.RefuseOffCurve, channels...)
	if err != nil {
		log.Fatal(err)
	}
	pixels := []float32{
		.18, .18, .18, .18, .18, .18, .18,
		.04, .04, .06, .09, .19, .23, .25,
	}
	density := make([]float32, 2*p.Channels())
	tally, err := p.Densities(context.Background(), density, pixels, cube.Options{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("grey card %.2f and %.2f, rust %.2f and %.2f, outside the curve %d\n",
		density[0], density[1], density[2], density[3], tally.Below+tally.Above)
	// Output:
	// grey card 0.98 and 0.98, rust 0.78 and 1.02, outside the curve 0
}
