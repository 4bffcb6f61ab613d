package golden

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"testing"
)

// pictures is where the README's pictures lie, seen from a program's folder.
const pictures = "../pictures"

// Picture runs a program with its output in a folder of the test, and holds the picture that
// it writes to examples/pictures/NAME.png, which the README shows: in 16 greys, and a sheet
// for print at half its size. Processors may differ in how they round a line's edge by a
// grey or two; more than that is allowed at a few pixels alone.
func Picture(t *testing.T, name, file string, run func(args []string, stdout, stderr io.Writer) error, args ...string) {
	t.Helper()
	out := filepath.Join(t.TempDir(), "out")
	if err := run(append([]string{"-out", out}, args...), io.Discard, io.Discard); err != nil {
		t.Fatal(err)
	}
	content, err := os.ReadFile(filepath.Join(out, file))
	if err != nil {
		t.Fatal(err)
	}
	drawn, err := png.Decode(bytes.NewReader(content))
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	got := greys(drawn)
	shown := filepath.Join(pictures, name+".png")
	if *update {
		if err := save(shown, got); err != nil {
			t.Fatal(err)
		}
	}
	content, err = os.ReadFile(shown)
	if err != nil {
		t.Fatal(err)
	}
	if len(content) > 60_000 {
		t.Errorf("%s has %d bytes, more than a reader of the README should have to load", shown, len(content))
	}
	had, err := png.Decode(bytes.NewReader(content))
	if err != nil {
		t.Fatalf("%s: %v", shown, err)
	}
	if why := unlike(had, got); why != "" {
		t.Errorf("%s is not what the program draws now: %s; -update-golden draws it anew", shown, why)
	}
}

func save(name string, m image.Image) error {
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, m); err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	return os.WriteFile(name, b.Bytes(), 0o644)
}

// levels is how many greys a picture has.
const levels = 16

// greys returns a picture in 16 greys, halved where it is higher than a screen.
func greys(m image.Image) *image.Paletted {
	palette := make(color.Palette, levels)
	for i := range palette {
		palette[i] = color.Gray{uint8(i * 255 / (levels - 1))}
	}
	r := m.Bounds()
	step := 1
	if r.Dy() > 1000 {
		step = 2
	}
	out := image.NewPaletted(image.Rect(0, 0, r.Dx()/step, r.Dy()/step), palette)
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			sum := 0
			for i := range step * step {
				sum += grey(m.At(r.Min.X+x*step+i%step, r.Min.Y+y*step+i/step))
			}
			level := (sum*(levels-1) + step*step*255/2) / (step * step * 255)
			out.SetColorIndex(x, y, uint8(level))
		}
	}
	return out
}

func grey(c color.Color) int { return int(color.GrayModel.Convert(c).(color.Gray).Y) }

// unlike says in what two pictures differ; "" where they do not.
func unlike(had, got image.Image) string {
	if had.Bounds() != got.Bounds() {
		return fmt.Sprintf("its size is %v and was %v", got.Bounds().Size(), had.Bounds().Size())
	}
	const much, few = 2 * 255 / (levels - 1), 20
	n, first := 0, image.Point{}
	for y := range got.Bounds().Dy() {
		for x := range got.Bounds().Dx() {
			if d := grey(had.At(x, y)) - grey(got.At(x, y)); d > much || d < -much {
				if n == 0 {
					first = image.Pt(x, y)
				}
				n++
			}
		}
	}
	if n <= few {
		return ""
	}
	return fmt.Sprintf("%d pixels differ, the first at %v", n, first)
}
