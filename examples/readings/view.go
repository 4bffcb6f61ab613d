package main

import (
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/sensito/scan"
)

// view is a picture made small for the page, with boxes drawn on it.
type view struct {
	file  string
	where []string
	*figure.View
}

const viewWidth = 900

// look keeps a small view of a picture with the boxes that are read in it.
func (b *bench) look(where, file string, p *scan.Picture, boxes []scan.Box) {
	if b.mentioned(where, file) {
		return
	}
	w, h := p.Size()
	v := &view{file, []string{where}, figure.NewView(w, h, viewWidth, p.At)}
	if where != "light" { // whose boxes are all others'
		for _, x := range boxes {
			v.Frame(x.X, x.Y, x.Width, x.Height)
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
			v.Frame(x.X, x.Y, x.Width, x.Height)
		}
	}
}
