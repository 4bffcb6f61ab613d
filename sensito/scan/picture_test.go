package scan

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"math"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"

	"golang.org/x/image/tiff"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/npy"
)

// grey16 and rgb64 are pictures whose every value tells its place.
func grey16(w, h int) *image.Gray16 {
	m := image.NewGray16(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetGray16(x, y, color.Gray16{uint16(1000*y + 7*x + 1)})
		}
	}
	return m
}

func rgb64(w, h int) *image.RGBA64 {
	m := image.NewRGBA64(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint16(1000*y + 7*x + 1)
			m.SetRGBA64(x, y, color.RGBA64{v + 1, v, v + 2, 65535})
		}
	}
	return m
}

func tiffOf(t testing.TB, m image.Image, o *tiff.Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := tiff.Encode(&b, m, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

type order interface {
	binary.ByteOrder
	binary.AppendByteOrder
}

// plainTIFF writes a TIFF of so many samples a pixel, in an order of bytes and with tags
// put in or changed; the writer of golang.org/x/image writes RGB with alpha only.
func plainTIFF(order order, w, h, samples int, value func(x, y, s int) uint16, tags map[uint16][]uint32) []byte {
	var pixels []byte
	for y := range h {
		for x := range w {
			for s := range samples {
				pixels = order.AppendUint16(pixels, value(x, y, s))
			}
		}
	}
	all := map[uint16][]uint32{256: {uint32(w)}, 257: {uint32(h)}, 258: {16}, 259: {1}, 262: {1}, 273: {8}, 277: {uint32(samples)}, 278: {uint32(h)}, 279: {uint32(len(pixels))}}
	if samples == 3 {
		all[258], all[262] = []uint32{16, 16, 16}, []uint32{2}
	}
	for k, v := range tags {
		all[k] = v
	}
	b := []byte("II*\x00")
	if order.String() == "BigEndian" {
		b = []byte("MM\x00*")
	}
	b = append(order.AppendUint32(b, uint32(8+len(pixels))), pixels...)
	var keys []int
	for k := range all {
		keys = append(keys, int(k))
	}
	for i := range keys { // few
		for j := range i {
			if keys[i] < keys[j] {
				keys[i], keys[j] = keys[j], keys[i]
			}
		}
	}
	behind := uint32(len(b) + 2 + 12*len(keys) + 4)
	var long []byte
	b = order.AppendUint16(b, uint16(len(keys)))
	for _, k := range keys {
		v := all[uint16(k)]
		b = order.AppendUint32(order.AppendUint16(order.AppendUint16(b, uint16(k)), 4), uint32(len(v)))
		if len(v) == 1 {
			b = order.AppendUint32(b, v[0])
			continue
		}
		b = order.AppendUint32(b, behind+uint32(len(long)))
		for _, x := range v {
			long = order.AppendUint32(long, x)
		}
	}
	return append(append(b, 0, 0, 0, 0), long...)
}

func placed(x, y, s int) uint16 { return uint16(1000*y+7*x+1) + [...]uint16{1, 0, 2}[s] }
func lone(x, y, _ int) uint16   { return uint16(1000*y + 7*x + 1) }

func pngOf(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// withChunk puts a chunk behind the header of a PNG.
func withChunk(b []byte, kind string, body []byte) []byte {
	c := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	c = append(append(c, kind...), body...)
	c = binary.BigEndian.AppendUint32(c, crc32.ChecksumIEEE(c[4:]))
	return append(append(bytes.Clone(b[:33]), c...), b[33:]...)
}

func netpbm(head string, w, h, samples int) []byte {
	b := []byte(head)
	for y := range h {
		for x := range w {
			for s := range samples {
				v := lone(x, y, 0)
				if samples == 3 {
					v = placed(x, y, s)
				}
				b = binary.BigEndian.AppendUint16(b, v)
			}
		}
	}
	return b
}

func npyOf(descr string, w, h, samples int) []byte {
	shape := []int{h, w}
	if samples == 3 {
		shape = append(shape, 3)
	}
	b := npy.Header(descr, shape...)
	for y := range h {
		for x := range w {
			for s := range samples {
				v := lone(x, y, 0)
				if samples == 3 {
					v = placed(x, y, s)
				}
				switch descr {
				case npy.Uint16:
					b = binary.LittleEndian.AppendUint16(b, v)
				case npy.Float32:
					b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(v)))
				case npy.Float64:
					b = binary.LittleEndian.AppendUint64(b, math.Float64bits(float64(v)))
				}
			}
		}
	}
	return b
}

func decode(b []byte, c Channel) (*Picture, error) {
	return Decode(bytes.NewReader(b), int64(len(b)), "a picture", c)
}

func TestReads(t *testing.T) {
	const w, h = 9, 5
	for _, r := range []struct {
		name string
		file []byte
		rgb  bool
	}{
		{"TIFF", tiffOf(t, grey16(w, h), nil), false},
		{"TIFF deflated", tiffOf(t, grey16(w, h), &tiff.Options{Compression: tiff.Deflate, Predictor: true}), false},
		{"TIFF big end first", plainTIFF(binary.BigEndian, w, h, 1, lone, nil), false},
		{"TIFF RGB", plainTIFF(binary.LittleEndian, w, h, 3, placed, nil), true},
		{"TIFF RGB, big end first", plainTIFF(binary.BigEndian, w, h, 3, placed, nil), true},
		{"PNG", pngOf(t, grey16(w, h)), false},
		{"PNG RGB", pngOf(t, rgb64(w, h)), true},
		{"PNG of gamma 1", withChunk(pngOf(t, grey16(w, h)), "gAMA", []byte{0, 1, 0x86, 0xa0}), false},
		{"PGM", netpbm("P5\n# a remark\n9 5\n65535\n", w, h, 1), false},
		{"PGM of 14 bits", netpbm("P5 9 5 16383 ", w, h, 1), false},
		{"PPM", netpbm("P6 9 5\n65535\n", w, h, 3), true},
		{"uint16", npyOf(npy.Uint16, w, h, 1), false},
		{"float32", npyOf(npy.Float32, w, h, 1), false},
		{"float64", npyOf(npy.Float64, w, h, 1), false},
		{"uint16 RGB", npyOf(npy.Uint16, w, h, 3), true},
		{"float64 RGB", npyOf(npy.Float64, w, h, 3), true},
	} {
		for _, c := range []Channel{Green, Red, Blue} {
			p, err := decode(r.file, c)
			if err != nil {
				t.Errorf("%s: %v", r.name, err)
				break
			}
			if pw, ph := p.Size(); pw != w || ph != h {
				t.Errorf("%s: %d × %d", r.name, pw, ph)
			}
			add := 0.0
			if r.rgb {
				add = float64([...]int{Green: 0, Red: 1, Blue: 2}[c])
			}
			for y := range h {
				for x := range w {
					if got, want := p.At(x, y), float64(lone(x, y, 0))+add; got != want {
						t.Fatalf("%s, %v: %v at %d, %d, want %v", r.name, c, got, x, y, want)
					}
				}
			}
			if o := p.Origin(); o.File != "a picture" || o.Format == "" || o.Numbers == "" || (o.Channel == "grey") == r.rgb || !(o.White > 1000) {
				t.Errorf("%s: origin %+v", r.name, o)
			}
			if !math.IsNaN(p.At(w, 0)) || !math.IsNaN(p.At(0, -1)) {
				t.Errorf("%s: a value outside", r.name)
			}
		}
	}
}

// iccWith is a profile with one curve of a gamma.
func iccWith(tag string, gamma float64) []byte {
	b := make([]byte, 128, 160)
	b = binary.BigEndian.AppendUint32(b, 1)
	b = append(b, tag...)
	b = binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(b, 144), 14)
	b = append(b, "curv\x00\x00\x00\x00\x00\x00\x00\x01"...)
	return binary.BigEndian.AppendUint16(b, uint16(gamma*256))
}

