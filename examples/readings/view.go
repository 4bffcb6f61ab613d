package main

import (
	"image"
	"math"

	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/sensito/scan"
)

// view is a picture made small for the page, with boxes drawn on it.
type view struct {
	file  string
	where []string
	img   *image.Gray
	by    int // pixels of the picture for one of the view
}

const viewWidth = 900

// look keeps a small view of a picture with the boxes that are read in it.
func (b *bench) look(where, file string, p *scan.Picture, boxes []scan.Box) {
	if b.mentioned(where, file) {
		return
	}
	w, h := p.Size()
	by := max((max(w, h)+viewWidth-1)/viewWidth, 1)
	v := &view{file: file, where: []string{where}, by: by, img: image.NewGray(image.Rect(0, 0, (w+by-1)/by, (h+by-1)/by))}
	means := make([]float64, len(v.img.Pix))
	lo, hi := math.Inf(1), math.Inf(-1)
	for y := range v.img.Rect.Dy() {
		for x := range v.img.Rect.Dx() {
			sum, n := 0.0, 0.0
			for i := x * by; i < min((x+1)*by, w); i++ {
				for k := y * by; k < min((y+1)*by, h); k++ {
					sum, n = sum+p.At(i, k), n+1
				}
			}
			m := sum / n
			means[y*v.img.Rect.Dx()+x] = m
			lo, hi = min(lo, m), max(hi, m)
		}
	}
	for i, m := range means {
		if hi > lo {
			// the cube root is near the eye's scale, so that dense steps can be told apart
			v.img.Pix[i] = uint8(math.Round(255 * math.Cbrt((m-lo)/(hi-lo))))
		}
	}
	if where != "light" { // whose boxes are all others'
		for _, x := range boxes {
			v.frame(x)
		}
	}
	b.res.views = append(b.res.views, v)
}

// mentioned adds a place of readings.json to a view that is there.
func (b *bench) mentioned(where, file string) bool {
	for _, v := range b.res.views {
		if v.file == file {
			v.where = append(v.where, where)
			return true
		}
	}
	return false
}

// mark draws a box on the view of a file.
func (b *bench) mark(file string, x scan.Box) {
	for _, v := range b.res.views {
		if v.file == file {
			v.frame(x)
		}
	}
}

// frame draws a box of the picture as it was taken.
func (v *view) frame(x scan.Box) {
	figure.Frame(v.img, image.Rect(x.X/v.by, x.Y/v.by, (x.X+x.Width-1)/v.by+1, (x.Y+x.Height-1)/v.by+1))
}

func (v *view) png() ([]byte, error) { return figure.PNG(v.img) }
