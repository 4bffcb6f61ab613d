package main

import (
	"image/color"
	"math"
	"testing"

	"gonum.org/v1/plot/plotter"

	"example.org/actinic/sensito"
)

// The grey of a display is the curve of sRGB (IEC 61966-2-1, from memory), at its joint too.
func TestPrinted(t *testing.T) {
	for _, c := range []struct {
		reflectance float64
		want        uint8
	}{{-1, 0}, {0, 0}, {0.002, 7}, {0.0031308, 10}, {0.0032, 11}, {0.01, 25}, {0.18, 118}, {0.5, 188}, {0.9, 243}, {1, 255}, {2, 255}} {
		if got := printed(c.reflectance).(color.Gray).Y; got != c.want {
			t.Errorf("%v: %d, want %d", c.reflectance, got, c.want)
		}
	}
	for _, c := range [][2]float64{{0, 0}, {-0.004, 0}, {0.004, 0}, {0.006, 0.01}, {-0.016, -0.02}, {1.234, 1.23}} {
		if got := hundredths(sensito.Stops(c[0])); got != c[1] || math.Signbit(got) != (c[1] < 0) {
			t.Errorf("%v: %v", c[0], got)
		}
	}
	if got := []color.Color{hue(370), hue(450), hue(540), hue(615), hue(760), hue(410)}; got[0] != (color.RGBA{A: 255}) || got[1] != (color.RGBA{B: 255, A: 255}) ||
		got[4] != (color.RGBA{A: 255}) || got[2].(color.RGBA).G != 255 || got[3].(color.RGBA).R != 255 || got[5].(color.RGBA).R != 157 {
		t.Errorf("%v", got)
	}
}

// Labels that would overprint come to lie apart, in their order and about where they were; others stay.
func TestSpread(t *testing.T) {
	xy := plotter.XYs{{Y: 1}, {Y: 1}, {Y: 1.1}, {Y: 3}, {Y: 3.28}}
	spread(xy, 0.28)
	if xy[3].Y != 3 || xy[4].Y != 3.28 {
		t.Errorf("labels with room are moved: %v", xy)
	}
	for i := range 2 {
		if d := xy[i+1].Y - xy[i].Y; math.Abs(d-0.28) > 1e-3 {
			t.Errorf("%v: %v apart", xy, d)
		}
	}
	if middle := (xy[0].Y + xy[1].Y + xy[2].Y) / 3; math.Abs(middle-3.1/3) > 1e-9 {
		t.Errorf("their middle went to %v", middle)
	}
}
