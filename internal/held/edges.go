package held

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// Few in a pool says that the functions are slow: each is called a few times only, and no
// edges are looked for.
type Few struct{}

const (
	mostTries  = 1500 // calls of a function in search of edges
	mostEdges  = 4    // recorded of a number
	mostWhole  = 5000
	deepFields = 2 // fields of fields that are tried
)

// place is a number in the arguments of a function: one of them, or in a field or element of one.
type place struct {
	arg  int
	path []int // fields and elements to go through
	name string
}

// edges finds where a number in the arguments makes the function say something else: the bounds of what it
// takes, and where its verdicts change. An edge is recorded with the side that it belongs to itself where it is a
// number of six digits.
func (d *drive) edges(name string, f reflect.Value, first []reflect.Value) {
	var places []place
	for i, v := range first {
		places = numbersIn(places, v, place{arg: i, name: fmt.Sprintf("argument %d", i+1)}, 0)
	}
	tries := mostTries
	for _, p := range places {
		at := first[p.arg]
		base := number64(through(at, p.path))
		said := func(x float64) string {
			tries--
			in := slices.Clone(first)
			in[p.arg] = with(at, p.path, x)
			return d.kind(f, in)
		}
		whole := through(at, p.path).Kind() != reflect.Float64 && through(at, p.path).Kind() != reflect.Float32
		var xs []float64
		for _, x := range grid(base) {
			if whole {
				if x = math.Round(x); math.Abs(x) > mostWhole {
					continue // a count that takes long
				}
			}
			xs = append(xs, x)
		}
		slices.Sort(xs)
		found := 0
		xs = slices.Compact(xs)
		for i, was := 1, said(xs[0]); i < len(xs) && found < mostEdges && tries > 0; i++ {
			is := said(xs[i])
			if is != was {
				d.edge(name+", "+p.name, said, xs[i-1], xs[i], was, whole)
				found++
			}
			was = is
		}
	}
}

// edge closes in on the number between low and high from which on something else than was is said.
func (d *drive) edge(name string, said func(float64) string, low, high float64, was string, whole bool) {
	for range 70 {
		mid := low + (high-low)/2
		if whole {
			mid = math.Round(mid)
		}
		if mid <= low || mid >= high || high-low <= 1e-11*math.Max(math.Abs(low), math.Abs(high)) {
			break
		}
		if said(mid) == was {
			low = mid
		} else {
			high = mid
		}
	}
	is := said(math.Nextafter(high, math.Inf(1)))
	if whole {
		is = said(high)
	}
	if math.Abs(high) < 1e-15 {
		high = 0
	}
	text := strconv.FormatFloat(high, 'g', 6, 64)
	round, err := strconv.ParseFloat(text, 64)
	side := ""
	if err == nil && !whole && math.Abs(round-high) <= 1e-9*math.Abs(high)+1e-12 {
		if side = " and above"; said(round) == was {
			side = " excluded"
		}
	}
	d.r.Refused(name, fmt.Errorf("from %s%s: %s", text, side, short(is, len(is))))
}

// kind is what a function says without its numbers.
func (d *drive) kind(f reflect.Value, in []reflect.Value) string {
	texts, numbers := d.texts, d.numbers
	d.texts, d.numbers, d.made = nil, nil, map[reflect.Type][]reflect.Value{}
	d.call("", f, in)
	seen := d.texts
	d.texts, d.numbers = texts, numbers
	return Numbers.ReplaceAllString(strings.Join(seen[:min(len(seen), longest)], "; "), "#")
}

// grid is where to try a number: at powers of ten, and about what it is.
func grid(base float64) []float64 {
	out := []float64{0, base}
	for _, k := range []float64{0.1, 0.3, 0.5, 0.7, 0.9, 1.1, 1.4, 2, 3, 6} {
		if base != 0 {
			out = append(out, base*k)
		}
	}
	for e := -9; e <= 9; e++ {
		for _, k := range []float64{1.3, 4.1} {
			x := k * math.Pow10(e)
			if out = append(out, x); e > -4 && e < 5 {
				out = append(out, -x)
			}
		}
	}
	return out
}

// numbersIn appends the places of the numbers in a value: itself, its exported fields, the middle
// of its elements.
func numbersIn(out []place, v reflect.Value, at place, deep int) []place {
	go1 := func(i int, name string, v reflect.Value) {
		out = numbersIn(out, v, place{at.arg, append(slices.Clone(at.path), i), at.name + name}, deep+1)
	}
	switch k := v.Kind(); {
	case k == reflect.Float64 || k == reflect.Float32 || k >= reflect.Int && k <= reflect.Int64:
		return append(out, at)
	case deep == deepFields:
	case k == reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				go1(i, "."+v.Type().Field(i).Name, v.Field(i))
			}
		}
	case k == reflect.Slice && v.Len() > 0:
		go1(v.Len()/2, fmt.Sprintf("[%d]", v.Len()/2), v.Index(v.Len()/2))
	}
	return out
}

// through is what lies at the end of a path.
func through(v reflect.Value, path []int) reflect.Value {
	for _, i := range path {
		if v.Kind() == reflect.Slice {
			v = v.Index(i)
		} else {
			v = v.Field(i)
		}
	}
	return v
}

// with is a copy of v with a number x at the end of path.
func with(v reflect.Value, path []int, x float64) reflect.Value {
	c := reflect.New(v.Type()).Elem()
	c.Set(v)
	if c.Kind() == reflect.Slice && len(path) > 0 {
		c.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
		reflect.Copy(c, v)
	}
	if len(path) == 0 {
		if c.CanFloat() {
			c.SetFloat(x)
		} else {
			c.SetInt(int64(x))
		}
		return c
	}
	inner := through(c, path[:1])
	inner.Set(with(inner, path[1:], x))
	return c
}

func number64(v reflect.Value) float64 {
	if v.CanFloat() {
		return v.Float()
	}
	return float64(v.Int())
}
