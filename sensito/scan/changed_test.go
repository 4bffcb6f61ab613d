package scan

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"image"
	"math"
	"slices"
	"testing"

	"golang.org/x/image/tiff"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/npy"
)

// changed are a file cut at each of its first bytes, and with each of them changed in a few ways.
func changed(file []byte, of int) (out []any) {
	out = append(out, file, append(bytes.Clone(file), 0))
	for i := range min(of, len(file)) {
		out = append(out, bytes.Clone(file[:i]))
		for _, to := range []byte{0, 1, 2, 255, file[i] + 1, file[i] - 1} {
			b := bytes.Clone(file)
			b[i] = to
			out = append(out, b)
		}
	}
	return out
}

// What small pictures of each format come to when a byte of their header is changed or they are cut there is held to what it was:
// a value and the size, or the whole refusal.
func TestChangedPictures(t *testing.T) {
	const w, h = 3, 2
	le := binary.LittleEndian
	read := func(b []byte) (string, float64, error) {
		p, err := decode(b, Red)
		if err != nil {
			return "", 0, err
		}
		pw, ph := p.Size()
		return fmt.Sprint(pw, ph, p.Origin()), p.At(0, 0) + 3*p.At(pw-1, 0) + 7*p.At(0, ph-1), nil
	}
	said := held.New(t)
	tail := func(b []byte) []byte { // the directory before the pixels, so that changes strike it first
		at := int(le.Uint32(b[4:]))
		return append(append(append([]byte("II*\x00\x08\x00\x00\x00"), b[at:]...), make([]byte, 8)...), b[8:at]...)
	}
	grey := plainTIFF(le, w, h, 1, lone, nil)
	moved := tail(grey)
	le.PutUint32(moved[8+2+12*5+8:], uint32(len(moved)-2*w*h)) // tag 273, the sixth, says where the pixels are
	said.Drive([]any{read}, append(changed(moved, 130), held.Summed{})...)
	said.Drive([]any{read}, append(changed(plainTIFF(binary.BigEndian, w, h, 3, placed, map[uint16][]uint32{284: {1}, 274: {1}, 317: {1}}), 8), held.Summed{})...)
	said.Drive([]any{read}, append(changed(pngOf(t, grey16(w, h)), 60), held.Summed{})...)
	said.Drive([]any{read}, append(changed(netpbm("P5\n#r\n3 2\n65535\n", w, h, 1), 20), held.Summed{})...)
	said.Drive([]any{read}, append(changed(netpbm("P6 3\t2\r256 ", w, h, 3), 16), held.Summed{})...)
	said.Drive([]any{read}, append(changed(npyOf(npy.Uint16, w, h, 1), 90), held.Summed{})...)
	said.Drive([]any{read}, append(changed(npyOf(npy.Float32, w, h, 3), 12), held.Summed{})...)
	said.Drive([]any{read}, append(changed(withChunk(pngOf(t, grey16(w, h)), "eXIf", []byte("II*\x00\x08\x00\x00\x00\x01\x00\x12\x01\x03\x00\x01\x00\x00\x00\x01\x00\x00\x00")), 70), held.Summed{})...)
}

