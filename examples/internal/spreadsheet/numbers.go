package spreadsheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// builtIn are the formats of numbers that have no text in a file (ECMA-376 part 1, 18.8.30).
var builtIn = map[int]string{1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%", 11: "0.00E+00",
	12: "# ?/?", 13: "# ??/??", 14: "m/d/yy", 15: "d-mmm-yy", 16: "d-mmm", 17: "mmm-yy", 18: "h:mm AM/PM", 19: "h:mm:ss AM/PM",
	20: "h:mm", 21: "h:mm:ss", 22: "m/d/yy h:mm", 37: "#,##0", 38: "#,##0", 39: "#,##0.00", 40: "#,##0.00", 45: "mm:ss",
	46: "[h]:mm:ss", 47: "mm:ss.0", 48: "##0.0E+0", 49: "@"}

// styles reads the formats of numbers of the styles that cells refer to.
func (b *book) styles(part string) error {
	codes := map[int]string{}
	inCells := false
	return b.each(part, func(e element) error {
		switch {
		case e.name == "numFmt" && e.begins:
			if id, err := strconv.Atoi(e.attribute("numFmtId")); err == nil && len(codes) < 1000 {
				codes[id] = e.attribute("formatCode")
			}
		case e.name == "cellXfs" && !e.isText:
			inCells = e.begins
		case e.name == "xf" && e.begins && inCells && len(b.formats) < 100_000:
			id, _ := strconv.Atoi(e.attribute("numFmtId"))
			code, ok := codes[id]
			if !ok {
				code = builtIn[id]
			}
			b.formats = append(b.formats, code)
		}
		return nil
	})
}

// number is what a number shows under a format. It knows digits, thousands, percent,
// fractions, a power of ten, times of the clock, and words before and after; under any other
// format a number shows as under none. date says that it is one.
func number(v float64, format string) (text string, date bool) {
	plain := general(v)
	section, negative, two := strings.Cut(format, ";")
	if two && v < 0 {
		section, _, _ = strings.Cut(negative, ";")
		v = -v
	}
	before, code, after := parts(section)
	switch {
	case code == unknown:
		return plain, strings.ContainsAny(section, "yYdD")
	case code == "" || strings.EqualFold(code, "general") || code == "@":
		return before + general(v) + after, false
	case strings.ContainsAny(code, "yYdD"):
		return plain, true
	case strings.ContainsAny(code, "hHmMsS"):
		if s, ok := clock(v, strings.ToLower(code)); ok {
			return before + s + after, false
		}
		return plain, true
	case strings.Contains(code, "?/") || strings.Contains(code, "/?"):
		return before + fraction(v, code) + after, false
	case strings.Trim(code, "#0?,.%E+-") != "":
		return plain, false
	}
	return before + decimal(v, code) + after, false
}

// unknown is what a format does that is not known.
const unknown = "unknown"

// parts cuts a format into words before, what it does with the number, and words after.
func parts(section string) (before, code, after string) {
	word := &before
	for i := 0; i < len(section); i++ {
		switch c := section[i]; {
		case c == '"':
			end := strings.IndexByte(section[i+1:], '"')
			if end < 0 {
				return "", unknown, ""
			}
			*word += section[i+1 : i+1+end]
			i += end + 1
		case c == '\\' && i+1 < len(section):
			i++
			*word += section[i : i+1]
		case (c == '_' || c == '*') && i+1 < len(section):
			i++ // room as wide as a letter, or filled with one
		case c == '[' && !strings.ContainsAny(section[i:min(i+3, len(section))], "hms"):
			end := strings.IndexByte(section[i:], ']') // a colour, a locale, a condition
			if end < 0 {
				return "", unknown, ""
			}
			i += end
		case c == '+' && code == "" || c == '-' && code == "":
			before += string(c)
		case c == ' ' && code != "" && !strings.ContainsAny(section[i:], "/0#?:"):
			after += " "
		case c >= 0x80:
			*word += string([]byte{c})
		case after != "" && strings.TrimSpace(after) != "":
			return "", unknown, "" // words in the middle
		default:
			code += string(c)
			word = &after
		}
	}
	return before, strings.TrimSpace(code), after
}

// general is a number as it shows without a format: eleven digits.
func general(v float64) string {
	if a := math.Abs(v); a != 0 && (a < 1e-9 || a >= 1e11) {
		return strconv.FormatFloat(v, 'G', 6, 64)
	}
	s := strconv.FormatFloat(v, 'g', 11, 64)
	if w, err := strconv.ParseFloat(s, 64); err == nil {
		s = strconv.FormatFloat(w, 'f', -1, 64)
	}
	return s
}

