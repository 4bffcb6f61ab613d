// Package spectrafile finds films, lights and filters by what a person types: a built-in
// name, a film of a package, or a file. What the values of a file are is said by its
// heading or by a flag, so that all programs name the same things the same way.
package spectrafile

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/filters"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// Help is what programs say of their files.
const Help = `Films, lights and filters are named the same way in all programs: a built-in name, a
film of a package (-package DIR, or one of the invented films that come with it), or a
file. A file is a table with the wavelengths first, headed wavelength_nm, wavelength_um or
wavelength_angstrom, rising or falling, with commas, semicolons or tabs between the
columns; the heading of the second says what the values are:
  film    sensitivity, log10_sensitivity, sensitivity_per_photon,
          log10_sensitivity_per_photon
  filter  transmittance, transmittance_percent, density
  light   power
Any other heading, such as value, is linear, or what -film-kind or -filter-kind says. A
third column sd has the standard deviation of each value, and remarks above the headings
the rest: # zero_sd 0.003, # scale_sd 0.005, # wavelength_sd_nm 0.5, # correlation_nm 10.
Filters one behind the other are written 25+ND 0.9.
`

// An Input is a thing that was named, and the file it came from.
type Input struct {
	Role   string `json:"role"`
	Name   string `json:"name"`
	File   string `json:"file,omitempty"` // none for what is built in
	SHA256 string `json:"sha256,omitempty"`
}

// Kit finds things by their names, and keeps what it found. The zero Kit is ready.
type Kit struct {
	Package              string           // a directory with films
	FilmKind, FilterKind string           // for files whose heading does not say it
	Outside              spectral.Outside // what filters and patches of files are outside their tables
	Log, Linear          bool
	Inputs               []Input

	films *actinic.Package
}

// Flags adds the flags that all programs have.
func (k *Kit) Flags(f *command.Flags) {
	f.StringVar(&k.Package, "package", "", "`DIR` of a data package whose films -film knows by name")
	f.StringVar(&k.FilmKind, "film-kind", "",
		"`KIND` of values in a film's file whose heading does not say: sensitivity, log10_sensitivity, sensitivity_per_photon, log10_sensitivity_per_photon")
	f.StringVar(&k.FilterKind, "filter-kind", "",
		"`KIND` of values in a filter's file whose heading does not say: transmittance, transmittance_percent, density")
	f.BoolVar(&k.Log, "log", false, "the film file holds log10 of the sensitivity: -film-kind log10_sensitivity")
	f.BoolVar(&k.Linear, "linear", false, "the film file is linear even if it looks logarithmic: -film-kind sensitivity")
}

// Check holds the flags against each other.
func (k *Kit) Check() error {
	if k.Log && k.Linear {
		return command.Usagef("-log and -linear exclude each other")
	}
	if k.FilmKind != "" && (k.Log || k.Linear) {
		return command.Usagef("-film-kind says it; leave out -log and -linear")
	}
	if k.Log {
		k.FilmKind = string(logSensitivity)
	}
	if k.Linear {
		k.FilmKind = string(sensitivity)
	}
	if !slices.Contains(filmKinds, kind(k.FilmKind)) && k.FilmKind != "" {
		return command.Usagef("-film-kind %q; there are %s", k.FilmKind, kinds(filmKinds))
	}
	if !slices.Contains(filterKinds, kind(k.FilterKind)) && k.FilterKind != "" {
		return command.Usagef("-filter-kind %q; there are %s", k.FilterKind, kinds(filterKinds))
	}
	return nil
}

// A Film is a sensitivity with its name and how well it is known.
type Film struct {
	Name        string
	Sensitivity spectral.Sensitivity
	SD          filters.Deviation
	Known       bool // whether deviations were given
}

// A Light is a light with its name and how well it is known.
type Light struct {
	Name  string
	Light spectral.Light
	SD    filters.Deviation
	Known bool
	Own   bool // from a file
}

// A Filter is a filter or a stack of them. Parts are its members.
type Filter struct {
	Name   string
	Filter filters.Filter
	Parts  []Part
}

