package cube

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sync/atomic"
	"testing"

	"example.org/actinic/filters"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// accuracy is what the package's documentation promises of densities.
const accuracy = 0.0005

func prepare(t testing.TB, bands []float64, beyond OffCurve, channels ...Channel) *Renderer {
	t.Helper()
	p, err := Prepare(bands, spectral.Hold, beyond, channels...)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// force makes a way the one that is taken.
func force(t testing.TB, w way) {
	had := detect()
	if w > had {
		t.Skip("this machine has no such path")
	}
	best = w
	t.Cleanup(func() { best = had })
}

// each runs a test on every path.
func each(t *testing.T, f func(t *testing.T)) {
	for _, w := range []way{fast, fallback, plain} {
		t.Run(w.String(), func(t *testing.T) {
			force(t, w)
			f(t)
		})
	}
}

// A cube with everything in it: exposures over twelve decades, noise about black,
// zero, values that are none.
func wild(g *rand.Rand, n, bands int) []float32 {
	cube := make([]float32, n*bands)
	for i := range n {
		level := math.Pow(10, -8+12*g.Float64())
		row := cube[i*bands : (i+1)*bands]
		for b := range row {
			row[b] = float32(level * (0.5 + g.Float64()))
		}
		switch b := g.IntN(bands); g.IntN(12) {
		case 0:
			clear(row)
		case 1:
			row[b] = float32(math.NaN())
		case 2:
			row[b] = float32(math.Inf(1))
		case 3:
			row[b] = float32(math.Inf(-1))
		case 4:
			for b := range row {
				row[b] = -row[b]
			}
		case 5:
			for b := range row {
				row[b] = float32(math.Copysign(0, -1))
			}
		case 6:
			row[b] *= -0.01
		}
	}
	return cube
}

// compare holds densities and tally to the reference. Exposures within a rounding
// of a curve's end may be counted either way, so the cubes have none there.
func compare(t *testing.T, bands []float64, beyond OffCurve, channels []Channel, cube, density []float32, got Counts) {
	t.Helper()
	B, K := len(bands), len(channels)
	var want Counts
	bad := 0
	refs := make([]func([]float32) (float64, Counts), K)
	for k, c := range channels {
		refs[k] = reference(bands, spectral.Hold, beyond, c)
	}
	for i := range len(cube) / B {
		for k := range channels {
			d, tally := refs[k](cube[i*B : (i+1)*B])
			want = want.Plus(tally)
			have := float64(density[i*K+k])
			if math.IsNaN(d) != math.IsNaN(have) || math.Abs(d-have) > accuracy {
				if bad++; bad < 4 {
					t.Errorf("B=%d K=%d pixel %d of %d channel %d: %v, want %v (first band %v)", B, K, i, len(cube)/B, k, have, d, cube[i*B])
				}
			}
		}
	}
	if got != want {
		t.Errorf("B=%d K=%d: tally %+v, want %+v", B, K, got, want)
	}
}

// Both paths against the reference, for every size that a block, a vector or a tile
// could get wrong, with slices that start anywhere and memory around them that must
// stay as it was.
func TestAgainstReference(t *testing.T) {
	each(t, func(t *testing.T) {
		g := rand.New(rand.NewPCG(3, 4))
		curves := []sensito.Curve{testCurve(31, 0), testCurve(17, 0.3), testCurve(5, -0.4)}
		for _, B := range []int{2, 3, 7, 8, 9, 15, 16, 17, 24, 25, 29, 31, 32, 33, 36, 39, 40, 41, 45, 81, 471, maxBands} {
			if testing.Short() && !slices.Contains([]int{3, 8, 31, 36, 81}, B) {
				continue
			}
			bands := testBands(B)
			for _, K := range []int{1, 2, 3, 4, 5, 7, 8, 9, 12, 13, 16, 17, 21, 25} {
				if testing.Short() && !slices.Contains([]int{1, 3, 9, 17}, K) || B > 81 && K != 1 && K != 5 {
					continue
				}
				n := g.IntN(70)
				if K == 1 {
					n += 100
				}
				beyond := OffCurve(g.IntN(2))
				set := curves[:1+g.IntN(len(curves))]
				channels := testChannels(K, set...)
				p := prepare(t, bands, beyond, channels...)
				off := g.IntN(8)
				cube := make([]float32, n*B+off+8)[off:]
				cube = cube[:n*B]
				copy(cube, wild(g, n, B))
				whole := make([]float32, n*K+off+40)
				for i := range whole {
					whole[i] = -7
				}
				density := whole[off : off+n*K]
				tally, err := p.Densities(context.Background(), density, cube, Options{Workers: 1})
				if err != nil && !errors.Is(err, sensito.ErrOutside) {
					t.Fatal(err)
				}
				compare(t, bands, beyond, channels, cube, density, tally)
				for i, v := range whole {
					if (i < off || i >= off+n*K) && v != -7 {
						t.Fatalf("B=%d K=%d n=%d: wrote to element %d outside %d to %d", B, K, n, i, off, off+n*K)
					}
				}
				if t.Failed() {
					return
				}
			}
		}
	})
}

// A large image, whose densities go past the caches, is the same as its small parts,
// wherever in memory the densities begin, and nothing is written beyond them.
func TestLargeIsSmallTogether(t *testing.T) {
	g := rand.New(rand.NewPCG(5, 6))
	for _, B := range []int{31, 81} {
		n := streamed/B + 1003
		p := prepare(t, testBands(B), ClampToCurve, testChannels(1, testCurve(31, 0))...)
		cube, small := wild(g, n, B), make([]float32, n)
		var parts Counts
		for i := 0; i < n; i += 4096 {
			j := min(i+4096, n)
			tally, err := p.Densities(context.Background(), small[i:j], cube[i*B:j*B], Options{Workers: 1})
			if err != nil {
				t.Fatal(err)
			}
			parts = parts.Plus(tally)
		}
		for _, off := range []int{0, 1, 4, 8} {
			if testing.Short() && off > 1 {
				break
			}
			for _, workers := range []int{1, 2} {
				whole := make([]float32, n+off+8)
				large := whole[off : off+n]
				tally, err := p.Densities(context.Background(), large, cube, Options{Workers: workers})
				if err != nil {
					t.Fatal(err)
				}
				if tally != parts {
					t.Errorf("B=%d: tally %+v, in parts %+v", B, tally, parts)
				}
				for i, d := range large {
					if math.Float32bits(d) != math.Float32bits(small[i]) && !(d != d && small[i] != small[i]) {
						t.Fatalf("B=%d from %d: density %d is %v, in parts %v", B, off, i, d, small[i])
					}
				}
				for i, v := range whole {
					if (i < off || i >= off+n) && v != 0 {
						t.Fatalf("B=%d from %d: wrote to element %d", B, off, i)
					}
				}
			}
		}
	}
}

// The error over the whole domain of curves of all kinds, at exposures as dense as
// eight to a cell and at the ends themselves: one grey band of reflectance after the
// other, so that the exposure is known to the last digit.
func TestAccuracyOverTheDomain(t *testing.T) {
	form := func(s sensito.Constants) sensito.Curve {
		c, err := sensito.NewClosedForm(s)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	each(t, func(t *testing.T) {
		for _, r := range []struct {
			name  string
			curve sensito.Curve
		}{
			{"31 knots", testCurve(31, 0)},
			{"3 knots", testCurve(3, 0)},
			{"201 knots", testCurve(201, 0)},
			{"no bounds", form(sensito.Constants{BaseFog: 0.2, Gamma: 0.62, Toe: -2.6, ToeWidth: 0.25, Shoulder: 2.2, Sharpness: 2})},
			{"no bounds, no shoulder", form(sensito.Constants{BaseFog: 0.2, Gamma: 0.62, Toe: -2.6, ToeWidth: 0.25})},
			{"lith", form(sensito.Constants{BaseFog: 0.04, Gamma: 9, Toe: -1, ToeWidth: 0.03, Shoulder: 4, Sharpness: 6, From: -2, To: 1})},
			{"straight lines", lines{{-3, 0.1}, {-2.2, 0.1}, {-1.7, 0.35}, {-0.3, 1.9}, {0.2, 2}}},
			{"falling", lines{{-3, 2.5}, {-1, 1.2}, {0.5, 0.2}}},
			{"short", lines{{-3, 0.5}, {-2.9999, 0.50002}}},
		} {
			lo, hi := r.curve.Domain()
			lo, hi = max(lo, -8), min(hi, 8)
			c := testChannels(1, r.curve)[0]
			c.White = lo
			p := prepare(t, testBands(8), RefuseOffCurve, c)
			n := 200_000
			if testing.Short() {
				n = 40_000
			}
			cube, density := make([]float32, n*8), make([]float32, n)
			for i := range n {
				f := float64(i) / float64(n-1)
				v := float32(math.Pow(10, f*float64(hi-lo)))
				for b := range 8 {
					cube[i*8+b] = v
				}
			}
			if _, err := p.Densities(context.Background(), density, cube, Options{}); err != nil {
				t.Errorf("%s: %v", r.name, err)
				continue
			}
			worst := 0.0
			for i, d := range density {
				want, err := r.curve.Density(min(max(lo+sensito.LogH(math.Log10(float64(cube[i*8]))), lo), hi))
				if err != nil {
					t.Fatal(err)
				}
				worst = max(worst, math.Abs(float64(d)-float64(want)))
			}
			t.Logf("%-24s %8.6f, %d entries", r.name, worst, len(p.tables.entries))
			if !(worst <= accuracy) {
				t.Errorf("%s: off by %v", r.name, worst)
			}
		}
	})
}

// lines is a curve of straight lines: its kinks are the worst a table can meet.
type lines [][2]float64

func (l lines) Domain() (lo, hi sensito.LogH) {
	return sensito.LogH(l[0][0]), sensito.LogH(l[len(l)-1][0])
}
func (l lines) BaseFog() sensito.Density                   { return sensito.Density(l[0][1]) }
func (l lines) Slope(sensito.LogH) (float64, error)        { return 0, errors.ErrUnsupported }
func (l lines) LogH(sensito.Density) (sensito.LogH, error) { return 0, errors.ErrUnsupported }
func (l lines) Density(x sensito.LogH) (sensito.Density, error) {
	for i := 1; i < len(l); i++ {
		a, b := l[i-1], l[i]
		if float64(x) >= a[0] && float64(x) <= b[0] {
			return sensito.Density(a[1] + (b[1]-a[1])*(float64(x)-a[0])/(b[0]-a[0])), nil
		}
	}
	return 0, sensito.ErrOutside
}

// boastful states a domain that it has no densities for.
type boastful struct{ lines }

func (boastful) Domain() (lo, hi sensito.LogH) { return -5, 0 }

// What exposures outside a curve and reflectances that are none become, one at a
// time, in every lane of a vector.
func TestOutsideTheCurve(t *testing.T) {
	curve := lines{{-3, 0.1}, {0, 2.1}}
	unbounded, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: 0.62, Toe: -2.6, ToeWidth: 0.25, Shoulder: 2.2, Sharpness: 8})
	if err != nil {
		t.Fatal(err)
	}
	slow, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: 0.62, Toe: -2.6, ToeWidth: 0.25, Shoulder: 2.2, Sharpness: 2})
	if err != nil {
		t.Fatal(err)
	}
	nan, inf, zero := math.NaN(), math.Inf(1), math.Copysign(0, -1)
	each(t, func(t *testing.T) {
		for _, r := range []struct {
			name    string
			curve   sensito.Curve
			value   float64
			refused float64
			clamped float64
			tally   Counts
		}{
			{"inside", curve, 1e-3, 0.1 + 2, 0.1 + 2, Counts{}}, // White is -3 + 6 = 3
			{"low end", curve, 1e-6, 0.1, 0.1, Counts{}},
			{"below", curve, 1e-7, nan, 0.1, Counts{Below: 1}},
			{"just below", curve, 0.9999e-6, nan, 0.1, Counts{Below: 1}},
			{"zero", curve, 0, nan, 0.1, Counts{Below: 1}},
			{"minus zero", curve, zero, nan, 0.1, Counts{Below: 1}},
			{"negative", curve, -1e-3, nan, 0.1, Counts{Negative: 1}},
			{"very negative", curve, -1e30, nan, 0.1, Counts{Negative: 1}},
			{"high end", curve, 1e-3, 2.1, 2.1, Counts{}},
			{"just above", curve, 1.0001e-3, nan, 2.1, Counts{Above: 1}},
			{"above", curve, 1e20, nan, 2.1, Counts{Above: 1}},
			{"NaN", curve, nan, nan, nan, Counts{Invalid: 1}},
			{"-NaN", curve, math.Copysign(nan, -1), nan, nan, Counts{Invalid: 1}},
			{"infinite", curve, inf, nan, nan, Counts{Invalid: 1}},
			{"-infinite", curve, -inf, nan, nan, Counts{Invalid: 1}},
			{"overflow", curve, 3e38, nan, nan, Counts{Invalid: 1}},
			{"unbounded, dark", unbounded, 1e-25, 0.2, 0.2, Counts{}},
			{"unbounded, zero", unbounded, 0, 0.2, 0.2, Counts{}},
			{"unbounded, minus zero", unbounded, zero, 0.2, 0.2, Counts{}},
			{"unbounded, bright", unbounded, 1e25, 2.4, 2.4, Counts{}},
			{"unbounded, bright", slow, 1e25, nan, 2.3566, Counts{Above: 1}}, // 2.3566 at log H 15,
			{"unbounded, negative", unbounded, -1e-25, nan, 0.2, Counts{Negative: 1}},
		} {
			for _, K := range []int{1, 4, 8} {
				if testing.Short() && K > 1 && r.tally.Negative == 0 {
					continue
				}
				for _, beyond := range []OffCurve{RefuseOffCurve, ClampToCurve} {
					cs := testChannels(K, r.curve)
					for i := range cs {
						cs[i].White = 3
					}
					p := prepare(t, testBands(9), beyond, cs...)
					for lane := range 8 {
						const n = 19
						cube, density := make([]float32, n*9), make([]float32, n*K)
						for i := range cube {
							cube[i] = 1e-4
						}
						at := lane
						if lane == 7 {
							at = n - 1 // the last of all, which no vector holds
						}
						for b := range 9 {
							cube[at*9+b] = float32(r.value)
						}
						tally, err := p.Densities(context.Background(), density, cube, Options{Workers: 1})
						one := r.tally
						for range K - 1 {
							one = one.Plus(r.tally)
						}
						if tally != one {
							t.Errorf("%s K=%d lane %d: tally %+v, want %+v", r.name, K, lane, tally, one)
						}
						refuses := beyond == RefuseOffCurve && r.tally != (Counts{}) && r.tally != (Counts{Invalid: 1})
						if errors.Is(err, sensito.ErrOutside) != refuses || !refuses && err != nil {
							t.Errorf("%s K=%d beyond %d: error %v", r.name, K, beyond, err)
						}
						want := r.refused
						if beyond == ClampToCurve {
							want = r.clamped
						}
						for i, d := range density {
							switch here := i/K == at; {
							case here && math.IsNaN(want) != math.IsNaN(float64(d)), here && math.Abs(float64(d)-want) > accuracy:
								t.Errorf("%s K=%d beyond %d lane %d: %v, want %v", r.name, K, beyond, lane, d, want)
							case !here && !(math.Abs(float64(d)-float64(density[(at+1)%n*K])) < 1e-6):
								t.Errorf("%s K=%d lane %d: neighbour %d has %v", r.name, K, lane, i, d)
							}
						}
					}
				}
			}
		}
	})
}

