package spectral

import (
	"fmt"

	"example.org/actinic/internal/check"
)

var (
	// ErrInvalid is wrapped by every error about data that cannot be what it
	// is said to be: not finite, not increasing, negative, in another unit.
	ErrInvalid = check.Sentinel("spectral: invalid data")

	// ErrOutside is wrapped when a spectrum is asked for a value outside its
	// wavelengths and was not told what to be there.
	ErrOutside = check.Sentinel("spectral: outside the tabulated wavelengths")

	// ErrDisjoint is wrapped when spectra to be multiplied share no
	// wavelength, so that the integral would be zero by accident.
	ErrDisjoint = check.Sentinel("spectral: wavelength ranges do not overlap")

	// ErrTemperature is wrapped when a colour temperature is outside the range
	// of its formula, or when a light has none.
	ErrTemperature = check.Sentinel("spectral: no such colour temperature")
)

func invalid(format string, a ...any) error {
	return fmt.Errorf("%w: %s", ErrInvalid, fmt.Sprintf(format, a...))
}
