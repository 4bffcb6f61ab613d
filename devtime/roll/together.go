package roll

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/internal/stripset"
	"example.org/actinic/sensito"
)

// baseFog as a measure.
func baseFog(c sensito.Curve) (float64, error) { return float64(c.BaseFog()), nil }

// lnGradient as a measure.
func lnGradient(c sensito.Curve) (float64, error) {
	g, err := sensito.AverageGradient(c)
	return math.Log(g), err
}

// Standard deviations of a strip's measures where its readings give none: what a
// densitometer does (common practice, no source).
var unstated = [3]float64{0.01, 0.05, 0.03}

// measuresOf puts base plus fog, speed point and ln of the average gradient of a strip
// together with their covariance, from the intervals of each and of their sums:
//
//	cov(a, b) = (var(a + b) - var a - var b)/2
//
// Source: the definition of the variance of a sum.
func measuresOf(s *StripRecord) stripset.Strip {
	out := stripset.Strip{Minutes: s.Taken() / 60}
	sum := func(a, b sensito.Measure) sensito.Measure {
		return func(c sensito.Curve) (float64, error) {
			x, err := a(c)
			if err != nil {
				return 0, err
			}
			y, err := b(c)
			return x + y, err
		}
	}
	m := [3]sensito.Measure{baseFog, sensito.MeasureOf(sensito.SpeedPoint), lnGradient}
	n := 3
	if s.AverageGradient == nil || !(s.AverageGradient.Value > 0) {
		n = 2
		out.Value[stripset.LnGradient] = math.NaN()
	}
	measures := slices.Clone(m[:n])
	for i := range n {
		for k := range i {
			measures = append(measures, sum(m[i], m[k]))
		}
	}
	es, err := s.Curve.Estimate(measures...)
	if err != nil {
		for i := range n {
			out.Value[i] = math.NaN()
		}
		return out
	}
	var dev [3]float64
	for i := range n {
		out.Value[i], dev[i] = es[i].Value, sd(es[i])
		if dev[i] == 0 && !(es[i].High == es[i].Low) {
			dev[i] = unstated[i]
		}
		out.Cov[i][i] = dev[i] * dev[i]
	}
	at := n
	for i := range n {
		for k := range i {
			v := sd(es[at])
			c := (v*v - out.Cov[i][i] - out.Cov[k][k]) / 2
			if most := 0.9 * dev[i] * dev[k]; !(math.Abs(c) <= most) {
				c = math.Copysign(most, c)
			}
			if v == 0 || c != c {
				c = 0
			}
			out.Cov[i][k], out.Cov[k][i] = c, c
			at++
		}
	}
	return out
}

// mostStrips is how many strips are held against each other, each two of them.
const mostStrips = 24

// together holds the strips against each other. Exchanged strips are taken as the
// curves say, a strip that does not go with the others takes no part in what it would
// spoil; each is a finding.
func (r *builder) together(roll *Roll) {
	r.fogged = map[string]float64{}
	for i := range r.Strips {
		r.set = append(r.set, measuresOf(&r.Strips[i]))
	}
	switch n := len(r.Strips); {
	case n < 2:
		return
	case n > mostStrips:
		r.warn("There are %d strips; up to %d are held against each other.", n, mostStrips)
		return
	}
	got, err := stripset.Compare(r.set)
	if err != nil {
		r.warn("The strips could not be held against each other: %v.", err)
		return
	}
	for _, f := range got.Findings {
		r.putTogether(f, roll)
	}
}

