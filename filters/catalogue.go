package filters

import "strings"

// Origin says where figures come from.
type Origin uint8

const (
	Standard Origin = iota + 1 // printed by a standard
	Derived                    // computed from published figures, which are named
	Invented                   // made up for demonstration
)

// String returns the word.
func (o Origin) String() string {
	switch o {
	case Standard:
		return "standard"
	case Derived:
		return "derived"
	case Invented:
		return "invented"
	}
	return "unknown"
}

// An Entry is a generic filter: the trade's number and colour, a curve, and
// where the curve comes from.
type Entry struct {
	Number string // the trade's number, empty for the tints
	Colour string
	Filter Filter
	Origin Origin
	Source string
}

const (
	fromTable = "half-maximum wavelength read off a handbook's table of transmissions of gelatin filters (A. C. Peed Jr., CRC Handbook of Chemistry and Physics); 25 nm from 10 to 90 % as measured on glass of the class (24 to 28 nm); peak 0.90"
	fromFit   = "edges chosen by us so that the luminous transmittance of the handbook's table and the factors with the generic panchromatic film come out"
	tint      = "shape made up by us"
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
func Catalogue() []Entry {
	var out []Entry
	add := func(number, colour string, o Origin, source string, f Filter, err error) {
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
	add("6", "light yellow", Invented, fromFit, f, err)
	for _, r := range []struct {
		number, colour string
		cutOn          float64
	}{
		{"8", "yellow", 492.1}, {"9", "deep yellow", 507.4}, {"12", "deep yellow", 517.5}, {"15", "deep yellow", 528.1},
		{"16", "yellow orange", 539.0}, {"21", "orange", 554.5}, {"22", "deep orange", 566.4}, {"23A", "light red", 579.5},
		{"25", "red", 598.6}, {"29", "deep red", 620.0},
	} {
		f, err := LongPass(r.cutOn, 25, 0.90)
		add(r.number, r.colour, Derived, fromTable, f, err)
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
		add(r.number, r.colour, Invented, fromFit, f, err)
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
		add("", r.colour, Invented, tint, f, err)
	}
	return out
}

// Find returns the catalogue's filter with a number such as "25" or a name such
// as "25 red" or "pink", in capitals or not. An unknown one is an error that
// wraps [ErrInvalid] and lists the names.
func Find(name string) (Entry, error) {
	var names []string
	for _, e := range Catalogue() {
		if s := strings.TrimSpace(name); strings.EqualFold(s, e.Filter.Name()) || e.Number != "" && strings.EqualFold(s, e.Number) {
			return e, nil
		}
		names = append(names, e.Filter.Name())
	}
	return Entry{}, invalid("no filter %q, there are %s", name, strings.Join(names, ", "))
}
