package filters

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"example.org/actinic/internal/lsq"
	"example.org/actinic/internal/robust"
	"example.org/actinic/spectral"
)

// Recovery says on which wavelengths and how smoothly a sensitivity is sought.
type Recovery struct {
	// Nodes in nm, 3 to 200; the sensitivity is straight between them and zero
	// outside. Nil stands for every 5 nm of 360 to 760 nm.
	Nodes []float64
	// Smooth is the distance in nm over which values are expected to be alike;
	// with 0 it is left open, between 8 and 90, and the readings weigh the answers.
	Smooth float64
	// Light is how uncertain the spectrum of the light is. Its errors are in all readings,
	// each by the part of the light that gets through: what the filters tell of the film
	// goes together in the intervals as it does.
	Light Deviation
	// Filters is what the spectra of all filters have in common that were measured with
	// one instrument: Zero, Scale and Wavelength. What is each filter's own, noise among
	// it, goes into its reading by [SpeedReading.Widened].
	Filters Deviation
}

// Recover estimates the relative spectral sensitivity of a film from its speeds
// through known filters in a known light: regularised non-negative least squares,
//
//	minimise Σ ((w_i·x / s_i - 1) / (ln 10 σ_i))² + xᵀ K⁻¹ x,  x >= 0
//
// for reading i with speed s_i = 10^LogSpeed and deviation σ_i, where w_i·x is the
// exact integral ∫ E S T_i dλ. K is the covariance of a smooth unknown (Matérn,
// order 3/2). Its size, and its length where [Recovery].Smooth is 0, are those that
// make the readings most probable; the intervals average over all that the readings
// leave probable.
//
// A dozen contrast filters fix four to eight numbers, not seventy; Known, Width and
// Degrees say which. Intervals are those of the Gaussian model without the sign, cut
// at zero. They hold for the truth at the scale that [Recovered] describes.
//
// Where the readings miss the curve by more than their deviations allow once in a
// hundred, the deviations are taken for too small and raised until they fit, those of
// all by one factor and those of single odd readings further, and the intervals with
// them. Raised, Odd and Statement say so, and whether finer nodes would do instead.
//
// Measured on simulated films in D55, 40 rolls of each kind, deviations of 0.01 and
// 0.03 as stated, at the nodes that are Known by half or more:
//
//   - Behind no filter and 15 contrast filters, eight kinds of film with bands no
//     sharper than 15 nm: the truth was inside at 96 to 100 % of the nodes. Single
//     nodes on a corner or a jump, which smoothness rounds off, had 30 to 97 %.
//   - Films finer than Width, five dyes of 10 nm and a comb of 20 nm: 60 to 73 %. What
//     the interval holds there is the truth averaged over Width, at 96 % and more.
//   - Behind 33 band-passes of 10 nm, 0.01: 89 to 100 %, and 60 % for the comb. The
//     better the data, the more a corner tells: single nodes had from 0 % on.
//   - Deviations of 0.03 given as 0.01 were found out in 93 to 100 % of the rolls, and
//     the intervals then held as above; right ones were raised in 0 to 5 %, and in
//     30 % for the five dyes.
//
// Light and filters are taken for exact unless [Recovery] says how uncertain the light is,
// and what the filters share; errors of each filter's own go into the deviations by
// [SpeedReading.Widened]. The readings are then weighed with the covariance that the errors
// leave them for the film as it is found without. A light that is off by 30 % of its values,
// alike over 60 nm, left the truth inside at 96.6 % of the nodes when it was said and 93.4 %
// when it was not; filters read with wavelengths off by 5 nm 98.1 and 97.2 %
// (TestRecoverSharedErrors): small errors the filters do not notice, and of larger ones most
// show as deviations that have to be raised.
//
// Errors wrap [ErrInvalid] for fewer than three readings, a deviation that is not
// within 1e-4 to 1, or nodes that cannot be used, and are those of package
// spectral for spectra that do not fit.
func Recover(readings []SpeedReading, light spectral.Light, r Recovery) (Recovered, error) {
	nm, lengths, err := r.settings(len(readings))
	if err != nil {
		return Recovered{}, err
	}
	s, err := newSystem(readings, light, nm)
	if err != nil {
		return Recovered{}, err
	}
	if r.uncertain() {
		if err := s.share(readings, light, lengths, r); err != nil {
			return Recovered{}, err
		}
	}
	stated := slices.Clone(s.sd)
	f, raised, odd, err := s.agree(stated, lengths)
	if err != nil {
		return Recovered{}, err
	}
	out, err := s.recovered(f)
	if err != nil {
		return Recovered{}, err
	}
	out.Raised = raised
	if out.ChiSquare, err = s.chiSquare(f.off, stated); err != nil {
		return Recovered{}, err
	}
	for i := range f.off {
		if odd[i] {
			out.Odd = append(out.Odd, readings[i].Filter.name)
		}
	}
	if raised > 1 || len(out.Odd) > 0 {
		out.Coarse = s.finerFits(readings, light, stated, lengths)
	}
	return out, nil
}

