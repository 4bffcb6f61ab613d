package actinic

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/check"
	"example.org/actinic/internal/figures"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/provenance"
	"example.org/actinic/spectral"
)

// Errors here are about one part and name no file: [CheckPackage] puts them at their rows.
//
// The rules that a part of a film keeps to besides the bounds of its columns: [NewFilm]
// and [CheckPackage] go by these and no others.

// check holds to the least that is asked of a figure: how it came about, and from whom.
func (p Provenance) check() error {
	if !p.Basis.Valid() {
		return fmt.Errorf("no basis; say whether it is %s", figures.Quoted(provenance.Words()))
	}
	if err := checkName(p.Source); err != nil {
		return fmt.Errorf("source %w", err)
	}
	return checkText(p.Conditions)
}

// checkText accepts empty texts, and what [checkName] does.
func checkText(texts ...string) error {
	for _, s := range texts {
		if s != "" {
			if err := checkName(s); err != nil {
				return fmt.Errorf("text %w", err)
			}
		}
	}
	return nil
}

// checkName refuses what would not survive a table.
func checkName(s string) error { return plausible.Name(s) }

// checkInterval accepts an estimate whose ends are not known, or enclose it.
func checkInterval(what string, e sensito.Estimate) error {
	if !check.Finite(e.Value) || e.Low > e.Value || e.High < e.Value || math.IsInf(e.Low, 0) {
		return fmt.Errorf("%s of %v with interval %v to %v", what, e.Value, e.Low, e.High)
	}
	return nil
}

// fault is something that cannot be, with the part of the film that it is about: in
// words, and as a row of a table.
type fault struct {
	part         string
	table, field string
	at           place
	err          error
}

func (x fault) Error() string { return x.part + ": " + x.err.Error() }

func (x fault) Unwrap() error { return x.err }

// key returns the key of the row.
func (x fault) key() []string {
	all := []string{x.at.film, x.at.process, x.at.curve}
	return all[:len(filmTable(x.table).Key)]
}

// faults collects what cannot be of a film.
type faults []fault

// add reports an error of a part, and what of its columns is out of bounds.
func (xs *faults) add(part, table, field string, at place, err error) bool {
	if err != nil {
		*xs = append(*xs, fault{part, table, field, at, err})
	}
	return err == nil
}

// A part that breaks its rule is not held to its columns too: one fault, one message.
// hold holds a part to its rule, and to the bounds of its columns where it keeps to that.
func hold[T any](xs *faults, name string, t *table[T], field string, at place, part *T, rule error) bool {
	if !xs.add(name, t.Name, field, at, rule) {
		return false
	}
	errs := t.check(part)
	for _, err := range errs {
		xs.add(name, t.Name, field, at, err)
	}
	return len(errs) == 0
}

// rows holds the points of a part that is well to the bounds of their columns. A fault is at
// the row of the part.
func rows[T any](xs *faults, name, where, field string, at place, t *table[T], of []T, well bool) {
	for i := 0; i < len(of) && well; i++ {
		for _, err := range t.check(&of[i]) {
			well = xs.add(fmt.Sprintf("%s: point %d", name, i+1), where, field, at, err)
		}
	}
}

// build makes the curves and laws of the parts, and returns what cannot be of any.
func (f *Film) build() []fault {
	var xs faults
	d := &f.data
	at := place{film: d.Name}
	xs.add("name of the film", "films", "film", at, checkName(d.Name))
	hold(&xs, "identity", &filmsTable, "film", at, d, errors.Join(checkText(d.Description), d.Provenance.check()))
	seen := map[string]bool{}
	for i := range d.Processes {
		p := &d.Processes[i]
		if seen[p.Name] {
			xs.add("process "+p.Name, "processes", "process", place{film: d.Name, process: p.Name},
				fmt.Errorf("two are named %q", p.Name))
			continue
		}
		seen[p.Name] = true
		made := &Process{film: f, data: p}
		made.build(&xs)
		f.processes = append(f.processes, made)
		f.named.add(p.Name)
	}
	if s := d.Sensitivity; s != nil {
		v, err := s.sensitivity()
		if hold(&xs, "spectral sensitivity", &sensitivitiesTable, "film", at, s, err) {
			f.sensitivity = &v
		}
	}
	if r := d.Reciprocity; r != nil {
		law, err := r.law()
		if hold(&xs, "reciprocity law", lawsTable(), "law", at, r, err) {
			f.reciprocity = law
		}
	}
	return xs
}

