package actinic

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
)

// Record is what a test roll says of a film in one process under one light. It
// marshals to JSON as it is; an interval of 95 % goes with every number that comes
// from readings, and what could not be found is null with a sentence in Warnings.
type Record struct {
	Film                  string  `json:"film"`
	Process               string  `json:"process"`
	Light                 string  `json:"light"`
	TargetAverageGradient float64 `json:"target_average_gradient"`

	Strips []StripRecord `json:"strips"` // in order of development

	// ContrastTime is the growth of the average gradient with time; nil for
	// strips of fewer than two times or without a law.
	ContrastTime *ContrastTimeRecord `json:"contrast_time"`
	// Development is the time for the target, in seconds; nil where none serves.
	Development *sensito.Estimate `json:"development_for_target_s"`
	// Index is the recommended exposure index; nil where none was found.
	Index   *IndexRecord   `json:"index"`
	Bracket *BracketRecord `json:"bracket,omitempty"`

	// Recommendation says in words what to set, how long to develop, and what
	// limits it.
	Recommendation []string `json:"recommendation"`
	Warnings       []string `json:"warnings"`
}

// StripRecord is one strip.
type StripRecord struct {
	Strip        string  `json:"strip"`
	DevelopmentS float64 `json:"development_s"`

	BaseFog         float64           `json:"base_fog"`
	SpeedPointLogH  float64           `json:"speed_point_log_h"`
	SpeedPointLow   *float64          `json:"speed_point_log_h_low"`
	SpeedPointHigh  *float64          `json:"speed_point_log_h_high"`
	DeltaD          *float64          `json:"delta_d"` // nil where the strip ends too soon
	MeetsISO        bool              `json:"meets_iso"`
	Speed           SpeedRecord       `json:"speed"`
	Gamma           *sensito.Estimate `json:"gamma"`
	AverageGradient *sensito.Estimate `json:"average_gradient"`
	ContrastIndex   *sensito.Estimate `json:"contrast_index"`

	// Curve is the fitted curve, and Readings and Unexposed what it was fitted to.
	Curve     *sensito.Fitted   `json:"-"`
	Readings  []sensito.Reading `json:"-"`
	Unexposed []sensito.Density `json:"-"`
}

// SpeedRecord is a speed with the right name on it: ISO where the contrast
// condition is met, EI otherwise. Value is arithmetic and unrounded.
type SpeedRecord struct {
	Kind      sensito.Kind      `json:"kind"`
	Criterion sensito.Criterion `json:"criterion"`
	Value     float64           `json:"value"`
	Degrees   int               `json:"degrees"`
	Low       *float64          `json:"low"`
	High      *float64          `json:"high"`
}

// Speed returns the typed speed.
func (s SpeedRecord) Speed() sensito.Speed {
	return sensito.Speed{Value: s.Value, Kind: s.Kind, Criterion: s.Criterion}
}

// ContrastTimeRecord holds the constants of the average gradient's growth.
type ContrastTimeRecord struct {
	Limit     sensito.Estimate `json:"limit"`
	Rate      sensito.Estimate `json:"rate_per_min"`
	Induction sensito.Estimate `json:"induction_min"`

	// Law is the fitted law.
	Law devtime.ContrastTime `json:"-"`
}

// IndexRecord is an exposure index and what it was found from: "bracket",
// "curves", or "strip NAME" where the target lies outside the strips' times.
type IndexRecord struct {
	sensito.Estimate
	From string
}

// BracketRecord is the evaluation of the bracketed frames.
type BracketRecord struct {
	Target         float64           `json:"shadow_target_density"` // base plus fog and 0.10
	BelowMeter     float64           `json:"shadow_stops_below_meter"`
	DevelopmentS   *float64          `json:"development_s"` // nil where not known
	Index          *sensito.Estimate `json:"index"`
	Highlight      *float64          `json:"highlight_density"` // at that index
	Midtone        *float64          `json:"midtone_density"`
	Frames         []FrameRecord     `json:"frames"`     // by index, slowest first
	Neighbours     []string          `json:"neighbours"` // the frames on either side of the index
	AssumedSD      *float64          `json:"assumed_density_sd,omitempty"`
	UnexposedFound bool              `json:"base_fog_from_frames"`
}

// FrameRecord is one frame of the bracket; a patch not read is nil.
type FrameRecord struct {
	Frame     string   `json:"frame"`
	Index     float64  `json:"ei"`
	Shadow    *float64 `json:"shadow"`
	Midtone   *float64 `json:"midtone"`
	Highlight *float64 `json:"highlight"`
}