// The exposure of a surface is that of package filters, for a patch on knots of its
// own sampled at the bands' wavelengths.
func TestAgreesWithTones(t *testing.T) {
	e, err := filters.Find("25")
	if err != nil {
		t.Fatal(err)
	}
	bands := []float64{380, 420, 460, 500, 520, 540, 560, 580, 600, 620, 640, 660, 680, 700, 720, 750, 780}
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light().WithOutside(spectral.Zero)
	curve := testCurve(31, 0)
	grey := sensito.LogH(-0.9)
	white := grey - sensito.LogH(math.Log10(filters.Grey))
	p := prepare(t, bands, RefuseOffCurve, Channel{film, light, e.Filter, curve, white})
	patches := filters.Subjects()
	tones, err := filters.Tones(film, light, e.Filter, patches...)
	if err != nil {
		t.Fatal(err)
	}
	cube, density := make([]float32, 0, len(patches)*len(bands)), make([]float32, len(patches))
	for _, s := range patches {
		for _, nm := range bands {
			v, err := s.Reflectance.At(nm)
			if err != nil {
				t.Fatal(err)
			}
			cube = append(cube, float32(v))
		}
	}
	if _, err := p.Densities(context.Background(), density, cube, Options{Workers: 1}); err != nil {
		t.Fatal(err)
	}
	for i, tone := range tones {
		want, err := curve.Density(grey + sensito.LogH(tone.StopsFromGrey.Log10()))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(density[i])-float64(want)) > accuracy {
			t.Errorf("%s: %v, want %v", tone.Name, density[i], want)
		}
	}
	h := 0.0
	for i, w := range p.Weights(0) {
		h += w * float64(cube[i])
	}
	if want := math.Pow(10, float64(white)) * tones[0].Reflectance; math.Abs(h/want-1) > 1e-7 /* reflectances are float32 */ {
		t.Errorf("exposure by Weights %v, want %v", h, want)
	}
	if p.Weights(1) != nil || p.Weights(-1) != nil || p.Bands() != len(bands) || p.Channels() != 1 {
		t.Error("sizes")
	}
}

