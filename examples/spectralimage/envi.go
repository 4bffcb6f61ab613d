package main

import (
	"encoding/binary"
	"fmt"
	"strconv"
	"strings"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/sensito/datafile"
)

// A raw cube has its shape in a text file beside it: the ENVI text header, lines of
// key = value, a value in braces over several lines. Keys used here: samples, lines, bands,
// header offset, data type, interleave, byte order, wavelength, wavelength units,
// reflectance scale factor, data ignore value. From memory.

// entries reads the lines of a header, the keys in lower case.
func entries(file string) (map[string]string, map[string]int, error) {
	b, err := command.ReadFile(file)
	if err != nil {
		return nil, nil, err
	}
	lines := strings.Split(strings.ReplaceAll(string(b), "\r\n", "\n"), "\n")
	fail := func(line int, text, want string) error {
		return datafile.Errors{&datafile.Error{File: file, Line: line, Column: 1, Field: "header", Text: text, Want: want}}
	}
	if strings.TrimSpace(strings.TrimPrefix(lines[0], "\ufeff")) != "ENVI" {
		return nil, nil, fail(1, strings.TrimSpace(lines[0][:min(len(lines[0]), 40)]), "the word ENVI on the first line of the header")
	}
	values, places := map[string]string{}, map[string]int{}
	for i := 1; i < len(lines); i++ {
		text := strings.TrimSpace(lines[i])
		if text == "" || text[0] == ';' {
			continue
		}
		key, value, ok := strings.Cut(text, "=")
		if !ok {
			return nil, nil, fail(i+1, text, "key = value")
		}
		key, value = strings.ToLower(strings.Join(strings.Fields(key), " ")), strings.TrimSpace(value)
		if values[key] != "" {
			return nil, nil, fail(i+1, text, "each key once")
		}
		places[key] = i + 1
		if strings.HasPrefix(value, "{") {
			for !strings.Contains(value, "}") {
				if i++; i == len(lines) {
					return nil, nil, fail(places[key], text, "a } at the end of what { begins")
				}
				value += " " + strings.TrimSpace(lines[i])
			}
			value, _, _ = strings.Cut(value[1:], "}")
			value = strings.TrimSpace(value)
		}
		values[key] = value
	}
	return values, places, nil
}

func (c *cubeFile) readHeader(file string) error {
	values, places, err := entries(file)
	if err != nil {
		return err
	}
	fail := func(key, want string) error {
		return datafile.Errors{&datafile.Error{File: file, Line: max(places[key], 1), Column: 1, Field: key, Text: values[key], Want: want}}
	}
	for _, w := range []struct {
		key  string
		to   *int
		must bool
	}{{"samples", &c.columns, true}, {"lines", &c.rows, true}, {"bands", &c.bands, true}} {
		if *w.to, err = strconv.Atoi(values[w.key]); err != nil || *w.to < 1 {
			return fail(w.key, "a number of "+w.key)
		}
	}
	code, err := strconv.Atoi(values["data type"])
	n, there := numbers[code]
	if err != nil || !there {
		return fail("data type", "1, 2, 3, 4, 5, 12 or 13: uint8, int16, int32, float32, float64, uint16, uint32")
	}
	c.number = n
	if c.interleave = strings.ToLower(values["interleave"]); !known(c.interleave) {
		return fail("interleave", "bip, bil or bsq")
	}
	switch values["byte order"] {
	case "0":
		c.order = binary.LittleEndian
	case "1":
		c.order = binary.BigEndian
	default:
		if c.number.size > 1 {
			return fail("byte order", "0 for the low byte first, 1 for the high byte")
		}
	}
	if text := values["header offset"]; text != "" {
		if c.offset, err = strconv.ParseInt(text, 10, 64); err != nil || c.offset < 0 {
			return fail("header offset", "a number of bytes")
		}
	}
	if text := values["data ignore value"]; text != "" && !strings.EqualFold(text, "nan") { // NaN is no data anyhow
		v, ok := datafile.ParseNumber(text)
		if !ok {
			return fail("data ignore value", "a number")
		}
		c.ignore = v
	}
	if text := values["reflectance scale factor"]; text != "" {
		f, ok := datafile.ParseNumber(text)
		if !ok || !(f > 0 && f < 1e12) {
			return fail("reflectance scale factor", "a number above 0, by which the values are divided")
		}
		c.scale = 1 / f
	}
	return c.readWavelengths(values, fail)
}

func (c *cubeFile) readWavelengths(values map[string]string, fail func(key, want string) error) error {
	text := values["wavelength"]
	if text == "" {
		return nil
	}
	unit := 1.0
	switch u := strings.ToLower(values["wavelength units"]); u {
	case "nanometers", "nanometres", "nm":
	case "micrometers", "micrometres", "um", "μm", "microns":
		unit = 1000
	default:
		return fail("wavelength units", "Nanometers or Micrometers")
	}
	for _, s := range strings.Split(text, ",") {
		v, ok := datafile.ParseNumber(strings.TrimSpace(s))
		if !ok {
			return fail("wavelength", fmt.Sprintf("numbers; %q is none", strings.TrimSpace(s)))
		}
		c.nm = append(c.nm, v*unit)
	}
	if len(c.nm) != c.bands {
		return fail("wavelength", fmt.Sprintf("%d wavelengths for as many bands, there are %d", c.bands, len(c.nm)))
	}
	return nil
}
