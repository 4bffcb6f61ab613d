package spectral

// photographicDaylight is photographic daylight, 350 nm to 690 nm every 10 nm, 100 at 560 nm.
// Source: ISO 7589:2002, as transcribed in an open library of colorimetry under the
// BSD-3-Clause licence; the standard itself was not seen.
var photographicDaylight = [...]float64{
	28, 31, 34, 33, 38, 61, 69, 72, 68, 86, 98, 100, 100, 103, 98, 101, 101, 100, 104, 102,
	103, 100, 97, 98, 91, 94, 95, 94, 90, 92, 89, 90, 94, 90, 80,
}

// studioTungsten is studio tungsten, 350 nm to 690 nm every 10 nm, 100 at 560 nm.
// Source: ISO 7589:2002, as transcribed in an open library of colorimetry under the
// BSD-3-Clause licence; the standard itself was not seen.
var studioTungsten = [...]float64{
	1, 3, 5, 8, 12, 16, 20, 24, 29, 34, 38, 43, 48, 53, 59, 64, 70, 76, 81, 88, 94, 100, 105,
	111, 116, 122, 127, 132, 138, 143, 148, 153, 157, 162, 167,
}

// photoflood is photoflood, 350 nm to 690 nm every 10 nm, 100 at 560 nm.
// Source: ISO 7589:2002, as transcribed in an open library of colorimetry under the
// BSD-3-Clause licence; the standard itself was not seen.
var photoflood = [...]float64{
	11, 14, 16, 19, 23, 26, 30, 34, 38, 42, 47, 52, 56, 61, 66, 71, 76, 81, 86, 91, 95, 100,
	104, 109, 113, 117, 121, 125, 129, 132, 135, 138, 141, 144, 146,
}

// standardLens is the ISO standard camera lens, a transmittance, 350 nm to 690 nm every 10 nm.
// Source: ISO 7589:2002, as transcribed in an open library of colorimetry under the
// BSD-3-Clause licence; the standard itself was not seen.
var standardLens = [...]float64{
	0, 0.07, 0.23, 0.42, 0.6, 0.74, 0.83, 0.88, 0.91, 0.94, 0.95, 0.97, 0.98, 0.98, 0.99,
	0.99, 1, 1, 1, 1, 1, 1, 1, 1, 0.99, 0.99, 0.99, 0.98, 0.98, 0.97, 0.97, 0.96, 0.95, 0.94,
	0.94,
}
