package structure

import (
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Patch gathers frames of one even patch of film, tile by tile, so that a large picture need
// not be held at once. Make one by [NewPatch], give it the tiles that [Patch.Tiles] names in any
// order, and take [Patch.Spectrum].
type Patch struct {
	pitch, aperture float64
	tiles           []Tile
	width, height   int // of a tile
	frames          int
	transforms      []*transform
	x               [][]float64
	disc            disc
	power           []float64 // of the disc, by frequency of the half plane

	cross, auto []float64 // half plane, sums over tiles
	byTile      []float64 // variance through the disc
	products    float64   // of averages of two frames
	discs       int
	light       float64 // mean of the tiles' means
	kept, added float64 // pixels
}

// Tile is a part of a patch: pixels from its top left corner.
type Tile struct{ X, Y, Width, Height int }

const (
	// tileSide is the side of a tile, in pixels, where the patch is large. A choice: trends
	// longer than a tile are taken off, and there are enough frequencies below 1/48 µm.
	tileSide = 128
	// discsAcross is how many apertures have room across a tile, at least and by choice.
	fewestAcross, discsAcross = 3, 8
	// mostPixels of a patch. A choice.
	mostPixels = 1 << 29
	// keptLeast is the share of a tile that dust must have left.
	keptLeast = 0.5
)

// NewPatch begins a patch of width × height pixels of a pitch in µm, to be averaged over round
// apertures of a diameter in µm. The error wraps [ErrCoarse] where the aperture is smaller than two
// pixels, and [ErrInput] where the patch has no room for three apertures on each side.
func NewPatch(width, height int, pitch, aperture float64) (*Patch, error) {
	if !(pitch > 0) || !(aperture > 0) || !check.Finite(pitch, aperture) || width < 1 || height < 1 {
		return nil, check.Errorf(ErrInput, "a patch of %d × %d pixels of %v µm for an aperture of %v µm", width, height, pitch, aperture)
	}
	if aperture < 2*pitch {
		return nil, check.Errorf(ErrCoarse, "pixels of %.3g µm: the aperture of %.3g µm is smaller than two of them", pitch, aperture)
	}
	if width > mostPixels/height {
		return nil, check.Errorf(ErrInput, "a patch of %d × %d pixels, want %d in all at most", width, height, mostPixels)
	}
	// Held to before the disc is made, which is small then.
	if least := max(fewestAcross*math.Ceil(aperture/pitch), 16); float64(min(width, height)) < least {
		return nil, check.Errorf(ErrInput, "a patch of %d × %d pixels; want %.0f on each side at least, for three apertures of %.3g µm in a row",
			width, height, least, aperture)
	}
	p := &Patch{pitch: pitch, aperture: aperture, disc: newDisc(aperture / pitch)}
	var nx, ny int
	p.width, nx = tileOf(width, p.disc.side)
	p.height, ny = tileOf(height, p.disc.side)
	if least := max(fewestAcross*p.disc.side-1, 16); p.width < least || p.height < least {
		return nil, check.Errorf(ErrInput, "a patch of %d × %d pixels is a little too small for three apertures of %.3g µm in a row", width, height, aperture)
	}
	for j := range ny {
		for i := range nx {
			p.tiles = append(p.tiles, Tile{spread(i, nx, width, p.width), spread(j, ny, height, p.height), p.width, p.height})
		}
	}
	p.discPower()
	return p, nil
}

// spread is where tile i of n begins, side by side or with the rest between them.
func spread(i, n, whole, tile int) int {
	if n == 1 {
		return (whole - tile) / 2
	}
	return i * (whole - tile) / (n - 1)
}

// tileOf cuts a length into n tiles of a side that a Fourier transform likes: even, and of the
// factors 2, 3 and 5.
func tileOf(whole, disc int) (side, n int) {
	n = max(1, int(math.Round(float64(whole)/float64(max(tileSide, discsAcross*disc)))))
	for side = whole / n; side > 0; side-- {
		rest := side
		for _, f := range []int{2, 3, 5} {
			for rest%f == 0 {
				rest /= f
			}
		}
		if rest == 1 && side%2 == 0 {
			break
		}
	}
	return side, n
}

// discPower is the squared response of the disc's weights on the pixels.
func (p *Patch) discPower() {
	t := newTransform(p.width, p.height)
	x := make([]float64, p.width*p.height)
	for i, w := range p.disc.weights {
		x[i/p.disc.side*p.width+i%p.disc.side] = w
	}
	t.do(x)
	p.power = make([]float64, len(t.c))
	for i, c := range t.c {
		p.power[i] = real(c)*real(c) + imag(c)*imag(c)
	}
	p.cross, p.auto = make([]float64, len(t.c)), make([]float64, len(t.c))
}

// Tiles returns the parts of the patch that [Patch.Add] takes.
func (p *Patch) Tiles() []Tile { return append([]Tile(nil), p.tiles...) }

// Add adds one tile: its transmittances, or any values linear in the light, in one frame or
// several that show the same place, row by row. out marks dust and scratches; nil for none.
// Each frame is divided by its plane, so that trends over a tile have no part in the grain.
//
// The error wraps [ErrInput]. A tile of which dust took half is passed over.
func (p *Patch) Add(out []bool, frames ...[]float64) error {
	n := p.width * p.height
	if n == 0 {
		return check.Errorf(ErrInput, "a patch of no size; make one by NewPatch")
	}
	if p.frames == 0 {
		p.frames = len(frames)
	}
	if len(frames) == 0 || len(frames) != p.frames || out != nil && len(out) != n {
		return check.Errorf(ErrInput, "%d frames after %d, and %d marks", len(frames), p.frames, len(out))
	}
	for len(p.transforms) < p.frames {
		p.transforms = append(p.transforms, newTransform(p.width, p.height))
		p.x = append(p.x, make([]float64, n))
	}
	kept := n
	for _, o := range out {
		if o {
			kept--
		}
	}
	p.added += float64(n)
	if float64(kept) < keptLeast*float64(n) {
		return nil
	}
	light := 0.0
	for k, f := range frames {
		if len(f) != n {
			return check.Errorf(ErrInput, "%d values for a tile of %d × %d", len(f), p.width, p.height)
		}
		mean, ok := flatten(p.x[k], f, out, p.width)
		if !ok {
			return check.Errorf(ErrInput, "a tile without light, or with values that are not finite")
		}
		light += mean / float64(p.frames)
		p.transforms[k].do(p.x[k])
	}
	p.light += light * float64(kept)
	p.kept += float64(kept)
	p.addPower(float64(kept) / float64(n))
	p.average(out)
	return nil
}

// flatten puts v over its plane, less 1, into x, and 0 where it is out.
func flatten(x, v []float64, out []bool, width int) (mean float64, ok bool) {
	var n, sx, sy, sxx, sxy, syy, sv, sxv, syv float64
	mx, my := float64(width-1)/2, float64(len(v)/width-1)/2
	for i := 0; i < len(v); i += width {
		dy := float64(i/width) - my
		for j, z := range v[i : i+width] {
			if out != nil && out[i+j] {
				continue
			}
			dx := float64(j) - mx
			n, sx, sy, sv = n+1, sx+dx, sy+dy, sv+z
			sxx, sxy, syy, sxv, syv = sxx+dx*dx, sxy+dx*dy, syy+dy*dy, sxv+dx*z, syv+dy*z
		}
	}
	ax, ay := sx/n, sy/n
	mean = sv / n
	sxx, sxy, syy, sxv, syv = sxx-n*ax*ax, sxy-n*ax*ay, syy-n*ay*ay, sxv-ax*sv, syv-ay*sv
	det := sxx*syy - sxy*sxy
	if !(mean > 0) || !(det > 0) || !check.Finite(mean, sxv, syv) {
		return mean, false
	}
	b, c := (sxv*syy-syv*sxy)/det, (syv*sxx-sxv*sxy)/det
	for i := 0; i < len(v); i += width {
		dy := float64(i/width) - my - ay
		for j, z := range v[i : i+width] {
			if out != nil && out[i+j] {
				x[i+j] = 0
				continue
			}
			plane := mean + b*(float64(j)-mx-ax) + c*dy
			if !(plane > 0) {
				return mean, false
			}
			x[i+j] = z/plane - 1
		}
	}
	return mean, true
}

// addPower adds the tile's spectra: what single frames have, and what pairs of them share.
func (p *Patch) addPower(kept float64) {
	scale := math.Log10E * math.Log10E * p.pitch * p.pitch / float64(p.width*p.height) / kept
	n := float64(p.frames)
	area := scaleOfPower(p.width, p.height, p.pitch)
	variance := 0.0
	half := p.width/2 + 1
	for i := range p.cross {
		var re, im, own float64
		for _, t := range p.transforms {
			a, b := real(t.c[i]), imag(t.c[i])
			re, im, own = re+a, im+b, own+a*a+b*b
		}
		own *= scale
		shared := own
		if n > 1 {
			shared = ((re*re+im*im)*scale - own) / (n * (n - 1))
		}
		p.auto[i] += own / n
		p.cross[i] += shared
		variance += shared * p.power[i] * twice(i%half, p.width)
	}
	p.byTile = append(p.byTile, variance*area/planeLoss(p.disc.area, p.width*p.height))
}

// scaleOfPower is du dv.
func scaleOfPower(width, height int, pitch float64) float64 {
	return 1 / (float64(width) * pitch * float64(height) * pitch)
}

// twice is 2 for the columns of the half plane that stand for two.
func twice(k, width int) float64 {
	if k == 0 || 2*k == width {
		return 1
	}
	return 2
}

// planeLoss is the share of the variance of averages that a plane leaves: it has three of as
// many numbers as averages have room on a tile.
func planeLoss(area float64, pixels int) float64 { return 1 - 3*area/float64(pixels) }

// average adds the averages of apertures that lie side by side.
func (p *Patch) average(out []bool) {
	side := p.disc.side
	for y := 0; y+side <= p.height; y += side {
		for x := 0; x+side <= p.width; x += side {
			p.averageAt(out, x, y)
		}
	}
}

func (p *Patch) averageAt(out []bool, x, y int) {
	side := p.disc.side
	weight := 0.0
	sums := make([]float64, p.frames)
	for j := range side {
		at := (y+j)*p.width + x
		for i, w := range p.disc.weights[j*side : (j+1)*side] {
			if out != nil && out[at+i] {
				continue
			}
			weight += w
			for k := range sums {
				sums[k] += w * p.x[k][at+i]
			}
		}
	}
	if weight < 0.8 {
		return
	}
	var sum, ss float64
	for _, s := range sums {
		s *= math.Log10E / weight
		sum, ss = sum+s, ss+s*s
	}
	if n := float64(p.frames); n > 1 {
		ss = (sum*sum - ss) / (n * (n - 1))
	}
	p.products += ss
	p.discs++
}

// Spectrum returns what the tiles say. The error wraps [ErrInput] where there are none.
func (p *Patch) Spectrum() (*Spectrum, error) {
	n := float64(len(p.byTile))
	if n == 0 || p.discs == 0 {
		return nil, check.Errorf(ErrInput, "no tile of the patch, or none that dust has left half of")
	}
	s := &Spectrum{pitch: p.pitch, aperture: p.aperture, width: p.width, height: p.height, frames: p.frames, tiles: len(p.byTile),
		kept: p.kept / p.added, density: sensito.Density(-math.Log10(p.light / p.kept)), discs: p.discs, byTile: p.byTile,
		averaged: p.products / float64(p.discs) / planeLoss(p.disc.area, p.width*p.height)}
	s.cross, s.auto = make([]float64, len(p.cross)), make([]float64, len(p.auto))
	for i := range p.cross {
		s.cross[i], s.auto[i] = p.cross[i]/n, p.auto[i]/n
	}
	s.discPower = p.power
	return s, nil
}
