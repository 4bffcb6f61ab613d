package figure

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"testing"
)

// A view of a picture whose value is its column: sizes at the bounds of how much smaller, means of the pixels that there are, and
// the scale from black to white.
func TestView(t *testing.T) {
	for _, c := range []struct {
		w, h, most int
		size       image.Point
	}{{1, 1, 10, image.Pt(1, 1)}, {10, 4, 10, image.Pt(10, 4)}, {11, 4, 10, image.Pt(6, 2)}, {20, 20, 10, image.Pt(10, 10)},
		{21, 3, 10, image.Pt(7, 1)}, {3, 90, 10, image.Pt(1, 10)}} {
		asked := map[image.Point]bool{}
		v := NewView(c.w, c.h, c.most, func(x, y int) float64 {
			if at := image.Pt(x, y); asked[at] || !at.In(image.Rect(0, 0, c.w, c.h)) {
				t.Errorf("%+v: the pixel at %v, outside or again", c, at)
			} else {
				asked[at] = true
			}
			return float64(x)
		})
		if v.Size() != c.size {
			t.Errorf("%+v: %v", c, v.Size())
		}
		if v.by < 8 && len(asked) != c.w*c.h || v.by >= 8 && len(asked) >= c.w*c.h/2 {
			t.Errorf("%+v: %d pixels are looked at", c, len(asked))
		}
		img, err := png.Decode(bytes.NewReader(v.PNG()))
		if err != nil {
			t.Fatal(err)
		}
		mean := func(x int) float64 {
			from, to := x*v.by, min((x+1)*v.by, c.w)
			return float64(from+to-1) / 2
		}
		last := mean(c.size.X - 1)
		for x := range c.size.X {
			want := 0.0
			if c.size.X > 1 {
				want = math.Round(255 * math.Cbrt((mean(x)-mean(0))/(last-mean(0))))
			}
			if got := img.At(x, c.size.Y-1).(interface{ RGBA() (r, g, b, a uint32) }); v.by < 8 {
				if r, _, _, _ := got.RGBA(); float64(r/257) != want {
					t.Errorf("%+v: column %d is %d, want %v", c, x, r/257, want)
				}
			}
		}
	}
}

// A box is drawn around the pixels of the view that it has a part in.
func TestViewFrame(t *testing.T) {
	for _, c := range []struct {
		x, y, width, height int
		white               image.Rectangle // from the first white pixel to the last
	}{{30, 30, 30, 15, image.Rect(10, 10, 20, 15)}, {29, 31, 32, 15, image.Rect(9, 10, 21, 16)}, {30, 30, 1, 1, image.Rect(10, 10, 11, 11)}} {
		v := NewView(90, 90, 30, func(x, y int) float64 { return 1 })
		v.Frame(c.x, c.y, c.width, c.height)
		var got image.Rectangle
		for y := range 30 {
			for x := range 30 {
				if v.img.GrayAt(x, y).Y == 255 {
					got = got.Union(image.Rect(x, y, x+1, y+1))
				}
			}
		}
		if got != c.white {
			t.Errorf("%+v: white %v", c, got)
		}
	}
}
