package bracketfit

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/cholesky"
)

// Shape holds the constants of the form with their covariance: base plus fog,
// ln gamma, toe (log10 H), ln toe width, ln shoulder, ln sharpness.
type Shape struct {
	Constants [pForm]float64
	Cov       [pForm][pForm]float64

	departs *departure
}

// Density of the form at log10 H.
func (s *Shape) Density(x float64) float64 {
	var d [pForm]float64
	v, _ := net(s.Constants[:], x, &d)
	e, _ := s.departs.at(x - s.Constants[pToe])
	return s.Constants[pBase] + v + e
}

func (s *Shape) usable() bool {
	for i := range pForm {
		if !check.Finite(s.Constants[i]) || !check.Finite(s.Cov[i][:]...) || !(s.Cov[i][i] >= 0) {
			return false
		}
	}
	return true
}

// between is by how much the curve of frames differs from that of a strip of the
// same development, as standard deviations: they lie apart in the tank.
var between = [pForm]float64{pBase: 0.01, pLnGamma: 0.01, pLnWidth: 0.02, pLnShoulder: 0.02, pLnSharpness: 0.03}

// fogBetween is by how much base plus fog may differ where the frames have unexposed
// patches of their own: a strip may be fogged, and they need it not.
const fogBetween = 0.05

// prior puts what is known of the curve into the problem: the strip's constants
// without its toe, or the weak prior for nil.
func (s *Shape) prior(q *problem, ownBase bool) {
	alone := func() {
		for j, w := range weak {
			q.mean[j], q.first[j] = w.mean, w.mean
			if w.sd > 0 {
				q.prec.Add(j, j, 1/(w.sd*w.sd))
			}
		}
	}
	if s == nil {
		alone()
		return
	}
	at := [...]int{pBase, pLnGamma, pLnWidth, pLnShoulder, pLnSharpness}
	cov, l := cholesky.New(len(at)), cholesky.New(len(at))
	for i, a := range at {
		for j, b := range at {
			cov.Add(i, j, s.Cov[a][b])
		}
		cov.Add(i, i, between[a]*between[a])
	}
	if ownBase {
		cov.Add(0, 0, fogBetween*fogBetween)
	}
	if _, ok := cov.Factor(l); !ok {
		alone()
		return
	}
	q.departs = s.departs
	inv := l.Inverse()
	for i, a := range at {
		q.mean[a], q.first[a] = s.Constants[a], s.Constants[a]
		for j, b := range at {
			q.prec.Add(a, b, inv.At(i, j))
		}
	}
}

// Patch is a step of a strip.
type Patch struct{ LogH, Density, SD float64 }

// FitStrip fits the form to a strip for its shape, with the weak priors and wild
// readings averaged over as in [Fit]. Where the readings scatter about the curve by
// more than their standard deviations say, the covariance grows with the scatter.
//
// Errors wrap [ErrBracket].
func FitStrip(patches []Patch, unexposed []Patch) (*Shape, error) {
	q := &problem{frames: len(patches), np: pForm, mean: make([]float64, pForm), prec: cholesky.New(pForm), first: make([]float64, pForm)}
	known := true
	add := func(r row) error {
		if !check.Finite(r.x, r.y, r.sd) || r.sd < 0 {
			return check.Errorf(ErrBracket, "patch %d of the strip: log H %v, density %v, standard deviation %v",
				len(q.rows)+1, r.x, r.y, r.sd)
		}
		known = known && r.sd > 0
		q.rows = append(q.rows, r)
		return nil
	}
	for _, p := range unexposed {
		if err := add(row{frame: -1, y: p.Density, sd: p.SD}); err != nil {
			return nil, err
		}
	}
	for i, p := range patches {
		if err := add(row{frame: i, x: p.LogH, y: p.Density, sd: p.SD}); err != nil {
			return nil, err
		}
	}
	if len(patches) < 4 {
		return nil, check.Errorf(ErrBracket, "a strip of %d patches, want four or more", len(patches))
	}
	q.settleSD(known)
	(*Shape)(nil).prior(q, true)
	m := &mixture{q: q, base: q.newView(), known: known, steady: true}
	if err := m.run(); err != nil {
		return nil, err
	}
	mean := make([]float64, pForm)
	for _, c := range m.parts {
		for j, v := range c.p {
			mean[j] += c.weight * v
		}
	}
	s := m.shape(mean)
	if known {
		s.widen(m)
	}
	return &s, nil
}

// widen multiplies the covariance by the scatter where it is above 1.
func (s *Shape) widen(m *mixture) {
	c := m.likeliest(nil)
	st := m.q.newState()
	copy(st.p, c.p)
	m.q.curves(st)
	chi, n := 0.0, 0.0
	for i := range m.q.rows {
		chi += st.res[i] * st.res[i] / m.q.variance(i, &c.view)
		n++
	}
	if scale := chi / math.Max(n-pForm+2, 2); scale > 1 {
		for i := range s.Cov {
			for j := range s.Cov[i] {
				s.Cov[i][j] *= scale
			}
		}
	}
}

// Between gives the curve of a development between those of two strips, at part of
// the way from a to b in the logarithm of time: the constants run straight, and how
// far they may bend is in the covariance.
func Between(a, b *Shape, part float64) *Shape {
	var s Shape
	p, q := part, 1-part
	for i := range pForm {
		d := b.Constants[i] - a.Constants[i]
		s.Constants[i] = a.Constants[i] + p*d
		for j := range pForm {
			s.Cov[i][j] = q*q*a.Cov[i][j] + p*p*b.Cov[i][j]
		}
		bend := bendOfDevelopment * p * q * d
		s.Cov[i][i] += bend * bend
	}
	s.departs = mix([]*departure{a.departs, b.departs}, []float64{q, p})
	return &s
}

// bendOfDevelopment is by how much of their difference constants may bend away from a
// straight line in the logarithm of time, at the middle four times less.
const bendOfDevelopment = 0.3

// Pool gives what strips of several developments say of the curve of frames whose
// development is not known: their mean, with their differences in the covariance. It
// is nil for no strips.
func Pool(shapes []*Shape) *Shape {
	if len(shapes) == 0 {
		return nil
	}
	var s Shape
	n := float64(len(shapes))
	var ds []*departure
	var weights []float64
	for _, a := range shapes {
		ds, weights = append(ds, a.departs), append(weights, 1/n)
		for i := range pForm {
			s.Constants[i] += a.Constants[i] / n
		}
	}
	for _, a := range shapes {
		for i := range pForm {
			for j := range pForm {
				// as if one more development might lie as far out
				s.Cov[i][j] += (a.Cov[i][j] + (1+1/n)*(a.Constants[i]-s.Constants[i])*(a.Constants[j]-s.Constants[j])) / n
			}
		}
	}
	s.departs = mix(ds, weights)
	return &s
}

// Fogged takes density off the base, where a strip was fogged by about so much.
func (s *Shape) Fogged(by float64) *Shape {
	out := *s
	out.Constants[pBase] -= by
	out.Cov[pBase][pBase] += 0.02*0.02 + by*by/16
	return &out
}
