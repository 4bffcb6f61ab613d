// Package spectral holds functions of wavelength and integrals of their
// products: light, the sensitivity of a film, a meter or an eye, and whatever
// lies between them.
//
// A [Spectrum] is a list of wavelengths in nanometres with a value at each, on
// any grid, and is a straight line from each knot to the next. What it is
// outside its knots is chosen when it is made: an error ([Refuse], the zero
// value), nothing ([Zero]) or the end value held ([Hold]). The integral of a
// product of spectra is taken on the union of their knots with a rule that is
// exact there, so spectra on different grids are never resampled and never
// paired by index:
//
//	∫ E(λ) S(λ) T(λ) dλ
//
// Three types keep apart what is easily confused:
//
//   - [Light] is relative spectral power, energy based, never negative.
//   - [Sensitivity] is S = 1/H, linear, energy based, never negative. Tables
//     that are logarithmic, photon based, or still multiplied by the lamp of a
//     wedge spectrograph come in through the function named after what they
//     are.
//   - Spectrum is anything else, a transmittance or a reflectance, as fraction.
//
// Where the same integral is taken many times with one factor changing, a
// [Quadrature] merges the knots once and leaves one dot product per evaluation.
//
// Not here: filters and their factors (package filters), colour appearance,
// fluorescence, and the standards' tables at 1 nm. Of CIE 15 it holds
// illuminants A and D, the observers of 1931 and 1964 at 5 nm and the daylight
// components; not B, C or the fluorescent series. Of ISO 7589 it holds
// the daylight, studio tungsten and photoflood tables and the lens; not the
// printer.
//
// Spectra, lights and sensitivities are read from tables by [ReadCSV], whose headings
// say the scale, and marshal to JSON and back to an equal value.
//
// Everything is a value, cannot be changed once made, and may be used by
// several goroutines at once.
package spectral
