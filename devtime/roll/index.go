package roll

import (
	"fmt"
	"math"

	"example.org/actinic/internal/lsq"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito"
)

// index settles on the recommended index and the development that belongs to it: the
// bracket's, moved to the recommended development, or else the strips'.
func (r *builder) index() {
	switch {
	case r.Bracket != nil && r.Bracket.Index != nil:
		r.fromBracket()
	case r.relative(): // the strips have no speed
	case len(r.Strips) > 0:
		if !r.fromCurves() {
			r.fromStrip()
		}
	}
	if x := r.Index; x != nil && !(x.Value >= plausible.LeastIndex && x.Value <= plausible.GreatestIndex) {
		r.warn("The index comes out at %.3g, which no meter has; it was left out. Look at the exposures of the tablet.", x.Value)
		r.Index, r.IndexAsTested = nil, nil
	}
}

// logIndex is an estimate of an index as mean and standard deviation of its log10; the
// latter is NaN where it is not known.
func logIndex(e sensito.Estimate) (value, sd float64) {
	value, sd = math.Log10(e.Value), math.NaN()
	if e.Low > 0 && e.High > e.Low {
		sd = math.Log10(e.High/e.Low) / (2 * lsq.Normal95)
	}
	return value, sd
}

func indexOf(log, sd float64) sensito.Estimate {
	half := lsq.Normal95 * sd
	return finite(sensito.Estimate{Value: math.Pow(10, log), Low: math.Pow(10, log-half), High: math.Pow(10, log+half)})
}

// timeSD is the standard deviation of a development in minutes, 0 where not known.
func timeSD(e *sensito.Estimate) float64 { return sd(*e) / 60 }

// fromBracket takes the bracket's index, moved where the strips allow it.
func (r *builder) fromBracket() {
	b := r.Bracket
	tested := &IndexRecord{Estimate: *b.Index, From: "bracket"}
	if b.DevelopmentS != nil {
		e := sensito.Exact(*b.DevelopmentS)
		tested.Development = &e
	}
	r.Index = tested
	if r.Development == nil {
		if b.DevelopmentS != nil {
			tested.History = fmt.Sprintf("found at the development of the bracket, %s", minutes(*b.DevelopmentS))
		} else {
			tested.History = "found at the development of the bracket, which was not said"
		}
		return
	}
	to := r.Development.Value
	switch {
	case b.DevelopmentS == nil:
		r.undevelopedBracket(tested)
	case math.Abs(math.Log(to / *b.DevelopmentS)) < 0.01:
		tested.Development = r.Development
		tested.History = fmt.Sprintf("found at the development of the bracket, %s, which is the recommended one", minutes(*b.DevelopmentS))
	default:
		r.move(tested)
	}
}

// move takes a bracket's index to the recommended development.
//
//	log10 EI(to) = log10 EI(from) - (H(to) - H(from))
//
// Source: the definition of speed by ISO 6, inverse to the exposure of the speed point.
func (r *builder) move(tested *IndexRecord) {
	from, to := *r.Bracket.DevelopmentS/60, r.Development.Value/60
	left := func(why string) {
		tested.History = fmt.Sprintf("found at the development of the bracket, %s, and not moved to %s: %s",
			minutes(60*from), minutes(60*to), why)
		r.warn("The index holds for the bracket's development, %s, and was not moved to the %s for the target: %s. Develop for %s as tested, or test again.",
			minutes(60*from), minutes(60*to), why, minutes(60*from))
	}
	if r.speeds == nil {
		left("the strips do not tell how the speed goes with development")
		return
	}
	change, sdMove, ok := r.speeds.Move(from, to)
	if !ok {
		short, long := r.speeds.Range()
		left(fmt.Sprintf("the strips tell how the speed goes between %s and %s only", minutes(60*short), minutes(60*long)))
		return
	}
	log, s := logIndex(tested.Estimate)
	s = math.Sqrt(s*s + sdMove*sdMove + math.Pow(r.speeds.Slope(to)*timeSD(r.Development), 2))
	tested.History = fmt.Sprintf("found at the development of the bracket, %s", minutes(60*from))
	r.IndexAsTested = tested
	r.Index = &IndexRecord{indexOf(log+change, s), "bracket, moved by the strips", r.Development,
		fmt.Sprintf("EI %.0f as tested at %s, moved by %+.2f stop to %s by the speeds of the strips", tested.Value,
			minutes(60*from), change/math.Log10(2), minutes(60*to))}
}

