package figure

import (
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
)

// Words at one point, at the edges and beyond them do not lie on each other, stay within the
// picture and in the order of their points.
func TestTagsDoNotOverprint(t *testing.T) {
	within := vg.Rectangle{Max: vg.Point{X: 300, Y: 200}}
	const line = vg.Length(10)
	rng := rand.New(rand.NewPCG(3, 9))
	for range 200 {
		words := make([]word, 2+rng.IntN(14))
		for i := range words {
			words[i] = word{at: vg.Point{X: vg.Length(200 + rng.IntN(120)), Y: vg.Length(rng.Float64() * 210)}, wide: vg.Length(10 + rng.IntN(50))}
		}
		arrange(words, line, within)
		for i, w := range words {
			if w.middle < line/2-1e-9 || w.middle > within.Max.Y-line/2+1e-9 || w.left < 0 {
				t.Fatalf("%+v lies outside", w)
			}
			for _, v := range words[:i] {
				meet := w.left < v.left+v.wide && v.left < w.left+w.wide
				if d := w.middle - v.middle; meet && d < line-1e-6 && d > -line+1e-6 {
					t.Fatalf("%+v and %+v overprint", v, w)
				}
				if meet && (w.at.Y-v.at.Y)*(w.middle-v.middle) < 0 {
					t.Fatalf("%+v and %+v changed places", v, w)
				}
			}
		}
	}
	// One word stays where its point is.
	one := []word{{at: vg.Point{X: 50, Y: 80}, wide: 40}}
	if arrange(one, line, within); one[0].middle != 80 || one[0].left != 50+tagGap {
		t.Errorf("%+v", one[0])
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
