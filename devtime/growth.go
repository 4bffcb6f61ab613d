package devtime

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/elementary"
	"example.org/actinic/sensito"
)

// GrowthFit is the growth of contrast as strips tell it, with and without an
// induction time: both laws of [ContrastTime] speak in every interval, and so does
// what strips differ by beyond the error of reading them. Make one with [FitGrowth];
// the zero GrowthFit answers with an error.
type GrowthFit struct {
	law         ContrastTime // the one law nearest to the average of all
	nodes       []growthNode // of all laws
	one         []growthNode // of the law of one rate
	noInduction float64
	first, last time.Duration
}

// growthNode is a law that the strips allow, and its weight. order is the spread of
// rates among the grains, 0 for the law of one rate.
type growthNode struct{ limit, rate, induction, order, weight float64 }

// share is the part of the limit reached at t minutes: for one rate
//
//	1 - exp(-rate (t - induction))
//
// and, where the grains have many rates, a gamma distribution of them about a mean
//
//	1 - (1 + rate t/order)^-order
//
// which is hyperbolic growth, t/(t + c), for the order 1.
func (n growthNode) share(t float64) float64 {
	if n.order > 0 {
		return -math.Expm1(-n.order * math.Log1p(n.rate*t/n.order))
	}
	return -math.Expm1(-n.rate * math.Max(t-n.induction, 0))
}

// class is 0 for one rate and 1 for many.
func (n growthNode) class() int {
	if n.order > 0 {
		return 1
	}
	return 0
}

func (n growthNode) at(t float64) float64 { return n.limit * n.share(t) }

func (n growthNode) timeFor(target float64) float64 {
	if !(n.limit > target) {
		return math.Inf(1)
	}
	x := -math.Log1p(-target / n.limit)
	if n.order > 0 {
		return n.order / n.rate * math.Expm1(x/n.order)
	}
	return n.induction + x/n.rate
}

// What is believed before the strips are seen: that there is no induction time, that
// it is a half-normal of inductionSpread, or that the grains have many rates; strips of
// one roll differ by a part of their contrast of about processScatter besides the
// error of reading; and the error of reading is mostly what is stated.
const (
	plainPrior      = 0.4
	inductionPrior  = 0.4
	dispersedPrior  = 0.2
	inductionSpread = 1.5  // minutes
	processScatter  = 0.02 // of the contrast
	readError       = 0.007
)

// orders are the spreads of rates that are tried.
var orders = [...]float64{0.1, 0.3, 1, 3}

// scatters are the parts of the contrast that strips may differ by, misreadings how many
// times the stated deviation the error of reading may be, with what is believed of
// each.
var (
	scatters    = [...]float64{0, 0.01, 0.02, 0.04}
	misreadings = [...]struct{ times, prior float64 }{{1, 0.75}, {2, 0.2}, {4, 0.05}}
)

const (
	rateSteps        = 64
	delayedRateSteps = 40 // where there is an induction time besides
	inductionSteps   = 24
	nodesKept        = 3000
	slowest          = 0.15 // rates in units of one over the longest time
	fastest          = 25.0
)

