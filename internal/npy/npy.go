// Package npy reads and writes the headers of NumPy arrays, versions 1.0 and 2.0, for
// plain little-endian numbers in C order: spectral images and pictures are stored so.
// After the format's description in NumPy's documentation (numpy.lib.format).
//
// There is a Go library for the format. Its versions that build with this module's
// Go take the header by position and panic on one that is cut or in another order,
// and they read and write whole arrays only, where a program may hold a few rows of
// an array that does not fit in memory. What is left to write is a header.
package npy

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

var magic = []byte("\x93NUMPY")

const headerMost = 1 << 16 // what a header of our three entries can never need

// The types of numbers that are read here, as the header names them.
const (
	Uint16  = "<u2"
	Float32 = "<f4"
	Float64 = "<f8"
)

// Size returns the bytes of a number, 0 for a type that is not read here.
func Size(descr string) int {
	switch descr {
	case Uint16:
		return 2
	case Float32:
		return 4
	case Float64:
		return 8
	}
	return 0
}

// ReadHeader reads the header and leaves r at the first number. descr is the type of
// the numbers as the header names it: whether it is wanted is the caller's to say.
func ReadHeader(r io.Reader) (descr string, shape []int, err error) {
	var head [8]byte
	if _, err := io.ReadFull(r, head[:]); err != nil || !bytes.Equal(head[:6], magic) {
		return "", nil, errors.New("not a NumPy file; write it with numpy.save(name, array)")
	}
	var n uint32
	switch version := head[6:8]; {
	case version[0] == 1 && version[1] == 0:
		var b [2]byte
		if _, err := io.ReadFull(r, b[:]); err != nil {
			return "", nil, errors.New("the NumPy header is cut short")
		}
		n = uint32(binary.LittleEndian.Uint16(b[:]))
	case version[0] == 2 && version[1] == 0:
		var b [4]byte
		if _, err := io.ReadFull(r, b[:]); err != nil {
			return "", nil, errors.New("the NumPy header is cut short")
		}
		n = binary.LittleEndian.Uint32(b[:])
	default:
		return "", nil, fmt.Errorf("NumPy format %d.%d; read are 1.0 and 2.0, which numpy.save writes for plain arrays",
			version[0], version[1])
	}
	if n > headerMost {
		return "", nil, fmt.Errorf("a NumPy header of more than %d bytes is none of a plain array of numbers", headerMost)
	}
	text := make([]byte, n)
	if _, err := io.ReadFull(r, text); err != nil {
		return "", nil, errors.New("the NumPy header is cut short")
	}
	return parseHeader(string(text))
}

// parseHeader reads the dictionary: descr, fortran_order and shape, once each, in
// any order.
func parseHeader(s string) (descr string, shape []int, err error) {
	bad := func(what string) error {
		return fmt.Errorf("the NumPy header %q has %s; write the file with numpy.save(name, array)",
			strings.TrimRight(s[:min(len(s), 200)], " \n"), what)
	}
	rest := strings.TrimSpace(s)
	take := func(token string) bool {
		t, ok := strings.CutPrefix(strings.TrimLeft(rest, " "), token)
		if ok {
			rest = t
		}
		return ok
	}
	quoted := func() (string, bool) {
		for _, q := range []string{"'", `"`} {
			if take(q) {
				v, after, ok := strings.Cut(rest, q)
				rest = after
				return v, ok
			}
		}
		return "", false
	}
	if !take("{") {
		return "", nil, bad("no dictionary")
	}
	var seen []string
	for !take("}") {
		key, ok := quoted()
		if !ok || !take(":") {
			return "", nil, bad("no key where one should be")
		}
		if slices.Contains(seen, key) {
			return "", nil, bad("two entries " + strconv.Quote(key))
		}
		seen = append(seen, key)
		switch key {
		case "descr":
			v, ok := quoted()
			if !ok {
				return "", nil, bad("values that are not plain numbers")
			}
			if Size(v) == 0 {
				return "", nil, fmt.Errorf("the numbers are of type %q, wanted little-endian uint16, float32 or float64: numpy.save(name, array.astype('<f4'))", v)
			}
			descr = v
		case "fortran_order":
			switch {
			case take("False"):
			case take("True"):
				return "", nil, errors.New("the array is in Fortran order: numpy.save(name, numpy.ascontiguousarray(array))")
			default:
				return "", nil, bad("no True or False for the order")
			}
		case "shape":
			if !take("(") {
				return "", nil, bad("no shape in brackets")
			}
			shape = []int{}
			for !take(")") {
				rest = strings.TrimLeft(rest, " ")
				i := 0
				for i < len(rest) && rest[i] >= '0' && rest[i] <= '9' {
					i++
				}
				n, err := strconv.Atoi(rest[:i])
				if err != nil {
					return "", nil, bad("a length that is no number")
				}
				shape, rest = append(shape, n), rest[i:]
				if !take(",") && !strings.HasPrefix(strings.TrimLeft(rest, " "), ")") {
					return "", nil, bad("a shape without commas")
				}
			}
		default:
			return "", nil, bad("an entry " + strconv.Quote(key))
		}
		if !take(",") && !strings.HasPrefix(strings.TrimLeft(rest, " "), "}") {
			return "", nil, bad("entries without a comma between them")
		}
	}
	if len(seen) != 3 {
		return "", nil, bad("not all of descr, fortran_order and shape")
	}
	if strings.TrimSpace(rest) != "" {
		return "", nil, bad("something after it")
	}
	if _, err := Elements(shape); err != nil {
		return "", nil, err
	}
	return descr, shape, nil
}

// Elements returns the number of values of an array, with room left to count their
// bytes.
func Elements(shape []int) (int, error) {
	n := 1
	for _, s := range shape {
		if s != 0 && n > math.MaxInt/8/s {
			return 0, fmt.Errorf("an array of %v has more values than there can be", shape)
		}
		n *= s
	}
	return n, nil
}

// Header returns the header of an array: 1.0, padded so that the numbers start at
// a multiple of 64.
func Header(descr string, shape ...int) []byte {
	lengths := make([]string, len(shape))
	for i, n := range shape {
		lengths[i] = strconv.Itoa(n) + ","
	}
	dict := "{'descr': '" + descr + "', 'fortran_order': False, 'shape': (" + strings.Join(lengths, " ") + "), }"
	n := (len(magic)+4+len(dict)+1+63)&^63 - len(magic) - 4
	dict += strings.Repeat(" ", n-len(dict)-1) + "\n"
	h := append(slices.Clone(magic), 1, 0)
	return append(binary.LittleEndian.AppendUint16(h, uint16(n)), dict...)
}

// ReadFloats fills x with float32; raw is room for as many bytes.
func ReadFloats(r io.Reader, x []float32, raw []byte) error {
	raw = raw[:4*len(x)]
	if _, err := io.ReadFull(r, raw); err != nil {
		return err
	}
	for i := range x {
		x[i] = math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:]))
	}
	return nil
}

// WriteFloats writes x as float32.
func WriteFloats(w io.Writer, x []float32, raw []byte) error {
	raw = raw[:4*len(x)]
	for i, v := range x {
		binary.LittleEndian.PutUint32(raw[4*i:], math.Float32bits(v))
	}
	_, err := w.Write(raw)
	return err
}
