package scan

import (
	"encoding/binary"
	"io"
	"math"

	"golang.org/x/image/tiff"

	"example.org/actinic/internal/check"
)

// Tags of a TIFF (revision 6.0 and its technical notes, from memory).
const (
	tagSubfile      = 254
	tagWidth        = 256
	tagHeight       = 257
	tagBits         = 258
	tagCompression  = 259
	tagPhotometric  = 262
	tagStripOffsets = 273
	tagOrientation  = 274
	tagSamples      = 277
	tagRowsPerStrip = 278
	tagStripBytes   = 279
	tagPlanar       = 284
	tagTransfer     = 301
	tagPredictor    = 317
	tagTileWidth    = 322
	tagTileHeight   = 323
	tagTileOffsets  = 324
	tagTileBytes    = 325
	tagSampleFormat = 339
	tagICC          = 34675
	tagRawVersion   = 50706 // of the open raw format that is a TIFF
)

// directory is what the first directory of a TIFF says: the numbers of its entries, and
// where the long ones stand.
type directory struct {
	order  binary.ByteOrder
	values map[uint16][]uint32
	place  map[uint16][2]int64 // offset and bytes of what is not numbers
}

// first returns the first number of a tag, or otherwise what the standard takes for it.
func (d *directory) first(tag uint16, otherwise uint32) uint32 {
	if v := d.values[tag]; len(v) > 0 {
		return v[0]
	}
	return otherwise
}

const longestList = 1 << 22 // numbers in one entry; a strip has one

// readDirectory reads the first directory of a TIFF; every claim is held to the file's
// size before anything is allocated for it.
func readDirectory(r io.ReaderAt, size int64) (*directory, error) {
	head := make([]byte, 8)
	if _, err := r.ReadAt(head, 0); err != nil {
		return nil, cut(err)
	}
	d := &directory{order: binary.LittleEndian, values: map[uint16][]uint32{}, place: map[uint16][2]int64{}}
	if head[0] == 'M' {
		d.order = binary.BigEndian
	}
	at := int64(d.order.Uint32(head[4:]))
	if at+2 > size {
		return nil, check.Errorf(ErrPicture, "the file is cut short: its directory lies behind its end")
	}
	if _, err := r.ReadAt(head[:2], at); err != nil {
		return nil, cut(err)
	}
	n := int64(d.order.Uint16(head))
	if at+2+12*n > size {
		return nil, check.Errorf(ErrPicture, "the file is cut short in its directory")
	}
	entries := make([]byte, 12*n)
	if _, err := r.ReadAt(entries, at+2); err != nil {
		return nil, cut(err)
	}
	for ; len(entries) > 0; entries = entries[12:] {
		if err := d.entry(r, size, entries[:12]); err != nil {
			return nil, err
		}
	}
	return d, nil
}

func (d *directory) entry(r io.ReaderAt, size int64, e []byte) error {
	tag, kind, count := d.order.Uint16(e), d.order.Uint16(e[2:]), int64(d.order.Uint32(e[4:]))
	width := map[uint16]int64{1: 1, 2: 1, 3: 2, 4: 4, 7: 1, 13: 4}[kind]
	if width == 0 {
		return nil // numbers of a kind that nothing here is stored in
	}
	at, bytes := int64(d.order.Uint32(e[8:])), count*width
	value := e[8:]
	if bytes > 4 {
		if at+bytes > size {
			return check.Errorf(ErrPicture,
				"tag %d claims %d bytes at %d, behind the end of the file: it is cut short or broken", tag, bytes, at)
		}
		if tag == tagICC || kind == 1 || kind == 2 || kind == 7 {
			d.place[tag] = [2]int64{at, bytes}
			return nil
		}
		if count > longestList {
			return check.Errorf(ErrPicture, "tag %d has %d numbers", tag, count)
		}
		value = make([]byte, bytes)
		if _, err := r.ReadAt(value, at); err != nil {
			return cut(err)
		}
	}
	list := make([]uint32, count)
	for i := range list {
		switch width {
		case 1:
			list[i] = uint32(value[i])
		case 2:
			list[i] = uint32(d.order.Uint16(value[2*i:]))
		case 4:
			list[i] = d.order.Uint32(value[4*i:])
		}
	}
	if _, twice := d.values[tag]; twice {
		return check.Errorf(ErrPicture, "tag %d stands twice", tag)
	}
	d.values[tag] = list
	return nil
}

