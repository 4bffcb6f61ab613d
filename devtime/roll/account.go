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
	return FitRecord(f.Account())
}

// findings takes over what the fit of a strip found.
func (r *builder) findings(f *sensito.Fitted, s *Strip) {
	for _, x := range f.Findings() {
		out := Finding{What: x.What, Strips: []string{s.Name}, File: stripsFile, Line: s.FirstLine, Probability: x.Probability}
		where := ""
		if x.Step > 0 {
			at := x.LogH
			out.Step, out.LogH, out.Line = x.Step, &at, s.line(x.Step-1)
			where = fmt.Sprintf("step %d at log H %.2f", x.Step, float64(at))
		}
		if e := x.Effect; e != nil {
			out.Effect = &Effect{e.Measure, e.With, e.Without}
		}
		switch x.What {
		case sensito.FindWild:
			out.Text = fmt.Sprintf("In strip %s %s does not go with the others: it is off by %+.3f, and counts for little.", s.Name, where, float64(x.Shift))
			if x.Probability < 0.5 {
				out.Text = fmt.Sprintf("In strip %s one reading does not go with the others, perhaps %s, which would be off by %+.3f.", s.Name, where, float64(x.Shift))
			}
		case sensito.FindLeak:
			out.Text = fmt.Sprintf("In strip %s the least exposed steps up to %s are raised by about %.3f, as by stray light; the curve goes without them.", s.Name, where, float64(x.Shift))
		case sensito.FindForm:
			at := x.LogH
			out.LogH = &at
			out.Text = fmt.Sprintf("The curve of strip %s is not of the closed form, most of all at log H %.2f; its intervals know.", s.Name, float64(at))
		case sensito.FindDrift:
			out.Text = fmt.Sprintf("Neighbouring readings of strip %s err together, as by uneven development or a drifting densitometer; the intervals were widened. A second strip helps more than finer steps.", s.Name)
		case sensito.FindNoise:
			out.Text = fmt.Sprintf("The readings of strip %s scatter %.1f times as much about the curve as their standard deviations say; the intervals were widened.", s.Name, f.Scatter())
		default:
			out.Text = fmt.Sprintf("Strip %s: %v.", s.Name, x)
		}
		r.find(out)
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