// An image in parts, by any number of workers, is the image: the same bits, and the
// tallies add up.
func TestPartsAndWorkers(t *testing.T) {
	each(t, func(t *testing.T) {
		g := rand.New(rand.NewPCG(5, 6))
		const B, K, n = 31, 3, 40_000
		p := prepare(t, testBands(B), ClampToCurve, testChannels(K, testCurve(31, 0), testCurve(9, 0.2))...)
		cube := make([]float32, 0, n*B)
		for len(cube) < n*B {
			cube = append(cube, wild(g, 1000, B)...)
		}
		whole := make([]float32, n*K)
		want, err := p.Densities(context.Background(), whole, cube, Options{Workers: 1})
		if err != nil {
			t.Fatal(err)
		}
		for _, workers := range []int{0, 2, 3, 16} {
			density := make([]float32, n*K)
			last := 0
			var inside atomic.Int32
			got, err := p.Densities(context.Background(), density, cube, Options{Workers: workers, Progress: func(done, all int) {
				if inside.Add(1) != 1 || done <= last || all != n {
					t.Errorf("progress %d of %d after %d", done, all, last)
				}
				last = done
				inside.Add(-1)
			}})
			if err != nil || got != want || last != n {
				t.Errorf("%d workers: %+v, %v, to %d; want %+v", workers, got, err, last, want)
			}
			sameBits(t, fmt.Sprint(workers, " workers"), density, whole, 1e-6)
		}
		density := make([]float32, n*K)
		var sum Counts
		for i := 0; i < n; {
			j := min(n, i+1+g.IntN(9000))
			part, err := p.Densities(context.Background(), density[i*K:j*K], cube[i*B:j*B], Options{Workers: 1})
			if err != nil {
				t.Fatal(err)
			}
			sum, i = sum.Plus(part), j
		}
		if sum != want {
			t.Errorf("in parts %+v, want %+v", sum, want)
		}
		// The last pixels of a call take another path, which rounds otherwise.
		sameBits(t, "in parts", density, whole, 1e-5)
	})
}

