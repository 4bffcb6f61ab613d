// Package sensito holds the laws that tie exposure, density and speed
// together for a black-and-white negative film.
//
// It is for turning what a person measures (densities of a step tablet's image, of
// bracketed frames, of a scan) into what a film does: a characteristic curve, its
// contrast and its speed with the right name on it. The camera's side, f-numbers
// and times, exposure values and meters, is in package exposure below it. Quantities are defined types in the units of
// the printed tables: [LogH] is log10 of lux seconds, [Density] is -log10 of
// transmittance, [Stops] is log2 of an exposure ratio. One stop is 0.30103 in
// log10, and 0.30 is not one stop.
//
// It is not for papers, colour negatives or reversal films: their standards
// define speed and contrast otherwise. Of ISO 6 it leaves out the exposing and
// processing conditions (illuminant, exposure time, temperature, storage): the
// caller states them, since a speed belongs to a film, a process and a light
// together.
//
// All values are immutable and safe for concurrent use. Numbers that come from
// readings carry a 95 % interval, see [Estimate].
package sensito
