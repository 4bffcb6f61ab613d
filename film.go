package actinic

import (
	"cmp"
	"errors"
	"fmt"
	"strings"

	"example.org/actinic/internal/check"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/spectral"
)

var (
	// ErrInput is what every error of the project wraps that says that what was given is
	// at fault: a server answers it as the caller's. An error that does not is that of a
	// file or of the machine.
	ErrInput = check.ErrInput
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
	named       names // of the processes
	sensitivity *spectral.Sensitivity
	reciprocity reciprocity.Law
	factors     *factorMemory // of the filters that were asked for last
}

// NewFilm checks the parts and returns the film. The slices are copied.
//
// The error wraps [datafile.ErrData] and says of every part that cannot be used why, a line
// each: a name or a provenance is wanting, two processes or curves share a name, a number
// is out of its bounds, a speed is not that of its curve, or a law refuses its constants or
// is stated for times that were not tested.
func NewFilm(d FilmData) (*Film, error) {
	f := &Film{data: d.clone(), factors: &factorMemory{}}
	if xs := f.build(); len(xs) > 0 {
		errs := make([]error, len(xs))
		for i, x := range xs {
			errs[i] = x
		}
		return nil, fmt.Errorf("%w: %s: %w", datafile.ErrData, d.Name, errors.Join(errs...))
	}
	return f, nil
}

// orEmpty is the film, or one of which nothing is known for none: a nil film lacks every
// part.
func (f *Film) orEmpty() *Film {
	if f == nil {
		return &Film{}
	}
	return f
}

// Name returns the name of the film.
func (f *Film) Name() string { return f.orEmpty().data.Name }

// Data returns a copy of the parts: change it and give it to [NewFilm] to make
// another film of this one.
func (f *Film) Data() FilmData { return f.orEmpty().data.clone() }

// Processes returns the names of the processes in which the film was measured.
func (f *Film) Processes() []string {
	f = f.orEmpty()
	return append([]string{}, f.named.said...)
}

// Process returns a process by its name, or by a part of it that no other process
// of the film has; "" stands for the only one. Capitals do not matter. The error
// wraps [ErrMissing] for a film without a process, otherwise [ErrUnknown].
func (f *Film) Process(name string) (*Process, error) {
	f = f.orEmpty()
	if len(f.processes) == 0 {
		return nil, f.missing("process")
	}
	i, err := f.named.find(name)
	if err != nil {
		return nil, fmt.Errorf("%w: process of %s: %w", ErrUnknown, f.data.Name, err)
	}
	return f.processes[i], nil
}

// Sensitivity returns the spectral sensitivity. The error wraps [ErrMissing].
func (f *Film) Sensitivity() (spectral.Sensitivity, error) {
	f = f.orEmpty()
	if f.sensitivity == nil {
		return spectral.Sensitivity{}, f.missing("spectral sensitivity")
	}
	return *f.sensitivity, nil
}

// Reciprocity returns the reciprocity law with the range in which it was found.
// The error wraps [ErrMissing].
func (f *Film) Reciprocity() (reciprocity.Law, error) {
	f = f.orEmpty()
	if f.reciprocity == nil {
		return nil, f.missing("reciprocity law")
	}
	return f.reciprocity, nil
}

// missing is the error for a part that nobody has given the film.
func (f *Film) missing(part string) error {
	return fmt.Errorf("%w: %s has no %s", ErrMissing, cmp.Or(f.data.Name, "an empty film"), part)
}

// Missing lists the parts that nobody has given the film, as the errors that wrap
// [ErrMissing] name them: of the film itself, then of each process.
func (f *Film) Missing() []string {
	f = f.orEmpty()
	var out []string
	add := func(is bool, part string) {
		if is {
			out = append(out, part)
		}
	}
	add(f.sensitivity == nil, "spectral sensitivity")
	add(f.reciprocity == nil, "reciprocity law")
	add(len(f.processes) == 0, "process")
	for _, p := range f.processes {
		in := " in " + p.data.Name
		add(len(p.curves) == 0, "curve"+in)
		add(p.data.Index == nil, "index"+in)
		add(p.growth == nil, "development family"+in)
	}
	return out
}

// String returns the name, and what there is of the film.
func (f *Film) String() string {
	f = f.orEmpty()
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
