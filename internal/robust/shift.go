package robust

import (
	"math"
	"slices"

	"example.org/actinic/internal/cholesky"
)

// Linear is a table whose values should follow a law that is linear in a few
// coefficients,
//
//	y_i = sum_j Z_ij b_j + noise_i
//
// with what is known beforehand of the coefficients: b_j is normal about Mean_j
// with standard deviation SD_j. Several sets of SD stand for laws that are more
// or less strict, Scatter for how well whoever made the table kept to any law.
// They are weighed against each other by the table itself.
type Linear struct {
	Z       [][]float64
	Mean    []float64
	SD      [][]float64 // one or more sets
	Scatter []float64   // standard deviations that add to the noise
	Share   float64     // of values that are slips, before anything is seen
	// Evidence is by how much more likely each value is printed as it is, were it a slip,
	// for reasons beside the law, as ln of a ratio; nil where there is none.
	Evidence []float64
}

// Shifts is which values of a table do not belong.
type Shifts struct {
	// Probability is how likely each value is a slip.
	Probability []float64
	// Least is the share of the least scatter in it.
	Least []float64
	// Implied is what the law, known beforehand and from the other values, says
	// in its place, and SD the standard deviation of the value about it.
	Implied, SD []float64
	// Coefficients are those of the law without the slips, and CoefficientSD
	// their standard deviations.
	Coefficients, CoefficientSD []float64
}

// slipSpread are the standard deviations of a slip on the natural logarithm: from
// a digit to a decimal point and seconds for minutes.
var slipSpread = [...]float64{0.3, 1, 3}

// mostSlips bounds the work on a large table of nonsense.
const mostSlips = 40

// pairsUpTo is the size of table for which every pair of values is tried.
const pairsUpTo = 64

// Shifts finds the values that do not belong, by comparing the hypotheses that
// none, one or two of them are shifted by an unknown amount. Given the variance
// Σ of the table, K = Σ⁻¹ and the residuals r from Mean, a shift of value i of
// variance V multiplies the likelihood of the table by
//
//	(1 + V K_ii)^-½ exp(½ V (K r)_i² / (1 + V K_ii))
//
// where (K r)_i / K_ii is the distance of the value from what the others imply, and
// 1/K_ii the variance of that distance. The likeliest is put aside and the rest
// compared again, until nothing more is gained; each value put aside is then
// judged once more against the rest. Two that hide each other are found as a
// pair, in tables of up to 64 values.
//
// noise are the standard deviations of the values from their rounding alone; they
// must be positive. ok is false where something is not finite or does not fit
// together.
//
// Sources: the mean-shift model of R. D. Cook and S. Weisberg, Residuals and
// Influence in Regression (1982), from memory; the weighing of hypotheses is
// Bayes's rule.
func (l Linear) Shifts(y, noise []float64) (out Shifts, ok bool) {
	n := len(y)
	if n == 0 || len(l.Z) != n || len(noise) != n || len(l.SD) == 0 || len(l.Scatter) == 0 ||
		l.Evidence != nil && len(l.Evidence) != n {
		return out, false
	}
	for i := range y {
		if math.IsNaN(y[i]) || math.IsInf(y[i], 0) || !(noise[i] > 0) || math.IsInf(noise[i], 0) || len(l.Z[i]) != len(l.Mean) {
			return out, false
		}
	}
	aside := make([]bool, n)
	var p, least []float64
	most := max(1, min(n/3, mostSlips))
	rows := l.sparse()
	for count := 0; ; count++ {
		var best, best2 int
		p, least, best, best2, ok = l.weigh(y, noise, aside, rows)
		if !ok {
			return out, false
		}
		if best < 0 || count >= most {
			break
		}
		at := best
		if best2 >= 0 && p[best2] > p[best] {
			at = best2
		}
		aside[at] = true
	}
	out.Probability, out.Least = p, least
	for i := range aside {
		if !aside[i] {
			continue
		}
		aside[i] = false
		q, share, _, _, ok := l.weigh(y, noise, aside, rows)
		if !ok {
			return out, false
		}
		aside[i] = true
		out.Probability[i], out.Least[i] = q[i], share[i]
	}
	return out, l.imply(y, noise, aside, rows, &out)
}

// fit is the table under one set of SD and one scatter.
type fit struct {
	logL float64
	m    []float64 // coefficients less their means
	ainv []float64 // row by row
	d    []float64 // 1/variance of the values, 0 for those aside
}

