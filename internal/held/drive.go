package held

import (
	"bytes"
	"cmp"
	"encoding"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"maps"
	"math"
	"reflect"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Drive calls functions, a method as the function of its receiver (Curve.At), with many arguments, and
// records what comes back: a sentence of each kind with how many there were, numbers as sums. A parameter takes the values of its type in
// pool, else what other functions returned, else typical and impossible ones; each is varied alone, and a sample
// of all combinations follows; where a number in the first of them makes the function say something else is found
// and recorded. What is returned is looked into: fields and elements. A function with a
// parameter for which there is no value is recorded as not called; one that panics fails the test.
//
// Sentences that differ in their numbers alone are of one kind, and these numbers are summed with the others. A
// sum is of sixteen numbers in order, or more, each as sign(v)·ln(1 + 10⁶·|v|) with a weight of its own, so that noise
// near 0 does not show and a change of a part in a thousand does. Driving says what a package
// did, not that it is right.
func (r *Record) Drive(functions []any, pool ...any) {
	r.t.Helper()
	d := &drive{r: r, pool: map[reflect.Type][]reflect.Value{}}
	for _, v := range pool {
		d.pool[reflect.TypeOf(v)] = append(d.pool[reflect.TypeOf(v)], reflect.ValueOf(v))
	}
	left := functions
	for zero := false; len(left) > 0; {
		var wait []any
		for _, f := range left {
			if args, missing := d.arguments(reflect.TypeOf(f), zero); missing == nil {
				d.function(nameOf(f), reflect.ValueOf(f), args)
			} else {
				wait = append(wait, f)
			}
		}
		if len(wait) == len(left) {
			if zero {
				break
			}
			zero = true // nobody makes these structs: their zero values do
		}
		left = wait
	}
	for _, f := range left {
		_, missing := d.arguments(reflect.TypeOf(f), true)
		r.add(nameOf(f), "not called, for want of a "+missing.String())
	}
}

// Preconditions in a pool says that functions may panic: those of internal packages, whose callers see to it
// that lengths agree.
type Preconditions struct{}

// Summed in a pool says that of the kinds of sentences that are too many to be recorded there is a sum.
type Summed struct{}

// Look records one value as [Record.Drive] records results: words and sums of numbers.
func (r *Record) Look(name string, value any) {
	d := &drive{r: r, longest: 100 * longest}
	d.look(reflect.ValueOf(value))
	d.write(name)
}

// nameOf is the name of a function without the path of its package.
func nameOf(f any) string {
	name := runtime.FuncForPC(reflect.ValueOf(f).Pointer()).Name()
	_, name, _ = strings.Cut(name[strings.LastIndexByte(name, '/')+1:], ".")
	return strings.TrimSuffix(name, "-fm")
}

const (
	mostCalls  = 160 // of a function
	mostTexts  = 300 // kinds of sentences recorded of a function
	mostValues = 3   // kept of what functions return, for others to take
	longest    = 40  // elements of a slice that are looked at; of one that is given to Look a hundred times as many
	inSum      = 16  // numbers in a sum, more if there were more than mostSums
	mostSums   = 60
	longText   = 240 // bytes of a text; of a longer one the beginning is recorded
)

// drive is one call of Drive.
type drive struct {
	r       *Record
	pool    map[reflect.Type][]reflect.Value
	made    map[reflect.Type][]reflect.Value // by the function that is being called
	texts   []string
	numbers []float64
	longest int // 0 for the usual
}

// function calls f and records its results under name.
func (d *drive) function(name string, f reflect.Value, args [][]reflect.Value) {
	d.made = map[reflect.Type][]reflect.Value{}
	all := calls(args)
	if few := d.pool[reflect.TypeFor[Few]()] != nil; few {
		all = all[:min(len(all), 20)]
	} else if len(args) > 0 {
		d.edges(name, f, all[0])
		d.made = map[reflect.Type][]reflect.Value{}
	}
	for _, in := range all {
		d.call(name, f, in)
	}
	for of, values := range d.made {
		if d.pool[of] == nil {
			if of.Kind() == reflect.Struct {
				values = append(values, reflect.Zero(of))
			}
			d.pool[of] = values
		}
	}
	d.write(name)
}

// call calls f once and looks into what it returns.
func (d *drive) call(name string, f reflect.Value, in []reflect.Value) {
	defer func() {
		if p := recover(); p != nil {
			if _, ok := d.pool[reflect.TypeFor[Preconditions]()]; !ok {
				d.r.t.Errorf("%s%v panics: %v", name, in, p)
			}
			d.text("panics")
		}
	}()
	own := make([]reflect.Value, len(in))
	for i, v := range in {
		own[i] = cloned(v)
	}
	out := f.Call(own)
	for i, v := range own {
		if !reflect.DeepEqual(v.Interface(), in[i].Interface()) && v.Kind() != reflect.Func {
			d.look(v) // what it wrote there
		}
	}
	failed := len(out) > 1 && out[len(out)-1].Type() == reflect.TypeFor[error]() && !out[len(out)-1].IsNil()
	for _, v := range in {
		if b, ok := v.Interface().(*bytes.Buffer); ok {
			d.text(b.String())
			b.Reset()
		}
	}
	for _, v := range out {
		d.look(v)
		if !failed && d.keeps(v) && len(d.made[v.Type()]) < mostValues {
			d.made[v.Type()] = append(d.made[v.Type()], v)
		}
	}
}

// cloned copies what a function may write to: the elements of slices, also those in exported fields.
func cloned(v reflect.Value) reflect.Value {
	switch v.Kind() {
	case reflect.Slice:
		if v.IsNil() {
			return v
		}
		c := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		for i := range v.Len() {
			c.Index(i).Set(cloned(v.Index(i)))
		}
		return c
	case reflect.Struct:
		c := reflect.New(v.Type()).Elem()
		c.Set(v)
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				c.Field(i).Set(cloned(v.Field(i)))
			}
		}
		return c
	}
	return v
}

