package main

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strings"

	"example.org/actinic/internal/npy"
)

// A number is how the values of a cube are stored.
type number struct {
	Name  string
	size  int
	whole bool // an integer, whose scale somebody must say
	value func(b []byte, o binary.ByteOrder) float64
}

// numbers by the code that an ENVI text header has for them.
var numbers = map[int]number{
	1: {"uint8", 1, true, func(b []byte, _ binary.ByteOrder) float64 { return float64(b[0]) }},
	2: {"int16", 2, true, func(b []byte, o binary.ByteOrder) float64 { return float64(int16(o.Uint16(b))) }},
	3: {"int32", 4, true, func(b []byte, o binary.ByteOrder) float64 { return float64(int32(o.Uint32(b))) }},
	4: {"float32", 4, false, func(b []byte, o binary.ByteOrder) float64 {
		return float64(math.Float32frombits(o.Uint32(b)))
	}},
	5:  {"float64", 8, false, func(b []byte, o binary.ByteOrder) float64 { return math.Float64frombits(o.Uint64(b)) }},
	12: {"uint16", 2, true, func(b []byte, o binary.ByteOrder) float64 { return float64(o.Uint16(b)) }},
	13: {"uint32", 4, true, func(b []byte, o binary.ByteOrder) float64 { return float64(o.Uint32(b)) }},
}

var npyNumbers = map[string]int{npy.Uint16: 12, npy.Float32: 4, npy.Float64: 5}

// interleaves are the orders of the three axes.
var interleaves = []string{"bip", "bil", "bsq"}

// A cubeFile is an open spectral image, of which any pixels can be read.
type cubeFile struct {
	r                    io.ReaderAt
	offset               int64
	rows, columns, bands int
	number               number
	order                binary.ByteOrder
	interleave           string
	nm                   []float64 // of the header, if it has them
	scale                float64   // values are multiplied by it; 0 where nobody said
	ignore               float64   // the value of pixels without data, NaN for none
	raw                  []byte
}

// mostBands is what package cube takes.
const mostBands = 4096

// openCube opens a cube of either kind: a NumPy array, or a raw one with its header.
// claimed says that the interleave is somebody's word, counted that the number of bands is.
func openCube(f *os.File, header, interleave string, claimed, counted bool) (*cubeFile, error) {
	c := &cubeFile{r: f, order: binary.LittleEndian, interleave: interleave, ignore: math.NaN()}
	if header != "" {
		if err := c.readHeader(header); err != nil {
			return nil, err
		}
		if claimed && interleave != c.interleave {
			return nil, fmt.Errorf("-interleave %s, and %s says %s", interleave, header, c.interleave)
		}
	} else if err := c.readNPY(f, claimed || counted); err != nil {
		return nil, err
	}
	if c.rows < 1 || c.columns < 1 || c.bands < 1 {
		return nil, fmt.Errorf("%d rows × %d columns × %d bands are no cube: wanted are rows × columns × bands, one at least of each",
			c.rows, c.columns, c.bands)
	}
	if c.bands > mostBands {
		return nil, fmt.Errorf("%d bands; %d at most: are the axes in another order?", c.bands, mostBands)
	}
	n, err := npy.Elements([]int{c.rows, c.columns, c.bands})
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if have, want := info.Size(), c.offset+int64(c.number.size)*int64(n); have != want {
		return nil, fmt.Errorf("%d bytes where a cube of %d rows × %d columns × %d bands of %s has %d: the file is cut short or has something behind it",
			have, c.rows, c.columns, c.bands, c.number.Name, want)
	}
	return c, nil
}

func (c *cubeFile) readNPY(f *os.File, sure bool) error {
	descr, shape, err := npy.ReadHeader(f)
	if err != nil {
		return err
	}
	if c.offset, err = f.Seek(0, io.SeekCurrent); err != nil {
		return err
	}
	c.number = numbers[npyNumbers[descr]]
	if len(shape) != 3 {
		return fmt.Errorf("an array of shape %v, wanted rows × columns × bands", shape)
	}
	switch c.interleave {
	case "bip":
		c.rows, c.columns, c.bands = shape[0], shape[1], shape[2]
	case "bil":
		c.rows, c.bands, c.columns = shape[0], shape[1], shape[2]
	case "bsq":
		c.bands, c.rows, c.columns = shape[0], shape[1], shape[2]
	}
	if least := min(c.rows, c.columns); !sure && c.bands > 64 && least >= 2 && least < c.bands/2 {
		return fmt.Errorf("an array of shape %v would be %d rows × %d columns of %d bands: if the bands are not the last axis say -interleave bil (rows × bands × columns) or bsq (bands × rows × columns), if they are say -interleave bip",
			shape, c.rows, c.columns, c.bands)
	}
	return nil
}

