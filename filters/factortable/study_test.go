package factortable

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/filters"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/printedtest"
	"example.org/actinic/spectral"
)

var long = flag.Int("tables", 0, "so many tables of each kind in the study instead of a short run")

// drawFactors draws a table of eight filters for one of the films and lights, of samples
// that differ by 0.15 stop, in the marks of factors.
func drawFactors(t *testing.T, r *rand.Rand) []Row {
	t.Helper()
	marks := []float64{1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 32, 40, 50, 64}
	for {
		film := spectral.Generic([]spectral.Class{spectral.Orthochromatic, spectral.Panchromatic, spectral.ExtendedRed}[r.IntN(3)])
		light, err := spectral.LightAt([]spectral.Kelvin{5000, 5500, 6000, 3000, 3200, 3400}[r.IntN(6)])
		if err != nil {
			t.Fatal(err)
		}
		var rows []Row
		all := filters.Catalogue()
		for _, k := range r.Perm(len(all)) {
			f, err := filters.Factor(film, light, all[k].Filter)
			if f *= math.Exp2(0.15 * r.NormFloat64()); err != nil || f < 1.1 || f > 60 {
				continue
			}
			best := marks[0]
			for _, m := range marks {
				if math.Abs(math.Log(m/f)) < math.Abs(math.Log(best/f)) {
					best = m
				}
			}
			if rows = append(rows, Row{Filter: all[k].Filter, Factor: best}); len(rows) == 8 {
				return rows
			}
		}
	}
}

// TestStudy: film and light not stated, one of three classes of film at one of six colour
// temperatures. The figures of the long run, -tables 300, are in the doc of CheckUnder.
func TestStudy(t *testing.T) {
	if testing.Short() {
		t.Skip("hundreds of tables")
	}
	n := 40
	if *long > 0 {
		n = *long
	}
	r := rand.New(rand.NewPCG(31, 0))
	usual := Usual()
	clean, said, right := 0, 0, 0
	for range n {
		rep, _, err := CheckUnder(usual, drawFactors(t, r))
		if err != nil {
			t.Fatal(err)
		}
		if rep.Accused() > 0 {
			clean++
		}
	}
	t.Logf("clean: accused %s", printedtest.Rate(clean, n))
	if clean*50 > n+50 {
		t.Errorf("%d of %d clean tables accused", clean, n)
	}
	for _, s := range []struct {
		name string
		slip func(f float64) float64
	}{
		{"100 %", func(f float64) float64 { return 2 * f }}, {"three times", func(f float64) float64 { return 3 * f }}, {"decimal point", func(f float64) float64 { return 10 * f }},
		{"stops for a factor", math.Log2}, {"a factor for stops", math.Exp2},
	} {
		hits, k := 0, 0
		for k < n {
			rows := drawFactors(t, r)
			i := r.IntN(len(rows))
			was := rows[i].Factor
			rows[i].Factor = s.slip(was)
			if f := rows[i].Factor / was; !(f > 1.9 || f < 1/1.9) || rows[i].Factor < 0.1 || rows[i].Factor > 1e6 {
				continue
			}
			k++
			rep, _, err := CheckUnder(usual, rows)
			if err != nil {
				t.Fatal(err)
			}
			hit := false
			for _, f := range rep.Findings {
				if f.Confidence != printed.High {
					continue
				}
				if said++; f.Row == i+1 {
					hit = true
					right++
				}
			}
			if hit {
				hits++
			}
		}
		t.Logf("%s: found %s", s.name, printedtest.Rate(hits, n))
	}
	t.Logf("of the accused rows of slipped tables %s are right", printedtest.Rate(right, said))
}
