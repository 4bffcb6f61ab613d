package plan

import (
	"math"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/check"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

// ErrWish is wrapped by the errors about a wish that no plan can be made of.
var ErrWish = check.Sentinel("plan: unusable wish")

// Wish is what is known before a test, and what is wanted of it. Zero stands for the value
// that a field's comment gives.
type Wish struct {
	// Camera by its marks; nil stands for [camera.Default].
	Camera *camera.Described
	// Index is the guess of the exposure index; there is no value for zero.
	Index float64
	// Sure is the standard deviation of the guess in stops; 1.
	Sure sensito.Stops
	// Light as metered for the subject; zero is EV 0.
	Light exposure.EV100

	// HalfWidth is that of the index wanted, in stops, with 95 % confidence; 1/6.
	HalfWidth sensito.Stops
	// DevelopmentHalfWidth is that of the development wanted, as a part of it; 0.05.
	DevelopmentHalfWidth float64

	// DensitySD is the standard deviation of a reading; 0.015.
	DensitySD float64
	// Scatter is the standard deviation of a frame's exposure, in stops: shutter and
	// diaphragm do not repeat; 0.05 (common practice, no source).
	Scatter sensito.Stops

	// Frames is how many the bracket may have in all, unexposed ones among them; 36.
	Frames int
	// StripsFirst says that the bracket is developed when the strips have said for how long;
	// it is developed for the guess otherwise, and its index moved by the strips.
	StripsFirst bool
	// Strips is how many strips, 3 to 12; as many as the development needs, up to 8.
	Strips int

	// Development is the guess of the time for the target, and DevelopmentSure how far off
	// it may be, as a standard deviation of its logarithm; 10 min and 0.15 (common practice, no source).
	Development     time.Duration
	DevelopmentSure float64
	// TargetAverageGradient is the contrast that the negatives should have; 0.58.
	TargetAverageGradient float64
	// ShadowStopsBelowMeter is how far under the meter reading the shadow is placed; 4.
	ShadowStopsBelowMeter sensito.Stops
}

// filled gives the zero fields their values, and checks all.
func (w Wish) filled() (Wish, error) {
	if w.Camera == nil {
		w.Camera = camera.Default()
	}
	for _, f := range []struct {
		v     *float64
		usual float64
	}{{(*float64)(&w.Sure), 1}, {(*float64)(&w.HalfWidth), 1.0 / 6}, {&w.DevelopmentHalfWidth, 0.05}, {&w.DensitySD, 0.015},
		{(*float64)(&w.Scatter), 0.05}, {&w.DevelopmentSure, 0.15}, {&w.TargetAverageGradient, 0.58}, {(*float64)(&w.ShadowStopsBelowMeter), 4}} {
		if *f.v == 0 {
			*f.v = f.usual
		}
	}
	if w.Frames == 0 {
		w.Frames = 36
	}
	if w.Development == 0 {
		w.Development = 10 * time.Minute
	}
	bad := func(format string, args ...any) (Wish, error) { return w, check.Errorf(ErrWish, format, args...) }
	between := func(v, lo, hi float64) bool { return v >= lo && v <= hi }
	switch {
	case w.Camera.Camera == nil || len(w.Camera.Camera.Times()) == 0:
		return bad("a camera without marks; read one by camera.Read")
	case !between(w.Index, plausible.LeastIndex, plausible.GreatestIndex):
		return bad("index %v, want a guess such as 400", w.Index)
	case !between(float64(w.Sure), 0.05, 4):
		return bad("a guess sure to %v stops, want 0.05 to 4", float64(w.Sure))
	case !between(float64(w.Light), -20, 30):
		return bad("light of EV %v, want what the meter reads at ISO 100", float64(w.Light))
	case !between(float64(w.HalfWidth), 0.01, 4):
		return bad("a half-width of %v stops, want 0.01 to 4", float64(w.HalfWidth))
	case !between(w.DevelopmentHalfWidth, 0.005, 1):
		return bad("a half-width of %.3g %% in development, want 0.5 to 100", 100*w.DevelopmentHalfWidth)
	case !between(w.DensitySD, 0.001, 0.2):
		return bad("densities read to ± %v, want 0.001 to 0.2", w.DensitySD)
	case !between(float64(w.Scatter), 0.001, 1):
		return bad("exposures that scatter by %v stops, want 0.001 to 1", float64(w.Scatter))
	case w.Frames < leastFrames || w.Frames > mostFrames:
		return bad("%d frames for the bracket, want %d to %d", w.Frames, leastFrames, mostFrames)
	case w.Strips != 0 && (w.Strips < 3 || w.Strips > 12):
		return bad("%d strips, want 3 to 12", w.Strips)
	case w.Development < 2*time.Minute || w.Development > 4*time.Hour:
		return bad("a development of %s, want 2 minutes to 4 hours", devtime.FormatTime(w.Development))
	case !between(w.DevelopmentSure, 0.02, 1):
		return bad("a development sure to a factor of e^%v, want 0.02 to 1", w.DevelopmentSure)
	case !between(w.TargetAverageGradient, 0.2, 2):
		return bad("a target gradient of %v, want 0.2 to 2, usually 0.5 to 0.7", w.TargetAverageGradient)
	case !between(float64(w.ShadowStopsBelowMeter), 0.5, 8):
		return bad("a shadow %v stops under the meter reading, want 0.5 to 8", float64(w.ShadowStopsBelowMeter))
	}
	return w, nil
}

// What a bracket has: with fewer frames a bad one is not seen, more fit on no roll.
const leastFrames, mostFrames = 8, 60

// reach is how many stops to either side of the guess the bracket goes: so far that the
// index is hardly beyond it.
func (w *Wish) reach() float64 { return math.Max(2*float64(w.Sure)+0.5, 1.5) }

// mostLight and leastLight are how many stops over and under the metered tone the strips
// go: from under the speed point of the fastest film to where the slowest, in its shortest
// development, has been carried over 1.5 in log10 H, five stops, from its speed point. A
// curve is known where it was read, and no further.
func (w *Wish) mostLight() float64  { return 5 - float64(w.ShadowStopsBelowMeter) + w.reach() + 0.5 }
func (w *Wish) leastLight() float64 { return float64(w.ShadowStopsBelowMeter) + w.reach() }
