package sensito

import (
	"errors"
	"math"
	"sync"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/elementary"
	"example.org/actinic/internal/lsq"
)

// Fitted is a [Form] fitted to readings by weighted least squares, with the
// covariance of its constants. As a curve its domain is the exposures of the
// readings: what they do not reach is an error, never an extrapolation.
type Fitted struct {
	Form
	model fitModel
	par   []float64 // the fitted constants, in the order of model.free
	chol  []float64 // lower Cholesky factor of their covariance, row by row
	dof   int       // degrees of freedom of the residual variance
	known bool      // whether the readings came with standard deviations
	unit  float64   // residual variance of a reading of unit weight
}

// The six constants as they are fitted; logarithms keep the positive ones so.
const (
	pBase = iota
	pLnGamma
	pToe
	pLnToeWidth
	pLnShoulder
	pLnSharpness
	pCount
)

// The sharpness of a shoulder is badly determined by readings that only begin to
// bend. It takes part in the fit as if it had once been found to be 3, uncertain
// by a factor e.
const (
	usualSharpness   = 3.0
	lnSharpnessSD    = 1.0
	usualDensitySD   = 0.01 // sets the weight of the above against readings without SD
	leastToeWidth    = 0.01
	greatestToeWidth = 3.0
)

func shapeOf(p *[pCount]float64, shoulder bool) Shape {
	s := Shape{BaseFog: Density(p[pBase]), Gamma: math.Exp(p[pLnGamma]), Toe: LogH(p[pToe]), ToeWidth: math.Exp(p[pLnToeWidth])}
	if shoulder {
		s.Shoulder, s.Sharpness = Density(math.Exp(p[pLnShoulder])), math.Exp(p[pLnSharpness])
	}
	return s
}

// fitModel is the form as least squares sees it. Its rows are the patches, then
// the unexposed readings, then, with a shoulder, the usual sharpness.
type fitModel struct {
	x, y, w  []float64
	patches  int
	free     []int           // which of the constants are fitted
	full     [pCount]float64 // all of them
	shoulder bool
	far      float64 // a shoulder beyond this density leaves no trace in the readings
	scratch  []float64
}

// eval fills the values and derivatives; it is an lsq.Model.
func (d *fitModel) eval(p, f, jac []float64) bool {
	for i, j := range d.free {
		d.full[j] = p[i]
	}
	v := &d.full
	gam, w := math.Exp(v[pLnGamma]), math.Exp(v[pLnToeWidth])
	if !(w > leastToeWidth && w < greatestToeWidth && gam > 1e-4 && gam < 50) {
		return false
	}
	var m, k float64
	if d.shoulder {
		m, k = math.Exp(v[pLnShoulder]), math.Exp(v[pLnSharpness])
		if !(m > 0.05 && m < d.far && k >= 0.5 && k < 100) {
			return false
		}
	}
	// All rows at once, one elementary function after the other, with
	//
	//	sp = ln(1 + e^z), u = gamma w sp, q = (u/m)^k, net = u (1 + q)^(-1/k)
	n := d.patches
	if len(d.scratch) < 7*n {
		d.scratch = make([]float64, 7*n)
	}
	z, e, sp := d.scratch[:n], d.scratch[n:2*n], d.scratch[2*n:3*n]
	lr, q, l, bend := d.scratch[3*n:4*n], d.scratch[4*n:5*n], d.scratch[5*n:6*n], d.scratch[6*n:7*n]
	for i, x := range d.x[:n] {
		z[i] = (x - v[pToe]) / w
		e[i] = -min(math.Abs(z[i]), 600) // so that e and u are never 0
	}
	elementary.Exp(e, e)
	elementary.Log1p(sp, e)
	for i, z := range z {
		sp[i] += max(z, 0)
	}
	if d.shoulder {
		for i, sp := range sp {
			lr[i] = gam * w * sp / m
		}
		elementary.Log(lr, lr)
		for i, lr := range lr {
			q[i] = k * lr
		}
		elementary.Exp(q, q)
		elementary.Log1p(l, q)
		for i, l := range l {
			bend[i] = -l / k
		}
		elementary.Exp(bend, bend)
	}
	// The columns of jac: base plus fog if it is free, gamma, toe, its width, and
	// of a shoulder its density and sharpness.
	nf := len(d.free)
	c := 0
	if d.free[0] == pBase {
		c = 1
	}
	base := v[pBase]
	for i := range n {
		lo := 1 / (1 + e[i]) // the slope of softplus
		if z[i] < 0 {
			lo *= e[i]
		}
		u := gam * w * sp[i]
		net, du := u, 1.0
		row := jac[i*nf : i*nf+nf]
		if d.shoulder {
			part := q[i] / (1 + q[i])
			if !(q[i] < 1e300) {
				part = 1
			}
			net *= bend[i]
			du = bend[i] * (1 - part)
			row[c+3] = net * part
			row[c+4] = net * (l[i]/k - part*lr[i])
		}
		f[i] = base + net
		row[0] = 1 // overwritten where base plus fog is held
		row[c] = du * u
		row[c+1] = -du * gam * lo
		row[c+2] = du * gam * w * (sp[i] - z[i]*lo)
	}
	for i := d.patches; i < len(f); i++ {
		row := jac[i*nf : i*nf+nf]
		clear(row)
		if d.shoulder && i == len(f)-1 {
			f[i], row[c+4] = v[pLnSharpness], 1
		} else {
			f[i], row[0] = base, 1
		}
	}
	return true
}

