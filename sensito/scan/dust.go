package scan

import (
	"math"
	"slices"
)

// Dust shuts the light out and scratches let it through: both lie far from the rest of a
// patch. A pixel is set aside where it, or the mean of the 3 × 3 about it, is more than
// dustLimit robust standard deviations from the patch's plane, each side by its own: light
// through grain is skew. So are its neighbours, which the lens has spread the speck to.
const dustLimit = 5

// setAside marks what is not film in a patch, and returns the plane of the rest. Nothing
// within floor of the plane is marked: the step of the numbers, where there is no noise. It
// is false where more than half would go.
func setAside(v []float64, width, height int, floor float64) (out []bool, p plane, ok bool) {
	out = make([]bool, len(v))
	var mid []float64
	for i := 0; i < len(v); i += thinning(len(v)) {
		mid = append(mid, v[i])
	}
	p = plane{a: medianOf(mid)}
	residual, smooth := make([]float64, len(v)), make([]float64, len(v))
	for pass := range 4 {
		for i := range v {
			residual[i] = v[i] - p.at(i%width, i/width)
		}
		next := make([]bool, len(v))
		mark(residual, next, width, height, 0, floor)
		for i := range residual {
			if out[i] {
				smooth[i] = 0
			} else {
				smooth[i] = residual[i]
			}
		}
		boxMean(smooth, residual, width, height)
		mark(smooth, next, width, height, 1, floor)
		if pass > 0 && slices.Equal(next, out) {
			break
		}
		out = next
		left := 0
		for _, o := range out {
			if !o {
				left++
			}
		}
		if 2*left < len(v) {
			return out, p, false
		}
		if p, ok = fitPlane(v, out, width, height); !ok {
			return out, p, false
		}
	}
	return out, p, true
}

// mark sets out the pixels beyond the limit with those within reach about them.
// With a reach, v is a running mean, and its border, a mean of fewer, is left out.
func mark(v []float64, out []bool, width, height, reach int, floor float64) {
	up, down := sides(v)
	up, down = max(dustLimit*up, floor), max(dustLimit*down, floor)
	for i, x := range v {
		x0, y0 := i%width, i/width
		if x <= up && x >= -down || reach > 0 && (x0 == 0 || y0 == 0 || x0 == width-1 || y0 == height-1) {
			continue
		}
		for y := max(y0-1-reach, 0); y <= min(y0+1+reach, height-1); y++ {
			for x := max(x0-1-reach, 0); x <= min(x0+1+reach, width-1); x++ {
				out[y*width+x] = true
			}
		}
	}
}

// sides returns a robust standard deviation of each side of 0: that side's median over
// 0.6745.
func sides(v []float64) (up, down float64) {
	var above, below []float64
	for i := 0; i < len(v); i += thinning(len(v)) {
		x := v[i]
		switch {
		case x > 0:
			above = append(above, x)
		case x < 0:
			below = append(below, -x)
		}
	}
	const normal = 0.674489750196082
	up, down = medianOf(above)/normal, medianOf(below)/normal
	// a side that is nearly empty, in pictures without noise, takes the other's
	if 4*len(above) < len(below) {
		up = max(up, down)
	}
	if 4*len(below) < len(above) {
		down = max(up, down)
	}
	return up, down
}

// thinning is the stride, odd so that it falls on no column, that leaves some thousands
// of so many values: enough for a median, to a hundredth of a standard deviation.
func thinning(n int) int { return n/10000*2 + 1 }

// medianOf is the middle of values that it may put in another order; 0 for none.
func medianOf(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	k := len(v) / 2
	m := nth(v, k)
	if len(v)%2 == 0 {
		m = (m + slices.Max(v[:k])) / 2
	}
	if math.IsNaN(m) {
		return 0
	}
	return m
}

// nth puts the k-th of values in their order at its place, those below before it and those
// above behind, and returns it: Hoare's selection, linear in their number on the average.
func nth(v []float64, k int) float64 {
	lo, hi := 0, len(v)-1
	for lo < hi {
		if hi-lo < 12 {
			slices.Sort(v[lo : hi+1])
			break
		}
		a, b, c := v[lo], v[(lo+hi)/2], v[hi]
		pivot := max(min(a, b), min(max(a, b), c))
		if pivot != pivot {
			slices.Sort(v[lo : hi+1])
			break
		}
		i, j := lo, hi
		for i <= j {
			for i <= hi && v[i] < pivot {
				i++
			}
			for j >= lo && v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return v[k]
		}
	}
	return v[k]
}

// boxMean replaces v by its mean over 3 × 3 pixels, fewer at the border; scratch is as long.
func boxMean(v, scratch []float64, width, height int) {
	for y := range height {
		for x := range width {
			s, n := 0.0, 0
			for k := max(x-1, 0); k <= min(x+1, width-1); k++ {
				s, n = s+v[y*width+k], n+1
			}
			scratch[y*width+x] = s / float64(n)
		}
	}
	for y := range height {
		for x := range width {
			s, n := 0.0, 0
			for k := max(y-1, 0); k <= min(y+1, height-1); k++ {
				s, n = s+scratch[k*width+x], n+1
			}
			v[y*width+x] = s / float64(n)
		}
	}
}
