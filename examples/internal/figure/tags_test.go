package figure

import (
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
)

// Words at one point, at the edges and beyond them do not lie on each other.
func TestTagsDoNotOverprint(t *testing.T) {
	within := vg.Rectangle{Max: vg.Point{X: 300, Y: 200}}
	size := vg.Point{X: 60, Y: 9}
	var taken []vg.Rectangle
	for i := range 12 {
		at := vg.Point{X: 200 + vg.Length(i), Y: 196 - 2*vg.Length(i%3)}
		box, _ := place(at, size, taken, within)
		if meets(box, taken) || box.Max.Y > within.Max.Y || box.Max.X > within.Max.X {
			t.Errorf("tag %d at %v", i, box)
		}
		taken = append(taken, box)
	}
	if box, moved := place(vg.Point{X: 290, Y: 50}, size, nil, within); box.Max.X > 290 || moved != 0 {
		t.Errorf("no room at the right: %v", box)
	}
}

func TestTitled(t *testing.T) {
	got := Titled("Curves", "Film (invented)", "a process "+strings.Repeat("with agitation ", 8))
	for _, line := range strings.Split(got, "\n") {
		if len(line) > widest {
			t.Errorf("%q is too long", line)
		}
	}
	if !strings.HasPrefix(got, "Curves\nFilm (invented), a process") {
		t.Error(got)
	}
}
