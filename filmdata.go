package actinic

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/spectral"
)

// Basis says how a figure came about.
type Basis uint8

const (
	Standard Basis = iota + 1 // printed by a standard
	Handbook                  // printed by a book or a paper
	Measured                  // read by somebody on real material
	Derived                   // computed from figures of the other kinds
	Invented                  // made up
)

var basisNames = []string{"", "standard", "handbook", "measured", "derived", "invented"}

// String returns the word in lower case.
func (b Basis) String() string {
	if b >= Standard && b <= Invented {
		return basisNames[b]
	}
	return fmt.Sprintf("basis(%d)", uint8(b))
}

// MarshalText returns the String form. The error wraps [datafile.ErrData] for a number that
// is no basis.
func (b Basis) MarshalText() ([]byte, error) {
	if b < Standard || b > Invented {
		return nil, fmt.Errorf("%w: %v", datafile.ErrData, b)
	}
	return []byte(b.String()), nil
}

// UnmarshalText reads the String form.
func (b *Basis) UnmarshalText(text []byte) error {
	i := slices.Index(basisNames[1:], string(text))
	if i < 0 {
		return fmt.Errorf("%w: basis %q, want %s", datafile.ErrData, text, figures.Quoted(basisNames[1:]))
	}
	*b = Basis(i + 1)
	return nil
}

// Provenance says where a part comes from. Basis and Source must be given; a
// measurement's source is who measured it and when.
type Provenance struct {
	Basis      Basis
	Source     string
	Conditions string // what it holds for, where that is not said elsewhere
}

func (p Provenance) check() error {
	if p.Basis < Standard || p.Basis > Invented {
		return fmt.Errorf("no basis; say whether it is %s", figures.Quoted(basisNames[1:]))
	}
	if err := checkName(p.Source); err != nil {
		return fmt.Errorf("source %w", err)
	}
	return checkText(p.Conditions)
}

func checkText(ss ...string) error {
	for _, s := range ss {
		if s != "" {
			if err := checkName(s); err != nil {
				return fmt.Errorf("text %w", err)
			}
		}
	}
	return nil
}

// FilmData is a film as plain data, for [NewFilm]. A nil or empty part is missing,
// and so is an empty text; a number that may be missing says so.
type FilmData struct {
	Name        string
	Description string
	Provenance  Provenance // of the identity
	Processes   []ProcessData
	Sensitivity *SensitivityData
	Reciprocity *ReciprocityData
}

// ProcessData is what is known of a film in one process.
type ProcessData struct {
	Name        string // one process of the film
	Developer   string
	Dilution    string          // parts of stock and water, "1+31" or "stock"
	Temperature devtime.Celsius // 0: not known
	Agitation   string
	Light       string // that the strips were exposed to, and how long
	Provenance  Provenance
	Curves      []CurveData // sorted by development by NewFilm
	Index       *IndexData
	Growth      *GrowthData
}

func (d *ProcessData) check() error {
	if d.Dilution != "" {
		if _, err := devtime.ParseDilution(d.Dilution, devtime.RefuseColon); err != nil {
			return err
		}
	}
	if !(d.Temperature == 0 || d.Temperature >= 5 && d.Temperature <= 60) {
		return fmt.Errorf("%v, want the temperature of a developer, 5 to 60 °C", d.Temperature)
	}
	if err := checkText(d.Developer, d.Agitation, d.Light); err != nil {
		return err
	}
	return d.Provenance.check()
}

// CurveData is one developed strip: its curve as the constants of the closed form
// or as points, and what was read off.
type CurveData struct {
	Name        string // one curve of the process
	Development time.Duration
	BaseFog     sensito.Density
	Shape       *sensito.Shape    // with bounds, and BaseFog as above; or else
	Points      []sensito.Reading // points of rising exposure whose density does not fall
	Speed       sensito.Speed     // zero: not known
	SpeedLow    float64           // 95 % interval; 0: not known
	SpeedHigh   float64
	Gradient    *sensito.Estimate // average gradient
	Readings    []sensito.Reading // what the curve was made from, if it is known
	Unexposed   []sensito.Density // readings of patches that got no light
	Provenance  Provenance
}

