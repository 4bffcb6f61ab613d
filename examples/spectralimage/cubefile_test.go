package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/npy"
	"example.org/actinic/spectral"
)

// Numbers of each kind in either order of their bytes, least and greatest too.
func TestNumbers(t *testing.T) {
	for _, c := range []struct {
		code int
		v    any
		want float64
	}{{1, uint8(0), 0}, {1, uint8(200), 200}, {1, uint8(255), 255}, {2, int16(-32768), -32768}, {2, int16(32767), 32767}, {2, int16(-2), -2}, {3, int32(-2147483648), -2147483648}, {3, int32(70000), 70000},
		{4, float32(-0.25), -0.25}, {5, 1e-300, 1e-300}, {12, uint16(65535), 65535}, {12, uint16(258), 258}, {13, uint32(4294967295), 4294967295}, {13, uint32(66051), 66051}} {
		n := numbers[c.code]
		for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
			var b bytes.Buffer
			if err := binary.Write(&b, order, c.v); err != nil {
				t.Fatal(err)
			}
			if got := n.value(b.Bytes(), order); got != c.want || b.Len() != n.size || n.whole != (c.code != 4 && c.code != 5) || n.Name != fmt.Sprintf("%T", c.v) {
				t.Errorf("%s in %v: %v, want %v; %d bytes", n.Name, order, got, c.want, n.size)
			}
		}
	}
}

// atMost is a file that ends early, or fails.
type atMost struct {
	b   []byte
	err error
}

func (a atMost) ReadAt(p []byte, off int64) (int, error) {
	if off >= int64(len(a.b)) {
		return 0, a.err
	}
	n := copy(p, a.b[off:])
	if n < len(p) {
		return n, a.err
	}
	return n, nil
}

// Pixels of a row are read from a cube of each order, part of a row or all of it; a cube that fails or got shorter says so.
func TestReadsPixels(t *testing.T) {
	const rows, columns, bands, offset = 3, 4, 5, 7
	value := func(y, x, b int) float32 { return float32(100*y + 10*x + b) }
	for _, interleave := range interleaves {
		c := &cubeFile{offset: offset, rows: rows, columns: columns, bands: bands, number: numbers[4], order: binary.LittleEndian, interleave: interleave, ignore: math.NaN()}
		raw := make([]byte, offset+4*rows*columns*bands)
		for y := range rows {
			for x := range columns {
				for b := range bands {
					binary.LittleEndian.PutUint32(raw[c.at(y, x, b):], math.Float32bits(value(y, x, b)))
				}
			}
		}
		for _, from := range []int{0, 1, 3} {
			for _, n := range []int{1, 2, columns} {
				if from+n > columns {
					continue
				}
				c.r = bytes.NewReader(raw)
				got := make([]float32, n*bands)
				if err := c.read(got, 1, from, n); err != nil {
					t.Fatal(err)
				}
				for i, v := range got {
					if want := value(1, from+i/bands, i%bands); v != want {
						t.Errorf("%s from %d, %d pixels: %v at %d, want %v", interleave, from, n, v, i, want)
					}
				}
				bad := errors.New("a fault")
				for _, err := range []error{io.EOF, bad} {
					c.r = atMost{raw[:offset+4], err}
					said := c.read(got, 1, from, n)
					if want := map[error]string{io.EOF: "the cube became shorter while it was read", bad: "a fault"}[err]; said == nil || said.Error() != want {
						t.Errorf("%s: %v, want %s", interleave, said, want)
					}
				}
			}
		}
		if _, err := c.sample(); err == nil {
			t.Errorf("%s: a sample of what cannot be read", interleave)
		}
		if _, err := c.checkScale(true); err == nil {
			t.Errorf("%s: the scale of what cannot be read", interleave)
		}
	}
	// A scale and a value for no data.
	c := &cubeFile{rows: 1, columns: 3, bands: 1, number: numbers[12], order: binary.BigEndian, interleave: "bip", ignore: 9, scale: 0.5, r: bytes.NewReader([]byte{0, 8, 0, 9, 0, 10})}
	got := make([]float32, 3)
	if err := c.read(got, 0, 0, 3); err != nil || got[0] != 4 || got[1] == got[1] || got[2] != 5 {
		t.Errorf("%v, %v", got, err)
	}
}

// What is odd in the values is said, on both sides of each bound.
func TestScales(t *testing.T) {
	said := held.New(t)
	cube := func(code int, values ...float32) *cubeFile {
		c := &cubeFile{rows: 1, columns: len(values), bands: 1, number: numbers[code], order: binary.LittleEndian, interleave: "bip", ignore: math.NaN()}
		var raw []byte
		for _, v := range values {
			raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(v))
		}
		c.r = bytes.NewReader(raw)
		return c
	}
	nan := float32(math.NaN())
	tenth := append(slices.Repeat([]float32{0.5}, 9), 1.6)
	for name, values := range map[string][]float32{"fractions": {0.1, 1.5}, "a tenth above": tenth, "more than a tenth": append([]float32{1.51}, tenth...), "at the mark": slices.Repeat([]float32{1.5}, 3), "above it": slices.Repeat([]float32{1.5001}, 3),
		"small": {0.0099, 0.001}, "not so small": {0.0101, 0.001}, "none": {nan, nan}, "some": {nan, 0.3}, "negative": {-3, -2}} {
		for _, sure := range []bool{false, true} {
			notes, err := cube(4, values...).checkScale(sure)
			said.Values(fmt.Sprint(name, ", said ", sure), notes, err)
		}
	}
	_, err := cube(13, 1).checkScale(false)
	said.Refused("whole numbers", err)
	wide := &cubeFile{rows: 100, columns: 49, bands: 1, number: numbers[1], order: binary.LittleEndian, interleave: "bip", ignore: math.NaN(), scale: 1, r: bytes.NewReader(make([]byte, 4900))}
	if x, err := wide.sample(); err != nil || len(x) != 48*48 {
		t.Errorf("%d values, %v", len(x), err)
	}
	for _, name := range []string{"bip", "bil", "bsq", "pib", "", "bi", "bip bil"} {
		if known(name) != slices.Contains(interleaves, name) && name != "bip bil" {
			t.Errorf("%q known: %v", name, known(name))
		}
	}
}