// Settings of [TestRoll.Characterise]. The zero value is usable.
type Settings struct {
	// Seed of the drawn intervals; the same roll and seed give the same record.
	Seed uint64
	// Resamplings, if above 0, makes the strips' intervals from so many drawn and
	// refitted strips instead of first-order propagation: slower, and a check on it.
	Resamplings int
}

// frameSD is assumed of a bracket's densities that come without one: placing,
// shutter, diaphragm and densitometer together (common practice, no source).
const frameSD = 0.02

// Characterise turns the readings into a record: per strip, across the family, and
// the recommendation.
//
// A strip is fitted by [sensito.Fit], rated by [sensito.Rate]. The average
// gradients of strips of two times or more give the growth of contrast, with an
// induction time where the strips ask for one, and from it the time for the
// target. The index comes from the bracket if there is one (the index at which the
// shadow has 0.10 above base plus fog), otherwise from the fixed-density speed at
// that time.
//
// A strip that does not reach what is asked is left out with a warning; readings
// that cannot be right are an error, as is a roll without one usable strip. Errors
// wrap those of package sensito.
func (roll *TestRoll) Characterise(set Settings) (*Record, error) {
	if len(roll.Strips) == 0 {
		return nil, fmt.Errorf("%w: a test roll without strips", ErrData)
	}
	if !(roll.TargetAverageGradient > 0) || math.IsInf(roll.TargetAverageGradient, 0) {
		return nil, fmt.Errorf("%w: target average gradient is %v, want more than 0", ErrData, roll.TargetAverageGradient)
	}
	r := &Record{Film: roll.Film, Process: roll.Process, Light: roll.Light, TargetAverageGradient: roll.TargetAverageGradient, Warnings: []string{}}
	by := roll.Criterion
	if by == sensito.Stated {
		by = sensito.FixedDensity
	}
	var missing error
	for _, s := range roll.byTime() {
		sr, err := r.strip(s, by, set)
		switch {
		case errors.Is(err, sensito.ErrNotReached):
			r.warn("Strip %s was left out: %v.", s.Name, trimPackage(err))
			missing = fmt.Errorf("strip %s: %w", s.Name, err)
		case err != nil:
			return nil, fmt.Errorf("strip %s: %w", s.Name, err)
		default:
			r.Strips = append(r.Strips, *sr)
		}
	}
	if len(r.Strips) == 0 {
		return nil, missing
	}
	law, ok := r.family()
	develop := r.develop(law, ok)
	if len(roll.Bracket) > 0 {
		if err := r.bracket(roll, set); err != nil {
			return nil, err
		}
	}
	r.index(develop)
	r.recommend(develop)
	return r, nil
}

func (r *Record) warn(format string, args ...any) {
	r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...))
}

// trimPackage drops the package name in front of an error's text.
func trimPackage(err error) string {
	_, s, ok := strings.Cut(err.Error(), ": ")
	if !ok {
		return err.Error()
	}
	return s
}

