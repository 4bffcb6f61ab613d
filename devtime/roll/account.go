package roll

import (
	"fmt"
	"math"

	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
)

// FitRecord is a fit's account of itself.
type FitRecord struct {
	// Form is the likeliest form of the curve, and Weights the probabilities of all.
	Form    string             `json:"form"`
	Weights map[string]float64 `json:"weights"`
	// ChiSquare is the weighted sum of squared residuals where the readings came with
	// standard deviations, and Scatter the standard deviation of a reading found from
	// the fit where they did not.
	ChiSquare        *float64 `json:"chi_square,omitempty"`
	Scatter          *float64 `json:"scatter,omitempty"`
	DegreesOfFreedom float64  `json:"degrees_of_freedom"`
	// Residuals are the densities read less those of the curve, in the order of the
	// readings, and UnexposedResiduals those of base plus fog.
	Residuals          []sensito.Density `json:"residuals"`
	UnexposedResiduals []sensito.Density `json:"unexposed_residuals,omitempty"`
}

// accountOf makes the account of a fit.
func accountOf(f *sensito.Fitted, s *Strip) FitRecord {
	shape := f.Shape()
	a := FitRecord{Form: "closed form", Weights: map[string]float64{"closed form": 1}, DegreesOfFreedom: float64(len(s.Readings) + len(s.Unexposed) - 4)}
	if shape.Shoulder > 0 {
		a.DegreesOfFreedom -= 2
	}
	x := f.Scatter()
	if hasSD(s.Readings) {
		chi := x * x * a.DegreesOfFreedom
		a.ChiSquare = &chi
	} else {
		a.Scatter = &x
	}
	for _, r := range s.Readings {
		d, err := f.Density(r.LogH)
		if err != nil {
			d = sensito.Density(math.NaN())
		}
		a.Residuals = append(a.Residuals, r.Density-d)
	}
	for _, d := range s.Unexposed {
		a.UnexposedResiduals = append(a.UnexposedResiduals, d-f.BaseFog())
	}
	return a
}

// findings takes over what the fit of a strip found.
func (r *builder) findings(f *sensito.Fitted, s *Strip) {
	if x := f.Scatter(); hasSD(s.Readings) && x > 2 {
		r.find(Finding{What: Noise, Strips: []string{s.Name}, File: stripsFile, Line: s.FirstLine,
			Text: fmt.Sprintf("The readings of strip %s scatter %.1f times as much about the curve as their standard deviations say; the intervals were widened.", s.Name, x)})
	}
}

// find adds a finding.
func (r *builder) find(f Finding) {
	if f.Strips == nil {
		f.Strips = []string{}
	}
	if f.Line == 0 {
		f.File = ""
	}
	r.Findings = append(r.Findings, f)
}

// sd returns the standard deviation behind a 95 % interval, 0 where not known.
func sd(e sensito.Estimate) float64 {
	if w := (e.High - e.Low) / (2 * lsq.Normal95); w > 0 && !math.IsInf(w, 0) {
		return w
	}
	return 0
}