// keeps reports whether a result is kept for others to take: what a user cannot write down.
func (d *drive) keeps(v reflect.Value) bool {
	t := v.Type()
	if t.Kind() == reflect.Pointer {
		return !v.IsNil() && t.Elem().Kind() == reflect.Struct
	}
	return t.Kind() == reflect.Struct || t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.Struct && v.Len() > 0
}

// arguments are the values of each parameter; missing is the type of one that has none.
func (d *drive) arguments(f reflect.Type, zero bool) (args [][]reflect.Value, missing reflect.Type) {
	for i := range f.NumIn() {
		t := f.In(i)
		if f.IsVariadic() && i == f.NumIn()-1 {
			t = t.Elem()
		}
		values := d.valuesOf(t)
		if zero && values == nil && t.Kind() == reflect.Struct {
			values = []reflect.Value{reflect.Zero(t)}
		}
		if len(values) == 0 {
			return nil, t
		}
		args = append(args, values)
	}
	return args, nil
}

func (d *drive) valuesOf(t reflect.Type) []reflect.Value {
	if values := d.pool[t]; values != nil {
		return values
	}
	var out []reflect.Value
	if t == reflect.TypeFor[error]() {
		return append(out, reflect.ValueOf(errors.New("an error: of a file")))
	}
	if t.Kind() == reflect.Slice && d.pool[t.Elem()] != nil {
		all := reflect.MakeSlice(t, 0, 0)
		for _, v := range d.pool[t.Elem()] {
			all = reflect.Append(all, v)
		}
		return append(out, all, all.Slice(0, 1), reflect.Zero(t))
	}
	if t == reflect.TypeFor[io.Writer]() || t == reflect.TypeFor[io.Reader]() {
		return d.streams(t)
	}
	if t.Kind() == reflect.Interface {
		for _, of := range slices.SortedFunc(maps.Keys(d.pool), func(a, b reflect.Type) int { return cmp.Compare(a.String(), b.String()) }) {
			if of.Implements(t) && t.NumMethod() > 0 {
				out = append(out, d.pool[of]...)
			}
		}
		return out
	}
	convert := func(values ...any) []reflect.Value {
		for _, v := range values {
			out = append(out, reflect.ValueOf(v).Convert(t))
		}
		return out
	}
	switch {
	case t == reflect.TypeFor[time.Duration]():
		return convert(time.Second, time.Duration(-1), time.Duration(0), time.Duration(1), 20*time.Millisecond, 90*time.Second, time.Hour)
	case t.Kind() == reflect.Float64 || t.Kind() == reflect.Float32:
		return convert(0.7, -1.0, -0.2, 0.0, 0.05, 0.3, 1.0, 2.5, 12.0, 100.0, 550.0, 1e4, math.NaN(), math.Inf(1), math.Inf(-1))
	case t.Kind() == reflect.Bool:
		return convert(true, false)
	case t.Kind() == reflect.String || t == reflect.TypeFor[[]byte]():
		return convert("a", "", "1/2", "12.5", "two words", "-3", "Ä\n")
	case t.Kind() >= reflect.Int && t.Kind() <= reflect.Int64:
		return convert(3, -1, 0, 1, 2, 7, 100)
	case t.Kind() >= reflect.Uint && t.Kind() <= reflect.Uint64:
		return convert(1, 0, 2, 3, 7, 100)
	case t.ConvertibleTo(reflect.TypeFor[[]float64]()) && t.Kind() == reflect.Slice:
		return convert([]float64{0.1, 0.4, 0.5, 1.2, 3, 3.5, 8}, []float64(nil), []float64{2}, []float64{3, 1}, []float64{-1, 0, 1, 1},
			[]float64{1, math.NaN()}, []float64{400, 500, 600, 700})
	}
	return nil
}

