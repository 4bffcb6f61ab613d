package plan

import (
	"example.org/actinic/internal/check"
	"example.org/actinic/internal/optdesign"
)

// Repeats is how many readings of standard deviation sd have a mean known within half, with
// 95 % confidence: frames of one exposure, or places of one frame, in any unit. With known
// the deviation is known before; otherwise it comes from the same readings, by Student's t,
// and two at least are needed.
//
// The error wraps [ErrWish]: values that are not finite or not above 0 (sd may be 0), or
// more than a million readings.
func Repeats(sd, half float64, known bool) (int, error) {
	n, err := optdesign.HowMany(sd, half, known)
	if err != nil {
		return 0, check.Errorf(ErrWish, "%v", err)
	}
	return n, nil
}