// build makes the curves and laws of a process.
func (p *Process) build(xs *faults) {
	d := p.data
	at := place{film: p.film.data.Name, process: d.Name}
	name := "process " + d.Name
	hold(xs, name+": conditions", &processesTable, "process", at, d, errors.Join(checkName(d.Name), d.check()))
	// Strips stand in order of development, whatever order they came in.
	slices.SortStableFunc(d.Curves, func(a, b CurveData) int { return cmp.Compare(a.Development, b.Development) })
	p.curves = make([]sensito.Curve, len(d.Curves))
	seen := map[string]bool{}
	var strips []devtime.Strip
	for i := range d.Curves {
		c := &d.Curves[i]
		at := place{at.film, at.process, c.Name}
		part := name + ": curve " + c.Name
		if seen[c.Name] {
			xs.add(part, "curves", "curve", at, fmt.Errorf("two are named %q", c.Name))
			continue
		}
		seen[c.Name] = true
		curve, err := c.curve()
		if !hold(xs, part, &curvesTable, "curve", at, c, errors.Join(checkName(c.Name), err)) {
			continue
		}
		if !xs.add(part, "curves", "speed", at, speedAgrees(c, curve)) {
			continue
		}
		p.curves[i] = curve
		// Two strips of one time are repeats: the first stands in the family for both.
		if i == 0 || d.Curves[i-1].Development != c.Development {
			strips = append(strips, devtime.Strip{Time: c.Development, Curve: curve})
		}
	}
	if len(strips) > 1 {
		family, err := devtime.NewFamily(strips)
		if xs.add(name+": curves", "processes", "process", at, err) {
			p.family = &family
		}
	}
	if d.Index != nil {
		hold(xs, name+": index", &indexesTable, "ei", at, d.Index, d.Index.check())
	}
	if d.Growth != nil {
		law, err := d.Growth.law()
		if hold(xs, name+": development family", &familiesTable, "limit", at, d.Growth, err) {
			p.growth = &law
		}
	}
	if g := d.Granularity; g != nil {
		rows(xs, name+": granularity", granularitiesTable.Name, "aperture_um", at, &granularityPointsTable, g.Points,
			hold(xs, name+": granularity", &granularitiesTable, "aperture_um", at, g, g.check()))
	}
	if r := d.Response; r != nil {
		rows(xs, name+": response", responsesTable.Name, "of", at, &responsePointsTable, r.Points,
			hold(xs, name+": response", &responsesTable, "of", at, r, r.check()))
	}
	if t := d.Test; t != nil {
		hold(xs, name+": test", &testsTable, "tester", at, t, t.check())
	}
	for i := range d.Findings {
		row := findingRow{i + 1, d.Findings[i]}
		if !hold(xs, fmt.Sprintf("%s: finding %d", name, i+1), &findingsTable, "what", at, &row, row.check()) {
			break
		}
	}
}

// check holds the words about a process to what a table and a reader can take.
func (d *ProcessData) check() error {
	if d.Dilution != "" {
		if _, err := devtime.ParseDilution(d.Dilution, devtime.RefuseColon); err != nil {
			return err
		}
	}
	// t - t is not 0 for NaN and for infinities alone.
	if t := d.Temperature; t-t != 0 {
		return fmt.Errorf("temperature of %v", float64(t))
	}
	return errors.Join(checkText(d.Developer, d.Agitation, d.Light), d.Provenance.check())
}

// curve makes the curve of a strip.
func (c *CurveData) curve() (sensito.Curve, error) {
	if err := c.Provenance.check(); err != nil {
		return nil, err
	}
	if err := c.checkSpeed(); err != nil {
		return nil, err
	}
	for i, r := range c.Readings {
		if err := checkReading(r); err != nil {
			return nil, fmt.Errorf("reading %d: %w", i+1, err)
		}
	}
	for i, d := range c.Unexposed {
		if !(d >= 0 && d <= plausible.GreatestDensity) {
			return nil, fmt.Errorf("unexposed reading %d: density %v", i+1, float64(d))
		}
	}
	switch {
	case c.Shape != nil && len(c.Points) > 0:
		return nil, errors.New("both constants and points; give one")
	case c.Shape != nil:
		if !(c.Shape.From >= plausible.LeastLogH && c.Shape.From < c.Shape.To && c.Shape.To <= plausible.GreatestLogH) {
			return nil, fmt.Errorf("no bounds within %d to %d; say for which exposures the constants hold",
				plausible.LeastLogH, plausible.GreatestLogH)
		}
		// Base plus fog is stored once; what a caller gives twice has to agree.
		if c.Shape.BaseFog != c.BaseFog {
			return nil, fmt.Errorf("base plus fog %v, and %v among the constants", float64(c.BaseFog), float64(c.Shape.BaseFog))
		}
		return sensito.NewClosedForm(*c.Shape)
	}
	for i, r := range c.Points {
		if err := checkReading(r); err != nil {
			return nil, fmt.Errorf("point %d: %w", i+1, err)
		}
		if i > 0 && !(r.LogH > c.Points[i-1].LogH && r.Density >= c.Points[i-1].Density) {
			return nil, fmt.Errorf("point %d (%v, %.4g) does not follow (%v, %.4g); exposures rise, and densities do not fall",
				i+1, r.LogH, float64(r.Density), c.Points[i-1].LogH, float64(c.Points[i-1].Density))
		}
	}
	return sensito.Interpolate(c.Points, sensito.StatedBase(c.BaseFog), sensito.RefuseFalling)
}

