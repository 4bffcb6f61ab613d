package held

import (
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"regexp"
	"strings"
	"testing"
)

// counted is a value that only a function makes.
type counted struct {
	N    int
	hide string
}

func makeCounted(n int) (*counted, error) {
	if n < 0 || n > 40 {
		return nil, fmt.Errorf("count %d, want 0 to 40", n)
	}
	return &counted{n, "x"}, nil
}

func (c *counted) Half() float64 { return float64(c.N) / 2 }

func root(x float64) (float64, error) {
	if !(x >= 0.25) {
		return 0, errors.New("below a quarter")
	}
	return math.Sqrt(x), nil
}

func above(x float64) bool { return x > 30 }

func fill(dst, src []float64) {
	if len(src) > len(dst) {
		panic("too short")
	}
	copy(dst, src)
}

func echo(w io.Writer, s string) error { _, err := io.WriteString(w, s+"!"); return err }

func silent(ch chan int) {}

// A driven record has the sentences, the edges and sums that change when a function does.
func TestDriven(t *testing.T) {
	drive := func(functions []any, pool ...any) []string {
		s := &spy{TB: t}
		r := &Record{t: s, in: map[string]bool{}}
		r.Drive(functions, pool...)
		if len(s.said) > 0 {
			t.Errorf("%q", s.said)
		}
		return r.lines
	}
	lines := drive([]any{(*counted).Half, makeCounted, root, above, echo, silent})
	text := strings.Join(lines, "\n")
	for _, want := range []string{
		"makeCounted, argument 1: from 41: nil; count #, want # to #", "makeCounted, argument 1: from 0: nil", "root, argument 1: from 0.25 and above: nil", "above, argument 1: from 30 excluded: true",
		"(*counted).Half: 3 numbers:", "× below a quarter", "× a!", "silent: not called, for want of a chan int",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("lacks %q:\n%s", want, text)
		}
	}
	own := regexp.MustCompile(`func\d+`)
	sum := func(f func(x float64) float64) string {
		return own.ReplaceAllString(strings.Join(drive([]any{f}), "\n"), "f")
	}
	was := sum(func(x float64) float64 { return 2 * x })
	verdict := func(f func(x float64) bool) string {
		return own.ReplaceAllString(strings.Join(drive([]any{f}), "\n"), "f")
	}
	for name, f := range map[string]func(x float64) bool{"a bound": func(x float64) bool { return x >= 30 }, "a limit": func(x float64) bool { return x > 31 }} {
		if Differ(verdict(func(x float64) bool { return x > 30 }), verdict(f)) == "" {
			t.Errorf("%s is not told", name)
		}
	}
	for name, f := range map[string]func(x float64) float64{"a factor": func(x float64) float64 { return 2.01 * x }, "a sign": func(x float64) float64 { return -2 * x }} {
		if Differ(was, sum(f)) == "" {
			t.Errorf("%s is not told", name)
		}
	}
	if where := Differ(was, sum(func(x float64) float64 { return 2*x + 1e-17 })); where != "" {
		t.Errorf("rounding is told: %s", where)
	}
	// What a function writes into a slice is seen, and the slice stays as it was.
	source := []float64{5, 6}
	if got := drive([]any{fill}, Preconditions{}, make([]float64, 2), source, []float64{1, 2, 3}); !strings.Contains(strings.Join(got, "\n"), "fill: 3 × panics") || source[0] != 5 {
		t.Errorf("%q", got)
	}
	s := &spy{TB: t}
	(&Record{t: s, in: map[string]bool{}}).Drive([]any{fill})
	if len(s.said) == 0 || !strings.Contains(s.said[0], "panics: too short") {
		t.Errorf("a panic is no failure: %q", s.said)
	}
}

func TestLook(t *testing.T) {
	r := &Record{t: &spy{TB: t}, in: map[string]bool{}}
	r.Look("x", map[string]any{"a": []int{1, 2}, "b": "twelve 12", "c": errors.New("bad"), "d": struct{ V float64 }{3}, "e": strings.Repeat("word ", 100)})
	text := strings.Join(r.lines, "\n")
	for _, want := range []string{"x: 1 × twelve 12", "x: 1 × bad", "(500 bytes and numbers)", "x: 5 numbers:"} {
		if !strings.Contains(text, want) {
			t.Errorf("lacks %q:\n%s", want, text)
		}
	}
}

// Each member is exchanged and left out, and what reads JSON one way and writes it another is told of.
func TestVariantsOfJSON(t *testing.T) {
	seen := map[string]bool{}
	for _, v := range variantsOf([]byte(`{"a":[7,8,9],"b":{"c":"d"}}`)) {
		seen[string(v)] = true
	}
	for _, want := range []string{`null`, `{"b":{"c":"d"}}`, `{"a":[8,9],"b":{"c":"d"}}`, `{"a":[7,-1,9],"b":{"c":"d"}}`,
		`{"a":[7,8,9],"b":{}}`, `{"a":[7,8,9],"b":{"c":null}}`, `{"a":[7,8,9],"b":"x"}`, `{"a":[7,8,9]}`} {
		if !seen[want] {
			t.Errorf("%s is not among %d variants", want, len(seen))
		}
	}
	d, v := &drive{}, reflect.ValueOf(struct{ A int }{3})
	if got := d.reread(v, []byte(`{"A":4}`)); string(got) != `{"A":4}` {
		t.Errorf("read and written again: %s", got)
	}
	if got := d.reread(v, []byte(`{"A":"four"}`)); got != nil {
		t.Errorf("a word for a number: %s", got)
	}
}
