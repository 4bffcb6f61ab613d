package spreadsheet

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/printed/layout"
)

const (
	spaces = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"`
	kindOf = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
)

// workbook packs a workbook of sheets, each the inner text of its worksheet, in order.
func workbook(t testing.TB, shared, styles string, sheets ...string) []byte {
	t.Helper()
	parts := map[string]string{
		"_rels/.rels": `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="a" Type="` +
			kindOf + `officeDocument" Target="xl/workbook.xml"/></Relationships>`,
		"xl/sharedStrings.xml": `<sst ` + spaces + `>` + shared + `</sst>`,
		"xl/styles.xml":        `<styleSheet ` + spaces + `>` + styles + `</styleSheet>`,
	}
	book, rels := "", ""
	for i, s := range sheets {
		book += fmt.Sprintf(`<sheet name="Sheet %d" sheetId="%d" r:id="s%d"/>`, i+1, i+1, i)
		rels += fmt.Sprintf(`<Relationship Id="s%d" Type="%sworksheet" Target="worksheets/sheet%d.xml"/>`, i, kindOf, i)
		parts[fmt.Sprintf("xl/worksheets/sheet%d.xml", i)] = `<?xml version="1.0" encoding="UTF-8"?><worksheet ` + spaces + `>` + s + `</worksheet>`
	}
	parts["xl/workbook.xml"] = `<workbook ` + spaces + `><sheets>` + book + `</sheets></workbook>`
	parts["xl/_rels/workbook.xml.rels"] = `<Relationships>` + rels + `<Relationship Id="x" Type="` + kindOf +
		`sharedStrings" Target="sharedStrings.xml"/><Relationship Id="y" Type="` + kindOf + `styles" Target="/xl/styles.xml"/></Relationships>`
	return packed(t, parts)
}

