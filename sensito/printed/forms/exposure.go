package forms

import (
	"fmt"
	"math"
	"strings"
)

// Plus says how a bare +1 is read.
type Plus uint8

// The readings of +1.
const (
	AskPlus     Plus = iota // a [Question]
	PlusIsStops             // stops, as the heading or the user says
	PlusIsPlain             // the number itself
)

func cutWord(s string, words ...string) (string, bool) {
	for _, w := range words {
		if len(s) >= len(w) && strings.EqualFold(s[len(s)-len(w):], w) {
			return strings.TrimSpace(s[:len(s)-len(w)]), true
		}
	}
	return s, false
}

func cutLead(s string, words ...string) (string, bool) {
	for _, w := range words {
		if len(s) > len(w) && strings.EqualFold(s[:len(w)], w) {
			return strings.TrimSpace(s[len(w):]), true
		}
	}
	return s, false
}

var stopWords = []string{"f-stops", "f-stop", "f/stops", "f/stop", "stops", "stop", "ev"}

// Stops reads a correction in stops with its sign: +1/3, 1⅔, ½ stop, -1.
//
// Errors: [ErrForm].
func Stops(text string) (Cell, error) {
	c, body, err := open(text)
	if err != nil || c.Blank {
		return c, err
	}
	body, _ = cutWord(body, stopWords...)
	sign, _, rest := cutSign(body)
	if !between(&c, rest, func(s string) (float64, string, bool) { v, ok := bare(s); return v, "", ok }) {
		return c, bad(c.Text, "stops such as +1/3, 1⅔ or 0.5")
	}
	if c.scale(sign); sign < 0 {
		c.Low, c.High = c.High, c.Low
	}
	c.Unit = "stops"
	return c, nil
}

// Factor reads an exposure factor: 2, 2×, x2, 1½, 1.5-2, and stops where they say so:
// "+1 stop" is a factor of 2. A bare +1 may be either, and is asked.
//
// Errors: [ErrForm]; a [Question].
func Factor(text string, plus Plus) (Cell, error) {
	c, body, err := open(text)
	if err != nil || c.Blank {
		return c, err
	}
	const want = "a factor such as 2.5, 2× or 1½"
	if cut, ok := cutWord(body, stopWords...); ok && cut != "" {
		return stopsAsFactor(c, cut)
	}
	sign, signed, rest := cutSign(body)
	if signed {
		v, ok := bare(rest)
		switch {
		case !ok:
			return c, bad(c.Text, want)
		case plus == PlusIsStops:
			return stopsAsFactor(c, body)
		case plus == PlusIsPlain && sign > 0:
			c.set(v)
			return c, nil
		}
		return c, &Question{c.Text, []string{fmt.Sprintf("%s stops, a factor of %.3g", body, math.Exp2(sign*v)),
			fmt.Sprintf("a factor of %g", sign*v)},
			"write the unit in the heading, or +1 stop or 2×"}
	}
	if cut, ok := cutWord(rest, "×", "x", "times"); ok {
		rest = cut
	} else {
		rest, _ = cutLead(rest, "×", "x")
	}
	times := func(s string) (float64, string, bool) {
		s, _ = cutWord(s, "×", "x")
		s, _ = cutLead(s, "×", "x")
		v, ok := bare(s)
		return v, "", ok
	}
	if !between(&c, rest, times) {
		return c, bad(c.Text, want)
	}
	c.Unit = "factor"
	return c, nil
}

func stopsAsFactor(c Cell, body string) (Cell, error) {
	s, err := Stops(body)
	if err != nil {
		return c, bad(c.Text, "stops such as +1 stop")
	}
	c.Value, c.Low, c.High, c.Unit = math.Exp2(s.Value), math.Exp2(s.Low), math.Exp2(s.High), "stops"
	return c, nil
}

// Index reads an exposure index: 400, ISO 400, EI 400, 400/27°, 27°, 1,600, 250-400. N+1
// and the like are notes on development: the cell is then blank and carries the Note. A
// bare +1 may be a push of a stop or the index 1, and is asked.
//
//	index = 10^((degrees-1)/10), rounded to the numbers of the scale (ISO 5800:1987 and ISO 6:1993, table of values)
//
// Errors: [ErrForm]; a [Question].
func Index(text string, plus Plus) (Cell, error) {
	c, body, err := open(text)
	if err != nil || c.Blank {
		return c, err
	}
	const want = "an exposure index such as 400, ISO 400/27° or 27°"
	body, _ = cutLead(body, "ISO/ASA ", "ISO ", "ISO", "EI ", "EI", "E.I. ", "ASA ", "ASA")
	body, _ = cutWord(body, " ISO", " ASA", " EI")
	if body == "" {
		return c, bad(c.Text, want)
	}
	if sign, signed, rest := cutSign(body); signed {
		v, ok := bare(rest)
		if !ok {
			return c, bad(c.Text, want)
		}
		if plus == PlusIsPlain && sign > 0 {
			c.set(v)
			return c, nil
		}
		return c, &Question{c.Text, []string{fmt.Sprintf("a push or pull of %s stops", body),
			fmt.Sprintf("the index %g", v)}, "write the index that is meant"}
	}
	if len(body) <= 4 && (body[0] == 'N' || body[0] == 'n') {
		if _, signed, rest := cutSign(body[1:]); body[1:] == "" || signed && digits(rest, 0) == len(rest) {
			c.Blank, c.Note = true, body
			c.set(math.NaN())
			return c, nil
		}
	}
	if din, ok := cutLead(body, "DIN "); ok {
		body = din + "°"
	} else if din, ok := cutWord(body, " DIN"); ok {
		body = din + "°"
	}
	if number, degrees, ok := strings.Cut(body, "/"); ok {
		v, ok1 := bare(number)
		d, ok2 := bare(strings.TrimSuffix(strings.TrimSpace(degrees), "°"))
		if !ok1 || !ok2 || !(v > 0) || math.Abs(10*math.Log10(v)+1-d) > 0.75 {
			return c, bad(c.Text, want+"; the two parts agree to a degree")
		}
		c.set(v)
		return c, nil
	}
	if degrees, ok := strings.CutSuffix(body, "°"); ok {
		d, ok := bare(degrees)
		if !ok || d != math.Round(d) || d < 0 || d > 60 {
			return c, bad(c.Text, want)
		}
		c.set(marked(d))
		c.Unit = "°"
		return c, nil
	}
	if !between(&c, body, func(s string) (float64, string, bool) { v, ok := bare(s); return v, "", ok }) {
		return c, bad(c.Text, want)
	}
	return c, nil
}

// marked is the speed number on the scale for a degree.
func marked(degrees float64) float64 {
	scale := [...]float64{1, 1.25, 1.6, 2, 2.5, 3.2, 4, 5, 6.4, 8} // of 1° to 10°
	k := int(degrees) - 1
	decade := math.Floor(float64(k) / 10)
	v := scale[k-10*int(decade)] * math.Pow(10, decade)
	switch {
	case degrees == 12:
		return 12 // and not 12.5
	case v < 10:
		return v
	}
	return math.Round(v)
}