// readTIFF holds the header to the file and to what can be read as linear light, and has
// golang.org/x/image/tiff decode the rest. At the version in go.mod that package allocates
// what a header claims, whatever the size of the file.
func readTIFF(r io.ReaderAt, size int64, channel Channel) (*Picture, error) {
	d, err := readDirectory(r, size)
	if err != nil {
		return nil, err
	}
	if err := d.readable(); err != nil {
		return nil, err
	}
	width, height, samples := d.first(tagWidth, 0), d.first(tagHeight, 0), int(d.first(tagSamples, 1))
	if width > most || height > most {
		return nil, check.Errorf(ErrPicture, "%d × %d pixels are claimed by %d bytes", width, height, size)
	}
	if err := aPicture(int(width), int(height)); err != nil {
		return nil, err
	}
	if err := d.holds(int(width), int(height), samples, size); err != nil {
		return nil, err
	}
	if p, ok := d.place[tagICC]; ok {
		profile := make([]byte, min(p[1], iccMost))
		if _, err := r.ReadAt(profile, p[0]); err != nil {
			return nil, cut(err)
		}
		if err := iccLinear(profile); err != nil {
			return nil, err
		}
	}
	img, err := tiff.Decode(io.NewSectionReader(r, 0, size))
	if err != nil {
		return nil, cut(err)
	}
	p := &Picture{width: int(width), height: int(height), origin: Origin{Format: "TIFF"}}
	return p.fromImage(img, samples, channel)
}

// readable refuses what is no 16-bit linear picture, with the line that converts it.
func (d *directory) readable() error {
	const plain = "; write it plain: convert IN.tif -depth 16 -compress none OUT.tif"
	bits, samples := d.values[tagBits], d.first(tagSamples, 1)
	photometric := d.first(tagPhotometric, 0)
	switch {
	case d.values[tagRawVersion] != nil || photometric == 32803 || photometric == 34892:
		return check.Errorf(ErrPicture, "a camera's raw file in the form of a TIFF; %s", rawWay)
	case d.first(tagSubfile, 0)&1 != 0:
		return check.Errorf(ErrPicture, "the first picture of the file is a small copy; write the full one alone: tiffcp IN.tif,1 OUT.tif")
	case d.first(tagSampleFormat, 1) == 3:
		return check.Errorf(ErrPicture, "a TIFF of floating point; save it from NumPy: numpy.save('OUT.npy', tifffile.imread('IN.tif'))")
	case d.first(tagSampleFormat, 1) != 1:
		return check.Errorf(ErrPicture, "samples with a sign or of no stated form%s", plain)
	case len(bits) == 0 || bits[0] < 16:
		return check.Errorf(ErrPicture,
			"%d bits a sample, want 16: fewer are too coarse above a density of 1, and come with a display's curve; %s", d.first(tagBits, 1), rawWay)
	case bits[0] > 16:
		return check.Errorf(ErrPicture,
			"%d bits a sample, want 16; save it from NumPy: numpy.save('OUT.npy', tifffile.imread('IN.tif').astype('<f8'))", bits[0])
	case photometric == 0:
		return check.Errorf(ErrPicture, "white is stored as 0%s", plain)
	case photometric == 1 && samples != 1, photometric == 2 && samples != 3, len(bits) != int(samples):
		return check.Errorf(ErrPicture,
			"%d samples a pixel; want 1 for grey or 3 for red, green and blue: convert IN.tif -alpha off -depth 16 OUT.tif", samples)
	case photometric != 1 && photometric != 2:
		return check.Errorf(ErrPicture, "colours of another form (photometric %d) than grey or RGB%s", photometric, plain)
	case samples > 1 && d.first(tagPlanar, 1) != 1:
		return check.Errorf(ErrPicture, "colours in separate planes; write them together: tiffcp -p contig IN.tif OUT.tif")
	case d.values[tagTransfer] != nil || d.place[tagTransfer] != [2]int64{}:
		return check.Errorf(ErrPicture, "it has a transfer function; %s", rawWay)
	}
	switch c := d.first(tagCompression, 1); c {
	case 1, 5, 8, 32773, 32946:
	default:
		return check.Errorf(ErrPicture, "compression %d%s", c, plain)
	}
	if rows := d.first(tagRowsPerStrip, 0); uint64(rows) > math.MaxInt { // a processor of 32 bits
		return check.Errorf(ErrPicture, "strips of up to %d rows, more than this program can count%s", rows, plain)
	}
	if p := d.first(tagPredictor, 1); p > 2 {
		return check.Errorf(ErrPicture, "predictor %d%s", p, plain)
	}
	if o := d.first(tagOrientation, 1); o > 1 {
		return turned(int(o))
	}
	return nil
}

