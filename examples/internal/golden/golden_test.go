package golden

import (
	"image"
	"image/color"
	"testing"
)

func TestText(t *testing.T) {
	if got := text([]byte("<style>a{}</style><h1>Film &amp; light</h1>\n <img alt=\"two curves\" src=\"data:x\"><p>EI 400</p>")); got != "Film &amp; light\n[two curves]\nEI 400" {
		t.Errorf("%q", got)
	}
}

// A line that moved by a pixel is another picture; a grey that is rounded otherwise is not.
func TestUnlike(t *testing.T) {
	line := func(at int, c uint8) image.Image {
		m := image.NewGray(image.Rect(0, 0, 60, 40))
		for i := range m.Pix {
			m.Pix[i] = 255
		}
		for x := range 60 {
			m.SetGray(x, at, color.Gray{c})
		}
		return greys(m)
	}
	if why := unlike(line(20, 100), line(20, 109)); why != "" {
		t.Error(why)
	}
	for _, other := range []image.Image{line(21, 100), line(20, 160), greys(image.NewGray(image.Rect(0, 0, 60, 41)))} {
		if unlike(line(20, 100), other) == "" {
			t.Error("another picture is not told")
		}
	}
	tall := image.NewGray(image.Rect(0, 0, 30, 1200))
	for i := range tall.Pix {
		tall.Pix[i] = uint8(i % 2 * 255)
	}
	if m := greys(tall); m.Bounds() != image.Rect(0, 0, 15, 600) || grey(m.At(3, 3)) != 8*17 && grey(m.At(3, 3)) != 7*17 {
		t.Errorf("%v, %v", m.Bounds(), m.At(3, 3))
	}
}