// agree fits, and raises deviations until readings and curve agree but once in a
// hundred: those of all readings by what the middle one is off, and those of single
// ones, which are then odd, that are off by more than three times as much.
func (s *system) agree(stated, lengths []float64) (f fit, raised float64, odd []bool, err error) {
	m := len(stated)
	raised, odd = 1, make([]bool, m)
	own := slices.Repeat([]float64{1}, m)
	for range 12 {
		if f, err = s.fit(lengths); err != nil {
			return f, raised, odd, err
		}
		limit, dof := f.limit(m)
		if !(f.chi > limit) {
			break
		}
		z := make([]float64, m)
		for i, off := range f.off {
			z[i] = math.Abs(off) / s.spread(i)
		}
		const normal = 1.4826 // the median deviation of normal errors, over their own
		scale := max(normal*robust.Median(slices.Clone(z))*math.Sqrt(float64(m)/dof), 1)
		changed := scale > 1.05
		for i := range z {
			if far := z[i] / scale; far > 3 {
				own[i], odd[i], changed = own[i]*far/2, true, true
			}
		}
		if !changed {
			scale = math.Sqrt(f.chi / dof)
		}
		raised *= scale
		for i := range s.sd {
			s.sd[i] = stated[i] * raised * own[i]
		}
	}
	return f, raised, odd, nil
}

func (r Recovery) uncertain() bool { return r.Light.known() || r.Filters.known() }

// share puts the covariance of errors that readings share into the system: that for the
// film that is found when there are none.
func (s *system) share(readings []SpeedReading, light spectral.Light, lengths []float64, r Recovery) error {
	for what, d := range map[string]Deviation{"light": r.Light, "filters": r.Filters} {
		if err := d.check(what); err != nil {
			return err
		}
	}
	// What the errors do to the readings may be more than their own deviations allow: those
	// are then taken for larger until there is a film to reckon with.
	stated := slices.Clone(s.sd)
	f, _, _, err := s.agree(stated, lengths)
	for larger := 3.0; err != nil && larger < 1000; larger *= 3 {
		wide := slices.Clone(stated)
		for i := range wide {
			wide[i] *= larger
			s.sd[i] = wide[i]
		}
		f, _, _, err = s.agree(wide, lengths)
	}
	copy(s.sd, stated)
	if err != nil {
		return err
	}
	first, err := s.recovered(f)
	if err != nil {
		return err
	}
	film, err := first.Sensitivity()
	if err != nil {
		return err
	}
	set := make([]Filter, len(readings))
	for i, q := range readings {
		set[i] = q.Filter
	}
	s.shared, err = sharedCovariance(film, light, set, r.Light, r.Filters)
	return err
}

func (r Recovery) settings(m int) (nm, smooth []float64, err error) {
	nm, smooth = r.Nodes, []float64{r.Smooth}
	if nm == nil {
		nm, _ = spectral.Grid(360, 760, 5)
	}
	if r.Smooth == 0 {
		smooth = lengths
	}
	switch {
	case m < 3 || m > 1000:
		return nil, nil, invalid("%d readings, it takes 3 to 1000", m)
	case len(nm) < 3 || len(nm) > maxNodes:
		return nil, nil, invalid("%d nodes, it takes 3 to %d", len(nm), maxNodes)
	case !(smooth[0] >= 1 && smooth[0] <= 1000):
		return nil, nil, invalid("smooth over %v nm, it is 1 to 1000", r.Smooth)
	}
	return nm, smooth, nil
}

const maxNodes = 200

// A system is the readings as w x = 1 with deviations sd, for values x at the nodes
// that are scaled to about 1.
type system struct {
	nm   []float64
	w    *mat.Dense
	sd   []float64
	bare []float64 // weight of each node in the light without a filter
	// shared is the covariance of errors that readings have in common; nil for none.
	shared *mat.SymDense
}

