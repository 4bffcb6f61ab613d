package corrections

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/printedtest"
)

// Of slips as large as a table says that it could have shown, about four in five are found.
func TestUnseen(t *testing.T) {
	if testing.Short() {
		t.Skip("hundreds of tables")
	}
	n := 100
	if *long > 0 {
		n = *long
	}
	for _, k := range []kind{digits, thirds, clock} {
		r := rand.New(rand.NewPCG(98, uint64(k)))
		tried, hit, sum := 0, 0, 0.0
		for range n {
			rows := drawTable(r, k, 7+r.IntN(2), 0)
			rep, err := Check(rows)
			if err != nil {
				t.Fatal(err)
			}
			var percent float64
			if _, err := fmt.Sscanf(rep.Unseen, "a slip below %f", &percent); err != nil {
				continue // more than 100 %
			}
			tried++
			sum += percent
			i := r.IntN(len(rows))
			f := 1 + percent/100
			if r.IntN(2) == 0 {
				f = 1 / f
			}
			u := place(rows[i].Adjusted*f, 2)
			rows[i].Adjusted, _ = parse(fmt.Sprintf("%.6g", math.Round(rows[i].Adjusted*f/u)*u))
			if rep, err = Check(rows); err != nil {
				t.Fatal(err)
			}
			for _, g := range rep.Findings {
				if g.Row == i+1 && g.Confidence == printed.High {
					hit++
					break
				}
			}
		}
		t.Logf("%v: %.0f %% said in the mean, found at that %s", k, sum/float64(tried), printedtest.Rate(hit, tried))
		if hit*100 < 65*tried || tried*10 < 9*n {
			t.Errorf("%v: found %d of %d", k, hit, tried)
		}
	}
}