// Fit fits a [Form] to readings in any order, repeated exposures included.
//
// Readings with a standard deviation weigh 1/SD² if all have one; otherwise all
// weigh the same. Base plus fog is fitted together with the rest: unexposed
// readings take part as such, a stated value is held, and if neither is given
// the readings themselves must reach down to it.
//
// A curve with a shoulder has six constants, one without has four. The shoulder
// is used if the corrected Akaike criterion (N. Sugiura, Commun. Stat. A 7 (1978)
// 13-26) is lower with it. Its sharpness takes part as if it had once been found
// to be 3, uncertain by a factor e: readings that only begin to bend do not tell
// it. With standard deviations given, the covariance is that of the readings,
// widened if they scatter about the curve more than they say; without, it is
// from the scatter.
//
// On simulated strips of steps of 0.10 or 0.15 with a standard deviation of 0.01
// and one unexposed patch the mean error of log Hm is below 0.003 where the film
// has this form, and below 0.010 with toes and shoulders of several other forms;
// a toe that fades as 1/x instead of exponentially, or a curve without any
// straight part, brings it to about 0.02. Without an unexposed patch, from steps
// that begin 0.75 under the speed point, it is up to 0.007 and 0.012.
//
// Errors wrap [ErrInput] (as for [Interpolate], or too few exposures: a fit needs
// two more than its four constants), [ErrFalls], or [ErrNotReached] (the readings
// do not rise to 0.10 above base plus fog, or do not determine the constants).
func Fit(readings []Reading, base Base) (*Fitted, error) {
	t := fitters.Get().(*fitter)
	defer func() {
		t.last = nil
		fitters.Put(t)
	}()
	return t.fit(readings, base)
}

// Iterations end when the residuals are orthogonal to the tangent plane to this
// part of their length: coarse to choose between curves, whose residual sums are
// then within a few thousandths of the least, fine for the chosen one, whose
// constants are within a ten thousandth of their standard deviation.
// Both are reached even where a soft shoulder makes convergence slow.
var (
	coarse = lsq.Settings{Offset: 0.1, MaxIter: 60, NoCovariance: true}
	fine   = lsq.Settings{Offset: 1e-4, MaxIter: 500}
	// For an interval a fiftieth of a standard deviation is plenty: it moves its ends
	// by less than a hundredth of its width, the chance of ten thousand draws by more.
	redrawn = lsq.Settings{Offset: 2e-2, MaxIter: 60, NoCovariance: true, Continue: true}
)

