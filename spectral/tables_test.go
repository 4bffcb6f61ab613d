package spectral

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
)

// The printed tables are what was typed in: their sources stand above them, spot values in the
// tests of what is made of them. The sum changes with a slip in any entry, and with two exchanged.
func TestTablesAreAsTyped(t *testing.T) {
	said := held.New(t)
	tables := map[string][]float64{
		"daylight S0": daylightS0[:], "daylight S1": daylightS1[:], "daylight S2": daylightS2[:],
		"x": cieX[:], "y": cieY[:], "z": cieZ[:], "x10": cie10X[:], "y10": cie10Y[:], "z10": cie10Z[:],
		"photographic daylight": photographicDaylight[:], "studio tungsten": studioTungsten[:], "photoflood": photoflood[:],
		"standard lens": standardLens[:], "sun above": sunAbove[:], "sun global": sunGlobal[:], "sun direct": sunDirect[:],
	}
	for c := BlueSensitive; c <= ExtendedRed; c++ { // invented, or derived; their values at each nanometre
		name := "generic " + c.String()
		for nm := 340.0; nm <= 760; nm++ {
			tables[name] = append(tables[name], must(Generic(c).At(nm)))
		}
	}
	for name, table := range tables {
		sum, small := 0.0, 0.0 // the second for entries beside which others are a thousand times as large
		for i, x := range table {
			sum += x * (1 + 0.5*math.Sin(float64(i)))
			small += math.Log(math.Abs(x)+1e-12) * (1 + 0.5*math.Sin(float64(i)))
		}
		said.Values(name, len(table), sum, small)
	}
}
