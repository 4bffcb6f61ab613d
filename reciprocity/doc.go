// Package reciprocity holds the laws by which film departs from H = E t: how
// much longer, or how much wider open, a very long or very short exposure must
// be than the meter says.
//
// A [Law] turns the metered time into the time that gives the metered density,
// and back. [Correct] answers in both currencies, because they differ: at a
// wider aperture the film is exposed for the metered time, while a longer time
// fails further, so the stops by time are more than the stops by aperture.
// [Fit] finds a law from test exposures and [Choose] picks among laws; what they
// find predicts with an interval, both ways. There are no constants for films
// here; they come from the user's own tests.
//
// Times are in seconds in the laws, [time.Duration] elsewhere. A law is stated
// or fitted in a range of metered times. Beyond it every law, a table and a film
// that is [Untested] go on alike: the result is marked and has bounds that part
// with the distance, see [Correct].
//
// A law is published and stored as a [Form]: a word, constants by name, a range.
// [Forms] lists them, and [ParseLaw] reads a law from text.
//
// Order: filter factor and bellows first, reciprocity on the time that comes
// out. The exposure of each flash or partial exposure fails by itself, see
// [Effective]. Failure depends on the film, its development, its temperature
// and the colour of the light; a law holds for one of each and, strictly, for
// one density.
//
// It is not for solarisation, for colour shifts of colour films, or for
// hypersensitised material.
package reciprocity