func TestICC(t *testing.T) {
	said := held.New(t)
	if err := iccLinear(iccWith("gTRC", 1)); err != nil {
		t.Error(err)
	}
	if err := iccLinear(iccWith("kTRC", 2.2)); !said.Refused("", err) || !strings.Contains(err.Error(), "2.2") {
		t.Error(err)
	}
	if err := iccLinear(iccWith("desc", 2.2)); err != nil {
		t.Error(err)
	}
	table := func(power float64) []byte {
		var b []byte
		for i := range 256 {
			b = binary.BigEndian.AppendUint16(b, uint16(65535*math.Pow(float64(i)/255, power)))
		}
		return b
	}
	if _, straight := tableCurve(table(1)); !straight {
		t.Error("a straight table is not")
	}
	if g, straight := tableCurve(table(1.8)); straight || math.Abs(g-1.8) > 0.05 {
		t.Errorf("a table of 1.8: %v, %v", g, straight)
	}
}

func TestRefusesPictures(t *testing.T) {
	said := held.New(t)
	const w, h = 9, 5
	le := binary.LittleEndian
	tagged := func(tag uint16, v ...uint32) []byte {
		return plainTIFF(le, w, h, 1, lone, map[uint16][]uint32{tag: v})
	}
	eight := image.NewGray(image.Rect(0, 0, w, h))
	stretched := image.NewGray16(image.Rect(0, 0, 64, 64))
	for i := range 64 * 64 {
		stretched.SetGray16(i%64, i/64, color.Gray16{uint16(i%256) * 257})
	}
	good := tiffOf(t, grey16(w, h), nil)
	nan := npyOf(npy.Float32, w, h, 1)
	copy(nan[len(nan)-4:], []byte{0, 0, 0xc0, 0x7f})
	for _, r := range []struct {
		name, says string
		file       []byte
	}{
		{"nothing", "empty", nil},
		{"words", "raw file", []byte("a picture of the tip")},
		{"JPEG", "JPEG", []byte("\xff\xd8\xff\xe0 and so on")},
		{"BigTIFF", "BigTIFF", []byte("II+\x00\x08\x00\x00\x00")},
		{"cut TIFF", "cut short", good[:len(good)-30]},
		{"TIFF cut in its pixels", "cut short", good[:40]},
		{"TIFF of 8 bits", "8 bits", tiffOf(t, eight, nil)},
		{"TIFF turned", "turn", tagged(274, 6)},
		{"TIFF of floating point", "numpy.save", tagged(339, 3)},
		{"TIFF with signs", "sign", tagged(339, 2)},
		{"TIFF of 32 bits", "numpy.save", tagged(258, 32)},
		{"TIFF white is 0", "white", tagged(262, 0)},
		{"TIFF of a sensor's mosaic", "raw file", tagged(262, 32803)},
		{"TIFF of a raw format", "raw file", tagged(50706, 1)},
		{"TIFF in planes", "tiffcp", plainTIFF(le, w, h, 3, placed, map[uint16][]uint32{284: {2}})},
		{"TIFF with alpha", "alpha", tiffOf(t, rgb64(w, h), nil)},
		{"TIFF JPEG", "compression 7", tagged(259, 7)},
		{"TIFF small copy", "small copy", tagged(254, 1)},
		{"TIFF transfer", "transfer", tagged(301, 1, 2, 3)},
		{"TIFF of 60000 pixels square", "cannot hold", plainTIFF(le, w, h, 1, lone, map[uint16][]uint32{256: {20000}, 257: {20000}, 278: {20000}})},
		{"TIFF of 4 thousand million", "claimed", plainTIFF(le, w, h, 1, lone, map[uint16][]uint32{256: {1 << 31}, 257: {2}})},
		{"TIFF with few strips", "needs", tagged(278, 1)},
		{"TIFF behind its end", "cut short", tagged(273, 1<<30)},
		{"TIFF in small tiles", "tiles", plainTIFF(le, w, h, 1, lone, map[uint16][]uint32{322: {1}, 323: {1}, 324: {8}, 325: {90}})},
		{"TIFF in huge tiles", "tiles", plainTIFF(le, w, h, 1, lone, map[uint16][]uint32{322: {1 << 20}, 323: {1 << 20}, 324: {8}, 325: {90}})},
		{"PNG of 8 bits", "8 bits", pngOf(t, eight)},
		{"PNG stretched", "stretched", pngOf(t, stretched)},
		{"PNG of a display", "gamma is 0.45455", withChunk(pngOf(t, grey16(w, h)), "gAMA", []byte{0, 0, 0xb1, 0x8f})},
		{"PNG sRGB", "display's curve", withChunk(pngOf(t, grey16(w, h)), "sRGB", []byte{0})},
		{"PNG turned", "turn", withChunk(pngOf(t, grey16(w, h)), "eXIf", []byte("II*\x00\x08\x00\x00\x00\x01\x00\x12\x01\x03\x00\x01\x00\x00\x00\x06\x00\x00\x00"))},
		{"PNG with alpha", "transparency", pngOf(t, &image.NRGBA64{Pix: make([]byte, 8*w*h), Stride: 8 * w, Rect: image.Rect(0, 0, w, h)})},
		{"cut PNG", "cut short", pngOf(t, grey16(w, h))[:60]},
		{"PNG with a broken sum", "checksum", nil},
		{"PGM of 8 bits", "16 bits", netpbm("P5 9 5 255 ", w, h, 1)},
		{"PGM cut", "cut short", netpbm("P5 9 6 65535 ", w, h, 1)},
		{"PGM with more", "behind", netpbm("P5 9 4 65535 ", w, h, 1)},
		{"PGM above its greatest", "above", netpbm("P5 9 5 4000 ", w, h, 1)},
		{"PGM without a size", "number", []byte("P5 wide high 65535 ")},
		{"PGM huge", "pixels", []byte("P5 99999999 99999999 65535 ")},
		{"PGM in words", "convert", []byte("P2 1 1 65535 7")},
		{"NumPy cut", "cut short", npyOf(npy.Uint16, w, h, 1)[:150]},
		{"NumPy list", "shape", npy.Header(npy.Float32, 5)},
		{"NumPy of nothing", "pixels", npy.Header(npy.Float32, 0, 5)},
		{"NumPy with NaN", "finite", nan},
	} {
		if r.name == "PNG with a broken sum" {
			r.file = bytes.Clone(pngOf(t, grey16(w, h)))
			r.file[len(r.file)-20] ^= 1
		}
		_, err := decode(r.file, Green)
		if !said.Is("", err, ErrPicture) || !strings.Contains(err.Error(), r.says) {
			t.Errorf("%s: %v, want ErrPicture that says %q", r.name, err, r.says)
		}
	}
	if _, err := decode(good, Channel(9)); !said.Is("", err, ErrInput) {
		t.Errorf("channel 9: %v", err)
	}
	if _, err := Read(fstest.MapFS{"a/b.npy": {Data: npyOf(npy.Uint16, 3, 2, 1)}}, "a", Green); !said.Is("", err, ErrPicture) {
		t.Errorf("a directory: %v", err)
	}
	if _, err := Read(fstest.MapFS{}, "a", Green); !said.Refused("", err) {
		t.Error("no file is read")
	}
	if p, err := Read(fstest.MapFS{"b.npy": {Data: npyOf(npy.Uint16, 3, 2, 1)}}, "b.npy", Green); err != nil || p.Origin().File != "b.npy" {
		t.Errorf("%v", err)
	}
}

