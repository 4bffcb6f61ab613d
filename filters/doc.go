// Package filters says what a filter does to a film: the factor, the meter's
// error behind it, the tones of the subject, and which filter sets two of them
// apart.
//
// The factor of a filter belongs to a film and a light,
//
//	F = ∫ E S dλ / ∫ E S T dλ
//
// with light E, sensitivity S and transmittance T of package spectral, each on
// the grid it was measured on; the integrals are exact for the straight lines
// between the knots. A factor is at least 1. Factors multiply only when all but
// one of the filters are neutral: a [Stack] of coloured filters multiplies
// transmittances, and its factor can be a stop or five away from the product.
//
// What the spectra leave uncertain is said too: [FactorWithin] has the interval that
// noise, zero line, 100 % line and wavelength errors leave, [FactorInfluence] where in
// the spectrum they count, [Doubts] what a table that was cut short may do.
//
// The package also works backwards, from exposures through a set of filters to
// the sensitivity of the film, with a statement of what the set cannot tell
// ([Recover]), and says beforehand which filters to take ([PlanReadings]).
//
// It does not model flare, the light scattered between stacked filters, the
// polarization of the subject, or a focus that moves with colour. The filter of a
// camera is no eye protection: never look at the sun through any filter made for
// photography, through a lens with one, or through a viewfinder behind one,
// whatever its density. What a filter passes beyond the visible cannot be seen
// and burns the eye.
//
// Source of the factor: see [Factor].
package filters
