package held

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"maps"
	"reflect"
	"slices"
	"strconv"
)

// Reads reads the JSON of values, of types that have a method to read it, as it is written and then with one thing
// in it changed: a member without value, of another kind, negative, huge, gone. What is read of JSON that the type
// wrote must write the same again. What comes of the others is recorded: the sentence of the refusal, or a sum
// of what was read, written again.
func (r *Record) Reads(values ...any) {
	r.t.Helper()
	for _, v := range values {
		d := &drive{r: r}
		text, err := json.Marshal(v)
		if err != nil {
			r.t.Errorf("%T: %v", v, err)
			continue
		}
		if again := d.reread(reflect.ValueOf(v), text); again != nil && !bytes.Equal(again, text) {
			r.t.Errorf("%T: %s was read and is now %s", v, text, again)
		}
		for _, changed := range variantsOf(text) {
			d.reread(reflect.ValueOf(v), changed)
		}
		d.write(fmt.Sprintf("%T in JSON", v))
	}
}

// reread reads a text into a variable that holds v, and writes it again; nil where it is refused.
func (d *drive) reread(v reflect.Value, text []byte) []byte {
	into := reflect.New(v.Type())
	into.Elem().Set(cloned(v))
	err := json.Unmarshal(text, into.Interface())
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) {
		d.text("of a wrong kind") // how package json says it differs with its version
		return nil
	} else if err != nil {
		d.text(err.Error())
		return nil
	}
	again, err := json.Marshal(into.Elem().Interface())
	if err != nil {
		d.text("read, but not written: " + err.Error())
		return nil
	}
	d.text("read")
	d.number(float64(crc32.ChecksumIEEE(Numbers.ReplaceAll(again, []byte("#")))))
	for _, n := range Numbers.FindAll(again, -1) {
		if v, err := strconv.ParseFloat(string(n), 64); err == nil {
			d.number(v)
		}
	}
	return again
}

// instead are what a value in JSON is exchanged for.
var instead = []any{nil, "", "x", "12.5", -1.0, 0.0, 0.5, 3.0, 1e12, 1e300, true, []any{}, map[string]any{}}

// variantsOf are the JSON with each value in it exchanged in turn, and each member and first element gone.
// Of the elements of an array only the first two are changed.
func variantsOf(text []byte) (out [][]byte) {
	var whole any
	if json.Unmarshal(text, &whole) != nil {
		return nil
	}
	emit := func() {
		changed, _ := json.Marshal(whole)
		out = append(out, changed)
	}
	var walk func(v any, set func(any))
	walk = func(v any, set func(any)) {
		for _, other := range instead {
			set(other)
			emit()
		}
		set(v)
		switch v := v.(type) {
		case map[string]any:
			for _, k := range slices.Sorted(maps.Keys(v)) {
				was := v[k]
				delete(v, k)
				emit()
				walk(was, func(w any) { v[k] = w })
			}
		case []any:
			if len(v) > 0 {
				set(v[1:])
				emit()
				set(v)
			}
			for i := range min(len(v), 2) {
				walk(v[i], func(w any) { v[i] = w })
			}
		}
	}
	walk(whole, func(w any) { whole = w })
	return out
}
