package sensito

import (
	"cmp"
	"math"
	"slices"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/filmfit"
)

// Fitted is a smooth curve laid through readings with noise, and what the readings
// say about it. As a curve it is the mean of all the curves that the readings allow,
// each counted by its probability; it rises throughout. Its domain is the exposures
// of the readings: what they do not reach is an error, never an extrapolation.
type Fitted struct {
	mean     Interpolated // the mean curve
	data     *filmfit.Data
	order    []int // the readings in the order of data, as indexes into those given
	given    []Reading
	weighed  filmfit.Weighed
	account  Account
	findings []Finding
	widened  float64 // the chance of the chi square for which the noise was found anew, 1 if it was not
}

// leastExposures is how many exposures a fit needs.
const leastExposures = 6

// Fit lays a smooth curve through readings in any order, repeated exposures included.
//
// The logarithm of the slope is a closed form and a smooth departure from it,
//
//	ln dD/dx = ln gamma + ln S'(z) - (1 + 1/k) ln(1 + q) + tau departure(x)
//	z = (x - toe)/w,  q = (gamma w S(z)/M)^k,  x = log10 H
//	S(z) = ln(1 + e^z), (z + sqrt(z² + 4))/2, 3 (u + r)²/4r with u = z/3 and
//	r = sqrt(1 + u²), or c (u F(u) + F'(u)) with u = z/c, c = 1.7 and F the normal
//	distribution
//
// No form is chosen: the four toes and three sizes tau of the departure count by their
// probability, the marginal likelihood (Laplace's approximation) times a prior of 0.46 for
// the second toe, which reaches farthest down, and of 0.18 for each of the others, so that
// nothing jumps and no doubt is lost. [ClosedForm] is the first toe with tau = 0. The constants
// have weak priors: a toe about 0.2 wide and a shoulder at twice the greatest density,
// uncertain by a factor 2 and e. The method is worked out here; no published text holds it.
//
// Readings with a standard deviation weigh 1/SD² if all have one; otherwise the noise
// is found along with the curve, as one that is the same everywhere, grows with density
// or is shared by neighbours. Where the readings scatter more than was stated (a chi square that chance
// would give once in ten), the noise is found too, but not below what was stated.
// Base plus fog is fitted with the rest: unexposed readings take part, a stated value
// is held, and if neither is given the readings must reach down to it. The error of
// rounding to 0.01, 0.01²/12, is seen from the readings' digits and added. Of more than 400
// readings those that lie within a four hundredth of the range are joined, and a hundred of them
// or more count as a hundred: they share errors that no mean takes away.
//
// What the residuals make doubtful is weighed: each reading as wild, the first ones as
// raised by stray light, the errors of neighbours as one. Doubts count by their
// probability, see [Fitted.Findings].
//
// Measured on simulated strips (TestStudy; fifteen families of films, three of the
// closed form and three of the other toes; 300 a cell, ± 2.5 %; one unexposed reading,
// first step 0.75 under the speed point). How often the 95 % intervals held the truth, in
// %, mean of the families and range, and their width over the least that an estimator
// could have that knew the film's formula, on films of the closed form:
//
//	steps                   log Hm          G               ΔD              width
//	 6 of 0.50, SD 0.01     97 (93 to 98)   98 (94 to 100)  97 (93 to 100)  0.99 to 1.13
//	 7 of 0.45              96 (94 to 99)   97 (95 to 99)   96 (88 to 99)   0.99 to 1.08
//	11 of 0.30              97 (95 to 99)   97 (95 to 98)   97 (95 to 98)   1.01 to 1.11
//	21 of 0.15              97 (95 to 99)   97 (94 to 99)   97 (94 to 99)   1.04 to 1.14
//	31 of 0.10              97 (95 to 99)   96 (95 to 98)   96 (95 to 98)   1.02 to 1.18
//	 7, SD not stated       99 (97 to 100)  99 (96 to 100)  98 (96 to 100)  1.48 to 1.79
//	11, SD not stated       95 (93 to 100)  96 (94 to 99)   96 (94 to 99)   1.10 to 1.20
//	21, SD not stated       97 (95 to 99)   97 (94 to 99)   97 (94 to 99)   1.11 to 1.21
//	11, SD 0.005            96 (94 to 98)   96 (93 to 98)   96 (93 to 98)   0.99 to 1.06
//	21, SD 0.005            97 (95 to 98)   97 (92 to 99)   97 (93 to 98)   1.02 to 1.09
//	21, SD 0.02             98 (94 to 100)  97 (93 to 99)   97 (94 to 99)   1.05 to 1.17
//	21, 0.02 not stated     97 (92 to 99)   97 (91 to 99)   97 (91 to 99)   1.06 to 1.22
//
// The least of them are a toe that fades as 1/x and never gets straight, with SD 0.02, one
// that fades as 1/x² and bends twice, with 0.005, and two emulsions with seven steps. Without
// the first row, gamma was held in 97 to 100 (89 to 100), contrast index in 96 to 99 (90 to 100),
// base plus fog in 95 to 98 (86 to 100), the fractional gradient point in 94 to 98 (66 to 100): 66 to 95
// on a toe that starts at once and 84 to 99 on a curve without any straight part, since its
// toe's slope is harder to know than its density. On other films than the closed form widths
// are up to 3.0 times the least, and 4.1 times with seven steps of unknown deviation. The mean
// error of log Hm is within 0.38 of the least deviation on films of the closed form.
//
// Readings that are not as said: rounded to 0.01, 96 to 100 (94 to 100); noise that grows
// with density, 97 (94 to 100); two strips read together, 96 (94 to 100). With half the
// deviation stated 21 steps have 97 (90 to 99), findings on 83 %, and 11 steps 91 (87
// to 94), findings on 35 %. Errors that neighbours share (correlated by 0.8) leave 91 to 94
// (87 to 97), findings on 46 %, with a deviation stated, and 80 to 82 (71 to 95), findings on
// 19 %, without one: such errors look like a curve.
//
// A reading off by 0.10 was named, by film, on 91 to 100 % of strips of 21 steps, on 64 to
// 88 % of 11 and on 32 to 73 % of seven; the intervals held 96 to 97 (93 to 99), 96 (94 to 98)
// and 91 to 94 (78 to 97): two emulsions and seven steps are the least. Off by 0.20 it was
// named on 97 to 100 % of 21; light of 0.10 on the first readings on 85 to 100 % of 21 and 56
// to 97 % of 11. Clean strips from seven steps on had a finding about their readings in 0.0 to
// 0.8 %, 2 % at most, by film. An interval that cannot be told has NaN ends.
//
// Errors wrap [ErrInput] (as for [Interpolate], or fewer than six exposures),
// [ErrFalls], or [ErrNotReached] (the readings do not rise to 0.10 above base plus
// fog).
func Fit(readings []Reading, base Base) (*Fitted, error) {
	if err := base.check(); err != nil {
		return nil, err
	}
	ps, known, err := gather(readings)
	if err != nil {
		return nil, err
	}
	if len(ps) < leastExposures {
		return nil, check.Errorf(ErrInput, "readings at %d exposures, want %d or more for a fit", len(ps), leastExposures)
	}
	if err := plausible(ps, base, max(1, len(ps)/6)); err != nil {
		return nil, err
	}
	if err := rises(ps, base); err != nil {
		return nil, err
	}
	f := &Fitted{given: slices.Clone(readings)}
	f.strip(base, known)
	var ok bool
	if f.weighed, ok = filmfit.Fit(f.data); !ok {
		return nil, check.Errorf(ErrNotReached, "no curve with a toe and a rising part goes through the readings")
	}
	f.widened = 1
	f.widen()
	f.settleMean()
	f.tell()
	f.find()
	return f, nil
}