// decimal sets a number under a format of digits.
func decimal(v float64, code string) string {
	if strings.ContainsRune(code, 'E') {
		mantissa, _, _ := strings.Cut(code, "E")
		return strconv.FormatFloat(v, 'E', places(mantissa), 64)
	}
	percent := strings.Count(code, "%")
	v *= math.Pow(100, float64(percent))
	body := strings.TrimRight(code, "%")
	least, most := strings.Count(afterPoint(body), "0"), places(body)
	s := strconv.FormatFloat(v, 'f', most, 64)
	if v < 0 && strings.Trim(s, "-0.") == "" {
		s = s[1:]
	}
	for most > least && strings.HasSuffix(s, "0") {
		s, most = s[:len(s)-1], most-1
	}
	s = strings.TrimSuffix(s, ".")
	if whole, _, _ := strings.Cut(body, "."); strings.Contains(whole, ",") {
		s = thousands(s)
	}
	return s + strings.Repeat("%", percent)
}

func afterPoint(code string) string { _, f, _ := strings.Cut(code, "."); return f }

// places are the decimals that a format allows.
func places(code string) int {
	return min(len(strings.Map(func(r rune) rune {
		if r == '0' || r == '#' || r == '?' {
			return r
		}
		return -1
	}, afterPoint(code))), 15)
}

func thousands(s string) string {
	whole, rest, point := strings.Cut(s, ".")
	sign := ""
	if strings.HasPrefix(whole, "-") {
		sign, whole = "-", whole[1:]
	}
	for at := len(whole) - 3; at > 0; at -= 3 {
		whole = whole[:at] + "," + whole[at:]
	}
	if point {
		rest = "." + rest
	}
	return sign + whole + rest
}

// fraction sets a number with the nearest fraction that a format allows: 6 1/2.
func fraction(v float64, code string) string {
	left, below, _ := strings.Cut(code, "/")
	most := 9
	if n, err := strconv.Atoi(strings.TrimSpace(below)); err == nil && n > 0 && n < 1000 {
		most = n
	} else if strings.Count(below, "?") > 1 {
		most = 99
	}
	whole := 0.0
	sign := ""
	if v < 0 {
		sign, v = "-", -v
	}
	if strings.ContainsAny(left, "#0") {
		whole = math.Floor(v)
	}
	if v > 1e9 {
		return sign + general(v)
	}
	top, bottom, off := 0.0, 1.0, math.Inf(1)
	for d := 1; d <= most; d++ {
		n := math.Round((v - whole) * float64(d))
		if e := math.Abs(n/float64(d) - (v - whole)); e < off-1e-12 {
			top, bottom, off = n, float64(d), e
		}
	}
	switch {
	case top == 0:
		return sign + general(whole)
	case top == bottom:
		return sign + general(whole+1)
	case whole == 0:
		return fmt.Sprintf("%s%.0f/%.0f", sign, top, bottom)
	}
	return fmt.Sprintf("%s%.0f %.0f/%.0f", sign, whole, top, bottom)
}

// clock sets a part of a day as a time of the clock: 6:30 of 0.27083, as programs make of
// minutes and seconds that are typed so.
func clock(v float64, code string) (string, bool) {
	if !(v >= 0 && v < 400) || strings.Contains(code, "am/pm") || strings.Contains(code, ".") {
		return "", false
	}
	s := int64(math.Round(v * 86400))
	h, m := s/3600, s/60%60
	switch code {
	case "h:mm", "hh:mm", "[h]:mm", "[hh]:mm":
		m = int64(math.Round(float64(s) / 60))
		h, m = m/60, m%60
		if code[0] == 'h' {
			h %= 24
		}
		return fmt.Sprintf("%d:%02d", h, m), true
	case "h:mm:ss", "hh:mm:ss", "[h]:mm:ss", "[hh]:mm:ss":
		if code[0] == 'h' {
			h %= 24
		}
		return fmt.Sprintf("%d:%02d:%02d", h, m, s%60), true
	case "mm:ss", "m:ss":
		return fmt.Sprintf("%d:%02d", m, s%60), true
	case "[m]:ss", "[mm]:ss":
		return fmt.Sprintf("%d:%02d", s/60, s%60), true
	}
	return "", false
}
