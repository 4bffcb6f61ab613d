package cube

import (
	"unsafe"

	"example.org/actinic/internal/avx2"
)

// layout is what the assembly reads.
type layout struct {
	tone  tone
	lanes []int32
	tiles []tile
	fours [][]float32 // the weights of each channel as exposures1 wants them
}

// tone is read by offset.
type tone struct {
	entries *float32 // 0
	lanes   *int32   // 8: low, high, end and base of 8 lanes each, and so on
	cycle   int      // 16: bytes of lanes
	shift   uint64   // 24
	mask    uint32   // 32: mantissa bits below the index
	scale   float32  // 36: 1/2^shift
	refuse  uint32   // 40: all bits, or none for ClampToCurve
	largest uint32   // 44
}

// A tile is some channels that one pass over a block of pixels does. The last one
// may be wider than there are channels; its weights there are zero.
type tile struct {
	first, width int
	weights      []float32
}

func (p *Renderer) newLayout() layout {
	K := p.channels
	l := layout{}
	shift := p.tables.shift
	cycle := 1
	for !p.tables.single && cycle*8%K != 0 {
		cycle++
	}
	for v := range cycle {
		var lane [32]int32
		for i := range 8 {
			c := p.tables.of[(v*8+i)%K]
			lane[i], lane[8+i], lane[16+i], lane[24+i] = c.low, c.high, c.end, c.first-one>>shift
		}
		l.lanes = append(l.lanes, lane[:]...)
	}
	l.tone = tone{
		entries: &p.tables.entries[0], lanes: &l.lanes[0], cycle: cycle * 128, shift: uint64(shift),
		mask: 1<<shift - 1, scale: 1 / float32(uint32(1)<<shift), largest: largest,
	}
	if p.refuse {
		l.tone.refuse = 1<<32 - 1
	}
	if p.bands >= 4 {
		for k := range K {
			l.fours = append(l.fours, p.vectors(k, 1, 4))
		}
	}
	if K == 1 && p.bands >= 8 {
		w := p.vectors(0, 1, 8)
		l.tiles = []tile{{0, 1, append(w, make([]float32, max(32-len(w), 0))...)}}
		return l
	}
	for k := 0; k < K; {
		t := tile{first: k}
		switch rest := K - k; {
		case rest > 8:
			t.width = 16
		case rest > 4 || p.bands < 8:
			t.width = 8
		default:
			t.width = 4
		}
		if t.width == 4 {
			t.weights = p.vectors(k, 4, 8)
		} else {
			t.weights = p.columns(k, t.width)
		}
		l.tiles = append(l.tiles, t)
		k += t.width
	}
	return l
}

func (p *Renderer) weight(k, b int) float32 {
	if k >= p.channels {
		return 0
	}
	return p.relative[k*p.bands+b]
}

// vectors lays weights out as vectors of so many bands of each channel in turn. A
// last vector of fewer starts earlier, within the pixel, and has zeros for what the
// one before it has.
func (p *Renderer) vectors(k, channels, width int) (w []float32) {
	for b := 0; b < p.bands; b += width {
		from := min(b, p.bands-width)
		for c := range channels {
			for i := range width {
				if from+i < b {
					w = append(w, 0)
				} else {
					w = append(w, p.weight(k+c, from+i))
				}
			}
		}
	}
	return w
}

// columns lays weights out as the channels of each band.
func (p *Renderer) columns(k, width int) (w []float32) {
	for b := range p.bands {
		for c := range width {
			w = append(w, p.weight(k+c, b))
		}
	}
	return w
}

// blockFloats is how much of the cube is taken through all tiles while it lies in
// the first cache.
const blockFloats = 4096

// fast does as many pixels as it can, from the first, and returns their number:
// the last few would be written too far. Where the densities are not wanted in the
// caches soon, one channel streams past them.
func (p *Renderer) fast(density, reflectance []float32, stream bool, counts *[4]int) int {
	B, K := p.bands, p.channels
	l := &p.layout
	wide := l.tiles[len(l.tiles)-1]
	spill := wide.first + wide.width - K
	n := len(density)/K - (spill+K-1)/K
	if n &^= 7; n <= 0 {
		return 0
	}
	if wide.width == 1 {
		past := 0
		if stream && uintptr(unsafe.Pointer(&density[0]))%32 == 0 {
			past = 1
		}
		if B <= 32 {
			density1short(&density[0], &reflectance[0], n/8, B, &wide.weights[0], &l.tone, counts, past)
			return n
		}
		density1(&density[0], &reflectance[0], n/8, B, &wide.weights[0], &l.tone, counts, past)
		return n
	}
	block := max(blockFloats/B&^7, 8)
	for i := 0; i < n; i += block {
		m := min(block, n-i)
		r := &reflectance[i*B]
		// Backwards: what the last tile writes too far belongs to the first.
		for j := len(l.tiles) - 1; j >= 0; j-- {
			t := &l.tiles[j]
			x := &density[i*K+t.first]
			switch t.width {
			case 4:
				exposures4(x, K, r, m/2, B, &t.weights[0])
			case 8:
				exposures8(x, K, r, m/8, B, &t.weights[0])
			case 16:
				exposures16(x, K, r, m/4, B, &t.weights[0])
			}
		}
		tonesInPlace(&density[i*K], m*K/8, &l.tone, counts)
	}
	return n
}

// sums does the exposures of one channel for as many pixels as it can, from the
// first, and returns their number.
func (p *Renderer) sums(x []float32, channel int, reflectance []float32) int {
	n := len(reflectance) / p.bands / 4
	if n == 0 || p.bands < 4 {
		return 0
	}
	exposures1(&x[0], p.channels, &reflectance[0], n, p.bands, &p.layout.fours[channel][0])
	return 4 * n
}

// detect looks for AVX2, FMA and a system that saves their registers; the fallback
// is what every amd64 has.
func detect() way {
	if avx2.Have() {
		return fast
	}
	return fallback
}

// exposures1 is the exposures of groups of 4 pixels for 1 channel, written stride
// floats apart, in what every amd64 can do. It needs 4 bands or more.
//
//go:noescape
func exposures1(x *float32, stride int, reflectance *float32, fours, bands int, weights *float32)

// density1 is exposure and density of groups of 8 pixels for one channel, of 32 bands
// or fewer for the short one. It needs 8 bands or more; weights as [vectors] lays them
// out; to stream, density must be at a multiple of 32 bytes.
//
//go:noescape
func density1short(density, reflectance *float32, groups, bands int, weights *float32, t *tone, counts *[4]int, stream int)

//go:noescape
func density1(density, reflectance *float32, groups, bands int, weights *float32, t *tone, counts *[4]int, stream int)

// tonesInPlace turns vectors of 8 exposures into densities in their place.
//
//go:noescape
func tonesInPlace(x *float32, vectors int, t *tone, counts *[4]int)

// exposures4 is the exposures of pairs of pixels for 4 channels, written stride
// floats apart. It needs 8 bands or more.
//
//go:noescape
func exposures4(x *float32, stride int, reflectance *float32, pairs, bands int, weights *float32)

// exposures8 is the exposures of groups of 8 pixels for 8 channels.
//
//go:noescape
func exposures8(x *float32, stride int, reflectance *float32, eights, bands int, weights *float32)

// exposures16 is the exposures of groups of 4 pixels for 16 channels.
//
//go:noescape
func exposures16(x *float32, stride int, reflectance *float32, fours, bands int, weights *float32)
