package npy

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
)

func TestHeader(t *testing.T) {
	said := held.New(t)
	for _, r := range []struct {
		text  string
		shape []int // nil for refused
	}{
		// As numpy 1.24 writes it.
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (480, 720, 31), }                                          \n", []int{480, 720, 31}},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (5,), }\n", []int{5}},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (), }\n", []int{}},
		{`{"shape":(2,3),"fortran_order":False,"descr":"<f4"}`, []int{2, 3}},
		{"", nil},
		{"{}", nil},
		{"{'descr': '<f4', 'fortran_order': False}", nil},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (2 3)}", nil},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (-2, 3)}", nil},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (2, 3), 'shape': (2, 3)}", nil},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (2, 3), 'more': 1}", nil},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (2, 3)} x", nil},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (4294967296, 4294967296)}", nil},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (99999999999999999999,)}", nil},
		{"{'descr': [('r', '<f4')], 'fortran_order': False, 'shape': (2,)}", nil},
		{"{'descr': '<u2', 'fortran_order': False, 'shape': (2,)}", []int{2}},
		{"{'descr': '<f8', 'fortran_order': False, 'shape': (2,)}", []int{2}},
		{"{'descr': '<i2', 'fortran_order': False, 'shape': (2,)}", nil},
		{"{'descr': '>f4', 'fortran_order': False, 'shape': (2,)}", nil},
		{"{'descr': '<f4', 'fortran_order': 0, 'shape': (2,)}", nil},
		{"{'descr': '<f4', 'fortran_order': True, 'shape': (2,)}", nil},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': 2}", nil},
		{"{'descr': '<f4' 'fortran_order': False, 'shape': (2,)}", nil},
		{"{'descr': '<f4', fortran_order: False, 'shape': (2,)}", nil},
		{"{'descr': '<f4', 'fortran_order', 'shape': (2,)}", nil},
		{"{'descr': '<f4, 'fortran_order': False, 'shape': (2,)}", nil},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (2,)", nil},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (12", nil},     // digits to the end
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (1:2,)}", nil}, // the signs beside the digits
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (1/2,)}", nil},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (0, 9 )}", []int{0, 9}},
		{"{'descr': '<f4', 'fortran_order': False, 'shape': (2,), " + strings.Repeat("'x'", 100) + "}", nil}, // quoted to 200 bytes
	} {
		_, shape, err := parseHeader(r.text)
		if err != nil {
			said.Refused(r.text, err)
		}
		if r.shape == nil && err == nil || r.shape != nil && (err != nil || !slices.Equal(shape, r.shape)) {
			t.Errorf("%q: %v, %v, want %v", r.text, shape, err, r.shape)
		}
	}
	// Version 2.0, and those there are not.
	body := "{'descr': '<f4', 'fortran_order': False, 'shape': (2,), }\n"
	two := "\x93NUMPY\x02\x00" + string([]byte{byte(len(body)), 0, 0, 0}) + body
	if _, shape, err := ReadHeader(strings.NewReader(two)); err != nil || !slices.Equal(shape, []int{2}) {
		t.Errorf("version 2.0: %v, %v", shape, err)
	}
	for _, s := range []string{"\x93NUMPY\x03\x00\x00\x00", "\x93NUMPY\x02\x00\xff\xff\xff\xff", "\x93NUMPY\x02\x00\x01", "\x93NUMPY\x01\x00\x01", "\x93NUM"} {
		if _, _, err := ReadHeader(strings.NewReader(s)); !said.Refused("", err) {
			t.Errorf("%q accepted", s)
		}
	}
}

func FuzzHeader(f *testing.F) {
	f.Add(Header(Float32, 3, 4, 5))
	f.Add(Header(Float32))
	f.Add([]byte("\x93NUMPY\x02\x00\x40\x00\x00\x00{\"shape\":(2,3),\"fortran_order\":False,\"descr\":\"<f4\"}"))
	f.Fuzz(func(t *testing.T, b []byte) {
		descr, shape, err := ReadHeader(bytes.NewReader(b))
		if err != nil {
			return
		}
		if len(fmt.Sprint(shape)) > 60000 {
			return // more dimensions than the version we write has room for
		}
		same, again, err := ReadHeader(bytes.NewReader(Header(descr, shape...)))
		if err != nil || same != descr || !slices.Equal(shape, again) {
			t.Errorf("%v, written and read: %v, %v", shape, again, err)
		}
	})
}
