package actinic_test

import (
	"flag"
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/actinic"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/rolltest"
	"example.org/actinic/sensito"
)

// Two films and two developers in one table.
func ExampleRank() {
	var rows []actinic.Combination
	for _, name := range []string{"Clogwyn Ortho", "Garnedd Swift"} { // invented, like all films that come with it
		film, err := actinic.LoadFilm(name)
		if err != nil {
			log.Fatal(err)
		}
		of, err := film.Combinations(false)
		if err != nil {
			log.Fatal(err)
		}
		rows = append(rows, of...)
	}
	ranking, err := actinic.Rank(rows, actinic.Criterion{Trait: actinic.TraitGradient})
	if err != nil {
		log.Fatal(err)
	}
	for i, row := range ranking.Rows {
		fmt.Printf("%d %s: gradient %v\n", i+1, row.Name(), row.Traits[actinic.TraitGradient])
	}
	for _, pair := range ranking.NotToldApart {
		fmt.Printf("%d and %d are not told apart\n", pair[0]+1, pair[1]+1)
	}
	// Output:
	// 1 Garnedd Swift in Tarren 1+31 at 20 °C: gradient 0.5843 (0.5671 to 0.6021)
	// 2 Clogwyn Ortho in Tarren 1+31 at 20 °C: gradient 0.582 (0.5706 to 0.5934)
	// 3 Garnedd Swift in Merllyn stock at 20 °C: gradient 0.55 (0.5354 to 0.5647)
	// 1 and 2 are not told apart
}

var combinationCases = flag.Int("combinations", 40, "pairs of rolls in the study of combinations")

// rollOf characterises a clean roll of a film and publishes it.
func rollOf(film *rolltest.Film, r *rand.Rand) (*actinic.Film, error) {
	design := rolltest.Design{Film: film, Times: []float64{5, 7, 10, 14}, Steps: 21, Step: 0.15, Under: 0.9, Unexposed: 2,
		SD: 0.01, Stated: true, Decimals: 3, Target: 0.58}
	made := design.Make(r)
	read, err := roll.Read(made.Files)
	if err != nil {
		return nil, err
	}
	record, err := read.Characterise(roll.Settings{})
	if err != nil {
		return nil, err
	}
	return actinic.FilmOf(record, actinic.Provenance{Basis: actinic.Invented, Source: "a simulated roll"})
}

// Two rolls of one film must not be told apart oftener than by chance, and what is said of
// a combination between two strips holds for the film. The truths are not of our form.
func TestCombinationsHold(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 13))
	apart, pairs := map[actinic.Trait]int{}, 0
	inside, asked := map[actinic.Trait]int{}, map[actinic.Trait]int{}
	for i := range *combinationCases {
		film := rolltest.NewFilm(rolltest.Families[i%len(rolltest.Families)], r)
		var rows []actinic.Combination
		for range 2 {
			made, err := rollOf(film, r)
			if err != nil {
				t.Fatal(err)
			}
			p, err := made.Process("")
			if err != nil {
				t.Fatal(err)
			}
			// A development between two strips, the same for both rolls.
			d := p.Data()
			d.Index = &actinic.IndexData{Index: sensito.Exact(400), Development: ptr(sensito.Exact(8.4 * 60)), Provenance: d.Provenance}
			made, err = actinic.NewFilm(actinic.FilmData{Name: "one film", Provenance: d.Provenance, Processes: []actinic.ProcessData{d}})
			if err != nil {
				t.Fatal(err)
			}
			of, err := made.Combinations(false)
			if err != nil || len(of) != 1 {
				t.Fatalf("%d combinations: %v", len(of), err)
			}
			rows = append(rows, of[0])
			for trait, truth := range map[actinic.Trait]float64{
				actinic.TraitSpeed:    sensito.SpeedAt(sensito.LogH(film.SpeedPoint(8.4))).Value,
				actinic.TraitGradient: film.Gradient(8.4),
				actinic.TraitBaseFog:  film.BaseFog(8.4),
				actinic.TraitShadow:   film.Net(toneH(400, -2), 8.4) - film.Net(toneH(400, -4), 8.4),
			} {
				if e, has := of[0].Traits[trait]; has {
					asked[trait]++
					if e.Low <= truth && truth <= e.High {
						inside[trait]++
					}
				}
			}
		}
		pairs++
		for _, trait := range []actinic.Trait{actinic.TraitSpeed, actinic.TraitGradient, actinic.TraitBaseFog, actinic.TraitShadow} {
			a, has := rows[0].Traits[trait]
			b, hasToo := rows[1].Traits[trait]
			if has && hasToo && trait.ToldApart(a, b) {
				apart[trait]++
			}
		}
	}
	for _, trait := range actinic.Traits() {
		n := asked[trait]
		if n == 0 {
			continue
		}
		held, told := float64(inside[trait])/float64(n), float64(apart[trait])/float64(pairs)
		t.Logf("%-10s held %.1f %% of %d, two rolls of one film told apart %.1f %% of %d", trait, 100*held, n, 100*told, pairs)
		if held < 0.93-2*math.Sqrt(0.07*0.93/float64(n)) {
			t.Errorf("%s: the interval held the truth %d times in %d", trait, inside[trait], n)
		}
		if told > 0.05+2*math.Sqrt(0.05*0.95/float64(pairs)) {
			t.Errorf("%s: two rolls of one film were told apart %d times in %d", trait, apart[trait], pairs)
		}
	}
}

