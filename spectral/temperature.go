package spectral

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Kelvin is a colour temperature in kelvin.
type Kelvin float64

// Mired is a reciprocal colour temperature in 1/MK. Differences of it are what
// a conversion filter adds, whatever the light it is used on, to about the
// accuracy of a Planckian light.
type Mired float64

// Mired returns 10^6 divided by the temperature. Special cases: 0 gives +Inf.
func (t Kelvin) Mired() Mired { return Mired(1e6 / t) }

// Kelvin returns 10^6 divided by the mired value. Special cases: 0 gives +Inf.
func (m Mired) Kelvin() Kelvin { return Kelvin(1e6 / m) }

// MiredShift returns the reciprocal temperature of to less that of from: the
// value of the filter that turns one into the other, negative for a bluish one.
func MiredShift(from, to Kelvin) Mired { return to.Mired() - from.Mired() }

// String prints the temperature as "5500 K".
func (t Kelvin) String() string { return strconv.FormatFloat(float64(t), 'g', -1, 64) + " K" }

// String prints the value as "182 mired".
func (m Mired) String() string { return strconv.FormatFloat(float64(m), 'g', -1, 64) + " mired" }

// ParseKelvin reads a colour temperature: a positive number with or without
// its K, such as "5500 K" or "3200K". Errors wrap [ErrTemperature].
func ParseKelvin(text string) (Kelvin, error) {
	s := strings.TrimSpace(text)
	s = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(s, "K"), "k"))
	t, err := strconv.ParseFloat(s, 64)
	if err != nil || !(t > 0 && t < math.Inf(1)) {
		return 0, fmt.Errorf("%w: %q, write it as 5500 K", ErrTemperature, text)
	}
	return Kelvin(t), nil
}
