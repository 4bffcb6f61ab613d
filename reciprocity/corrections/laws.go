package corrections

import (
	"math"

	"example.org/actinic/internal/elementary"
)

// slipShare is how many entries are slips before anything is seen.
const slipShare = 0.02

// scatters are how well a maker keeps to any law beyond the rounding, in stops, each half
// the one before or a quarter: the exponentials of one are then powers of the other's.
var scatters = [...]struct{ sd, weight float64 }{{0.0125, 0.50}, {0.05, 0.25}, {0.10, 0.20}, {0.20, 0.05}}

// scale is k of the logistic L(d k) that stands for a normal of standard deviation sd.
func scale(sd float64) float64 { return 1.702 / sd }

// A family is laws of one form. Values are computed at all points for one law after the
// other, as exp(z k) with the k of the greatest scatter.
type family struct {
	weight float64 // of all its laws
	laws   func(x []float64, emit func(prior float64, coarse bool, grown []float64))
	// near is a law at x within a step of the grid about the one that laws emits as the
	// number law, in stops: by parts of a step, between -1/2 and 1/2.
	near func(x []float64, law int, part [3]float64, z []float64)
}

const widest = 1.702 / 0.20

const onsetStep, slopeStep = 0.3, 1.065

var (
	onsets = steps(-3, 8, onsetStep)
	slopes = geometric(0.02, slopeStep, 58)
	bends  = [...]float64{0, 0.01, 0.025}
)

func steps(from, to, by float64) (out []float64) {
	for k := 0; ; k++ {
		v := from + float64(k)*by
		if v > to+1e-9 {
			return out
		}
		out = append(out, v)
	}
}

func geometric(from, by float64, n int) (out []float64) {
	for k := range n {
		out = append(out, from*math.Pow(by, float64(k)))
	}
	return out
}

// families are the laws of long exposures:
//
//	s u + c u²,  u = max(0, x - x0)                     failure beyond an onset, half of it with c = 0
//	c u²                                                the same without a knee
//	s w ln(1 + e^((x-x0)/w))                            a soft onset, as the catenary's
//	log2(((m/c + 1)^(1/p) - 1) c/m)                     (t+1)^p, c = 1, and its like
//	log2(1 + 2^a m^b)                                   a power that is added
//	a (1 - e^(-u/r))                                    failure that levels off
//	a / (1 + e^((x1-x)/w))                              failure that comes and levels off
//
// with x = log2 m.
//
// Source: the powers and the constants as in package reciprocity; the soft, the bent, the
// bowed and the levelled ones are worked out here.
var families = []family{{0.26, bent, nearBent}, {0.19, bowed, nearBowed}, {0.07, soft, nearSoft}, {0.17, constants, nearConstants},
	{0.17, plus, nearPlus}, {0.07, levelled.laws, levelled.near}, {0.07, coming.laws, coming.near}}

// bent is failure beyond an onset, straight or bent.
func bent(x []float64, emit func(prior float64, coarse bool, grown []float64)) {
	n := len(x)
	// exp of s u and of c u² apart: the laws are their products.
	straight, curved, grown := make([]float64, n*len(slopes)), make([]float64, n*len(bends)), make([]float64, n)
	for a, x0 := range onsets {
		for i, v := range x {
			u := max(0, v-x0)
			for k, s := range slopes {
				straight[k*n+i] = widest * s * u
			}
			for k, c := range bends {
				curved[k*n+i] = widest * c * u * u
			}
		}
		elementary.Exp(straight, straight)
		elementary.Exp(curved, curved)
		for k := range slopes {
			for b := range bends {
				for i := range grown {
					grown[i] = straight[k*n+i] * curved[b*n+i]
				}
				prior := 1 / float64(len(onsets)*len(slopes))
				if b == 0 {
					prior /= 2
				} else {
					prior /= 4
				}
				emit(prior, (a+k)%4 == 0, grown)
			}
		}
	}
}

