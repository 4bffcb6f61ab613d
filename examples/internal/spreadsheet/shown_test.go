package spreadsheet

import (
	"fmt"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/printed/layout"
)

// What numbers of every size show under formats of every kind is what it was; the sources of the formats stand beside
// TestNumbers.
func TestShown(t *testing.T) {
	said := held.New(t)
	values := []float64{0, 0.5, 1, 1.5, 2.25, -0.4, -2, -7.75, 6.99, 12.0 / 7, 0.270833333333, 0.999999, 1.0416666667, 399.9,
		400, 1234.5, 1e6 + 0.5, 123456789.125,
		1e9, 1e9 + 1.5, 99999999999, 1e11, 1e-9, 9.9e-10, -1e-9, 1e20, 8.0 / 9, 15.0 / 16, 31.0 / 99, 59.9999 / 86400, 3599.6 / 86400}
	formats := []string{"", "General", "@", "0", "0.00", "#,##0", "#,##0.00", "0.##", "0.0#?", "0.0000000000000000000", "0%",
		"0.00%%", "0.0E+00", "##0.0E+0", "# ?/?", "# ??/??",
		"?/?", "0 ?/8", "# ?/1000", "# ?/999", "# ?/x", "m/d/yy", "h:mm", "hh:mm", "[h]:mm", "[hh]:mm", "h:mm:ss", "hh:mm:ss",
		"[h]:mm:ss", "mm:ss", "m:ss", "[m]:ss", "[mm]:ss", "mm:ss.0", "ss", "h:mm am/pm",
		`0" s"`, `"x"0`, `0\x`, `0_-`, `*-0`, `\`, `"x`, `[Red]0`, "[Red", "[s]", "+0", "-0", "0 ", "0 0", "0 x 0", "0;(0)", "0;0;\"nil\"", "0.0;[Red]-0.0;x", "°0", "0°C", "x", "0,", "0.0,0", "_", "0_"}
	for _, format := range formats {
		var line []string
		for _, v := range values {
			text, date := number(v, format)
			if date {
				text += "!"
			}
			line = append(line, text)
		}
		said.Values(fmt.Sprintf("%q", format), strings.Join(line, " | "))
	}
	for _, ref := range []string{"A1", "Z9", "AA10", "ABCD1", "ABCDE1", "XFD1", "XFE1", "A0", "A1048576", "A1048577", "1", "A",
		"a1", "A-1", "A1x", "", "@1", "[1"} {
		row, column, ok := place(ref)
		said.Values("place "+ref, row, column, ok)
	}
	for _, ref := range []string{"A1:B3", "A1", "A1:", ":B3", "B3:A1", "A1:B3:C4"} {
		s, ok := spanned(ref)
		said.Values("range "+ref, s, ok)
	}
}

// Sheets with odd cells, ranges and places are tables as they were, or refused as they were.
func TestOddSheets(t *testing.T) {
	said := held.New(t)
	shared := `<si><t>x</t></si><si><r><t>y</t></r><r><rPr><vertAlign val="superscript"/></rPr><t>ab</t></r><r><rPr><vertAlign val="subscript"/></rPr><t>2</t></r></si><si><t>a_x000D_b_x0009_c</t></si>`
	const head = `<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c><c r="C1" t="str"><v>z</v></c></row>`
	cells := func(inner string) string { return `<sheetData>` + head + inner + `</sheetData>` }
	row := func(inner string) string { return cells(`<row r="2"><c r="A2"><v>1</v></c>` + inner + `</row>`) }
	two := cells(`<row r="2"><c r="A2"><v>1</v></c><c r="B2"><v>2</v></c><c r="C2"><v>3</v></c></row><row r="3"><c r="A3"><v>4</v></c><c r="B3"/><c r="C3"><v>6</v></c></row>`)
	merged := func(refs ...string) string {
		s := two + `<mergeCells>`
		for _, ref := range refs {
			s += `<mergeCell ref="` + ref + `"/>`
		}
		return s + `</mergeCells>`
	}
	for name, sheet := range map[string]string{
		"rich":  cells(`<row><c t="s"><v> 1 </v></c><c t="s"><v>2</v></c><c t="inlineStr"><is><r><t>q</t></r><rPh><t>r</t></rPh></is></c></row>`),
		"kinds": row(`<c t="b"><v>0</v></c><c t="b"><v>2</v></c>`), "errors": row(`<c t="e"><v>#N/A</v></c><c><f>A1</f><v> </v></c>`), "texts": row(`<c t="s"><v>3</v></c>`), "text -1": row(`<c t="s"><v>-1</v></c>`), "text x": row(`<c t="s"><v>x</v></c>`),
		"infinite": row(`<c><v>Inf</v></c>`), "word": row(`<c><v>word</v></c>`), "style": row(`<c s="-1"><v>2</v></c><c s="9"><v>3</v></c>`), "style 10": row(`<c s="10"><v>2.5</v></c><c s="1"><v>3</v></c>`),
		"far place": row(`<c r="ZZZZ2"><v>2</v></c><c><v>3</v></c>`), "backwards": row(`<c r="C2"><v>3</v></c><c r="B2"><v>2</v></c>`), "100 cells": row(`<c r="CV2"><v>3</v></c>`), "101 cells": row(`<c r="CW2"><v>3</v></c>`), "an empty one far out": row(`<c r="CX2"/><c r="B2"><v>7</v></c>`),
		"rows without numbers": cells(`<row><c><v>1</v></c></row><row r="x"><c><v>2</v></c></row><row r="0"><c><v>3</v></c></row><row r="9"><c><v>4</v></c></row>`),
		"merged down":          merged("A2:A3"), "merged right": merged("B2:C3"), "merged all": merged("A2:C3"),
		"merged twice": merged("A2:A3", "B2:B3"), "merged from nothing": merged("B3:C3"), "merged beyond": merged("D2:E3",
			"C3:F9"), "merged nowhere": merged("A7:A9", "x", "B2"),
		"nested": `<sheetData>` + head + `</c></sheetData>`, "a cell before rows": `<sheetData><c r="A1"><v>1</v></c>` + head + `</sheetData>`,
	} {
		tables, err := Read(workbook(t, shared, formats, sheet), "b.xlsx")
		said.Refused(name, err)
		for _, table := range tables {
			said.Values(name, written(table))
			for _, r := range table.Rows {
				places := ""
				for _, c := range r.Cells[:min(len(r.Cells), 4)] {
					places += fmt.Sprintf(" %d:%d", c.Line, c.Column)
				}
				said.Values(name+", places", places)
			}
		}
	}
	sheets := func(n int) error {
		var all []string
		for range n {
			all = append(all, two)
		}
		tables, err := Read(workbook(t, shared, formats, all...), "b.xlsx")
		if err == nil && len(tables) != n {
			t.Errorf("%d tables of %d sheets", len(tables), n)
		}
		return err
	}
	if err := sheets(mostSheets); err != nil {
		t.Error(err)
	}
	said.Refused("a sheet too many", sheets(mostSheets+1))
	for i, n := range []int{mostText, mostText + 1} {
		_, err := Read(workbook(t, "<si><t>x</t></si><si><t>"+strings.Repeat("y", n-1)+"</t></si>", "", `<sheetData>`+strings.ReplaceAll(head, `t="s"`, "")+`</sheetData>`), "b.xlsx")
		said.Refused(fmt.Sprintf("%d more than the most text", i), err)
	}
	_, err := Read(workbook(t, strings.Repeat("<si><t/></si>", mostStrings), "", two), "b.xlsx")
	said.Refused("the most texts", err)
	many := `<sheetData>` + head + strings.Repeat(`<row><c><v>1</v></c></row>`, layout.MostRows-1) + `</sheetData>`
	_, err = Read(workbook(t, shared, "", many), "b.xlsx")
	said.Refused("the most rows", err)
	// Rows without cells count too, up to twice as many.
	for _, n := range []int{2*layout.MostRows - 1, 2 * layout.MostRows} {
		_, err := Read(workbook(t, shared, "", `<sheetData>`+head+strings.Repeat(`<row/>`, n)+`</sheetData>`), "b.xlsx")
		said.Values(fmt.Sprint(n, " rows without cells"), err)
	}
	// The first style is that of cells that name none.
	tables, err := Read(workbook(t, shared, `<cellXfs><xf numFmtId="10"/></cellXfs>`, `<sheetData>`+head+`<row><c><v>0.5</v></c><c s="0"><v>0.25</v></c><c s="1"><v>3</v></c></row></sheetData>`), "b.xlsx")
	if err != nil {
		t.Fatal(err)
	}
	if got := written(tables[0]); got != "x|yab2|z\n50.00%|25.00%|3\n" {
		t.Errorf("%q", got)
	}
	said.Values("is", Is([]byte("PK\x03\x04")), Is([]byte("PK\x03")), Is(compound), Is(compound[1:]), Is(nil),
		Is([]byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")))
	for name, spoil := range map[string][2]string{
		"no sheet's part": {"xl/worksheets/sheet0.xml", ""}, "no shared texts": {"xl/sharedStrings.xml", ""},
		"no styles":     {"xl/styles.xml", ""},
		"another start": {"_rels/.rels", "xl/other.xml"}, "no root relations": {"_rels/.rels", ""},
		"no relations": {"xl/_rels/workbook.xml.rels", ""}, "a chart": {"xl/_rels/workbook.xml.rels", "chartsheet"},
	} {
		parts := map[string]string{
			"_rels/.rels":                `<Relationships><Relationship Id="a" Type="` + kindOf + `officeDocument" Target="/xl/workbook.xml"/><Relationship Id="b" Type="other" Target="x"/></Relationships>`,
			"xl/workbook.xml":            `<workbook ` + spaces + `><sheets><sheet name="A" r:id="s0" id="s1"/></sheets></workbook>`,
			"xl/_rels/workbook.xml.rels": `<Relationships><Relationship Id="s0" Type="` + kindOf + `worksheet" Target="worksheets/sheet0.xml"/><Relationship Id="x" Type="` + kindOf + `sharedStrings" Target="sharedStrings.xml"/><Relationship Id="y" Type="` + kindOf + `styles" Target="styles.xml"/></Relationships>`,
			"xl/sharedStrings.xml":       `<sst>` + shared + `</sst>`, "xl/styles.xml": `<styleSheet>` + formats + `</styleSheet>`, "xl/worksheets/sheet0.xml": `<worksheet>` + two + `</worksheet>`,
		}
		switch to := spoil[1]; to {
		case "":
			delete(parts, spoil[0])
		case "chartsheet":
			parts[spoil[0]] = strings.Replace(parts[spoil[0]], "/worksheet\"", "/chartsheet\"", 1)
		default:
			parts[to] = parts["xl/workbook.xml"]
			parts[spoil[0]] = strings.Replace(parts[spoil[0]], "xl/workbook.xml", to, 1)
		}
		tables, err := Read(packed(t, parts), "b.xlsx")
		said.Refused(name, err)
		for _, table := range tables {
			said.Values(name, table.Name, written(table))
		}
	}
}
