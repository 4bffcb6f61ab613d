package sensito

import (
	"encoding/json"
	"fmt"
	"math"

	"example.org/actinic/internal/check"
)

// Constants are those of a [ClosedForm]: of a toe, a straight part and, if there is
// one, a shoulder.
//
// Densities of the shoulder are above base plus fog.
type Constants struct {
	BaseFog   Density `json:"base_fog"`            // density far below the toe
	Gamma     float64 `json:"gamma"`               // slope of the straight part, dD/dlog10 H
	Toe       LogH    `json:"toe_log_h"`           // where the straight part, carried down, meets base plus fog
	ToeWidth  float64 `json:"toe_width"`           // how wide the toe is, in log10 H
	Shoulder  Density `json:"shoulder,omitempty"`  // density at which the curve levels off, above base plus fog; 0 for a film without shoulder
	Sharpness float64 `json:"sharpness,omitempty"` // how sharply it does so: 1 and more; 0 with Shoulder 0
	From      LogH    `json:"from_log_h"`          // first exposure for which the curve is meant
	To        LogH    `json:"to_log_h"`            // and the last; both 0 for no bound
}

// ClosedForm is a characteristic curve in closed form,
//
//	u = Gamma w ln(1 + e^((x - Toe)/w))          x = log10 H, w = ToeWidth
//	D = BaseFog + u [1 + (u/M)^k]^(-1/k)         M = Shoulder, k = Sharpness
//
// Without a shoulder D = BaseFog + u. With k = 1 the whole curve bends over, with
// k = 10 it is straight almost up to M.
// The curve rises throughout, its slope is at most Gamma, and both directions
// are closed expressions. It is not an emulsion theory: it is a smooth shape
// with a toe and a shoulder of independent sharpness that real curves follow to
// about the error of a densitometer.
//
// Source: worked out here; no published text holds it.
type ClosedForm struct{ constants Constants }

// NewClosedForm checks the constants and returns the curve. It returns an error that
// wraps [ErrInput] if one is not finite, a gamma or width is not positive, or
// the bounds are not in order.
func NewClosedForm(s Constants) (*ClosedForm, error) {
	for _, v := range []float64{float64(s.BaseFog), s.Gamma, float64(s.Toe), s.ToeWidth, float64(s.Shoulder), s.Sharpness,
		float64(s.From), float64(s.To)} {
		if !check.Finite(v) {
			return nil, check.Errorf(ErrInput, "a constant of the curve is %v", v)
		}
	}
	switch {
	case !(s.BaseFog >= 0):
		return nil, check.Errorf(ErrInput, "base plus fog is %v, want 0 or more", s.BaseFog)
	case !(s.Gamma > 0):
		return nil, check.Errorf(ErrInput, "gamma is %v, want more than 0", s.Gamma)
	case !(s.ToeWidth > 0):
		return nil, check.Errorf(ErrInput, "toe width is %v, want more than 0", s.ToeWidth)
	case s.Shoulder == 0 && s.Sharpness != 0, !(s.Shoulder >= 0):
		return nil, check.Errorf(ErrInput, "shoulder at %v with sharpness %v; both 0 for none", s.Shoulder, s.Sharpness)
	case s.Shoulder > 0 && !(s.Sharpness >= 1 && s.Sharpness <= 100):
		return nil, check.Errorf(ErrInput, "shoulder sharpness is %v, want 1 to 100", s.Sharpness)
	case s.From > s.To, s.From == s.To && s.From != 0:
		return nil, check.Errorf(ErrInput, "bounds %v to %v are not in order", s.From, s.To)
	}
	return &ClosedForm{s}, nil
}

// Constants returns the constants.
func (f *ClosedForm) Constants() Constants {
	if f == nil {
		return Constants{}
	}
	return f.constants
}

// empty reports whether there is no curve: nil, or the zero value.
func (f *ClosedForm) empty() bool { return f == nil || !(f.constants.Gamma > 0) }

// MarshalJSON writes the constants; an empty form is an error.
func (f *ClosedForm) MarshalJSON() ([]byte, error) {
	if f.empty() {
		return nil, errEmpty
	}
	return json.Marshal(f.constants)
}

// UnmarshalJSON reads what MarshalJSON writes and checks it as [NewClosedForm] does.
func (f *ClosedForm) UnmarshalJSON(b []byte) error {
	var c Constants
	if err := json.Unmarshal(b, &c); err != nil {
		return err
	}
	g, err := NewClosedForm(c)
	if err != nil {
		return err
	}
	*f = *g
	return nil
}

// BaseFog returns base plus fog, NaN for an empty form.
func (f *ClosedForm) BaseFog() Density {
	if f.empty() {
		return Density(math.NaN())
	}
	return f.constants.BaseFog
}

// Domain returns the exposures for which the curve is meant; -Inf and +Inf where
// no bound was given.
func (f *ClosedForm) Domain() (lo, hi LogH) {
	if f.empty() {
		return LogH(math.NaN()), LogH(math.NaN())
	}
	if f.constants.From == f.constants.To {
		return LogH(math.Inf(-1)), LogH(math.Inf(1))
	}
	return f.constants.From, f.constants.To
}