func ptr[T any](v T) *T { return &v }

// toneH is log10 H of a tone so many stops from the metered one.
func toneH(index, stops float64) float64 {
	return math.Log10(sensito.MeteredExposure/index) + stops*math.Log10(2)
}

func combination(t *testing.T, name string, values map[actinic.Trait]sensito.Estimate) actinic.Combination {
	t.Helper()
	film, err := actinic.NewFilm(actinic.FilmData{Name: name, Provenance: actinic.Provenance{Basis: actinic.Invented, Source: "a test"},
		Processes: []actinic.ProcessData{{Name: "Tarren", Provenance: actinic.Provenance{Basis: actinic.Invented, Source: "a test"}}}})
	if err != nil {
		t.Fatal(err)
	}
	p, err := film.Process("")
	if err != nil {
		t.Fatal(err)
	}
	return actinic.Combination{Process: p, Development: time.Minute, Traits: values}
}

func TestRank(t *testing.T) {
	said := held.New(t)
	within := func(v, half float64) sensito.Estimate {
		return sensito.Estimate{Value: v, Low: v - half, High: v + half}
	}
	nan := math.NaN()
	rows := []actinic.Combination{
		combination(t, "slow", map[actinic.Trait]sensito.Estimate{actinic.TraitSpeed: within(100, 5), actinic.TraitBaseFog: within(0.20, 0.01)}),
		combination(t, "none", nil),
		combination(t, "fast", map[actinic.Trait]sensito.Estimate{actinic.TraitSpeed: within(400, 60), actinic.TraitBaseFog: within(0.30, 0.01)}),
		combination(t, "as fast", map[actinic.Trait]sensito.Estimate{actinic.TraitSpeed: within(420, 60), actinic.TraitBaseFog: within(0.25, 0.01)}),
		combination(t, "unsure", map[actinic.Trait]sensito.Estimate{actinic.TraitSpeed: {Value: 50, Low: nan, High: nan}, actinic.TraitBaseFog: within(0.10, 0.01)}),
	}
	for _, tc := range []struct {
		by    []actinic.Criterion
		want  string
		pairs [][2]int
	}{
		// Of an unknown interval nothing is told apart.
		{[]actinic.Criterion{{Trait: actinic.TraitSpeed}}, "as fast, fast, slow, unsure, none", [][2]int{{0, 1}, {0, 3}, {1, 3}, {2, 3}}},
		{[]actinic.Criterion{{Trait: actinic.TraitBaseFog}}, "unsure, slow, as fast, fast, none", nil},
		// Places by speed: 3 for unsure beside slow, fast, as fast (mean of 1 to 4 is 2.5), slow 3.5, the two fast ones
		// (1+2+4)/3; by fog 1, 2, 3, 4. At a weight of 3 to 1: as fast (7+3)/4, fast (7+4)/4, unsure (7.5+1)/4, slow (10.5+2)/4.
		{[]actinic.Criterion{{Trait: actinic.TraitSpeed, Weight: 3}, {Trait: actinic.TraitBaseFog}},
			"unsure, as fast, fast, slow, none", nil},
	} {
		got, err := actinic.Rank(rows, tc.by...)
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, row := range got.Rows {
			names = append(names, row.Process.Film().Name())
		}
		if s := strings.Join(names, ", "); s != tc.want {
			t.Errorf("by %v: %s, want %s (places %v)", tc.by, s, tc.want, got.Place)
		}
		if !slices.Equal(got.NotToldApart, tc.pairs) {
			t.Errorf("by %v: not told apart %v, want %v", tc.by, got.NotToldApart, tc.pairs)
		}
	}
	for _, by := range [][]actinic.Criterion{nil, {{Trait: "beauty"}}, {{Trait: actinic.TraitSpeed, Weight: nan}},
		{{Trait: actinic.TraitSpeed, Weight: -1}}, {{Trait: actinic.TraitSpeed}, {Trait: actinic.TraitSpeed}}} {
		if _, err := actinic.Rank(rows, by...); !said.Is("", err, actinic.ErrInput) {
			t.Errorf("by %v: %v", by, err)
		}
	}
}

