package bracketfit

// departure is what a strip's curve has over the closed form that was fitted to it, as
// a table over the distance from the toe in log10 H: with it a film of another form is
// followed too, while the constants keep their doubt.
type departure struct {
	from, step float64
	v          []float64
	reach      float64 // how far above the toe the strip was read
}

// Places of the table: from well below the toe to the far end of a shoulder.
const (
	departFrom  = -1.5
	departStep  = 0.05
	departCount = 101
)

// at gives the departure at distance z from the toe and its slope, by a cubic through
// the table; beyond the ends it stays as it is there.
func (d *departure) at(z float64) (v, slope float64) {
	if d == nil {
		return 0, 0
	}
	t := (z - d.from) / d.step
	n := len(d.v)
	switch {
	case !(t > 0):
		return d.v[0], 0
	case !(t < float64(n-1)):
		return d.v[n-1], 0
	}
	i := int(t)
	t -= float64(i)
	a, b := d.v[i], d.v[i+1]
	ma, mb := (b-d.v[max(i-1, 0)])/2, (d.v[min(i+2, n-1)]-a)/2
	if i == 0 {
		ma = b - a
	}
	if i+2 == n {
		mb = b - a
	}
	c2, c3 := 3*(b-a)-2*ma-mb, ma+mb-2*(b-a)
	return a + t*(ma+t*(c2+t*c3)), (ma + t*(2*c2+t*3*c3)) / d.step
}

// Follow returns the shape with the departure of a curve from it: net gives the
// curve's density above its base plus fog from lo to hi in log10 H of the strip.
// Outside, the departure stays as at the ends.
func (s *Shape) Follow(net func(x float64) float64, lo, hi float64) *Shape {
	out := *s
	d := &departure{from: departFrom, step: departStep, v: make([]float64, departCount), reach: hi - s.Constants[pToe]}
	f := formOf(s.Constants[:])
	var scratch [pForm]float64
	for i := range d.v {
		x := min(max(s.Constants[pToe]+d.from+float64(i)*d.step, lo), hi)
		v, _ := f.net(x, &scratch)
		if d.v[i] = net(x) - v; d.v[i] != d.v[i] {
			return s
		}
	}
	out.departs = d
	return &out
}

// slopeDoubt is by how much of its slope at the last step of the strip a curve may bend
// away beyond it: a shoulder may come, and a straight part may go on.
const slopeDoubt = 0.5

// doubtFar lets readings count less that lie beyond what the strips were read to, where the
// curve is carried on by a form that need not be the film's. Where they lie is taken from a
// fit of all readings.
func (q *problem) doubtFar(base view) {
	if q.departs == nil {
		return
	}
	s := q.newState()
	q.begin(s)
	base.scatter = usualScatter * stop
	if _, ok := q.fit(s, &base); !ok {
		return
	}
	f := formOf(s.p)
	var scratch [pForm]float64
	end := f.toe + q.departs.reach
	_, slope := f.net(end, &scratch)
	_, more := q.departs.at(q.departs.reach - 0.5*departStep)
	for i, r := range q.rows {
		if r.frame >= 0 && s.many.x[i] > end {
			q.rows[i].far = slopeDoubt * max(slope+more, 0) * (s.many.x[i] - end)
		}
	}
}

// mix averages departures with weights that sum to 1; nil counts as none. It reaches as far as the
// shortest of them.
func mix(ds []*departure, weights []float64) *departure {
	var out *departure
	for k, d := range ds {
		if d == nil {
			continue
		}
		if out == nil {
			out = &departure{from: departFrom, step: departStep, v: make([]float64, departCount), reach: d.reach}
		}
		out.reach = min(out.reach, d.reach)
		for i, v := range d.v {
			out.v[i] += weights[k] * v
		}
	}
	return out
}
