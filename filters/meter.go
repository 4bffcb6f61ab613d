package filters

import (
	"fmt"

	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// MeterError returns the error of an exposure read by a meter through the filter
// and followed without correction,
//
//	log2(F of the meter / F of the film)
//
// positive for overexposure: the meter lost more than the film. [spectral.Eye] is
// the ideal meter, [Silicon] and [FilteredSilicon] invented typical cells, and a
// person's own response goes through [spectral.SensitivityFromLinear]. A cell that sees
// the infrared is fooled by filters that pass it. A linear polarizer before a
// meter with a beam splitter is beyond this law.
func MeterError(film, meter spectral.Sensitivity, light spectral.Light, f Filter) (sensito.Stops, error) {
	a, err := Factor(film, light, f)
	if err != nil {
		return 0, err
	}
	b, err := Factor(meter, light, f)
	if err != nil {
		return 0, fmt.Errorf("the meter: %w", err)
	}
	return sensito.StopsOf(b) - sensito.StopsOf(a), nil
}

// Silicon returns an invented typical response of a bare silicon photodiode, 350
// to 1100 nm, in A/W.
func Silicon() spectral.Sensitivity {
	s, err := spectral.New(
		[]float64{350, 400, 450, 500, 550, 600, 650, 700, 750, 800, 850, 900, 950, 1000, 1050, 1100},
		[]float64{.10, .19, .27, .33, .38, .42, .46, .49, .52, .55, .58, .60, .61, .55, .30, .10}, spectral.Zero)
	if err != nil {
		panic(err)
	}
	r, err := spectral.SensitivityFromLinear(s)
	if err != nil {
		panic(err)
	}
	return r
}

// FilteredSilicon returns [Silicon] behind an invented infrared cut at 690 nm.
func FilteredSilicon() spectral.Sensitivity {
	cut, err := ShortPass(690, 26.4, 1)
	if err != nil {
		panic(err)
	}
	r, err := Silicon().Through(cut.parts...)
	if err != nil {
		panic(err)
	}
	return r
}
