package scan

import (
	"bufio"
	"encoding/binary"
	"io"
	"math"
	"strings"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/npy"
)

// readNPY reads a NumPy array, rows × columns or rows × columns × 3.
func readNPY(r io.ReaderAt, size int64, channel Channel) (*Picture, error) {
	s := io.NewSectionReader(r, 0, size)
	descr, shape, err := npy.ReadHeader(s)
	if err != nil {
		return nil, err
	}
	at, err := s.Seek(0, io.SeekCurrent)
	if err != nil {
		return nil, err
	}
	if len(shape) != 2 && !(len(shape) == 3 && shape[2] == 3) {
		return nil, check.Errorf(ErrPicture,
			"an array of shape %v, want rows × columns, or rows × columns × 3 for red, green and blue", shape)
	}
	height, width, samples, first := shape[0], shape[1], 1, 0
	if err := aPicture(width, height); err != nil {
		return nil, err
	}
	p := &Picture{width: width, height: height, origin: Origin{Format: "NumPy", Numbers: map[string]string{
		npy.Uint16: "16 bits", npy.Float32: "float32", npy.Float64: "float64"}[descr], Channel: "grey", White: math.Inf(1)}}
	if len(shape) == 3 {
		samples, first, p.origin.Channel = 3, sample[channel], channel.String()
	}
	n := npy.Size(descr)
	if want := at + int64(width)*int64(height)*int64(samples)*int64(n); size != want {
		return nil, check.Errorf(ErrPicture,
			"%d bytes where an array of %v has %d: the file is cut short or has something behind it", size, shape, want)
	}
	if descr == npy.Uint16 {
		p.u, p.origin.White = make([]uint16, width*height), math.MaxUint16
	} else {
		p.f = make([]float32, width*height)
	}
	b := bufio.NewReaderSize(s, 1<<20)
	row := make([]byte, n*samples*width)
	for y := range height {
		if _, err := io.ReadFull(b, row); err != nil {
			return nil, err
		}
		for x := range width {
			cell, i := row[n*(x*samples+first):], y*width+x
			switch descr {
			case npy.Uint16:
				p.u[i] = binary.LittleEndian.Uint16(cell)
			case npy.Float32:
				p.f[i] = math.Float32frombits(binary.LittleEndian.Uint32(cell))
			case npy.Float64:
				p.f[i] = float32(math.Float64frombits(binary.LittleEndian.Uint64(cell)))
			}
		}
	}
	return p, eightBits(p)
}

// eightBits refuses pictures whose values are those of 8 bits: whole numbers of 0 to 255,
// or such numbers stretched to 16 bits by 257 or 256.
func eightBits(p *Picture) error {
	if len(p.u) < 1000 {
		return nil // a few pixels may be anything
	}
	var seen [1 << 16 / 64]uint64
	kinds, by257, by256 := 0, true, true
	for _, v := range p.u {
		if seen[v/64]&(1<<(v%64)) == 0 {
			seen[v/64] |= 1 << (v % 64)
			kinds++
			by257, by256 = by257 && v%257 == 0, by256 && v%256 == 0
		}
	}
	if kinds < 3 || !by257 && !by256 {
		return nil
	}
	how := strings.TrimSuffix(map[bool]string{true: "257, ", false: "256, "}[by257], ", ")
	return check.Errorf(ErrPicture, "16 bits that hold %d values, all multiples of %s: 8 bits stretched to 16; %s", kinds, how, rawWay)
}
