package filters

import (
	"slices"
	"strings"
	"sync"

	"example.org/actinic/sensito/provenance"
)

// An Entry is a generic filter: the trade's number and colour, a curve, and
// where the curve comes from.
type Entry struct {
	Number string           `json:"number,omitempty"` // the trade's number, empty for the tints
	Colour string           `json:"colour"`
	Filter Filter           `json:"filter"`
	Basis  provenance.Basis `json:"basis"`
	Source string           `json:"source"`
}

const (
	fromTable = "half-maximum wavelength read off a handbook's table of transmissions of gelatin filters " +
		"(A. C. Peed Jr., CRC Handbook of Chemistry and Physics); 25 nm from 10 to 90 % as measured on glass of the class (24 to 28 nm); peak 0.90"
	fromFit = "edges chosen by us so that the luminous transmittance of the handbook's table " +
		"and the factors with the generic panchromatic film come out"
	tint = "shape made up by us"
)

// Catalogue returns generic contrast filters in the order of their cut-on, then
// the tints used on colour film, which darken little.
//
// Long-pass filters are derived: a logistic edge at the half-maximum wavelength
// of the numbered filter in a published table. The others are invented shapes
// that meet a few published figures. None is the filter of a maker: single
// samples of one number differ by 0.2 stop, and factors are good to a third of a
// stop. The shapes of 11, 13, 47 and 58 end at their edge, while the dyes of real
// ones open again in the infrared: measure one before asking about a meter that
// sees it.
//
// The catalogue is made once; the slice is the caller's.
func Catalogue() []Entry { return slices.Clone(catalogue().entries) }

// shelf is the catalogue with its entries by number and by name, in lower case.
type shelf struct {
	entries []Entry
	byName  map[string]int
	names   string // all full names, for errors
}

var catalogue = sync.OnceValue(func() shelf {
	s := shelf{entries: generic(), byName: map[string]int{}}
	var names []string
	for i, e := range s.entries {
		for _, name := range []string{e.Filter.Name(), e.Number} {
			if name != "" {
				s.byName[name], s.byName[strings.ToLower(name)] = i, i
			}
		}
		names = append(names, e.Filter.Name())
	}
	s.names = strings.Join(names, ", ")
	return s
})

// generic makes the catalogue.
func generic() []Entry {
	var out []Entry
	add := func(number, colour string, o provenance.Basis, source string, f Filter, err error) {
		if err != nil {
			panic(err) // the tests go through all of them
		}
		name := colour
		if number != "" {
			name = number + " " + colour
		}
		out = append(out, Entry{number, colour, f.Named(name), o, source})
	}
	f, err := leakyLongPass(468.7, 60, 0.903, 0.10)
	add("6", "light yellow", provenance.Invented, fromFit, f, err)
	for _, r := range []struct {
		number, colour string
		cutOn          float64
	}{
		{"8", "yellow", 492.1}, {"9", "deep yellow", 507.4}, {"12", "deep yellow", 517.5}, {"15", "deep yellow", 528.1},
		{"16", "yellow orange", 539.0}, {"21", "orange", 554.5}, {"22", "deep orange", 566.4}, {"23A", "light red", 579.5},
		{"25", "red", 598.6}, {"29", "deep red", 620.0},
	} {
		f, err := LongPass(r.cutOn, 25, 0.90)
		add(r.number, r.colour, provenance.Derived, fromTable, f, err)
	}
	for _, r := range []struct {
		number, colour              string
		on, widthOn, off, off2, top float64
	}{
		{"11", "yellow green", 476.1, 40, 597.4, 80, 0.54},
		{"13", "green", 480.4, 40, 580.2, 80, 0.55},
		{"58", "deep green", 497.5, 25, 567.7, 40, 0.459},
		{"47", "blue", 405, 40, 487.9, 25, 0.432},
	} {
		f, err := BandPass(r.on, r.widthOn, r.off, r.off2, r.top)
		add(r.number, r.colour, provenance.Invented, fromFit, f, err)
	}
	nm := []float64{380, 420, 460, 500, 540, 580, 620, 660, 700, 760}
	for _, r := range []struct {
		colour string
		v      []float64
	}{
		{"pink", []float64{.76, .80, .80, .74, .70, .80, .88, .90, .90, .90}},
		{"violet", []float64{.70, .80, .80, .66, .56, .58, .72, .84, .88, .89}},
		{"brown", []float64{.38, .44, .50, .56, .62, .68, .74, .79, .83, .86}},
	} {
		s, err := knots(nm, r.v)
		if err != nil {
			panic(err)
		}
		f, err := New(r.colour, s)
		add("", r.colour, provenance.Invented, tint, f, err)
	}
	return out
}

// Find returns the catalogue's filter with a number such as "25" or a full name
// such as "25 red" or "pink", in capitals or not. A full name stays what it is when
// the catalogue grows, so it is what a program asks for; a person's words go to
// [FindByPart]. An unknown name is an error that wraps [ErrInvalid] and lists the
// names. A look-up takes less than 100 ns.
func Find(name string) (Entry, error) {
	c := catalogue()
	i, ok := c.byName[name]
	if !ok {
		i, ok = c.byName[strings.ToLower(strings.TrimSpace(name))]
	}
	if !ok {
		return Entry{}, invalid("no filter %q, there are %s", name, c.names)
	}
	return c.entries[i], nil
}

// FindByPart returns the one filter of the catalogue that a person may have meant:
// the one [Find] knows, or else the only one in whose name the words are found, each
// as the beginning of a word, in any order and in capitals or not, such as "deep r"
// for "29 deep red". Words that fit several filters are an error that wraps
// [ErrInvalid] and lists those; so are words that fit none.
func FindByPart(words string) (Entry, error) {
	if e, err := Find(words); err == nil {
		return e, nil
	}
	c := catalogue()
	var found []string
	var out Entry
	for _, e := range c.entries {
		if hasWords(e.Filter.Name(), words) {
			found, out = append(found, e.Filter.Name()), e
		}
	}
	switch len(found) {
	case 0:
		return Entry{}, invalid("no filter %q, there are %s", words, c.names)
	case 1:
		return out, nil
	}
	return Entry{}, invalid("%q can be %s: say which", words, strings.Join(found, ", "))
}

// hasWords reports whether each of the words begins a word of the name.
func hasWords(name, words string) bool {
	parts, want := strings.Fields(strings.ToLower(name)), strings.Fields(strings.ToLower(words))
	for _, w := range want {
		if !slices.ContainsFunc(parts, func(part string) bool { return strings.HasPrefix(part, w) }) {
			return false
		}
	}
	return len(want) > 0
}
