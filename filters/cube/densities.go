package cube

import (
	"context"
	"fmt"
	"runtime"
	"sync"
	"unsafe"

	"example.org/actinic/sensito"
)

// Options says how an image is worked through. The zero Options uses every processor
// and tells nobody.
type Options struct {
	// Workers is the number of goroutines, 0 for as many as there are processors.
	Workers int
	// Progress, if not nil, is called after every part of about a megabyte with
	// the pixels done so far and all pixels of the call: rising, never twice at
	// once, in any of the goroutines.
	Progress func(done, all int)
}

// A Counts counts densities that are not what the curve says. No density is
// counted twice.
type Counts struct {
	// Below counts exposures below the curve's domain, zero among them.
	Below int
	// Above counts exposures above the curve's domain.
	Above int
	// Negative counts exposures below zero: noise about black, or a wrong scale.
	Negative int
	// Invalid counts exposures that are not finite, because a band of the pixel
	// was not or because the sum overflowed float32. Their density is NaN, always.
	Invalid int
}

// Plus returns the sum of two tallies, for images done in bands of rows.
func (t Counts) Plus(u Counts) Counts {
	return Counts{t.Below + u.Below, t.Above + u.Above, t.Negative + u.Negative, t.Invalid + u.Invalid}
}

// A way to do the work. The best that the machine can is taken; tests force others.
type way uint8

const (
	plain    way = iota // plain Go
	fallback            // the sums in what every amd64 has
	fast                // all in AVX2 and FMA
)

// Densities turns the reflectances of pixels into densities. Reflectance holds
// the bands of each pixel in turn, density the channels of each pixel in turn:
// pixel i has reflectance[i*Bands():(i+1)*Bands()] and gets
// density[i*Channels():(i+1)*Channels()]. Any number of pixels will do, so an
// image that does not fit in memory is done by one call for each band of rows. The
// slices must not overlap. With one worker nothing is allocated.
//
// The tally says what happened to exposures that the curve does not reach and to
// reflectances that are none. With [RefuseOffCurve], exposures below, above or negative
// also make an error that wraps sensito.ErrOutside, after all else has been done.
// NaN marks pixels without data in many cubes and is no error.
//
// When the context ends, so does the work, within a megabyte of the cube for each
// worker; the error is the context's, and what density holds is not to be used.
// Other errors wrap [ErrInvalid]: lengths that do not fit, slices that overlap.
func (p *Renderer) Densities(ctx context.Context, density, reflectance []float32, w Options) (Counts, error) {
	if p == nil || p.bands == 0 {
		return Counts{}, invalid("not prepared, use Prepare")
	}
	n := len(reflectance) / p.bands
	switch {
	case ctx == nil:
		return Counts{}, invalid("no context, use context.Background()")
	case n*p.bands != len(reflectance):
		return Counts{}, invalid("%d reflectances are not whole pixels of %d bands", len(reflectance), p.bands)
	case n*p.channels != len(density):
		return Counts{}, invalid("room for %d densities, %d pixels of %d channels have %d", len(density), n, p.channels, n*p.channels)
	case w.Workers < 0:
		return Counts{}, invalid("%d workers", w.Workers)
	case overlap(density, reflectance):
		return Counts{}, invalid("the densities would overwrite the reflectances, give them memory of their own")
	}
	part := max((1<<18)/p.bands&^7, 8) // pixels: about a megabyte
	workers := w.Workers
	if workers == 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	workers = min(workers, (n+part-1)/part)
	var counts [4]int
	var err error
	if workers > 1 {
		counts, err = p.together(ctx, density, reflectance, n, part, workers, w.Progress)
	} else {
		counts, err = p.alone(ctx, density, reflectance, n, part, w.Progress)
	}
	t := Counts{counts[0], counts[1], counts[2], counts[3]}
	if err != nil {
		return t, fmt.Errorf("cube: stopped: %w", err)
	}
	if off := t.Below + t.Above + t.Negative; off > 0 && p.refuse {
		return t, fmt.Errorf("%w: of %d densities %d exposures are below the curve, %d above it and %d negative: change White, bring a longer curve, or choose ClampToCurve",
			sensito.ErrOutside, len(density), t.Below, t.Above, t.Negative)
	}
	return t, nil
}

func (p *Renderer) alone(ctx context.Context, density, reflectance []float32, n, part int,
	progress func(int, int)) (counts [4]int, err error) {
	for i := 0; i < n; i += part {
		if err := context.Cause(ctx); err != nil {
			return counts, err
		}
		j := min(i+part, n)
		p.pixels(density[i*p.channels:j*p.channels], reflectance[i*p.bands:j*p.bands], len(reflectance) >= streamed, &counts)
		if progress != nil {
			progress(j, n)
		}
	}
	return counts, nil
}

func (p *Renderer) together(ctx context.Context, density, reflectance []float32, n, part, workers int,
	progress func(int, int)) (counts [4]int, err error) {
	var (
		mu         sync.Mutex
		wg         sync.WaitGroup
		next, done int
	)
	for range workers {
		wg.Add(1)
		go func() {
			defer wg.Done()
			var mine [4]int
			i := -1
			for {
				mu.Lock()
				if i >= 0 {
					done += min(part, n-i)
					if progress != nil {
						progress(done, n)
					}
				}
				i, next = next, next+part
				if i >= n || ctx.Err() != nil {
					for k, c := range mine {
						counts[k] += c
					}
					mu.Unlock()
					return
				}
				mu.Unlock()
				j := min(i+part, n)
				p.pixels(density[i*p.channels:j*p.channels], reflectance[i*p.bands:j*p.bands], len(reflectance) >= streamed, &mine)
			}
		}()
	}
	wg.Wait()
	if done < n {
		err = context.Cause(ctx)
	}
	return counts, err
}

// streamed is the size of a cube from which its densities are not kept in the
// caches: it has filled them anyway.
const streamed = 1 << 20

func (p *Renderer) pixels(density, reflectance []float32, stream bool, counts *[4]int) {
	n := 0
	if best == fast {
		n = p.fast(density, reflectance, stream, counts)
	}
	p.plainly(density[n*p.channels:], reflectance[n*p.bands:], counts)
}

func overlap(a, b []float32) bool {
	if len(a) == 0 || len(b) == 0 {
		return false
	}
	x, y := uintptr(unsafe.Pointer(&a[0])), uintptr(unsafe.Pointer(&b[0]))
	return x < y+4*uintptr(len(b)) && y < x+4*uintptr(len(a))
}
