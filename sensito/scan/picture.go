package scan

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"strings"

	"example.org/actinic/internal/check"
)

// Channel is the one colour that is read of a picture in colours. Sums of channels, such
// as a luma, mix three densities and are not offered.
type Channel uint8

const (
	Green Channel = iota // the zero value
	Red                  // the camera's red
	Blue                 // the camera's blue
)

var channelNames = [...]string{"green", "red", "blue"}

// sample is the place of the channel among red, green and blue.
var sample = [...]int{Green: 1, Red: 0, Blue: 2}

// String returns "green", "red" or "blue".
func (c Channel) String() string {
	if int(c) < len(channelNames) {
		return channelNames[c]
	}
	return fmt.Sprintf("channel(%d)", uint8(c))
}

// MarshalText returns the String form; the error wraps [ErrInput] for no channel.
func (c Channel) MarshalText() ([]byte, error) {
	if int(c) >= len(channelNames) {
		return nil, check.Errorf(ErrInput, "no channel %d", uint8(c))
	}
	return []byte(c.String()), nil
}

// UnmarshalText reads the String form; the error wraps [ErrInput].
func (c *Channel) UnmarshalText(text []byte) error {
	for i, name := range channelNames {
		if name == string(text) {
			*c = Channel(i)
			return nil
		}
	}
	return check.Errorf(ErrInput, "channel %q, want green, red or blue", text)
}

// Picture is one channel of a picture as values linear in the light, rows from the top,
// and pixels of a row from the left. It is not changed once read.
type Picture struct {
	width, height int
	origin        Origin
	u             []uint16  // one of the two
	f             []float32 // float64 is stored so: 6e-8 of a value
}

// Origin says where the values of a picture are from.
type Origin struct {
	File    string
	Format  string  // "TIFF", "PNG", "PGM", "PPM" or "NumPy"
	Numbers string  // "16 bits", "float32", …
	Channel string  // "grey", or the channel that was read
	White   float64 // the greatest value that the file could hold; +Inf for floating point
}

// Origin returns where the values are from.
func (p *Picture) Origin() Origin { return p.origin }

// Size returns width and height in pixels.
func (p *Picture) Size() (width, height int) { return p.width, p.height }

// At returns a value; NaN outside the picture.
func (p *Picture) At(x, y int) float64 {
	if x < 0 || y < 0 || x >= p.width || y >= p.height {
		return math.NaN()
	}
	return p.value(y*p.width + x)
}

func (p *Picture) value(i int) float64 {
	if p.u != nil {
		return float64(p.u[i])
	}
	return float64(p.f[i])
}

// NewPicture returns a picture of values that are there already, row by row; it keeps a
// copy in single precision. The error wraps [ErrInput] if their number is not that of the
// pixels, or one is not finite.
func NewPicture(name string, width, height int, values []float64) (*Picture, error) {
	if width < 1 || height < 1 || len(values)/width != height || len(values)%width != 0 {
		return nil, check.Errorf(ErrInput, "%s: %d values for %d × %d pixels", name, len(values), width, height)
	}
	p := &Picture{width: width, height: height, f: make([]float32, len(values)),
		origin: Origin{File: name, Format: "values", Numbers: "float64", Channel: "grey", White: math.Inf(1)}}
	for i, v := range values {
		p.f[i] = float32(v)
	}
	return p, p.finite(ErrInput)
}

func (p *Picture) finite(sentinel error) error {
	for i, v := range p.f {
		if v-v != 0 {
			return check.Errorf(sentinel, "%s: value %v at column %d of row %d; want finite numbers throughout",
				p.origin.File, v, i%p.width, i/p.width)
		}
	}
	return nil
}

// most is the number of pixels that a picture may have. A choice: two such pictures of 16
// bits take 2 GB.
const most = 1 << 29

// aPicture checks a claimed size.
func aPicture(width, height int) error {
	if width < 1 || height < 1 || width > most || height > most/width {
		return check.Errorf(ErrPicture, "%d × %d pixels, want 1 to %d in all", width, height, most)
	}
	return nil
}

// rawWay is how a camera's own file becomes one that can be read.
const rawWay = "develop the camera's raw file to a linear 16-bit TIFF: no tone curve, gamma 1, no sharpening, no noise reduction, no lens correction, white balance and exposure left alone"

// Read reads one channel of a picture: TIFF and PNG of 16 bits, grey or RGB; binary PGM and
// PPM of 16 bits; NumPy arrays of uint16, float32 or float64, rows × columns or rows ×
// columns × 3. The header is looked at before anything is allocated.
//
// The error wraps [ErrPicture] where a file is another or broken, is not linear by its own
// word, lies turned, or claims more than it holds; it says what converts it. What cannot
// be opened is the error of fsys.
func Read(fsys fs.FS, name string, channel Channel) (*Picture, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if info.IsDir() {
		return nil, check.Errorf(ErrPicture, "%s: a directory", name)
	}
	at, ok := f.(io.ReaderAt)
	size := info.Size()
	if !ok {
		b, err := io.ReadAll(f)
		if err != nil {
			return nil, err
		}
		at, size = bytes.NewReader(b), int64(len(b))
	}
	return Decode(at, size, name, channel)
}

// Decode is [Read] of a file of so many bytes that is open already; name is for errors.
func Decode(r io.ReaderAt, size int64, name string, channel Channel) (*Picture, error) {
	if _, err := channel.MarshalText(); err != nil {
		return nil, err
	}
	start := make([]byte, min(size, 16))
	if _, err := r.ReadAt(start, 0); err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	p, err := decoder(start)(r, size, channel)
	if err != nil {
		if errors.Is(err, ErrPicture) {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		return nil, fmt.Errorf("%s: %w: %w", name, ErrPicture, err)
	}
	p.origin.File = name
	return p, p.finite(ErrPicture)
}

// decoder picks the reader by the first bytes of a file.
func decoder(start []byte) func(io.ReaderAt, int64, Channel) (*Picture, error) {
	begins := func(s string) bool { return strings.HasPrefix(string(start), s) }
	refuse := func(why string) func(io.ReaderAt, int64, Channel) (*Picture, error) {
		return func(io.ReaderAt, int64, Channel) (*Picture, error) { return nil, check.Errorf(ErrPicture, "%s", why) }
	}
	switch {
	case begins("II*\x00"), begins("MM\x00*"):
		return readTIFF
	case begins("II+\x00"), begins("MM\x00+"):
		return refuse("a BigTIFF; write a plain one: tiffcp -4 IN.tif OUT.tif")
	case begins("\x89PNG\r\n\x1a\n"):
		return readPNG
	case begins("P5"), begins("P6"):
		return readNetpbm
	case begins("P1"), begins("P2"), begins("P3"), begins("P4"), begins("P7"), begins("Pf"), begins("PF"):
		return refuse("a netpbm file, but none of binary grey or RGB; convert: pnmtopnm IN > OUT.pgm")
	case begins("\x93NUMPY"):
		return readNPY
	case begins("\xff\xd8\xff"):
		return refuse("a JPEG has 8 bits and a display's curve; " + rawWay)
	case len(start) == 0:
		return refuse("an empty file")
	}
	return refuse("none of TIFF, PNG, PGM, PPM or NumPy; if it is a camera's raw file, " + rawWay)
}