// Each tag of a TIFF with each number: what is read as linear light of 16 bits, and what is refused, by the standard's numbers.
func TestTagsOfPictures(t *testing.T) {
	said := held.New(t)
	const w, h = 9, 5
	is := func(of ...uint32) func(uint32) bool { return func(v uint32) bool { return slices.Contains(of, v) } }
	ok := map[uint16]func(v uint32) bool{254: func(v uint32) bool { return v%2 == 0 }, 256: is(9), 257: is(5), 258: is(16), 259: is(1), 262: is(1), 273: is(8), 274: is(0, 1), 277: is(1),
		278: func(v uint32) bool { return v == 0 || v >= h && uint64(v) <= math.MaxInt }, 279: is(90, 91), 284: func(uint32) bool { return true }, 301: is(), 317: is(0, 1), 339: is(1), 50706: is(), 65000: func(uint32) bool { return true }}
	for _, tag := range []uint16{254, 256, 257, 258, 259, 262, 273, 274, 277, 278, 279, 284, 301, 317, 339, 50706, 65000} {
		for _, v := range []uint32{0, 1, 2, 3, 4, 5, 6, 7, 8, 15, 16, 17, 32, 89, 90, 91, 255, 256, 1000, 32773, 32803, 34892, 32946, 100000, 1 << 29, 1<<29 + 1, 1 << 31, math.MaxUint32} {
			p, err := decode(plainTIFF(binary.LittleEndian, w, h, 1, lone, map[uint16][]uint32{tag: {v}}), Green)
			said.Refused(fmt.Sprint("tag ", tag), err)
			if got := err == nil && p.At(8, 4) == float64(lone(8, 4, 0)); got != ok[tag](v) {
				t.Errorf("tag %d is %d: %v, %v", tag, v, got, err)
			}
		}
	}
	for name, tags := range map[string]map[uint16][]uint32{
		"four samples": {277: {4}, 258: {16, 16, 16, 16}}, "three greys": {277: {3}, 258: {16, 16, 16}}, "one of RGB": {262: {2}}, "bits of one": {277: {3}, 262: {2}},
		"planes": {277: {3}, 262: {2}, 258: {16, 16, 16}, 284: {2}}, "palette": {262: {3}}, "five strips": {278: {1}, 273: {8, 26, 44, 62, 80}, 279: {18, 18, 18, 18, 18}},
		"four strips": {278: {1}, 273: {8, 26, 44, 62}, 279: {18, 18, 18, 18, 18}}, "sizes of four": {278: {1}, 273: {8, 26, 44, 62, 80}, 279: {18, 18, 18, 18}},
		"one behind the end": {278: {1}, 273: {8, 26, 44, 62, 800}, 279: {18, 18, 18, 18, 18}}, "parts that overlap": {278: {1}, 273: {8, 8, 8, 8, 8}, 279: {90, 90, 90, 90, 90}},
		"tiles": {322: {16}, 323: {16}, 324: {8}, 325: {90}}, "tiles of 8": {322: {8}, 323: {8}, 324: {8, 8}, 325: {90, 90}}, "tiles of 7": {322: {7}, 323: {8}, 324: {8, 8}, 325: {90, 90}}, "flat tiles": {322: {8}, 323: {7}, 324: {8, 8}, 325: {90, 90}},
		"widest tiles": {322: {2*w + 1024}, 323: {8}, 324: {8}, 325: {90}}, "wider tiles": {322: {2*w + 1025}, 323: {8}, 324: {8}, 325: {90}}, "tallest tiles": {322: {16}, 323: {2*h + 1024}, 324: {8}, 325: {90}}, "taller tiles": {322: {16}, 323: {2*h + 1025}, 324: {8}, 325: {90}},
		"just fits": {256: {45}, 257: {1}, 278: {1}}, "one too many": {256: {46}, 257: {1}, 278: {1}}, "a run": {259: {32773}, 256: {2880}, 257: {1}, 278: {1}}, "too long a run": {259: {32773}, 256: {2881}, 257: {1}, 278: {1}},
		"codes": {259: {5}, 256: {126000}, 257: {1}, 278: {1}}, "too long codes": {259: {5}, 256: {126001}, 257: {1}, 278: {1}}, "deflated": {259: {8}, 256: {49500}, 257: {1}, 278: {1}}, "too long, deflated": {259: {8}, 256: {49501}, 257: {1}, 278: {1}},
		"a list": {254: make([]uint32, 3)}, "a long list": {254: make([]uint32, 2000)},
	} {
		p, err := decode(plainTIFF(binary.LittleEndian, w, h, 1, lone, tags), Green)
		if said.Refused(name, err); err == nil {
			said.Values(name, p.At(0, 0), p.At(8, 0))
		}
	}
	// Entries of other kinds: bytes and words are read as what they are, and of texts nothing is.
	entry := func(kind uint16, count uint32, value ...byte) []byte {
		b := plainTIFF(binary.LittleEndian, w, h, 1, lone, map[uint16][]uint32{274: {1}})
		at := bytes.Index(b, []byte{0x12, 0x01, 4, 0})
		binary.LittleEndian.PutUint16(b[at+2:], kind)
		binary.LittleEndian.PutUint32(b[at+4:], count)
		copy(b[at+8:], value)
		return b
	}
	for name, file := range map[string][]byte{
		"a byte": entry(1, 1, 6), "a letter": entry(2, 1, 6), "a word": entry(3, 1, 6, 0), "a number": entry(4, 1, 6, 0, 0, 0), "bytes of no kind": entry(7, 1, 6), "a place": entry(13, 1, 6, 0, 0, 0), "a fraction": entry(5, 1, 8, 0, 0, 0), "floating": entry(11, 1, 6, 0, 0, 0),
		"four bytes": entry(1, 4, 6, 1, 1, 1), "five bytes": entry(1, 5, 8, 0, 0, 0), "two words": entry(3, 2, 6, 0, 1, 0), "three words": entry(3, 3, 8, 0, 0, 0), "two numbers": entry(4, 2, 8, 0, 0, 0), "none": entry(3, 0),
		"bytes behind the end": entry(1, 1e6, 8, 0, 0, 0), "more than a list": entry(3, 1<<30, 8, 0, 0, 0),
	} {
		_, err := decode(file, Green)
		said.Refused(name, err)
	}
}

