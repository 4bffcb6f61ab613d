package scan

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"

	"example.org/actinic/internal/check"
)

// MeanError returns the standard error of the mean of a patch whose pixels may know each
// other, and its ratio to sd/sqrt(pixels). values are width × height, row by row.
//
//	SE² = W(0) / (width · height),      W(u, v) = |sum (x - plane) exp(-2 pi i (ux + vy))|² / (width · height)
//
// W is the noise power spectrum in units of a pixel's area (IAEA, Diagnostic Radiology
// Physics, 2014, equation 4.41, for the form; the plane taken off is a fitted one). W(0)
// itself is lost with the mean, so it is carried on from the low frequencies: log W = a +
// b (u² + v²) is fitted to the periodogram by Whittle's likelihood (from memory), where W is
// above a quarter of W(0). The power that a plane takes from the axes is put back:
// 3/(pi k)² of the k-th bin of an axis.
//
// Grain, photons and reading all have their part in it; what is common to the whole patch
// has none. White noise smoothed by 3 × 3 pixels gives nearly 3 times sd/sqrt(pixels).
// Relative error about 1/sqrt(pixels/100) for a correlation of a few pixels.
//
// Domain: 8 × 8 pixels at least. The error wraps [ErrInput].
func MeanError(values []float64, width, height int) (se, ratio float64, err error) {
	if width < 8 || height < 8 || len(values) != width*height {
		return 0, 0, check.Errorf(ErrInput, "%d values for %d × %d pixels; a spectrum needs 8 × 8 at least", len(values), width, height)
	}
	r := make([]float64, len(values))
	copy(r, values)
	p, ok := fitPlane(r, nil, width, height)
	if !ok {
		return 0, 0, check.Errorf(ErrInput, "values that are not finite")
	}
	ss := 0.0
	for i := range r {
		r[i] -= p.at(i%width, i/width)
		ss += r[i] * r[i]
	}
	n := float64(len(r))
	sd := math.Sqrt(ss / (n - 3))
	w0, _ := powerAtZero(r, width, height)
	se = math.Sqrt(w0 / n)
	if sd == 0 {
		return se, 1, nil
	}
	return se, se / (sd / math.Sqrt(n)), nil
}

// plane is a + b (x - mx) + c (y - my).
type plane struct{ a, b, c, mx, my float64 }

func (p plane) at(x, y int) float64 { return p.a + p.b*(float64(x)-p.mx) + p.c*(float64(y)-p.my) }

// fitPlane fits a plane by least squares to the pixels that are not out; false if a value
// is not finite or the pixels do not span a plane.
func fitPlane(v []float64, out []bool, width, height int) (plane, bool) {
	var n, sx, sy, sv float64
	for i, x := range v {
		if out == nil || !out[i] {
			n, sx, sy, sv = n+1, sx+float64(i%width), sy+float64(i/width), sv+x
		}
	}
	p := plane{a: sv / n, mx: sx / n, my: sy / n}
	var xx, xy, yy, xv, yv float64
	for i, z := range v {
		if out == nil || !out[i] {
			dx, dy, dv := float64(i%width)-p.mx, float64(i/width)-p.my, z-p.a
			xx, xy, yy, xv, yv = xx+dx*dx, xy+dx*dy, yy+dy*dy, xv+dx*dv, yv+dy*dv
		}
	}
	det := xx*yy - xy*xy
	if !(det > 0) {
		return p, check.Finite(p.a)
	}
	p.b, p.c = (xv*yy-yv*xy)/det, (yv*xx-xv*xy)/det
	return p, check.Finite(p.a, p.b, p.c)
}

// bin is a place of the periodogram.
type bin struct{ ff, power float64 }

// periodogram returns the half plane of it but for the mean, for frequencies up to
// greatest, in cycles a pixel.
func periodogram(r []float64, width, height int, greatest float64) []bin {
	rows := fourier.NewFFT(width)
	half := width/2 + 1
	spectrum := make([]complex128, half*height)
	for y := range height {
		rows.Coefficients(spectrum[y*half:(y+1)*half], r[y*width:(y+1)*width])
	}
	columns := fourier.NewCmplxFFT(height)
	column := make([]complex128, height)
	var out []bin
	for kx := range half {
		fx := float64(kx) / float64(width)
		if fx > greatest {
			break
		}
		for y := range height {
			column[y] = spectrum[y*half+kx]
		}
		columns.Coefficients(column, column)
		for ky, c := range column {
			k := ky
			if 2*ky > height {
				k = ky - height
			}
			fy := float64(k) / float64(height)
			edge := kx == 0 || 2*kx == width
			if edge && k <= 0 || fx*fx+fy*fy > greatest*greatest {
				continue // its twin is there already, or is the mean
			}
			m := cmplx.Abs(c)
			power := m * m / float64(width*height)
			if j := max(kx, k); kx == 0 || k == 0 {
				power /= 1 - 3/(math.Pi*math.Pi*float64(j*j)) // j is not 0, and |k| < 1 only on the axis
			}
			out = append(out, bin{fx*fx + fy*fy, power})
		}
	}
	return out
}

const (
	widest     = 0.25 // cycles a pixel
	fewestBins = 24
)

// powerAtZero carries the spectrum of residuals on to frequency 0, and says with how many
// degrees of freedom it is known: 2 over its relative variance.
func powerAtZero(r []float64, width, height int) (w0, freedom float64) {
	bins := periodogram(r, width, height, widest)
	limit := widest * widest
	for range 6 {
		a, b, variance := whittle(bins, limit)
		w0, freedom = math.Exp(a), 2/variance
		if !(w0 > 0) {
			return 0, 0
		}
		// where the spectrum has fallen to a quarter
		next := limit
		if b < 0 {
			next = math.Log(0.25) / b
		}
		if next >= limit*0.98 || within(bins, next) < fewestBins {
			return w0, freedom
		}
		limit = next
	}
	return w0, freedom
}

func within(bins []bin, limit float64) int {
	n := 0
	for _, b := range bins {
		if b.ff <= limit {
			n++
		}
	}
	return n
}

// whittle fits log W = a + b f² to periodogram values, whose law is the exponential one,
// by Fisher's scoring. variance is that of a.
func whittle(bins []bin, limit float64) (a, b, variance float64) {
	n := 0
	var sf, sff, sp float64
	for _, k := range bins {
		if k.ff <= limit {
			n++
			sf, sff, sp = sf+k.ff, sff+k.ff*k.ff, sp+k.power
		}
	}
	if n == 0 || !(sp > 0) {
		return math.Inf(-1), 0, 1
	}
	a = math.Log(sp / float64(n))
	mean := sf / float64(n)
	spread := sff - sf*mean
	if n < 8 || !(spread > 0) {
		return a, 0, 1 / float64(n)
	}
	c := a // the value at the mean frequency
	for range 60 {
		var g0, g1 float64
		for _, k := range bins {
			if k.ff <= limit {
				e := k.power/math.Exp(c+b*(k.ff-mean)) - 1
				g0, g1 = g0+e, g1+e*(k.ff-mean)
			}
		}
		dc, db := g0/float64(n), g1/spread
		// a step that would overshoot is cut: exp answers strongly
		cut := min(1, 1/max(math.Abs(dc), math.Abs(db)*math.Sqrt(spread/float64(n))))
		c, b = c+cut*dc, b+cut*db
		if math.Abs(dc)+math.Abs(db)*limit < 1e-7 {
			break
		}
	}
	return c - b*mean, b, 1/float64(n) + mean*mean/spread
}
