package structure

import (
	"fmt"
	"math"

	"example.org/actinic/internal/check"
)

// Edge is a straight slanted edge between two even sides, as a profile along its normal, a
// quarter of a pixel a step.
type Edge struct {
	pitch      float64
	degrees    float64
	horizontal bool
	falling    bool // the given values fall along x, or y
	rows       int
	profile    []float64   // values, low to high, from the mean of all rows
	without    [][]float64 // profiles without one block of rows each
	width      float64     // of a bin, in pixels, as it averages
	low, high  float64
}

const (
	// perPixel is how many steps of a profile a pixel has.
	perPixel = 4
	// least and greatest slant, in degrees. Choices: below the least, few rows have each place
	// of the edge within a pixel; above the greatest, a row's pixels do.
	leastSlant, greatestSlant = 1.5, 30
	// fewestBlocks of rows are needed to know how well the profile is known.
	fewestBlocks, mostBlocks = 4, 16
	// sidePixels is the least that a box must have on each side of the edge.
	sidePixels = 8
)

// FindEdge finds the edge in a box of width × height values, linear in the light, of pixels of
// a pitch in µm. Each row's place of the edge is the centre of its derivative; a line through
// them gives the slant; every pixel then goes into the quarter pixel of its distance along
// the normal (ISO 12233:2014, 6.2.4 and 6.2.5, for the steps). The edge is to run from one side
// of the box to the other, slanted by 1.5° to 30° against rows or columns.
//
// The error wraps [ErrInput] for values that are no box, and [ErrEdge] where there is no such
// edge; it says what was found.
func FindEdge(values []float64, width, height int, pitch float64) (*Edge, error) {
	if width < 2 || height < 2 || len(values)/width != height || len(values)%width != 0 || !(pitch > 0) || !check.Finite(pitch) {
		return nil, check.Errorf(ErrInput, "%d values for %d × %d pixels of %v µm", len(values), width, height, pitch)
	}
	for _, v := range values {
		if !check.Finite(v) {
			return nil, check.Errorf(ErrInput, "values that are not finite")
		}
	}
	e := &Edge{pitch: pitch}
	v, w, h := e.upright(values, width, height)
	if w < 2*sidePixels+2 || h < 2*sidePixels {
		return nil, check.Errorf(ErrEdge, "a box of %d × %d pixels is too small for one", width, height)
	}
	line, err := findLine(v, w, h)
	if err != nil {
		return nil, err
	}
	e.degrees = math.Atan(line.slope) * 180 / math.Pi
	if s := math.Abs(e.degrees); s < leastSlant || s > greatestSlant {
		return nil, check.Errorf(ErrEdge, "it is slanted by %.2f° against the pixels, want %v° to %v°; 5° is usual: turn the film or the camera",
			s, leastSlant, greatestSlant)
	}
	return e, e.bin(v, w, h, line)
}

// upright turns the values so that the edge runs along the columns and rises from left to right.
func (e *Edge) upright(values []float64, width, height int) ([]float64, int, int) {
	side := func(x0, x1, y0, y1 int) float64 {
		sum := 0.0
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				sum += values[y*width+x]
			}
		}
		return sum / float64(max((x1-x0)*(y1-y0), 1))
	}
	qx, qy := max(width/4, 1), max(height/4, 1)
	dx := side(width-qx, width, 0, height) - side(0, qx, 0, height)
	dy := side(0, width, height-qy, height) - side(0, width, 0, qy)
	e.horizontal = math.Abs(dy) > math.Abs(dx)
	d, w, h := dx, width, height
	if e.horizontal {
		d, w, h = dy, height, width
	}
	e.falling = d < 0
	out := make([]float64, len(values))
	for y := range h {
		for x := range w {
			at := y*width + x
			if e.horizontal {
				at = x*width + y
			}
			to := y*w + x
			if e.falling {
				to = y*w + w - 1 - x
			}
			out[to] = values[at]
		}
	}
	return out, w, h
}

// line is where an edge crosses each row, x = at + slope (y - middle).
type line struct{ at, slope, middle float64 }

func (l line) x(y int) float64 { return l.at + l.slope*(float64(y)-l.middle) }