// A Part is one filter of a stack.
type Part struct {
	Filter filters.Filter
	SD     filters.Deviation
	Known  bool
	Own    bool // from a file
}

// Known reports whether any part has deviations.
func (f Filter) Known() bool {
	return slices.ContainsFunc(f.Parts, func(p Part) bool { return p.Known })
}

// List splits a list at its commas.
func List(text string) []string {
	var out []string
	for _, s := range strings.Split(text, ",") {
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// Note keeps what a name stood for, with the hash of its file.
func (k *Kit) Note(role, name, file string) error {
	in := Input{Role: role, Name: name}
	if file != "" {
		b, err := command.ReadFile(file)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(b)
		in.File, in.SHA256 = filepath.ToSlash(file), hex.EncodeToString(sum[:])
	}
	if !slices.Contains(k.Inputs, in) {
		k.Inputs = append(k.Inputs, in)
	}
	return nil
}

// Made says with which library an output was made and from which files, in the form that
// all programs have it; [Kit.Inputs] says beside it what each stood for.
func (k *Kit) Made() command.Made {
	m := command.Made{Library: command.Library, Version: actinic.Version, Inputs: map[string]string{}}
	for _, in := range k.Inputs {
		if in.File != "" {
			m.Inputs[in.File] = "sha256:" + in.SHA256
		}
	}
	return m
}

// Film finds a film: a class such as panchromatic, a file, or a film of the package.
// Without a name it is the generic panchromatic film.
func (k *Kit) Film(name string) (Film, error) {
	class := spectral.Panchromatic
	var err error
	if name != "" {
		class, err = spectral.ParseClass(strings.TrimSuffix(strings.TrimPrefix(name, "generic "), " film"))
	}
	if err == nil {
		f := Film{Name: "generic " + class.String() + " film", Sensitivity: spectral.Generic(class)}
		return f, k.Note("film", f.Name, "")
	}
	if isFile(name) {
		f, err := k.readFilm(name)
		if err != nil {
			return Film{}, err
		}
		return f, k.Note("film", f.Name, name)
	}
	load, file := actinic.LoadFilm, ""
	if k.Package != "" {
		if k.films == nil {
			if k.films, err = readPackage(k.Package); err != nil {
				return Film{}, fmt.Errorf("-package %s: %w", k.Package, err)
			}
		}
		load, file = k.films.Film, filepath.Join(k.Package, "datapackage.json")
	}
	film, err := load(name)
	if err != nil {
		return Film{}, fmt.Errorf("film %q: no such file, no class (blue-sensitive, orthochromatic, panchromatic, extended red), and %w", name, Plain(err))
	}
	s, err := film.Sensitivity()
	if err != nil {
		return Film{}, fmt.Errorf("film %q: %w", name, err)
	}
	return Film{Name: film.Name(), Sensitivity: s}, k.Note("film", film.Name(), file)
}

// readPackage reads a package that anybody may have made.
func readPackage(dir string) (*actinic.Package, error) {
	folder, closed, err := command.Folder(dir)
	if err != nil {
		return nil, err
	}
	defer closed()
	return actinic.ReadPackage(folder, actinic.Verify)
}

// Meter reads the response of a meter from a file, of the same kinds as a film.
func (k *Kit) Meter(file string) (Film, error) {
	f, err := k.readFilm(file)
	if err != nil {
		return Film{}, err
	}
	return f, k.Note("meter", f.Name, file)
}

// Light finds an illuminant, a colour temperature such as 3200K, or a file. Without a
// name it is ISO sensitometric daylight.
func (k *Kit) Light(name string) (Light, error) {
	if name == "" {
		name = spectral.SensitometricDaylight.String()
	}
	l, called, unknown := command.Light(name)
	if unknown == nil {
		return Light{Name: called, Light: l}, k.Note("light", called, "")
	}
	if !isFile(name) {
		return Light{}, fmt.Errorf("no such file, and %w", Plain(unknown))
	}
	c, err := readTable(name, spectral.Zero)
	if err != nil {
		return Light{}, err
	}
	if c.kind != "" && c.kind != power {
		return Light{}, fmt.Errorf("%s: -light wants a column power, this one is %s", name, c.kind)
	}
	if lo, _ := c.values.Extremes(); lo < 0 {
		return Light{}, fmt.Errorf("%s: the power of the light is negative in places (%g); set noise to 0", name, lo)
	}
	if l, err = spectral.NewLight(c.values); err != nil {
		return Light{}, fmt.Errorf("%s: %w", name, Plain(err))
	}
	out := Light{Name: k.called(name), Light: l, SD: c.sd, Known: c.known, Own: true}
	return out, k.Note("light", out.Name, name)
}

// Filter finds a filter: none, a number or a name of the catalogue, ND 0.9, a file, or
// several joined by +.
func (k *Kit) Filter(name string) (Filter, error) {
	names := []string{name}
	if !isFile(name) {
		names = strings.Split(name, "+")
	}
	return k.Stack(names...)
}

// Stack finds filters that stand one behind the other.
func (k *Kit) Stack(names ...string) (Filter, error) {
	var out Filter
	var set []filters.Filter
	var called []string
	for _, n := range names {
		if strings.TrimSpace(n) == "" && len(names) > 1 {
			return Filter{}, fmt.Errorf("a stack with nothing beside a +: %q", strings.Join(names, "+"))
		}
		p, err := k.part(strings.TrimSpace(n))
		if err != nil {
			return Filter{}, err
		}
		out.Parts = append(out.Parts, p)
		set, called = append(set, p.Filter), append(called, p.Filter.Name())
	}
	if len(set) == 1 {
		out.Filter, out.Name = set[0], called[0]
		return out, nil
	}
	f, err := filters.Stack(set...)
	out.Name = strings.Join(called, "+")
	out.Filter = f.Named(out.Name)
	return out, err
}

func (k *Kit) part(name string) (Part, error) {
	if name == "" || strings.EqualFold(name, "none") {
		return Part{Filter: filters.Clear().Named("none")}, k.Note("filter", "none", "")
	}
	if d, ok := strings.CutPrefix(strings.ToUpper(name), "ND"); ok {
		if v, err := strconv.ParseFloat(strings.TrimSpace(d), 64); err == nil {
			f, err := filters.Neutral(sensito.Density(v))
			if err != nil {
				return Part{}, fmt.Errorf("filter %q: %w", name, err)
			}
			f = f.Named("ND " + strings.TrimSpace(d))
			return Part{Filter: f}, k.Note("filter", f.Name(), "")
		}
	}
	e, unknown := filters.Find(name)
	if unknown == nil {
		return Part{Filter: e.Filter}, k.Note("filter", e.Filter.Name(), "")
	}
	if !isFile(name) {
		return Part{}, fmt.Errorf("no such file, and %w, none, ND 0.9 and such", Plain(unknown))
	}
	c, err := readTable(name, k.Outside)
	if err != nil {
		return Part{}, err
	}
	p, err := k.filterOf(name, c)
	if err != nil {
		return Part{}, err
	}
	return p, k.Note("filter", p.Filter.Name(), name)
}

// plainly is an error without the words that are for programs.
type plainly struct {
	error
	text string
}

func (p plainly) Error() string { return p.text }
func (p plainly) Unwrap() error { return p.error }

// Plain returns an error whose text has no names of packages in it.
func Plain(err error) error {
	if err == nil {
		return nil
	}
	text := err.Error()
	for _, s := range []error{spectral.ErrInvalid, spectral.ErrOutside, spectral.ErrDisjoint, filters.ErrInvalid, actinic.ErrUnknown} {
		text = strings.ReplaceAll(text, s.Error()+": ", "")
	}
	return plainly{err, text}
}

func isFile(name string) bool {
	info, err := os.Stat(name)
	return err == nil && !info.IsDir()
}

// called is what a file is called in tables: its last name, and all of its path where
// another file has the same.
func (k *Kit) called(file string) string {
	base := filepath.Base(file)
	for _, in := range k.Inputs {
		if in.File != "" && in.File != filepath.ToSlash(file) && filepath.Base(in.File) == base {
			return filepath.ToSlash(file)
		}
	}
	return base
}
