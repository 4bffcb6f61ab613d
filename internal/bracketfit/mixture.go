package bracketfit

import (
	"cmp"
	"math"
	"slices"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/cholesky"
)

// hypothesis says what is wild; both -1 for nothing.
type hypothesis struct{ row, frame int }

// component is one hypothesis with one scatter and scale, fitted.
type component struct {
	hypothesis
	view   view
	weight float64 // posterior probability
	p      []float64
	cov    cholesky.Matrix
	index  float64 // log10
	sd     float64
}

// mixture is the posterior over everything that was tried.
type mixture struct {
	q     *problem
	base  view // what is set aside already
	known bool // standard deviations were stated
	// steady is set for a strip, whose exposures do not scatter: a step is wild alone.
	steady bool
	parts  []component
}

func (q *problem) newView() view {
	return view{wildRow: make([]bool, len(q.rows)), wildFram: make([]bool, q.frames), scale: 1}
}

func (v view) clone() view {
	v.wildRow, v.wildFram = slices.Clone(v.wildRow), slices.Clone(v.wildFram)
	return v
}

// level is a value tried with its prior weight.
type level struct{ value, prior float64 }

// usualScatter is to how many stops shutters and diaphragms repeat.
const usualScatter = 0.06

// The scatter of a frame's exposure in stops.
var scatters = levels([]float64{0, 0.03, 0.06, 0.10, 0.16}, func(f float64) float64 { return -0.5 * (f / usualScatter) * (f / usualScatter) })

// Scales of a reading's standard deviation: about usualSD where none was stated.
var (
	unknownScales = levels([]float64{0.33, 0.58, 1, 1.7, 2.9}, func(s float64) float64 { l := math.Log(s) / 0.8; return -0.5 * l * l })
	statedScales  = []level{{1, 1}}
)

func levels(values []float64, logPrior func(float64) float64) []level {
	var out []level
	for _, v := range values {
		out = append(out, level{v, math.Exp(logPrior(v))})
	}
	return out
}

func (m *mixture) hypotheses() []hypothesis {
	hs := []hypothesis{{-1, -1}}
	for i, r := range m.q.rows {
		if !m.base.wildRow[i] && (r.frame < 0 || !m.base.wildFram[r.frame]) {
			hs = append(hs, hypothesis{i, -1})
		}
	}
	for f := range m.q.frames {
		if !m.steady && !m.base.wildFram[f] {
			hs = append(hs, hypothesis{-1, f})
		}
	}
	return hs
}

func (h hypothesis) prior() float64 {
	switch {
	case h.row >= 0:
		return priorReading
	case h.frame >= 0:
		return priorFrame
	}
	return 1
}

// run fits every hypothesis at every scatter and scale.
func (m *mixture) run() error {
	q := m.q
	s := q.newState()
	q.begin(s)
	start := slices.Clone(s.p)
	scales := statedScales
	if !m.known {
		scales = unknownScales
	}
	scatters := scatters
	if m.steady {
		scatters = []level{{0, 1}}
	}
	top := math.Inf(-1)
	suspects := m.hypotheses()
	for k := 0; k < len(suspects); k++ {
		h := suspects[k]
		if k == 1 && len(suspects) > mostSuspects {
			suspects = m.suspects(suspects)
			h = suspects[k]
		}
		near := start
		// A hypothesis that is hopeless at the usual scatter is left at that.
		if h != (hypothesis{-1, -1}) && !m.worth(s, h, near, top) {
			continue
		}
		v := m.view(h, 1, 0)
		for _, sc := range scales {
			for _, f := range scatters {
				v.scale, v.scatter = sc.value, f.value*stop
				c, ok := q.component(s, near, &v)
				if !ok {
					continue
				}
				c.hypothesis = h
				c.weight += math.Log(h.prior() * f.prior * sc.prior)
				top = math.Max(top, c.weight)
				m.parts = append(m.parts, c)
				near = c.p
			}
		}
	}
	if len(m.parts) == 0 {
		return check.Errorf(ErrBracket, "the readings do not determine an index")
	}
	sum := 0.0
	for i := range m.parts {
		m.parts[i].weight = math.Exp(m.parts[i].weight - top)
		sum += m.parts[i].weight
	}
	for i := range m.parts {
		m.parts[i].weight /= sum
	}
	return nil
}

// mostSuspects is how many hypotheses are all tried; of more, those about the readings
// that lie farthest from the fit of all.
const mostSuspects = 60

// suspects keeps the hypotheses about readings far from the fit that has nothing wild,
// and about their frames.
func (m *mixture) suspects(hs []hypothesis) []hypothesis {
	c := m.likeliest(&hs[0])
	if c == nil {
		return hs[:2]
	}
	s := m.q.newState()
	copy(s.p, c.p)
	m.q.curves(s)
	far := func(h hypothesis) float64 {
		if h.row >= 0 {
			return math.Abs(s.res[h.row]) / m.q.rows[h.row].sd
		}
		most := 0.0
		for i, r := range m.q.rows {
			if r.frame == h.frame {
				most = math.Max(most, math.Abs(s.res[i])/r.sd)
			}
		}
		return most
	}
	rest := slices.Clone(hs[1:])
	slices.SortStableFunc(rest, func(a, b hypothesis) int { return cmp.Compare(far(b), far(a)) })
	return append(hs[:1:1], rest[:mostSuspects]...)
}

