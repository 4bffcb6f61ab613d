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

// orEmpty is the process, or one of which nothing is known for none.
func (p *Process) orEmpty() *Process {
	if p == nil || p.data == nil || p.film == nil {
		return &Process{film: &Film{}, data: &ProcessData{}}
	}
	return p
}

// missing is the error for a part that nobody has given the process.
func (p *Process) missing(part string) error {
	return fmt.Errorf("%w: %s in %s has no %s", ErrMissing, p.film.data.Name, p.data.Name, part)
}

// Name returns the name of the process.
func (p *Process) Name() string { return p.orEmpty().data.Name }

// Film returns the film.
func (p *Process) Film() *Film { return p.orEmpty().film }

// Times returns the development times of the curves, shortest first.
func (p *Process) Times() []time.Duration {
	p = p.orEmpty()
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
	p = p.orEmpty()
	if len(p.curves) == 0 {
		return nil, p.missing("curve")
	}
	development, err := p.development(development)
	if err != nil {
		return nil, err
	}
	for i, c := range p.data.Curves {
		if c.Development == development {
			return p.curves[i], nil
		}
	}
	if p.family == nil {
		return nil, fmt.Errorf("%w: %s in %s was measured at %s only", devtime.ErrOutside, p.film.data.Name, p.data.Name,
			devtime.FormatTime(p.data.Curves[0].Development))
	}
	return p.family.Curve(development)
}

// development is the time that 0 stands for.
func (p *Process) development(given time.Duration) (time.Duration, error) {
	switch {
	case given != 0:
		return given, nil
	case p.data.Index != nil && p.data.Index.Development != nil:
		return figures.Seconds(p.data.Index.Development.Value), nil
	case p.family == nil && len(p.data.Curves) > 0:
		return p.data.Curves[0].Development, nil
	}
	return 0, p.missing("development time that goes with its index; name a time")
}

// Speed returns the speed at a development time, which is an ISO speed only where
// the contrast condition is met: the stated one of a measured curve, or what
// [sensito.Rate] says of [Process.Curve]. 0 stands for the time that it does there. The
// errors are theirs.
func (p *Process) Speed(development time.Duration) (sensito.Speed, error) {
	p = p.orEmpty()
	if at, err := p.development(development); err == nil {
		for _, c := range p.data.Curves {
			if c.Development == at && c.Speed.Valid() {
				return c.Speed, nil
			}
		}
	}
	curve, err := p.Curve(development)
	if err != nil {
		return sensito.Speed{}, err
	}
	r, err := sensito.Rate(curve, sensito.FixedDensity)
	return r.Speed, err
}

// String returns the name, and what there is of the process.
func (p *Process) String() string {
	p = p.orEmpty()
	text := fmt.Sprintf("%s in %s: %d curves", p.film.data.Name, p.data.Name, len(p.curves))
	if x := p.data.Index; x != nil {
		text += fmt.Sprintf(", %v", sensito.Speed{Value: x.Index.Value})
	}
	return text
}

// Index returns the index to set and the development that goes with it. The
// error wraps [ErrMissing].
func (p *Process) Index() (IndexData, error) {
	x, err := p.index()
	if err != nil {
		return IndexData{}, err
	}
	out := *x
	out.Development = clonePtr(out.Development)
	return out, nil
}

// index is Index where nothing is changed.
func (p *Process) index() (*IndexData, error) {
	p = p.orEmpty()
	if p.data.Index == nil {
		return nil, p.missing("index")
	}
	return p.data.Index, nil
}

// Growth returns how the contrast grows with development, a law with exact
// constants; their intervals and the times of the strips are in [GrowthData]. The
// error wraps [ErrMissing].
func (p *Process) Growth() (devtime.ContrastTime, error) {
	p = p.orEmpty()
	if p.growth == nil {
		return devtime.ContrastTime{}, p.missing("development family")
	}
	return *p.growth, nil
}

// Data returns a copy of the parts.
func (p *Process) Data() ProcessData { return p.orEmpty().data.clone() }
