package actinic

import (
	"sync"
	"testing"

	"example.org/actinic/filters"
	"example.org/actinic/spectral"
)

// Whatever is asked for in whatever order, a film answers what filters.Factor does.
func TestKeptFactors(t *testing.T) {
	film := must(NewFilm(must(LoadFilm("Swift")).Data()))
	sensitivity := must(film.Sensitivity())
	lights := []spectral.Light{spectral.D55.Light(), spectral.A.Light(), spectral.D55.Light().WithOutside(spectral.Hold)}
	all := filters.Catalogue()[:12]
	want := map[[2]int]float64{}
	for i := range all {
		for j := range lights {
			want[[2]int{i, j}] = must(filters.Factor(sensitivity, lights[j], all[i].Filter))
		}
	}
	var wg sync.WaitGroup
	for start := range 4 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for n := range 150 {
				// Some are asked for again at once, some after more others than are kept.
				i, j := (start*5+n*n/7)%len(all), n/3%len(lights)
				got, err := film.filterFactor(lights[j], all[i].Filter.Named("under another name"))
				if err != nil || got != want[[2]int{i, j}] {
					t.Errorf("filter %s in light %d: %v, %v; want %v", all[i].Filter.Name(), j, got, err, want[[2]int{i, j}])
				}
			}
		}()
	}
	wg.Wait()
}

// Equal tables that were made separately are other tables: nothing is compared by value, and
// a film made of the parts of another has a memory of its own.
func TestKeptFactorsKnowTables(t *testing.T) {
	light, filter := spectral.D55.Light(), must(filters.Find("21")).Filter
	film := must(NewFilm(must(LoadFilm("Swift")).Data()))
	if _, ok := film.factors.recall(light, filter); ok {
		t.Error("a factor is known that was never asked for")
	}
	if _, err := film.filterFactor(light, filter); err != nil {
		t.Fatal(err)
	}
	if _, ok := film.factors.recall(light, filter); !ok {
		t.Error("the factor asked for last is forgotten")
	}
	copied := must(filters.New(filter.Name(), must(filter.Spectra()[0].Scale(1))))
	known := func(_ float64, known bool) bool { return known }
	for name, is := range map[string]bool{
		"a copy of the filter":   known(film.factors.recall(light, copied)),
		"another light":          known(film.factors.recall(spectral.D65.Light(), filter)),
		"the light held":         known(film.factors.recall(light.WithOutside(spectral.Hold), filter)),
		"no light":               known(film.factors.recall(spectral.Light{}, filter)),
		"no filter":              known(film.factors.recall(light, filters.Filter{})),
		"two filters":            known(film.factors.recall(light, must(filters.Stack(filter, filter)))),
		"a film made of it anew": known(must(NewFilm(film.Data())).factors.recall(light, filter)),
	} {
		if is {
			t.Errorf("%s is taken for what was asked for", name)
		}
	}
}