// FitGrowth finds the growth of contrast from strips at two times or more, three or
// more to be of use. It weighs all laws of limit, rate and induction time by how well
// the strips bear them out (a grid over rate, induction time and the scatter from
// strip to strip, with the limit by linear least squares), and its intervals hold 95 %
// of the weight.
//
// Before the strips: rates alike on the logarithm; no induction time and one of a
// half-normal of 1.5 minutes alike, 0.4 each, and 0.2 for grains of many rates, whose
// contrast rises faster at first and slower at last; a strip-to-strip scatter of 2 %
// of the contrast. Standard deviations are those of reading, which may be two or four
// times what is stated; without them 0.7 % of the contrast is taken, and a scatter of
// 4 %. The law of many rates speaks for contrasts and times. Limit, rate and induction
// time are those of the law of one rate.
//
// TestGrowthStudy asks how often the intervals hold the truth, in a hundred, of 120
// films a row with 3, 4, 5 and 6 strips from 5 to 18 minutes (the mean of rows; one
// row ± 4). Other laws are hyperbolic growth, growth in two stages and one logistic in
// ln t; a power of the time, which never bends toward a limit, is outside what is
// tried, and its times are held less often than the interval says.
//
//	                          as stated  1.5 % besides  twice stated  not stated
//	induction 0 to 0.8 min
//	  limit, rate               99         97             94            97
//	  time for a contrast       99         97             93            97
//	induction 1.5 min
//	  limit, rate               96         91             85            93
//	  time for a contrast       97         94             88            93
//	other laws, time            99         97             93            97
//	a power of t, time          87         81             80            80
//
// Errors: [ErrInput] as [FitContrast]; [ErrNoLaw] where contrast does not grow, or
// grows without bending.
func FitGrowth(points []Point) (GrowthFit, error) {
	known, first, last, err := checkPoints(points, 2)
	if err != nil {
		return GrowthFit{}, err
	}
	g := newGrowthGrid(points, known, first, last)
	defer g.done()
	if err := g.search(); err != nil {
		return GrowthFit{}, err
	}
	f := GrowthFit{first: first, last: last}
	f.join(g)
	f.law = f.nearest()
	return f, nil
}

// join weighs the two classes against each other.
func (f *GrowthFit) join(g *growthGrid) {
	one, lnOne := g.nodes(0)
	many, lnMany := g.nodes(1)
	share := 1.0
	if len(many) > 0 {
		share = 1 / (1 + math.Exp(lnMany-lnOne))
	}
	f.one, f.noInduction = one, 0
	f.nodes = make([]growthNode, 0, len(one)+len(many))
	for _, n := range one {
		if n.induction == 0 {
			f.noInduction += n.weight
		}
		n.weight *= share
		f.nodes = append(f.nodes, n)
	}
	f.noInduction = math.Min(f.noInduction, 1)
	for _, n := range many {
		n.weight *= 1 - share
		f.nodes = append(f.nodes, n)
	}
}

// nearest is the law of one rate that lies nearest to the average of all laws over
// the times of the strips.
func (f *GrowthFit) nearest() ContrastTime {
	const places = 6
	var mean, at [places]float64
	for i := range at {
		a, b := math.Log(f.first.Minutes()), math.Log(f.last.Minutes())
		at[i] = math.Exp(a + (b-a)*float64(i)/(places-1))
	}
	for i, t := range at {
		mean[i] = meanAt(f.nodes, t)
	}
	// miss is how far a rate and an induction time are from the average, with the limit
	// that fits it best, which is left in n.
	miss := func(n *growthNode) float64 {
		var sxx, sxy, s float64
		var x [places]float64
		for i, m := range mean {
			x[i] = n.share(at[i])
			sxx, sxy = sxx+x[i]*x[i], sxy+x[i]*m
		}
		n.limit = sxy / sxx
		for i, m := range mean {
			d := n.limit*x[i] - m
			s += d * d
		}
		return s
	}
	stride := max(len(f.one)/600, 1)
	best, least := growthNode{}, math.Inf(1)
	for k := 0; k < len(f.one); k += stride {
		n := f.one[k]
		if s := miss(&n); n.limit > 0 && s < least {
			best, least = n, s
		}
	}
	// Between the rates of the grid.
	lo, hi := best.rate/1.1, best.rate*1.1
	for range 40 {
		a, b := best, best
		a.rate, b.rate = lo+0.382*(hi-lo), lo+0.618*(hi-lo)
		if miss(&a) < miss(&b) {
			hi = b.rate
		} else {
			lo = a.rate
		}
	}
	best.rate = (lo + hi) / 2
	miss(&best)
	return ContrastTime{limit: best.limit, rate: best.rate, induction: best.induction, first: f.first, last: f.last}
}

