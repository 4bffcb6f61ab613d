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
	Name        string           `json:"name"`
	Description string           `json:"description,omitempty"`
	Provenance  Provenance       `json:"provenance"` // of the identity
	Processes   []ProcessData    `json:"processes,omitempty"`
	Sensitivity *SensitivityData `json:"sensitivity,omitempty"`
	Reciprocity *ReciprocityData `json:"reciprocity,omitempty"`
}

// ProcessData is what is known of a film in one process.
type ProcessData struct {
	Name        string          `json:"name"` // one process of the film
	Developer   string          `json:"developer,omitempty"`
	Dilution    string          `json:"dilution,omitempty"`         // parts of stock and water, "1+31" or "stock"
	Temperature devtime.Celsius `json:"temperature_degc,omitempty"` // 0: not known
	Agitation   string          `json:"agitation,omitempty"`
	Light       string          `json:"light,omitempty"` // that the strips were exposed to, and how long
	Provenance  Provenance      `json:"provenance"`
	Curves      []CurveData     `json:"curves,omitempty"` // sorted by development by NewFilm
	Index       *IndexData      `json:"index,omitempty"`
	Growth      *GrowthData     `json:"growth,omitempty"`

	Granularity *GranularityData `json:"granularity,omitempty"`
	Response    *ResponseData    `json:"response,omitempty"`

	Test     *TestData     `json:"test,omitempty"`     // who tested, when and with what; nil: not known
	Findings []FindingData `json:"findings,omitempty"` // about the readings
}

// CurveData is one developed strip: its curve as the constants of the closed form
// or as points, and what was read off.
type CurveData struct {
	Name        string             `json:"name"` // one curve of the process
	Development time.Duration      `json:"-"`
	BaseFog     sensito.Density    `json:"base_fog"`
	Shape       *sensito.Constants `json:"constants,omitempty"` // with bounds, and BaseFog as above; or else
	Points      []sensito.Reading  `json:"points,omitempty"`    // points of rising exposure whose density does not fall
	Speed       sensito.Speed      `json:"speed"`               // zero: not known
	SpeedLow    float64            `json:"speed_low,omitempty"` // 95 % interval; 0: not known
	SpeedHigh   float64            `json:"speed_high,omitempty"`
	Gradient    *sensito.Estimate  `json:"average_gradient,omitempty"` // average gradient
	Readings    []sensito.Reading  `json:"readings,omitempty"`         // what the curve was made from, if it is known
	Unexposed   []sensito.Density  `json:"unexposed,omitempty"`        // readings of patches that got no light
	Provenance  Provenance         `json:"provenance"`
}

// IndexData is the exposure index to set, and the development that goes with it.
type IndexData struct {
	Index       sensito.Estimate  `json:"index"`                      // arithmetic
	From        string            `json:"from,omitempty"`             // what it was found from, such as "bracket"
	Development *sensito.Estimate `json:"development,omitempty"`      // in seconds
	Gradient    float64           `json:"average_gradient,omitempty"` // average gradient that the development gives; 0: not known
	Provenance  Provenance        `json:"provenance"`
}

// GrowthData is the development family: how the average gradient grows with time,
//
//	g(t) = Limit (1 - exp(-Rate (t - Induction)))
//
// and with the temperature of the bath, see [devtime.ContrastTime] and
// [devtime.TemperatureLaw].
//
// Source: as for [devtime.ContrastTime].
type GrowthData struct {
	Limit      sensito.Estimate `json:"limit"`
	Rate       sensito.Estimate `json:"rate_per_min"`  // per minute
	Induction  sensito.Estimate `json:"induction_min"` // minutes
	Shortest   time.Duration    `json:"-"`             // of the strips that it was found from
	Longest    time.Duration    `json:"-"`
	Q10        float64          `json:"q10,omitempty"`          // 0: not known
	Coldest    devtime.Celsius  `json:"coldest_degc,omitempty"` // for which Q10 holds; 0 with it
	Warmest    devtime.Celsius  `json:"warmest_degc,omitempty"`
	Provenance Provenance       `json:"provenance"`
}

// SensitivityData is the spectral sensitivity as films are plotted: log10 of the
// relative sensitivity per unit of energy, any constant added, with straight lines
// between the wavelengths and nothing outside them.
type SensitivityData struct {
	Wavelengths []float64       `json:"wavelength_nm"`                  // nm, increasing
	Log10       []float64       `json:"log10_sensitivity"`              // one for each
	SD          []float64       `json:"log10_sensitivity_sd,omitempty"` // standard deviations, one for each, 0 where not known; or none
	AboveFog    sensito.Density `json:"density_above_fog,omitempty"`    // the density that it was found at; 0: not known
	Provenance  Provenance      `json:"provenance"`
}

// ReciprocityData is a reciprocity law with its constants, the metered times for which it
// was found, and the tests behind it as the readings of the form, by rising metered time;
// the readings of a law that is a table are the table. [reciprocity.Forms] lists the laws
// and their constants, [reciprocity.FormOf] makes the form of a law, and
// [Film.WithReciprocity] that of a fit.
type ReciprocityData struct {
	Form       reciprocity.Form `json:"law"`
	Provenance Provenance       `json:"provenance"`
}

// clonePtr copies what a pointer points to, so that no two films share it.
func clonePtr[T any](p *T) *T {
	if p == nil {
		return nil
	}
	v := *p
	return &v
}

// clone copies all that a film is made of: films are immutable, and so is what they give.
func (d FilmData) clone() FilmData {
	d.Processes = slices.Clone(d.Processes)
	for i := range d.Processes {
		d.Processes[i] = d.Processes[i].clone()
	}
	if d.Sensitivity = clonePtr(d.Sensitivity); d.Sensitivity != nil {
		d.Sensitivity.Wavelengths = slices.Clone(d.Sensitivity.Wavelengths)
		d.Sensitivity.Log10 = slices.Clone(d.Sensitivity.Log10)
		d.Sensitivity.SD = slices.Clone(d.Sensitivity.SD)
	}
	if d.Reciprocity = clonePtr(d.Reciprocity); d.Reciprocity != nil {
		d.Reciprocity.Form.Constants = maps.Clone(d.Reciprocity.Form.Constants)
		d.Reciprocity.Form.Readings = slices.Clone(d.Reciprocity.Form.Readings)
	}
	return d
}

// clone copies all that a process is made of.
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
	d.Test, d.Findings = clonePtr(d.Test), slices.Clone(d.Findings)
	d.Granularity, d.Response = d.Granularity.clone(), d.Response.clone()
	return d
}
