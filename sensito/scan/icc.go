package scan

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"io"
	"math"

	"example.org/actinic/internal/check"
)

const iccMost = 1 << 20 // bytes of a profile that are looked at

// iccLinear refuses a colour profile whose curve is not straight (ICC.1, types curv and
// para, from memory). A profile by tables, without a curve, says nothing of it and passes.
func iccLinear(b []byte) error {
	if len(b) < 132 {
		return nil
	}
	n := int(min(binary.BigEndian.Uint32(b[128:]), 100))
	for i := range n {
		if len(b) < 132+12*(i+1) {
			return nil
		}
		e := b[132+12*i:]
		switch string(e[:4]) {
		case "rTRC", "gTRC", "bTRC", "kTRC":
		default:
			continue
		}
		at, size := int64(binary.BigEndian.Uint32(e[4:])), int64(binary.BigEndian.Uint32(e[8:]))
		if size < 12 || at+size > int64(len(b)) {
			continue
		}
		if g, straight := iccCurve(b[at : at+size]); !straight {
			return check.Errorf(ErrPicture, "its colour profile has the curve of a display (a slope of %.2g); %s", g, rawWay)
		}
	}
	return nil
}

// iccCurve returns the slope of a curve, log against log over its upper half, and whether
// the curve is the straight one.
func iccCurve(c []byte) (slope float64, straight bool) {
	const near = 0.004 // what an exponent in 1/256 can miss 1 by
	switch string(c[:4]) {
	case "curv":
		n := int64(binary.BigEndian.Uint32(c[8:]))
		switch {
		case n == 0:
			return 1, true
		case n == 1 && len(c) >= 14:
			g := float64(binary.BigEndian.Uint16(c[12:])) / 256
			return g, math.Abs(g-1) <= near
		case n >= 2 && int64(len(c)) >= 12+2*n:
			return tableCurve(c[12 : 12+2*n])
		}
	case "para":
		if len(c) < 16 {
			return 1, true
		}
		g := float64(int32(binary.BigEndian.Uint32(c[12:]))) / 65536
		return g, math.Abs(g-1) <= near
	}
	return 1, true
}

func tableCurve(t []byte) (slope float64, straight bool) {
	n := len(t) / 2
	v := func(i int) float64 { return float64(binary.BigEndian.Uint16(t[2*i:])) / math.MaxUint16 }
	straight = true
	for i := range n {
		if math.Abs(v(i)-float64(i)/float64(n-1)) > 0.01 {
			straight = false
		}
	}
	mid := n / 2
	return math.Log(v(n-1)/v(mid)) / math.Log(float64(n-1)/math.Max(float64(mid), 1)), straight
}

// iccOfPNG looks at the profile of a PNG: a name, a method, and the profile deflated.
func iccOfPNG(chunk []byte) error {
	i := bytes.IndexByte(chunk, 0)
	if i < 0 || len(chunk) < i+2 {
		return nil
	}
	z, err := zlib.NewReader(bytes.NewReader(chunk[i+2:]))
	if err != nil {
		return check.Errorf(ErrPicture, "a colour profile that cannot be read (%v)", err)
	}
	defer z.Close()
	profile, err := io.ReadAll(io.LimitReader(z, iccMost))
	if err != nil {
		return check.Errorf(ErrPicture, "a colour profile that cannot be read (%v)", err)
	}
	return iccLinear(profile)
}