// mostRows is how many readings are fitted one by one; more are joined where they lie
// close together.
const mostRows = 400

// strip readies the readings for the fit.
func (f *Fitted) strip(base Base, known bool) {
	rs := f.given
	f.order = make([]int, len(rs))
	for i := range f.order {
		f.order[i] = i
	}
	slices.SortStableFunc(f.order, func(a, b int) int { return cmp.Compare(rs[a].LogH, rs[b].LogH) })
	d := &filmfit.Data{Known: known, UnitSD: usualDensitySD, Held: base.stated}
	rounding := roundingVariance(rs, base)
	if !known {
		d.Least = math.Sqrt(rounding)
	}
	var sum float64
	for _, i := range f.order {
		w := 1.0
		if known {
			w = 1 / (rs[i].SD*rs[i].SD + rounding)
		}
		sum += w
		d.X, d.Y, d.W = append(d.X, float64(rs[i].LogH)), append(d.Y, float64(rs[i].Density)), append(d.W, w)
	}
	d.BaseW = sum / float64(len(rs))
	for _, b := range base.densities {
		d.Base = append(d.Base, float64(b))
	}
	if len(d.X) > mostRows {
		join(d)
	}
	f.data = d
}

// usualDensitySD is what is expected of readings without a deviation, very weakly.
const usualDensitySD = 0.01

