package figure

import (
	"image"
	"testing"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic/internal/held"
)

// Pictures with tags, stops and labels of many kinds are what they were, by the words and numbers of their SVG.
func TestDrive(t *testing.T) {
	svg := func(p *plot.Plot) (string, error) {
		files := Files{}
		err := files.Draw("x", p, 300, 200)
		return string(files["x.svg"]), err
	}
	tags := func(tags []Tag) (string, error) {
		p := New("Tags", "log H", "Density")
		Line(p, plotter.XYs{{X: -3, Y: 0}, {X: 0, Y: 2}}, Black, 1, nil)
		Tags(p, tags...)
		return svg(p)
	}
	stops := func(xy plotter.XYs, zero float64) (string, error) {
		p := New("Stops", "log H", "Density")
		Line(p, xy, Black, 1, nil)
		Stops(p, zero, "stops from the metered tone")
		return svg(p)
	}
	all := func(low, high plotter.XYs, v float64) (string, error) {
		p := New(Titled("Curves", "a film (invented)", "a process"), "x", "y")
		Fill(p, low, high)
		Points(p, high, draw.CircleGlyph{}, Mid, 2)
		Label(p, v, 1, "here", 3, -4)
		return svg(p)
	}
	framed := func(x, y, n int) []byte {
		img := image.NewGray(image.Rect(0, 0, 30, 20))
		for i := range img.Pix {
			img.Pix[i] = 100
		}
		Frame(img, image.Rect(x, y, x+n, y+n))
		return img.Pix
	}
	arranged := func(words []word) []vg.Length {
		arrange(words, 10, vg.Rectangle{Max: vg.Point{X: 100, Y: 80}})
		var out []vg.Length
		for _, w := range words {
			out = append(out, w.left, w.middle)
		}
		return out
	}
	at := func(x, y, wide vg.Length) word { return word{at: vg.Point{X: x, Y: y}, wide: wide} }
	held.New(t).Drive([]any{tags, stops, all, framed, arranged, Titled, signed, plain, Font},
		held.Few{}, []Tag{{-3, 0.1, "base", false}, {-1, 1.2, "A", false}, {-1, 1.2, "B", false}, {-1, 1.21, "C", true}, {0, 1.9, "a long word", false}}, []Tag{{0, 0, "x", true}}, []Tag{{-2, 1, "one", false}, {-2, 1.05, "two", false}, {-1.9, 1.1, "three", false}, {-1.9, 0.9, "four", true}, {-1.9, 1, "five", false}}, []Tag(nil),
		plotter.XYs{{X: -3, Y: 0.1}, {X: 0, Y: 1.9}}, plotter.XYs{{X: -6, Y: 0.1}, {X: 0, Y: 1.9}}, plotter.XYs{{X: 0, Y: 0}, {X: 4.5, Y: 1}}, plotter.XYs{{X: 0, Y: 3}, {X: 0, Y: 3}},
		[]word{at(50, 40, 20), at(50, 41, 20), at(50, 39, 20)}, []word{at(95, 2, 30), at(5, 79, 200), at(40, 40, 10)}, []word{at(10, 10, 20), at(10, 12, 20), at(35, 11, 20), at(60, 70, 20), at(60, 75, 20), at(60, 79, 20)},
		[]word{at(10, 10, 20), at(35, 10, 20)}, []word{at(10, 15, 20), at(10, 5, 20), at(10, 25, 20)},
		-1.0, 0.0, 2.5, -2.0, 3, 0, 1, -1, 18, 12, "Curves", "a film (invented)", "a process with a name that goes on and on and on, so that a title must be folded there",
		"seventy six signs are what a title has room for on one of its lines, or more")
}
