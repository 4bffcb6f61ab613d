// Package exposure holds the camera's side of sensitometry: f-numbers and times as
// they are written, additive exposure values, and meters with their constants.
//
// It is for going from a scene and a speed to an aperture and a time, and back,
// exactly. Each additive value is a type of its own, and the exposure value of the
// settings, [Ev], is not that of the scene at ISO 100, [EV100]: they differ by the
// speed and cannot be mixed up.
//
// It is not for what the film makes of the exposure, which is package sensito's,
// nor for long and short times at which reciprocity fails.
package exposure
