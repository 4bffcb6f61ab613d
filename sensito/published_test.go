package sensito

import (
	"math"
	"testing"
)

// Published figures that belong to no single law's table.
func TestPublished(t *testing.T) {
	steps := 0
	for _, r := range Scale() {
		if r.Degrees >= 15 && r.Degrees <= 38 {
			steps++
		}
	}
	flare, err := FlareRange(2.20, 0.40)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, source string
		got, want    float64
		tol          float64
	}{
		{"speeds of the cassette code, 25/15° to 5000/38°", `encyclopaedia article "DX encoding" (ISO 1007): exactly 24`, float64(steps), 24, 0},
		{"metered exposure at ISO 100", "discussion of film speed after ANSI PH3.49, photrio 1338501", MeteredExposure / 100, 0.080, 0.5e-3},
		{"metered exposure at ISO 125", "the same", MeteredExposure / 125, 0.064, 0.5e-3},
		{"metered exposure at ISO 400", "the same", MeteredExposure / 400, 0.020, 0.5e-3},
		{"metered exposure over that of the speed point", "photrio 1143176: ten times", MeteredExposure / 0.80, 10, 1e-12},
		{"the same in stops", "computed", float64(StopsOf(MeteredExposure / 0.80)), 3.32, 0.5e-2},
		{"0.65 K with K = 12.5", "0.65 from memory", 0.65 * 12.5, 8.125, 1e-12},
		{"mean slope of the ISO condition", "computed: 0.80/1.30", ISODeltaD / 1.30, 0.6154, 0.5e-4},
		{"image range of an average scene with a usual flare", "2.20 less 0.40: common practice, no single source", flare, 1.80, 1e-12},
		{"flare factor of 0.40", "textbook definition, from memory; computed", math.Pow(10, 0.40), 2.51, 0.5e-2},
		{"log range of 160:1", "mean of Jones and Condit's scenes as reported by M. Prais; computed", math.Log10(160), 2.204, 0.5e-3},
		{"the same in stops", "computed", float64(StopsOf(160)), 7.32, 0.5e-2},
	} {
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("%s: %v, want %v (%s)", c.name, c.got, c.want, c.source)
		}
	}
}