// findLine finds the edge roughly from strips of rows, and then by the centres of the rows'
// derivatives about it.
func findLine(v []float64, w, h int) (line, error) {
	strips := min(8, h)
	var ys, xs []float64
	for k := range strips {
		y0, y1 := k*h/strips, (k+1)*h/strips
		row := make([]float64, w)
		for y := y0; y < y1; y++ {
			for x := range w {
				row[x] += v[y*w+x] / float64(y1-y0)
			}
		}
		if x, ok := crossing(row); ok {
			ys, xs = append(ys, float64(y0+y1-1)/2), append(xs, x)
		}
	}
	if len(ys) < 4 {
		return line{}, check.Errorf(ErrEdge, "no two even sides are found in it")
	}
	l := robustLine(ys, xs, h)
	for _, reach := range []float64{12, 8, 8, 8} {
		ys, xs = ys[:0], xs[:0]
		for y := range h {
			if x, ok := centre(v[y*w:(y+1)*w], l.x(y), reach); ok {
				ys, xs = append(ys, float64(y)), append(xs, x)
			}
		}
		if len(ys) < h/2 {
			return line{}, check.Errorf(ErrEdge, "it does not run from one side of the box to the other")
		}
		l = robustLine(ys, xs, h)
	}
	if off := scatterAbout(l, ys, xs); off > 1.5 {
		return line{}, check.Errorf(ErrEdge, "its rows lie %.1f pixels off a straight line", off)
	}
	return l, nil
}

// crossing is where a row's running mean passes the middle between its ends.
func crossing(row []float64) (float64, bool) {
	n := len(row)
	q := max(n/8, 2)
	a, b := meanOf(row[:q]), meanOf(row[n-q:])
	mid := (a + b) / 2
	// the place that splits the row best: the sum of what is above on the left and below on
	// the right is least
	best, at, cost := math.Inf(1), 0, 0.0
	for _, x := range row {
		cost += b - x // all of it on the right
	}
	for i, x := range row {
		cost += (x - a) - (b - x)
		if cost < best {
			best, at = cost, i
		}
	}
	if !(b > a) || at < 2 || at >= n-2 {
		return 0, false
	}
	i := at
	if y0, y1 := row[i], row[i+1]; y1 > y0 && y0 <= mid && y1 >= mid {
		return float64(i) + (mid-y0)/(y1-y0), true
	}
	return float64(i) + 0.5, true
}

func meanOf(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// centre is that of a row's derivative about a place, under a Hamming window.
func centre(row []float64, about, reach float64) (float64, bool) {
	var sum, moment float64
	for i := max(1, int(about-reach)); i < len(row)-1 && float64(i) <= about+reach; i++ {
		w := 0.54 + 0.46*math.Cos(math.Pi*(float64(i)-about)/reach)
		d := w * (row[i+1] - row[i-1])
		sum, moment = sum+d, moment+d*float64(i)
	}
	x := moment / sum
	if !(sum > 0) || !(math.Abs(x-about) < reach) {
		return 0, false
	}
	return x, true
}

// robustLine is a line by least squares, fitted again without what lies far off.
func robustLine(ys, xs []float64, h int) line {
	l := line{middle: float64(h-1) / 2}
	keep := math.Inf(1)
	for range 3 {
		var n, sy, sx, syy, syx float64
		for i, y := range ys {
			if y -= l.middle; math.Abs(xs[i]-l.at-l.slope*y) <= keep {
				n, sy, sx, syy, syx = n+1, sy+y, sx+xs[i], syy+y*y, syx+y*xs[i]
			}
		}
		if d := n*syy - sy*sy; d > 0 {
			l.slope = (n*syx - sy*sx) / d
			l.at = (sx - l.slope*sy) / n
		}
		keep = max(2.5*scatterAbout(l, ys, xs), 1e-6)
	}
	return l
}

// scatterAbout is the root mean square distance of places from a line.
func scatterAbout(l line, ys, xs []float64) float64 {
	ss := 0.0
	for i, y := range ys {
		d := xs[i] - l.at - l.slope*(y-l.middle)
		ss += d * d
	}
	return math.Sqrt(ss / float64(len(ys)))
}

// bins are sums of values, and of their distances from the middle of the bin and their squares.
type bins struct{ n, sum, off, square []float64 }

func newBins(n int) bins {
	return bins{make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)}
}

