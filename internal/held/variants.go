package held

import "strings"

// Variants are tables with one cell changed as a compositor or a typist would, or spoilt, and
// with a row gone, doubled or exchanged: each cell in one of the ways in turn. The first is the table itself.
// Comment lines stay; rows are comma-separated without quotes. They are []byte, for a test to drive.
func Variants(table string) []any { return variants(table, false) }

// Every is as Variants, with each cell in every one of the ways, and in a few more: for readers and checkers
// that are quick.
func Every(table string) []any { return variants(table, true) }

func variants(table string, every bool) []any {
	lines := strings.Split(strings.TrimSuffix(table, "\n"), "\n")
	out := []any{[]byte(table)}
	add := func(lines ...string) { out = append(out, []byte(strings.Join(lines, "\n")+"\n")) }
	ways := []func(string) string{
		func(s string) string { return s + "0" },
		func(s string) string { return "" },
		reversed,
		func(s string) string { return "x" + s },
		func(s string) string { return "1" + s },
		func(s string) string { return strings.Replace(s, ".", "", 1) },
		func(s string) string { return "-" + s },
		func(s string) string { return s[:len(s)/2] },
		func(s string) string { return s + "?" },
	}
	if every {
		ways = append(ways, func(string) string { return "0" }, func(string) string { return "1" }, func(string) string { return "1e9" }, func(string) string { return "-" },
			func(s string) string { return " " + s + " " }, func(s string) string { return `"` + s + `"` }, func(s string) string { return s + "," }, strings.ToUpper,
			func(s string) string { return s + s })
	}
	way, head := 0, true
	for i, line := range lines {
		if strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(line, ",")
		for j := range cells {
			some := ways
			if !every {
				some = ways[way%len(ways):][:1]
				way++
			}
			for _, to := range some {
				changed := append([]string(nil), cells...)
				changed[j] = to(cells[j])
				rows := append([]string(nil), lines...)
				rows[i] = strings.Join(changed, ",")
				add(rows...)
			}
		}
		switch {
		case head:
		case every:
			add(append(append([]string(nil), lines[:i]...), lines[i+1:]...)...)
			add(append(append([]string(nil), lines[:i+1]...), lines[i:]...)...)
			add(append(append([]string(nil), lines[:i]...), append([]string{""}, lines[i:]...)...)...)
			add(lines[:i]...)
		case i%3 == 0:
			add(append(append([]string(nil), lines[:i]...), lines[i+1:]...)...)
		case i%3 == 1:
			add(append(append([]string(nil), lines[:i+1]...), lines[i:]...)...)
		case i+1 < len(lines):
			rows := append([]string(nil), lines...)
			rows[i], rows[i+1] = rows[i+1], rows[i]
			add(rows...)
		}
		head = false
	}
	return out
}

// reversed is the last two signs of a cell exchanged.
func reversed(s string) string {
	if len(s) < 2 {
		return s + s
	}
	return s[:len(s)-2] + s[len(s)-1:] + s[len(s)-2:len(s)-1]
}
