package scan

import (
	"bufio"
	"fmt"
	"io"

	"example.org/actinic/internal/check"
)

// readNetpbm reads binary PGM and PPM of two bytes a sample, the greater first, after the
// formats' description (netpbm, pgm(5) and ppm(5), from memory). Values are taken as they
// stand, though the description asks for a display's curve: files of linear values are
// common, and [FitResponse] tells them apart.
func readNetpbm(r io.ReaderAt, size int64, channel Channel) (*Picture, error) {
	b := bufio.NewReader(io.NewSectionReader(r, 0, size))
	kind := make([]byte, 2)
	if _, err := io.ReadFull(b, kind); err != nil {
		return nil, err
	}
	read := int64(2)
	var n [3]int
	for i := range n {
		v, used, err := netpbmNumber(b)
		if err != nil {
			return nil, err
		}
		n[i], read = v, read+used
	}
	width, height, greatest := n[0], n[1], n[2]
	if err := aPicture(width, height); err != nil {
		return nil, err
	}
	if greatest < 256 || greatest > 65535 {
		return nil, check.Errorf(ErrPicture,
			"a greatest value of %d; 16 bits are wanted, 256 to 65535: 8 bits are too coarse above a density of 1", greatest)
	}
	p := &Picture{width: width, height: height, origin: Origin{Format: "PGM", Numbers: fmt.Sprintf("up to %d", greatest),
		Channel: "grey", White: float64(greatest)}}
	samples, at := 1, 0
	if kind[1] == '6' {
		samples, at = 3, sample[channel]
		p.origin.Format, p.origin.Channel = "PPM", channel.String()
	}
	if want := read + int64(width)*int64(height)*int64(samples)*2; size < want {
		return nil, check.Errorf(ErrPicture, "%d bytes where %d × %d pixels take %d: the file is cut short", size, width, height, want)
	} else if size > want {
		return nil, check.Errorf(ErrPicture, "%d bytes where %d × %d pixels take %d: something stands behind the picture",
			size, width, height, want)
	}
	p.u = make([]uint16, width*height)
	row := make([]byte, 2*samples*width)
	for y := range height {
		if _, err := io.ReadFull(b, row); err != nil {
			return nil, err
		}
		for x := range width {
			i := 2 * (x*samples + at)
			v := uint16(row[i])<<8 | uint16(row[i+1])
			if int(v) > greatest {
				return nil, check.Errorf(ErrPicture,
					"value %d at column %d of row %d, above the greatest value %d of the header", v, x, y, greatest)
			}
			p.u[y*width+x] = v
		}
	}
	return p, nil
}

// netpbmNumber reads a number of the header with the one white space behind it, and
// returns how many bytes it took.
func netpbmNumber(b *bufio.Reader) (v int, used int64, err error) {
	digits, remark := 0, false
	for {
		c, err := b.ReadByte()
		if err != nil {
			return 0, 0, check.Errorf(ErrPicture, "the header is cut short")
		}
		used++
		space := c == ' ' || c == '\t' || c == '\n' || c == '\r'
		switch {
		case remark:
			remark = c != '\n'
		case c == '#' && digits == 0:
			remark = true
		case space && digits > 0:
			return v, used, nil
		case space:
		case c >= '0' && c <= '9' && digits < 9:
			v, digits = 10*v+int(c-'0'), digits+1
		default:
			return 0, 0, check.Errorf(ErrPicture, "byte %q in the header where a number belongs", c)
		}
	}
}
