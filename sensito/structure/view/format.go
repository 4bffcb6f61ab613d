package view

import (
	"example.org/actinic/internal/check"
)

// Format is the size of a picture on the film, in mm.
type Format struct {
	Name          string
	Width, Height float64
}

// Formats returns the usual ones, by size. What cameras really expose differs by a millimetre
// (common practice, no source).
func Formats() []Format {
	return []Format{{"24 × 36 mm", 36, 24}, {"42 × 56 mm", 56, 42}, {"56 × 56 mm", 56, 56},
		{"56 × 69 mm", 69, 56}, {"56 × 84 mm", 84, 56}, {"4 × 5 in", 120, 96}}
}

// Enlargement returns how many times the picture is enlarged to fill a print, cropped where the
// shapes differ, along or across as it is less: the greater of the two ratios of sides. The error wraps
// [ErrInput] for sizes not above 0.
func (f Format) Enlargement(width, height float64) (float64, error) {
	if !(f.Width > 0) || !(f.Height > 0) || !(width > 0) || !(height > 0) || !check.Finite(f.Width, f.Height, width, height) {
		return 0, check.Errorf(ErrInput, "a print of %v × %v mm from %v × %v mm", width, height, f.Width, f.Height)
	}
	return min(max(width/f.Width, height/f.Height), max(width/f.Height, height/f.Width)), nil
}
