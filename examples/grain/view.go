package main

import (
	"strings"

	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/sensito/scan"
)

// pictured is a picture made small for the page, with boxes drawn on it.
type pictured struct {
	file, where string
	*figure.View
}

const viewWidth = 480

// look keeps a small view of a picture with the boxes that are read in it.
func (b *bench) look(where, file string, p *scan.Picture, boxes []scan.Box) {
	if where == "light" || strings.HasPrefix(where, "dark") {
		return
	}
	for _, v := range b.res.views {
		if v.file == file {
			return
		}
	}
	w, h := p.Size()
	v := &pictured{file, where, figure.NewView(w, h, viewWidth, p.At)}
	for _, x := range boxes {
		v.Frame(x.X, x.Y, x.Width, x.Height)
	}
	b.res.views = append(b.res.views, v)
}