func known(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// strip fits and measures one strip.
func (r *Record) strip(s Strip, by sensito.Criterion, set Settings) (*StripRecord, error) {
	var base sensito.Base
	if len(s.Unexposed) > 0 {
		base = sensito.UnexposedBase(s.Unexposed...)
	}
	fit, err := sensito.Fit(s.Readings, base)
	if err != nil {
		return nil, err
	}
	rating, err := sensito.Rate(fit, by)
	if err != nil && by != sensito.FixedDensity && errors.Is(err, sensito.ErrNotReached) {
		r.warn("Strip %s has no index by %v (%v); the fixed density was used.", s.Name, by, trimPackage(err))
		rating, err = sensito.Rate(fit, sensito.FixedDensity)
	}
	if err != nil {
		return nil, err
	}
	logIndex := func(c sensito.Curve) (float64, error) {
		of := rating.Speed.Criterion
		if of == sensito.ISO6 {
			of = sensito.FixedDensity
		}
		v, err := sensito.Index(c, of)
		return math.Log10(v), err
	}
	es, err := estimates(fit, set, sensito.SpeedPoint, logIndex, sensito.Gamma, sensito.AverageGradient, sensito.ContrastIndex)
	if err != nil {
		return nil, err
	}
	point, index := es[0], es[1]
	sr := &StripRecord{
		Strip: s.Name, DevelopmentS: s.Development.Seconds(),
		BaseFog: float64(fit.BaseFog()), SpeedPointLogH: float64(rating.SpeedPoint),
		DeltaD: known(rating.DeltaD), MeetsISO: rating.MeetsISO,
		Gamma: es[2], AverageGradient: es[3], ContrastIndex: es[4],
		Curve: fit, Readings: slices.Clone(s.Readings), Unexposed: slices.Clone(s.Unexposed),
	}
	if point != nil {
		sr.SpeedPointLow, sr.SpeedPointHigh = known(point.Low), known(point.High)
	}
	// The interval of the speed is taken on its logarithm.
	speed := sensito.Estimate{Low: math.NaN(), High: math.NaN()}
	if index != nil {
		speed = index.Map(func(x float64) float64 { return math.Pow(10, x) })
	}
	sr.Speed = SpeedRecord{rating.Speed.Kind, rating.Speed.Criterion, rating.Speed.Value, rating.Speed.Degrees(), known(speed.Low), known(speed.High)}
	if x := fit.Scatter(); hasSD(s.Readings) && x > 2 {
		r.warn("The readings of strip %s scatter %.1f times as much about the curve as their standard deviations say; the intervals were widened. Look for a misread step.", s.Name, x)
	}
	if sr.DeltaD == nil {
		r.warn("Strip %s ends before 1.30 above its speed point: the contrast condition of ISO 6 could not be checked, so its speed is an index.", s.Name)
	}
	if sr.AverageGradient == nil {
		r.warn("Strip %s ends before 1.50 above its speed point: it has no average gradient and takes no part in the growth of contrast.", s.Name)
	}
	if s.Development < devtime.EvenTime {
		r.warn("Strip %s was developed for %s: times under about five minutes risk uneven development.", s.Name, devtime.FormatTime(s.Development))
	}
	return sr, nil
}

// estimates takes the measures that the curve has; nil stands for one it has not.
func estimates(fit *sensito.Fitted, set Settings, measures ...sensito.Measure) ([]*sensito.Estimate, error) {
	out := make([]*sensito.Estimate, len(measures))
	var there []sensito.Measure
	var at []int
	for i, m := range measures {
		if _, err := m(fit); err == nil {
			there, at = append(there, m), append(at, i)
		}
	}
	var es []sensito.Estimate
	var err error
	if set.Resamplings > 0 {
		es, err = fit.Resample(sensito.Sampling{Draws: set.Resamplings, Seed: set.Seed}, there...)
	} else {
		es, err = fit.Estimate(there...)
	}
	if err != nil {
		return nil, err
	}
	for k, i := range at {
		out[i] = &es[k]
	}
	return out, nil
}

func hasSD(rs []sensito.Reading) bool {
	return !slices.ContainsFunc(rs, func(r sensito.Reading) bool { return !(r.SD > 0) })
}

func seconds(s float64) time.Duration { return time.Duration(math.Round(s * float64(time.Second))) }

// sd returns the standard deviation behind a 95 % interval, 0 where not known.
func sd(e sensito.Estimate) float64 {
	if w := (e.High - e.Low) / (2 * lsq.Normal95); w > 0 && !math.IsInf(w, 0) {
		return w
	}
	return 0
}

// family fits the growth of the average gradient.
func (r *Record) family() (law devtime.ContrastTime, ok bool) {
	var points []devtime.Point
	for _, s := range r.Strips {
		if s.AverageGradient == nil {
			continue
		}
		points = append(points, devtime.Point{Time: seconds(s.DevelopmentS), Value: s.AverageGradient.Value, SD: sd(*s.AverageGradient)})
	}
	if slices.ContainsFunc(points, func(p devtime.Point) bool { return p.SD == 0 }) {
		for i := range points {
			points[i].SD = 0
		}
	}
	times := len(slices.CompactFunc(slices.Clone(points), func(a, b devtime.Point) bool { return a.Time == b.Time }))
	if times < 2 {
		r.warn("Strips of two development times at least are needed for the growth of contrast; there are %d.", times)
		return law, false
	}
	law, err := devtime.FitContrast(points)
	if times > 3 || err != nil && times == 3 {
		// An induction time is taken where the strips insist: one more constant
		// must lower the residual sum by what one in twenty would by chance.
		with, err2 := devtime.FitContrastInduction(points)
		if err2 == nil && with.InductionMinutes().Value > 0 {
			a, da := law.Scatter()
			b, db := with.Scatter()
			insist := a-b > 3.84
			if points[0].SD == 0 {
				insist = db > 0 && (a-b)/(b/float64(db)) > 10
			}
			if err != nil || da > 0 && insist {
				law, err = with, nil
			}
		}
	}
	if err != nil {
		r.warn("The strips show no growth of contrast to go by: %v.", trimPackage(err))
		return law, false
	}
	r.ContrastTime = &ContrastTimeRecord{law.Limit(), law.RatePerMinute(), law.InductionMinutes(), law}
	for _, w := range law.Warnings() {
		r.warn("%v", w)
	}
	return law, true
}

// develop finds the time for the target; 0 where there is none.
func (r *Record) develop(law devtime.ContrastTime, ok bool) time.Duration {
	if !ok {
		return 0
	}
	t, err := law.TimeFor(r.TargetAverageGradient)
	if err != nil {
		r.warn("No development gives an average gradient of %.2f: %v.", r.TargetAverageGradient, trimPackage(err))
		return 0
	}
	e := t.Seconds()
	r.Development = &e
	short, long := law.Range()
	switch {
	case t.Extrapolated:
		r.warn("The time for the target, %s, lies outside the strips (%s to %s): develop a strip near it before relying on it.",
			devtime.FormatTime(t.Value.Round(time.Second)), devtime.FormatTime(short), devtime.FormatTime(long))
	case t.Value < devtime.EvenTime:
		r.warn("The time for the target is under five minutes, where development risks being uneven: dilute the developer further or work cooler, and test again.")
	}
	return t.Value
}

// index settles on the recommended index.
func (r *Record) index(develop time.Duration) {
	if r.Bracket != nil && r.Bracket.Index != nil {
		r.Index = &IndexRecord{*r.Bracket.Index, "bracket"}
		return
	}
	var points []devtime.Point
	for _, s := range r.Strips {
		p := devtime.Point{Time: seconds(s.DevelopmentS), Value: s.SpeedPointLogH}
		if s.SpeedPointLow != nil && s.SpeedPointHigh != nil {
			p.SD = sd(sensito.Estimate{Low: *s.SpeedPointLow, High: *s.SpeedPointHigh})
		}
		points = append(points, p)
	}
	if slices.ContainsFunc(points, func(p devtime.Point) bool { return p.SD == 0 }) {
		for i := range points {
			points[i].SD = 0
		}
	}
	if family, err := devtime.NewSpeedTime(points); err == nil && develop > 0 {
		if e, err := family.At(develop); err == nil {
			// The time is uncertain too: what its interval moves the speed point
			// by is added in quadrature.
			short, long := family.Range()
			move := 0.0
			if dev := r.Development; dev != nil && !math.IsNaN(dev.Low) {
				lo := max(seconds(dev.Low), short)
				hi := long
				if !math.IsInf(dev.High, 0) {
					hi = min(seconds(dev.High), long)
				}
				if a, err := family.At(lo); err == nil {
					if b, err := family.At(hi); err == nil {
						move = math.Abs(a.Value-b.Value) / 2
					}
				}
			}
			half := math.Hypot((e.High-e.Low)/2, move)
			e.Low, e.High = e.Value-half, e.Value+half
			r.Index = &IndexRecord{e.Map(func(h float64) float64 { return sensito.SpeedAt(sensito.LogH(h)) }), "curves"}
			return
		}
	}
	// No development to go by: the strip nearest to the target.
	best := &r.Strips[0]
	off := func(s *StripRecord) float64 {
		if s.AverageGradient == nil {
			return math.Inf(1)
		}
		return math.Abs(s.AverageGradient.Value - r.TargetAverageGradient)
	}
	for i := range r.Strips {
		if off(&r.Strips[i]) < off(best) {
			best = &r.Strips[i]
		}
	}
	h := sensito.Estimate{Value: best.SpeedPointLogH, Low: math.NaN(), High: math.NaN()}
	if best.SpeedPointLow != nil && best.SpeedPointHigh != nil {
		h.Low, h.High = *best.SpeedPointLow, *best.SpeedPointHigh
	}
	r.Index = &IndexRecord{h.Map(func(h float64) float64 { return sensito.SpeedAt(sensito.LogH(h)) }), "strip " + best.Strip}
}

// baseFog as a measure.
func baseFog(c sensito.Curve) (float64, error) { return float64(c.BaseFog()), nil }

// bracket evaluates the frames.
func (r *Record) bracket(roll *TestRoll, set Settings) error {
	below := roll.ShadowStopsBelowMeter
	if below == 0 {
		below = 4
	}
	b := &BracketRecord{BelowMeter: float64(below)}
	if roll.BracketDevelopment > 0 {
		b.DevelopmentS = known(roll.BracketDevelopment.Seconds())
	}
	base, n, baseVar := 0.0, 0.0, 0.0
	assumed := false
	frames := map[string]*FrameRecord{}
	var shadows, mids, highs []sensito.BracketReading
	for i, f := range roll.Bracket {
		if !(f.Index > 0) || math.IsInf(f.Index, 0) {
			return fmt.Errorf("%w: frame %d (%s) has exposure index %v, want more than 0", ErrData, i+1, f.Frame, f.Index)
		}
		if f.Patch == Unexposed {
			base += float64(f.Density)
			n++
			v := f.SD
			if !(v > 0) {
				v, assumed = frameSD, true
			}
			baseVar += v * v
			continue
		}
		fr := frames[f.Frame]
		if fr == nil {
			fr = &FrameRecord{Frame: f.Frame, Index: f.Index}
			frames[f.Frame] = fr
		}
		br := sensito.BracketReading{Index: f.Index, Density: f.Density, SD: f.SD}
		if !(br.SD > 0) {
			br.SD, assumed = frameSD, true
		}
		d := float64(f.Density)
		switch f.Patch {
		case Shadow:
			shadows, fr.Shadow = append(shadows, br), &d
		case Midtone:
			mids, fr.Midtone = append(mids, br), &d
		case Highlight:
			highs, fr.Highlight = append(highs, br), &d
		}
	}
	if n > 0 {
		b.UnexposedFound = true
		base /= n
		baseVar /= n * n
	} else {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, s := range r.Strips {
			k := float64(len(r.Strips))
			base += s.BaseFog / k
			if e, err := s.Curve.Estimate(baseFog); err == nil {
				baseVar += math.Pow(sd(e[0])/k, 2)
			}
			lo, hi = min(lo, s.BaseFog), max(hi, s.BaseFog)
		}
		if hi-lo > 0.03 {
			r.warn("Base plus fog of the bracket was taken as the mean of the strips, %.2f, which run from %.2f to %.2f: read an unexposed patch beside the frames.", base, lo, hi)
		}
	}
	b.Target = base + float64(sensito.SpeedPointDensity)
	if assumed {
		v := frameSD
		b.AssumedSD = &v
		r.warn("Densities of the bracket came without standard deviation; %.2f was assumed for the interval of the index.", frameSD)
	}
	for _, f := range frames {
		b.Frames = append(b.Frames, *f)
	}
	slices.SortFunc(b.Frames, func(x, y FrameRecord) int {
		return cmp.Or(cmp.Compare(x.Index, y.Index), strings.Compare(x.Frame, y.Frame))
	})
	r.Bracket = b
	if len(shadows) == 0 {
		r.warn("The bracket has no shadow patches, so it gives no index.")
		return nil
	}
	e, err := sensito.FieldIndex(shadows, sensito.Density(b.Target), math.Sqrt(baseVar), sensito.Sampling{Seed: set.Seed})
	if err != nil {
		if errors.Is(err, sensito.ErrNotReached) || errors.Is(err, sensito.ErrInput) {
			r.warn("The bracket gives no index: %v.", trimPackage(err))
			return nil
		}
		return fmt.Errorf("bracket: %w", err)
	}
	b.Index = &e
	b.Highlight = densityAt(highs, e.Value)
	b.Midtone = densityAt(mids, e.Value)
	for i, f := range b.Frames {
		last := i+1 == len(b.Frames)
		if f.Index <= e.Value && (last || b.Frames[i+1].Index > e.Value) {
			b.Neighbours = append(b.Neighbours, f.Frame)
			if !last {
				b.Neighbours = append(b.Neighbours, b.Frames[i+1].Frame)
			}
		}
	}
	return nil
}

// densityAt interpolates a patch's density at an index; nil outside the frames.
func densityAt(rs []sensito.BracketReading, index float64) *float64 {
	var readings []sensito.Reading
	for _, r := range rs {
		readings = append(readings, sensito.Reading{LogH: sensito.LogH(-math.Log10(r.Index)), Density: r.Density, SD: r.SD})
	}
	c, err := sensito.Interpolate(readings, sensito.StatedBase(0), sensito.Pool)
	if err != nil {
		return nil
	}
	d, err := c.Density(sensito.LogH(-math.Log10(index)))
	if err != nil {
		return nil
	}
	return known(float64(d))
}
