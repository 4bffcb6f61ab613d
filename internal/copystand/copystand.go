// Package copystand simulates photographs of film on a light table: an uneven lamp, flare,
// grain that spans pixels, dust, and a camera with photons, read noise, dark current and a
// white beyond which it sees nothing. Truths are known, so that what reads such pictures
// can be held to them.
package copystand

import (
	"math"
	"math/rand/v2"
)

// Stand is lamp, lens and camera. Values are counts.
type Stand struct {
	Width, Height int
	Rate          float64 // counts a second that the bare table gives in the middle
	Vignette      float64 // share of the light that the corners lack
	Flare         float64 // stray light as a fraction of the field's mean
	Bias          float64 // counts in the dark, at no time
	DarkCurrent   float64 // counts a second
	Electrons     float64 // a count
	Read          float64 // electrons
	White         float64 // the greatest count
}

// New is a stand with a camera of 14 bits.
func New(width, height int) Stand {
	return Stand{Width: width, Height: height, Rate: 12000 * 64, Vignette: 0.25, Bias: 512, DarkCurrent: 4, Electrons: 4,
		Read: 6, White: 16383}
}

// Lamp is the share of the middle's light that falls on a pixel.
func (s Stand) Lamp(x, y int) float64 {
	dx, dy := float64(x)/float64(s.Width)-0.5, float64(y)/float64(s.Height)-0.5
	return 1 - s.Vignette*2*(dx*dx+dy*dy) + 0.02*dx
}

// Expose photographs a field of transmittances for a time in seconds.
func (s Stand) Expose(r *rand.Rand, t []float64, seconds float64) []uint16 {
	mean := 0.0
	for i, v := range t {
		mean += v * s.Lamp(i%s.Width, i/s.Width)
	}
	mean /= float64(len(t))
	out := make([]uint16, len(t))
	for i, v := range t {
		light := (v*s.Lamp(i%s.Width, i/s.Width) + s.Flare*mean) * s.Rate * seconds
		out[i] = s.count(r, light, seconds)
	}
	return out
}

// Dark photographs with the lens covered.
func (s Stand) Dark(r *rand.Rand, seconds float64) []uint16 {
	out := make([]uint16, s.Width*s.Height)
	for i := range out {
		out[i] = s.count(r, 0, seconds)
	}
	return out
}

func (s Stand) count(r *rand.Rand, light, seconds float64) uint16 {
	electrons := poisson(r, (light+s.DarkCurrent*seconds)*s.Electrons) + s.Read*r.NormFloat64()
	return uint16(math.Round(min(max(electrons/s.Electrons+s.Bias, 0), s.White)))
}

// poisson draws a number of photons; the normal law above 50.
func poisson(r *rand.Rand, mean float64) float64 {
	if mean > 50 {
		return math.Round(mean + math.Sqrt(mean)*r.NormFloat64())
	}
	limit, n, p := math.Exp(-mean), 0.0, r.Float64()
	for p > limit {
		n, p = n+1, p*r.Float64()
	}
	return n
}

// Grain returns noise of standard deviation 1 whose pixels know each other: white noise
// smoothed twice by a running mean of so many pixels, along both axes.
func Grain(r *rand.Rand, width, height, span int) []float64 {
	z := make([]float64, width*height)
	for i := range z {
		z[i] = r.NormFloat64()
	}
	for range 2 {
		z = running(running(z, width, height, span), height, width, span)
	}
	ss := 0.0
	for _, v := range z {
		ss += v * v
	}
	k := 1 / scaleOf(span)
	for i := range z {
		z[i] *= k
	}
	return z
}

// scaleOf is the standard deviation that two running means along two axes leave of white
// noise: the sum of squares of their kernel, a triangle.
func scaleOf(span int) float64 {
	n, ss := float64(span), 0.0
	for i := 1 - span; i < span; i++ {
		w := (n - math.Abs(float64(i))) / (n * n)
		ss += w * w
	}
	return ss // the square of the root of one axis
}

// running takes the running mean along rows, round the ends, and turns rows to columns.
func running(z []float64, width, height, span int) []float64 {
	out := make([]float64, len(z))
	for y := range height {
		row := z[y*width : (y+1)*width]
		sum := 0.0
		for k := range span {
			sum += row[k%width]
		}
		for x := range width {
			out[x*height+y] = sum / float64(span)
			sum += row[(x+span)%width] - row[x]
		}
	}
	return out
}

// Film turns densities into transmittances, with grain: the mean transmittance stays that of
// the density, and the density's standard deviation a pixel is grain at a density of 1, and
// goes as its root.
func Film(r *rand.Rand, densities []float64, width int, grain float64, span int) []float64 {
	t := make([]float64, len(densities))
	var z []float64
	if grain > 0 {
		z = Grain(r, width, len(densities)/width, span)
	}
	for i, d := range densities {
		t[i] = math.Pow(10, -d)
		if z != nil && d > 0 {
			s := grain * math.Sqrt(d) * math.Ln10
			t[i] *= math.Exp(s*z[i] - s*s/2)
		}
	}
	return t
}

// Dust puts so many specks on a field, some pixels across, and as many scratches by half.
func Dust(r *rand.Rand, t []float64, width, specks int) {
	height := len(t) / width
	for range specks {
		x, y, size := r.Float64()*float64(width), r.Float64()*float64(height), 0.7+2*r.Float64()
		for i := range t {
			if d := math.Hypot(float64(i%width)-x, float64(i/width)-y); d < 3*size {
				t[i] *= 1 - 0.9*math.Exp(-d*d/(2*size*size)*2)
			}
		}
	}
	for range specks / 2 {
		x, y, long := r.IntN(width), r.IntN(height), 5+r.IntN(30)
		for k := range long {
			if px := x + k; px < width {
				t[y*width+px] = min(1, 2*t[y*width+px]+0.01)
			}
		}
	}
}
