package actinic_test

import (
	"fmt"
	"log"
	"time"

	"example.org/actinic"
	"example.org/actinic/filters"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/spectral"
)

// List the films and plan an exposure: a very fast film at dusk, on a tripod behind an
// orange filter. (Films and developers are invented.)
func Example() {
	fmt.Println(actinic.Films())
	film, err := actinic.LoadFilm("Garnedd Swift")
	if err != nil {
		log.Fatal(err)
	}
	cam, err := camera.OfScale(camera.ThirdStops, 2.8, 22, time.Second/4000, 30*time.Second)
	if err != nil {
		log.Fatal(err)
	}
	orange, err := filters.Find("21")
	if err != nil {
		log.Fatal(err)
	}
	plan, err := actinic.PlanExposure(actinic.Shot{
		Scene:  actinic.Scene{Luminance: 0.4, Light: spectral.D75.Light()},
		Film:   film,
		Filter: orange.Filter, Process: "Tarren", Aperture: 8, Camera: cam,
	})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%v at %v, %.2f stops over\n", plan.Time, plan.Aperture, float64(plan.Residue))
	for _, step := range plan.Steps {
		fmt.Printf("%-12s %+.1f\n", step.Name, float64(step.Stops))
	}
	// Output:
	// [Ceunant Fine Clogwyn Ortho Garnedd Swift Machlud Red Rhiwlas Medium Tomen Fast]
	// 13s at f/8, 0.05 stops over
	// light        +0.0
	// index        +3.3
	// filter       -1.8
	// reciprocity  -0.8
	// marks        -0.1
}
