package actinic_test

import (
	"fmt"
	"log"
	"os"
	"time"

	"example.org/actinic"
	"example.org/actinic/devtime/roll"
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

// From the readings of a test roll to a film that others can load. (The film is
// invented.)
func ExampleFilmOf() {
	test, err := roll.Read(os.DirFS("devtime/roll/testdata/example"))
	if err != nil {
		log.Fatal(err)
	}
	record, err := test.Characterise(roll.Settings{})
	if err != nil {
		log.Fatal(err)
	}
	film, err := actinic.FilmOf(record, actinic.Provenance{Basis: actinic.Invented, Source: "an example, 2026"})
	if err != nil {
		log.Fatal(err)
	}
	process, err := film.Process("Tarren")
	if err != nil {
		log.Fatal(err)
	}
	index, err := process.Index()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(film)
	fmt.Printf("EI %.0f, %.0f min\n", index.Index.Value, index.Development.Value/60)
	fmt.Println(index.Provenance.Conditions)
	// Output:
	// Garnedd Swift (invented) (invented): 1 process
	// EI 782, 12 min
	// the fixed-density speed of the strips at that development
}
