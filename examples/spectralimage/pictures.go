package main

import (
	"bufio"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// widest is the most pixels a picture has across or down; a larger image is averaged
// in squares.
const widest = 1200

// pictures gathers the densities of the channels at the size of the pictures.
type pictures struct {
	columns, channels int
	square, w, h      int
	sum               []float64
	n                 []int32
}

func newPictures(rows, columns, channels int) *pictures {
	p := &pictures{columns: columns, channels: channels, square: (max(rows, columns) + widest - 1) / widest}
	p.w, p.h = (columns+p.square-1)/p.square, (rows+p.square-1)/p.square
	p.sum, p.n = make([]float64, p.w*p.h*channels), make([]int32, p.w*p.h*channels)
	return p
}

// add takes the densities of pixels from the pixel first.
func (p *pictures) add(first int, density []float32) {
	y, x := first/p.columns, first%p.columns
	for ; len(density) > 0; density = density[p.channels:] {
		i := (y/p.square*p.w + x/p.square) * p.channels
		for k, d := range density[:p.channels] {
			if d == d {
				p.sum[i+k] += float64(d)
				p.n[i+k]++
			}
		}
		if x++; x == p.columns {
			x, y = 0, y+1
		}
	}
}

// write draws the pictures into dir and returns their names. Black and white are the
// densities that one in five hundred of all lies below or above; places without
// data are black.
func (p *pictures) write(dir string, filters []string) (names []string, err error) {
	var all []float64
	for i, n := range p.n {
		if p.sum[i] /= float64(n); n > 0 {
			all = append(all, p.sum[i])
		}
	}
	if len(all) == 0 {
		return nil, errors.New("no pixel of the cube has data, there is nothing to draw")
	}
	slices.Sort(all)
	lo, hi := all[len(all)/500], all[len(all)-1-len(all)/500]
	const gap = 8
	side := image.NewGray(image.Rect(0, 0, p.channels*(p.w+gap)-gap, p.h))
	draw.Draw(side, side.Bounds(), image.White, image.Point{}, draw.Src)
	for k, f := range filters {
		one := image.NewGray(image.Rect(0, 0, p.w, p.h))
		for i := range p.w * p.h {
			d := p.sum[i*p.channels+k]
			g := 255 * (d - lo) / max(hi-lo, 1e-9)
			if math.IsNaN(g) {
				g = 0
			}
			one.SetGray(i%p.w, i/p.w, color.Gray{uint8(math.Round(min(max(g, 0), 255)))})
		}
		draw.Draw(side, image.Rect(k*(p.w+gap), 0, k*(p.w+gap)+p.w, p.h), one, image.Point{}, draw.Src)
		name := fmt.Sprintf("%d-%s.png", k+1, strings.NewReplacer(" ", "-", "/", "-").Replace(f))
		if err := writePNG(filepath.Join(dir, name), one); err != nil {
			return nil, err
		}
		names = append(names, name)
	}
	return append(names, "side-by-side.png"), writePNG(filepath.Join(dir, "side-by-side.png"), side)
}

func writePNG(name string, m image.Image) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(f)
	return errors.Join(png.Encode(w, m), w.Flush(), f.Close())
}
