package filters

import (
	"math"

	"example.org/actinic/internal/lsq"
	"example.org/actinic/spectral"
)

// Widened returns the reading with the uncertainty of its filter's spectrum in the
// deviation,
//
//	SD² + (deviation of ln F / ln 10)²
//
// by [FactorWithin] for a film that is about like the one read, in the light of the
// readings. It is right for filters measured each by itself: what they share, such as
// the wavelengths of one instrument, and errors of the light, are in all readings alike
// and in no interval. Errors are those of FactorWithin.
func (q SpeedReading) Widened(film spectral.Sensitivity, light spectral.Light, sd Deviation) (SpeedReading, error) {
	f, err := FactorWithin(film, light, q.Filter, Deviations{Filter: sd})
	if err != nil {
		return SpeedReading{}, err
	}
	q.SD = math.Hypot(q.SD, math.Log(f.High/f.Low)/2/lsq.Normal95/math.Ln10)
	if err := q.check(0); err != nil {
		return SpeedReading{}, err
	}
	return q, nil
}