// A small file that claims much allocates little.
func TestClaims(t *testing.T) {
	said := held.New(t)
	for name, b := range map[string][]byte{
		"TIFF":          plainTIFF(binary.LittleEndian, 9, 5, 1, lone, map[uint16][]uint32{256: {20000}, 257: {20000}, 278: {20000}}),
		"deflated TIFF": plainTIFF(binary.LittleEndian, 9, 5, 1, lone, map[uint16][]uint32{256: {20000}, 257: {20000}, 278: {20000}, 259: {8}}),
		"tiles":         plainTIFF(binary.LittleEndian, 9, 5, 1, lone, map[uint16][]uint32{322: {1040}, 323: {1040}, 324: {8}, 325: {90}, 259: {8}}),
		"PGM":           []byte("P5 20000 20000 65535 "),
		"NumPy":         npy.Header(npy.Float64, 20000, 20000),
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := decode(b, Green)
		runtime.ReadMemStats(&after)
		if got := after.TotalAlloc - before.TotalAlloc; !said.Refused(name, err) || got > 4<<20 {
			t.Errorf("%s of %d bytes: %v, and %d bytes allocated", name, len(b), err, got)
		}
	}
}

func TestNewPicture(t *testing.T) {
	if p, err := NewPicture("x", 2, 3, []float64{1, 2, 3, 4, 5, 6}); err != nil || p.At(1, 2) != 6 {
		t.Error(err)
	}
	for _, bad := range [][]float64{nil, {1, 2, 3}, {1, 2, 3, 4, 5, math.NaN()}, {1, 2, 3, 4, 5, math.Inf(1)}} {
		_, err := NewPicture("x", 2, 3, bad)
		refused(t, "picture", err)
	}
	_, err := NewPicture("x", 0, 3, nil)
	refused(t, "no width", err)
}

