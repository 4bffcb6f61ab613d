package main

import (
	"image"
	"math"

	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/sensito/scan"
)

// pictured is a picture made small for the page, with boxes drawn on it.
type pictured struct {
	file, where string
	img         *image.Gray
	by          int // pixels of the picture for one of the view
}

const viewWidth = 480

// look keeps a small view of a picture with the boxes that are read in it.
func (b *bench) look(where, file string, p *scan.Picture, boxes []scan.Box) {
	if where == "light" || len(where) > 3 && where[:4] == "dark" {
		return
	}
	for _, v := range b.res.views {
		if v.file == file {
			return
		}
	}
	w, h := p.Size()
	by := max((max(w, h)+viewWidth-1)/viewWidth, 1)
	v := &pictured{file: file, where: where, by: by, img: image.NewGray(image.Rect(0, 0, (w+by-1)/by, (h+by-1)/by))}
	means := make([]float64, len(v.img.Pix))
	lo, hi := math.Inf(1), math.Inf(-1)
	step := max(by/4, 1) // a few pixels of each are enough for a view
	for y := range v.img.Rect.Dy() {
		for x := range v.img.Rect.Dx() {
			sum, n := 0.0, 0.0
			for i := x * by; i < min((x+1)*by, w); i += step {
				for k := y * by; k < min((y+1)*by, h); k += step {
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
			v.img.Pix[i] = uint8(math.Round(255 * math.Cbrt((m-lo)/(hi-lo)))) // near the eye's scale
		}
	}
	for _, x := range boxes {
		v.frame(x)
	}
	b.res.views = append(b.res.views, v)
}

// frame draws a box of the picture as it was taken.
func (v *pictured) frame(x scan.Box) {
	figure.Frame(v.img, image.Rect(x.X/v.by, x.Y/v.by, (x.X+x.Width-1)/v.by+1, (x.Y+x.Height-1)/v.by+1))
}

func (v *pictured) png() ([]byte, error) { return figure.PNG(v.img) }
