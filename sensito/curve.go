package sensito

import "example.org/actinic/internal/check"

// Curve is a characteristic curve: density against log exposure for one film,
// process and light. [ClosedForm], [*Interpolated] and [*Fitted] are curves, and so is
// anything of yours with these methods.
//
// Density and Slope answer inside the domain only; outside it they return an
// error that wraps [ErrOutside] (the ends are meant to 1e-9, so that a sum that
// should fall on one does). LogH is the inverse: the exposure that gives a
// density, an error that wraps [ErrNotReached] when no exposure in the domain
// does. Densities include base plus fog; Slope is dD/dlog10 H.
type Curve interface {
	Density(LogH) (Density, error)
	Slope(LogH) (float64, error)
	LogH(Density) (LogH, error)
	Domain() (lo, hi LogH)
	BaseFog() Density
}

// Errors that callers may want to tell apart with errors.Is.
var (
	// ErrInput marks input that no law can use: not finite, negative where
	// that has no meaning, empty, out of order.
	ErrInput = check.Sentinel("sensito: unusable input")
	// ErrOutside marks a question beyond the exposures of the readings.
	ErrOutside = check.Sentinel("sensito: outside the exposures of the curve")
	// ErrNotReached marks a density, slope or condition that the curve does
	// not reach within its exposures.
	ErrNotReached = check.Sentinel("sensito: not reached by the curve")
	// ErrFalls marks readings whose density falls as exposure rises, so that
	// a density may belong to several exposures.
	ErrFalls = check.Sentinel("sensito: density falls as exposure rises")
	// ErrRange marks a constant outside the range its standard gives.
	ErrRange = check.Sentinel("sensito: outside the standard's range")
	// ErrSyntax marks text that cannot be read as the quantity asked for.
	ErrSyntax = check.Sentinel("sensito: cannot read")
)
