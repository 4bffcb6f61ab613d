package held

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var update = flag.Bool("update-held", false, "write the records of tests anew")

// Record is what one test says. It is compared when the test ends.
type Record struct {
	t     testing.TB
	file  string
	lines []string
	in    map[string]bool
}

// New begins the record of a test, testdata/NAME.held after the test's name. Nothing is compared
// where the test failed or was skipped, for it may have stopped early.
func New(t testing.TB) *Record {
	name := strings.ReplaceAll(t.Name(), "/", "_")
	r := &Record{t: t, file: filepath.Join("testdata", name+".held"), in: map[string]bool{}}
	t.Cleanup(r.compare)
	return r
}

// Is records the sentence of an error, and reports whether the error is the wanted one.
func (r *Record) Is(name string, err, want error) bool {
	r.Refused(name, err)
	return errors.Is(err, want)
}

// Refused records the sentence of an error, and reports whether there is one. Temporary folders
// in it become DIR. Without a name the sentence stands for itself.
func (r *Record) Refused(name string, err error) bool {
	if err == nil {
		r.add(name, "no error")
		return false
	}
	r.add(name, r.temporary().ReplaceAllString(err.Error(), "DIR"))
	return true
}

func (r *Record) temporary() *regexp.Regexp {
	return regexp.MustCompile(regexp.QuoteMeta(filepath.Clean(os.TempDir())) + `(/Test[^ :/]+/\d+)?`)
}

// Values records numbers to nine digits, and anything else as fmt prints it. Numbers are compared
// to six, for processors differ in the last.
func (r *Record) Values(name string, values ...any) {
	words := make([]string, len(values))
	for i, v := range values {
		switch v := v.(type) {
		case float64:
			words[i] = number(v)
		case []float64:
			for _, x := range v {
				words[i] += " " + number(x)
			}
			words[i] = "[" + strings.TrimSpace(words[i]) + "]"
		default:
			words[i] = fmt.Sprintf("%+v", v)
		}
	}
	r.add(name, strings.Join(words, " "))
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', 9, 64) }

// add takes a line once, whatever is in it on one line.
func (r *Record) add(name, text string) {
	if name != "" {
		text = name + ": " + text
	}
	line := strings.ReplaceAll(text, "\n", "\\n")
	if !r.in[line] {
		r.in[line] = true
		r.lines = append(r.lines, line)
	}
}

// compare sorts the lines, as tests go over maps, and holds them to the file.
func (r *Record) compare() {
	if r.t.Failed() || r.t.Skipped() {
		return
	}
	slices.Sort(r.lines)
	got := strings.Join(r.lines, "\n") + "\n"
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			r.t.Fatal(err)
		}
		if err := os.WriteFile(r.file, []byte(got), 0o644); err != nil {
			r.t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(r.file)
	if err != nil {
		r.t.Error(err)
		return
	}
	if where := Differ(string(want), got); where != "" {
		r.t.Errorf("%s: %s", r.file, where)
	}
}

// Differ says where two texts differ by more than the last digits of numbers; "" where they
// do not.
func Differ(want, got string) string {
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range max(len(a), len(b)) {
		switch {
		case i >= len(a):
			return fmt.Sprintf("line %d is new: %q", i+1, b[i])
		case i >= len(b):
			return fmt.Sprintf("line %d is missing: %q", i+1, a[i])
		case !alike(a[i], b[i]):
			return fmt.Sprintf("line %d: %q, want %q", i+1, b[i], a[i])
		}
	}
	return ""
}

// Numbers finds the numbers of a text.
var Numbers = regexp.MustCompile(`-?\d+(\.\d+)?([eE][-+]?\d+)?`)

// alike compares two lines, their numbers to six digits.
func alike(a, b string) bool {
	if a == b {
		return true
	}
	if Numbers.ReplaceAllString(a, "#") != Numbers.ReplaceAllString(b, "#") {
		return false
	}
	return slices.EqualFunc(Numbers.FindAllString(a, -1), Numbers.FindAllString(b, -1), func(x, y string) bool {
		v, err1 := strconv.ParseFloat(x, 64)
		w, err2 := strconv.ParseFloat(y, 64)
		return err1 == nil && err2 == nil && math.Abs(v-w) <= 1e-6*math.Max(math.Abs(v), math.Abs(w))
	})
}