func nearBent(x []float64, law int, part [3]float64, z []float64) {
	b := law % len(bends)
	k, a := law/len(bends)%len(slopes), law/len(bends)/len(slopes)
	x0, s, c := onsets[a]+onsetStep*part[0], slopes[k]*math.Pow(slopeStep, part[1]), bends[b]
	if b > 0 { // the straight ones are straight
		c += 0.015 * part[2]
	}
	for i, v := range x {
		u := max(0, v-x0)
		z[i] = s*u + c*u*u
	}
}

var bows = geometric(0.003, bowStep, 27)

const bowStep = 1.12

// bowed is failure that sets in without a knee.
func bowed(x []float64, emit func(prior float64, coarse bool, grown []float64)) {
	n := len(x)
	u, grown := make([]float64, n), make([]float64, n)
	prior := 1 / float64(len(onsets)*len(bows))
	for a, x0 := range onsets {
		for i, v := range x {
			d := max(0, v-x0)
			u[i] = widest * d * d
		}
		for k, c := range bows {
			for i := range grown {
				grown[i] = c * u[i]
			}
			elementary.Exp(grown, grown)
			emit(prior, (a+k)%4 == 0, grown)
		}
	}
}

func nearBowed(x []float64, law int, part [3]float64, z []float64) {
	x0, c := onsets[law/len(bows)]+onsetStep*part[0], bows[law%len(bows)]*math.Pow(bowStep, part[1])
	for i, v := range x {
		u := max(0, v-x0)
		z[i] = c * u * u
	}
}

var softened = struct {
	onsets, slopes []float64
	wide           []float64
}{steps(-3, 8, 0.6), geometric(0.02, 1.09, 42), []float64{0.8, 2}}

// soft is failure that sets in by and by.
func soft(x []float64, emit func(prior float64, coarse bool, grown []float64)) {
	n := len(x)
	u, grown := make([]float64, n), make([]float64, n)
	prior := 1 / float64(len(softened.onsets)*len(softened.slopes)*len(softened.wide))
	for a, x0 := range softened.onsets {
		for _, w := range softened.wide {
			for i, v := range x {
				u[i] = widest * w * math.Log1p(math.Exp((v-x0)/w))
			}
			for k, s := range softened.slopes {
				for i := range grown {
					grown[i] = s * u[i]
				}
				elementary.Exp(grown, grown)
				emit(prior, (a+k)%4 == 0, grown)
			}
		}
	}
}

func nearSoft(x []float64, law int, part [3]float64, z []float64) {
	k := law % len(softened.slopes)
	w, a := law/len(softened.slopes)%len(softened.wide), law/len(softened.slopes)/len(softened.wide)
	x0, s := softened.onsets[a]+0.6*part[0], softened.slopes[k]*math.Pow(1.09, part[1])
	wide := softened.wide[w] * math.Exp2(1.3*part[2])
	for i, v := range x {
		z[i] = s * wide * math.Log1p(math.Exp((v-x0)/wide))
	}
}

// constants is (t+1)^p and its like with another constant than a second.
func constants(x []float64, emit func(prior float64, coarse bool, grown []float64)) {
	n := len(x)
	m, log, grown := make([]float64, n), make([]float64, n), make([]float64, n)
	for a, e := range cs {
		c := math.Exp2(e)
		for i, v := range x {
			m[i] = math.Exp2(v) / c
			log[i] = math.Log1p(m[i])
		}
		for k := range powers {
			p := power0 + powerStep*float64(k)
			for i := range grown {
				grown[i] = log[i] / p
			}
			elementary.Exp(grown, grown)
			for i := range grown {
				grown[i] = max((grown[i]-1)/m[i], 1)
				if m[i] < 1e-6 {
					grown[i] = 1 / p // where the difference is lost
				}
			}
			power(grown)
			emit(1/float64(powers*len(cs)), (a+k)%4 == 0, grown)
		}
	}
}

