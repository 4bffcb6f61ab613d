package actinic

import (
	"encoding"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// column is one column of a table of films: what it is called and means, its unit and
// bounds, and how a part T of a film has it. Schema, reader, writer, checker and
// comparison go by it: a column is this and nothing else.
type column[T any] struct {
	datapackage.Field
	// cell is what is written of a text, "" for what is not known; set reads a cell that
	// is not empty.
	cell func(*T) string
	set  func(*T, string) error
	// raw is the number, NaN where it is not known; nil for a text. zeroIsMissing says
	// that a 0 is not known either.
	raw           func(*T) float64
	zeroIsMissing bool
	// derived says that the cell follows from the rest of the part: it is written, and
	// held to the part when it is read.
	derived bool
	// with names a column without which this one says nothing, and which does not go
	// without this one if needed is set.
	with   string
	needed bool
	// compared is what the number is called in a comparison of films, under part; ""
	// for one that is not compared. stops says that it is compared by its logarithm.
	part, compared string
	stops          bool
}

// table is a table of films: the columns that say which film, process and curve a row
// belongs to, and those of the part T.
type table[T any] struct {
	datapackage.Table // but for its fields
	keys              []datapackage.Field
	columns           []column[T]
	blank             func() T // a part of which nothing is known
}

// spec returns the table with the fields of its columns.
func (t *table[T]) spec() datapackage.Table {
	s := t.Table
	s.Fields = slices.Clone(t.keys)
	for _, c := range t.columns {
		s.Fields = append(s.Fields, c.Field)
	}
	return s
}

// number returns the number of a part; false where it is not known.
func (c *column[T]) number(part *T) (float64, bool) {
	v := c.raw(part)
	return v, v == v && !(c.zeroIsMissing && v == 0)
}

// text returns what is written of a part.
func (c *column[T]) text(part *T) string {
	if c.raw == nil {
		return c.cell(part)
	}
	v, known := c.number(part)
	if !known {
		return ""
	}
	return figures.Numeral(v)
}

// new is an empty part with the columns that start at something else than zero set.
func (t *table[T]) new() T {
	if t.blank == nil {
		var zero T
		return zero
	}
	return t.blank()
}

// check holds the cells of a part to their columns: what must be there, words, bounds.
func (t *table[T]) check(part *T) []error {
	var errs []error
	bad := func(c *column[T], read, want string) {
		errs = append(errs, &columnError{c.Name, read, want})
	}
	for i := range t.columns {
		c := &t.columns[i]
		if c.raw == nil {
			switch text := c.cell(part); {
			case text == "" && c.Required:
				bad(c, "", "not to be missing")
			case text != "" && c.Enum != nil && !slices.Contains(c.Enum, text):
				bad(c, text, "one of "+figures.Quoted(c.Enum))
			}
			continue
		}
		v, known := c.number(part)
		switch {
		case !known && c.Required:
			bad(c, "", "not to be missing")
		case !known:
		case c.Min != nil && v < *c.Min:
			bad(c, figures.Numeral(v), "at least "+figures.Numeral(*c.Min))
		case c.Max != nil && v > *c.Max:
			bad(c, figures.Numeral(v), "at most "+figures.Numeral(*c.Max))
		case math.IsInf(v, 0) && !unbounded(c.Name):
			bad(c, figures.Numeral(v), "a finite number")
		}
	}
	return errs
}

// columnError says which column of a part cannot be.
type columnError struct{ column, read, want string }

// Error names the column as the table has it.
func (e *columnError) Error() string {
	return fmt.Sprintf("%s: read %q, want %s", e.column, e.read, e.want)
}

// unbounded reports whether a number may be INF: the upper end of an interval may.
func unbounded(name string) bool { return strings.Contains(name, "_high") }

// must makes a column one that is not to be missing; of a number 0 is then a value.
func (c column[T]) must() column[T] {
	c.Required, c.zeroIsMissing = true, false
	return c
}

// beside says that the column goes with another one: neither without the other.
func (c column[T]) beside(name string) column[T] { c.with, c.needed = name, true; return c }

// comparedAs names the number in a comparison.
func (c column[T]) comparedAs(part, quantity string) column[T] {
	c.part, c.compared = part, quantity
	return c
}

// inStops has the number compared by its logarithm.
func (c column[T]) inStops() column[T] { c.stops = true; return c }

// textColumn is a column of text.
func textColumn[T any](f datapackage.Field, at func(*T) *string) column[T] {
	return column[T]{Field: f,
		cell: func(p *T) string { return *at(p) },
		set:  func(p *T, s string) error { *at(p) = s; return nil },
	}
}

// wordColumn is a column of a kind that has a text form; there says whether a part has
// it.
func wordColumn[T any, W encoding.TextMarshaler, P interface {
	*W
	encoding.TextUnmarshaler
}](f datapackage.Field, there func(*T) bool, at func(*T) P) column[T] {
	return column[T]{Field: f,
		cell: func(p *T) string {
			if there != nil && !there(p) {
				return ""
			}
			text, err := (*at(p)).MarshalText()
			if err != nil {
				return ""
			}
			return string(text)
		},
		set: func(p *T, s string) error {
			if err := at(p).UnmarshalText([]byte(s)); err != nil {
				return errors.New("one of " + figures.Quoted(f.Enum))
			}
			return nil
		},
	}
}

// readNumber reads a cell of a number as the tables have it.
func readNumber(name, s string) (float64, error) {
	if s == "INF" && unbounded(name) {
		return math.Inf(1), nil
	}
	v, ok := datafile.ParseNumber(s)
	if !ok {
		want := "a number, or nothing where it is not known"
		if strings.Contains(s, ",") {
			want += "; write a decimal point, not a comma"
		}
		return 0, errors.New(want)
	}
	return v, nil
}

// number is a column of a number of which 0 means that it is not known, unless it must
// be there.
func number[T any, V ~float64](f datapackage.Field, at func(*T) *V) column[T] {
	c := optional(f, func(*T) bool { return true }, at)
	c.zeroIsMissing = true
	return c
}

// optional is a column of a number that a part has where there says so. at is only asked
// for the place of a number that is there, or is about to be.
func optional[T any, V ~float64](f datapackage.Field, there func(*T) bool, at func(*T) *V) column[T] {
	return column[T]{Field: f,
		raw: func(p *T) float64 {
			if !there(p) {
				return math.NaN()
			}
			return float64(*at(p))
		},
		set: func(p *T, s string) error {
			v, err := readNumber(f.Name, s)
			if err == nil {
				*at(p) = V(v)
			}
			return err
		},
	}
}

// secondsColumn is a column of a time; 0 means that it is not known, unless it must be
// there.
func secondsColumn[T any](f datapackage.Field, at func(*T) *time.Duration) column[T] {
	return column[T]{Field: f, zeroIsMissing: true,
		raw: func(p *T) float64 { return at(p).Seconds() },
		set: func(p *T, s string) error {
			v, err := readNumber(f.Name, s)
			if err == nil && !(math.Abs(v) < 1e9) {
				err = errors.New("a time in seconds below 1e9")
			}
			if err == nil {
				*at(p) = figures.Seconds(v)
			}
			return err
		},
	}
}

// interval is three columns: a number, and the ends of its interval, which are NaN where
// they are not known.
func interval[T any](value, low, high datapackage.Field, at func(*T) *sensito.Estimate) []column[T] {
	always := func(*T) bool { return true }
	return []column[T]{
		optional(value, always, func(p *T) *float64 { return &at(p).Value }).must(),
		optional(low, always, func(p *T) *float64 { return &at(p).Low }),
		optional(high, always, func(p *T) *float64 { return &at(p).High }),
	}
}

// nothingKnown is an estimate of which nothing is known.
func nothingKnown() sensito.Estimate {
	return sensito.Estimate{Value: math.NaN(), Low: math.NaN(), High: math.NaN()}
}

// optionalInterval is [interval] of an estimate that may be missing as a whole.
func optionalInterval[T any](value, low, high datapackage.Field, at func(*T) **sensito.Estimate) []column[T] {
	there := func(p *T) bool { return *at(p) != nil }
	estimate := func(p *T) *sensito.Estimate {
		e := at(p)
		if *e == nil {
			unknown := nothingKnown()
			*e = &unknown
		}
		return *e
	}
	cs := []column[T]{
		optional(value, there, func(p *T) *float64 { return &estimate(p).Value }),
		optional(low, there, func(p *T) *float64 { return &estimate(p).Low }),
		optional(high, there, func(p *T) *float64 { return &estimate(p).High }),
	}
	cs[1].with, cs[2].with = value.Name, value.Name
	return cs
}

// derivedColumn is a column that follows from the rest of the part.
func derivedColumn[T any](f datapackage.Field, get func(*T) float64) column[T] {
	return column[T]{Field: f, derived: true, raw: get}
}
