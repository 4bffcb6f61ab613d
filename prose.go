package actinic

import (
	"strconv"
	"strings"
)

// prose is the sentences of a plan one after the other, as parts of one string: a plan has a
// dozen texts of as many numbers each, which together would cost more than its arithmetic.
// Numbers are printed as package fmt does.
type prose struct {
	text   strings.Builder
	starts []int // of the texts
	room   [usualTexts]int
}

// usualProse is as long as what most plans say, in bytes, and usualTexts how many texts that is.
const (
	usualProse = 1200
	usualTexts = 12
)

// begin ends one text and begins another.
func (w *prose) begin() *prose {
	if w.starts == nil {
		w.text.Grow(usualProse)
		w.starts = w.room[:0]
	}
	w.starts = append(w.starts, w.text.Len())
	return w
}

// say adds words.
func (w *prose) say(s string) *prose {
	w.text.WriteString(s)
	return w
}

// fixed adds a number with so many decimals, as %.2f does.
func (w *prose) fixed(v float64, decimals int) *prose {
	var room [32]byte
	w.text.Write(strconv.AppendFloat(room[:0], v, 'f', decimals, 64))
	return w
}

// figures adds a number with so many significant figures, as %.3g does.
func (w *prose) figures(v float64, n int) *prose {
	var room [32]byte
	w.text.Write(strconv.AppendFloat(room[:0], v, 'g', n, 64))
	return w
}

// part is one of the texts.
func (w *prose) part(i int) string {
	all, end := w.text.String(), w.text.Len()
	if i+1 < len(w.starts) {
		end = w.starts[i+1]
	}
	return all[w.starts[i]:end]
}
