package copystand

import (
	"math"
	"math/rand/v2"
)

// The structure of film is simulated on a grid finer than the camera's pixels, of a step in
// µm, and brought to pixels by [Optics]. Fields are rows of so many values and go round at
// their ends.

// Correlated returns noise of standard deviation 1 with the covariance exp(-h²/(2 s²)), s in
// steps: white noise smoothed by a Gaussian of s/sqrt(2).
func Correlated(r *rand.Rand, width, height int, s float64) []float64 {
	z := make([]float64, width*height)
	for i := range z {
		z[i] = r.NormFloat64()
	}
	k := gaussian(s / math.Sqrt2)
	ss := 0.0
	for _, v := range k {
		ss += v * v
	}
	for i := range k {
		k[i] /= math.Sqrt(ss) // each axis leaves the standard deviation as it is
	}
	return convolve(convolve(z, width, height, k), height, width, k)
}

// Discs returns the transmittance of discs that lie at random, so many a square step on the
// average, of a radius in steps, each of which adds a density, +Inf where it is opaque. Values
// are those at the points of the grid.
func Discs(r *rand.Rand, width, height int, perArea, radius, density float64) []float64 {
	t := make([]float64, width*height)
	for i := range t {
		t[i] = 1
	}
	through := math.Pow(10, -density)
	for range int(poisson(r, perArea*float64(width*height))) {
		x, y := r.Float64()*float64(width), r.Float64()*float64(height)
		for j := int(math.Ceil(y - radius)); float64(j) <= y+radius; j++ {
			half := math.Sqrt(max(radius*radius-(float64(j)-y)*(float64(j)-y), 0))
			row := t[(j+height)%height*width : (j+height)%height*width+width]
			for i := int(math.Ceil(x - half)); float64(i) <= x+half; i++ {
				row[(i+width)%width] *= through
			}
		}
	}
	return t
}

// Edge returns a straight edge through the middle of a field: the share of the way from its
// left side to its right side, by the distance from it along its normal in steps. Its direction is
// the angle in degrees from the columns.
func Edge(width, height int, degrees float64, spread func(distance float64) float64) []float64 {
	s, c := math.Sincos(degrees * math.Pi / 180)
	out := make([]float64, width*height)
	for i := range out {
		x, y := float64(i%width)+0.5-float64(width)/2, float64(i/width)+0.5-float64(height)/2
		out[i] = spread(x*c + y*s)
	}
	return out
}

// Sharp is a spread of none, averaged over a step.
func Sharp(d float64) float64 { return min(max(d+0.5, 0), 1) }

// Blurred is the spread of a Gaussian of a standard deviation in steps.
func Blurred(sigma float64) func(float64) float64 {
	return func(d float64) float64 { return 0.5 * math.Erfc(-d/sigma/math.Sqrt2) }
}

// Optics brings a field of transmittances to pixels of so many steps on a side, through a lens
// whose spread is a Gaussian of a standard deviation in steps. Its response is that of the
// Gaussian times that of a pixel's box.
func Optics(t []float64, width, height, pixel int, sigma float64) []float64 {
	if sigma > 0 {
		k := gaussian(sigma)
		t = convolve(convolve(t, width, height, k), height, width, k)
	}
	w, h := width/pixel, height/pixel
	out := make([]float64, w*h)
	for y := range h * pixel {
		row := t[y*width : (y+1)*width]
		for x := range w {
			sum := 0.0
			for _, v := range row[x*pixel : (x+1)*pixel] {
				sum += v
			}
			out[y/pixel*w+x] += sum / float64(pixel*pixel)
		}
	}
	return out
}

// gaussian is a kernel whose sum is 1.
func gaussian(sigma float64) []float64 {
	n := int(math.Ceil(5 * sigma))
	k := make([]float64, 2*n+1)
	sum := 0.0
	for i := range k {
		x := float64(i-n) / sigma
		k[i] = math.Exp(-x * x / 2)
		sum += k[i]
	}
	for i := range k {
		k[i] /= sum
	}
	return k
}

// convolve smooths rows, round the ends, and turns rows to columns.
func convolve(z []float64, width, height int, k []float64) []float64 {
	out := make([]float64, len(z))
	n := len(k) / 2
	padded := make([]float64, width+2*n)
	for y := range height {
		row := z[y*width : (y+1)*width]
		for i := range padded {
			padded[i] = row[((i-n)%width+width)%width]
		}
		for x := range width {
			sum := 0.0
			for i, v := range k {
				sum += v * padded[x+i]
			}
			out[x*height+y] = sum
		}
	}
	return out
}