// errors is the covariance of the readings about the truth, factorized, with deviations of
// their own.
func (s *system) errors(sd []float64) (*mat.Cholesky, bool) {
	m := len(sd)
	c := mat.NewSymDense(m, nil)
	if s.shared != nil {
		c.CopySym(s.shared)
	}
	for i, own := range sd {
		c.SetSym(i, i, c.At(i, i)+own*own)
	}
	var ch mat.Cholesky
	ok := ch.Factorize(c)
	return &ch, ok
}

// spread is the standard deviation of a reading, shared errors included.
func (s *system) spread(i int) float64 {
	if s.shared == nil {
		return s.sd[i]
	}
	return math.Sqrt(s.sd[i]*s.sd[i] + s.shared.At(i, i))
}

func newSystem(readings []SpeedReading, light spectral.Light, nm []float64) (*system, error) {
	m, n := len(readings), len(nm)
	s := &system{nm: slices.Clone(nm), w: mat.NewDense(m, n, nil), sd: make([]float64, m)}
	top := math.Inf(-1)
	for i, q := range readings {
		if err := q.check(i); err != nil {
			return nil, err
		}
		s.sd[i] = q.SD * math.Ln10
		top = max(top, q.LogSpeed)
	}
	bare, err := spectral.NewQuadrature(nm, spectral.Zero, light.Spectra()...)
	if err != nil {
		return nil, err
	}
	s.bare = bare.Weights()
	var sumW, sumY float64
	for i, q := range readings {
		rule, err := spectral.NewQuadrature(nm, spectral.Zero, append(light.Spectra(), q.Filter.parts...)...)
		if err != nil {
			return nil, fmt.Errorf("filter %q: %w", q.Filter.name, err)
		}
		if !(rule.Total() > 0) {
			return nil, fmt.Errorf("%w: filter %q from %g to %g nm", ErrOpaque, q.Filter.name, nm[0], nm[n-1])
		}
		y := math.Pow(10, q.LogSpeed-top)
		sumW, sumY = sumW+rule.Total(), sumY+y
		for j, v := range rule.Weights() {
			s.w.Set(i, j, v/y)
		}
	}
	s.w.Scale(sumY/sumW, s.w)
	return s, nil
}

// A fit is the estimate and what the readings leave open about it.
type fit struct {
	x    []float64
	post posterior
	off  []float64 // of each reading from the curve, in ln speed
	chi  float64   // by the deviations of the system
}

// limit returns what chi-square exceeds once in a hundred, and its degrees of
// freedom: the readings less the numbers they fix.
func (f fit) limit(readings int) (limit, dof float64) {
	dof = float64(readings)
	for i := range f.x {
		dof -= f.post.resolution.At(i, i)
	}
	dof = max(dof, 1)
	return distuv.ChiSquared{K: dof}.Quantile(0.99), dof
}

func (s *system) fit(lengths []float64) (fit, error) {
	smoothers, priors := s.priors(lengths)
	if len(priors) == 0 {
		return fit{}, errIndistinct
	}
	x, err := s.estimate(smoothers[priors[0].length], priors[0])
	if err != nil {
		return fit{}, err
	}
	f := fit{x: x}
	if f.post, err = s.average(smoothers, priors); err != nil {
		return fit{}, err
	}
	for i := range s.sd {
		f.off = append(f.off, mat.Dot(s.w.RowView(i), mat.NewVecDense(len(x), x))-1)
	}
	f.chi, err = s.chiSquare(f.off, s.sd)
	return f, err
}

// chiSquare is how far the readings are off the curve, by their own deviations and what
// they share.
func (s *system) chiSquare(off, sd []float64) (float64, error) {
	ch, ok := s.errors(sd)
	z := mat.NewVecDense(len(off), off)
	var u mat.VecDense
	if !ok || ch.SolveVecTo(&u, z) != nil {
		return 0, errIndistinct
	}
	return mat.Dot(z, &u), nil
}