var cs = steps(-2, 3, 0.5)

const powers, power0, powerStep = 90, 0.68, (0.97 - 0.68) / 89

func nearConstants(x []float64, law int, part [3]float64, z []float64) {
	c, p := math.Exp2(cs[law/powers]+0.5*part[0]), power0+powerStep*(float64(law%powers)+part[1])
	for i, v := range x {
		m := math.Exp2(v) / c
		z[i] = max(math.Log2(math.Expm1(math.Log1p(m)/p)/m), 0)
	}
}

// power turns factors of time into exp(z k), z their log2.
func power(grown []float64) {
	elementary.Log(grown, grown)
	for i := range grown {
		grown[i] *= widest / math.Ln2
	}
	elementary.Exp(grown, grown)
}

var as, bs = steps(-9, 1.5, 0.15), steps(0.1, 1, 0.03)

func nearPlus(x []float64, law int, part [3]float64, z []float64) {
	a, b := as[law%len(as)]+0.15*part[0], bs[law/len(as)]+0.03*part[1]
	for i, v := range x {
		z[i] = math.Log2(1 + math.Exp2(a+b*v))
	}
}

// plus is a power of the time that is added to it.
func plus(x []float64, emit func(prior float64, coarse bool, grown []float64)) {
	n := len(x)
	power1, grown := make([]float64, n), make([]float64, n)
	for k, b := range bs {
		for i, v := range x {
			power1[i] = math.Exp2(b * v)
		}
		for a, e := range as {
			f := math.Exp2(e)
			for i := range grown {
				grown[i] = 1 + f*power1[i]
			}
			power(grown)
			emit(1/float64(len(as)*len(bs)), (a+k)%4 == 0, grown)
		}
	}
}

// capped are the constants of failure that levels off: how much it comes to, in stops.
var capped = geometric(0.3, cappedStep, 13)

const cappedStep = 1.2

// capping is a family of laws that rise from 0 to what they are capped by: as part has it, from
// places on log2 m, of which each is placeStep after the one before, and over widths, between
// which lie octaves.
type capping struct {
	part               func(x, place, width float64) float64
	places             []float64
	placeStep, octaves float64
	widths             []float64
}

// levelled is failure beyond an onset that levels off, coming failure that comes and levels off,
// as a logistic curve.
var (
	levelled = capping{func(x, onset, reach float64) float64 { return -math.Expm1(-max(0, x-onset) / reach) },
		steps(-3, 5, 0.6), 0.6, 1, []float64{1.5, 3, 6}}
	coming = capping{func(x, middle, width float64) float64 { return 1 / (1 + math.Exp((middle-x)/width)) },
		steps(0, 8, 0.5), 0.5, 0.75, []float64{0.9, 1.5, 2.5}}
)

func (c *capping) laws(x []float64, emit func(prior float64, coarse bool, grown []float64)) {
	u, grown := make([]float64, len(x)), make([]float64, len(x))
	prior := 1 / float64(len(c.places)*len(c.widths)*len(capped))
	for a, place := range c.places {
		for _, w := range c.widths {
			for i, v := range x {
				u[i] = widest * c.part(v, place, w)
			}
			for k, most := range capped {
				for i := range grown {
					grown[i] = most * u[i]
				}
				elementary.Exp(grown, grown)
				emit(prior, (a+k)%4 == 0, grown)
			}
		}
	}
}

func (c *capping) near(x []float64, law int, part [3]float64, z []float64) {
	k, w, a := law%len(capped), law/len(capped)%len(c.widths), law/len(capped)/len(c.widths)
	place, most, width := c.places[a]+c.placeStep*part[0], capped[k]*math.Pow(cappedStep, part[1]), c.widths[w]*math.Exp2(c.octaves*part[2])
	for i, v := range x {
		z[i] = most * c.part(v, place, width)
	}
}
