package bracketfit

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	f := planned(t)
	tones := []Tone{{Stops: -4, SD: 0.1}, {Stops: 0}, {Stops: 3, SD: 0.2}}
	var patches []Patch
	for i := range 12 {
		x := -3.4 + 0.2*float64(i)
		patches = append(patches, Patch{LogH: x, Density: 0.28 + f.Net(x) + 0.004*float64(i%3-1), SD: 0.01})
	}
	strip, err := FitStrip(patches, []Patch{{Density: 0.28, SD: 0.01}})
	if err != nil {
		t.Fatal(err)
	}
	pool := []any{
		held.Preconditions{}, f, &f, strip, tones, tones[1], tones[0], []*Shape{strip, strip.Fogged(0.05)}, []*Shape{strip}, patches, patches[:4], patches[:1], []Patch(nil), UnexposedInformation(3, 0.01), WeakInformation(),
		0.28, 0.7, 0.2, 2.4, 3.0, -2.7, 0.01, 0.05, 0.0, -1.0, 1.5, math.NaN(), 3, 1, 0, 2, true, false, func(x float64) float64 { return f.Net(x) },
	}
	held.New(t).Drive([]any{
		Film.Changed, (*Film).Net, (*Film).Gradient, (*Film).Point, UnexposedInformation, WeakInformation,
		(*Film).IndexGradient, (*Shape).Density,
	}, pool...)
	held.New(t).Drive([]any{
		Fit, (*Shape).Follow, NewFilm, (*Film).PatchInformation, (*Film).FrameInformation, (*Film).Before, FitStrip,
		Between, Pool, (*Shape).Fogged,
	}, append(pool, held.Few{})...)
}
