package spreadsheet

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// The formats that files name by a number alone are those of ECMA-376 part 1, 18.8.30, and no others have one.
func TestBuiltIn(t *testing.T) {
	codes := map[int]string{1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%", 11: "0.00E+00", 12: "# ?/?", 13: "# ??/??",
		20: "h:mm", 21: "h:mm:ss", 37: "#,##0", 38: "#,##0", 39: "#,##0.00", 40: "#,##0.00", 45: "mm:ss", 46: "[h]:mm:ss", 47: "mm:ss.0", 48: "##0.0E+0", 49: "@"}
	dates := []int{14, 15, 16, 17, 18, 19, 22}
	const last = 60
	styles, cells, heads := "<cellXfs>", "", ""
	values := []float64{1234.5, 0.270833333333}
	for id := range last {
		styles += fmt.Sprintf(`<xf numFmtId="%d"/>`, id)
		heads += `<c t="str"><v>x</v></c>`
	}
	for _, v := range values {
		cells += "<row>"
		for id := range last {
			cells += fmt.Sprintf(`<c s="%d"><v>%v</v></c>`, id, v)
		}
		cells += "</row>"
	}
	tables, err := Read(workbook(t, "", styles+"</cellXfs>", "<sheetData><row>"+heads+"</row>"+cells+"</sheetData>"), "b.xlsx")
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range values {
		for id := range last {
			got := tables[0].Rows[i].Cells[id].Text
			want, date := number(v, codes[id])
			date = date || slices.Contains(dates, id)
			if date != strings.HasSuffix(got, aDate) || !date && got != want {
				t.Errorf("format %d of %v: %q, want %q", id, v, got, want)
			}
		}
	}
}
