package scan

import (
	"encoding/binary"
	"errors"
	"image"
	"image/png"
	"io"
	"math"

	"example.org/actinic/internal/check"
)

// deflateMost is how many bytes one byte of a deflated stream can become (RFC 1951: 258
// bytes for 2 bits), with room for the rest.
const deflateMost = 1100

// readPNG looks through the chunks of a PNG (W3C, Portable Network Graphics, from memory)
// before it decodes it.
func readPNG(r io.ReaderAt, size int64, channel Channel) (*Picture, error) {
	width, height, samples, err := lookPNG(r, size)
	if err != nil {
		return nil, err
	}
	img, err := png.Decode(io.NewSectionReader(r, 0, size))
	if err != nil {
		return nil, cut(err)
	}
	p := &Picture{width: width, height: height, origin: Origin{Format: "PNG"}}
	return p.fromImage(img, samples, channel)
}

// cut says in words that a file ended too soon.
func cut(err error) error {
	if errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
		return check.Errorf(ErrPicture, "the file is cut short")
	}
	return err
}

// lookPNG reads the header and what stands before the pixels, and refuses what is not
// linear, not of 16 bits, or claims more than the file can hold.
func lookPNG(r io.ReaderAt, size int64) (width, height, samples int, err error) {
	var head [8]byte
	packed := int64(0)
	for at := int64(8); ; {
		if _, err := r.ReadAt(head[:], at); err != nil {
			return 0, 0, 0, cut(err)
		}
		n, kind := int64(binary.BigEndian.Uint32(head[:4])), string(head[4:])
		if at+12+n > size {
			return 0, 0, 0, check.Errorf(ErrPicture,
				"the chunk %q claims %d bytes, more than the file has: it is cut short or broken", kind, n)
		}
		var body []byte
		switch kind {
		case "IHDR", "gAMA", "iCCP", "eXIf":
			body = make([]byte, min(n, 1<<20))
			if _, err := r.ReadAt(body, at+8); err != nil {
				return 0, 0, 0, cut(err)
			}
		}
		if at == 8 && (kind != "IHDR" || n != 13) {
			return 0, 0, 0, check.Errorf(ErrPicture, "a PNG without a header")
		}
		switch kind {
		case "IHDR":
			w, h := binary.BigEndian.Uint32(body), binary.BigEndian.Uint32(body[4:])
			if w > most || h > most {
				return 0, 0, 0, check.Errorf(ErrPicture, "%d × %d pixels", w, h)
			}
			width, height = int(w), int(h)
			if samples, err = pngSamples(body); err != nil {
				return 0, 0, 0, err
			}
		case "IDAT":
			packed += n
		case "IEND":
			if err := aPicture(width, height); err != nil {
				return 0, 0, 0, err
			}
			return width, height, samples, fits(width, height, samples, packed, deflateMost)
		default:
			if err := pngCurve(kind, body); err != nil {
				return 0, 0, 0, err
			}
		}
		at += 12 + n
	}
}

// fits refuses a claim that so many bytes cannot hold, each becoming so many at most.
func fits(width, height, samples int, packed, factor int64) error {
	if want := 2 * int64(width) * int64(height) * int64(samples); want > packed*factor {
		return check.Errorf(ErrPicture, "%d × %d pixels of 16 bits are claimed by %d bytes, which cannot hold them", width, height, packed)
	}
	return nil
}

func pngSamples(header []byte) (int, error) {
	if header[8] != 16 {
		return 0, check.Errorf(ErrPicture,
			"%d bits a sample, want 16: fewer are too coarse above a density of 1, and come with a display's curve; %s", header[8], rawWay)
	}
	switch header[9] {
	case 0:
		return 1, nil
	case 2:
		return 3, nil
	}
	return 0, check.Errorf(ErrPicture, "a PNG with transparency or a palette; write it without: convert IN.png -alpha off OUT.png")
}

// pngCurve refuses what says that the values carry a curve, or lie turned.
func pngCurve(kind string, body []byte) error {
	switch kind {
	case "gAMA":
		if len(body) != 4 {
			return check.Errorf(ErrPicture, "a gamma chunk of %d bytes", len(body))
		}
		if g := float64(binary.BigEndian.Uint32(body)) / 100000; math.Abs(g-1) > 0.001 {
			return check.Errorf(ErrPicture, "its gamma is %.5g, that of a display; %s", g, rawWay)
		}
	case "sRGB", "cICP":
		return check.Errorf(ErrPicture, "it says by its chunk %s that its values carry a display's curve; %s", kind, rawWay)
	case "iCCP":
		return iccOfPNG(body)
	case "eXIf":
		if o, err := exifOrientation(body); err == nil && o > 1 {
			return turned(o)
		}
	case "tRNS":
		return check.Errorf(ErrPicture, "a PNG with transparency; write it without: convert IN.png -alpha off OUT.png")
	case "acTL":
		return check.Errorf(ErrPicture, "a PNG of several pictures; write one of them alone")
	}
	return nil
}

// fromImage takes one channel of a decoded picture of 16 bits.
func (p *Picture) fromImage(img image.Image, samples int, channel Channel) (*Picture, error) {
	p.origin.Numbers, p.origin.White, p.origin.Channel = "16 bits", math.MaxUint16, "grey"
	if b := img.Bounds(); b.Dx() != p.width || b.Dy() != p.height {
		return nil, check.Errorf(ErrPicture, "%d × %d pixels where the header says %d × %d", b.Dx(), b.Dy(), p.width, p.height)
	}
	var pix []byte
	var stride, step, at int
	switch m := img.(type) {
	case *image.Gray16:
		pix, stride, step = m.Pix, m.Stride, 2
	case *image.RGBA64:
		pix, stride, step, at = m.Pix, m.Stride, 8, 2*sample[channel]
	case *image.NRGBA64:
		pix, stride, step, at = m.Pix, m.Stride, 8, 2*sample[channel]
	default:
		return nil, check.Errorf(ErrPicture, "pixels of another form (%T) than grey or RGB of 16 bits", img)
	}
	if samples == 3 {
		p.origin.Channel = channel.String()
	}
	p.u = make([]uint16, p.width*p.height)
	for y := range p.height {
		row := pix[y*stride:]
		for x := range p.width {
			i := x*step + at
			p.u[y*p.width+x] = uint16(row[i])<<8 | uint16(row[i+1])
		}
	}
	return p, eightBits(p)
}
