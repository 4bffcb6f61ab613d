package actinic

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/check"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/spectral"
)

var (
	// ErrMissing is wrapped when a film is asked for a part that nobody has given
	// it; the error names the film and the part.
	ErrMissing = check.Sentinel("actinic: the film lacks a part")
	// ErrUnknown is wrapped when there is no film or process of a name, or more
	// than one that it could mean.
	ErrUnknown = check.Sentinel("actinic: no such name")
)

// inputf wraps [sensito.ErrInput] with what was wrong and what to do.
func inputf(format string, args ...any) error {
	return fmt.Errorf("actinic: %s: %w", fmt.Sprintf(format, args...), sensito.ErrInput)
}

// Film is what is known of a film: its identity, and as far as they are known its
// processes with their curves, speeds, indexes and development, its spectral
// sensitivity and its reciprocity law. It is immutable and safe for concurrent
// use. Make one by [NewFilm], [Record.AsFilm] or [LoadFilm].
type Film struct {
	data        FilmData
	processes   []*Process
	sensitivity *spectral.Sensitivity
	reciprocity reciprocity.Law
}

// NewFilm checks the parts and returns the film. The slices are copied.
//
// The error wraps [datafile.ErrData] and says which part cannot be used and why: a name or
// a provenance is wanting, two processes or curves share a name, or a law refuses
// its constants.
func NewFilm(d FilmData) (*Film, error) {
	f := &Film{data: d.clone()}
	bad := func(part string, err error) (*Film, error) {
		return nil, fmt.Errorf("%w: %s: %s: %w", datafile.ErrData, d.Name, part, err)
	}
	if err := checkName(d.Name); err != nil {
		return nil, fmt.Errorf("%w: name of the film: %w", datafile.ErrData, err)
	}
	if err := d.Provenance.check(); err != nil {
		return bad("identity", err)
	}
	seen := map[string]bool{}
	for i := range f.data.Processes {
		p, err := newProcess(f, &f.data.Processes[i])
		if err != nil {
			return nil, fmt.Errorf("%w: %s: %w", datafile.ErrData, d.Name, err)
		}
		if seen[p.data.Name] {
			return bad("process", fmt.Errorf("two are named %q", p.data.Name))
		}
		seen[p.data.Name] = true
		f.processes = append(f.processes, p)
	}
	if s := f.data.Sensitivity; s != nil {
		v, err := s.sensitivity()
		if err != nil {
			return bad("spectral sensitivity", err)
		}
		f.sensitivity = &v
	}
	if r := f.data.Reciprocity; r != nil {
		var err error
		if f.reciprocity, err = r.law(); err != nil {
			return bad("reciprocity law", err)
		}
	}
	return f, nil
}

// Name returns the name of the film.
func (f *Film) Name() string { return f.data.Name }

// Data returns a copy of the parts: change it and give it to [NewFilm] to make
// another film of this one.
func (f *Film) Data() FilmData { return f.data.clone() }

// Processes returns the names of the processes in which the film was measured.
func (f *Film) Processes() []string {
	names := make([]string, len(f.processes))
	for i, p := range f.processes {
		names[i] = p.data.Name
	}
	return names
}

// Process returns a process by its name, or by a part of it that no other process
// of the film has; "" stands for the only one. Capitals do not matter. The error
// wraps [ErrMissing] for a film without a process, otherwise [ErrUnknown].
func (f *Film) Process(name string) (*Process, error) {
	if len(f.processes) == 0 {
		return nil, f.missing("process")
	}
	i, err := findName(f.Processes(), name)
	if err != nil {
		return nil, fmt.Errorf("%w: process of %s: %w", ErrUnknown, f.data.Name, err)
	}
	return f.processes[i], nil
}

// Sensitivity returns the spectral sensitivity. The error wraps [ErrMissing].
func (f *Film) Sensitivity() (spectral.Sensitivity, error) {
	if f.sensitivity == nil {
		return spectral.Sensitivity{}, f.missing("spectral sensitivity")
	}
	return *f.sensitivity, nil
}

// Reciprocity returns the reciprocity law with the range in which it was found.
// The error wraps [ErrMissing].
func (f *Film) Reciprocity() (reciprocity.Law, error) {
	if f.reciprocity == nil {
		return nil, f.missing("reciprocity law")
	}
	return f.reciprocity, nil
}

