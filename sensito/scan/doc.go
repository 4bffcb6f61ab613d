// Package scan turns pictures of a negative on a light table into densities, with their
// standard deviations and with what limits them: a camera in place of a densitometer.
//
// A picture is read as values that are linear in the light ([Read]): 16-bit TIFF and PNG,
// PGM and PPM, NumPy arrays. What has a display curve, or eight bits, is refused with the
// way to convert it. [FitResponse] tests the linearity of frames of the bare table, which
// no file can promise.
//
// A [Setup] holds the light table, the dark frames and the flare of one arrangement of
// lamp, film and camera; [Setup.Measure] measures a place on one or several exposures of a
// negative. [Profile] and [FindSteps] find the steps of a tablet.
//
// The densities are those of the arrangement. A diffuse table and a lens far from the film
// come between diffuse and projection density (ISO 5-2 and ISO 5-3 define them); [FitTie]
// ties them to steps of known density.
//
// Left out: colour (one channel is read, never a mixture), scanners that hide their dark
// frames, and stitching.
package scan
