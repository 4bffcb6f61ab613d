package main

import (
	"fmt"
	"testing"

	"example.org/actinic/filters"
	"example.org/actinic/internal/held"
)

// The scene is what its words say: what stands where, dark mills against bright tips, and a card of the stated place.
func TestScene(t *testing.T) {
	subjects := filters.Subjects()
	for what, name := range map[int]string{sky: "clear sky", blueSlate: "blue slate", purpleSlate: "purple slate",
		greenSlate: "green slate", greyCard: "grey card"} {
		if what >= len(subjects) || subjects[what].Name != name {
			t.Errorf("surface %d is not %s", what, name)
		}
	}
	for _, c := range []struct {
		u, v float64
		want int
		what string
	}{
		{0.485, 0.9, greyCard, "the card"}, {0.80, 0.40, rust, "the hub of the wheel"}, {0.80 + 0.125/1.6, 0.40, rust,
			"the rim of the wheel"}, {0.5, 0.05, sky, "the sky"},
		{0.1, 0.7, purpleSlate, "a mill's wall"}, {0.68, 0.5, blueSlate, "a tip"}, {0.02, 0.99, foliage, "bracken"},
	} {
		if got, _ := scene(c.u, c.v); got != c.want {
			t.Errorf("%s at %v, %v: surface %d, want %d", c.what, c.u, c.v, got, c.want)
		}
	}
	mill, tip := 0.0, 0.0
	for i := range 100 {
		_, l := scene(0.05+0.0015*float64(i), 0.7)
		mill += l
		_, l = scene(0.62+0.0015*float64(i), 0.55)
		tip += l
	}
	if !(tip > 4*mill) {
		t.Errorf("tips %v, mills %v: want bright tips and dark mills", tip/100, mill/100)
	}
}

// Patch by patch the scene is what it was: how many points of each surface, and how brightly they are lit.
func TestSceneIsHeld(t *testing.T) {
	said := held.New(t)
	const across, down, points = 15, 10, 24
	for y := range down {
		for x := range across {
			var count [greyCard + 1]int
			var light [greyCard + 1]float64
			for k := range points * points {
				what, l := scene((float64(x)+(float64(k%points)+0.5)/points)/across, (float64(y)+(float64(k/points)+0.5)/points)/down)
				count[what]++
				light[what] += l
			}
			text := ""
			for what, n := range count {
				if n > 0 {
					text += fmt.Sprintf(" %d: %d × %.4f", what, n, light[what]/float64(n))
				}
			}
			said.Values(fmt.Sprintf("%02d, %02d", y, x), text)
		}
	}
}