func (c *CurveData) curve() (sensito.Curve, error) {
	if err := c.Provenance.check(); err != nil {
		return nil, err
	}
	if c.Development < plausible.LeastDevelopment || c.Development > plausible.LongestDevelopment {
		return nil, fmt.Errorf("development of %v, want %v to %v", c.Development, plausible.LeastDevelopment, plausible.LongestDevelopment)
	}
	if !(c.BaseFog >= 0 && c.BaseFog <= plausible.GreatestDensity) {
		return nil, fmt.Errorf("base plus fog of %v", float64(c.BaseFog))
	}
	if c.Speed != (sensito.Speed{}) {
		if !(c.Speed.Value >= plausible.LeastIndex && c.Speed.Value <= plausible.GreatestIndex) {
			return nil, fmt.Errorf("speed of %v", c.Speed.Value)
		}
		if (c.Speed.Kind == sensito.ISO) != (c.Speed.Criterion == sensito.ISO6) {
			return nil, fmt.Errorf("speed of kind %v by criterion %v; an ISO speed is by %v and nothing else is", c.Speed.Kind, c.Speed.Criterion, sensito.ISO6)
		}
	}
	if c.SpeedLow != 0 || c.SpeedHigh != 0 {
		if !(c.SpeedLow > 0 && c.SpeedLow <= c.Speed.Value && c.SpeedHigh >= c.Speed.Value) || math.IsInf(c.SpeedHigh, 0) {
			return nil, fmt.Errorf("speed of %v with interval %v to %v", c.Speed.Value, c.SpeedLow, c.SpeedHigh)
		}
	}
	if g := c.Gradient; g != nil && !(g.Value > 0 && checkInterval("", *g) == nil) {
		return nil, fmt.Errorf("average gradient of %v with interval %v to %v", g.Value, g.Low, g.High)
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
			return nil, fmt.Errorf("no bounds within %d to %d; say for which exposures the constants hold", plausible.LeastLogH, plausible.GreatestLogH)
		}
		if c.Shape.BaseFog != c.BaseFog {
			return nil, fmt.Errorf("base plus fog %v, and %v among the constants", float64(c.BaseFog), float64(c.Shape.BaseFog))
		}
		return sensito.NewForm(*c.Shape)
	}
	for i, r := range c.Points {
		if err := checkReading(r); err != nil {
			return nil, fmt.Errorf("point %d: %w", i+1, err)
		}
		if i > 0 && !(r.LogH > c.Points[i-1].LogH && r.Density >= c.Points[i-1].Density) {
			return nil, fmt.Errorf("point %d (%v, %.4g) does not follow (%v, %.4g); exposures rise, and densities do not fall", i+1, r.LogH, float64(r.Density), c.Points[i-1].LogH, float64(c.Points[i-1].Density))
		}
	}
	return sensito.Interpolate(c.Points, sensito.StatedBase(c.BaseFog), sensito.Refuse)
}

func checkReading(r sensito.Reading) error {
	switch {
	case !(r.LogH >= plausible.LeastLogH && r.LogH <= plausible.GreatestLogH):
		return fmt.Errorf("exposure %v, want log10 of lux seconds from %d to %d", float64(r.LogH), plausible.LeastLogH, plausible.GreatestLogH)
	case !(r.Density >= 0 && r.Density <= plausible.GreatestDensity):
		return fmt.Errorf("density %v, want 0 to %d", float64(r.Density), plausible.GreatestDensity)
	case !(r.SD >= 0 && r.SD < 1):
		return fmt.Errorf("standard deviation %v, want 0 to 1", r.SD)
	}
	return nil
}

