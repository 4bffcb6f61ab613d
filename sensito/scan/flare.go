package scan

import (
	"example.org/actinic/internal/check"
)

// Flare is the stray light of lens and room: a constant amount over the picture, as a
// fraction of the mean of the light that comes from the field. With the transmittance T of
// a place, the mean transmittance M of the field and a light frame that was a full open
// field, the picture reads
//
//	T_read = (T + f M) / (1 + f)        and so      T = (1 + f) T_read - f M
//
// The standard deviation of a density grows by (T + f M)/T when flare is taken off. Derived
// from the definition; masking the table around the film lowers M.
//
// Domain: 0 up to, and not including, 1.
type Flare float64

func (f Flare) usable() error {
	if !(f >= 0 && f < 1) {
		return check.Errorf(ErrInput, "flare %v, want a fraction from 0 to below 1; divide a percentage by 100", float64(f))
	}
	return nil
}

// Read returns what a picture reads, as a fraction of the light frame, for a transmittance
// in a field of a mean transmittance.
func (f Flare) Read(t, mean float64) float64 { return (t + float64(f)*mean) / (1 + float64(f)) }

// Remove is the inverse of [Flare.Read].
func (f Flare) Remove(read, mean float64) float64 { return read*(1+float64(f)) - float64(f)*mean }

// Veil returns the stray light in a picture whose mean, flare included, is given; in the
// unit of the mean:
//
//	f m / (1 + f)
//
// What is left of a place after it is taken off is the light that came through there.
func (f Flare) Veil(mean float64) float64 { return float64(f) / (1 + float64(f)) * mean }

// Slope returns dD_read/dD, by which the standard deviation of a density that was read is
// divided: 1 without flare, and towards 0 where flare hides the film.
func (f Flare) Slope(t, mean float64) float64 { return t / (t + float64(f)*mean) }

// FlareOf returns the flare from what an opaque patch reads and the mean of the same
// picture, both above the dark frame and at one exposure:
//
//	f = o / (m - o)
//
// since the patch has f and the picture 1 + f times the mean of the field. The patch must
// pass nothing itself, and the picture clip nowhere. The error wraps [ErrInput] if the
// patch reads as much as half the mean. A patch that noise puts below 0 gives 0.
//
// Source: the definition of the veil, solved for its part; worked out here.
func FlareOf(opaque, mean float64) (Flare, error) {
	switch {
	case !check.Finite(opaque, mean) || !(mean > 0):
		return 0, check.Errorf(ErrInput, "an opaque patch of %v in a picture of mean %v; want numbers above the dark frame", opaque, mean)
	case !(opaque < mean/2):
		return 0, check.Errorf(ErrInput,
			"the opaque patch reads %.3g of a mean of %.3g; it is not opaque, or the box lies beside it", opaque, mean)
	}
	return Flare(max(opaque, 0) / (mean - max(opaque, 0))), nil
}
