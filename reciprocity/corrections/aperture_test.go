package corrections

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/printedtest"
)

// Tables of stops alone, to the third, by the laws of the study: a slip of a stop.
func TestAperturesAlone(t *testing.T) {
	n := 150
	if *long > 0 {
		n = *long
	}
	r := rand.New(rand.NewPCG(21, 1))
	clean, found, other := 0, 0, 0
	for range n {
		var rows []Row
		p := 0.7 + 0.25*r.Float64()
		law, err := reciprocity.NewPower(0.5+r.Float64(), p)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range []float64{1, 2, 4, 8, 15, 30, 60, 120, 240}[:7+r.IntN(3)] {
			s, err := reciprocity.Aperture(law, m)
			if err != nil {
				t.Fatal(err)
			}
			rows = append(rows, Row{Metered: m, Aperture: sensito.Stops(math.Round(3*float64(s)) / 3), Percent: math.NaN()})
		}
		rep, err := Check(rows)
		if err != nil {
			t.Fatal(err)
		}
		if rep.Accused() > 0 {
			clean++
		}
		i := r.IntN(len(rows))
		rows[i].Aperture++
		if rep, err = Check(rows); err != nil {
			t.Fatal(err)
		}
		hit := false
		for _, f := range rep.Findings {
			if f.Confidence == printed.High {
				if f.Row == i+1 {
					hit = true
				} else {
					other++
				}
			}
		}
		if hit {
			found++
		}
	}
	t.Logf("clean accused %s, a stop found %s, other rows %d", printedtest.Rate(clean, n), printedtest.Rate(found, n), other)
	if clean*50 > n || found*2 < n || other*20 > n {
		t.Errorf("clean accused %d, found %d, others %d of %d", clean, found, other, n)
	}
}
