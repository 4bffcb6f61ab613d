// Package cube turns spectral images into photographs: the reflectance spectrum of
// every pixel, through light, filter and film, into the density of the negative.
//
//	H = 10^White Σ w_b R_b          w: exact weights of light, filter and sensitivity
//	D = curve(log10 H)
//
// The work is prepared once, for a set of channels (a film in a light behind a filter
// with its curve) and the wavelengths of the bands; then pixels go in and densities
// come out, in the caller's memory, any number at a time. It is for the researcher
// with a spectral image, or millions of spectra; for a patch or two package filters
// says more. It knows nothing of grain, of light that spreads in film or lens, or of
// file formats.
//
// # Accuracy
//
// A density is within 0.0005 of that of the curve's own method at the exposure
// computed in float64, over the whole domain of the curve. Most of that is the table
// that joins logarithm and curve: [Prepare] makes it fine enough to be within 0.0001
// at eight points to a cell, and refuses a curve for which it cannot. The sums are
// float32: they add less than 0.0001 for up to 4096 bands and a slope of the curve
// up to 3, as long as the negative terms of a sum, where a cube has noise about
// black, are not nearly as large as the positive ones.
//
// What has no density is said and not guessed. An exposure outside the curve is NaN
// and an error with [RefuseOffCurve], and the density of the curve's end with [ClampToCurve]; zero
// is below every curve that has a lower bound; a pixel with a band that is NaN or
// infinite is NaN in all channels. All are counted, see [Counts]. Exposures that
// overflow float32, 3e38 times that of the curve's start, count as not finite. A
// curve without bounds is taken from log H -15 to 15, or to where it is level.
//
// # Speed
//
// There are three ways, which differ by rounding only; the best that the processor
// has is taken when the program starts. On amd64 with AVX2 and FMA all is done in
// assembly. The fallback, on any other amd64, has the sums in assembly that every
// amd64 runs, and the rest in plain Go. Other processors do all in plain Go. The
// environment variable ACTINIC_CUBE, set to fallback or plain when the program starts,
// has it do without what is faster. For one
// channel in turns with a loop that does nothing but read the cube, on one core of a
// server of 2024 (AMD Zen 5) that others used at the time, medians:
//
//	times the read        AVX2    fallback    plain Go
//	31 bands       1.05 to 1.2         1.3  1.9 to 2.5
//	81 bands       1.0  to 1.07        1.2  1.8 to 2.2
//
// The more, the faster the machine reads at the time: from 3.1 to 4.4 ns per pixel of
// 31 bands and 8 to 12 of 81. Large cubes are written past the caches. One thread, in
// ns per pixel, medians of three:
//
//	bands, 1 channel       4     8    16    31    81   201   471
//	1e5 pixels           2.2   1.8   1.9   2.6   9.3    27    62
//
//	channels, 31 bands     1     2     4     8    16    32    64   128
//	1e5 pixels           2.4   5.8   7.0    16    24    42    81   158
//
//	pixels, 31 bands     1e4   1e5   1e6   1e7   1e8
//	1 channel            2.8   2.5   5.5   5.3   5.2
//
// The cost is that of reading the cube, from the caches where it fits in them. It
// grows in proportion to pixels, bands and, from 16 on, channels. One worker
// allocates nothing, two took half the time of one. Preparing took 0.2 ms for a
// channel of 81 bands. Measured by go test -bench . in this package (Growth with
// -huge).
package cube