// checkInterval accepts an estimate whose ends are not known, or enclose it.
func checkInterval(what string, e sensito.Estimate) error {
	if math.IsNaN(e.Value) || math.IsInf(e.Value, 0) || e.Low > e.Value || e.High < e.Value || math.IsInf(e.Low, 0) {
		return fmt.Errorf("%s of %v with interval %v to %v", what, e.Value, e.Low, e.High)
	}
	return nil
}

// IndexData is the exposure index to set, and the development that goes with it.
type IndexData struct {
	Index       sensito.Estimate  // arithmetic
	From        string            // what it was found from, such as "bracket"
	Development *sensito.Estimate // in seconds
	Gradient    float64           // average gradient that the development gives; 0: not known
	Provenance  Provenance
}

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
	if err := checkText(d.From); err != nil {
		return err
	}
	return errors.Join(checkInterval("index", d.Index), d.Provenance.check())
}

// GrowthData is the development family: how the average gradient grows with time,
//
//	g(t) = Limit (1 - exp(-Rate (t - Induction)))
//
// and with the temperature of the bath, see [devtime.ContrastTime] and
// [devtime.TemperatureLaw].
type GrowthData struct {
	Limit             sensito.Estimate
	Rate              sensito.Estimate // per minute
	Induction         sensito.Estimate // minutes
	Shortest, Longest time.Duration    // of the strips that it was found from
	Q10               float64          // 0: not known
	Coldest, Warmest  devtime.Celsius  // for which Q10 holds; 0 with it
	Provenance        Provenance
}

