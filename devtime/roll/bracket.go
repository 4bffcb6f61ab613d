package roll

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// baseFog as a measure.
func baseFog(c sensito.Curve) (float64, error) { return float64(c.BaseFog()), nil }

// bracket evaluates the frames.
func (r *builder) bracket(roll *Roll, set Settings) error {
	below := roll.ShadowStopsBelowMeter
	if below == 0 {
		below = 4
	}
	b := &BracketRecord{BelowMeter: float64(below)}
	if roll.BracketDevelopment > 0 {
		b.DevelopmentS = figures.Known(roll.BracketDevelopment.Seconds())
	}
	base, n, baseVar := 0.0, 0.0, 0.0
	assumed := false
	frames := map[string]*FrameRecord{}
	var shadows, mids, highs []sensito.BracketReading
	for i, f := range roll.Bracket {
		if !(f.Index > 0) || math.IsInf(f.Index, 0) {
			return fmt.Errorf("%w: frame %d (%s) has exposure index %v, want more than 0", datafile.ErrData, i+1, f.Frame, f.Index)
		}
		if f.Tone == Unexposed {
			base += float64(f.Density)
			n++
			v := f.SD
			if !(v > 0) {
				v, assumed = frameSD, true
			}
			baseVar += v * v
			continue
		}
		fr := frames[f.Frame]
		if fr == nil {
			fr = &FrameRecord{Frame: f.Frame, Index: f.Index}
			frames[f.Frame] = fr
		}
		br := sensito.BracketReading{Index: f.Index, Density: f.Density, SD: f.SD}
		if !(br.SD > 0) {
			br.SD, assumed = frameSD, true
		}
		d := float64(f.Density)
		switch f.Tone {
		case Shadow:
			shadows, fr.Shadow = append(shadows, br), &d
		case Midtone:
			mids, fr.Midtone = append(mids, br), &d
		case Highlight:
			highs, fr.Highlight = append(highs, br), &d
		}
	}
	if n > 0 {
		b.UnexposedFound = true
		base /= n
		baseVar /= n * n
	} else {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, s := range r.Strips {
			k := float64(len(r.Strips))
			base += s.BaseFog / k
			if e, err := s.Curve.Estimate(baseFog); err == nil {
				baseVar += math.Pow(sd(e[0])/k, 2)
			}
			lo, hi = min(lo, s.BaseFog), max(hi, s.BaseFog)
		}
		if hi-lo > 0.03 {
			r.warn("Base plus fog of the bracket was taken as the mean of the strips, %.2f, which run from %.2f to %.2f: read an unexposed patch beside the frames.", base, lo, hi)
		}
	}
	b.Target = base + float64(sensito.SpeedPointDensity)
	if assumed {
		v := frameSD
		b.AssumedSD = &v
		r.warn("Densities of the bracket came without standard deviation; %.2f was assumed for the interval of the index.", frameSD)
	}
	for _, f := range frames {
		b.Frames = append(b.Frames, *f)
	}
	slices.SortFunc(b.Frames, func(x, y FrameRecord) int {
		return cmp.Or(cmp.Compare(x.Index, y.Index), strings.Compare(x.Frame, y.Frame))
	})
	r.Bracket = b
	if len(shadows) == 0 {
		r.warn("The bracket has no shadow patches, so it gives no index.")
		return nil
	}
	e, err := sensito.FieldIndex(shadows, sensito.Density(b.Target), math.Sqrt(baseVar), sensito.Sampling{Seed: set.Seed})
	if err != nil {
		if errors.Is(err, sensito.ErrNotReached) || errors.Is(err, sensito.ErrInput) {
			r.warn("The bracket gives no index: %v.", figures.Bare(err))
			return nil
		}
		return fmt.Errorf("bracket: %w", err)
	}
	b.Index = &e
	b.Highlight = densityAt(highs, e.Value)
	b.Midtone = densityAt(mids, e.Value)
	for i, f := range b.Frames {
		last := i+1 == len(b.Frames)
		if f.Index <= e.Value && (last || b.Frames[i+1].Index > e.Value) {
			b.Neighbours = append(b.Neighbours, f.Frame)
			if !last {
				b.Neighbours = append(b.Neighbours, b.Frames[i+1].Frame)
			}
		}
	}
	return nil
}

// densityAt interpolates a patch's density at an index; nil outside the frames.
func densityAt(rs []sensito.BracketReading, index float64) *float64 {
	var readings []sensito.Reading
	for _, r := range rs {
		readings = append(readings, sensito.Reading{LogH: sensito.LogH(-math.Log10(r.Index)), Density: r.Density, SD: r.SD})
	}
	c, err := sensito.Interpolate(readings, sensito.StatedBase(0), sensito.Pool)
	if err != nil {
		return nil
	}
	d, err := c.Density(sensito.LogH(-math.Log10(index)))
	if err != nil {
		return nil
	}
	return figures.Known(float64(d))
}