// meanAt is the mean contrast at t minutes, so many nodes at a time.
func meanAt(nodes []growthNode, t float64) (mean float64) {
	var left, many [256]float64 // of the limit; for grains of many rates
	for len(nodes) > 0 {
		some := nodes[:min(len(nodes), len(left))]
		nodes = nodes[len(some):]
		left, many := left[:len(some)], many[:len(some)]
		for i, n := range some {
			many[i] = 0
			if n.order > 0 {
				many[i] = n.rate * t / n.order
			}
		}
		elementary.Log1p(left, many)
		for i, n := range some {
			if n.order > 0 {
				left[i] *= -n.order
			} else {
				left[i] = -n.rate * max(t-n.induction, 0)
			}
		}
		elementary.Exp(left, left)
		for i, n := range some {
			mean += n.weight * n.limit * (1 - left[i])
		}
	}
	return mean
}

// quantiles is an interval of 95 % about a value.
func quantiles(nodes []growthNode, value float64, of func(n growthNode) float64) sensito.Estimate {
	type place struct{ v, w float64 }
	all := make([]place, 0, len(nodes))
	var total float64
	for _, n := range nodes {
		if v := of(n); !math.IsNaN(v) {
			all = append(all, place{v, n.weight})
			total += n.weight
		}
	}
	if len(all) == 0 {
		return sensito.Estimate{Value: value, Low: math.NaN(), High: math.NaN()}
	}
	slices.SortFunc(all, func(a, b place) int { // of numbers
		switch {
		case a.v < b.v:
			return -1
		case a.v > b.v:
			return 1
		}
		return 0
	})
	// Rates lie on a grid: places of one value are one, and between them the weight
	// runs straight. What lies at the lowest, such as no induction time, is all there.
	same := all[:1]
	for _, q := range all[1:] {
		if last := &same[len(same)-1]; q.v == last.v {
			last.w += q.w
		} else {
			same = append(same, q)
		}
	}
	at := func(p float64) float64 {
		want, sum := p*total, 0.0
		for i, q := range same {
			if mid := sum + q.w/2; mid >= want || i == 0 && q.w >= want {
				if i == 0 || math.IsInf(q.v, 0) {
					return q.v
				}
				before := same[i-1]
				gap := (before.w + q.w) / 2
				return q.v - (q.v-before.v)*(mid-want)/gap
			}
			sum += q.w
		}
		return same[len(same)-1].v
	}
	return sensito.Estimate{Value: value, Low: math.Min(at(0.025), value), High: math.Max(at(0.975), value)}
}

func (f GrowthFit) made() error {
	if len(f.nodes) == 0 {
		return check.Errorf(ErrInput, "no growth of contrast; make one with FitGrowth")
	}
	return nil
}

// Law is the one law that stands for all, with exact constants and the range of the
// strips. [NewContrastTime] takes its constants.
func (f GrowthFit) Law() ContrastTime { return f.law }

// Limit is the contrast that the longest development approaches; NaN for the zero
// fit.
func (f GrowthFit) Limit() sensito.Estimate {
	return f.constant(f.law.limit, func(n growthNode) float64 { return n.limit })
}

// RatePerMinute is the velocity constant of development, per minute.
func (f GrowthFit) RatePerMinute() sensito.Estimate {
	return f.constant(f.law.rate, func(n growthNode) float64 { return n.rate })
}

// InductionMinutes is the time before anything is seen, in minutes. Where none at all
// is among what the strips allow its interval begins at 0; [GrowthFit.NoInduction] says
// how likely that is.
func (f GrowthFit) InductionMinutes() sensito.Estimate {
	return f.constant(f.law.induction, func(n growthNode) float64 { return n.induction })
}

func (f GrowthFit) constant(value float64, of func(n growthNode) float64) sensito.Estimate {
	if f.made() != nil {
		nan := math.NaN()
		return sensito.Estimate{Value: nan, Low: nan, High: nan}
	}
	return quantiles(f.one, value, of)
}

// NoInduction is how likely it is, after the strips, that there is no induction time.
func (f GrowthFit) NoInduction() float64 { return f.noInduction }

// Range is the shortest and longest time of the strips.
func (f GrowthFit) Range() (shortest, longest time.Duration) { return f.first, f.last }

// Inside reports whether t lies within the times of the strips.
func (f GrowthFit) Inside(t time.Duration) bool { return t >= f.first && t <= f.last }

