package sensito

import (
	"math"

	"example.org/actinic/internal/filmfit"
)

// The forms of a curve, as an [Account] names them.
const (
	FormClosed    = "closed form"
	FormHyperbola = "1/x toe"
	FormGaussian  = "Gaussian toe"
	FormCubic     = "1/x³ toe"
	FormDeparture = "smooth departure"
)

// Account is a fit's account of itself.
type Account struct {
	// Form is [FormDeparture] where the readings show that the film is of no closed form,
	// and otherwise the likeliest of [FormClosed] and the closed forms with another toe:
	// [FormHyperbola] fades as 1/x, [FormCubic] as 1/x³, [FormGaussian] as a normal
	// distribution. Weights are the probabilities of all five; that of a departure, which
	// readings can hardly exclude, is seldom small.
	Form    string             `json:"form"`
	Weights map[string]float64 `json:"weights"`
	// ChiSquare is the weighted sum of squared residuals about the likeliest curve,
	// where the readings came with standard deviations, and nil otherwise; Scatter is
	// the standard deviation of a reading found from the fit where they did not.
	ChiSquare *float64 `json:"chi_square,omitempty"`
	Scatter   *float64 `json:"scatter,omitempty"`
	// DegreesOfFreedom is the number of readings, unexposed ones included, less the
	// effective number of constants; it need not be whole.
	DegreesOfFreedom float64 `json:"degrees_of_freedom"`
	// Residuals are the densities read less those of the mean curve, in the order in
	// which the readings were given, and UnexposedResiduals those of base plus fog.
	Residuals          []Density `json:"residuals"`
	UnexposedResiduals []Density `json:"unexposed_residuals,omitempty"`
}

// Account returns the fit's account of itself.
func (f *Fitted) Account() Account {
	if f == nil {
		return Account{}
	}
	a := f.account
	a.Residuals = append([]Density(nil), a.Residuals...)
	a.Weights = make(map[string]float64, len(f.account.Weights))
	for k, v := range f.account.Weights {
		a.Weights[k] = v
	}
	return a
}

// notable is the departure from which a curve is not of the closed form; the fit has
// departures of 0.02 and of 0.5 and more.
const notable = 0.05

func formOf(p *filmfit.Part) string {
	switch {
	case p.Departure > notable:
		return FormDeparture
	}
	return toeForms[p.Toe]
}

// toeForms are the names of the forms that differ in their toe.
var toeForms = [...]string{filmfit.Exponential: FormClosed, filmfit.Hyperbolic: FormHyperbola, filmfit.Gaussian: FormGaussian, filmfit.Cubic: FormCubic}

// toe is the probability of a toe's law, whatever the departure.
func (f *Fitted) toe(law filmfit.Toe) float64 {
	sum := 0.0
	for i := range f.weighed.Parts {
		if p := &f.weighed.Parts[i]; p.Toe == law {
			sum += p.Weight
		}
	}
	return sum
}

// tell fills the account.
func (f *Fitted) tell() {
	h := f.weighed.Heaviest()
	a := &f.account
	a.Weights = map[string]float64{FormClosed: 0, FormHyperbola: 0, FormGaussian: 0, FormCubic: 0, FormDeparture: 0}
	for i := range f.weighed.Parts {
		p := &f.weighed.Parts[i]
		a.Weights[formOf(p)] += p.Weight
	}
	a.Form = FormDeparture
	if !(f.weighed.Departure > departureFound) {
		likeliest := filmfit.Exponential
		for law := range filmfit.Toes {
			if f.toe(law) > f.toe(likeliest) {
				likeliest = law
			}
		}
		a.Form = toeForms[likeliest]
	}
	a.DegreesOfFreedom = f.freedom(h)
	if f.data.Known {
		chi := h.ChiSquare * h.Noise * h.Noise
		a.ChiSquare = &chi
	} else {
		sd := h.Noise
		a.Scatter = &sd
	}
	for _, r := range f.given {
		d, _ := f.Density(r.LogH)
		a.Residuals = append(a.Residuals, r.Density-d)
	}
	if !f.data.Held {
		for _, b := range f.data.Base {
			a.UnexposedResiduals = append(a.UnexposedResiduals, Density(b)-f.BaseFog())
		}
	}
}

// Scatter returns the root mean square of the residuals per degree of freedom: in
// densities where the readings came without standard deviations, in units of those
// otherwise, where it is about 1 if they are right.
func (f *Fitted) Scatter() float64 {
	switch {
	case f == nil:
		return math.NaN()
	case f.account.ChiSquare != nil:
		return math.Sqrt(*f.account.ChiSquare / f.account.DegreesOfFreedom)
	case f.account.Scatter != nil:
		return *f.account.Scatter
	}
	return math.NaN()
}
