package figure

import (
	"image"
	"image/color"
)

// Frame draws a box into a picture, its pixels at the edges white within black; what lies
// outside the picture is left out.
func Frame(img *image.Gray, box image.Rectangle) {
	rect := func(r image.Rectangle, c color.Gray) {
		for x := r.Min.X; x < r.Max.X; x++ {
			img.SetGray(x, r.Min.Y, c)
			img.SetGray(x, r.Max.Y-1, c)
		}
		for y := r.Min.Y; y < r.Max.Y; y++ {
			img.SetGray(r.Min.X, y, c)
			img.SetGray(r.Max.X-1, y, c)
		}
	}
	rect(box.Inset(-1), color.Gray{Y: 0})
	rect(box, color.Gray{Y: 255})
}
