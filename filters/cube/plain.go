package cube

import "math"

// plainly does pixels in plain Go, save perhaps the sums: exposures of a block of
// pixels first, in the place of their densities, and then these.
func (p *Renderer) plainly(density, reflectance []float32, counts *[4]int) {
	const block = 64 // pixels
	B, K := p.bands, p.channels
	if best == plain && K == 1 && B <= short {
		l := &p.tables.of[0]
		for len(density) >= 4 {
			j := fours(density, reflectance, p.relative, p.tables.cells, uint32(l.end-one), p.tables.shift)
			density, reflectance = density[j:], reflectance[j*B:]
			if len(density) >= 4 {
				p.tones(density[:4], 1, l, counts)
				density, reflectance = density[4:], reflectance[4*B:]
			}
		}
	}
	for len(density) > 0 {
		d := density[:min(block*K, len(density))]
		for k := range K {
			n := 0
			if best != plain {
				n = p.sums(d[k:], k, reflectance[:len(d)/K*B])
			}
			if n < len(d)/K {
				exposures(d[n*K+k:], K, reflectance[n*B:], p.relative[k*B:(k+1)*B])
			}
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

// short is the number of bands up to which four pixels at a time are faster than
// two.
const short = 40

// fours does one channel four pixels at a time as long as all four are in the
// table, and returns how far it came; the four after that hold their exposures. The
// look-up goes on beside the sums of the next four.
func fours(x, reflectance, w []float32, cells []cell, span, shift uint32) int {
	B := len(w)
	shift &= 31
	mask := uint32(1)<<shift - 1
	j := 0
	for ; j+4 <= len(x); j += 4 {
		r0, r1, r2, r3 := reflectance[:len(w)], reflectance[B:][:len(w)], reflectance[2*B:][:len(w)], reflectance[3*B:][:len(w)]
		var s0, s1, s2, s3 float32
		b := 0
		for ; b < len(w)-3; b += 4 {
			a, c, d, e := w[b], w[b+1], w[b+2], w[b+3]
			s0 += (a*r0[b] + c*r0[b+1]) + (d*r0[b+2] + e*r0[b+3])
			s1 += (a*r1[b] + c*r1[b+1]) + (d*r1[b+2] + e*r1[b+3])
			s2 += (a*r2[b] + c*r2[b+1]) + (d*r2[b+2] + e*r2[b+3])
			s3 += (a*r3[b] + c*r3[b+1]) + (d*r3[b+2] + e*r3[b+3])
		}
		for ; b < len(w); b++ {
			a := w[b]
			s0 += a * r0[b]
			s1 += a * r1[b]
			s2 += a * r2[b]
			s3 += a * r3[b]
		}
		y := x[j : j+4 : j+4]
		i0, i1, i2, i3 := math.Float32bits(s0)-one, math.Float32bits(s1)-one, math.Float32bits(s2)-one, math.Float32bits(s3)-one
		if i0 > span || i1 > span || i2 > span || i3 > span {
			y[0], y[1], y[2], y[3] = s0, s1, s2, s3
			return j
		}
		c0, c1, c2, c3 := &cells[i0>>shift], &cells[i1>>shift], &cells[i2>>shift], &cells[i3>>shift]
		y[0] = c0.density + float32(int32(i0&mask))*c0.step
		y[1] = c1.density + float32(int32(i1&mask))*c1.step
		y[2] = c2.density + float32(int32(i2&mask))*c2.step
		y[3] = c3.density + float32(int32(i3&mask))*c3.step
		reflectance = reflectance[4*B:]
	}
	return j
}

// exposures sums several pixels at a time, so that a weight is loaded once for them
// all and no sum waits for another: four short ones, or two long ones. Memory is
// read ahead for few streams only, and four long pixels take twice the time of two.
// The sums start at 0, so that none is -0.
func exposures(x []float32, stride int, reflectance, w []float32) {
	B := len(w)
	for ; B <= short && len(x) > 3*stride; reflectance = reflectance[4*B:] {
		r0, r1, r2, r3 := reflectance[:len(w)], reflectance[B:][:len(w)], reflectance[2*B:][:len(w)], reflectance[3*B:][:len(w)]
		var s0, s1, s2, s3 float32
		b := 0
		for ; b < len(w)-1; b += 2 {
			a, c := w[b], w[b+1]
			s0 += a*r0[b] + c*r0[b+1]
			s1 += a*r1[b] + c*r1[b+1]
			s2 += a*r2[b] + c*r2[b+1]
			s3 += a*r3[b] + c*r3[b+1]
		}
		if b < len(w) {
			s0 += w[b] * r0[b]
			s1 += w[b] * r1[b]
			s2 += w[b] * r2[b]
			s3 += w[b] * r3[b]
		}
		x[0], x[stride], x[2*stride], x[3*stride] = s0, s1, s2, s3
		x = x[min(4*stride, len(x)):]
	}
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
func (p *Renderer) tones(x []float32, stride int, l *limits, counts *[4]int) {
	cells, span, shift := p.tables.cells[l.first:], uint32(l.end-one), p.tables.shift
	for {
		j := within(x, stride, cells, span, shift)
		if j >= len(x) {
			return
		}
		i := int32(math.Float32bits(x[j]))
		if (i < l.low || i > l.high) && p.outside(x[j], l, counts) {
			x[j] = float32(math.NaN())
		} else {
			x[j] = math.Float32frombits(uint32(min(max(i, one), l.end)))
			within(x[j:j+1], 1, cells, span, shift)
		}
		x = x[min(j+stride, len(x)):]
	}
}

// within looks exposures up as long as they are in the table, and returns how far
// it came. By itself its loop keeps everything in registers.
//
//go:noinline
func within(x []float32, stride int, cells []cell, span, shift uint32) int {
	shift &= 31
	mask := uint32(1)<<shift - 1
	for j := 0; j < len(x); j += stride {
		i := math.Float32bits(x[j]) - one
		if i > span {
			return j
		}
		c := cells[i>>shift]
		x[j] = c.density + float32(int32(i&mask))*c.step
	}
	return len(x)
}

// outside counts an exposure that is not within the limits and says whether it
// has no density.
//
//go:noinline
func (p *Renderer) outside(x float32, l *limits, counts *[4]int) bool {
	switch {
	case x-x != 0: // NaN or infinite
		counts[3]++
		return true
	case x < 0:
		counts[2]++
	case x > 0 && int32(math.Float32bits(x)) > l.high:
		counts[1]++
	default:
		counts[0]++
	}
	return p.refuse
}
