package main

import (
	"math"
	"strings"

	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

// markOf sets a time in seconds or an f-number as the mark that is meant, in the style of a cell:
// 1/125, f/5.6. ok is false where the column is of other things.
func markOf(v float64, like string, j *job, column string) (text string, ok bool) {
	if j.kind != "exposure" && j.kind != "shutter" && j.kind != "aperture" || !(v > 0) {
		return "", false
	}
	lead := like[:len(like)-len(strings.TrimLeft(like, "fF/: "))]
	for _, s := range []camera.Steps{camera.FullStops, camera.ThirdStops} {
		switch column {
		case "time":
			m, off, err := camera.NearestTime(exposure.Tv(-math.Log2(v)), s)
			if err == nil && math.Abs(float64(off)) < nearMark {
				text = m.String()
			}
			if !strings.ContainsAny(like, "s\"") {
				text = strings.TrimSuffix(text, " s")
			}
		case "aperture":
			if m, off, err := camera.NearestAperture(exposure.Av(2*math.Log2(v)), s); err == nil && math.Abs(float64(off)) < nearMark {
				text = lead + strings.TrimLeft(m.String(), "f/")
			}
		}
		if text != "" {
			return text, true
		}
	}
	return "", false
}

// nearMark is how far off a mark a value may be, in stops, that means it.
const nearMark = 0.2
