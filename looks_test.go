package actinic

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/spectral"
)

// What the shipped films say beside each other, in each process at each development and on a card, is held to what it was; so
// are plans of many kinds. That the numbers are right is for the other tests to say.
func TestLooks(t *testing.T) {
	said := held.New(t)
	swift, fine := must(LoadFilm("Swift")), must(LoadFilm("Ceunant"))
	small := must(NewFilm(smallFilm("Aber")))
	said.Look("Ceunant and Swift", must(Compare(fine, "", swift, "Tarren")))
	said.Look("one film in two processes", must(Compare(swift, "Tarren", swift, "Merllyn")))
	said.Look("a small film and Swift", must(Compare(small, "", swift, "Tarren")))
	for _, f := range []*Film{swift, fine, small} {
		for _, all := range []bool{false, true} {
			for _, c := range must(f.Combinations(all)) {
				var traits []string
				for name, e := range c.Traits {
					traits = append(traits, fmt.Sprintf("%s %.5g (%.5g to %.5g)", name, e.Value, e.Low, e.High))
				}
				slices.Sort(traits)
				said.Refused(fmt.Sprintf("%s in %s, %v, all %v", f.Name(), c.Process.Name(), c.Development.Round(time.Second), all), fmt.Errorf("EI %.5g, %s", c.Index, strings.Join(traits, ", ")))
			}
		}
		said.Values(f.Name(), f.Missing(), f.String())
		for _, name := range f.Processes() {
			p := must(f.Process(name))
			said.Values(p.String(), p.Times())
			for _, d := range append(p.Times(), 0, time.Second, 100*time.Hour) {
				s, err := p.Speed(d)
				said.Values(fmt.Sprintf("%s, %s, speed at %v", f.Name(), name, d.Round(time.Second)), s, err)
			}
			c, err := FieldCard(f, name, bothy(t, true))
			text, _ := json.Marshal(c)
			said.Refused("card of "+f.Name()+" in "+name, fmt.Errorf("%s %v", text, err))
		}
	}
	rng := rand.New(rand.NewPCG(12, 34))
	films := planFilms()
	for i := range 60 {
		s := randomShot(rng, films)
		p, err := PlanExposure(s)
		if err != nil {
			said.Refused(fmt.Sprint("plan ", i), err)
			continue
		}
		said.Refused(fmt.Sprint("plan ", i), fmt.Errorf("%v", p))
	}
	for _, push := range []float64{-3, -2, -1, 1, 2, 3, 5} {
		shot := Shot{Film: swift, Process: "Tarren", Index: math.Round(1000 * math.Exp2(push)), Camera: thirdsCamera(true), Scene: MeteredScene(exposure.EV100(10), spectral.Light{})}
		p, err := PlanExposure(shot)
		if err != nil {
			said.Refused(fmt.Sprint("push ", push), err)
			continue
		}
		said.Refused(fmt.Sprint("push ", push), fmt.Errorf("%v", p))
		if p.Rerating != nil && (push == -1 || push == 3) {
			said.Reads(*p.Rerating, *p)
		}
	}
	d := smallFilm("Aber")
	process := d.Processes[0]
	said.Reads(process.Curves[0], process.Curves[1], *process.Growth,
		GranularityData{Aperture: 48, Development: 8 * time.Minute, Points: []GranularityPoint{{Density: 0.8, SD: sensito.Estimate{Value: 0.012, Low: 0.010, High: 0.014}}}, Provenance: process.Provenance},
		ResponseData{Of: "film", Low: 0.5, High: 1.2, Development: 8 * time.Minute, Points: []ResponsePoint{{Frequency: 1, M: sensito.Exact(1)}}, Provenance: process.Provenance})
}

// A difference in words: numbers, what is missing, stops or the unit.
func TestDifferenceInWords(t *testing.T) {
	two, four, one := 2.0, 4.0, 1.0
	for want, d := range map[string]Difference{
		"speed: 2, 4 (+1.00 stops)": {Quantity: "speed", A: &two, B: &four, Delta: &one, Stops: true}, "base: 2 D, 4 D (+1 D)": {Quantity: "base", Unit: "D", A: &two, B: &four, Delta: &one}, "base: 2 D, - D (-)": {Quantity: "base", Unit: "D", A: &two}, "speed: -, 4 (-)": {Quantity: "speed", B: &four, Stops: true},
	} {
		if got := d.String(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
