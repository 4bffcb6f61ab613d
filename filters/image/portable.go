package image

import "math"

// portable does pixels in plain Go, four at a time so that each weight is loaded
// once for four sums that do not wait for each other.
func (p *Prepared) portable(density, reflectance []float32, counts *[4]int) {
	B, K := p.bands, p.channels
	for len(density) >= 4*K {
		r := reflectance[:4*B]
		for k := range K {
			w := p.plain[k*B : (k+1)*B]
			r0, r1, r2, r3 := r[:len(w)], r[B:][:len(w)], r[2*B:][:len(w)], r[3*B:][:len(w)]
			var s0, s1, s2, s3 float32
			for b, a := range w {
				s0 += a * r0[b]
				s1 += a * r1[b]
				s2 += a * r2[b]
				s3 += a * r3[b]
			}
			l := &p.tables.of[k]
			density[k] = p.density(s0, l, counts)
			density[K+k] = p.density(s1, l, counts)
			density[2*K+k] = p.density(s2, l, counts)
			density[3*K+k] = p.density(s3, l, counts)
		}
		density, reflectance = density[4*K:], reflectance[4*B:]
	}
	for len(density) > 0 {
		for k := range K {
			w := p.plain[k*B : (k+1)*B]
			var s float32
			for b, r := range reflectance[:len(w)] {
				s += w[b] * r
			}
			density[k] = p.density(s, &p.tables.of[k], counts)
		}
		density, reflectance = density[K:], reflectance[B:]
	}
}

// density looks an exposure up.
func (p *Prepared) density(x float32, l *limits, counts *[4]int) float32 {
	i := int32(math.Float32bits(x))
	if i < l.low || i > l.high {
		if p.outside(x, l, counts) {
			return float32(math.NaN())
		}
	}
	i = min(max(i, one), l.end)
	f := float32(i&(1<<p.tables.shift-1)) / float32(int32(1)<<p.tables.shift)
	e := p.tables.entries[i>>p.tables.shift+l.base:]
	return e[0] + f*(e[1]-e[0])
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