func packed(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, text := range parts {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write([]byte(text))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// written is a table as lines of cells.
func written(t *layout.Table) string {
	var b strings.Builder
	line := func(cells []layout.Cell) {
		for k, c := range cells {
			if k > 0 {
				b.WriteString("|")
			}
			b.WriteString(c.Text)
		}
		b.WriteString("\n")
	}
	line(t.Head)
	for _, r := range t.Rows {
		line(r.Cells)
	}
	return b.String()
}

// formats are the styles of the tests: the formats 0 to 9 of cells.
const formats = `<numFmts count="3"><numFmt numFmtId="164" formatCode="0.0&quot; s&quot;"/><numFmt numFmtId="165" formatCode="+0.0;-0.0"/>` +
	`<numFmt numFmtId="166" formatCode="dd/mm/yyyy"/></numFmts><cellStyleXfs><xf numFmtId="14"/></cellStyleXfs>` +
	`<cellXfs><xf numFmtId="0"/><xf numFmtId="2"/><xf numFmtId="164"/><xf numFmtId="165"/><xf numFmtId="166"/><xf numFmtId="20"/>` +
	`<xf numFmtId="12"/><xf numFmtId="3"/><xf numFmtId="9"/><xf numFmtId="49"/></cellXfs>`

// What programs write: shared texts with runs of styles, texts in the cell, numbers under
// formats, places left out, cells in a prefix of their own.
func TestReads(t *testing.T) {
	shared := `<si><t>Metered</t></si><si><r><t xml:space="preserve">Adjusted </t></r><r><rPr><b/></rPr><t>(s)</t></r></si>` +
		`<si><r><t>20</t></r><r><rPr><vertAlign val="superscript"/></rPr><t>a</t></r><rPh sb="0" eb="1"><t>aloud</t></rPh></si>`
	for name, c := range map[string]struct{ sheet, want string }{
		"shared and inline": {`<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c></row>` +
			`<row r="2"><c r="A2"><v>10</v></c><c r="B2" t="s"><v>2</v></c></row>` +
			`<row r="3"><c r="A3" t="inlineStr"><is><t>1/2</t></is></c><c r="B3" t="b"><v>1</v></c></row></sheetData>`,
			"Metered|Adjusted (s)\n10|20[a]\n1/2|TRUE\n"},
		"formats": {`<sheetData><row r="1"><c r="A1" t="str"><v>a</v></c><c r="B1" t="str"><v>b</v></c></row>` +
			`<row><c s="1"><v>2.5</v></c><c s="2"><v>10</v></c></row><row><c s="3"><v>0.333333</v></c><c s="3"><v>-1</v></c></row>` +
			`<row><c s="5"><v>0.270833333333333</v></c><c s="6"><v>6.5</v></c></row>` +
			`<row><c s="7"><v>1600</v></c><c s="8"><v>0.25</v></c></row><row><c><v>0.1</v></c><c><v>137.00000000000003</v></c></row>` +
			`<row><c s="9"><v>27</v></c><c s="99"><f>A1*2</f><v>4</v></c></row></sheetData>`,
			"a|b\n2.50|10.0 s\n+0.3|-1.0\n6:30|6 1/2\n1,600|25%\n0.1|137\n27|4\n"},
		"dates": {`<sheetData><row><c t="str"><v>a</v></c><c t="str"><v>b</v></c><c t="str"><v>c</v></c></row>` +
			`<row><c s="4"><v>45000</v></c><c t="d"><v>2026-01-02</v></c><c><f>B1</f></c></row></sheetData>`,
			"a|b|c\n45000" + aDate + "|2026-01-02" + aDate + "|" + noValue + "\n"},
		"places left out, a title, a remark, a margin": {`<sheetData><row r="2"><c r="B2" t="str"><v># kind: xy</v></c></row>` +
			`<row r="3"><c r="B3" t="str"><v>A title</v></c><c r="D3" s="1"/></row>` +
			`<row r="5"><c r="B5" t="str"><v>x</v></c><c r="D5" t="str"><v>y</v></c></row>` +
			`<row r="7"><c r="B7"><v>1</v></c><c r="D7"><v>2</v></c></row></sheetData>`, "x||y\n1||2\n"},
		"merged": {`<sheetData><row r="1"><c r="A1" t="str"><v>Dilution</v></c><c r="B1" t="str"><v>°C</v></c><c r="C1" t="str"><v>Time</v></c></row>` +
			`<row r="2"><c r="A2" t="str"><v>1+31</v></c><c r="B2"><v>20</v></c><c r="C2"><v>7</v></c></row>` +
			`<row r="3"><c r="A3"/><c r="B3"><v>24</v></c><c r="C3"><v>5</v></c></row></sheetData>` +
			`<mergeCells count="1"><mergeCell ref="A2:A3"/></mergeCells>`, "Dilution|°C|Time\n1+31|20|7\n1+31|24|5\n"},
		"headings that span": {`<sheetData><row r="1"><c r="A1" t="str"><v>EI</v></c><c r="B1" t="str"><v>1+31</v></c><c r="C1"/></row>` +
			`<row r="2"><c r="A2"/><c r="B2" t="str"><v>20 °C</v></c><c r="C2" t="str"><v>24 °C</v></c></row>` +
			`<row r="3"><c r="A3"><v>400</v></c><c r="B3"><v>7</v></c><c r="C3"><v>5</v></c></row></sheetData>` +
			`<mergeCells><mergeCell ref="B1:C1"/><mergeCell ref="A1:A2"/></mergeCells>`, "EI|1+31 | 20 °C|1+31 | 24 °C\n400|7|5\n"},
		"a prefix": {`<x:sheetData><x:row><x:c t="str"><x:v>a</x:v></x:c></x:row><x:row><x:c><x:v>3</x:v></x:c></x:row></x:sheetData>`, "a\n3\n"},
	} {
		tables, err := Read(workbook(t, shared, formats, c.sheet), "b.xlsx")
		if err != nil || len(tables) != 1 {
			t.Errorf("%s: %d tables, %v", name, len(tables), err)
			continue
		}
		if got := written(tables[0]); got != c.want {
			t.Errorf("%s:\n%swant\n%s", name, got, c.want)
		}
	}
	tables, err := Read(workbook(t, shared, formats, `<sheetData/>`, `<sheetData><row r="4"><c r="C4" t="str"><v># law: linear</v></c></row>`+
		`<row r="5"><c r="C5" t="str"><v>x</v></c></row><row r="9"><c r="C9"><v>1</v></c></row></sheetData>`), "b.xlsx")
	if err != nil || len(tables) != 1 || tables[0].Name != "Sheet 2" || tables[0].Remark("law") != "linear" ||
		tables[0].Rows[0].Cells[0] != (layout.Cell{Text: "1", Line: 9, Column: 3}) {
		t.Errorf("names and places: %+v, %v", tables, err)
	}
}

// What a number shows under a format, as ECMA-376 part 1, 18.8.30 and 18.8.31, has it.
func TestNumbers(t *testing.T) {
	for _, c := range []struct {
		v            float64
		format, want string
		date         bool
	}{
		{1234.5, "", "1234.5", false}, {1234.5, "General", "1234.5", false}, {0.1 + 0.2, "", "0.3", false},
		{1234.5, "#,##0.0", "1,234.5", false}, {1.5, "0", "2", false}, {2.5, "0.###", "2.5", false}, {3, "0.###", "3", false},
		{0.875, "0.0%", "87.5%", false}, {1e-10, "", "1E-10", false}, {-0.001, "0.0", "0.0", false},
		{1600, `"EI "0`, "EI 1600", false}, {2, `0"×"`, "2×", false}, {20, `0\ °\C`, "20 °C", false}, {20, `[Red]0.0`, "20.0", false},
		{6.75, "# ?/?", "6 3/4", false}, {0.125, "# ?/?", "1/8", false}, {7, "# ??/??", "7", false}, {6.5, "# ?/2", "6 1/2", false},
		{0.270833333333, "h:mm", "6:30", false}, {0.00451388888889, "mm:ss", "6:30", false}, {1.0 / 24, "h:mm:ss", "1:00:00", false},
		{0.0632, "[m]:ss", "91:00", false}, {45000, "d/m/yyyy", "45000", true}, {45000, "[$-409]d-mmm", "45000", true},
		{0.5, "h:mm AM/PM", "0.5", true}, {12345, "0.00E+00", "1.23E+04", false}, {5, `0 "s" "x`, "5", false},
		{-2, "0.0;[Red]-0.0", "-2.0", false}, {-2, "0;(0)", "-2", false}, {-2, "0;0 \"a\" 0", "-2", false},
	} {
		if got, date := number(c.v, c.format); got != c.want || date != c.date {
			t.Errorf("%v under %q: %q, %v; want %q, %v", c.v, c.format, got, date, c.want, c.date)
		}
	}
}

func TestRefuses(t *testing.T) {
	said := held.New(t)
	row := `<sheetData><row r="1"><c r="A1" t="str"><v>x</v></c></row><row r="2"><c r="A2"%s</c></row></sheetData>`
	of := func(cell string) []byte { return workbook(t, "", formats, fmt.Sprintf(row, cell)) }
	whole := of(` s="4"><v>45000</v>`)
	for name, c := range map[string]struct {
		content []byte
		want    string
	}{
		"a text missing": {of(` t="s"><v>7</v>`), "it is damaged"},
		"no number":      {of(`><v>NaN</v>`), "a number"},
		"cut":            {whole[:len(whole)/2], "a whole workbook"},
		"locked":         {append([]byte{}, append(compound, make([]byte, 100)...)...), "without a password"},
		"another zip":    {packed(t, map[string]string{"a": "b"}), "this archive holds none"},
		"no tables":      {workbook(t, "", "", `<sheetData/>`), "a sheet with a header"},
		"bad xml":        {workbook(t, "", "", `<sheetData><row`), "a whole workbook"},
		"an entity":      {workbook(t, "", "", `<sheetData>&lol;</sheetData>`), "a whole workbook"},
		"many rows": {workbook(t, "", "", `<sheetData>`+strings.Repeat(`<row><c><v>1</v></c></row>`, layout.MostRows+2)+`</sheetData>`),
			"at most 2000 rows"},
		"many columns": {workbook(t, "", "", `<sheetData><row r="1"><c r="XFD1"><v>1</v></c></row><row><c><v>1</v></c></row></sheetData>`),
			"at most 100 columns"},
		"a long cell": {workbook(t, "", "", `<sheetData><row><c t="str"><v>x</v></c></row><row><c t="str"><v>`+strings.Repeat("y", 5000)+`</v></c></row></sheetData>`),
			"a cell of at most 4000 bytes"},
		"a bomb":          {workbook(t, "<si><t>"+strings.Repeat(" ", 40<<20)+"</t></si>", "", `<sheetData/>`), "at most 32 MB unpacked"},
		"another packing": {another(t), "a whole workbook"},
		"many texts":      {workbook(t, strings.Repeat("<si><t/></si>", mostStrings+1), "", `<sheetData/>`), "less text"},
	} {
		tables, err := Read(c.content, "b.xlsx")
		if !said.Refused(name, err) || !strings.Contains(err.Error(), c.want) || tables != nil {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

// another is a workbook whose sheet is packed by a method that nobody knows.
func another(t *testing.T) []byte {
	t.Helper()
	const method = 99
	good := workbook(t, "", "", `<sheetData/>`)
	r, err := zip.NewReader(bytes.NewReader(good), int64(len(good)))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	z.RegisterCompressor(method, func(w io.Writer) (io.WriteCloser, error) { return nopCloser{w}, nil })
	for _, f := range r.File {
		if !strings.Contains(f.Name, "sheet0") {
			err = errors.Join(err, z.Copy(f))
			continue
		}
		w, e := z.CreateHeader(&zip.FileHeader{Name: f.Name, Method: method})
		if err = errors.Join(err, e); err == nil {
			_, err = io.WriteString(w, "<worksheet/>")
		}
	}
	if err := errors.Join(err, z.Close()); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

type nopCloser struct{ io.Writer }

func (nopCloser) Close() error { return nil }

func FuzzRead(f *testing.F) {
	f.Add("<si><r><t>a</t></r></si>", formats, `<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c></row><row><c s="5"><v>0.5</v></c></row></sheetData><mergeCells><mergeCell ref="A1:B2"/></mergeCells>`)
	f.Add("", `<cellXfs><xf numFmtId="12"/></cellXfs>`, `<sheetData><row><c s="0"><v>-6.5</v></c></row></sheetData>`)
	f.Fuzz(func(t *testing.T, shared, styles, sheet string) {
		tables, err := Read(workbook(t, shared, styles, sheet), "b.xlsx")
		if (err == nil) == (len(tables) == 0) {
			t.Fatalf("%d tables, %v", len(tables), err)
		}
		for _, table := range tables {
			for _, r := range table.Rows {
				if len(r.Cells) != len(table.Head) || len(table.Head) > layout.MostCells {
					t.Fatalf("%d cells under %d headings", len(r.Cells), len(table.Head))
				}
			}
		}
	})
}

func FuzzNumber(f *testing.F) {
	f.Add(6.5, "# ?/?")
	f.Add(-0.25, `[Red]"a"0.0%;0`)
	f.Fuzz(func(t *testing.T, v float64, format string) {
		if text, _ := number(v, format); v-v == 0 && len(text) > 400+2*len(format) {
			t.Fatalf("%v under %q: %d bytes", v, format, len(text))
		}
	})
}