// checkSpeed holds a stated speed to its kind and to its interval; speedAgrees holds it to
// the curve.
func (c *CurveData) checkSpeed() error {
	if c.Speed != (sensito.Speed{}) {
		if !(c.Speed.Value >= plausible.LeastIndex && c.Speed.Value <= plausible.GreatestIndex) {
			return fmt.Errorf("speed of %v", c.Speed.Value)
		}
		if (c.Speed.Kind == sensito.ISO) != (c.Speed.Criterion == sensito.ISO6) {
			return fmt.Errorf("speed of kind %v by criterion %v; an ISO speed is by %v and nothing else is", c.Speed.Kind,
				c.Speed.Criterion, sensito.ISO6)
		}
	}
	if c.SpeedLow != 0 || c.SpeedHigh != 0 {
		if !(c.SpeedLow > 0 && c.SpeedLow <= c.Speed.Value && c.SpeedHigh >= c.Speed.Value) || math.IsInf(c.SpeedHigh, 0) {
			return fmt.Errorf("speed of %v with interval %v to %v", c.Speed.Value, c.SpeedLow, c.SpeedHigh)
		}
	}
	if g := c.Gradient; g != nil && !(g.Value > 0 && checkInterval("", *g) == nil) {
		return fmt.Errorf("average gradient of %v with interval %v to %v", g.Value, g.Low, g.High)
	}
	return nil
}

// checkReading holds a reading to what an instrument can give.
func checkReading(r sensito.Reading) error {
	switch {
	case !(r.LogH >= plausible.LeastLogH && r.LogH <= plausible.GreatestLogH):
		return fmt.Errorf("exposure %v, want log10 of lux seconds from %d to %d", float64(r.LogH), plausible.LeastLogH,
			plausible.GreatestLogH)
	case !(r.Density >= 0 && r.Density <= plausible.GreatestDensity):
		return fmt.Errorf("density %v, want 0 to %d", float64(r.Density), plausible.GreatestDensity)
	case !(r.SD >= 0 && r.SD < 1):
		return fmt.Errorf("standard deviation %v, want 0 to 1", r.SD)
	}
	return nil
}

// speedSlack is how far a stated speed may lie from that of its curve: the last
// third of a printed step, in stops.
const speedSlack = 0.12

// speedAgrees refuses a speed that the curve beside it contradicts: a slip of typing, a curve
// of another strip, or an ISO speed where the standard's contrast was not met. What was
// stated by the maker or found in the field is no matter of the curve.
func speedAgrees(q *CurveData, curve sensito.Curve) error {
	if !q.Speed.Valid() || q.Speed.Criterion == sensito.Stated || q.Speed.Criterion == sensito.Field {
		return nil
	}
	by := q.Speed.Criterion
	if by == sensito.ISO6 {
		by = sensito.FixedDensity
		dd, err := sensito.ISOContrast(curve)
		if err != nil {
			return fmt.Errorf("an ISO speed of a curve whose contrast cannot be told: %w", err)
		}
		if !sensito.MeetsISO(figures.Round(dd, 4)) {
			return fmt.Errorf("an index, EI: ΔD of the curve is %.3f, and an ISO speed needs %.2f ± %.2f", dd,
				sensito.ISODeltaD, sensito.ISOTolerance)
		}
	}
	s, err := sensito.Index(curve, by)
	if err != nil {
		return err
	}
	v := s.Value
	if off := math.Log2(q.Speed.Value / v); math.Abs(off) > speedSlack {
		return fmt.Errorf("the speed of the curve, %.4g by %v, which is %+.2f stops off", v, by, -off)
	}
	return nil
}

