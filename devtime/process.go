package devtime

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/internal/uncert"
	"example.org/actinic/sensito"
)

// ProcessFactor is how much longer process b takes than process a for the same
// contrast,
//
//	t_b(contrast) / t_a(contrast)
//
// measured, not assumed: continuous agitation or a rotary drum against
// inversion, one volume or dilution against another. It holds at the contrast
// asked for. The interval comes from a Monte Carlo over both fits, so the same
// seed gives the same interval; it is NaN where a fit has none.
//
// Common practice has continuous agitation at 0.80 to 0.90 of the time for
// intermittent (from memory); in a tank intermittent means the first 30 s and
// then 5 s a minute (US Navy 14209 p. 10-16).
//
// Errors: those of [ContrastTime.TimeFor].
func ProcessFactor(a, b ContrastTime, contrast float64, seed uint64) (sensito.Estimate, error) {
	ta, err := a.TimeFor(contrast)
	if err != nil {
		return sensito.Estimate{}, err
	}
	tb, err := b.TimeFor(contrast)
	if err != nil {
		return sensito.Estimate{}, err
	}
	e := sensito.Estimate{Value: tb.Value.Seconds() / ta.Value.Seconds(), Low: math.NaN(), High: math.NaN()}
	da, ok1 := a.drawer(contrast)
	db, ok2 := b.drawer(contrast)
	if !ok1 || !ok2 {
		return e, nil
	}
	s := uncert.MonteCarlo(seed, 4000, func(r *rand.Rand) float64 {
		x, y := da(r), db(r)
		if math.IsInf(x, 1) && math.IsInf(y, 1) {
			return 1 // neither draw reaches the contrast: they tell nothing apart
		}
		return y / x
	})
	e.Low, e.High = s.Interval(.95)
	return e, nil
}

// drawer draws times in minutes for a contrast from the doubt of the fit; +Inf
// where the drawn law does not reach it. It reports false where the doubt is
// not known.
func (c ContrastTime) drawer(contrast float64) (func(*rand.Rand) float64, bool) {
	widen := 0.
	if c.free > 0 {
		widen = c.halfWidth() / lsq.Normal95 // Student's t for few strips
	}
	cov := make([]float64, 9)
	for i := range 9 {
		cov[i] = c.cov[i/3][i%3] * widen * widen
	}
	f, ok := uncert.NewFactor(cov, 3)
	if !ok {
		return nil, false
	}
	mean := []float64{c.limit, c.rate, c.induction}
	out, tmp := make([]float64, 3), make([]float64, 3)
	return func(r *rand.Rand) float64 {
		f.Draw(r, mean, out, tmp)
		if !(out[0] > contrast) || !(out[1] > 0) {
			return math.Inf(1)
		}
		return math.Max(out[2]-math.Log1p(-contrast/out[0])/out[1], 1e-9)
	}, true
}

// Rounded is a time as it would be printed or set, with what rounding does.
type Rounded struct {
	Time     time.Duration
	Contrast float64 // at the rounded time
	Change   float64 // in contrast, from the exact time
	Percent  float64 // the same in percent
}

// Round rounds a time to whole steps, but not to zero, and says what that does
// to contrast.
//
// Errors: [ErrInput].
func (c ContrastTime) Round(t, step time.Duration) (Rounded, error) {
	if !(t > 0) || !(step > 0) || t == Unbounded {
		return Rounded{}, check.Errorf(ErrInput, "time %v in steps of %v", t, step)
	}
	r := max(t.Round(step), step)
	before, err := c.At(t)
	if err != nil {
		return Rounded{}, err
	}
	after, err := c.At(r)
	if err != nil {
		return Rounded{}, err
	}
	d := after.Value - before.Value
	return Rounded{r, after.Value, d, 100 * d / before.Value}, nil
}

// ZoneDevelopment is one zone-style development: N renders a subject of the normal range,
// N+1 expands one a stop shorter and N-1 contracts one a stop longer to the
// same range of densities.
type ZoneDevelopment struct {
	N        int
	Subject  sensito.Stops // range of the subject
	Gradient float64       // the average gradient it needs
	Time     Time
	Err      error // [ErrLimit] where the film cannot be developed so far
}

type zoneJSON struct {
	N        int     `json:"n"`
	Subject  float64 `json:"subject_stops"`
	Gradient float64 `json:"gradient"`
	Time     *Time   `json:"time"` // null with an error
	Err      string  `json:"error,omitempty"`
}

// MarshalJSON writes the error as text and then no time.
func (z ZoneDevelopment) MarshalJSON() ([]byte, error) {
	j := zoneJSON{N: z.N, Subject: float64(z.Subject), Gradient: z.Gradient}
	if z.Err != nil {
		j.Err = z.Err.Error()
	} else {
		j.Time = &z.Time
	}
	return json.Marshal(j)
}

// UnmarshalJSON reads what MarshalJSON writes; of the error it keeps the text.
func (z *ZoneDevelopment) UnmarshalJSON(b []byte) error {
	var j zoneJSON
	if err := json.Unmarshal(b, &j); err != nil {
		return err
	}
	*z = ZoneDevelopment{N: j.N, Subject: sensito.Stops(j.Subject), Gradient: j.Gradient}
	if j.Time != nil {
		z.Time = *j.Time
	}
	if j.Err != "" {
		z.Err = errors.New(j.Err)
	}
	return nil
}

// ZoneDevelopments are the developments from N+from to N+to for a paper's density range
// and a normal subject, with the camera's flare,
//
//	gradient = range / (log10 subject - flare),  subject = 2^(normal - N)
//
// and the time the law gives for each. The law must be one of average gradient.
// Speed changes with development too; expose for the index that each time
// really has.
//
// Errors: [ErrInput]; an aim that is beyond the film's limit carries its own.
//
// Source: the definition of N as the stops by which a subject is made to fit more or less
// (common practice).
func ZoneDevelopments(law ContrastTime, paper sensito.Density, normal sensito.Stops, logFlare float64,
	from, to int) ([]ZoneDevelopment, error) {
	if from > to || to-from > 20 {
		return nil, check.Errorf(ErrInput, "developments from N%+d to N%+d", from, to)
	}
	var out []ZoneDevelopment
	for n := from; n <= to; n++ {
		s := normal - sensito.Stops(n)
		g, err := sensito.RequiredGradient(paper, s.Log10(), logFlare)
		if err != nil {
			return nil, check.Errorf(ErrInput, "N%+d, a subject of %v: %v", n, s, err)
		}
		a := ZoneDevelopment{N: n, Subject: s, Gradient: g}
		a.Time, a.Err = law.TimeFor(g)
		out = append(out, a)
	}
	return out, nil
}

// PaperRange is the log exposure range of a numbered grade of paper, 0 (soft)
// to 6, which is the density range of the negatives that suit it.
//
// Errors: [ErrInput] for another grade.
//
// Source: ANSI PH2.2-1966, appendix, as quoted (six grades from 0.50 to 1.70);
// grade 6 after a draft of 1978: Focal Encyclopedia of Photography, 4th ed.,
// p. 679.
func PaperRange(grade int) (shortest, longest sensito.Density, err error) {
	ends := [...]sensito.Density{1.70, 1.40, 1.15, .95, .80, .65, .50, .35}
	if grade < 0 || grade > 6 {
		return 0, 0, check.Errorf(ErrInput, "paper grade %d, want 0 to 6", grade)
	}
	return ends[grade+1], ends[grade], nil
}