// streams are readers of the texts of pool, fresh ones each, and a writer.
func (d *drive) streams(t reflect.Type) (out []reflect.Value) {
	if t == reflect.TypeFor[io.Writer]() {
		return []reflect.Value{reflect.ValueOf(&bytes.Buffer{})}
	}
	for _, v := range d.pool[reflect.TypeFor[[]byte]()] {
		out = append(out, reflect.ValueOf(&stream{text: v.Bytes()}))
	}
	return append(out, reflect.ValueOf(&stream{}), reflect.ValueOf(&stream{text: []byte("a,b\n1,2\n")}))
}

// stream reads its text again and again: at its end it begins anew.
type stream struct {
	text []byte
	at   int
}

func (s *stream) Read(p []byte) (int, error) {
	if s.at == len(s.text) {
		s.at = 0
		return 0, io.EOF
	}
	n := copy(p, s.text[s.at:])
	s.at += n
	return n, nil
}

// calls varies each argument alone beside the first of the others, then takes every so many-th of all
// combinations.
func calls(args [][]reflect.Value) [][]reflect.Value {
	first := make([]reflect.Value, len(args))
	total := int64(1)
	for i, values := range args {
		first[i] = values[0]
		total = min(total*int64(len(values)), 1<<40)
	}
	out := [][]reflect.Value{first}
	for i, values := range args {
		for _, v := range values[1:] {
			in := slices.Clone(first)
			in[i] = v
			out = append(out, in)
		}
	}
	if len(args) < 2 || len(out) >= mostCalls {
		return out
	}
	n := min(int64(mostCalls-len(out)), total)
	for k := range n {
		at := k*(total/n) + k%7%max(1, total/n)
		in := slices.Clone(first)
		for i, values := range args {
			in[i] = values[at%int64(len(values))]
			at /= int64(len(values))
		}
		out = append(out, in)
	}
	return out
}

