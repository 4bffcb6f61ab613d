package robust

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/held"
)

// What tables of one seed give is what it was, clean and with one, two and many slips.
func TestDigits(t *testing.T) {
	said := held.New(t)
	for _, n := range []int{4, 12, 70} {
		for _, slips := range []int{0, 1, 2, n / 4} {
			r := rand.New(rand.NewPCG(3, uint64(n)))
			l := Linear{Mean: []float64{0.2, 1}, SD: [][]float64{{1, 0.3}, {1, 0.05}}, Scatter: []float64{0, 0.03, 0.1}, Share: 0.02}
			var y, noise []float64
			for i := range n {
				x := float64(i)/float64(n) - 0.5
				l.Z = append(l.Z, []float64{1, x})
				v := 0.3 + 0.9*x + 0.03*r.NormFloat64()
				if i < slips {
					v += 0.7 - 0.2*float64(i%3)
				}
				y, noise = append(y, v), append(noise, 0.01+0.005*float64(i%2))
			}
			got, ok := l.Shifts(y, noise)
			if !ok {
				t.Fatal(n, slips)
			}
			name := fmt.Sprintf("table of %d with %d slips", n, slips)
			m := min(n, 8)
			sum := 0.0
			for i, p := range got.Probability {
				sum += p * math.Sqrt(float64(i+1))
			}
			said.Values(name, sum, got.Coefficients, got.CoefficientSD)
			said.Values(name+", implied", got.Implied[:m], got.SD[:m])
		}
	}
}
