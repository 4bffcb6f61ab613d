package figure

import (
	"os"
	"path/filepath"
	"testing"

	"gonum.org/v1/plot/plotter"

	"example.org/actinic/internal/held"
)

// A plot of no size is no picture, and says so.
func TestNoSize(t *testing.T) {
	said := held.New(t)
	p := New("", "", "")
	Line(p, plotter.XYs{{X: 0, Y: 0}, {X: 1, Y: 1}}, Black, 1, nil)
	files := Files{}
	if err := files.Draw("x", p, 0, 0); !said.Refused("no size", err) || len(files) > 0 {
		t.Errorf("%v, %d files", err, len(files))
	}
}

// Files go into a folder beside others.
func TestWrite(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	for name, text := range map[string]string{"a": "1", "b": "2"} {
		if err := (Files{name: []byte(text)}).Write(dir); err != nil {
			t.Fatal(err)
		}
	}
	for name, want := range map[string]string{"a": "1", "b": "2"} {
		if got, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(got) != want {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
	if err := (Files{"a": nil}).Write(filepath.Join(dir, "a")); err == nil {
		t.Error("written below a file")
	}
}

// Marks at and beside the ends of an axis, and beside lengths where their steps change.
func TestTicksAtEdges(t *testing.T) {
	said := held.New(t)

	marks := func(lo, hi float64) (values []float64, labels []string) {
		for _, tick := range (ticks{}).Ticks(lo, hi) {
			values, labels = append(values, tick.Value), append(labels, tick.Label)
		}
		return values, labels
	}
	said.Drive([]any{marks}, -0.5, 0.0, 1.0, 2.0, 3.9, 4.0, 4.1, 8.0, 10.0, 20.0, 25.0)
}
