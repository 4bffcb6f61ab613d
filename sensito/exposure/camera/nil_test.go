package camera

import (
	"errors"
	"testing"
	"time"

	"example.org/actinic/sensito"
)

// A nil camera and the zero value answer; none panics.
func TestNilCamera(t *testing.T) {
	for name, c := range map[string]*Camera{"nil": nil, "zero": {}} {
		if s := c.Scales(); !c.IsZero() || len(c.Apertures())+len(c.Times())+len(s.Apertures)+len(s.Times) != 0 {
			t.Errorf("%s has marks", name)
		}
		_, errA := c.Aperture(8)
		_, _, errB := c.NearestAperture(6)
		_, _, errC := c.NearestTime(6)
		_, errD := c.Time(time.Second)
		_, _, errE := c.Reach(6)
		_, errF := c.MarshalJSON()
		_, errG := PlanBracket(c, Bracket{})
		for i, err := range []error{errA, errB, errC, errD, errE, errF, errG} {
			if !errors.Is(err, sensito.ErrInput) {
				t.Errorf("%s, question %d: %v", name, i, err)
			}
		}
	}
}