// putTogether records one finding about strips and draws the consequences.
func (r *builder) putTogether(f stripset.Finding, roll *Roll) {
	s := &r.Strips[f.Strip]
	out := Finding{What: Order, Strips: []string{s.Strip}, File: stripsFile, Line: roll.lineOf(s.Strip), Probability: f.Probability}
	shifted := func(e sensito.Estimate, by float64) sensito.Estimate {
		return sensito.Estimate{Value: e.Value - by, Low: e.Low - by, High: e.High - by}
	}
	switch f.Kind {
	case stripset.Fog:
		out.What = Fog
		r.fogged[s.Strip] = f.Size
		e := sensito.Estimate{Value: s.BaseFog, Low: math.NaN(), High: math.NaN()}
		out.Effect = &Effect{"base_fog of strip " + s.Strip, e, shifted(e, f.Size)}
		out.Text = fmt.Sprintf("Strip %s is fogged: its base plus fog, %.2f, lies %.2f above what goes with the other strips, on its unexposed patches too. Speed and contrast, taken above its own base plus fog, are kept.",
			s.Strip, s.BaseFog, f.Size)
	case stripset.Slower:
		s.LeftOut = append(s.LeftOut, "speed")
		e := sensito.Estimate{Value: s.SpeedPointLogH, Low: number(s.SpeedPointLow), High: number(s.SpeedPointHigh)}
		out.Effect = &Effect{"speed_point_log_h of strip " + s.Strip, e, shifted(e, f.Size)}
		out.Text = fmt.Sprintf("The speed of strip %s does not go with its neighbours': its speed point lies %+.2f in log H from theirs. It takes no part in the speed at other developments; look for another exposure of the tablet.", s.Strip, f.Size)
	case stripset.Contrast:
		s.LeftOut = append(s.LeftOut, "contrast")
		e := *s.AverageGradient
		x := math.Exp(-f.Size)
		out.Effect = &Effect{"average_gradient of strip " + s.Strip, e, sensito.Estimate{Value: e.Value * x, Low: e.Low * x,
			High: e.High * x}}
		out.Text = fmt.Sprintf("The contrast of strip %s does not go with its neighbours': its average gradient of %.2f is %+.0f %% off. It takes no part in the growth of contrast; look for another temperature, agitation or time.",
			s.Strip, e.Value, 100*math.Expm1(f.Size))
	case stripset.Swapped:
		o := &r.Strips[f.Other]
		r.exchange(f.Strip, f.Other)
		out.Strips = append(out.Strips, o.Strip)
		out.Text = fmt.Sprintf("Strips %s (%s) and %s (%s) seem exchanged: speed and contrast of each go with the other's development. They were taken so; look at the labels.",
			s.Strip, minutes(s.DevelopmentS), o.Strip, minutes(o.DevelopmentS))
	case stripset.Time:
		s.LeftOut = append(s.LeftOut, "speed", "contrast")
		out.Text = fmt.Sprintf("Strip %s, labelled %s, does not go with the others at that time; about %s would go. It was left out of the growth of contrast and of the speed at other developments; look at the label.",
			s.Strip, minutes(s.DevelopmentS), minutes(60*f.Size))
	default:
		out.Text = fmt.Sprintf("Strip %s does not go with the others, in base plus fog, speed or contrast; the readings do not tell which. Nothing was left out.", s.Strip)
	}
	r.find(out)
}

// exchange takes two strips to have had each other's development.
func (r *builder) exchange(i, k int) {
	a, b := &r.Strips[i], &r.Strips[k]
	ta, tb := a.Taken(), b.Taken()
	a.TakenS, b.TakenS = &tb, &ta
	r.set[i].Minutes, r.set[k].Minutes = tb/60, ta/60
}

// takes reports whether a strip takes part in a number of the roll.
func (s *StripRecord) takes(part string) bool { return !slices.Contains(s.LeftOut, part) }

// lineOf returns the line of a strip's first patch, 0 where it is not from a file.
func (roll *Roll) lineOf(name string) int {
	for i := range roll.Strips {
		if roll.Strips[i].Name == name {
			return roll.Strips[i].FirstLine
		}
	}
	return 0
}

// course finds how the speed goes with development.
func (r *builder) course() {
	leave := make([]bool, len(r.Strips))
	for i := range r.Strips {
		leave[i] = !r.Strips[i].takes("speed")
	}
	if c, err := stripset.NewCourse(r.set, leave); err == nil {
		r.speeds = c
	}
}
