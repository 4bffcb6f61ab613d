package reciprocity

import "math"

// rounding is the part of a sum of squares below which two residual sums count
// as equal.
const rounding = 4e-15

// hinge is y = a max(0, x - u).
type hinge struct {
	a, u, rss float64
	cov       [4]float64 // of a, u; NaN where the readings do not tell
}

// fitHinge finds the hinge of least weighted residual sum with u >= least and
// 0 <= a <= most. x must not fall. For each set of readings beyond the hinge
// the best line is known in closed form, so the search is exact and takes one
// pass. Among hinges that fit equally well the flattest wins.
func fitHinge(x, y, w []float64, least, most float64) hinge {
	n := len(x)
	nan := math.NaN()
	best := hinge{cov: [4]float64{nan, nan, nan, nan}}
	before := make([]float64, n+1) // residual sum of the readings below the hinge
	for i := range y {
		before[i+1] = before[i] + w[i]*y[i]*y[i]
	}
	best.rss = before[n]
	if n == 0 {
		return best
	}
	best.u = x[n-1]
	floor := rounding * best.rss
	var sw, sx, sy, sxx, sxy, syy float64 // sums over the active readings, about x[n-1]
	origin := x[n-1]
	try := func(k int, a, u float64) {
		if !(a > 0) || !(u >= least) {
			return
		}
		a = math.Min(a, most)
		v := u - origin
		// residual sum of the active readings for the line a (x - u)
		rss := syy - 2*a*(sxy-v*sy) + a*a*(sxx-2*v*sx+v*v*sw)
		rss = math.Max(rss, 0) + before[k]
		if tie := 1e-9*best.rss + floor; rss < best.rss-tie || rss <= best.rss+tie && a < best.a {
			best.a, best.u, best.rss = a, u, rss
		}
	}
	for k := n - 1; k >= 0; k-- {
		dx := x[k] - origin
		sw += w[k]
		sx += w[k] * dx
		sy += w[k] * y[k]
		sxx += w[k] * dx * dx
		sxy += w[k] * dx * y[k]
		syy += w[k] * y[k] * y[k]
		if k > 0 && x[k-1] == x[k] {
			continue
		}
		// u between the last reading before and the first of the active ones
		lo := least
		if k > 0 {
			lo = math.Max(lo, x[k-1])
		}
		if !(lo < x[k]) {
			continue
		}
		if det := sxx - sx*sx/sw; det > 1e-12*sxx {
			a := (sxy - sx*sy/sw) / det
			if a > most {
				a = most
			}
			if u := origin + sx/sw - sy/sw/a; u >= lo && u <= x[k] {
				try(k, a, u)
			}
		}
		if sy > 0 && !math.IsInf(most, 0) {
			if u := origin + sx/sw - sy/sw/most; u >= lo && u <= x[k] {
				try(k, most, u)
			}
		}
		if !math.IsInf(lo, 0) {
			v := lo - origin
			if q := sxx - 2*v*sx + v*v*sw; q > 0 {
				try(k, (sxy-v*sy)/q, lo)
			}
		}
	}
	if !(best.a > 0) {
		return best
	}
	// Covariance from the readings beyond the hinge.
	var saa, sau, suu float64
	for i := range x {
		if h := x[i] - best.u; h > 0 {
			saa += w[i] * h * h
			sau -= w[i] * h * best.a
			suu += w[i] * best.a * best.a
		}
	}
	if det := saa*suu - sau*sau; det > 1e-10*saa*suu && best.a < most {
		best.cov = [4]float64{suu / det, -sau / det, -sau / det, saa / det}
	}
	return best
}

// hingeAt is max(0, h), the distance beyond the hinge, and leaves the derivatives of
// a max(0, x - u) by a and u.
func hingeAt(h, a float64, g []float64) float64 {
	if !(h > 0) {
		clear(g)
		return 0
	}
	if g != nil {
		g[0], g[1] = h, -a
	}
	return h
}

// hingeBox is where slope and place of a hinge may lie: the slope of p from 0.4 on,
// the place from five decades below the readings to the last of them.
func hingeBox(x []float64) []span {
	return []span{{0, 1.5}, {x[0] - 5*math.Ln10, x[len(x)-1]}}
}