// estimate returns the non-negative least squares of the readings and K⁻¹ = L⁻ᵀ L⁻¹
// stacked.
func (s *system) estimate(o *smoother, p prior) ([]float64, error) {
	m, n := len(s.sd), len(s.nm)
	var ck mat.Cholesky
	var l, inverse mat.TriDense
	if ck.Factorize(o.k) {
		ck.LTo(&l)
	}
	if l.IsEmpty() || inverse.InverseTri(&l) != nil {
		return nil, invalid("nodes too close to each other for smoothing over %v nm", p.length)
	}
	a, b := mat.NewDense(m+n, n, nil), make([]float64, m+n)
	white, ok := s.whitened()
	if !ok {
		return nil, errIndistinct
	}
	for i := range m {
		for k := range m {
			v := white.At(i, k)
			b[i] += v
			for j := range n {
				a.Set(i, j, a.At(i, j)+v*s.w.At(k, j))
			}
		}
	}
	for i := range n {
		for j := 0; j <= i; j++ {
			a.Set(m+i, j, inverse.At(i, j)/p.size)
		}
	}
	x, err := nnls(a, b)
	if err == nil && !(slices.Max(x) > 0) {
		err = invalid("the readings leave no sensitivity anywhere")
	}
	return x, err
}

// whitened is L⁻¹ of the covariance L Lᵀ of the readings' errors, which makes them
// independent and of variance 1.
func (s *system) whitened() (*mat.TriDense, bool) {
	m := len(s.sd)
	white := mat.NewTriDense(m, mat.Lower, nil)
	if s.shared == nil {
		for i, sd := range s.sd {
			white.SetTri(i, i, 1/sd)
		}
		return white, true
	}
	ch, ok := s.errors(s.sd)
	if !ok {
		return nil, false
	}
	var l mat.TriDense
	ch.LTo(&l)
	return white, white.InverseTri(&l) == nil
}

// recovered scales the estimate to the exposure it gives without a filter, whose
// error goes into the covariance, and then by a constant to the largest value 1:
//
//	z = x / (b·x),  cov z = J cov x Jᵀ,  J = (1 - z bᵀ) / (b·x)
//
// Source: JCGM 102:2011, propagation through a function of several outputs (from memory).
func (s *system) recovered(f fit) (Recovered, error) {
	n := len(s.nm)
	total := 0.0
	for j, v := range f.x {
		total += s.bare[j] * v
	}
	if !(total > 0) {
		return Recovered{}, invalid("the readings leave no sensitivity in this light")
	}
	peak := slices.Max(f.x)
	j := mat.NewDense(n, n, nil)
	for i := range n {
		for k := range n {
			j.Set(i, k, -f.x[i]/total*s.bare[k]/peak)
		}
		j.Set(i, i, j.At(i, i)+1/peak)
	}
	var half, cov mat.Dense
	half.Mul(j, f.post.cov)
	cov.Mul(&half, j.T())
	out := Recovered{
		NM: s.nm, Value: make([]float64, n), Low: make([]float64, n), High: make([]float64, n),
		Known: f.post.known, Width: make([]float64, n), Covariance: make([][]float64, n), Weight: make([]float64, n),
	}
	for i := range n {
		out.Covariance[i] = make([]float64, n)
		for k := range n {
			out.Covariance[i][k] = (cov.At(i, k) + cov.At(k, i)) / 2
		}
		sd := math.Sqrt(max(cov.At(i, i), 0))
		out.Value[i] = f.x[i] / peak
		out.Low[i], out.High[i] = max(out.Value[i]-lsq.Normal95*sd, 0), out.Value[i]+lsq.Normal95*sd
		out.Weight[i] = s.bare[i] * peak / total
		out.Degrees += f.post.resolution.At(i, i)
		out.Width[i] = s.width(f.post.resolution, i)
	}
	return out, nil
}

// width returns the equivalent width in nm of what is mixed into a node.
func (s *system) width(resolution *mat.Dense, j int) float64 {
	n := len(s.nm)
	var s1, s2 float64
	for i := range n {
		h := (s.nm[min(i+1, n-1)] - s.nm[max(i-1, 0)]) / 2
		d := resolution.At(j, i) / h
		s1, s2 = s1+math.Abs(d)*h, s2+d*d*h
	}
	if !(s2 > 0) {
		return s.nm[n-1] - s.nm[0] // nothing is known of the node
	}
	return s1 * s1 / s2
}

// finerFits reports whether the readings agree with their deviations once there is a
// node between each two.
func (s *system) finerFits(readings []SpeedReading, light spectral.Light, stated, lengths []float64) bool {
	var nm []float64
	for i, l := range s.nm {
		if i > 0 {
			nm = append(nm, (s.nm[i-1]+l)/2)
		}
		nm = append(nm, l)
	}
	fine, err := newSystem(readings, light, nm)
	if err != nil {
		return false
	}
	copy(fine.sd, stated)
	fine.shared = s.shared
	f, err := fine.fit(lengths)
	if err != nil {
		return false
	}
	limit, _ := f.limit(len(readings))
	return f.chi <= limit
}
