package actinic_test

import (
	"errors"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"example.org/actinic"
)

// Publish a film with a part that the test roll did not give, and load it as anybody
// would.
func ExampleWritePackage() {
	swift, err := actinic.LoadFilm("swift")
	if err != nil {
		log.Fatal(err)
	}
	data := swift.Data()
	data.Name = "Garnedd Swift, batch 2"
	data.Provenance = actinic.Provenance{Basis: actinic.Invented, Source: "an example"}
	data.Sensitivity = nil
	film, err := actinic.NewFilm(data)
	if err != nil {
		log.Fatal(err)
	}
	work, err := os.MkdirTemp("", "example")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(work)
	dir := filepath.Join(work, "films")
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "my-films", Version: "1.0.0"}, film); err != nil {
		log.Fatal(err)
	}
	fmt.Println("check:", actinic.CheckPackage(os.DirFS(dir)))
	pack, err := actinic.ReadPackage(os.DirFS(dir))
	if err != nil {
		log.Fatal(err)
	}
	film, err = pack.Film("batch 2")
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(film)
	_, err = film.Sensitivity()
	fmt.Println(errors.Is(err, actinic.ErrMissing), err)
	// Output:
	// check: <nil>
	// Garnedd Swift, batch 2 (invented): 2 processes, reciprocity law
	// true actinic: the film lacks a part: Garnedd Swift, batch 2 has no spectral sensitivity
}

// One film in two developers.
func ExampleCompare() {
	film, err := actinic.LoadFilm("Garnedd Swift")
	if err != nil {
		log.Fatal(err)
	}
	differences, err := actinic.Compare(film, "Tarren", film, "Merllyn")
	if err != nil {
		log.Fatal(err)
	}
	for _, d := range differences {
		if d.Stops && d.Delta != nil && *d.Delta != 0 {
			fmt.Printf("%s: %+.1f stops\n", d.Quantity, *d.Delta)
		}
	}
	// Output:
	// index by the fixed density: -0.4 stops
	// index to set: -0.5 stops
	// development for an average gradient of 0.55: -0.2 stops
}
