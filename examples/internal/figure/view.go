package figure

import (
	"bytes"
	"image"
	"image/png"
	"math"
)

// View is a camera's picture made small for a page, with boxes drawn on it.
type View struct {
	img *image.Gray
	by  int // pixels of the picture for one of the view
}

// NewView makes a picture of w by h pixels, whose values at tells, small: to most pixels on its longer side, black where the
// picture is least and white where it is most. Between them it goes by the cube root, which is near the eye's scale, so that
// dense steps can be told apart.
func NewView(w, h, most int, at func(x, y int) float64) *View {
	by := (max(w, h) + most - 1) / most
	v := &View{image.NewGray(image.Rect(0, 0, (w+by-1)/by, (h+by-1)/by)), by}
	means := make([]float64, len(v.img.Pix))
	lo, hi := math.Inf(1), math.Inf(-1)
	step := max(by/4, 1) // a few pixels of each are enough for a view
	for i := range means {
		left, top := i%v.img.Stride*by, i/v.img.Stride*by
		sum, n := 0.0, 0.0
		for x := left; x < min(left+by, w); x += step {
			for y := top; y < min(top+by, h); y += step {
				sum, n = sum+at(x, y), n+1
			}
		}
		means[i] = sum / n
		lo, hi = min(lo, means[i]), max(hi, means[i])
	}
	if lo < hi {
		for i, m := range means {
			v.img.Pix[i] = uint8(math.Round(255 * math.Cbrt((m-lo)/(hi-lo))))
		}
	}
	return v
}

// Frame draws a box of the picture as it was taken.
func (v *View) Frame(x, y, width, height int) {
	Frame(v.img, image.Rect(x/v.by, y/v.by, (x+width-1)/v.by+1, (y+height-1)/v.by+1))
}

// Size is that of the view.
func (v *View) Size() image.Point { return v.img.Rect.Size() }

// PNG is the view as a file. In memory nothing can fail.
func (v *View) PNG() []byte {
	var b bytes.Buffer
	png.Encode(&b, v.img)
	return b.Bytes()
}