func (f *ClosedForm) inside(x LogH) error {
	if f.empty() {
		return errEmpty
	}
	lo, hi := f.Domain()
	if !(x >= lo-sameExposure && x <= hi+sameExposure) || math.IsInf(float64(x), 0) {
		return outside(x, lo, hi)
	}
	return nil
}

func outside(x, lo, hi LogH) error {
	return check.Errorf(ErrOutside, "log H %.3f is not within %.3f to %.3f", float64(x), float64(lo), float64(hi))
}

// Density returns the density at x.
func (f *ClosedForm) Density(x LogH) (Density, error) {
	if err := f.inside(x); err != nil {
		return 0, err
	}
	return f.density(x), nil
}

func (f *ClosedForm) density(x LogH) Density {
	s := &f.constants
	u := s.Gamma * s.ToeWidth * softplus(float64(x-s.Toe)/s.ToeWidth)
	if s.Shoulder > 0 {
		u *= math.Exp(-math.Log1p(raise(u/float64(s.Shoulder), s.Sharpness)) / s.Sharpness)
	}
	return s.BaseFog + Density(u)
}

// Slope returns dD/dlog10 H at x.
func (f *ClosedForm) Slope(x LogH) (float64, error) {
	if err := f.inside(x); err != nil {
		return 0, err
	}
	return f.slope(x), nil
}

func (f *ClosedForm) slope(x LogH) float64 {
	s := &f.constants
	sp, lo := toe(float64(x-s.Toe) / s.ToeWidth)
	g := s.Gamma * lo
	if s.Shoulder > 0 {
		q := math.Log1p(raise(s.Gamma*s.ToeWidth*sp/float64(s.Shoulder), s.Sharpness))
		g *= math.Exp(-q * (1 + 1/s.Sharpness))
	}
	return g
}

// LogH returns the exposure that gives density d, by the closed inverse.
func (f *ClosedForm) LogH(d Density) (LogH, error) {
	if f.empty() {
		return 0, errEmpty
	}
	s := &f.constants
	u := float64(d - s.BaseFog)
	if !(u > 0) {
		return 0, check.Errorf(ErrNotReached, "density %.3f is not above base plus fog %.3f", float64(d), float64(s.BaseFog))
	}
	if s.Shoulder > 0 {
		r := u / float64(s.Shoulder)
		if !(r < 1) {
			return 0, check.Errorf(ErrNotReached, "density %.3f is not below the greatest density %.3f", float64(d),
				float64(s.BaseFog+s.Shoulder))
		}
		u *= math.Exp(-math.Log1p(-raise(r, s.Sharpness)) / s.Sharpness)
	}
	x := s.Toe + LogH(s.ToeWidth*logExpm1(u/(s.Gamma*s.ToeWidth)))
	lo, hi := f.Domain()
	if !(x >= lo-sameExposure && x <= hi+sameExposure) {
		return 0, notReached(f, d)
	}
	return x, nil
}

// notReached says which end of a curve is missing for density d.
func notReached(c Curve, d Density) error {
	lo, hi := c.Domain()
	if dl, err := c.Density(lo); err == nil && d < dl {
		return check.Errorf(ErrNotReached,
			"density %.3f lies below the first step: the curve starts at log H %.3f with density %.3f; expose further steps with less light", float64(d), float64(lo), float64(dl))
	}
	dh, _ := c.Density(hi)
	return check.Errorf(ErrNotReached,
		"density %.3f lies above the last step: the curve ends at log H %.3f with density %.3f; expose further steps with more light", float64(d), float64(hi), float64(dh))
}

// String prints the constants.
func (f *ClosedForm) String() string {
	if f.empty() {
		return "no curve"
	}
	s := f.constants
	t := fmt.Sprintf("base plus fog %.3f, gamma %.3f, toe at log H %.3f width %.3f", float64(s.BaseFog), s.Gamma,
		float64(s.Toe), s.ToeWidth)
	if s.Shoulder > 0 {
		t += fmt.Sprintf(", shoulder at %.3f above base plus fog, sharpness %.2f", float64(s.Shoulder), s.Sharpness)
	}
	return t
}

// softplus returns ln(1 + e^x) without overflow.
func softplus(x float64) float64 {
	if x > 0 {
		return x + math.Log1p(math.Exp(-x))
	}
	return math.Log1p(math.Exp(x))
}

// toe returns softplus(z) and its slope 1/(1 + e^-z).
func toe(z float64) (sp, slope float64) {
	e := math.Exp(-math.Abs(z))
	if z > 0 {
		return z + math.Log1p(e), 1 / (1 + e)
	}
	return math.Log1p(e), e / (1 + e)
}

// raise returns x^k for x >= 0 and k > 0; quicker than math.Pow, which keeps the
// last digit.
func raise(x, k float64) float64 { return math.Exp(k * math.Log(x)) }

// logExpm1 returns ln(e^x - 1) for x > 0, the inverse of softplus.
func logExpm1(x float64) float64 {
	if x > 1 {
		return x + math.Log1p(-math.Exp(-x))
	}
	return math.Log(math.Expm1(x))
}
