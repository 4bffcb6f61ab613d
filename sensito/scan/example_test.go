package scan_test

import (
	"fmt"
	"time"

	"example.org/actinic/sensito/scan"
)

// A dense patch was exposed for 1/15 s, the bare light table for 1/60 s: by their marks, two
// stops apart. One per cent of flare is in both.
func Example() {
	dense := scan.Exposed{Value: 2300, Dark: 240, Time: 62500 * time.Microsecond}
	table := scan.Exposed{Value: 60240, Dark: 240, Time: 15625 * time.Microsecond}
	d, err := scan.Density(dense, table)
	if err != nil {
		fmt.Println(err)
		return
	}
	read := dense.Rate() / table.Rate()
	t := scan.Flare(0.01).Remove(read, 0.2) // in a field that passes a fifth
	fmt.Printf("read %.3f, transmittance %.5f without flare\n", float64(d), t)
	sd, err := scan.Noise{ElectronsPerCount: 2, ReadElectrons: 5}.DensitySD(dense, table, 400)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("camera's noise over 400 pixels: %.5f\n", sd)
	// Output:
	// read 2.066, transmittance 0.00667 without flare
	// camera's noise over 400 pixels: 0.00035
}