// check holds an index, its development and its contrast to what a person can have used.
func (d *IndexData) check() error {
	if !(d.Index.Value >= plausible.LeastIndex && d.Index.Value <= plausible.GreatestIndex) {
		return fmt.Errorf("index of %v", d.Index.Value)
	}
	if t := d.Development; t != nil {
		if !(t.Value >= plausible.LeastDevelopment.Seconds() && t.Value <= plausible.LongestDevelopment.Seconds()) {
			return fmt.Errorf("development of %v s", t.Value)
		}
		if err := checkInterval("development", *t); err != nil {
			return err
		}
	}
	if d.Gradient != 0 && !(d.Gradient > 0.1 && d.Gradient < 3) {
		return fmt.Errorf("average gradient of %v, want 0.1 to 3", d.Gradient)
	}
	return errors.Join(checkText(d.From), checkInterval("index", d.Index), d.Provenance.check())
}

// law makes the law of growth.
func (d *GrowthData) law() (devtime.ContrastTime, error) {
	var none devtime.ContrastTime
	if err := errors.Join(d.Provenance.check(), checkInterval("limit", d.Limit), checkInterval("rate", d.Rate),
		checkInterval("induction", d.Induction)); err != nil {
		return none, err
	}
	if !(d.Shortest > 0 && d.Longest > d.Shortest) {
		return none, fmt.Errorf("range %v to %v; say between which times the strips were developed", d.Shortest, d.Longest)
	}
	if d.Q10 != 0 {
		t, err := devtime.NewQ10(d.Q10)
		if err != nil {
			return none, err
		}
		if _, err := t.Within(d.Coldest, d.Warmest); err != nil {
			return none, err
		}
	} else if d.Coldest != 0 || d.Warmest != 0 {
		return none, errors.New("a range of temperatures without Q10")
	}
	return devtime.NewContrastTime(d.Limit.Value, d.Rate.Value,
		time.Duration(math.Round(d.Induction.Value*float64(time.Minute))))
}

// sensitivity makes the function of wavelength, straight in its logarithm between points.
func (d *SensitivityData) sensitivity() (spectral.Sensitivity, error) {
	if err := d.Provenance.check(); err != nil {
		return spectral.Sensitivity{}, err
	}
	if !(d.AboveFog >= 0 && d.AboveFog <= plausible.GreatestDensity) {
		return spectral.Sensitivity{}, fmt.Errorf("density above fog of %v", float64(d.AboveFog))
	}
	if n := len(d.SD); n > 0 && n != len(d.Log10) {
		return spectral.Sensitivity{}, fmt.Errorf("%d standard deviations for %d points", n, len(d.Log10))
	}
	for i, sd := range d.SD {
		if !(sd >= 0 && sd <= 10) {
			return spectral.Sensitivity{}, fmt.Errorf("standard deviation %d of %v, want 0 to 10", i+1, sd)
		}
	}
	return spectral.SensitivityFromLog(d.Wavelengths, d.Log10, spectral.LogLinear)
}

// law makes the law of reciprocity, which is to hold where it was tested.
func (d *ReciprocityData) law() (reciprocity.Law, error) {
	if err := d.Provenance.check(); err != nil {
		return nil, err
	}
	law, err := d.Form.Make()
	if err != nil {
		return nil, err
	}
	short, long := d.Form.Shortest, d.Form.Longest
	if !(short > 0 && long > short) {
		return nil, fmt.Errorf("range %v to %v; say for which metered times the law holds", short, long)
	}
	// A law reaches no further than its tests, where they are given.
	tests := d.Form.Readings
	for i, r := range tests {
		if !(r.Metered > 0 && r.Adjusted > 0 && r.SD >= 0) || i > 0 && !(r.Metered > tests[i-1].Metered) {
			return nil, fmt.Errorf("test %d (metered %v, adjusted %v): want positive times in order of the metered one",
				i+1, r.Metered, r.Adjusted)
		}
	}
	if n := len(tests); n > 0 && (isShorter(short, tests[0].Metered) || isShorter(tests[n-1].Metered, long)) {
		return nil, fmt.Errorf("a range from %v to %v, and tests from %v to %v only", short, long, tests[0].Metered,
			tests[n-1].Metered)
	}
	return law, nil
}

// isShorter reports whether a is under b by more than a rounding.
func isShorter(a, b time.Duration) bool { return a.Seconds() < b.Seconds()*(1-1e-6) }
