package copystand_test

import (
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/copystand"
	"example.org/actinic/internal/held"
)

// What small pictures of one seed are is held to what it was: every pixel of them.
func TestDrive(t *testing.T) {
	r := func() *rand.Rand { return rand.New(rand.NewPCG(3, 14)) }
	stand := copystand.New(12, 8)
	flared := stand
	flared.Flare, flared.Vignette, flared.DarkCurrent = 0.02, 0.3, 400
	half := make([]float64, 12*8)
	for i := range half {
		half[i] = 0.5 - 0.004*float64(i)
	}
	pictures := map[string]func() any{
		"correlated":  func() any { return copystand.Correlated(r(), 12, 8, 1.5) },
		"narrow":      func() any { return copystand.Correlated(r(), 12, 8, 0.4) },
		"discs":       func() any { return copystand.Discs(r(), 12, 8, 0.05, 1.3, 0.4) },
		"dust":        func() any { c := append([]float64(nil), half...); copystand.Dust(r(), c, 12, 4); return c },
		"edge":        func() any { return copystand.Edge(12, 8, 7, copystand.Blurred(1.1)) },
		"turned edge": func() any { return copystand.Edge(12, 8, 95, copystand.Sharp) },
		"film":        func() any { return copystand.Film(r(), half, 12, 0.02, 2) },
		"grain":       func() any { return copystand.Grain(r(), 12, 8, 3) },
		"optics":      func() any { return copystand.Optics(half, 12, 8, 2, 0.8) },
		"one pixel":   func() any { return copystand.Optics(half, 12, 8, 1, 0.5) },
		"dark":        func() any { return stand.Dark(r(), 0.02) },
		"long dark":   func() any { return flared.Dark(r(), 2) },
		"exposed":     func() any { return stand.Expose(r(), half, 0.01) },
		"flared":      func() any { return flared.Expose(r(), half, 0.01) },
		"over":        func() any { return stand.Expose(r(), half, 3) },
		"stand":       func() any { return stand },
		"lamp": func() any {
			return []float64{flared.Lamp(0, 0), flared.Lamp(6, 4), flared.Lamp(11, 7), flared.Lamp(5, 0)}
		},
		"sharp, blurred": func() any {
			return []float64{copystand.Sharp(-1), copystand.Sharp(0), copystand.Sharp(1), copystand.Blurred(2)(-1), copystand.Blurred(2)(0.5)}
		},
	}
	said := held.New(t)
	for name, draw := range pictures {
		said.Look(name, draw())
	}
}
