// Package spreadsheet reads the sheets of a workbook as tables of cells, with what the cells
// show: Office Open XML (ECMA-376 = ISO/IEC 29500, SpreadsheetML; .xlsx), as spreadsheet
// programs write it. It reads values and the simple formats of numbers, computes nothing, and
// is bounded in time and memory whatever the file claims.
package spreadsheet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"

	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed/layout"
)

// Bounds of what is taken for a manuscript.
const (
	mostSheets   = 200
	mostUnpacked = 32 << 20 // bytes, of all parts that are read
	mostStrings  = 200_000
	mostText     = 8 << 20 // bytes of shared strings
)

// Is tells whether a file is a workbook, or what a program for workbooks makes otherwise: an
// older or locked one.
func Is(content []byte) bool {
	return bytes.HasPrefix(content, []byte("PK\x03\x04")) || bytes.HasPrefix(content, compound)
}

// compound begins a compound file, as older workbooks and locked ones are.
var compound = []byte{0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1}

// Read reads all sheets of a workbook that hold a text; each is a table, named as its sheet.
// Lines and columns of its cells count from 1, as the sheet does.
//
// A cell that has become a date, and one whose formula has no value, says so in words.
//
// Errors: [datafile.Errors], for a file that is no such workbook, and for more than a printed
// table has.
func Read(content []byte, file string) ([]*layout.Table, error) {
	b := &book{file: file, left: mostUnpacked}
	tables, err := b.read(content)
	var known datafile.Errors
	if err != nil && !errors.As(err, &known) {
		err = datafile.Errors{{File: file, Want: err.Error()}}
	}
	return tables, err
}

type book struct {
	file    string
	parts   map[string]*zip.File
	left    int64 // bytes that may still be unpacked
	strings []string
	formats []string // of numbers, by style
}

func (b *book) read(content []byte) ([]*layout.Table, error) {
	if bytes.HasPrefix(content, compound) {
		return nil, errors.New("a workbook saved as .xlsx, without a password; this is an older or a locked one")
	}
	z, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		return nil, fmt.Errorf("a whole workbook, .xlsx (%v)", err)
	}
	b.parts = map[string]*zip.File{}
	for _, f := range z.File {
		name := strings.TrimPrefix(f.Name, "/")
		if b.parts[name] == nil {
			b.parts[name] = f
		}
	}
	start := "xl/workbook.xml"
	for _, r := range b.relations("") {
		if strings.HasSuffix(r.kind, "/officeDocument") {
			start = r.target
		}
	}
	if b.parts[start] == nil {
		return nil, errors.New("a workbook, .xlsx; this archive holds none")
	}
	sheets, err := b.sheets(start)
	if err != nil {
		return nil, err
	}
	var tables []*layout.Table
	var errs datafile.Errors
	for _, s := range sheets {
		rows, wrong := b.rows(s)
		errs = append(errs, wrong...)
		if len(wrong) > 0 {
			continue
		}
		t, err := layout.OfRows(b.file+" ("+s.name+")", s.name, rows)
		var known datafile.Errors
		switch {
		case errors.As(err, &known):
			errs = append(errs, known...)
		case t != nil:
			tables = append(tables, t)
		}
	}
	if len(errs) > 0 {
		return nil, errs
	}
	if len(tables) == 0 {
		return nil, errors.New("a sheet with a header, and rows below it")
	}
	return tables, nil
}

// sheet is a sheet of the workbook: its name and its part.
type sheet struct{ name, part string }

// sheets are those of the workbook in order, and reads what they share.
func (b *book) sheets(start string) ([]sheet, error) {
	type relation struct{ kind, target string }
	of := map[string]relation{}
	var shared, styles string
	for _, r := range b.relations(start) {
		of[r.id] = relation{r.kind, r.target}
		switch {
		case strings.HasSuffix(r.kind, "/sharedStrings"):
			shared = r.target
		case strings.HasSuffix(r.kind, "/styles"):
			styles = r.target
		}
	}
	var out []sheet
	err := b.each(start, func(e element) error {
		if e.name != "sheet" || !e.begins {
			return nil
		}
		r := of[e.relation]
		if !strings.HasSuffix(r.kind, "/worksheet") {
			return nil // a chart, or one that is missing
		}
		if out = append(out, sheet{e.attribute("name"), r.target}); len(out) > mostSheets {
			return fmt.Errorf("at most %d sheets", mostSheets)
		}
		return nil
	})
	if err == nil && shared != "" {
		err = b.sharedStrings(shared)
	}
	if err == nil && styles != "" {
		err = b.styles(styles)
	}
	return out, err
}

