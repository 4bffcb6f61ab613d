package plan

import (
	"math"
	"slices"
	"sync"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/cholesky"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/internal/optdesign"
)

// What the fits have beyond the information of the readings, since they do not know the
// film's formula, allow for readings that are wild and for strips that differ: factors of
// the half-widths, measured by simulated tests (TestPromises).
const (
	indexBeyond       = 1.0
	developmentBeyond = 1.15
	moveBeyond        = 1.1
)

// noTime is the half-width, as a part of a time, from which it is not known at all.
const noTime = 3

// indexHalfWidths are those of the index in stops, film by film.
func (d *designer) indexHalfWidths(l *layout) []float64 {
	var out []float64
	for i := range d.films {
		f := &d.films[i]
		m, ok := d.before(f, l)
		if !ok {
			out = append(out, math.Inf(1))
			continue
		}
		for k, info := range d.frameInformation(&f.target) {
			for j, v := range info.A {
				m.A[j] += float64(l.frames[k]) * v
			}
		}
		fac := cholesky.New(m.N)
		if _, ok := m.Factor(fac); !ok {
			out = append(out, math.Inf(1))
			continue
		}
		sd := math.Sqrt(fac.Inverse().Quadratic(f.target.IndexGradient(len(d.tones) - 1)))
		out = append(out, indexBeyond*lsq.Normal95*sd/stop)
	}
	return out
}

// developments are the half-widths of the time for the target, film by film.
func (d *designer) developments(l *layout) []float64 {
	if l.development == nil {
		l.development = d.developmentHalfWidths(l, 1)
	}
	return l.development
}

// developmentHalfWidths are those of the time for the target, as parts of it, for every
// so-manieth film: the interval that the growth of contrast has, fitted to the gradients
// that the strips will show.
func (d *designer) developmentHalfWidths(l *layout, every int) []float64 {
	out := make([]float64, (len(d.films)+every-1)/every)
	var wait sync.WaitGroup
	for i := range out {
		wait.Add(1)
		go func() {
			defer wait.Done()
			out[i] = math.Inf(1)
			law, err := devtime.FitGrowth(d.points(&d.films[i*every], l))
			if err != nil {
				return
			}
			if t, err := law.TimeFor(d.TargetAverageGradient); err == nil && t.High > t.Low {
				if half := developmentBeyond * float64(t.High-t.Low) / 2 / float64(t.Value); half < noTime {
					out[i] = half
				}
			}
		}()
	}
	wait.Wait()
	return out
}

// points are the average gradients of a film's strips, with their deviations.
func (d *designer) points(f *film, l *layout) []devtime.Point {
	var out []devtime.Point
	for _, m := range l.times {
		c := f.at(m)
		g, ln := c.Gradient()
		cov := d.covariance(&c, l.steps)
		if cov.N == 0 {
			continue
		}
		out = append(out, devtime.Point{Time: time.Duration(m * float64(time.Minute)), Value: g, SD: g * math.Sqrt(cov.Quadratic(ln))})
	}
	slices.SortFunc(out, func(a, b devtime.Point) int { return int(a.Time - b.Time) })
	return out
}

func median(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	n := len(s)
	if n == 0 {
		return math.Inf(1)
	}
	return (s[(n-1)/2] + s[n/2]) / 2
}

// efficiency is the variance of the best bracket for the index, of as many frames on the
// same settings, over that of the layout's own.
func efficiency(p *optdesign.Problem, frames []int) float64 {
	n := make([]float64, len(frames))
	total := 0.0
	for i, k := range frames {
		n[i] = float64(k)
		total += n[i]
	}
	best, err := p.Best(total)
	if err != nil {
		return math.NaN()
	}
	return math.Min(best.Value/p.Value(n), 1)
}