// width is that of a bin evenly filled, in pixels, whose values scatter as much in place as
// these do in the bins about the edge.
func (b bins) width() float64 {
	v, bins := 0.0, 0.0
	mid := len(b.n) / 2
	for i := max(mid-leastSpread*perPixel, 0); i < min(mid+leastSpread*perPixel, len(b.n)); i++ {
		if n := b.n[i]; n > 0 {
			v, bins = v+max(b.square[i]/n-b.off[i]/n*b.off[i]/n, 0), bins+1
		}
	}
	return math.Sqrt(12*v/max(bins, 1)) / perPixel
}

// bin makes the profiles, of all rows and of all but a block of them.
func (e *Edge) bin(v []float64, w, h int, l line) error {
	cos := 1 / math.Hypot(1, l.slope)
	reach := math.Inf(1)
	for _, y := range []int{0, h - 1} {
		reach = min(reach, l.x(y), float64(w-1)-l.x(y))
	}
	half := int(reach*cos) - 1
	if half < sidePixels {
		return check.Errorf(ErrEdge, "it has %d pixels beside it, want %d on each side of it in every row", max(half, 0), sidePixels)
	}
	rows := int(math.Ceil(1 / math.Abs(l.slope))) // in which the edge moves by a pixel
	blocks := min(h/rows, mostBlocks)
	if blocks < fewestBlocks {
		return check.Errorf(ErrEdge, "it crosses %.1f pixels only in the %d rows of the box, want %d: make the box longer, or the slant greater",
			float64(h)*math.Abs(l.slope), h, fewestBlocks)
	}
	n := 2 * perPixel * half
	own := make([]bins, blocks)
	for k := range own {
		own[k] = newBins(n)
	}
	for y := range h {
		b := own[y*blocks/h]
		x0 := l.x(y)
		for x := range w {
			at := ((float64(x)-x0)*cos + float64(half)) * perPixel
			if j := int(math.Floor(at)); j >= 0 && j < n {
				b.n[j]++
				b.sum[j] += v[y*w+x]
				off := at - float64(j) - 0.5
				b.off[j] += off
				b.square[j] += off * off
			}
		}
	}
	all := newBins(n)
	for _, b := range own {
		all.add(b, 1)
	}
	e.width = all.width()
	var ok bool
	if e.profile, ok = all.profile(); !ok {
		return check.Errorf(ErrEdge, "too few rows for its slant of %.2f°", e.degrees)
	}
	for _, b := range own {
		rest := newBins(n)
		rest.add(all, 1)
		rest.add(b, -1)
		p, ok := rest.profile()
		if !ok {
			return check.Errorf(ErrEdge, "too few rows for its slant of %.2f°", e.degrees)
		}
		e.without = append(e.without, p)
	}
	e.rows = h
	side := max(n/8, perPixel)
	e.low, e.high = meanOf(e.profile[:side]), meanOf(e.profile[n-side:])
	if !(e.high > e.low) {
		return check.Errorf(ErrEdge, "its sides do not differ")
	}
	flat := e.spread()
	calm(e.profile, flat)
	for _, p := range e.without {
		calm(p, flat)
	}
	return nil
}

const (
	// insignificant is the departure from a side, as a share of the step, that is looked for
	// however little noise there is, and strays how many standard deviations of the noise it has to have.
	insignificant, strays = 0.002, 4
	// leastSpread is the least half width of what is taken for the edge, in pixels.
	leastSpread = 6
)

// spread is how far from the middle, in steps, the profile departs from its sides by more than noise
// does, running means of two pixels taken.
func (e *Edge) spread() int {
	n := len(e.profile)
	const w = 2 * perPixel
	run := make([]float64, n)
	sum := 0.0
	for i, v := range e.profile {
		if sum += v; i >= w {
			sum -= e.profile[i-w]
		}
		run[max(i-w/2, 0)] = sum / float64(min(i+1, w))
	}
	far := leastSpread * perPixel
	for _, side := range []struct {
		from, to int // of the outer part, whose scatter is the noise
		level    float64
		sign     int
	}{{w, n / 8, e.low, -1}, {n - n/8, n - w, e.high, 1}} {
		ss := 0.0
		for i := side.from; i < side.to; i++ {
			ss += (run[i] - side.level) * (run[i] - side.level)
		}
		limit := insignificant * (e.high - e.low)
		if k := side.to - side.from; k > 0 {
			limit = max(limit, strays*math.Sqrt(ss/float64(k)))
		}
		for at := n/2 - w; at > far; at-- {
			if i := n/2 + side.sign*at; i >= 0 && i < n && math.Abs(run[i]-side.level) > limit {
				far = at
				break
			}
		}
	}
	return far
}