// relation is what a part refers to.
type relation struct{ id, kind, target string }

// relations are those of a part, none where they cannot be read.
func (b *book) relations(part string) (out []relation) {
	dir, name := path.Split(part)
	of := dir + "_rels/" + name + ".rels"
	if b.parts[of] == nil {
		return nil
	}
	_ = b.each(of, func(e element) error {
		if e.name == "Relationship" && e.begins && len(out) < 10*mostSheets {
			target := e.attribute("Target")
			if !strings.HasPrefix(target, "/") {
				target = path.Join(dir, target)
			}
			out = append(out, relation{e.attribute("Id"), e.attribute("Type"), strings.TrimPrefix(target, "/")})
		}
		return nil
	})
	return out
}

// sharedStrings reads the texts that cells refer to.
func (b *book) sharedStrings(part string) error {
	var t richText
	size := 0
	return b.each(part, func(e element) error {
		if e.name == "si" && !e.begins && !e.isText {
			if size += len(t.text); size > mostText || len(b.strings) >= mostStrings {
				return errors.New("less text; no manuscript has so much in its tables")
			}
			b.strings = append(b.strings, t.text)
			t = richText{}
			return nil
		}
		t.take(e)
		return nil
	})
}

// richText gathers the text of runs. A raised letter or digit is the mark of a footnote, and
// set as HTML's is; what helps to pronounce a text is left out.
type richText struct {
	text              string
	open, aloud, high bool
}

func (t *richText) take(e element) {
	switch {
	case e.isText && t.open && !t.aloud:
		s := escaped.Replace(e.text)
		if mark := strings.TrimSpace(s); t.high && len(mark) == 1 {
			s = "[" + mark + "]"
		}
		t.text += s
	case e.name == "t":
		t.open = e.begins
	case e.name == "rPh":
		t.aloud = e.begins
	case e.name == "r" && !e.isText:
		t.high = false
	case e.name == "vertAlign" && e.begins:
		t.high = e.attribute("val") == "superscript"
	}
}

// escaped are the characters that XML cannot hold, as a workbook writes them.
var escaped = strings.NewReplacer("_x000D_", " ", "_x000A_", " ", "_x0009_", " ", "\r", " ", "\n", " ", "\t", " ")

// element is the beginning, the end or the text of an element of XML.
type element struct {
	name           string // without its space of names
	begins, isText bool
	text, relation string
	attributes     []xml.Attr
}

func (e element) attribute(name string) string {
	for _, a := range e.attributes {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value
		}
	}
	return ""
}

// each goes through a part, unpacking no more than is left to the whole book.
func (b *book) each(part string, do func(e element) error) error {
	f := b.parts[part]
	if f == nil {
		return fmt.Errorf("a whole workbook; %s is missing", datafile.Plain(part))
	}
	r, err := f.Open()
	if err != nil {
		return fmt.Errorf("a whole workbook (%v)", err)
	}
	defer r.Close()
	limited := &io.LimitedReader{R: r, N: b.left + 1}
	d := xml.NewDecoder(limited)
	for {
		token, err := d.RawToken()
		b.left = limited.N - 1
		if b.left < 0 {
			return fmt.Errorf("a workbook of at most %d MB unpacked", mostUnpacked>>20)
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("a whole workbook (%s: %v)", datafile.Plain(path.Base(part)), err)
		}
		e := element{}
		switch t := token.(type) {
		case xml.StartElement:
			e.name, e.begins, e.attributes = t.Name.Local, true, t.Attr
			for _, a := range t.Attr {
				if a.Name.Local == "id" && a.Name.Space != "" {
					e.relation = a.Value
				}
			}
		case xml.EndElement:
			e.name = t.Name.Local
		case xml.CharData:
			e.isText, e.text = true, string(t)
		default:
			continue
		}
		if err := do(e); err != nil {
			return err
		}
	}
}