// The difference of two equal errors is wider by the root of two: 3 and 4 make 5.
func TestToldApart(t *testing.T) {
	a, b := sensito.Estimate{Value: 0, Low: -9, High: 3}, sensito.Estimate{Value: 5.01, Low: 1.01, High: 99}
	if !actinic.TraitBaseFog.ToldApart(a, b) || !actinic.TraitBaseFog.ToldApart(b, a) {
		t.Error("5.01 apart with 3 and 4 to the sides is told apart")
	}
	b.Value, b.Low = 4.99, 0.99
	if actinic.TraitBaseFog.ToldApart(a, b) || actinic.TraitBaseFog.ToldApart(b, a) {
		t.Error("4.99 apart with 3 and 4 to the sides is not told apart")
	}
}

func TestMerge(t *testing.T) {
	said := held.New(t)
	swift, err := actinic.LoadFilm("Garnedd Swift")
	if err != nil {
		t.Fatal(err)
	}
	part := func(i int) *actinic.Film {
		d := swift.Data()
		d.Processes = d.Processes[i : i+1]
		f, err := actinic.NewFilm(d)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	whole, err := actinic.Merge(part(0), part(1))
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(whole.Processes(), swift.Processes()) {
		t.Errorf("processes %v, want %v", whole.Processes(), swift.Processes())
	}
	if _, err := actinic.Merge(swift, part(0)); !said.Is("", err, actinic.ErrInput) {
		t.Errorf("a process twice: %v", err)
	}
	if _, err := actinic.Merge(); !said.Is("", err, actinic.ErrInput) {
		t.Errorf("nothing: %v", err)
	}
	if _, err := actinic.Merge(swift, nil); !said.Is("", err, actinic.ErrInput) {
		t.Errorf("no film: %v", err)
	}
	other := swift.Data()
	other.Processes, other.Sensitivity.Log10[3] = nil, other.Sensitivity.Log10[3]-0.1
	differs, err := actinic.NewFilm(other)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := actinic.Merge(swift, differs); !said.Is("", err, actinic.ErrInput) {
		t.Errorf("two sensitivities: %v", err)
	}
}

// Grain and sharpness belong to the development that they were measured at, to a twentieth of it
// or where it is not known, and grain to the aperture of 48 µm.
func TestStructureOfItsDevelopment(t *testing.T) {
	swift, err := actinic.LoadFilm("Garnedd Swift")
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		measured time.Duration
		aperture float64
		grain    bool
		response bool
	}{
		{0, 48, true, true}, {825 * time.Second, 48, true, true}, {860 * time.Second, 48, true, true},
		{880 * time.Second, 48, false, false}, {600 * time.Second, 48, false, false}, {0, 24, false, true},
	} {
		d := swift.Data()
		p := &d.Processes[slices.IndexFunc(d.Processes, func(p actinic.ProcessData) bool { return strings.HasPrefix(p.Name, "Tarren") })]
		p.Granularity = &actinic.GranularityData{Aperture: tc.aperture, Development: tc.measured, Provenance: p.Provenance,
			Points: []actinic.GranularityPoint{{Density: 0.3, SD: sensito.Estimate{Value: 0.01, Low: 0.009, High: 0.012}},
				{Density: 2.3, SD: sensito.Estimate{Value: 0.04, Low: 0.036, High: 0.048}}}}
		p.Response = &actinic.ResponseData{Of: "film", Development: tc.measured, Provenance: p.Provenance,
			Points: []actinic.ResponsePoint{{Frequency: 0, M: sensito.Exact(1)}, {Frequency: 100, M: sensito.Estimate{Value: 0.2, Low: 0, High: 0.4}}}}
		film, err := actinic.NewFilm(d)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := film.Combinations(false)
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows {
			if !strings.HasPrefix(row.Process.Name(), "Tarren") {
				continue
			}
			grain, has := row.Traits[actinic.TraitGrain]
			response, too := row.Traits[actinic.TraitResponse]
			if has != tc.grain || too != tc.response {
				t.Errorf("%+v: grain %v, response %v", tc, has, too)
			}
			// The ends are 10 % below and 20 % above at every density; and 1 - 0.8 f/100 falls to a half at
			// 62.5, its ends at 50 and 83.3.
			if has && (math.Abs(grain.Low/grain.Value-0.9) > 1e-9 || math.Abs(grain.High/grain.Value-1.2) > 1e-9) {
				t.Errorf("grain %v", grain)
			}
			if too && (math.Abs(response.Value-62.5) > 1e-6 || math.Abs(response.Low-50) > 1e-6 || math.Abs(response.High-100/1.2) > 1e-6) {
				t.Errorf("response %v", response)
			}
		}
	}
}