// profile is one of curves, each of a tag and its data.
func profile(curves ...[2]string) []byte {
	b := binary.BigEndian.AppendUint32(make([]byte, 128), uint32(len(curves)))
	at := 132 + 12*len(curves)
	var all []byte
	for _, c := range curves {
		b = append(b, c[0]...)
		b = binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(b, uint32(at+len(all))), uint32(len(c[1])))
		all = append(all, c[1]...)
	}
	return append(b, all...)
}

// The curves of a profile as ICC.1 writes them (from memory): none, an exponent in 1/256, a table, a parametric one in 1/65536.
func TestCurvesOfProfiles(t *testing.T) {
	said := held.New(t)
	table := func(n int, power float64) string {
		b := binary.BigEndian.AppendUint32([]byte("curv\x00\x00\x00\x00"), uint32(n))
		for i := range n {
			b = binary.BigEndian.AppendUint16(b, uint16(65535*math.Pow(float64(i)/float64(n-1), power)))
		}
		return string(b)
	}
	for _, c := range []struct {
		name, curve string
		slope       float64
		straight    bool
	}{
		{"none", "curv\x00\x00\x00\x00\x00\x00\x00\x00", 1, true}, {"1", "curv\x00\x00\x00\x00\x00\x00\x00\x01\x01\x00", 1, true}, {"257/256", "curv\x00\x00\x00\x00\x00\x00\x00\x01\x01\x01", 257. / 256, true}, {"258/256", "curv\x00\x00\x00\x00\x00\x00\x00\x01\x01\x02", 258. / 256, false}, {"254/256", "curv\x00\x00\x00\x00\x00\x00\x00\x01\x00\xfe", 254. / 256, false}, {"2.5", "curv\x00\x00\x00\x00\x00\x00\x00\x01\x02\x80", 2.5, false},
		{"an exponent that is cut", "curv\x00\x00\x00\x00\x00\x00\x00\x01\x02", 1, true}, {"a table", table(256, 1), 1, true}, {"of two", table(2, 1), 1, true}, {"of 1.8", table(1024, 1.8), 1.8, false}, {"of 0.5", table(1001, 0.5), 0.5, false}, {"cut", table(256, 2)[:500], 1, true},
		{"para 1", "para\x00\x00\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00", 1, true}, {"para 2.4", "para\x00\x00\x00\x00\x00\x03\x00\x00\x00\x02\x66\x66", 2.4, false}, {"para below 0", "para\x00\x00\x00\x00\x00\x00\x00\x00\xff\xff\x00\x00", -1, false}, {"para cut", "para\x00\x00\x00\x00\x00\x00\x00\x00\x00\x02\x00", 1, true}, {"another", "none\x00\x00\x00\x00\x00\x00\x00\x01\x02\x80", 1, true},
	} {
		slope, straight := iccCurve([]byte(c.curve))
		if straight != c.straight || math.Abs(slope-c.slope) > 0.02 {
			t.Errorf("%s: a slope of %v, straight %v; want %v, %v", c.name, slope, straight, c.slope, c.straight)
		}
		for _, tag := range []string{"rTRC", "gTRC", "bTRC", "kTRC", "A2B0"} {
			err := iccLinear(profile([2]string{"desc", "some words"}, [2]string{tag, c.curve}))
			if said.Refused(tag+" "+c.name, err) == (c.straight || tag == "A2B0") {
				t.Errorf("%s, %s: %v", tag, c.name, err)
			}
		}
	}
	short := profile([2]string{"gTRC", "curv\x00\x00\x00\x00\x00\x00\x00\x01\x02\x80"})
	for i := range len(short) {
		if err := iccLinear(short[:i]); err != nil {
			t.Errorf("a profile of %d bytes: %v", i, err)
		}
	}
	if err := iccLinear(profile([2]string{"gTRC", "curv\x00\x00\x00\x00\x00\x00\x00"})); err != nil {
		t.Errorf("a curve of eleven bytes: %v", err)
	}
	// In a picture: behind a name and a method, deflated; in a TIFF as it is.
	deflated := func(b []byte) []byte {
		var z bytes.Buffer
		w := zlib.NewWriter(&z)
		w.Write(b)
		w.Close()
		return append([]byte("name\x00\x00"), z.Bytes()...)
	}
	plain := pngOf(t, grey16(9, 5))
	for name, c := range map[string]struct {
		chunk []byte
		ok    bool
	}{
		"straight": {deflated(iccWith("gTRC", 1)), true}, "of a display": {deflated(iccWith("gTRC", 2.2)), false}, "without a name": {[]byte("name"), true}, "a name alone": {[]byte("name\x00"), true}, "no stream": {[]byte("name\x00\x00x"), false}, "cut": {deflated(iccWith("gTRC", 1))[:20], false},
	} {
		_, err := decode(withChunk(plain, "iCCP", c.chunk), Green)
		if said.Refused("PNG, "+name, err) == c.ok {
			t.Errorf("%s: %v", name, err)
		}
	}
	for gamma, ok := range map[float64]bool{1: true, 2.2: false} {
		icc := iccWith("gTRC", gamma)
		b := plainTIFF(binary.LittleEndian, 9, 5, 1, lone, map[uint16][]uint32{34675: {0, 0}})
		at := bytes.Index(b, []byte{0x73, 0x87, 4, 0})
		binary.LittleEndian.PutUint16(b[at+2:], 7)
		binary.LittleEndian.PutUint32(b[at+4:], uint32(len(icc)))
		binary.LittleEndian.PutUint32(b[at+8:], uint32(len(b)))
		if _, err := decode(append(b, icc...), Green); said.Refused("TIFF, "+fmt.Sprint(gamma), err) == ok {
			t.Errorf("TIFF with a gamma of %v: %v", gamma, err)
		}
	}
	for name, c := range map[string]struct {
		kind string
		body []byte
		ok   bool
	}{
		"gamma 1.001": {"gAMA", []byte{0, 1, 0x87, 0x04}, true}, "gamma 1.0011": {"gAMA", []byte{0, 1, 0x87, 0x0e}, false}, "gamma 0.9989": {"gAMA", []byte{0, 1, 0x86, 0x32}, false}, "gamma of three bytes": {"gAMA", []byte{0, 1, 0x86}, false},
		"cICP": {"cICP", []byte{1, 13, 0, 1}, false}, "tRNS": {"tRNS", []byte{0, 1}, false}, "acTL": {"acTL", make([]byte, 8), false}, "text": {"tEXt", []byte("a\x00b"), true}, "EXIF that is none": {"eXIf", []byte("II"), true}, "EXIF upright": {"eXIf", []byte("II*\x00\x08\x00\x00\x00\x01\x00\x12\x01\x03\x00\x01\x00\x00\x00\x01\x00\x00\x00"), true}, "EXIF turned": {"eXIf", []byte("II*\x00\x08\x00\x00\x00\x01\x00\x12\x01\x03\x00\x01\x00\x00\x00\x02\x00\x00\x00"), false},
	} {
		if _, err := decode(withChunk(plain, c.kind, c.body), Green); said.Refused("PNG, "+name, err) == c.ok {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Values of 8 bits stretched to 16 by 257 or 256 are told from a thousand pixels on, and three values.
func TestEightBits(t *testing.T) {
	said := held.New(t)
	of := func(n int, v func(i int) uint16) *Picture {
		p := &Picture{width: n, height: 1, u: make([]uint16, n)}
		for i := range p.u {
			p.u[i] = v(i)
		}
		return p
	}
	for name, c := range map[string]struct {
		p  *Picture
		ok bool
	}{
		"by 257": {of(1000, func(i int) uint16 { return uint16(i%256) * 257 }), false}, "by 256": {of(1000, func(i int) uint16 { return uint16(i%256) * 256 }), false}, "a few": {of(999, func(i int) uint16 { return uint16(i%256) * 257 }), true},
		"one other": {of(1000, func(i int) uint16 { return uint16(i%256)*257 + uint16(i/999) }), true}, "two values": {of(1000, func(i int) uint16 { return uint16(i%2) * 257 }), true}, "three values": {of(1000, func(i int) uint16 { return uint16(i%3) * 257 }), false}, "16 bits": {of(5000, func(i int) uint16 { return uint16(13 * i) }), true},
		"both": {of(1000, func(i int) uint16 { return uint16(i%2)*257 + uint16(i%2)*256*uint16(i/500) }), true},
	} {
		if err := eightBits(c.p); said.Refused(name, err) == c.ok {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, c := range []struct {
		w, h int
		ok   bool
	}{{1, 1, true}, {0, 1, false}, {1, 0, false}, {-1, 5, false}, {most, 1, true}, {most + 1, 1, false}, {1, most, true}, {2, most / 2, true}, {2, most/2 + 1, false}, {1 << 20, 1 << 20, false}} {
		if err := aPicture(c.w, c.h); said.Refused("", err) == c.ok {
			t.Errorf("%d × %d: %v", c.w, c.h, err)
		}
	}
}

// Deflated and packed pictures are read as plain ones.
func TestPackedPictures(t *testing.T) {
	for _, o := range []*tiff.Options{{Compression: tiff.Deflate}, {Compression: tiff.Deflate, Predictor: true}} {
		p, err := decode(tiffOf(t, grey16(40, 30), o), Green)
		if err != nil || p.At(39, 29) != float64(lone(39, 29, 0)) {
			t.Errorf("%+v: %v", o, err)
		}
	}
	if _, err := (&Picture{width: 2, height: 2}).fromImage(image.NewGray16(image.Rect(0, 0, 3, 2)), 1, Green); err == nil {
		t.Error("another width")
	}
	if _, err := (&Picture{width: 2, height: 2}).fromImage(image.NewGray16(image.Rect(0, 0, 2, 3)), 1, Green); err == nil {
		t.Error("another height")
	}
	if _, err := (&Picture{width: 2, height: 2}).fromImage(image.NewAlpha16(image.Rect(0, 0, 2, 2)), 1, Green); err == nil {
		t.Error("another form")
	}
}
