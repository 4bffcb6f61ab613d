package cube

import (
	"math"

	"example.org/actinic/filters"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// reference is the plain statement of what the package computes, in float64 and
// with nothing prepared but the integral: one exposure and its density by the
// curve itself.
func reference(bands []float64, outside spectral.Outside, beyond OffCurve, c Channel) func(reflectance []float32) (float64, Counts) {
	weights := append(append(c.Film.Spectra(), c.Light.Spectra()...), c.Filter.Spectra()...)
	r, err := spectral.NewQuadrature(bands, outside, weights...)
	if err != nil {
		panic(err)
	}
	return func(reflectance []float32) (float64, Counts) {
		values := make([]float64, len(reflectance))
		for i, v := range reflectance {
			if v-v != 0 {
				return math.NaN(), Counts{Invalid: 1}
			}
			values[i] = float64(v)
		}
		mean, err := r.Mean(values)
		if err != nil {
			panic(err)
		}
		return referenceTone(c.Curve, beyond, c.White, mean)
	}
}

func referenceTone(curve sensito.Curve, beyond OffCurve, white sensito.LogH, mean float64) (float64, Counts) {
	lo, hi := curve.Domain()
	x := white + sensito.LogH(math.Log10(mean))
	var t Counts
	switch {
	case mean < 0:
		t.Negative = 1
		x = lo
	case mean == 0 && math.IsInf(float64(lo), -1):
		return float64(curve.BaseFog()), t
	case x < lo:
		t.Below = 1
		x = lo
	case x > hi:
		t.Above = 1
		x = hi
	}
	if t != (Counts{}) && beyond == RefuseOffCurve {
		return math.NaN(), t
	}
	d, err := curve.Density(x)
	if err != nil {
		panic(err)
	}
	return float64(d), t
}

// Films and a curve for tests, invented.
func testCurve(knots int, shift float64) sensito.Curve {
	var rs []sensito.Reading
	for i := range knots {
		x := -3.2 + shift + 4.4*float64(i)/float64(knots-1)
		rs = append(rs, sensito.Reading{LogH: sensito.LogH(x), Density: sensito.Density(0.12 + 2.6/(1+math.Exp(-2.2*(x-shift+0.9))))})
	}
	c, err := sensito.Interpolate(rs, sensito.StatedBase(0.12), sensito.RefuseFalling)
	if err != nil {
		panic(err)
	}
	return c
}

// testBands are such that no band has a weight of zero, so that each is seen.
func testBands(n int) []float64 {
	nm := make([]float64, n)
	for i := range nm {
		nm[i] = 400 + 240*float64(i)/float64(n-1)
	}
	return nm
}

var (
	catalogue    = filters.Catalogue()
	panchromatic = spectral.Generic(spectral.Panchromatic)
)

func testChannels(k int, curves ...sensito.Curve) []Channel {
	var out []Channel
	for i := range k {
		c := Channel{Film: panchromatic, Light: spectral.D55.Light().WithOutside(spectral.Zero),
			Filter: filters.Clear(), Curve: curves[i%len(curves)], White: sensito.LogH(0.3 - 0.01*float64(i))}
		if n := len(catalogue); i%n > 0 {
			c.Filter = catalogue[i%n].Filter
		}
		out = append(out, c)
	}
	return out
}
