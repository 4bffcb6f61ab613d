package spectral

import (
	"errors"
	"fmt"
)

var (
	// ErrInvalid is wrapped by every error about data that cannot be what it
	// is said to be: not finite, not increasing, negative, in another unit.
	ErrInvalid = errors.New("spectral: invalid data")

	// ErrOutside is wrapped when a spectrum is asked for a value outside its
	// wavelengths and was not told what to be there.
	ErrOutside = errors.New("spectral: outside the tabulated wavelengths")

	// ErrDisjoint is wrapped when spectra to be multiplied share no
	// wavelength, so that the integral would be zero by accident.
	ErrDisjoint = errors.New("spectral: wavelength ranges do not overlap")

	// ErrTemperature is wrapped when a colour temperature is outside the range
	// of its formula, or when a light has none.
	ErrTemperature = errors.New("spectral: no such colour temperature")
)

func invalid(format string, a ...any) error {
	return fmt.Errorf("%w: %s", ErrInvalid, fmt.Sprintf(format, a...))
}
