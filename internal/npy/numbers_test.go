package npy

import (
	"bytes"
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
)

// The sizes are those that the names say (NumPy's documentation, "Array interface": a kind and a number of bytes).
func TestSizes(t *testing.T) {
	for descr, want := range map[string]int{"<u2": 2, "<f4": 4, "<f8": 8, "<f2": 0, ">f4": 0, "": 0} {
		if got := Size(descr); got != want {
			t.Errorf("%q: %d bytes, want %d", descr, got, want)
		}
	}
}

// A file that ends anywhere in its header says so; one that is no NumPy file says that.
func TestHeaderCutAnywhere(t *testing.T) {
	one := Header(Float32, 3, 4)
	two := slices.Concat([]byte("\x93NUMPY\x02\x00"), one[8:10], []byte{0, 0}, one[10:])
	for _, whole := range [][]byte{one, two} {
		for n := range whole {
			_, _, err := ReadHeader(bytes.NewReader(whole[:n]))
			want := "the NumPy header is cut short"
			if n < 8 {
				want = "not a NumPy file; write it with numpy.save(name, array)"
			}
			if err == nil || err.Error() != want {
				t.Errorf("%d of %d bytes: %v, want %q", n, len(whole), err, want)
			}
		}
		if descr, shape, err := ReadHeader(bytes.NewReader(whole)); err != nil || descr != Float32 || !slices.Equal(shape, []int{3, 4}) {
			t.Errorf("whole: %q %v %v", descr, shape, err)
		}
	}
	for _, version := range []string{"\x00\x00", "\x01\x01", "\x02\x01", "\x03\x00"} {
		if _, _, err := ReadHeader(strings.NewReader("\x93NUMPY" + version + string(one[8:]))); err == nil || !strings.HasPrefix(err.Error(), "NumPy format") {
			t.Errorf("version %q: %v", version, err)
		}
	}
}

// A header may be as long as the bound, and no longer.
func TestLongestHeader(t *testing.T) {
	dict := "{'descr': '<f4', 'fortran_order': False, 'shape': (2,)}"
	for n, want := range map[int]bool{1 << 16: true, 1<<16 + 1: false} {
		text := "\x93NUMPY\x02\x00" + string([]byte{byte(n), byte(n >> 8), byte(n >> 16), byte(n >> 24)}) + dict + strings.Repeat(" ", n-len(dict))
		if _, _, err := ReadHeader(strings.NewReader(text)); (err == nil) != want {
			t.Errorf("%d bytes: %v", n, err)
		}
	}
}

// Elements leaves room for eight bytes a number, to the last.
func TestElements(t *testing.T) {
	most := math.MaxInt / 8
	for _, c := range []struct {
		shape []int
		want  int // -1 for too many
	}{
		{nil, 1}, {[]int{7}, 7}, {[]int{2, 3, 4}, 24}, {[]int{5, 0, 9}, 0}, {[]int{0, most, most}, 0},
		{[]int{most}, most}, {[]int{1, most}, most}, {[]int{most, 1}, most}, {[]int{most/2 + 1, 2}, -1}, {[]int{most, 2}, -1}, {[]int{most + 1}, -1},
	} {
		got, err := Elements(c.shape)
		if c.want < 0 && (err == nil || got != 0 || !strings.HasPrefix(err.Error(), "an array of [")) || c.want >= 0 && (err != nil || got != c.want) {
			t.Errorf("%v: %d, %v, want %d", c.shape, got, err, c.want)
		}
	}
}

// Numbers that are written are read again, bit for bit, and a file that ends early or a disk that
// is full is an error.
func TestFloats(t *testing.T) {
	x := []float32{0, 1, -2.5, float32(math.Pi), math.MaxFloat32, float32(math.Inf(-1))}
	raw := make([]byte, 4*len(x)+3) // more than they need
	var b bytes.Buffer
	if err := WriteFloats(&b, x, raw); err != nil || b.Len() != 4*len(x) {
		t.Fatalf("%d bytes, %v", b.Len(), err)
	}
	if want := []byte{0, 0, 128, 63, 0, 0, 32, 192}; !bytes.Equal(b.Bytes()[4:12], want) { // IEEE 754: 1 is 0x3f800000, -2.5 0xc0200000
		t.Errorf("% x, want % x", b.Bytes()[4:12], want)
	}
	text := b.Bytes()
	back := make([]float32, len(x))
	if err := ReadFloats(bytes.NewReader(text), back, raw); err != nil || !slices.Equal(back, x) {
		t.Errorf("%v, %v, want %v", back, err, x)
	}
	for n := range text {
		if err := ReadFloats(bytes.NewReader(text[:n]), back, raw); err == nil {
			t.Errorf("%d of %d bytes are enough", n, len(text))
		}
	}
	broken := errors.New("broken")
	if err := ReadFloats(iotest.ErrReader(broken), back, raw); !errors.Is(err, broken) {
		t.Error(err)
	}
	r, w := io.Pipe()
	r.CloseWithError(broken)
	if err := WriteFloats(w, x, raw); !errors.Is(err, broken) {
		t.Error(err)
	}
}