// mostTogether is how many readings of one place count: they share errors of their patch, of
// the tablet and of rounding, which no mean takes away.
const mostTogether = 100

// join puts readings that lie close together into their weighted means: within a
// bin of a four hundredth of the range a curve is straight to far below the noise.
func join(d *filmfit.Data) {
	first, span := d.X[0], d.X[len(d.X)-1]-d.X[0]
	n := 0
	for i := 0; i < len(d.X); n++ {
		bin := math.Floor((d.X[i] - first) / span * mostRows)
		j := i
		var w, x, y float64
		for ; j < len(d.X) && math.Floor((d.X[j]-first)/span*mostRows) == bin; j++ {
			w += d.W[j]
			x += d.W[j] * d.X[j]
			y += d.W[j] * d.Y[j]
		}
		x, y = x/w, y/w
		slope := 0.0
		if n > 0 && x > d.X[n-1] {
			slope = max((y-d.Y[n-1])/(x-d.X[n-1]), 0)
		}
		count := min(float64(j-i), mostTogether)
		share := count / float64(j-i)
		for k := i; k < j; k++ {
			e := d.Y[k] - y - slope*(d.X[k]-x)
			d.Pure += share * d.W[k] * e * e
		}
		d.Joined += count - 1
		d.X[n], d.Y[n], d.W[n] = x, y, share*w
		i = j
	}
	d.X, d.Y, d.W = d.X[:n], d.Y[:n], d.W[:n]
}

// roundingVariance is that of readings all given to two decimals, 0.01²/12, or to
// one, and 0 otherwise.
func roundingVariance(rs []Reading, base Base) float64 {
	for _, unit := range [...]float64{0.1, 0.01} {
		on := func(d Density) bool {
			v := float64(d) / unit
			return math.Abs(v-math.Round(v)) < 1e-6
		}
		all := !slices.ContainsFunc(rs, func(r Reading) bool { return !on(r.Density) }) &&
			(base.stated || !slices.ContainsFunc(base.densities, func(d Density) bool { return !on(d) }))
		if all {
			return unit * unit / 12
		}
	}
	return 0
}

// rises refuses readings that never reach the speed point.
func rises(ps []patch, base Base) error {
	b0 := ps[0].mean
	if base.known() {
		b0 = float64(base.mean())
	}
	top := 0.0
	for _, p := range ps {
		top = max(top, p.mean-b0)
	}
	if !(top > float64(SpeedPointDensity)) {
		return check.Errorf(ErrNotReached,
			"the greatest density is %.3f above base plus fog, the speed point needs 0.10; expose further steps with more light", top)
	}
	if !(ps[len(ps)-1].mean > ps[0].mean) {
		return check.Errorf(ErrNotReached, "the density does not rise with exposure")
	}
	return nil
}