func (l Linear) fit(y, noise []float64, aside []bool, rows []sparse, sd []float64, scatter float64) (f fit, ok bool) {
	n := len(y)
	place := make([]int, len(sd)) // of a coefficient among those in use
	var use []int
	for j, s := range sd {
		place[j] = -1
		if s > 0 {
			place[j] = len(use)
			use = append(use, j)
		}
	}
	q := len(use)
	a := cholesky.New(q)
	b := make([]float64, q)
	logdet := 0.0
	quad := 0.0
	f.d = make([]float64, n)
	for i, z := range rows {
		if aside[i] {
			continue
		}
		v := noise[i]*noise[i] + scatter*scatter
		f.d[i] = 1 / v
		logdet += math.Log(v)
		r := y[i] - z.dot(l.Mean)
		quad += r * r / v
		for k, zk := range z.v {
			s := place[z.j[k]]
			if s < 0 {
				continue
			}
			b[s] += zk * r / v
			for m := k; m < len(z.v); m++ {
				if t := place[z.j[m]]; t >= 0 {
					a.Add(t, s, zk*z.v[m]/v) // t is not above s: columns come in order
				}
			}
		}
	}
	p := len(sd)
	f.m = make([]float64, p)
	f.ainv = make([]float64, p*p)
	if q == 0 {
		f.logL = -0.5 * (logdet + quad)
		return f, true
	}
	for s, j := range use {
		a.Add(s, s, 1/(sd[j]*sd[j]))
		logdet += 2 * math.Log(sd[j])
	}
	factor := cholesky.New(q)
	det, ok := a.Factor(factor)
	if !ok {
		return f, false
	}
	x := slices.Clone(b)
	factor.Solve(x)
	inv := factor.Inverse()
	logdet += det
	for s, j := range use {
		quad -= b[s] * x[s]
		f.m[j] = x[s]
		for t, k := range use {
			f.ainv[j*p+k] = inv.At(s, t)
		}
	}
	f.logL = -0.5 * (logdet + quad)
	return f, !math.IsNaN(f.logL)
}

// sparse is a row of Z without its zeros, in order.
type sparse struct {
	j []int
	v []float64
}

func (l Linear) sparse() []sparse {
	out := make([]sparse, len(l.Z))
	for i, z := range l.Z {
		for j, v := range z {
			if v != 0 {
				out[i].j = append(out[i].j, j)
				out[i].v = append(out[i].v, v)
			}
		}
	}
	return out
}

func (z sparse) dot(b []float64) float64 {
	var s float64
	for k, v := range z.v {
		s += v * b[z.j[k]]
	}
	return s
}

// cross is z_i' A⁻¹ z_k.
func (f fit) cross(zi, zk sparse) float64 {
	var s float64
	p := len(f.m)
	for a, va := range zi.v {
		row := f.ainv[zi.j[a]*p:][:p]
		var t float64
		for b, vb := range zk.v {
			t += vb * row[zk.j[b]]
		}
		s += va * t
	}
	return s
}

// weigh gives the probability of each value not aside to be a slip, the share of the least
// scatter in that of it alone, and the likeliest hypothesis: two indices, -1 for none.
func (l Linear) weigh(y, noise []float64, aside []bool, rows []sparse) (p, least []float64, best, best2 int, ok bool) {
	n := len(y)
	odds := make([]float64, n)
	for i := range odds {
		odds[i] = math.Log(l.Share / (1 - l.Share))
		if l.Evidence != nil {
			odds[i] += l.Evidence[i]
		}
	}
	// Likelihoods summed over the sets of SD and the scatters, in logarithms: of no
	// slip, of one, and of two.
	none := math.Inf(-1)
	one, steady := make([]float64, n), make([]float64, n)
	var two []float64
	if n <= pairsUpTo {
		two = make([]float64, n*(n-1)/2)
	}
	for i := range one {
		one[i], steady[i] = math.Inf(-1), math.Inf(-1)
	}
	for i := range two {
		two[i] = math.Inf(-1)
	}
	u, kk := make([]float64, n), make([]float64, n)
	spread := math.Log(float64(len(slipSpread)))
	for _, sd := range l.SD {
		for _, scatter := range l.Scatter {
			f, determined := l.fit(y, noise, aside, rows, sd, scatter)
			if !determined {
				return
			}
			none = logAdd(none, f.logL)
			for i := range y {
				if aside[i] {
					continue
				}
				r := y[i] - rows[i].dot(l.Mean) - rows[i].dot(f.m)
				u[i] = f.d[i] * r
				kk[i] = f.d[i] - f.d[i]*f.d[i]*f.cross(rows[i], rows[i])
				single := math.Inf(-1)
				for _, s := range slipSpread {
					v := s * s
					single = logAdd(single, -0.5*math.Log1p(v*kk[i])+0.5*v*u[i]*u[i]/(1+v*kk[i]))
				}
				w := f.logL + odds[i] + single - spread
				if one[i] = logAdd(one[i], w); scatter == l.Scatter[0] {
					steady[i] = logAdd(steady[i], w)
				}
			}
			if two == nil {
				continue
			}
			f.pairs(rows, aside, u, kk, odds, f.logL-spread, two)
		}
	}
	for i, w := range one {
		if steady[i] = math.Exp(steady[i] - w); math.IsNaN(steady[i]) {
			steady[i] = 0
		}
	}
	p, best, best2, ok = shares(none, one, two)
	return p, steady, best, best2, ok
}