// Warnings says what the fit cannot be trusted for; nil where all is well.
func (f GrowthFit) Warnings() []Warning {
	if f.made() == nil && f.law.rate*(f.last.Minutes()-f.law.induction) < shortReach {
		return []Warning{ShortSeries}
	}
	return nil
}

// At is the contrast after time t with its interval, which is that of the growth and
// not of a new strip. Beyond the strips it extrapolates, see [GrowthFit.Inside].
//
// Errors: [ErrInput] for a negative time or the zero fit.
func (f GrowthFit) At(t time.Duration) (sensito.Estimate, error) {
	if err := f.made(); err != nil {
		return sensito.Estimate{}, err
	}
	if t < 0 {
		return sensito.Estimate{}, check.Errorf(ErrInput, "time %v", t)
	}
	m := t.Minutes()
	return quantiles(f.nodes, f.law.node().at(m), func(n growthNode) float64 { return n.at(m) }), nil
}

func (c ContrastTime) node() growthNode {
	return growthNode{limit: c.limit, rate: c.rate, induction: c.induction}
}

// TimeFor is the time that gives the target contrast, with its interval, which has no
// upper end where more than a fortieth of the weight is on laws that never reach it.
//
// Errors: [ErrInput] unless the target is above 0, or for the zero fit; [ErrLimit],
// naming the limit, for a target at or beyond it.
func (f GrowthFit) TimeFor(target float64) (Time, error) {
	if err := f.made(); err != nil {
		return Time{}, err
	}
	out, err := f.law.TimeFor(target)
	if err != nil {
		return Time{}, err
	}
	e := quantiles(f.nodes, f.law.node().timeFor(target), func(n growthNode) float64 { return n.timeFor(target) })
	out.Low, _ = minutes(math.Max(e.Low, 0))
	out.High, _ = minutes(e.High)
	out.Low, out.High = min(out.Low, out.Value), max(out.High, out.Value)
	out.Extrapolated = !f.Inside(out.Value)
	return out, nil
}

// GrowthConstants are what is published of a growth of contrast: constants with
// intervals, the range of the strips, and how likely no induction time is.
type GrowthConstants struct {
	Limit       sensito.Estimate `json:"limit"`
	Rate        sensito.Estimate `json:"rate_per_min"`
	Induction   sensito.Estimate `json:"induction_min"`
	NoInduction float64          `json:"no_induction"` // probability
	Shortest    time.Duration    `json:"-"`
	Longest     time.Duration    `json:"-"`
}

// Constants are the constants with their intervals, to be published.
//
// Errors: [ErrInput] for the zero fit.
func (f GrowthFit) Constants() (GrowthConstants, error) {
	return GrowthConstants{f.Limit(), f.RatePerMinute(), f.InductionMinutes(), f.noInduction, f.first, f.last}, f.made()
}

// String says the constants in words, the induction time as "0 to 0.9 min (none: 63 %)".
func (f GrowthFit) String() string {
	if f.made() != nil {
		return "no growth of contrast"
	}
	t0 := f.InductionMinutes()
	return fmt.Sprintf("limit %v, rate %v per minute, induction %.2g to %.2g min (none: %.0f %%)",
		f.Limit(), f.RatePerMinute(), t0.Low, t0.High, 100*f.noInduction)
}

type growthJSON struct {
	GrowthConstants
	Shortest float64 `json:"shortest_s"`
	Longest  float64 `json:"longest_s"`
}

// MarshalJSON writes the constants with their intervals. A fit is not read back: fit
// the strips again, or read its Law.
//
// Errors: [ErrInput] for the zero fit.
func (f GrowthFit) MarshalJSON() ([]byte, error) {
	c, err := f.Constants()
	if err != nil {
		return nil, err
	}
	return json.Marshal(growthJSON{c, c.Shortest.Seconds(), c.Longest.Seconds()})
}

// UnmarshalJSON is an error: see MarshalJSON.
func (f *GrowthFit) UnmarshalJSON([]byte) error {
	return check.Errorf(ErrInput, "a fit of growth is not read back; fit the strips again, or read its law")
}
