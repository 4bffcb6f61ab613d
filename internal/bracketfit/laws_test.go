package bracketfit

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"example.org/actinic/internal/cholesky"
)

func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) && got != want {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// What the iteration goes by against the covariance of each frame written down, V = diag(sd²) + F² s s', with
// everything a view can say: a scale, a scatter or none, wild readings and a wild frame.
func TestNormalIsThatOfTheCovariance(t *testing.T) {
	b, _, _ := one(t, usual)
	b.Unexposed = append(b.Unexposed, Reading{Density: 0.31, SD: 0.02})
	q, _ := b.problem()
	for name, change := range map[string]func(v *view){
		"plain": func(v *view) {}, "scattering": func(v *view) { v.scatter = 0.06 * stop }, "scaled": func(v *view) { v.scale, v.scatter = 1.7, 0.03*stop },
		"wild": func(v *view) { v.scatter = 0.06 * stop; v.wildRow[0], v.wildRow[5], v.wildFram[2] = true, true, true },
	} {
		s := q.newState()
		q.begin(s)
		v := q.newView()
		change(&v)
		q.weigh(s, &v)
		q.normal(s, &v)
		n, rows := q.np, len(q.rows)
		cov, jac, res := mat.NewSymDense(rows, nil), mat.NewDense(rows, n, append([]float64(nil), s.jac...)), mat.NewVecDense(rows, append([]float64(nil), s.res...))
		for i, a := range q.rows {
			sd := a.sd * v.scale
			if v.wildRow[i] {
				sd = math.Hypot(sd, 0.15)
			}
			for k, b := range q.rows {
				c := 0.0
				if i == k {
					c = sd * sd
				}
				if a.frame == b.frame && a.frame >= 0 {
					scatter := v.scatter
					if v.wildFram[a.frame] {
						scatter = 0.6 * math.Log10(2)
					}
					c += scatter * scatter * s.slope[i] * s.slope[k]
				}
				cov.SetSym(i, k, c)
			}
		}
		var chol mat.Cholesky
		chol.Factorize(cov)
		var x, y mat.Dense
		if err := errors.Join(chol.SolveTo(&x, jac), chol.SolveTo(&y, res)); err != nil {
			t.Fatal(err)
		}
		var a, rhs, rr mat.Dense
		a.Mul(jac.T(), &x)
		rhs.Mul(jac.T(), &y)
		rr.Mul(res.T(), &y)
		objective := rr.At(0, 0)
		for i := range n {
			for k := range n {
				p := q.prec.At(i, k)
				objective += p * (q.mean[i] - s.p[i]) * (q.mean[k] - s.p[k])
				rhs.Set(i, 0, rhs.At(i, 0)+p*(q.mean[k]-s.p[k]))
				want := a.At(i, k) + p
				within(t, fmt.Sprintf("%s, normal matrix %d, %d", name, i, k), s.a.At(i, k), want, 1e-8*(1+math.Abs(want)))
			}
		}
		for i := range n {
			within(t, fmt.Sprintf("%s, right side %d", name, i), s.rhs[i], rhs.At(i, 0), 1e-8*(1+math.Abs(rhs.At(i, 0))))
		}
		within(t, name+", objective", s.objectiv, objective, 1e-9*objective)
		within(t, name+", ln det V", s.logDetV, chol.LogDet(), 1e-9*math.Abs(chol.LogDet()))
		if s.a.At(0, 1) != s.a.At(1, 0) {
			t.Error(name, "is not symmetric")
		}
	}
}

// What cannot be is refused with what it is; what is at a bound is not.
func TestSaysWhatIsWrong(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := func() Bracket {
		b := Bracket{LogIndex: []float64{1.75, 2, 2.25, 2.5}, Tones: []Tone{{Stops: -4}, {Stops: 0}, {Stops: 3}}, Unexposed: []Reading{{Density: 0.25}}}
		for f := range b.LogIndex {
			for k, d := range []float64{0.6, 1.2, 1.7} {
				b.Readings = append(b.Readings, Reading{Frame: f, Tone: k, Density: d - 0.125*float64(f)})
			}
		}
		return b
	}
	for _, c := range []struct {
		do   func(b *Bracket)
		want string // empty for none
	}{
		{func(*Bracket) {}, ""},
		{func(b *Bracket) { b.LogIndex[1] = nan }, "frame 2 has log10 index NaN"},
		{func(b *Bracket) { b.LogIndex[3] = -inf }, "frame 4 has log10 index -Inf"},
		{func(b *Bracket) { b.Tones[2].Stops = inf }, "tone 3 is placed at +Inf ± 0 stops"},
		{func(b *Bracket) { b.Tones[0].SD = -0.5 }, "tone 1 is placed at -4 ± -0.5 stops"},
		{func(b *Bracket) { b.Tones[0].SD = inf }, "tone 1 is placed at -4 ± +Inf stops"},
		{func(b *Bracket) { b.Tones[0].SD = nan }, "tone 1 is placed at -4 ± NaN stops"},
		{func(b *Bracket) { b.Readings[3].Density = inf }, "reading 4 has density +Inf and standard deviation 0"},
		{func(b *Bracket) { b.Readings[3].SD = -1 }, "reading 4 has density 0.475 and standard deviation -1"},
		{func(b *Bracket) { b.Unexposed[0].SD = inf }, "reading 13 has density 0.25 and standard deviation +Inf"},
		{func(b *Bracket) { b.Unexposed[0].Frame, b.Unexposed[0].Tone = -3, 99 }, ""},
		{func(b *Bracket) { b.Readings[0].Frame = -1 }, "reading 1 is of frame -1, tone 0, which are not there"},
		{func(b *Bracket) { b.Readings[11].Frame = 4 }, "reading 12 is of frame 4, tone 2, which are not there"},
		{func(b *Bracket) { b.Readings[11].Tone = 3 }, "reading 12 is of frame 3, tone 3, which are not there"},
		{func(b *Bracket) { b.Readings[11].Tone = -1 }, "reading 12 is of frame 3, tone -1, which are not there"},
		{func(b *Bracket) { b.LogIndex = []float64{2, 2, 2, 2} }, "shadows at 1 indexes, want two or more"},
		{func(b *Bracket) { b.LogIndex = []float64{2, 2, 2, 2.5} }, ""},
		{func(b *Bracket) {
			for i := range b.Readings {
				b.Readings[i].Tone = 1
			}
		}, "shadows at 0 indexes, want two or more"},
		{func(b *Bracket) { f := planned(t); b.Shape = &Shape{Constants: f.Constants} }, ""},
		{func(b *Bracket) { b.Shape = &Shape{Constants: [pForm]float64{pToe: nan}} }, "the strip's curve is not finite"},
		{func(b *Bracket) { b.Shape = &Shape{}; b.Shape.Cov[5][0] = inf }, "the strip's curve is not finite"},
		{func(b *Bracket) { b.Shape = &Shape{}; b.Shape.Cov[2][2] = -1e-9 }, "the strip's curve is not finite"},
	} {
		b := good()
		c.do(&b)
		_, err := Fit(b)
		if c.want == "" && err != nil || c.want != "" && (!errors.Is(err, ErrBracket) || err.Error() != "bracketfit: unusable bracket: "+c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
	step := func(i int) Patch { return Patch{LogH: -3 + 0.5*float64(i), Density: 0.25 + 0.125*float64(i*i)} }
	for _, c := range []struct {
		patches, unexposed []Patch
		want               string
	}{
		{[]Patch{step(0), step(1), step(2), step(3)}, nil, ""},
		{[]Patch{step(1), step(1), step(1), step(1)}, nil, "the readings do not determine an index"},
		{[]Patch{step(0), step(1), step(2)}, []Patch{step(0)}, "a strip of 3 patches, want four or more"},
		{[]Patch{step(0), {LogH: nan}}, nil, "patch 2 of the strip: log H NaN, density 0, standard deviation 0"},
		{[]Patch{step(0), {Density: inf}}, []Patch{step(0)}, "patch 3 of the strip: log H 0, density +Inf, standard deviation 0"},
		{[]Patch{step(0), {SD: -0.5}}, nil, "patch 2 of the strip: log H 0, density 0, standard deviation -0.5"},
		{[]Patch{step(0)}, []Patch{{SD: inf}}, "patch 1 of the strip: log H 0, density 0, standard deviation +Inf"},
	} {
		_, err := FitStrip(c.patches, c.unexposed)
		if c.want == "" && err != nil || c.want != "" && (!errors.Is(err, ErrBracket) || err.Error() != "bracketfit: unusable bracket: "+c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
	for _, c := range []struct {
		v    [6]float64
		want string
	}{
		{[6]float64{0.2, 0, 0.2, 2, 3, -2}, "a film of gamma 0, toe width 0.2, shoulder 2 and sharpness 3"},
		{[6]float64{0.2, 0.7, 0.2, inf, 3, -2}, "a film of gamma 0.7, toe width 0.2, shoulder +Inf and sharpness 3"},
		{[6]float64{0.2, 0.7, 0.2, 2, nan, -2}, "a film of gamma 0.7, toe width 0.2, shoulder 2 and sharpness NaN"},
		{[6]float64{0.2, 0.7, 0.2, 0.0999, 3, -2}, "a film with base 0.2 and speed point -2 whose shoulder is at 0.0999"},
		{[6]float64{nan, 0.7, 0.2, 2, 3, -2}, "a film with base NaN and speed point -2 whose shoulder is at 2"},
		{[6]float64{0.2, 0.7, 0.2, 2, 3, inf}, "a film with base 0.2 and speed point +Inf whose shoulder is at 2"},
		{[6]float64{0.2, 0.7, 0.2, 0.101, 3, -2}, ""},
	} {
		_, err := NewFilm(c.v[0], c.v[1], c.v[2], c.v[3], c.v[4], c.v[5])
		if c.want == "" && err != nil || c.want != "" && (!errors.Is(err, ErrBracket) || err.Error() != "bracketfit: unusable bracket: "+c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}

// Constants are kept where the form can be computed, and left alone there.
func TestClamped(t *testing.T) {
	q := &problem{np: pForm}
	for place, ends := range map[int][2]float64{pLnGamma: {0.01, 20}, pLnWidth: {0.01, 3}, pLnShoulder: {0.15, 30}, pLnSharpness: {0.5, 60}} {
		for v, want := range map[float64]float64{ends[0] * 0.99: ends[0], ends[0] * 1.01: ends[0] * 1.01, ends[1] * 0.99: ends[1] * 0.99, ends[1] * 1.01: ends[1]} {
			p := []float64{-40, 0, -90, -1, 0, 1}
			p[place] = math.Log(v)
			before := append([]float64(nil), p...)
			before[place] = math.Log(want)
			q.clamp(p)
			for j := range p {
				within(t, fmt.Sprintf("constant %d of %v", j, v), p[j], before[j], 1e-15)
			}
		}
	}
}

// Weights of what is tried: normal in the scatter about 0 with 0.06 stop, in ln of the scale about 1 with 0.8.
func TestLevels(t *testing.T) {
	for i, f := range []float64{0, 0.03, 0.06, 0.10, 0.16} {
		within(t, "scatter", scatters[i].value, f, 0)
		within(t, "its weight", scatters[i].prior, math.Exp(-f*f/(2*0.06*0.06)), 1e-15)
	}
	for i, s := range []float64{0.33, 0.58, 1, 1.7, 2.9} {
		within(t, "scale", unknownScales[i].value, s, 0)
		within(t, "its weight", unknownScales[i].prior, math.Exp(-math.Pow(math.Log(s), 2)/(2*0.8*0.8)), 1e-15)
	}
	for h, want := range map[hypothesis]float64{{-1, -1}: 1, {0, -1}: 0.003, {3, -1}: 0.003, {-1, 0}: 0.005, {-1, 2}: 0.005} {
		within(t, "prior of a hypothesis", h.prior(), want, 0)
	}
}

// drawn is a shape with made constants and a covariance.
func drawn(r *rand.Rand, at float64) *Shape {
	s := &Shape{departs: &departure{from: departFrom, step: departStep, v: make([]float64, departCount)}}
	var l [pForm][pForm]float64
	for i := range pForm {
		s.Constants[i] = at + 0.1*r.NormFloat64()
		for j := range i + 1 {
			l[i][j] = 0.05 * r.NormFloat64()
		}
	}
	for i := range pForm {
		for j := range pForm {
			for k := range pForm {
				s.Cov[i][j] += l[i][k] * l[j][k]
			}
		}
	}
	for i := range s.departs.v {
		s.departs.v[i] = 0.01 * r.NormFloat64()
	}
	return s
}

// Shapes put together: means and covariances by the moments written down.
func TestShapesTogether(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	a, b, c := drawn(r, 0), drawn(r, 0.5), drawn(r, -0.3)
	for _, part := range []float64{0, 0.25, 0.5, 1} {
		s := Between(a, b, part)
		for i := range pForm {
			d := b.Constants[i] - a.Constants[i]
			within(t, "between", s.Constants[i], a.Constants[i]+part*d, 1e-14)
			for j := range pForm {
				want := (1-part)*(1-part)*a.Cov[i][j] + part*part*b.Cov[i][j]
				if i == j {
					want += math.Pow(0.3*part*(1-part)*d, 2)
				}
				within(t, "covariance between", s.Cov[i][j], want, 1e-14)
			}
		}
		for i, v := range s.departs.v {
			within(t, "departure between", v, (1-part)*a.departs.v[i]+part*b.departs.v[i], 1e-15)
		}
	}
	p := Pool([]*Shape{a, b, c})
	for i := range pForm {
		mean := (a.Constants[i] + b.Constants[i] + c.Constants[i]) / 3
		within(t, "pool", p.Constants[i], mean, 1e-14)
		for j := range pForm {
			want := 0.0
			for _, s := range []*Shape{a, b, c} {
				other := (a.Constants[j] + b.Constants[j] + c.Constants[j]) / 3
				want += (s.Cov[i][j] + 4.0/3*(s.Constants[i]-mean)*(s.Constants[j]-other)) / 3
			}
			within(t, "covariance of the pool", p.Cov[i][j], want, 1e-14)
		}
	}
	for i, v := range p.departs.v {
		within(t, "departure of the pool", v, (a.departs.v[i]+b.departs.v[i]+c.departs.v[i])/3, 1e-15)
	}
	if Pool(nil) != nil || mix([]*departure{nil, nil}, []float64{0.5, 0.5}) != nil {
		t.Error("a pool of nothing is something")
	}
	half := mix([]*departure{nil, a.departs}, []float64{0.5, 0.5})
	within(t, "half a departure", half.v[7], a.departs.v[7]/2, 1e-15)
	f := a.Fogged(0.08)
	if f == a || f.Constants[pToe] != a.Constants[pToe] || f.Cov[pToe][pToe] != a.Cov[pToe][pToe] {
		t.Error("more than the base is changed")
	}
	within(t, "fogged", f.Constants[pBase], a.Constants[pBase]-0.08, 1e-15)
	within(t, "its variance", f.Cov[pBase][pBase], a.Cov[pBase][pBase]+0.02*0.02+0.02*0.02, 1e-15)
}

// What a strip says goes into the bracket as its covariance widened by how strips and frames differ, without the toe;
// nothing is known where there is no strip but what films are like.
func TestPriorOfAShape(t *testing.T) {
	s := drawn(rand.New(rand.NewPCG(8, 8)), 0.1)
	at := []int{pBase, pLnGamma, pLnWidth, pLnShoulder, pLnSharpness}
	apart := []float64{0.01, 0.01, 0.02, 0.02, 0.03}
	for _, own := range []bool{false, true} {
		q := &problem{np: pForm, mean: make([]float64, pForm), prec: cholesky.New(pForm), first: make([]float64, pForm)}
		s.prior(q, own)
		for i, a := range at {
			within(t, "mean", q.mean[a], s.Constants[a], 0)
			within(t, "first", q.first[a], s.Constants[a], 0)
			for j := range at { // precision times covariance is one
				sum, want := 0.0, 0.0
				for k, b := range at {
					c := s.Cov[b][at[j]]
					if k == j {
						c += apart[k] * apart[k]
						if k == 0 && own {
							c += 0.05 * 0.05
						}
					}
					sum += q.prec.At(a, b) * c
				}
				if i == j {
					want = 1
				}
				within(t, "precision times covariance", sum, want, 1e-9)
			}
			if q.prec.At(a, pToe) != 0 || q.prec.At(pToe, a) != 0 {
				t.Error("something is known of the toe")
			}
		}
		if q.prec.At(pToe, pToe) != 0 || q.departs != s.departs {
			t.Error("toe or departure")
		}
	}
	q := &problem{np: pForm, mean: make([]float64, pForm), prec: cholesky.New(pForm), first: make([]float64, pForm)}
	(*Shape)(nil).prior(q, true)
	broken := *s
	broken.Cov[pLnGamma][pLnWidth], broken.Cov[pLnWidth][pLnGamma] = 9, 9
	p := &problem{np: pForm, mean: make([]float64, pForm), prec: cholesky.New(pForm), first: make([]float64, pForm)}
	broken.prior(p, true)
	for j, want := range [][2]float64{{0, 0}, {math.Log(0.6), 0.5}, {0, 0}, {math.Log(0.2), 0.7}, {math.Log(2.5), 0.7}, {math.Log(3), 1}} {
		for _, q := range []*problem{q, p} {
			within(t, "mean", q.mean[j], want[0], 0)
			within(t, "start", q.first[j], want[0], 0)
			precision := 0.0
			if want[1] > 0 {
				precision = 1 / (want[1] * want[1])
			}
			within(t, "precision", q.prec.At(j, j), precision, 1e-12)
		}
	}
	for i, m := range WeakInformation().A {
		within(t, "weak information", m, q.prec.A[i], 0)
	}
}

// Quantiles of one normal and of two far apart.
func TestQuantile(t *testing.T) {
	m := &mixture{parts: []component{{weight: 1, index: 2, sd: 0.1}}}
	within(t, "low", m.quantile(0.025), 2-0.1959964, 1e-7)
	within(t, "high", m.quantile(0.975), 2+0.1959964, 1e-7)
	within(t, "median", m.quantile(0.5), 2, 1e-8)
	m.parts = []component{{weight: 0.5, index: 2, sd: 0.1}, {weight: 0.5, index: 9, sd: 0.2}}
	within(t, "low of two", m.quantile(0.025), 2-0.1644854, 1e-7)
	within(t, "high of two", m.quantile(0.975), 9+0.2*1.644854, 1e-7)
}

// Readings are weighed by what is stated, no finer than a densitometer reads, or all alike where one is not.
func TestSettledDeviations(t *testing.T) {
	for _, c := range []struct{ sd, want []float64 }{
		{[]float64{0.01, 0.02, 5e-5}, []float64{0.01, 0.02, 1e-4}}, {[]float64{0.01, 0, 0.02}, []float64{0.015, 0.015, 0.015}}, {[]float64{0.01, 2e-4, 1e-4}, []float64{0.01, 2e-4, 1e-4}},
	} {
		b := Bracket{LogIndex: []float64{2, 2.5}, Tones: []Tone{{Stops: -4}, {Stops: 1, SD: 0.3}, {}}, Readings: []Reading{{Frame: 1, Density: 0.5, SD: c.sd[1]}, {Tone: 1, Density: 0.7, SD: c.sd[0]}}, Unexposed: []Reading{{Density: 0.2, SD: c.sd[2]}}}
		q, order := b.problem()
		// By frame, those unexposed first.
		for i, want := range []row{{-1, 0, 0, 0.2, c.want[2], 0}, {0, 1, -2 + math.Log10(2), 0.7, c.want[0], 0}, {1, 0, -2.5 - 4*math.Log10(2), 0.5, c.want[1], 0}} {
			got := q.rows[i]
			within(t, "exposure", got.x, want.x, 1e-12)
			if got.x = want.x; got != want || order[i] != []int{2, 1, 0}[i] {
				t.Errorf("%+v from %d, want %+v", got, order[i], want)
			}
		}
		for i, sd := range []float64{0.3, 0.1} {
			within(t, "precision of an offset", q.prec.At(pForm+i, pForm+i), 1/math.Pow(sd*math.Log10(2), 2), 1e-6)
		}
	}
}

// Where the patches scatter by more than is stated the covariance grows with the square of by how much, else it stays.
func TestWidened(t *testing.T) {
	f := planned(t)
	for _, more := range []float64{0.5, 1.1, 1.4, 3} {
		r := rand.New(rand.NewPCG(5, 1))
		q := &problem{np: pForm, mean: make([]float64, pForm), prec: cholesky.New(pForm), first: make([]float64, pForm)}
		for i := range 21 {
			x := -3.6 + 0.15*float64(i)
			q.rows = append(q.rows, row{frame: i, x: x, y: f.Constants[pBase] + f.Net(x) + 0.01*more*r.NormFloat64(), sd: 0.01})
		}
		q.frames = len(q.rows)
		(*Shape)(nil).prior(q, true)
		m := &mixture{q: q, base: q.newView(), known: true, steady: true}
		m.base.wildRow[3] = true // of which 0.15 more is thought
		if err := m.run(); err != nil {
			t.Fatal(err)
		}
		c := m.likeliest(nil)
		chi := 0.0
		var d [pForm]float64
		for i, row := range q.rows {
			v, _ := net(c.p, row.x, &d)
			variance := 0.01 * 0.01
			if c.view.wildRow[i] {
				variance += 0.15 * 0.15
			}
			chi += math.Pow(row.y-c.p[pBase]-v, 2) / variance
		}
		s := &Shape{}
		for i := range pForm {
			for j := range pForm {
				s.Cov[i][j] = float64(1 + i*j)
			}
		}
		s.widen(m)
		scale := max(chi/(21-6+2), 1)
		if (scale > 1) != (more > 1) {
			t.Errorf("scatter of %v deviations: a scale of %v", more, scale)
		}
		for i := range pForm {
			for j := range pForm {
				within(t, fmt.Sprintf("scatter of %v deviations", more), s.Cov[i][j], float64(1+i*j)*scale, 1e-9*scale*float64(1+i*j))
			}
		}
	}
}

// Of many hypotheses those are tried whose reading, or one of whose frame's readings, lies farthest from the fit in its own
// deviations; and that of nothing wild.
func TestSuspects(t *testing.T) {
	d := usual
	d.frames = 24
	b, _, _ := one(t, d)
	for i := range b.Readings {
		b.Readings[i].SD = []float64{0.01, 0.03, 0.09}[i%3]
		b.Readings[i].Density += 0.02 * math.Sin(float64(7*i))
	}
	q, _ := b.problem()
	m := &mixture{q: q, base: q.newView(), known: q.sdKnown(&b)}
	m.base.wildRow[4] = true
	m.base.wildFram[7] = true
	all := m.hypotheses()
	for _, h := range all[1:] {
		if h.row == 4 || h.frame == 7 || h.row >= 0 && q.rows[h.row].frame == 7 {
			t.Errorf("%+v is set aside already", h)
		}
	}
	if n := len(q.rows) - 1 - 3 + 24 - 1; len(all) != 1+n || n <= mostSuspects || all[0] != (hypothesis{-1, -1}) {
		t.Fatalf("%d hypotheses, want %d", len(all), 1+n)
	}
	if got := m.suspects(all); len(got) != 2 {
		t.Errorf("without a fit: %d", len(got))
	}
	s := q.newState()
	q.begin(s)
	v := m.view(hypothesis{-1, -1}, 1, 0.06*stop)
	c, ok := q.component(s, append([]float64(nil), s.p...), &v)
	if !ok {
		t.Fatal("no fit")
	}
	c.hypothesis = hypothesis{-1, -1}
	m.parts = []component{c}
	copy(s.p, c.p)
	q.curves(s)
	far := func(h hypothesis) (most float64) {
		for i, r := range q.rows {
			if i == h.row || h.frame >= 0 && r.frame == h.frame {
				most = max(most, math.Abs(s.res[i])/r.sd)
			}
		}
		return most
	}
	got := m.suspects(all)
	if len(got) != 1+mostSuspects || got[0] != all[0] {
		t.Fatalf("%d suspects", len(got))
	}
	in := map[hypothesis]bool{}
	for i, h := range got {
		in[h] = true
		if i > 1 && far(h) > far(got[i-1]) {
			t.Errorf("%+v is farther than the one before", h)
		}
	}
	for _, h := range all[1:] {
		if !in[h] && far(h) > far(got[mostSuspects]) {
			t.Errorf("%+v is left out", h)
		}
	}
	m.steady = true
	if n := len(m.hypotheses()); n != 1+len(q.rows)-1-3 {
		t.Errorf("of a strip: %d hypotheses", n)
	}
}