// look takes the words and numbers of a result.
func (d *drive) look(v reflect.Value) {
	if !v.IsValid() || v.Kind() == reflect.Func || v.Kind() == reflect.Chan {
		return
	}
	if (v.Kind() == reflect.Pointer || v.Kind() == reflect.Interface) && v.IsNil() {
		d.text("nil")
		return
	}
	if v.CanInterface() {
		switch x := v.Interface().(type) {
		case error:
			d.text(x.Error())
			return
		case time.Duration:
			d.number(x.Seconds())
			return
		case fmt.Stringer:
			d.text(x.String())
		case encoding.TextMarshaler:
			text, err := x.MarshalText()
			d.text(fmt.Sprintf("%s %v", text, err))
		}
	}
	switch v.Kind() {
	case reflect.Float32, reflect.Float64:
		d.number(v.Float())
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		d.number(float64(v.Int()))
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		d.number(float64(v.Uint()))
	case reflect.Bool:
		d.text(fmt.Sprint(v.Bool()))
	case reflect.String:
		d.text(v.String())
	case reflect.Slice, reflect.Array:
		if v.Type().Elem().Kind() == reflect.Uint8 {
			d.text(fmt.Sprintf("%s", v))
			return
		}
		d.number(float64(v.Len()))
		for i := range min(v.Len(), cmp.Or(d.longest, longest)) {
			d.look(v.Index(i))
		}
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return cmp.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
		for _, k := range keys {
			d.text(fmt.Sprint(k))
			d.look(v.MapIndex(k))
		}
	case reflect.Interface:
		d.look(v.Elem())
	case reflect.Pointer, reflect.Struct:
		d.inside(v)
	}
}

// inside looks into the exported fields of a struct.
func (d *drive) inside(v reflect.Value) {
	if v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	if v.Kind() != reflect.Struct {
		d.look(v)
		return
	}
	for i := range v.NumField() {
		if v.Type().Field(i).IsExported() {
			d.look(v.Field(i))
		}
	}
}

func (d *drive) text(s string) {
	d.texts = append(d.texts, s)
	for _, n := range Numbers.FindAllString(hash.ReplaceAllString(s, ""), -1) {
		if v, err := strconv.ParseFloat(n, 64); err == nil {
			d.number(v)
		}
	}
}

func (d *drive) number(v float64) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		d.text(fmt.Sprint(v))
		v = 0
	}
	d.numbers = append(d.numbers, math.Copysign(math.Log1p(1e6*math.Abs(v)), v))
}

// write records what was seen, and forgets it.
func (d *drive) write(name string) {
	counts := map[string]int{}
	var kinds, firsts []string
	for _, s := range d.texts {
		kind := Numbers.ReplaceAllString(s, "#")
		if counts[kind]++; counts[kind] == 1 {
			kinds, firsts = append(kinds, kind), append(firsts, s)
		}
	}
	for i, kind := range kinds[:min(len(kinds), mostTexts)] {
		d.r.Refused(name, fmt.Errorf("%d × %s", counts[kind], short(firsts[i], len(kind))))
	}
	if _, sum := d.pool[reflect.TypeFor[Summed]()]; len(kinds) > mostTexts && !sum {
		d.r.add(name, fmt.Sprintf("%d other kinds of texts", len(kinds)-mostTexts))
	} else if len(kinds) > mostTexts {
		rest := crc32.NewIEEE()
		for _, kind := range kinds[mostTexts:] {
			fmt.Fprintln(rest, counts[kind], kind)
		}
		d.r.add(name, fmt.Sprintf("%d other kinds of texts, whose sum is %08x", len(kinds)-mostTexts, rest.Sum32()))
	}
	var sums []string
	step := max(inSum, len(d.numbers)/mostSums)
	for at := 0; at < len(d.numbers); at += step {
		sum := 0.0
		for i, v := range d.numbers[at:min(at+step, len(d.numbers))] {
			sum += v * (1 + float64((i*7)%inSum)/inSum)
		}
		sums = append(sums, fmt.Sprintf("%.7g", sum))
	}
	if len(sums) > 0 {
		d.r.add(name, fmt.Sprintf("%d numbers: %s", len(d.numbers), strings.Join(sums, " ")))
	}
	d.texts, d.numbers = nil, nil
}

// short is the beginning of a long text, with the length of its kind.
func short(s string, kind int) string {
	if len(s) <= longText {
		return s
	}
	return fmt.Sprintf("%s… (%d bytes and numbers)", s[:longText], kind)
}