func sameBits(t *testing.T, what string, got, want []float32, within float64) {
	t.Helper()
	for i := range got {
		a, b := float64(got[i]), float64(want[i])
		if math.IsNaN(a) != math.IsNaN(b) || math.Abs(a-b) > within {
			t.Errorf("%s: element %d is %v, want %v", what, i, a, b)
			return
		}
	}
}

func TestCancel(t *testing.T) {
	said := held.New(t)
	const B, n = 31, 60_000
	p := prepare(t, testBands(B), ClampToCurve, testChannels(1, testCurve(31, 0))...)
	cube, density := make([]float32, n*B), make([]float32, n)
	why := errors.New("enough")
	for _, workers := range []int{1, 2} {
		ctx, cancel := context.WithCancelCause(context.Background())
		last := 0
		_, err := p.Densities(ctx, density, cube, Options{Workers: workers, Progress: func(done, _ int) {
			last = done
			cancel(why)
		}})
		if !said.Is("", err, why) || last == 0 || last >= n {
			t.Errorf("%d workers: %v after %d of %d", workers, err, last, n)
		}
		if _, err := p.Densities(ctx, density, cube, Options{Workers: workers}); !said.Is("", err, why) {
			t.Errorf("%d workers: %v with an ended context", workers, err)
		}
	}
}

