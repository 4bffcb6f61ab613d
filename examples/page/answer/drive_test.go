package answer_test

import (
	"math"
	"testing"

	"example.org/actinic/examples/page/answer"
	"example.org/actinic/internal/held"
)

// What is drawn, written and found below a folder is held to what it was.
func TestDrive(t *testing.T) {
	below := func(all map[string][]byte) ([]string, bool) {
		d, ok := answer.Below(all, "x.json")
		return d.Names(), ok
	}
	files := func(names ...string) map[string][]byte {
		m := map[string][]byte{}
		for _, n := range names {
			m[n] = []byte(n)
		}
		return m
	}
	held.New(t).Drive([]any{answer.Point.Drawable, answer.Answer.JSON, answer.Dropped.Names, below, answer.Failed},
		answer.Point{1, 2}, answer.Point{math.NaN(), 2}, answer.Point{1, math.Inf(1)}, answer.Point{math.Inf(-1), 0}, answer.Point{0, math.NaN()},
		answer.Failed("T", "a", "b"), answer.Answer{Title: "T", Under: []string{"u"}, Box: []answer.Line{{Name: "n", Text: "t"}}}, answer.Answer{},
		answer.Dropped{"b": nil, "a": nil}, files("x.json", "y"), files("a/x.json", "b/x.json", "b/y", "a/z", "c"), files("b/x.json", "a/x.json", "a/w"), files("aa/x.json", "b/x.json", "b/q", "aa/q"), files("a/x.json/y"), files())
	d := answer.Dropped{"a": []byte("12"), "b": []byte("3")}
	f, err := d.Open("a")
	if err != nil {
		t.Fatal(err)
	}
	info, err := f.Stat()
	if err != nil || info.Name() != "a" || info.Size() != 2 || info.IsDir() || info.Mode() != 0o444 || !info.ModTime().IsZero() || info.Sys() != nil {
		t.Errorf("%v, %v", info, err)
	}
}
