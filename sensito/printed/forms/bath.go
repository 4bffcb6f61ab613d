package forms

import (
	"fmt"
	"math"
	"strings"
)

// Bath is a temperature, in one of the scales or in both. What is not printed is blank.
type Bath struct{ Celsius, Fahrenheit Cell }

// Temperature reads a temperature: 20, 20 °C, 68F, 20°C/68°F, 68 °F (20 °C), 18-20. A
// number without a scale is in that of the column, "°C" or "°F".
//
// Errors: [ErrForm].
func Temperature(text, scale string) (Bath, error) {
	blank := Cell{Text: strings.TrimSpace(text), Blank: true}
	blank.set(math.NaN())
	b := Bath{blank, blank}
	c, body, err := open(text)
	if err != nil || c.Blank {
		return b, err
	}
	const want = "a temperature such as 20 °C, 68F or 20°C/68°F"
	parts := []string{body}
	if a, rest, ok := strings.Cut(body, "/"); ok {
		parts = []string{a, rest}
	} else if a, rest, ok := strings.Cut(body, "("); ok {
		parts = []string{a, strings.TrimSuffix(strings.TrimSpace(rest), ")")}
	}
	for _, p := range parts {
		one := c
		sign, _, rest := cutSign(p)
		ok := between(&one, rest, func(s string) (float64, string, bool) {
			v, rest, ok := cutNumber(s)
			word := strings.ToUpper(strings.ReplaceAll(strings.TrimSpace(rest), " ", ""))
			switch strings.Trim(strings.TrimPrefix(strings.Trim(word, "°."), "DEG"), ".") {
			case "":
				return v, "", ok
			case "C", "CELSIUS":
				return v, "°C", ok
			case "F", "FAHRENHEIT":
				return v, "°F", ok
			}
			return 0, "", false
		})
		if !ok {
			return b, bad(c.Text, want)
		}
		if one.scale(sign); sign < 0 {
			one.Low, one.High = one.High, one.Low
		}
		if one.Unit == "" {
			if one.Unit = scale; len(parts) > 1 {
				return b, bad(c.Text, want)
			}
		}
		to := &b.Celsius
		if one.Unit == "°F" {
			to = &b.Fahrenheit
		}
		if !to.Blank {
			return b, bad(c.Text, want)
		}
		*to = one
	}
	return b, nil
}

// Colon says how a dilution 1:31 is read.
type Colon uint8

// The readings of 1:31.
const (
	AskColon     Colon = iota // a [Question]
	PartsOfWater              // 1+31
	PartsInAll                // 1 part in 31, which is 1+30
)

// Parts is a dilution: so many parts of stock and of water. The stock of three parts
// such as 1+1+100 is that of the first two.
type Parts struct {
	Stock, Water float64
	Blank        bool
	Mark         string
}

// Dilution reads a dilution: 1+31, stock, neat, 10 %, 1+1+100 (stocks A and B in water),
// and 1:31 where colon says what it means or the cell itself does: 1:31 (1+31).
//
// Errors: [ErrForm]; a [Question] for 1:31, 1 to 31, 1-31 and 1/32, also among rows of
// 1+31.
func Dilution(text string, colon Colon) (Parts, error) {
	c, body, err := open(text)
	if err != nil || c.Blank {
		return Parts{Blank: c.Blank}, err
	}
	const want = "a dilution such as 1+31, stock or 10 %"
	p := Parts{Mark: c.Mark}
	switch strings.ToLower(body) {
	case "stock", "undiluted", "neat", "full strength", "full-strength", "straight", "stock solution":
		p.Stock = 1
		return p, nil
	}
	if percent, ok := cutWord(body, "%", "percent", "per cent"); ok {
		v, ok := bare(percent)
		if !ok || !(v > 0 && v <= 100) {
			return Parts{}, bad(c.Text, want)
		}
		p.Stock, p.Water = v, 100-v
		return p, nil
	}
	if a, b, ok := strings.Cut(body, "("); ok {
		inner := strings.TrimSuffix(strings.TrimSpace(b), ")")
		if q, err := Dilution(inner, AskColon); err == nil && !q.Blank {
			outer := strings.TrimSpace(a)
			if o, err := Dilution(outer, AskColon); err == nil && !o.Blank && math.Abs(o.Water/o.Stock-q.Water/q.Stock) > 1e-9*(1+q.Water/q.Stock) {
				return Parts{}, bad(c.Text, want+"; the two forms agree")
			} else if x, y, ok := pair(outer); ok && err != nil && math.Abs(y/x-q.Water/q.Stock) > 1e-9*y && math.Abs((y-x)/x-q.Water/q.Stock) > 1e-9*y {
				return Parts{}, bad(c.Text, want+"; the two forms agree")
			}
			return q, nil
		}
		return Parts{}, bad(c.Text, want)
	}
	if strings.Contains(body, "+") {
		return plusParts(c, body, p)
	}
	x, y, ok := pair(body)
	if !ok || !(x > 0 && y > 0) {
		if len(body) <= 2 && body[0] >= 'A' && body[0] <= 'Z' {
			return Parts{}, bad(c.Text, "the parts that the letter stands for, such as 1+31")
		}
		return Parts{}, bad(c.Text, want)
	}
	p.Stock = x
	switch {
	case colon == PartsOfWater:
		p.Water = y
		return p, nil
	case colon == PartsInAll && y >= x:
		p.Water = y - x
		return p, nil
	}
	readings := []string{fmt.Sprintf("%g+%g", x, y)}
	if y >= x {
		readings = append(readings, fmt.Sprintf("%g+%g, 1 part in %.4g", x, y-x, y/x))
	}
	return Parts{}, &Question{c.Text, readings, "write one of them, or say how a colon is read"}
}

// pair reads 1:31, 1 to 31, 1-31 and 1/32.
func pair(body string) (x, y float64, ok bool) {
	for _, sign := range []string{":", " to ", "-", "–", "/"} {
		if a, b, cut := strings.Cut(body, sign); cut {
			x, ok1 := plainNumber(a)
			y, ok2 := plainNumber(b)
			return x, y, ok1 && ok2
		}
	}
	return x, y, false
}

func plainNumber(s string) (float64, bool) {
	v, rest, _, ok := cutDecimal(strings.TrimSpace(s))
	return v, ok && rest == ""
}

func plusParts(c Cell, body string, p Parts) (Parts, error) {
	parts := strings.Split(body, "+")
	var v []float64
	for _, s := range parts {
		n, ok := plainNumber(s)
		if !ok {
			return Parts{}, bad(c.Text, "parts such as 1+31 or 1+1+100")
		}
		v = append(v, n)
	}
	p.Stock, p.Water = v[0], v[len(v)-1]
	if len(v) == 3 {
		p.Stock += v[1]
	}
	if len(v) > 3 || len(v) < 2 || !(p.Stock > 0) || !(p.Water >= 0) {
		return Parts{}, bad(c.Text, "parts such as 1+31 or 1+1+100")
	}
	return p, nil
}
