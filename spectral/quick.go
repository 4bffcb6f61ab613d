package spectral

// A block is eight segments of a spectrum with many knots, as the moments about its
// first knot,
//
//	∫ s dλ,  ∫ s t dλ,  ∫ s t² dλ,  t = λ - first
//
// with which the integral of s times a polynomial of the second degree is three
// products. The moments are of values next to each other, so that nothing cancels.
//
// Source: the definition of moments.
type block struct{ m0, m1, m2 float64 }

const (
	blockSize   = 8
	blocksFrom  = 64 // knots; below it is quicker to walk
	quickFactor = 3  // spectra that are multiplied without Gauss points
)

func blocks(nm, v []float64) []block {
	if len(nm) < blocksFrom {
		return nil
	}
	out := make([]block, 0, (len(nm)-1)/blockSize)
	for i := 0; i+blockSize < len(nm); i += blockSize {
		var b block
		for j := i; j < i+blockSize; j++ {
			x0, x1 := nm[j]-nm[i], nm[j+1]-nm[i]
			xm, h := (x0+x1)/2, (x1-x0)/6
			p0, pm, p1 := v[j], 2*(v[j]+v[j+1]), v[j+1] // Simpson's rule, exact to the third degree
			b.m0 += h * (p0 + pm + p1)
			b.m1 += h * (p0*x0 + pm*xm + p1*x1)
			b.m2 += h * (p0*x0*x0 + pm*xm*xm + p1*x1*x1)
		}
		out = append(out, b)
	}
	return out
}

// quick integrates the product of two or three spectra from lo to hi: it walks the
// knots of all but the finest, and sums that over each stretch against the polynomial
// that the others are there. It is exact as segments is, in fewer steps.
func quick(s []Spectrum, lo, hi float64) float64 {
	finest := 0
	for i := range s {
		if len(s[i].nm) > len(s[finest].nm) {
			finest = i
		}
	}
	f := &s[finest]
	var others [quickFactor - 1]*Spectrum
	n := 0
	for i := range s {
		if i != finest {
			others[n] = &s[i]
			n++
		}
	}
	var at [quickFactor - 1]int
	for i := range n {
		at[i] = locate(others[i].nm, lo)
	}
	sum, k := 0.0, locate(f.nm, lo)
	for a := lo; a < hi; {
		b := hi
		for i := range n {
			if c := at[i]; c < len(others[i].nm) && others[i].nm[c] < b {
				b = others[i].nm[c]
			}
		}
		// (u0 + u1 t)(w0 + w1 t) with t = λ - a
		u0, u1 := others[0].line(at[0], a)
		w0, w1 := 1.0, 0.0
		if n > 1 {
			w0, w1 = others[1].line(at[1], a)
		}
		var part float64
		part, k = f.against(k, a, b, u0*w0, u0*w1+u1*w0, u1*w1)
		sum += part
		for i := range n {
			if c := at[i]; c < len(others[i].nm) && others[i].nm[c] == b {
				at[i]++
			}
		}
		a = b
	}
	return sum
}

// line returns value and slope at a, which lies below knot c and not below c-1.
func (s *Spectrum) line(c int, a float64) (value, slope float64) {
	if c == 0 || c == len(s.nm) {
		return s.segment(c, a), 0
	}
	slope = (s.v[c] - s.v[c-1]) / (s.nm[c] - s.nm[c-1])
	return s.v[c-1] + (a-s.nm[c-1])*slope, slope
}

// against integrates the spectrum from a to b times c0 + c1 t + c2 t², t = λ - a. k is
// the first knot above a; that above b is returned.
func (s *Spectrum) against(k int, a, b, c0, c1, c2 float64) (sum float64, next int) {
	nm, v := s.nm, s.v[:len(s.nm)]
	t0, p0 := 0.0, s.segment(k, a)
	q0 := c0 * p0
	for k < len(nm) && nm[k] <= b {
		if i := (k - 1) / blockSize; k > 0 && (k-1)%blockSize == 0 && i < len(s.blocks) && nm[k-1+blockSize] <= b && nm[k-1]-a == t0 {
			m := &s.blocks[i]
			sum += (c0+t0*(c1+t0*c2))*m.m0 + (c1+2*c2*t0)*m.m1 + c2*m.m2
			k += blockSize
			t0, p0 = nm[k-1]-a, v[k-1]
			q0 = (c0 + t0*(c1+t0*c2)) * p0
			continue
		}
		t1, p1 := nm[k]-a, v[k]
		tm := (t0 + t1) / 2
		q1 := (c0 + t1*(c1+t1*c2)) * p1
		sum += (t1 - t0) * (1. / 6) * (q0 + 2*(c0+tm*(c1+tm*c2))*(p0+p1) + q1)
		t0, p0, q0 = t1, p1, q1
		k++
	}
	if t1 := b - a; t1 > t0 {
		p1 := s.segment(k, b)
		tm := (t0 + t1) / 2
		sum += (t1 - t0) / 6 * (q0 + 2*(c0+tm*(c1+tm*c2))*(p0+p1) + (c0+t1*(c1+t1*c2))*p1)
	}
	return sum, k
}
