package main

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"html"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
)

// workbookOf packs tables of comma-separated values into the sheets of a workbook, as texts
// in the cells.
func workbookOf(t testing.TB, tables ...string) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	put := func(name, text string) {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write([]byte(text))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	const relationships = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	var sheets, relations strings.Builder
	for n, table := range tables {
		r := csv.NewReader(strings.NewReader(table))
		r.FieldsPerRecord = -1
		rows, err := r.ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		var sheet strings.Builder
		for i, cells := range rows {
			fmt.Fprintf(&sheet, `<row r="%d">`, i+1)
			for k, c := range cells {
				fmt.Fprintf(&sheet, `<c r="%c%d" t="inlineStr"><is><t>%s</t></is></c>`, 'A'+k, i+1, html.EscapeString(c))
			}
			sheet.WriteString("</row>")
		}
		put(fmt.Sprintf("xl/worksheets/%d.xml", n), "<worksheet><sheetData>"+sheet.String()+"</sheetData></worksheet>")
		fmt.Fprintf(&sheets, `<sheet name="Table %d" r:id="r%d"/>`, n+1, n)
		fmt.Fprintf(&relations, `<Relationship Id="r%d" Type="%s/worksheet" Target="worksheets/%d.xml"/>`, n, relationships, n)
	}
	put("xl/workbook.xml", `<workbook><sheets>`+sheets.String()+`</sheets></workbook>`)
	put("xl/_rels/workbook.xml.rels", `<Relationships>`+relations.String()+`</Relationships>`)
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A workbook is checked as its tables are as text: the same rows and findings. Notes on a sheet
// are no table.
func TestWorkbook(t *testing.T) {
	long, order := book["a/long.csv"], "# kind: development\nTemp. (°C),Time\n18,9:30\n20,8:00\n22,6:30\n24,8:15\n26,4:30\n"
	notes := "Note\nAll from the second edition\n"
	dir := bookOf(t, map[string]string{"book.xlsx": workbookOf(t, long, notes, order), "1.csv": long, "2.csv": order,
		"known.csv": "file,row,column,printed,reason\nbook.xlsx (Table 3),4,time,8:15,as the maker has it\n"})
	read := func(args ...string) (out []tableJSON) {
		text, err := call(t, append([]string{"-json"}, args...)...)
		if err != nil {
			t.Fatal(err)
		}
		d := json.NewDecoder(strings.NewReader(text))
		for d.More() {
			var j tableJSON
			if err := d.Decode(&j); err != nil {
				t.Fatal(err)
			}
			out = append(out, j)
		}
		return out
	}
	sheets := read(filepath.Join(dir, "book.xlsx"))
	texts := read(filepath.Join(dir, "1.csv"), filepath.Join(dir, "2.csv"))
	if len(sheets) != 2 || len(texts) != 2 {
		t.Fatalf("%d sheets, %d texts", len(sheets), len(texts))
	}
	plain := func(j tableJSON) string {
		j.File, j.Table, j.Made = "", "", texts[0].Made
		for i := range j.Findings {
			j.Findings[i].At = 0 // in bytes of a line, or a column of the sheet
		}
		b, err := json.Marshal(j)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	for i := range sheets {
		if a, b := plain(sheets[i]), plain(texts[i]); a != b {
			t.Errorf("as a sheet\n%s\nas text\n%s", a, b)
		}
	}
	if sheets[1].Table != "Table 3" {
		t.Errorf("named %q", sheets[1].Table)
	}
	text, err := call(t, "-accepted", filepath.Join(dir, "known.csv"), filepath.Join(dir, "book.xlsx"))
	if err != nil || !strings.Contains(flat(text), "accepted row 4, time: printed 8:15") || strings.Contains(text, "expired") {
		t.Errorf("%v\n%s", err, text)
	}
	// What is wrong is said with the sheet and the place in it.
	dir = bookOf(t, map[string]string{"bad.xlsx": workbookOf(t, "Metered (s),Adjusted (s)\n1,1\n2,45000 (a date)\n")})
	said := held.New(t)
	if _, err := call(t, "-kind", "reciprocity", filepath.Join(dir, "bad.xlsx")); !said.Refused("a cell of a sheet", err) ||
		!strings.Contains(err.Error(), "bad.xlsx (Table 1):3:2") {
		t.Errorf("%v", err)
	}
}
