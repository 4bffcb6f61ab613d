package image

import "math"

// portable does pixels in plain Go: exposures of a block of pixels first, in the
// place of their densities, and then these.
func (p *Prepared) portable(density, reflectance []float32, counts *[4]int) {
	const block = 64 // pixels
	B, K := p.bands, p.channels
	for len(density) > 0 {
		d := density[:min(block*K, len(density))]
		for k := range K {
			exposures(d[k:], K, reflectance, p.plain[k*B:(k+1)*B])
		}
		if p.tables.single {
			p.tones(d, 1, &p.tables.of[0], counts)
		} else {
			for k := range K {
				p.tones(d[k:], K, &p.tables.of[k], counts)
			}
		}
		density, reflectance = density[len(d):], reflectance[len(d)/K*B:]
	}
}

// exposures sums two pixels at a time, each in two parts: a weight is loaded once
// for two products, and no sum waits for another. Four pixels at a time are a
// little quicker out of the first cache and half as quick out of memory, which is
// read ahead for few streams only.
func exposures(x []float32, stride int, reflectance, w []float32) {
	B := len(w)
	for ; len(x) > stride; reflectance = reflectance[2*B:] {
		r0, r1 := reflectance[:len(w)], reflectance[B:][:len(w)]
		var s0, s1, t0, t1 float32
		b := 0
		for ; b < len(w)-3; b += 4 {
			a, c, d, e := w[b], w[b+1], w[b+2], w[b+3]
			s0 += a*r0[b] + c*r0[b+1]
			t0 += d*r0[b+2] + e*r0[b+3]
			s1 += a*r1[b] + c*r1[b+1]
			t1 += d*r1[b+2] + e*r1[b+3]
		}
		for ; b < len(w); b++ {
			s0 += w[b] * r0[b]
			s1 += w[b] * r1[b]
		}
		x[0], x[stride] = s0+t0, s1+t1
		x = x[min(2*stride, len(x)):]
	}
	if len(x) > 0 {
		var s float32
		for b, r := range reflectance[:len(w)] {
			s += w[b] * r
		}
		x[0] = s
	}
}

// tones turns exposures into densities, in their place.
func (p *Prepared) tones(x []float32, stride int, l *limits, counts *[4]int) {
	end, left := l.end, 23-p.tables.shift&31
	entries, shift := p.tables.entries[l.first:], p.tables.shift&31
	for j := 0; j < len(x); j += stride {
		i := int32(math.Float32bits(x[j]))
		if i < one || i > end {
			x[j] = p.beyond(x[j], l, counts)
			continue
		}
		k := uint32(i-one) >> shift
		a, b := entries[k], entries[k+1]
		// The mantissa bits below the index as a fraction, by way of 1 to 2.
		f := math.Float32frombits(uint32(i)<<left&(1<<23-1)|one) - 1
		x[j] = a + f*(b-a)
	}
}

// beyond returns the density of an exposure that is not in the table.
//
//go:noinline
func (p *Prepared) beyond(x float32, l *limits, counts *[4]int) float32 {
	i := int32(math.Float32bits(x))
	if (i < l.low || i > l.high) && p.outside(x, l, counts) {
		return float32(math.NaN())
	}
	at := [1]float32{math.Float32frombits(uint32(min(max(i, one), l.end)))}
	p.tones(at[:], 1, l, counts)
	return at[0]
}

// outside counts an exposure that is not within the limits and says whether it
// has no density.
func (p *Prepared) outside(x float32, l *limits, counts *[4]int) bool {
	switch {
	case x-x != 0: // NaN or infinite
		counts[3]++
		return true
	case x < 0:
		counts[2]++
	case x > 0 && int32(math.Float32bits(x)) > l.high:
		counts[1]++
	case x == 0 && l.low == 0: // -0 on a curve without a lower bound
		return false
	default:
		counts[0]++
	}
	return p.refuse
}