// fuzzed reads a picture and holds what comes out to what must be true of every picture.
func fuzzed(t *testing.T, b []byte) {
	p, err := decode(b, Red)
	if err != nil {
		if !errors.Is(err, ErrPicture) {
			t.Errorf("an error that is not ErrPicture: %v", err)
		}
		return
	}
	w, h := p.Size()
	if w < 1 || h < 1 || w*h > 3000*len(b) {
		t.Errorf("%d × %d pixels of %d bytes", w, h, len(b))
	}
	for i := range w * h {
		if v := p.value(i); v-v != 0 {
			t.Fatalf("value %v", v)
		}
	}
}

func FuzzTIFF(f *testing.F) {
	f.Add(tiffOf(f, grey16(3, 4), nil))
	f.Add(tiffOf(f, grey16(3, 4), &tiff.Options{Compression: tiff.Deflate, Predictor: true}))
	f.Add(plainTIFF(binary.BigEndian, 4, 3, 3, placed, map[uint16][]uint32{274: {1}, 284: {1}}))
	f.Add(plainTIFF(binary.LittleEndian, 9, 5, 1, lone, map[uint16][]uint32{322: {16}, 323: {16}, 324: {8}, 325: {90}}))
	f.Fuzz(func(t *testing.T, b []byte) {
		if bytes.HasPrefix(b, []byte("II")) || bytes.HasPrefix(b, []byte("MM")) {
			fuzzed(t, b)
		}
	})
}