// calm brings a profile to its sides outside of the edge: whole out to flat steps from the middle,
// and falling to nothing of what departs at twice that. What stands far from the edge is noise or
// another thing.
func calm(p []float64, flat int) {
	n := len(p)
	side := max(n/8, perPixel)
	low, high := meanOf(p[:side]), meanOf(p[n-side:])
	for i := range p {
		x := math.Abs(float64(i) + 0.5 - float64(n)/2)
		w := 1.0
		switch f := float64(flat); {
		case x >= 2*f:
			w = 0
		case x > f:
			w = 0.5 + 0.5*math.Cos(math.Pi*(x-f)/f)
		}
		level := low
		if i >= n/2 {
			level = high
		}
		p[i] = level + w*(p[i]-level)
	}
}

func (b bins) add(o bins, sign float64) {
	for i := range b.n {
		b.n[i], b.sum[i] = b.n[i]+sign*o.n[i], b.sum[i]+sign*o.sum[i]
		b.off[i], b.square[i] = b.off[i]+sign*o.off[i], b.square[i]+sign*o.square[i]
	}
}

// profile is the mean of each bin, moved to the bin's middle along the slope. A bin without
// values takes the mean of its neighbours; false where a quarter of them are empty.
func (b bins) profile() ([]float64, bool) {
	p := make([]float64, len(b.n))
	empty := 0
	for i, n := range b.n {
		if n > 0.5 {
			p[i] = b.sum[i] / n
			continue
		}
		empty++
		p[i] = math.NaN()
	}
	if 4*empty > len(p) {
		return nil, false
	}
	fill(p)
	out := append([]float64(nil), p...)
	for i := 1; i < len(p)-1; i++ {
		if b.n[i] > 0.5 {
			out[i] -= (p[i+1] - p[i-1]) / 2 * b.off[i] / b.n[i]
		}
	}
	return out, true
}

// fill puts straight lines through what is missing.
func fill(p []float64) {
	last := -1
	for i, v := range p {
		if math.IsNaN(v) {
			continue
		}
		for k := last + 1; k < i; k++ {
			if p[k] = v; last >= 0 {
				x := float64(k-last) / float64(i-last)
				p[k] = (1-x)*p[last] + x*v
			}
		}
		last = i
	}
	for k := last + 1; k < len(p) && last >= 0; k++ {
		p[k] = p[last]
	}
}

// Angle returns the slant in degrees against the columns, or the rows where the edge lies
// along them, and which.
func (e *Edge) Angle() (degrees float64, alongRows bool) { return math.Abs(e.degrees), e.horizontal }

// Sides returns the values of the two sides, the lower first.
func (e *Edge) Sides() (low, high float64) { return e.low, e.high }

// Profile returns the mean values by the distance along the normal in µm, from the lower side to
// the higher. Beyond the edge, where nothing but noise departs from its sides, it is these.
func (e *Edge) Profile() (distance, values []float64) {
	n := len(e.profile)
	for i := range n {
		distance = append(distance, (float64(i)+0.5-float64(n)/2)/perPixel*e.pitch)
	}
	return distance, append([]float64(nil), e.profile...)
}

// Beyond returns by how much the profile rises above its higher side and falls below its lower one near
// the edge, as shares of the step: adjacency effects of development, or sharpening. Noise has its
// part in both.
func (e *Edge) Beyond() (above, below float64) {
	step := e.high - e.low
	mid := len(e.profile) / 2
	for i := range e.profile {
		lo, hi := max(i-2, 0), min(i+3, len(e.profile)) // a pixel and a quarter
		v := meanOf(e.profile[lo:hi])
		if i >= mid {
			above = max(above, (v-e.high)/step)
		} else {
			below = max(below, (e.low-v)/step)
		}
	}
	return above, below
}

// String says what kind of edge it is.
func (e *Edge) String() string {
	along := "columns"
	if e.horizontal {
		along = "rows"
	}
	return fmt.Sprintf("an edge along %s, slanted by %.2f°, over %d rows of it", along, math.Abs(e.degrees), e.rows)
}