// at is the place of a value in the file.
func (c *cubeFile) at(row, column, band int) int64 {
	i := int64(0)
	R, C, B := int64(c.rows), int64(c.columns), int64(c.bands)
	switch y, x, b := int64(row), int64(column), int64(band); c.interleave {
	case "bip":
		i = (y*C+x)*B + b
	case "bil":
		i = (y*B+b)*C + x
	case "bsq":
		i = (b*R+y)*C + x
	}
	return c.offset + i*int64(c.number.size)
}

// read fills scene with the bands of n pixels of a row, each pixel's together.
func (c *cubeFile) read(scene []float32, row, column, n int) error {
	B := c.bands
	take := func(count int, at int64) error {
		need := count * c.number.size
		if cap(c.raw) < need {
			c.raw = make([]byte, need)
		}
		c.raw = c.raw[:need]
		if got, err := c.r.ReadAt(c.raw, at); got < need {
			if err == io.EOF || err == nil {
				err = errors.New("the cube became shorter while it was read")
			}
			return err
		}
		return nil
	}
	switch {
	case c.interleave == "bip":
		if err := take(n*B, c.at(row, column, 0)); err != nil {
			return err
		}
		c.decode(scene[:n*B], 1)
	case c.interleave == "bil" && n == c.columns:
		if err := take(n*B, c.at(row, 0, 0)); err != nil {
			return err
		}
		all := c.raw
		for b := range B {
			c.raw = all[b*n*c.number.size : (b+1)*n*c.number.size]
			c.decode(scene[b:], B)
		}
		c.raw = all
	default:
		for b := range B {
			if err := take(n, c.at(row, column, b)); err != nil {
				return err
			}
			c.decode(scene[b:], B)
		}
	}
	return nil
}

// decode writes the values in raw to every step-th place of x.
func (c *cubeFile) decode(x []float32, step int) {
	scale := c.scale
	if scale == 0 {
		scale = 1
	}
	size := c.number.size
	if c.number.Name == "float32" && c.order == binary.LittleEndian && scale == 1 && c.ignore != c.ignore {
		for i := 0; i*size < len(c.raw); i++ {
			x[i*step] = math.Float32frombits(binary.LittleEndian.Uint32(c.raw[4*i:]))
		}
		return
	}
	for i := 0; i*size < len(c.raw); i++ {
		v := c.number.value(c.raw[i*size:], c.order)
		if v == c.ignore {
			v = math.NaN()
		}
		x[i*step] = float32(v * scale)
	}
}

// sample reads pixels spread over the whole cube, the same ones whatever part of it is
// worked through.
func (c *cubeFile) sample() ([]float32, error) {
	const side = 48
	down, across := min(side, c.rows), min(side, c.columns)
	x := make([]float32, down*across*c.bands)
	at := 0
	for i := range down {
		for k := range across {
			if err := c.read(x[at:], i*c.rows/down, k*c.columns/across, 1); err != nil {
				return nil, err
			}
			at += c.bands
		}
	}
	return x, nil
}

// checkScale refuses what cannot be fractions of a white surface, unless somebody has
// said the scale, and then says what is odd.
func (c *cubeFile) checkScale(said bool) (notes []string, err error) {
	if c.number.whole && !said {
		return nil, fmt.Errorf("the values are %s, and no fractions of a white surface: say -scale S, by which they are multiplied, such as 0.0001", c.number.Name)
	}
	x, err := c.sample()
	if err != nil {
		return nil, err
	}
	above, all, most := 0, 0, 0.0
	for _, v := range x {
		if v == v {
			all++
			most = max(most, float64(v))
			if v > 1.5 {
				above++
			}
		}
	}
	switch share := float64(above) / float64(max(all, 1)); {
	case share > 0.1 && !said:
		return nil, fmt.Errorf("%.0f %% of the values looked at are above 1.5, up to %.4g: fractions of a white surface are wanted; for percent say -scale 0.01, for other values the factor to multiply by, and -scale 1 if they are right", 100*share, most)
	case share > 0.1:
		notes = append(notes, fmt.Sprintf("with the scale %g, %.0f %% of the values looked at are above 1.5, up to %.4g",
			c.scale, 100*share, most))
	case most < 0.01 && all > 0:
		notes = append(notes, fmt.Sprintf("no value looked at is above %.3g of a white surface; is the -scale right?", most))
	}
	return notes, nil
}

func known(interleave string) bool { return strings.Contains(" bip bil bsq ", " "+interleave+" ") }