// undevelopedBracket pairs an index whose development was not said with the recommended
// one: it may have been any of the strips' times, each moved as it would have to be.
func (r *builder) undevelopedBracket(tested *IndexRecord) {
	tested.History = "found at the development of the bracket, which was not said"
	log, s := logIndex(tested.Estimate)
	sum, square, n := 0.0, 0.0, 0.0
	if r.speeds != nil {
		for i := range r.Strips {
			change, sdMove, ok := r.speeds.Move(r.Strips[i].Taken()/60, r.Development.Value/60)
			if !ok {
				continue
			}
			sum += change
			square += change*change + sdMove*sdMove
			n++
		}
	}
	if n == 0 {
		r.Index = tested
		r.warn("How long the bracket was developed was not said; its index holds for that development.")
		return
	}
	r.warn("How long the bracket was developed was not said; the index was moved to the recommended development as from any of the strips' times, and its interval allows for all of them.")
	mean := sum / n
	s = math.Sqrt(s*s + square/n - mean*mean + math.Pow(r.speeds.Slope(r.Development.Value/60)*timeSD(r.Development), 2))
	r.IndexAsTested = tested
	r.Index = &IndexRecord{indexOf(log+mean, s), "bracket, moved by the strips", r.Development,
		fmt.Sprintf("EI %.0f as tested at a development that was not said, moved by %+.2f stop to %s as from any of the strips' times",
			tested.Value, mean/math.Log10(2), minutes(r.Development.Value))}
}

// fromCurves takes the speed of the strips at the recommended development.
func (r *builder) fromCurves() bool {
	if r.speeds == nil || r.Development == nil {
		return false
	}
	t := r.Development.Value / 60
	h, s, ok := r.speeds.At(t)
	if !ok {
		return false
	}
	s = math.Hypot(s, r.speeds.Slope(t)*timeSD(r.Development))
	r.Index = &IndexRecord{indexOf(math.Log10(sensito.SpeedAt(sensito.LogH(h)).Value), s), "curves", r.Development,
		"the fixed-density speed of the strips at that development"}
	return true
}

// fromStrip takes the strip nearest to the target, with its own development.
func (r *builder) fromStrip() {
	off := func(s *StripRecord) float64 {
		if s.AverageGradient == nil {
			return math.Inf(1)
		}
		return math.Abs(s.AverageGradient.Value - r.TargetAverageGradient)
	}
	best := &r.Strips[0]
	for i := range r.Strips {
		if off(&r.Strips[i]) < off(best) {
			best = &r.Strips[i]
		}
	}
	h := sensito.Estimate{Value: best.SpeedPointLogH, Low: number(best.SpeedPointLow), High: number(best.SpeedPointHigh)}
	e := sensito.Exact(best.Taken())
	r.Index = &IndexRecord{finite(h.Map(func(h float64) float64 { return sensito.SpeedAt(sensito.LogH(h)).Value })),
		"strip " + best.Strip, &e,
		"the fixed-density speed of the strip nearest to the target, at its own development"}
}

// PairGradient is the average gradient that goes with the index and its development:
// the target where the development is the recommended one, a strip's own for a strip;
// 0 where it is not known.
func (r *Record) PairGradient() float64 {
	x := r.Index
	if x == nil || x.Development == nil {
		return 0
	}
	if r.Development != nil && x.Development.Value == r.Development.Value {
		return r.TargetAverageGradient
	}
	for i := range r.Strips {
		if s := &r.Strips[i]; s.AverageGradient != nil && s.Taken() == x.Development.Value {
			return s.AverageGradient.Value
		}
	}
	return 0
}