// shares are the probabilities that each value is aside, from the likelihoods of no slip,
// of one and of two (nil where pairs are not looked at), and the likeliest slip or pair.
func shares(none float64, one, two []float64) (p []float64, best, best2 int, ok bool) {
	n := len(one)
	total, top := none, none
	best, best2 = -1, -1
	for i, s := range one {
		if total = logAdd(total, s); s > top {
			top, best, best2 = s, i, -1
		}
	}
	at := -1
	for i := range n {
		for k := range i {
			if at++; two == nil {
				continue
			}
			if total = logAdd(total, two[at]); two[at] > top {
				top, best, best2 = two[at], i, k
			}
		}
	}
	p = make([]float64, n)
	at = -1
	for i, s := range one {
		p[i] += math.Exp(s - total)
		for k := range i {
			if at++; two != nil {
				w := math.Exp(two[at] - total)
				p[i] += w
				p[k] += w
			}
		}
	}
	for i, v := range p {
		p[i] = min(v, 1) // but for the last digits of the sums
	}
	return p, best, best2, !math.IsNaN(total) && !math.IsInf(total, 0)
}

// pairs adds to two, of each pair k < i in turn, the likelihood that both slipped: u and kk
// are what the values of f without them are made of, odds are those of a slip, prior is what
// pairs have in common.
func (f fit) pairs(rows []sparse, aside []bool, u, kk, odds []float64, prior float64, two []float64) {
	at := -1
	for i := range u {
		for k := range i {
			at++
			if aside[i] || aside[k] {
				continue
			}
			kik := -f.d[i] * f.d[k] * f.cross(rows[i], rows[k])
			var scale, power [len(slipSpread)]float64
			top := math.Inf(-1)
			for j, s := range slipSpread {
				v := s * s
				a, b, c := 1+v*kk[i], 1+v*kk[k], v*kik
				det := a*b - c*c
				if !(det > 0) {
					continue
				}
				scale[j] = 1 / math.Sqrt(det)
				power[j] = 0.5 * v * (u[i]*u[i]*b - 2*u[i]*u[k]*c + u[k]*u[k]*a) / det
				top = max(top, power[j])
			}
			var sum float64
			for j, p := range power {
				switch {
				case p == top:
					sum += scale[j]
				case scale[j] > 0:
					sum += scale[j] * math.Exp(p-top)
				}
			}
			pair := prior + odds[i] + odds[k] + top
			if pair+40 < two[at] { // sum is at most the number of spreads
				continue
			}
			two[at] = logAdd(two[at], pair+math.Log(sum))
		}
	}
}

// imply fills in what the law says without the values aside, and for the others
// without themselves.
func (l Linear) imply(y, noise []float64, aside []bool, rows []sparse, out *Shifts) bool {
	var fits []fit
	var scatters []float64
	total := math.Inf(-1)
	for _, sd := range l.SD {
		for _, scatter := range l.Scatter {
			f, ok := l.fit(y, noise, aside, rows, sd, scatter)
			if !ok {
				return false
			}
			fits = append(fits, f)
			scatters = append(scatters, scatter)
			total = logAdd(total, f.logL)
		}
	}
	n, p := len(y), len(l.Mean)
	out.Implied, out.SD = make([]float64, n), make([]float64, n)
	out.Coefficients, out.CoefficientSD = make([]float64, p), make([]float64, p)
	second := make([]float64, n)
	for h, f := range fits {
		w := math.Exp(f.logL - total)
		for j := range p {
			out.Coefficients[j] += w * (l.Mean[j] + f.m[j])
			out.CoefficientSD[j] += w * f.ainv[j*p+j]
		}
		for i := range y {
			z := rows[i]
			at := z.dot(l.Mean) + z.dot(f.m)
			lev := f.cross(z, z)
			v := noise[i]*noise[i] + scatters[h]*scatters[h]
			variance := v + lev
			if !aside[i] {
				k := f.d[i] - f.d[i]*f.d[i]*lev
				if !(k > 0) {
					return false
				}
				at = y[i] - f.d[i]*(y[i]-at)/k
				variance = 1 / k
			}
			out.Implied[i] += w * at
			second[i] += w * (variance + at*at)
		}
	}
	for i := range y {
		out.SD[i] = math.Sqrt(max(second[i]-out.Implied[i]*out.Implied[i], 0))
	}
	for j := range p {
		out.CoefficientSD[j] = math.Sqrt(out.CoefficientSD[j])
	}
	return true
}

func logAdd(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if b-a < -40 || math.IsInf(a, -1) { // b is lost in the last digit of a
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}
