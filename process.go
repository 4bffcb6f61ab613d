package actinic

import (
	"fmt"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
)

// Process is a film in one process: a developer at one dilution, temperature and
// agitation, under one light.
type Process struct {
	film   *Film
	data   *ProcessData
	curves []sensito.Curve
	growth *devtime.ContrastTime
	family *devtime.Family
}

func (p *Process) missing(part string) error {
	return fmt.Errorf("%w: %s in %s has no %s", ErrMissing, p.film.data.Name, p.data.Name, part)
}

// Name returns the name of the process.
func (p *Process) Name() string { return p.data.Name }

// Film returns the film.
func (p *Process) Film() *Film { return p.film }

// Times returns the development times of the curves, shortest first.
func (p *Process) Times() []time.Duration {
	var ts []time.Duration
	for _, c := range p.data.Curves {
		if len(ts) == 0 || ts[len(ts)-1] != c.Development {
			ts = append(ts, c.Development)
		}
	}
	return ts
}

// Curve returns the characteristic curve at a development time: the measured one,
// or between two of them one as [devtime.Family] has it. 0 stands for the time of
// [Process.Index], or of the only curve.
//
// The error wraps [ErrMissing] if there is no curve, and [devtime.ErrOutside]
// beyond the times of the curves.
func (p *Process) Curve(development time.Duration) (sensito.Curve, error) {
	if len(p.curves) == 0 {
		return nil, p.missing("curve")
	}
	if development == 0 {
		switch {
		case p.data.Index != nil && p.data.Index.Development != nil:
			development = figures.Seconds(p.data.Index.Development.Value)
		case p.family == nil:
			return p.curves[0], nil
		default:
			return nil, p.missing("development time that goes with its index; name a time")
		}
	}
	for i, c := range p.data.Curves {
		if c.Development == development {
			return p.curves[i], nil
		}
	}
	if p.family == nil {
		return nil, fmt.Errorf("%w: %s in %s was measured at %s only", devtime.ErrOutside, p.film.data.Name, p.data.Name, devtime.FormatTime(p.data.Curves[0].Development))
	}
	return p.family.Curve(development)
}

// Speed returns the speed at a development time, which is an ISO speed only where
// the contrast condition is met: the stated one of a measured curve, or what
// [sensito.Rate] says of [Process.Curve]. The errors are theirs.
func (p *Process) Speed(development time.Duration) (sensito.Speed, error) {
	for _, c := range p.data.Curves {
		if c.Development == development && c.Speed.Valid() {
			return c.Speed, nil
		}
	}
	curve, err := p.Curve(development)
	if err != nil {
		return sensito.Speed{}, err
	}
	r, err := sensito.Rate(curve, sensito.FixedDensity)
	return r.Speed, err
}

// Index returns the index to set and the development that goes with it. The
// error wraps [ErrMissing].
func (p *Process) Index() (IndexData, error) {
	if p.data.Index == nil {
		return IndexData{}, p.missing("index")
	}
	return *p.data.clone().Index, nil
}

// Growth returns how the contrast grows with development, a law with exact
// constants; their intervals and the times of the strips are in [GrowthData]. The
// error wraps [ErrMissing].
func (p *Process) Growth() (devtime.ContrastTime, error) {
	if p.growth == nil {
		return devtime.ContrastTime{}, p.missing("development family")
	}
	return *p.growth, nil
}

// Data returns a copy of the parts.
func (p *Process) Data() ProcessData { return p.data.clone() }
