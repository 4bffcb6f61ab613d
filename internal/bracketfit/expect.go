package bracketfit

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/cholesky"
)

// Film is a curve that is supposed, for planning: the constants of the form, as in
// [Shape], on an axis of log10 H.
type Film struct{ Constants [pForm]float64 }

// NewFilm makes a film of base plus fog, gamma, the width of the toe in log10 H, the
// density of the shoulder above base plus fog, its sharpness, and the log10 H at which it
// has 0.10 above base plus fog. The error wraps [ErrBracket] for values that no film has.
func NewFilm(base, gamma, width, shoulder, sharpness, point float64) (Film, error) {
	var f Film
	for _, v := range []float64{gamma, width, shoulder, sharpness} {
		if !(v > 0) || math.IsInf(v, 0) {
			return f, check.Errorf(ErrBracket, "a film of gamma %v, toe width %v, shoulder %v and sharpness %v", gamma, width, shoulder, sharpness)
		}
	}
	f.Constants = [pForm]float64{pBase: base, pLnGamma: math.Log(gamma), pLnWidth: math.Log(width),
		pLnShoulder: math.Log(shoulder), pLnSharpness: math.Log(sharpness)}
	x, _, ok := exposureAt(f.Constants[:], nil, target)
	if !ok || !check.Finite(base, point, x) {
		return f, check.Errorf(ErrBracket, "a film with base %v and speed point %v whose shoulder is at %v", base, point, shoulder)
	}
	f.Constants[pToe] = point - x
	return f, nil
}

// Changed is the film with all densities above base plus fog so many times as great, the
// curve moved along log10 H, and more fog.
func (f Film) Changed(contrast, along, fog float64) Film {
	f.Constants[pLnGamma] += math.Log(contrast)
	f.Constants[pLnShoulder] += math.Log(contrast)
	f.Constants[pToe] += along
	f.Constants[pBase] += fog
	return f
}

// Net is the film's density above base plus fog at log10 H.
func (f *Film) Net(x float64) float64 {
	var d [pForm]float64
	v, _ := net(f.Constants[:], x, &d)
	return v
}

// Gradient is the average gradient over 1.50 in log10 H from the speed point, and the
// derivatives of its logarithm in the constants of the form.
func (f *Film) Gradient() (g float64, ln []float64) {
	const over = 1.5
	x, dx, _ := exposureAt(f.Constants[:], nil, target)
	var d [pForm]float64
	v, slope := net(f.Constants[:], x+over, &d)
	ln = make([]float64, pForm)
	for j := range ln {
		if j != pBase {
			ln[j] = (d[j] + slope*dx[j]) / (v - target)
		}
	}
	return (v - target) / over, ln
}

// Point is the gradient of the speed point in the constants of the form.
func (f *Film) Point() []float64 {
	_, d, _ := exposureAt(f.Constants[:], nil, target)
	return d[:]
}

// PatchInformation is what a strip's patch at log10 H brings about the constants of the
// form, for a reading of standard deviation sd and an exposure that scatters by so many
// stops.
func (f *Film) PatchInformation(x, sd, scatter float64) cholesky.Matrix {
	m := cholesky.New(pForm)
	var d [pForm]float64
	_, slope := net(f.Constants[:], x, &d)
	outer(m, d[:], 1/(sd*sd+square(scatter*stop*slope)))
	return m
}

// UnexposedInformation is that of a patch that got no light, of constants of the form and
// tones more.
func UnexposedInformation(tones int, sd float64) cholesky.Matrix {
	m := cholesky.New(pForm + tones)
	m.Add(pBase, pBase, 1/(sd*sd))
	return m
}

// WeakInformation is what is known of the constants of any film's form, see [FitStrip].
func WeakInformation() cholesky.Matrix {
	m := cholesky.New(pForm)
	for j, w := range weak {
		if w.sd > 0 {
			m.Add(j, j, 1/(w.sd*w.sd))
		}
	}
	return m
}

// FrameInformation is what a frame brings, set to an index of that log10: with the offsets
// of all tones but the first behind the constants of the form.
func (f *Film) FrameInformation(tones []Tone, logIndex, sd, scatter float64) cholesky.Matrix {
	n := pForm + len(tones) - 1
	m := cholesky.New(n)
	var d [pForm]float64
	acc, jac := make([]float64, n), make([]float64, n)
	w, ss := 1/(sd*sd), 0.0
	for t, tone := range tones {
		_, slope := net(f.Constants[:], -logIndex+tone.Stops*stop, &d)
		clear(jac)
		copy(jac, d[:])
		if t > 0 {
			jac[pForm+t-1] = slope
		}
		outer(m, jac, w)
		ss += w * slope * slope
		for j, v := range jac {
			acc[j] += w * slope * v
		}
	}
	if F := scatter * stop; F > 0 {
		outer(m, acc, -F*F/(1+F*F*ss))
	}
	return m
}

// Before is what is known of the constants before frames are read, given the covariance
// that strips left of those of the form, of no size where there are none; own tells that
// frames have unexposed patches.
func (f *Film) Before(cov cholesky.Matrix, tones []Tone, own bool) cholesky.Matrix {
	b := Bracket{Tones: tones}
	if cov.N == pForm {
		b.Shape = &Shape{Constants: f.Constants}
		for i := range pForm {
			for j := range pForm {
				b.Shape.Cov[i][j] = cov.At(i, j)
			}
		}
	}
	if own {
		b.Unexposed = []Reading{{}}
	}
	q, _ := b.problem()
	return q.prec
}

// IndexGradient is the gradient of log10 of the index in the constants, with so many
// offsets behind those of the form.
func (f *Film) IndexGradient(tones int) []float64 {
	out := make([]float64, pForm+tones)
	for j, v := range f.Point() {
		out[j] = -v
	}
	return out
}

func square(x float64) float64 { return x * x }

func outer(m cholesky.Matrix, f []float64, w float64) {
	for i, a := range f {
		for j, b := range f {
			m.Add(i, j, w*a*b)
		}
	}
}
