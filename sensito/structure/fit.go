package structure

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
)

// GrainLaw is the granularity against density along a tablet,
//
//	ln sd = a + p ln D + c (ln D)²
//
// fitted to what was measured, with c only where the readings ask for it. p is 0.5 for
// grains that do not know of each other; opaque grains in one layer steepen from there, and
// films do as they do. D is the density as it was read, base included.
//
// Source: the law of [Siedentopf] for p of 0.5; the bend is ours.
type GrainLaw struct {
	// At is the granularity at a density of 1, carried there where no reading is.
	At sensito.Estimate
	// Exponent is p.
	Exponent sensito.Estimate
	// Bend is c; 0 where it was not needed.
	Bend float64
	// Aperture in µm, and the densities between which it holds.
	Aperture float64
	From, To sensito.Density
	// ChiSquare is the sum of squared departures over their variances, with Freedom.
	ChiSquare float64
	Freedom   int

	params, cov []float64
}

// FitGrain fits granularity against density. Two densities give the exponent, four may give the
// bend, which is taken where it lowers the criterion chi² + 2 parameters by two at least
// (Akaike's, from memory). The error wraps [ErrInput] for fewer than two densities, apertures that
// differ, and densities not above 0.
func FitGrain(readings []Granularity) (GrainLaw, error) {
	var x, y, w []float64
	l := GrainLaw{From: sensito.Density(math.Inf(1)), To: sensito.Density(math.Inf(-1))}
	for _, r := range readings {
		sd := (math.Log(r.SD.High) - math.Log(r.SD.Low)) / 2 / lsq.Normal95
		if !(r.Density > 0) || !(r.SD.Value > 0) || !(sd > 0) || !check.Finite(float64(r.Density), r.SD.Value, sd) {
			return l, check.Errorf(ErrInput, "granularity %v at a density of %v; want both above 0, with an interval", r.SD, float64(r.Density))
		}
		if r.Aperture != readings[0].Aperture {
			return l, check.Errorf(ErrInput, "apertures of %v and %v µm", readings[0].Aperture, r.Aperture)
		}
		l.Aperture, l.From, l.To = r.Aperture, min(l.From, r.Density), max(l.To, r.Density)
		d := math.Log(float64(r.Density))
		x, y, w = append(x, 1, d, d*d), append(y, math.Log(r.SD.Value)), append(w, 1/(sd*sd))
	}
	best, err := l.with(x, 2, y, w)
	if err != nil {
		return l, check.Errorf(ErrInput, "%d readings of one density, want two densities at least", len(y))
	}
	if len(y) >= 4 {
		if bent, err := l.with(x, 3, y, w); err == nil && bent.ChiSquare+4 < best.ChiSquare {
			best = bent
		}
	}
	return best, nil
}

// with fits so many parameters of rows of three.
func (l GrainLaw) with(rows []float64, p int, y, w []float64) (GrainLaw, error) {
	var x []float64
	for i := range y {
		x = append(x, rows[3*i:3*i+p]...)
	}
	r, err := lsq.Linear(x, p, y, w)
	if err != nil {
		return l, err
	}
	l.params, l.cov, l.ChiSquare, l.Freedom = r.Params, r.Cov, r.RSS, r.DOF
	if l.Freedom > 0 { // readings that scatter more than they say make the law as much less known
		if more := l.ChiSquare / float64(l.Freedom); more > 1 {
			for i := range l.cov {
				l.cov[i] *= more
			}
		}
	}
	if p > 2 {
		l.Bend = l.params[2]
	}
	l.At = l.estimate(0)
	half := lsq.Normal95 * math.Sqrt(l.cov[p+1])
	l.Exponent = sensito.Estimate{Value: l.params[1], Low: l.params[1] - half, High: l.params[1] + half}
	return l, nil
}

// estimate is the law at a logarithm of density.
func (l GrainLaw) estimate(x float64) sensito.Estimate {
	p := len(l.params)
	row := []float64{1, x, x * x}[:p]
	v, variance := 0.0, 0.0
	for i := range p {
		v += l.params[i] * row[i]
		for j := range p {
			variance += row[i] * row[j] * l.cov[i*p+j]
		}
	}
	half := lsq.Normal95 * math.Sqrt(variance)
	return sensito.Estimate{Value: math.Exp(v), Low: math.Exp(v - half), High: math.Exp(v + half)}
}

// beyond is how far a law is carried past its readings, as a share of density. A choice.
const beyond = 0.15

// SD returns the granularity at a density, with its interval. The error wraps [ErrInput] for
// a density beyond the readings by more than 15 %.
func (l GrainLaw) SD(d sensito.Density) (sensito.Estimate, error) {
	if len(l.params) == 0 || !(d >= l.From*(1-beyond) && d <= l.To*(1+beyond)) {
		return sensito.Estimate{}, check.Errorf(ErrInput, "no granularity is known at a density of %.3g; it was measured from %.3g to %.3g",
			float64(d), float64(l.From), float64(l.To))
	}
	return l.estimate(math.Log(float64(d))), nil
}