// holds refuses a picture whose strips or tiles lie outside the file or cannot hold it.
func (d *directory) holds(width, height, samples int, size int64) error {
	offsets, counts := d.values[tagStripOffsets], d.values[tagStripBytes]
	across, down, tall := 1, 1, height
	wide := width
	if d.values[tagTileWidth] != nil {
		offsets, counts = d.values[tagTileOffsets], d.values[tagTileBytes]
		w, h := d.first(tagTileWidth, 0), d.first(tagTileHeight, 0)
		if w < 8 || h < 8 || int64(w) > 2*int64(width)+1024 || int64(h) > 2*int64(height)+1024 {
			return check.Errorf(ErrPicture, "tiles of %d × %d pixels in a picture of %d × %d", w, h, width, height)
		}
		wide, tall = int(w), int(h)
		across = (width + wide - 1) / wide
	} else if rows := d.first(tagRowsPerStrip, uint32(height)); rows > 0 && int64(rows) < int64(height) {
		tall = int(rows)
	}
	down = (height + tall - 1) / tall
	if n := across * down; len(offsets) < n || len(counts) < n {
		return check.Errorf(ErrPicture, "%d strips or tiles are listed where the picture needs %d", min(len(offsets), len(counts)), n)
	} else {
		offsets, counts = offsets[:n], counts[:n]
	}
	packed := int64(0)
	for i := range offsets {
		if int64(offsets[i])+int64(counts[i]) > size {
			return check.Errorf(ErrPicture, "the file is cut short: part %d of the picture lies behind its end", i+1)
		}
		packed += int64(counts[i])
	}
	if packed > size {
		return check.Errorf(ErrPicture, "its parts claim %d bytes, more than the file's %d", packed, size)
	}
	switch d.first(tagCompression, 1) {
	case 1:
		return fits(width, height, samples, packed, 1)
	case 32773:
		return fits(width, height, samples, packed, 64) // a run of 128 takes 2 bytes
	case 5:
		return fits(width, height, samples, packed, 2800) // 4096 bytes for a code of 12 bits
	}
	return fits(width, height, samples, packed, deflateMost)
}

// turned refuses an orientation: boxes are in pixels as they are stored.
func turned(o int) error {
	return check.Errorf(ErrPicture,
		"its orientation tag (%d) turns the picture; turn the pixels themselves: convert IN -auto-orient OUT", o)
}

// exifOrientation reads the orientation of an EXIF block, which is a TIFF without pixels;
// 0 where it has none.
func exifOrientation(block []byte) (int, error) {
	if len(block) < 8 {
		return 0, ErrPicture
	}
	d, err := readDirectory(readerAt(block), int64(len(block)))
	if err != nil {
		return 0, err
	}
	return int(d.first(tagOrientation, 0)), nil
}

type readerAt []byte

func (b readerAt) ReadAt(p []byte, at int64) (int, error) {
	if at < 0 || at > int64(len(b)) {
		return 0, io.EOF
	}
	n := copy(p, b[at:])
	if n < len(p) {
		return n, io.EOF
	}
	return n, nil
}
