package actinic_test

import (
	"errors"
	"fmt"
	"log"
	"os"
	"testing/fstest"
	"time"

	"example.org/actinic"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/filters"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito/datafile"
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
	// [Ceunant Fine Clogwyn Ortho Garnedd Swift Lantern plate of 1911 Machlud Red Rhiwlas Medium Tomen Fast]
	// 13s at f/8, 0.05 stops over
	// light        +0.0
	// index        -3.3
	// filter       +1.8
	// reciprocity  +0.8
	// marks        +0.1
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
	// EI 784, 12 min
	// the fixed-density speed of the strips at that development
}

// A package with slips in it: everything that is wrong is said, with its place.
func ExampleReadPackage() {
	fsys := fstest.MapFS{
		"datapackage.json": {Data: []byte(`{"name": "mine", "resources": [
			{"name": "sources", "path": "sources.csv"}, {"name": "films", "path": "films.csv"}]}`)},
		"sources.csv": {Data: []byte("source,citation\nown,\"A. Tester, 2026\"\n")},
		"films.csv":   {Data: []byte("film,description,basis,source,conditions\nSlate,invented,guessed,own,\nQuarry,invented,invented,hearsay,\n")},
	}
	_, err := actinic.ReadPackage(fsys)
	var faults datafile.Errors
	if errors.As(err, &faults) {
		for _, f := range faults {
			fmt.Printf("%s line %d, %s: %q\n", f.File, f.Line, f.Field, f.Text)
		}
	}
	fmt.Println("the caller's fault:", errors.Is(err, actinic.ErrInput))
	// Output:
	// films.csv line 2, basis: "guessed"
	// films.csv line 3, source: "hearsay"
	// the caller's fault: true
}

// A film's reciprocity, measured by six pairs of times, fitted and put into the film.
// (The film and the readings are invented.)
func ExampleFilm_WithReciprocity() {
	film, err := actinic.LoadFilm("Ceunant Fine")
	if err != nil {
		log.Fatal(err)
	}
	var readings []reciprocity.Reading
	for _, r := range [][2]float64{{0.1, 0.1}, {1, 1.1}, {4, 6.2}, {15, 35}, {60, 210}, {240, 1300}} {
		readings = append(readings, reciprocity.Reading{
			Metered: time.Duration(r[0] * float64(time.Second)), Adjusted: time.Duration(r[1] * float64(time.Second)), SD: 0.1,
		})
	}
	fit, _, err := reciprocity.Choose(readings, 0.1)
	if err != nil {
		log.Fatal(err)
	}
	film, err = film.WithReciprocity(fit, readings, actinic.Provenance{Basis: actinic.Invented, Source: "made up for an example"})
	if err != nil {
		log.Fatal(err)
	}
	law, err := film.Reciprocity()
	if err != nil {
		log.Fatal(err)
	}
	c, err := reciprocity.Correct(law, 30*time.Second)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(fit.Kind(), "from", reciprocity.FormatLong(c.Metered), "to", reciprocity.FormatLong(c.Adjusted.Round(10*time.Second)))
	// Output:
	// power onset_s=1 from 30 s to 90 s
}

// The card of a film for a camera, for the bag: here what a red filter asks for and what a
// metered 8 s is set to. (The film is invented.)
func ExampleFieldCard() {
	film, err := actinic.LoadFilm("Garnedd Swift")
	if err != nil {
		log.Fatal(err)
	}
	card, err := actinic.FieldCard(film, "Tarren", camera.Default())
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("EI %.0f, develop %v\n", card.Index, time.Duration(card.Development)*time.Second)
	for _, f := range card.Filters {
		if f.Filter == "25 red" {
			fmt.Printf("%s in %s: %.1f stops\n", f.Filter, f.Light, float64(f.Stops))
		}
	}
	for _, l := range card.Long {
		if l.Metered == 8 {
			fmt.Printf("8 s: set %.0f s\n", l.Set)
		}
	}
	// Output:
	// EI 1000, develop 13m45s
	// 25 red in D55: 2.3 stops
	// 25 red in A: 1.4 stops
	// 8 s: set 15 s
}