func FuzzPNG(f *testing.F) {
	f.Add(pngOf(f, grey16(3, 4)))
	f.Add(pngOf(f, rgb64(3, 4)))
	f.Add(withChunk(pngOf(f, grey16(3, 4)), "eXIf", []byte("II*\x00\x08\x00\x00\x00\x00\x00")))
	f.Fuzz(func(t *testing.T, b []byte) { fuzzed(t, b) })
}

func FuzzNetpbm(f *testing.F) {
	f.Add(netpbm("P5 3 4 65535 ", 3, 4, 1))
	f.Add(netpbm("P6\n#\n3 4\n65535\n", 3, 4, 3))
	f.Fuzz(func(t *testing.T, b []byte) { fuzzed(t, b) })
}

func FuzzNumPy(f *testing.F) {
	for _, d := range []string{npy.Uint16, npy.Float32, npy.Float64} {
		f.Add(npyOf(d, 3, 4, 1))
		f.Add(npyOf(d, 3, 4, 3))
	}
	f.Fuzz(func(t *testing.T, b []byte) { fuzzed(t, b) })
}

func FuzzICC(f *testing.F) {
	f.Add(iccWith("gTRC", 1))
	f.Add(iccWith("kTRC", 2.2))
	f.Fuzz(func(t *testing.T, b []byte) {
		if err := iccLinear(b); err != nil && !errors.Is(err, ErrPicture) {
			t.Error(err)
		}
	})
}

// One column, one row and one pixel are pictures; none of either is not.
func TestSmallestPictures(t *testing.T) {
	for _, c := range [][3]int{{1, 3, 3}, {3, 1, 3}, {1, 1, 1}} {
		p, err := NewPicture("small", c[0], c[1], make([]float64, c[2]))
		if err != nil {
			t.Errorf("%v: %v", c, err)
		} else if w, h := p.Size(); w != c[0] || h != c[1] {
			t.Errorf("%v is %d × %d", c, w, h)
		}
	}
	for _, c := range [][2]int{{0, 1}, {1, 0}, {-1, -1}} {
		if _, err := NewPicture("none", c[0], c[1], []float64{1}); err == nil {
			t.Errorf("%v is taken", c)
		}
	}
}
