package actinic

import (
	"maps"
	"slices"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
)

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

// IndexData is the exposure index to set, and the development that goes with it.
type IndexData struct {
	Index       sensito.Estimate  // arithmetic
	From        string            // what it was found from, such as "bracket"
	Development *sensito.Estimate // in seconds
	Gradient    float64           // average gradient that the development gives; 0: not known
	Provenance  Provenance
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

// SensitivityData is the spectral sensitivity as films are plotted: log10 of the
// relative sensitivity per unit of energy, any constant added, with straight lines
// between the wavelengths and nothing outside them.
type SensitivityData struct {
	Wavelengths []float64       // nm, increasing
	Log10       []float64       // one for each
	AboveFog    sensito.Density // the density that it was found at; 0: not known
	Provenance  Provenance
}

// ReciprocityData is a reciprocity law with its constants, the metered times for which it
// was found, and the tests behind it as the readings of the form, by rising metered time;
// the readings of a law that is a table are the table. [reciprocity.Forms] lists the laws
// and their constants, [reciprocity.FormOf] makes the form of a law, and
// [Film.WithReciprocity] that of a fit.
type ReciprocityData struct {
	Form       reciprocity.Form
	Provenance Provenance
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
		d.Reciprocity.Form.Constants = maps.Clone(d.Reciprocity.Form.Constants)
		d.Reciprocity.Form.Readings = slices.Clone(d.Reciprocity.Form.Readings)
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