func (f *Film) missing(part string) error {
	return fmt.Errorf("%w: %s has no %s", ErrMissing, f.data.Name, part)
}

// String returns the name, and what there is of the film.
func (f *Film) String() string {
	var has []string
	switch n := len(f.processes); n {
	case 0:
	case 1:
		has = append(has, "1 process")
	default:
		has = append(has, fmt.Sprintf("%d processes", n))
	}
	if f.sensitivity != nil {
		has = append(has, "spectral sensitivity")
	}
	if f.reciprocity != nil {
		has = append(has, "reciprocity law")
	}
	if len(has) == 0 {
		has = []string{"name only"}
	}
	return fmt.Sprintf("%s (%v): %s", f.data.Name, f.data.Provenance.Basis, strings.Join(has, ", "))
}

// Process is a film in one process: a developer at one dilution, temperature and
// agitation, under one light.
type Process struct {
	film   *Film
	data   *ProcessData
	curves []sensito.Curve
	growth *devtime.ContrastTime
	family *devtime.Family
}

func newProcess(f *Film, d *ProcessData) (*Process, error) {
	p := &Process{film: f, data: d}
	bad := func(part string, err error) (*Process, error) {
		return nil, fmt.Errorf("process %s: %s: %w", d.Name, part, err)
	}
	if err := checkName(d.Name); err != nil {
		return nil, fmt.Errorf("name of a process: %w", err)
	}
	if err := d.check(); err != nil {
		return bad("conditions", err)
	}
	slices.SortStableFunc(d.Curves, func(a, b CurveData) int { return cmp.Compare(a.Development, b.Development) })
	seen := map[string]bool{}
	var strips []devtime.Strip
	for i := range d.Curves {
		c := &d.Curves[i]
		if err := checkName(c.Name); err != nil {
			return bad("name of a curve", err)
		}
		if seen[c.Name] {
			return bad("curves", fmt.Errorf("two are named %q", c.Name))
		}
		seen[c.Name] = true
		curve, err := c.curve()
		if err != nil {
			return bad("curve "+c.Name, err)
		}
		p.curves = append(p.curves, curve)
		if i == 0 || d.Curves[i-1].Development != c.Development {
			strips = append(strips, devtime.Strip{Time: c.Development, Curve: curve})
		}
	}
	if len(strips) > 1 {
		family, err := devtime.NewFamily(strips)
		if err != nil {
			return bad("curves", err)
		}
		p.family = &family
	}
	if d.Index != nil {
		if err := d.Index.check(); err != nil {
			return bad("index", err)
		}
	}
	if d.Growth != nil {
		law, err := d.Growth.law()
		if err != nil {
			return bad("development family", err)
		}
		p.growth = &law
	}
	return p, nil
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

// findName returns the index of the name that is equal to want, or else of the only
// one that contains it. "" finds the only name.
func findName(names []string, want string) (int, error) {
	if want == "" && len(names) > 1 {
		return 0, fmt.Errorf("say which of %s", figures.Quoted(names))
	}
	match := func(f func(name string) bool) []int {
		var at []int
		for i, n := range names {
			if f(n) {
				at = append(at, i)
			}
		}
		return at
	}
	w := strings.ToLower(strings.TrimSpace(want))
	for _, f := range []func(string) bool{
		func(n string) bool { return n == want },
		func(n string) bool { return strings.ToLower(n) == w },
		func(n string) bool { return strings.Contains(strings.ToLower(n), w) },
	} {
		switch at := match(f); {
		case len(at) == 1:
			return at[0], nil
		case len(at) > 1:
			var some []string
			for _, i := range at {
				some = append(some, names[i])
			}
			return 0, fmt.Errorf("%q could be any of %s", want, figures.Quoted(some))
		}
	}
	return 0, fmt.Errorf("%q is none of %s", want, figures.Quoted(names))
}

// checkName refuses what would not survive a table.
func checkName(s string) error {
	switch {
	case strings.TrimSpace(s) != s || s == "":
		return fmt.Errorf("%q, want text without spaces around it", s)
	case strings.ContainsFunc(s, func(r rune) bool { return r < ' ' || r == '\ufffd' }):
		return fmt.Errorf("%q, want plain text on one line", s)
	}
	return nil
}
