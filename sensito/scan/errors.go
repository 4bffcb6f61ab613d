package scan

import "example.org/actinic/internal/check"

var (
	// ErrInput reports numbers that no density can be made of.
	ErrInput = check.Sentinel("scan: unusable input")
	// ErrPicture reports a file that cannot be read as linear light.
	ErrPicture = check.Sentinel("scan: not a picture of linear values")
	// ErrClipped reports a place where the camera's scale ended, at white or at black.
	ErrClipped = check.Sentinel("scan: clipped")
	// ErrBrighter reports film that passes more light than the bare table: shutter, lamp or
	// place are other than those of the light frame. It comes with ErrInput.
	ErrBrighter = check.Sentinel("brighter than the bare light table")
	// ErrSteps reports a profile in which no steps are found.
	ErrSteps = check.Sentinel("scan: no steps found")
)