// Chances of a chi square as great: below doubtful the stated deviations are not
// relied on, below surprise that is a finding.
const (
	doubtful = 0.2
	surprise = 0.005
)

// widen fits anew with the noise unknown, but not below what was stated, if the
// readings scatter about the likeliest curve more than they should.
func (f *Fitted) widen() {
	if !f.data.Known {
		return
	}
	h := f.weighed.Heaviest()
	p := filmfit.Chance(h.ChiSquare, f.freedom(h))
	if !(p < doubtful) {
		return
	}
	d := *f.data
	d.Known, d.UnitSD, d.Least = false, 1, 1
	if w, ok := filmfit.Fit(&d); ok {
		f.weighed, f.widened = w, p
	}
}

// freedom is the number of readings less the constants they determine.
func (f *Fitted) freedom(p *filmfit.Part) float64 {
	return max(f.count()-p.Parameters, 0.5)
}

// count is the number of readings that the fit saw.
func (f *Fitted) count() float64 {
	n := float64(len(f.given))
	if !f.data.Held {
		n += float64(len(f.data.Base))
	}
	return n
}

// settleMean makes the mean curve.
func (f *Fitted) settleMean() {
	k := f.weighed.Mean()
	m := &f.mean
	m.level = max(k.Base, 0)
	m.base = StatedBase(Density(m.level))
	m.x, m.y, m.m = k.X, k.Density, k.Rate
	for i, y := range m.y {
		m.y[i] = max(y, 0)
		if i > 0 {
			m.y[i] = max(m.y[i], m.y[i-1])
		}
	}
	for i := range m.m { // so that no cubic falls
		for j := max(i-1, 0); j < min(i+1, len(m.m)-1); j++ {
			m.m[i] = min(m.m[i], 3*(m.y[j+1]-m.y[j])/(m.x[j+1]-m.x[j]))
		}
	}
	m.pieces = newPieces(m.x, m.y, m.m, pieces{})
	m.inv = new(inverses)
}

// A nil Fitted and the zero value are empty curves: their methods answer with errors,
// as those of [Interpolated] do.

func (f *Fitted) curve() *Interpolated {
	if f == nil {
		return nil
	}
	return &f.mean
}

func (f *Fitted) empty() bool { return f.curve().empty() }

// Density returns the mean curve's density at x.
func (f *Fitted) Density(x LogH) (Density, error) { return f.curve().Density(x) }

// Slope returns the mean curve's dD/dlog10 H at x.
func (f *Fitted) Slope(x LogH) (float64, error) { return f.curve().Slope(x) }

// LogH returns the exposure at which the mean curve has density d; where it is level
// at d, the greatest such exposure.
func (f *Fitted) LogH(d Density) (LogH, error) { return f.curve().LogH(d) }

// Densities sets dst to the densities at xs, as [Interpolated.Densities] does.
func (f *Fitted) Densities(dst []Density, xs []LogH) error { return f.curve().Densities(dst, xs) }

// LogHs sets dst to the exposures of ds, as [Interpolated.LogHs] does.
func (f *Fitted) LogHs(dst []LogH, ds []Density) error { return f.curve().LogHs(dst, ds) }

// Domain returns the exposures of the first and the last reading.
func (f *Fitted) Domain() (lo, hi LogH) { return f.curve().Domain() }

// BaseFog returns base plus fog.
func (f *Fitted) BaseFog() Density { return f.curve().BaseFog() }

// MarshalJSON refuses: keep the readings and base plus fog, and fit again; the same
// readings give the same curve. [Fitted.Account], [Fitted.Findings] and what
// [Fitted.ClosedForm] or [Fitted.Points] give can be stored.
func (f *Fitted) MarshalJSON() ([]byte, error) {
	return nil, check.Errorf(ErrInput, "a fitted curve is not stored; keep the readings and base plus fog, and fit again")
}