func TestAllocatesNothing(t *testing.T) {
	each(t, func(t *testing.T) {
		for _, K := range []int{1, 3, 16} {
			p := prepare(t, testBands(31), ClampToCurve, testChannels(K, testCurve(31, 0))...)
			cube, density := make([]float32, 1000*31), make([]float32, 1000*K)
			if a := testing.AllocsPerRun(20, func() {
				p.Densities(context.Background(), density, cube, Options{Workers: 1})
			}); a != 0 {
				t.Errorf("K=%d: %v allocations", K, a)
			}
		}
	})
}

// Channels that have one curve share its table.
func TestSharedTables(t *testing.T) {
	a, b := testCurve(31, 0), testCurve(31, 0.2)
	one := prepare(t, testBands(31), ClampToCurve, testChannels(1, a)...)
	// The table of a curve that is steep where it ends is no larger for it.
	steep := prepare(t, testBands(31), ClampToCurve, testChannels(1, lines{{-3, 2.5}, {-1, 1.2}, {0.5, 0.2}})...)
	if len(one.tables.entries) > 500 || len(steep.tables.entries) > 400 {
		t.Errorf("usual curves need %d and %d entries", len(one.tables.entries), len(steep.tables.entries))
	}
	many := prepare(t, testBands(31), ClampToCurve, testChannels(9, a)...)
	if !many.tables.single || len(many.tables.entries) != len(one.tables.entries) {
		t.Errorf("9 channels of one curve have %d entries, one has %d", len(many.tables.entries), len(one.tables.entries))
	}
	if two := prepare(t, testBands(31), ClampToCurve, testChannels(9, a, b)...); two.tables.single || len(two.tables.entries) > 3*len(one.tables.entries) {
		t.Errorf("9 channels of two curves have %d entries", len(two.tables.entries))
	}
	// lines cannot be compared, and must not be.
	prepare(t, testBands(31), ClampToCurve, testChannels(3, lines{{-3, 0.1}, {0, 2}})...)
}
