// Package structure measures the structure of a developed image: how much the density of
// an even patch scatters (granularity, noise power), and how much of a fine pattern is
// kept (response by frequency, from slanted edges and from bars).
//
// It takes values linear in the light, as a camera's copies of negatives give them once
// dark frame, light table and flare are taken off (package scan does that), from frames of
// the same place: what two frames share is film, what they do not is the camera's noise.
// The camera's own response comes from an edge on the light table, and is taken out; where
// it is too low to be taken out, nothing is returned but the reason ([ErrCoarse]).
//
// Frequencies are in cycles per millimetre on the film, apertures and pixels in
// micrometres, noise power in density² µm². A granularity is the standard deviation of
// density in a round aperture, 48 µm unless said otherwise; times 1000 it is called RMS
// granularity at a diffuse density of 1.0.
//
// Left out: colour, halation apart from the rest of the response, line and print-through of
// lenses, and the standards' own procedures (ISO 10505, ISO 6328), whose instruments and
// targets a camera is not. Package view turns these numbers into prints.
package structure
