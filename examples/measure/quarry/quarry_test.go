package quarry

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"example.org/actinic"
	"example.org/actinic/filters"
	"example.org/actinic/spectral"
)

var update = flag.Bool("update", false, "write the shipped readings anew from the generator")

// The shipped readings are those of the film's laws with scatter: 0.08 stop for times, 0.057 for
// each grey card (0.08 for the difference of two, the plain one common to all), 1 % for
// development.
func TestShipped(t *testing.T) {
	film, err := actinic.LoadFilm(Film)
	if err != nil {
		t.Fatal(err)
	}
	if p, err := film.Process(Process); err != nil || p.Name() != Process {
		t.Errorf("the process is none of the film: %v", err)
	}
	r := rand.New(rand.NewPCG(1911, 9))
	law, err := film.Reciprocity()
	if err != nil {
		t.Fatal(err)
	}
	sensitivity, err := film.Sensitivity()
	if err != nil {
		t.Fatal(err)
	}
	const head = "# Invented readings of an invented film.\n"
	var times, factors, baths bytes.Buffer
	fmt.Fprint(&times, head, "metered_s,adjusted_s,sd_stops\n")
	for _, s := range []float64{1. / 8, 1. / 2, 1, 2, 4, 8, 12, 16, 24, 32} {
		adjusted, err := law.Adjusted(s)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&times, "%g,%.3g,0.08\n", s, adjusted*math.Exp2(0.08*r.NormFloat64()))
	}
	card := func() float64 { return 0.08 / math.Sqrt2 * r.NormFloat64() }
	plain := card()
	fmt.Fprint(&factors, head, "filter,stops,sd_stops\n")
	for _, name := range []string{"8", "11", "12", "15", "16", "21", "25", "29", "47", "58"} {
		e, err := filters.Find(name)
		if err != nil {
			t.Fatal(err)
		}
		f, err := filters.Factor(sensitivity, spectral.D55.Light(), e.Filter)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&factors, "%s,%.2f,0.08\n", name, math.Log2(f)+card()-plain)
	}
	fmt.Fprint(&baths, head, "temperature_c,time\n")
	for _, c := range []float64{18, 19, 20, 21, 22, 24} {
		minutes := 13.75 * math.Pow(2.4, (20-c)/10) * (1 + 0.01*r.NormFloat64())
		s := math.Round(minutes*12) * 5
		fmt.Fprintf(&baths, "%g,%d:%02d\n", c, int(s)/60, int(s)%60)
	}
	for name, want := range map[string][]byte{"reciprocity.csv": times.Bytes(), "filters.csv": factors.Bytes(), "temperature.csv": baths.Bytes()} {
		if *update {
			if err := os.WriteFile(name, want, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		got, err := Files.ReadFile(name)
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not what the generator makes (%v):\n%s", name, err, want)
		}
	}
}