// A cube of the quarry that has no room says so wherever that is, and one that is broken off.
func TestQuarryWithoutRoom(t *testing.T) {
	bands := []float64{400, 500, 600}
	var whole bytes.Buffer
	steps := 0
	if err := writeQuarry(context.Background(), &whole, 2, 3, bands, func(done int) { steps += done }); err != nil || steps != 3 {
		t.Fatal(err, steps)
	}
	kind, shape, err := npy.ReadHeader(bytes.NewReader(whole.Bytes()))
	if err != nil || kind != npy.Float32 || !slices.Equal(shape, []int{2, 3, 3}) {
		t.Errorf("%v %v %v", kind, shape, err)
	}
	for _, room := range []int{0, whole.Len() - 72, whole.Len() - 36, whole.Len() - 1} {
		if err := writeQuarry(context.Background(), &roomFor{room}, 2, 3, bands, func(int) {}); !errors.Is(err, io.ErrShortWrite) {
			t.Errorf("with room for %d bytes: %v", room, err)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if err := writeQuarry(ctx, io.Discard, 2, 3, bands, func(int) { t.Error("a row is done") }); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// roomFor is a writer that takes so many bytes.
type roomFor struct{ n int }

func (r *roomFor) Write(p []byte) (int, error) {
	if len(p) > r.n {
		n := r.n
		r.n = 0
		return n, io.ErrShortWrite
	}
	r.n -= len(p)
	return len(p), nil
}

// The share of a response that lies beyond a range: of an even one that of the lengths.
func TestBeyond(t *testing.T) {
	even, err := spectral.New([]float64{400, 600}, []float64{1, 1}, spectral.Zero)
	if err != nil {
		t.Fatal(err)
	}
	none, err := spectral.New([]float64{400, 600}, []float64{0, 0}, spectral.Zero)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		from, to float64
		of       spectral.Spectrum
		want     float64
	}{{300, 700, even, 0}, {400, 600, even, 0}, {450, 600, even, 0.25}, {400, 500, even, 0.5}, {500, 520, even, 0.9}, {700, 800, even, 1}, {500, 500, even, 0}, {600, 400, even, 0}, {450, 500, none, 0}} {
		if got, err := beyond(c.from, c.to, []spectral.Spectrum{c.of}); err != nil || math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%v to %v: %v, %v, want %v", c.from, c.to, got, err, c.want)
		}
	}
}

// Sidecars that no run of ours wrote, and arrays that are not what they say.
func TestSidecars(t *testing.T) {
	said := held.New(t)
	good := func() sidecar {
		s := sidecar{Rows: [2]int{0, 2}}
		s.Cube.Rows, s.Cube.Columns, s.Channels = 4, 3, make([]channel, 2)
		return s
	}
	for name, change := range map[string]func(s *sidecar){"good": func(*sidecar) {}, "no rows": func(s *sidecar) { s.Cube.Rows = 0 }, "no columns": func(s *sidecar) { s.Cube.Columns = 0 }, "no channels": func(s *sidecar) { s.Channels = nil },
		"most channels": func(s *sidecar) { s.Channels = make([]channel, mostBands) }, "more channels": func(s *sidecar) { s.Channels = make([]channel, mostBands+1) }, "before the first": func(s *sidecar) { s.Rows[0] = -1 },
		"nothing": func(s *sidecar) { s.Rows = [2]int{2, 2} }, "the last": func(s *sidecar) { s.Rows = [2]int{3, 4} }, "beyond the last": func(s *sidecar) { s.Rows = [2]int{3, 5} }, "too much": func(s *sidecar) { s.Cube.Rows, s.Cube.Columns = math.MaxInt32, math.MaxInt32 }} {
		s := good()
		change(&s)
		said.Values(name, s.check())
	}
	dir := t.TempDir()
	array := func(kind string, shape []int, floats int) []byte {
		return append(npy.Header(kind, shape...), make([]byte, 4*floats)...)
	}
	for name, content := range map[string][]byte{"right": array(npy.Float32, []int{2, 3, 2}, 12), "short": array(npy.Float32, []int{2, 3, 2}, 11), "long": array(npy.Float32, []int{2, 3, 2}, 13),
		"another shape": array(npy.Float32, []int{2, 2, 3}, 12), "another kind": array(npy.Float64, []int{2, 3, 2}, 24), "no array": []byte("nothing"), "empty": nil} {
		if err := os.WriteFile(filepath.Join(dir, "densities.npy"), content, 0o644); err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		err := joined{dir: dir, side: good()}.copy(&out, newPictures(4, 3, 2), 2)
		said.Values(name, strings.ReplaceAll(fmt.Sprint(err), dir, "DIR"), out.Len())
	}
	if err := os.WriteFile(filepath.Join(dir, "densities.npy"), array(npy.Float32, []int{2, 3, 2}, 12), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := (joined{dir: dir, side: good()}).copy(&roomFor{30}, newPictures(4, 3, 2), 2); !errors.Is(err, io.ErrShortWrite) {
		t.Errorf("without room: %v", err)
	}
}
