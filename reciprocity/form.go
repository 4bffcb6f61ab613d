package reciprocity

import (
	"encoding/json"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Form is a law as plain data, the way it is published: a word for the law, its
// constants by name, the range of metered times it is for, and for a table its
// rows. [Forms] lists the words and the names.
type Form struct {
	Law       string
	Constants map[string]float64 // times in seconds; a constant that is missing is not in it
	// Shortest and Longest are the range; both 0 for a law without one.
	Shortest, Longest time.Duration
	Readings          []Reading // the rows of a table; other laws do not use them
}

// FormInfo says what a law is called as data and what constants it has.
type FormInfo struct {
	Law       string
	Formula   string // the adjusted time against the metered time t, in words of the constants
	Constants []ConstantInfo
	Rows      bool // given by readings, not by constants
}

// ConstantInfo is a constant of a law as data. A value is from Least to Most; a
// constructor may leave out an end.
type ConstantInfo struct {
	Name, Unit, About string // Unit is "s" or "1"
	Least, Most       float64
	Optional          bool // the law does without it, and 0 is missing
}

// values are constants by name.
type values map[string]float64

// A former is what the file of a law tells of its form as data.
type former interface {
	info() FormInfo
	read(Law) (v values, rows []Reading, ok bool) // false for another law
	make(v values, rows []Reading) (Law, error)
}

// The constants, named as in the published data.
var (
	onsetConstant = constant("onset_s", "s", 0, "longest metered time that does not fail")
	pConstant     = ConstantInfo{Name: "p", Unit: "1", About: "Schwarzschild's exponent", Most: 1}
	aConstant     = constant("a", "1", 0,
		"constant of the law with the times in seconds: in the additive law in s^(1-b), a pure number in the others")
	optimumConstant    = constant("optimum_s", "s", 0, "metered time of least failure")
	referenceConstant  = constant("reference_s", "s", 0, "metered time at which nothing is corrected")
	bConstant          = constant("b", "1", 1, "exponent of the law")
	shortOnsetConstant = constant("short_onset_s", "s", 0, "shortest metered time that does not fail")
	shortPConstant     = constant("short_p", "1", 1, "exponent of the short branch")
)

// constant is one without an upper bound.
func constant(name, unit string, least float64, about string) ConstantInfo {
	return ConstantInfo{Name: name, Unit: unit, About: about, Least: least, Most: math.Inf(1)}
}

func (c ConstantInfo) optional() ConstantInfo { c.Optional = true; return c }

// Forms lists the laws that can be published, simplest first.
func Forms() []FormInfo {
	var out []FormInfo
	for _, r := range registry {
		f := r.form.info()
		if !slices.ContainsFunc(out, func(o FormInfo) bool { return o.Law == f.Law }) {
			out = append(out, f)
		}
	}
	return out
}

// Constants lists the constants of all laws, each once and with the bounds of the
// law that allows most.
func Constants() []ConstantInfo {
	var out []ConstantInfo
	for _, f := range Forms() {
		for _, c := range f.Constants {
			i := slices.IndexFunc(out, func(o ConstantInfo) bool { return o.Name == c.Name })
			if i < 0 {
				out = append(out, c)
				continue
			}
			out[i].Least, out[i].Most = min(out[i].Least, c.Least), max(out[i].Most, c.Most)
			out[i].Optional = out[i].Optional && c.Optional
		}
	}
	return out
}

// FormOf is a law as data. [Form.Make] gives an equal law back.
//
// Errors: [ErrInput] for no law, a law without constants, or a law of another
// package, which has no form.
func FormOf(l Law) (Form, error) {
	if err := usable(l); err != nil {
		return Form{}, err
	}
	for _, r := range registry {
		v, rows, ok := r.form.read(l)
		if !ok {
			continue
		}
		if _, err := l.Exponent(1); err != nil { // a zero law
			return Form{}, err
		}
		f := Form{Law: r.form.info().Law, Constants: v, Readings: rows}
		if d := l.(interface{ stated() domain }).stated(); d != (domain{}) {
			var err error
			if f.Shortest, err = duration(d.lo); err != nil {
				return Form{}, err
			}
			if f.Longest, err = duration(d.hi); err != nil {
				return Form{}, err
			}
		}
		return f, nil
	}
	return Form{}, check.Errorf(ErrInput, "the law %q has no form as data", l.String())
}

// Make is the law that the form describes.
//
// Errors: [ErrInput] for a word that is no law, constants that the law does not
// have or that are missing, and what the law's constructor refuses.
func (f Form) Make() (Law, error) {
	form, err := findForm(f.Law)
	if err != nil {
		return nil, err
	}
	info, v := form.info(), values{}
	for name, x := range f.Constants {
		i := slices.IndexFunc(info.Constants, func(c ConstantInfo) bool { return c.Name == name })
		switch {
		case i < 0:
			return nil, check.Errorf(ErrInput, "the law %q has no constant %q", f.Law, name)
		case x == 0 && info.Constants[i].Optional:
		default:
			v[name] = x
		}
	}
	for _, c := range info.Constants {
		if _, ok := v[c.Name]; !ok && !c.Optional {
			return nil, check.Errorf(ErrInput, "the law %q without its constant %q", f.Law, c.Name)
		}
	}
	l, err := form.make(v, f.Readings)
	if err != nil || f.Shortest == 0 && f.Longest == 0 {
		return l, err
	}
	return Within(l, f.Shortest, f.Longest)
}

func findForm(law string) (former, error) {
	var words []string
	for _, r := range registry {
		word := r.form.info().Law
		if word == law {
			return r.form, nil
		}
		if !slices.Contains(words, word) {
			words = append(words, word)
		}
	}
	return nil, check.Errorf(ErrInput, "law %q, want one of %s", law, strings.Join(words, ", "))
}

// MarshalText writes the form on one line: the word, the constants by name, for a
// table its rows as metered=adjusted in seconds, and the range,
//
//	power onset_s=1 p=0.86 shortest_s=1 longest_s=40
//	table 1=2 10=50 100=1200
//
// Errors: as [Form.Make].
//
// Source: the notation is ours.
func (f Form) MarshalText() ([]byte, error) {
	if _, err := f.Make(); err != nil {
		return nil, err
	}
	form, _ := findForm(f.Law)
	info := form.info()
	b := []byte(f.Law)
	add := func(name string, v float64) {
		b = append(b, ' ')
		b = append(b, name...)
		b = append(b, '=')
		b = strconv.AppendFloat(b, v, 'g', -1, 64)
	}
	for _, c := range info.Constants {
		if v, ok := f.Constants[c.Name]; ok && !(v == 0 && c.Optional) {
			add(c.Name, v)
		}
	}
	if info.Rows {
		for _, r := range f.Readings {
			add(strconv.FormatFloat(r.Metered.Seconds(), 'g', -1, 64), r.Adjusted.Seconds())
		}
	}
	if f.Shortest != 0 || f.Longest != 0 {
		add("shortest_s", f.Shortest.Seconds())
		add("longest_s", f.Longest.Seconds())
	}
	return b, nil
}

const maxText = 1 << 20 // no table of a law is longer than this many bytes

// UnmarshalText reads what [Form.MarshalText] writes. It checks that the form
// makes a law.
//
// Errors: [ErrInput].
func (f *Form) UnmarshalText(text []byte) error {
	if len(text) > maxText {
		return check.Errorf(ErrInput, "a law of %d bytes", len(text))
	}
	words := strings.Fields(string(text))
	if len(words) == 0 {
		return check.Errorf(ErrInput, "no law; write for example power onset_s=1 p=0.86")
	}
	form, err := findForm(words[0])
	if err != nil {
		return err
	}
	rows := form.info().Rows
	g := Form{Law: words[0], Constants: map[string]float64{}}
	for _, w := range words[1:] {
		name, number, ok := strings.Cut(w, "=")
		v, err := strconv.ParseFloat(number, 64)
		if !ok || err != nil || !check.Finite(v) {
			return check.Errorf(ErrInput, "%q in a law, want a name, = and a number", clip(w))
		}
		metered, err := strconv.ParseFloat(name, 64)
		switch {
		case name == "shortest_s":
			g.Shortest, err = duration(v)
		case name == "longest_s":
			g.Longest, err = duration(v)
		case rows && err == nil && check.Finite(metered):
			var r Reading
			if r.Metered, err = duration(metered); err == nil {
				r.Adjusted, err = duration(v)
			}
			g.Readings = append(g.Readings, r)
		default:
			if _, twice := g.Constants[name]; twice {
				return check.Errorf(ErrInput, "%q twice in a law", clip(name))
			}
			g.Constants[name], err = v, nil
		}
		if err != nil {
			return err
		}
	}
	if _, err := g.Make(); err != nil {
		return err
	}
	*f = g
	return nil
}

func clip(s string) string {
	if len(s) > 40 {
		return s[:40] + "..."
	}
	return s
}

// String is the text form, or says what is wrong with it.
func (f Form) String() string {
	b, err := f.MarshalText()
	if err != nil {
		return err.Error()
	}
	return string(b)
}

type formJSON struct {
	Law       string             `json:"law"`
	Constants map[string]float64 `json:"constants,omitempty"`
	Shortest  float64            `json:"shortest_s,omitempty"`
	Longest   float64            `json:"longest_s,omitempty"`
	Readings  []readingJSON      `json:"readings,omitempty"`
}

type readingJSON struct {
	Metered  float64       `json:"metered_s"`
	Adjusted float64       `json:"adjusted_s"`
	SD       sensito.Stops `json:"adjusted_sd_stops,omitempty"`
}

// MarshalJSON writes an object with the members law, constants, shortest_s,
// longest_s and readings.
//
// Errors: as [Form.Make].
func (f Form) MarshalJSON() ([]byte, error) {
	if _, err := f.Make(); err != nil {
		return nil, err
	}
	j := formJSON{Law: f.Law, Constants: f.Constants, Shortest: f.Shortest.Seconds(), Longest: f.Longest.Seconds()}
	for _, r := range f.Readings {
		j.Readings = append(j.Readings, readingJSON{r.Metered.Seconds(), r.Adjusted.Seconds(), r.SD})
	}
	return json.Marshal(j)
}

// UnmarshalJSON reads what MarshalJSON writes. It checks that the form makes a law.
//
// Errors: [ErrInput]; those of the JSON.
func (f *Form) UnmarshalJSON(b []byte) error {
	var j formJSON
	err := json.Unmarshal(b, &j)
	if err != nil {
		return err
	}
	g := Form{Law: j.Law, Constants: map[string]float64{}}
	maps.Copy(g.Constants, j.Constants)
	if g.Shortest, err = duration(j.Shortest); err != nil {
		return err
	}
	if g.Longest, err = duration(j.Longest); err != nil {
		return err
	}
	for _, r := range j.Readings {
		q := Reading{SD: r.SD}
		if q.Metered, err = duration(r.Metered); err != nil {
			return err
		}
		if q.Adjusted, err = duration(r.Adjusted); err != nil {
			return err
		}
		g.Readings = append(g.Readings, q)
	}
	if _, err := g.Make(); err != nil {
		return err
	}
	*f = g
	return nil
}

// ParseLaw reads a law from the text that laws marshal to, such as
// "power onset_s=1 p=0.86"; see [Form.MarshalText].
//
// Errors: [ErrInput].
func ParseLaw(text string) (Law, error) {
	var f Form
	if err := f.UnmarshalText([]byte(text)); err != nil {
		return nil, err
	}
	return f.Make()
}

// marshalLaw is MarshalText of a law.
func marshalLaw(l Law) ([]byte, error) {
	f, err := FormOf(l)
	if err != nil {
		return nil, err
	}
	return f.MarshalText()
}

// unmarshalLaw reads a law of one type.
func unmarshalLaw[L Law](text []byte, to *L) error {
	l, err := ParseLaw(string(text))
	if err != nil {
		return err
	}
	v, ok := l.(L)
	if !ok {
		return check.Errorf(ErrInput, "%q is not the law that is read here", clip(string(text)))
	}
	*to = v
	return nil
}
