// Package camera knows the marks that a camera can be set to: which aperture or time is
// nearest to an exposure value, and how many stops are left over. [PlanBracket] lays an
// exposure-index bracket out on them. [NearestAperture] and [NearestTime] answer for a
// printed scale, without a camera. [Parse] reads the file that describes a camera, its marks
// and the rest, as a [Described].
//
// It does not meter, and it knows no film: reciprocity and filters are for whoever asks
// for the exposure value.
package camera