// fitter keeps the memory of a fit for the next.
type fitter struct {
	ws      lsq.Workspace
	scratch []float64
	last    *candidate // whose fit is the last in ws
}

var fitters = sync.Pool{New: func() any { return new(fitter) }}

func (t *fitter) fit(readings []Reading, base Base) (*Fitted, error) {
	if err := base.check(); err != nil {
		return nil, err
	}
	ps, known, err := gather(readings)
	if err != nil {
		return nil, err
	}
	plain := fitModel{patches: len(ps), free: []int{pBase, pLnGamma, pToe, pLnToeWidth}}
	if base.stated {
		plain.free = plain.free[1:]
		plain.full[pBase] = float64(base.mean())
	}
	if need := len(plain.free) + 2; len(ps) < need {
		return nil, check.Errorf(ErrInput, "readings at %d exposures, want %d or more for a fit", len(ps), need)
	}
	if err := plausible(ps, base); err != nil {
		return nil, err
	}
	var pure, n, sumW float64 // scatter of repeated readings, their number, their weight
	rows := len(ps) + len(base.densities) + 1
	memory := make([]float64, 3*rows)
	plain.x, plain.y, plain.w = memory[:0:rows], memory[rows:rows:2*rows], memory[2*rows:2*rows]
	for _, p := range ps {
		plain.x = append(plain.x, p.x)
		plain.y = append(plain.y, p.mean)
		plain.w = append(plain.w, p.weight)
		pure += p.ss
		n += float64(p.n)
		sumW += p.weight
	}
	if !base.stated {
		for _, b := range base.densities {
			plain.y = append(plain.y, float64(b))
			plain.w = append(plain.w, sumW/n)
		}
		n += float64(len(base.densities))
	}
	start, err := plain.start(base)
	if err != nil {
		return nil, err
	}
	best, err := t.best(&plain, start, pure, n)
	if len(ps) >= len(plain.free)+5 {
		bent := plain
		bent.shoulder = true
		bent.far = 5 * math.Exp(start[pLnShoulder])
		bent.free = append(append([]int(nil), plain.free...), pLnShoulder, pLnSharpness)
		unit := 1.0
		if !known {
			unit = usualDensitySD * usualDensitySD
		}
		bent.y = append(plain.y, math.Log(usualSharpness))
		bent.w = append(plain.w, unit/(lnSharpnessSD*lnSharpnessSD))
		b, e := t.best(&bent, start, pure, n)
		if e == nil && (err != nil || b.aicc < best.aicc) {
			best, err = b, nil
		}
	}
	if err == nil {
		best.model.far = math.Inf(1) // a faint bend is a bend once it is chosen
		err = t.run(best, best.par, fine)
	}
	if err != nil {
		return nil, check.Errorf(ErrNotReached, "the readings do not determine a toe and a straight part: %v", err)
	}
	best.rss += pure
	return best.fitted(known, ps)
}

// start guesses the constants from the steepest chord over about a fifth of the
// readings.
func (d *fitModel) start(base Base) (full [pCount]float64, err error) {
	n := d.patches
	b0 := d.y[0]
	if base.known() {
		b0 = float64(base.mean())
	}
	top := 0.0
	for _, y := range d.y[:n] {
		top = max(top, y-b0)
	}
	if !(top > float64(SpeedPointDensity)) {
		return full, check.Errorf(ErrNotReached, "the greatest density is %.3f above base plus fog, the speed point needs 0.10; expose further steps with more light", top)
	}
	k := max(n/5, 1)
	gam, at := 0.0, 0
	for i := 0; i+k < n; i++ {
		if g := (d.y[i+k] - d.y[i]) / (d.x[i+k] - d.x[i]); g > gam {
			gam, at = g, i
		}
	}
	if !(gam > 0) {
		return full, check.Errorf(ErrNotReached, "the density does not rise with exposure")
	}
	full[pBase] = b0
	full[pLnGamma] = math.Log(gam)
	full[pToe] = d.x[at] - (d.y[at]-b0)/gam
	full[pLnShoulder] = math.Log(top)
	full[pLnSharpness] = math.Log(usualSharpness)
	return full, nil
}