// component fits one view; its weight is ln L.
func (q *problem) component(s *state, near []float64, v *view) (component, bool) {
	copy(s.p, near)
	logL, ok := q.fit(s, v)
	if !ok {
		return component{}, false
	}
	x, d, ok := exposureAt(s.p, q.departs, target)
	if !ok {
		return component{}, false
	}
	c := component{view: *v, weight: logL, p: slices.Clone(s.p), cov: s.l.Inverse(), index: -x}
	g := make([]float64, q.np)
	copy(g, d[:])
	c.sd = math.Sqrt(c.cov.Quadratic(g))
	return c, c.sd-c.sd == 0
}

func (m *mixture) pNone() float64 {
	p := 0.0
	for _, c := range m.parts {
		if c.hypothesis == (hypothesis{-1, -1}) {
			p += c.weight
		}
	}
	return p
}

// findings names the frame whose hypotheses have most of the probability.
func (m *mixture) findings() []Finding {
	by := map[hypothesis]float64{}
	frame := map[int]float64{}
	for _, c := range m.parts {
		by[c.hypothesis] += c.weight
		frame[m.frameOf(c.hypothesis)] += c.weight
	}
	for f, p := range frame {
		if f == none || !(p > frameLimit) {
			continue
		}
		likely, most := hypothesis{}, 0.0
		for h, p := range by {
			if m.frameOf(h) == f && p > most {
				likely, most = h, p
			}
		}
		out := Finding{Frame: f, Tone: -1, Probability: p}
		if likely.row >= 0 {
			out.Tone = m.q.rows[likely.row].tone
			if !(p > readingLimit) {
				continue
			}
		}
		out.Off = m.off(likely)
		return []Finding{out}
	}
	return nil
}

// Frames that are none: nothing wild, and the unexposed patches.
const (
	none      = -2
	unexposed = -1
)

func (m *mixture) frameOf(h hypothesis) int {
	switch {
	case h.row >= 0:
		return m.q.rows[h.row].frame
	case h.frame >= 0:
		return h.frame
	}
	return none
}

// likeliest returns the component of most weight among those of a hypothesis, or of
// all for nil.
func (m *mixture) likeliest(h *hypothesis) *component {
	var best *component
	for i := range m.parts {
		if c := &m.parts[i]; (h == nil || c.hypothesis == *h) && (best == nil || c.weight > best.weight) {
			best = c
		}
	}
	return best
}

// off tells how far the wild thing of a hypothesis lies from the fit without it.
func (m *mixture) off(h hypothesis) float64 {
	c := m.likeliest(&h)
	s := m.q.newState()
	copy(s.p, c.p)
	m.q.curves(s)
	if h.row >= 0 {
		return s.res[h.row]
	}
	return m.q.frameOff(s, &c.view, h.frame)
}

// frameOff estimates the exposure error of a frame, in stops.
func (q *problem) frameOff(s *state, v *view, f int) float64 {
	ss, sr := 0.0, 0.0
	for i, r := range q.rows {
		if r.frame == f {
			w := 1 / q.variance(i, v)
			ss += w * s.slope[i] * s.slope[i]
			sr += w * s.slope[i] * s.res[i]
		}
	}
	F := v.frameScatter(f)
	return F * F * sr / (1 + F*F*ss) / stop
}

// with returns the base view with findings set aside.
func (m *mixture) with(found []Finding) view {
	v := m.base.clone()
	for _, f := range found {
		if f.Tone < 0 && f.Frame >= 0 {
			v.wildFram[f.Frame] = true
			continue
		}
		for i, r := range m.q.rows {
			if r.frame == f.Frame && (f.Frame < 0 || r.tone == f.Tone) {
				v.wildRow[i] = true
			}
		}
	}
	return v
}

// hopeless is how far ln of a posterior may lie under the highest before its share is
// not worth its fits.
const hopeless = 16.0

// worth reports whether a hypothesis may have a share that counts: it is tried at one
// scatter and, where the standard deviation is not stated, all scales.
func (m *mixture) worth(s *state, h hypothesis, near []float64, top float64) bool {
	scales := statedScales
	if !m.known {
		scales = unknownScales
	}
	v := m.view(h, 1, usualScatter*stop)
	if m.steady {
		v.scatter = 0
	}
	for _, sc := range scales {
		v.scale = sc.value
		copy(s.p, near)
		if l, ok := m.q.fit(s, &v); ok && l+math.Log(h.prior()*sc.prior) > top-hopeless {
			return true
		}
	}
	return false
}

// view is the base view with a hypothesis.
func (m *mixture) view(h hypothesis, scale, scatter float64) view {
	v := m.base.clone()
	v.scale, v.scatter = scale, scatter
	if h.row >= 0 {
		v.wildRow[h.row] = true
	}
	if h.frame >= 0 {
		v.wildFram[h.frame] = true
	}
	return v
}