func (d *GrowthData) law() (devtime.ContrastTime, error) {
	var none devtime.ContrastTime
	if err := errors.Join(d.Provenance.check(), checkInterval("limit", d.Limit), checkInterval("rate", d.Rate), checkInterval("induction", d.Induction)); err != nil {
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
	return devtime.NewContrastTime(d.Limit.Value, d.Rate.Value, time.Duration(math.Round(d.Induction.Value*float64(time.Minute))))
}

// SensitivityData is the spectral sensitivity as films are plotted: log10 of the
// relative sensitivity per unit of energy, any constant added, with straight lines
// between the wavelengths and nothing outside them.
type SensitivityData struct {
	Wavelengths []float64       // nm, increasing
	Log10       []float64       // one for each
	AboveFog    sensito.Density // the density that it was found at; 0: not known
	Provenance  Provenance
}

func (d *SensitivityData) sensitivity() (spectral.Sensitivity, error) {
	if err := d.Provenance.check(); err != nil {
		return spectral.Sensitivity{}, err
	}
	if !(d.AboveFog >= 0 && d.AboveFog <= plausible.GreatestDensity) {
		return spectral.Sensitivity{}, fmt.Errorf("density above fog of %v", float64(d.AboveFog))
	}
	return spectral.SensitivityFromLog(d.Wavelengths, d.Log10, spectral.LogLinear)
}

// ReciprocityData is a reciprocity law with the constants that it has, the others
// zero, the metered times for which it was found, and the tests behind it.
//
//	holds
//	power        Onset, P
//	smooth       P
//	additive     A, B
//	catenary     A, Optimum, Reference
//	hyperbola    A, Optimum, Reference
//	two-branch   Onset, P of the long branch; ShortOnset, ShortP
//	table        Readings; its range is that of the readings
//
// The laws are those of package reciprocity. Times of constants are in seconds.
type ReciprocityData struct {
	Law                string
	Onset, P           float64
	ShortOnset, ShortP float64
	A, B               float64
	Optimum, Reference float64
	Shortest, Longest  time.Duration
	Readings           []reciprocity.Reading // by rising metered time
	Provenance         Provenance
}

var lawNames = []string{"holds", "power", "smooth", "additive", "catenary", "hyperbola", "two-branch", "table"}

func (d *ReciprocityData) law() (reciprocity.Law, error) {
	if err := d.Provenance.check(); err != nil {
		return nil, err
	}
	var law reciprocity.Law
	var err error
	used := ReciprocityData{Law: d.Law}
	switch d.Law {
	case "holds":
		law = reciprocity.Holds{}
	case "power":
		used.Onset, used.P = d.Onset, d.P
		law, err = reciprocity.NewPower(d.Onset, d.P)
	case "smooth":
		used.P = d.P
		law, err = reciprocity.NewSmooth(d.P)
	case "additive":
		used.A, used.B = d.A, d.B
		law, err = reciprocity.NewAdditive(d.A, d.B)
	case "catenary", "hyperbola":
		used.A, used.Optimum, used.Reference = d.A, d.Optimum, d.Reference
		if law, err = reciprocity.NewCatenary(d.A, d.Optimum, d.Reference); d.Law == "hyperbola" {
			law, err = reciprocity.NewHyperbola(d.A, d.Optimum, d.Reference)
		}
	case "two-branch":
		used.Onset, used.P, used.ShortOnset, used.ShortP = d.Onset, d.P, d.ShortOnset, d.ShortP
		law, err = reciprocity.NewTwoBranch(reciprocity.Branch{Onset: d.ShortOnset, P: d.ShortP}, reciprocity.Branch{Onset: d.Onset, P: d.P})
	case "table":
		law, err = reciprocity.NewTable(d.Readings)
	default:
		return nil, fmt.Errorf("law %q, want one of %s", d.Law, figures.Quoted(lawNames))
	}
	if err != nil {
		return nil, err
	}
	if used.constants() != d.constants() {
		return nil, fmt.Errorf("constants that the law %q does not have", d.Law)
	}
	for i, r := range d.Readings {
		if !(r.Metered > 0 && r.Adjusted > 0 && r.SD >= 0) || i > 0 && !(r.Metered > d.Readings[i-1].Metered) {
			return nil, fmt.Errorf("test %d (metered %v, adjusted %v): want positive times in order of the metered one", i+1, r.Metered, r.Adjusted)
		}
	}
	if lo, hi := law.Domain(); d.Law == "table" && !(d.Shortest.Seconds() >= lo*(1-1e-9) && d.Longest.Seconds() <= hi*(1+1e-9)) {
		return nil, fmt.Errorf("range %v to %v beyond the table's rows, %v to %v", d.Shortest, d.Longest, figures.Seconds(lo), figures.Seconds(hi))
	}
	return reciprocity.Within(law, d.Shortest, d.Longest)
}

func (d *ReciprocityData) constants() [8]float64 {
	return [...]float64{d.Onset, d.P, d.ShortOnset, d.ShortP, d.A, d.B, d.Optimum, d.Reference}
}

func clonePtr[T any](p *T) *T {
	if p == nil {
		return nil
	}
	v := *p
	return &v
}

func (d FilmData) clone() FilmData {
	d.Processes = slices.Clone(d.Processes)
	for i := range d.Processes {
		d.Processes[i] = d.Processes[i].clone()
	}
	if d.Sensitivity = clonePtr(d.Sensitivity); d.Sensitivity != nil {
		d.Sensitivity.Wavelengths = slices.Clone(d.Sensitivity.Wavelengths)
		d.Sensitivity.Log10 = slices.Clone(d.Sensitivity.Log10)
	}
	if d.Reciprocity = clonePtr(d.Reciprocity); d.Reciprocity != nil {
		d.Reciprocity.Readings = slices.Clone(d.Reciprocity.Readings)
	}
	return d
}

func (d ProcessData) clone() ProcessData {
	d.Curves = slices.Clone(d.Curves)
	for i := range d.Curves {
		c := &d.Curves[i]
		c.Shape = clonePtr(c.Shape)
		c.Gradient = clonePtr(c.Gradient)
		c.Points, c.Readings, c.Unexposed = slices.Clone(c.Points), slices.Clone(c.Readings), slices.Clone(c.Unexposed)
	}
	if d.Index = clonePtr(d.Index); d.Index != nil {
		d.Index.Development = clonePtr(d.Index.Development)
	}
	d.Growth = clonePtr(d.Growth)
	return d
}