// candidate is one converged fit.
type candidate struct {
	model *fitModel
	par   []float64
	cov   []float64
	rss   float64
	dof   int
	aicc  float64
}

// run fits from a start into c.
func (t *fitter) run(c *candidate, start []float64, set lsq.Settings) error {
	c.model.scratch = t.scratch
	set.Continue = t.last == c
	t.last = nil
	r, err := t.ws.Fit(c.model.eval, c.model.y, c.model.w, start, set)
	t.scratch, c.model.scratch = c.model.scratch, nil
	if err != nil {
		return err
	}
	if r.Status == lsq.IterationLimit {
		return errors.New("the fit did not settle")
	}
	c.par = append(c.par[:0], r.Params...)
	if !set.NoCovariance {
		c.cov = append(c.cov[:0], r.Cov...)
	}
	c.rss, t.last = r.RSS, c
	for i, j := range c.model.free {
		c.model.full[j] = c.par[i]
	}
	return nil
}

// best fits from a toe of usual width; from a sharper and a softer one too, keeping
// the closest fit, if that fails or ends with a toe that no film has. pure is the
// scatter of repeated readings about their means, n the number of readings.
func (t *fitter) best(d *fitModel, full [pCount]float64, pure, n float64) (best *candidate, err error) {
	start := make([]float64, len(d.free))
	for _, w := range [...]float64{0.2, 0.1, 0.4} {
		full[pLnToeWidth] = math.Log(w)
		for i, j := range d.free {
			start[i] = full[j]
		}
		m := *d
		c := &candidate{model: &m}
		if e := t.run(c, start, coarse); e != nil {
			err = e
			continue
		}
		if best == nil || c.rss < best.rss {
			best = c
		}
		if w := math.Exp(best.model.full[pLnToeWidth]); w > 0.04 && w < 1 {
			break
		}
	}
	if best == nil {
		return nil, err
	}
	k := float64(len(start) + 1)
	best.dof = int(n) - len(start)
	if d.shoulder {
		best.dof++ // the usual sharpness is one more
	}
	best.aicc = n*math.Log(max((best.rss+pure)/n, 1e-18)) + 2*k + 2*k*(k+1)/max(n-k-1, 0.5)
	return best, nil
}

func (c *candidate) fitted(known bool, ps []patch) (*Fitted, error) {
	s := shapeOf(&c.model.full, c.model.shoulder)
	s.From, s.To = LogH(ps[0].x), LogH(ps[len(ps)-1].x)
	f := &Fitted{Form: Form{s}, model: *c.model, par: c.par, dof: c.dof, known: known, unit: c.rss / float64(c.dof)}
	scale := f.unit
	if known {
		scale = max(1, scale)
	}
	p := len(c.par)
	f.chol = make([]float64, p*p)
	for i := range p {
		for j := 0; j <= i; j++ {
			v := c.cov[i*p+j] * scale
			for k := range j {
				v -= f.chol[i*p+k] * f.chol[j*p+k]
			}
			switch {
			case i != j:
				if f.chol[j*p+j] > 0 {
					f.chol[i*p+j] = v / f.chol[j*p+j]
				}
			case !(v >= 0):
				return nil, check.Errorf(ErrNotReached, "the readings do not determine the constants of the curve")
			default:
				f.chol[i*p+i] = math.Sqrt(v)
			}
		}
	}
	return f, nil
}

// Scatter returns the root mean square of the residuals per degree of freedom:
// in densities where the readings came without standard deviations, in units of
// those otherwise, where it is about 1 if they are right and the film has this
// form.
func (f *Fitted) Scatter() float64 { return math.Sqrt(f.unit) }
