package held

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"example.org/actinic/internal/avx2"
)

var update = flag.Bool("update-held", false, "write the records of tests anew")

// Record is what one test says. It is compared when the test ends.
type Record struct {
	t     testing.TB
	lock  sync.Mutex // goroutines of a test may say something at once
	lines []string
	in    map[string]bool
}

// file is where the tests of a package have their records: the name of a test, and its lines
// set in by a tab.
var file = filepath.Join("testdata", "held.txt")

// writing keeps tests that go side by side from writing at once.
var writing sync.Mutex

// begun are the records of the tests that are running.
var begun sync.Map

// New begins the record of a test, or gives the one that was begun. Nothing is compared where
// the test failed or was skipped, for it may have stopped early.
func New(t testing.TB) *Record {
	r, there := begun.LoadOrStore(t, &Record{t: t, in: map[string]bool{}})
	if !there {
		t.Cleanup(func() {
			begun.Delete(t)
			r.(*Record).compare()
		})
	}
	return r.(*Record)
}

// Is records the sentence of an error, and reports whether the error is the wanted one.
func (r *Record) Is(name string, err, want error) bool {
	r.Refused(name, err)
	return errors.Is(err, want)
}

// Refused records the sentence of an error, and reports whether there is one. Temporary folders
// in it become DIR, sums of files HASH. Without a name the sentence stands for itself.
func (r *Record) Refused(name string, err error) bool {
	if err == nil {
		r.add(name, "no error")
		return false
	}
	r.add(name, hash.ReplaceAllString(temporary.ReplaceAllString(err.Error(), "DIR"), "HASH"))
	return true
}

var (
	temporary = regexp.MustCompile(regexp.QuoteMeta(filepath.Clean(os.TempDir())) + `(/Test[^ :/]+/\d+)?`)
	hash      = regexp.MustCompile(`[0-9a-f]{64}`)
)

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
	line := strings.ToValidUTF8(strings.ReplaceAll(text, "\n", "\\n"), "�")
	r.lock.Lock()
	defer r.lock.Unlock()
	if !r.in[line] {
		r.in[line] = true
		r.lines = append(r.lines, line)
	}
}

// Here reports whether the last digits come out here as where the shipped data were made: on amd64
// with AVX2, unless it is not to be used. Others differ in how they round, in how large an integer can
// be, and in what a number beyond that becomes; and where a grid ends by a bound the fourth digit of an
// interval may be another. Without AVX2 records are held all the same: few tests have to ask.
func Here() bool {
	return runtime.GOARCH == "amd64" && avx2.Have() && os.Getenv("ACTINIC_ELEMENTARY") != "plain" && os.Getenv("ACTINIC_FILMFIT") != "plain"
}

// processor is the kind of processor that records are of, whether its vectors are used or not.
var processor = "amd64" // a variable for the test of this package

// compare sorts the lines, as tests go over maps, and holds them to the file.
func (r *Record) compare() {
	if r.t.Failed() || r.t.Skipped() {
		return
	}
	if runtime.GOARCH != processor {
		r.t.Logf("not held to %s, which is of %s: what functions do was asked, and no more", file, processor)
		return
	}
	slices.Sort(r.lines)
	name, got := r.t.Name(), strings.Join(r.lines, "\n")
	if *update {
		if err := put(name, got); err != nil {
			r.t.Error(err)
		}
		return
	}
	records, err := read()
	if err != nil {
		r.t.Error(err)
		return
	}
	if where := Differ(records[name], got); where != "" {
		r.t.Errorf("%s: %s: %s", file, name, where)
	}
}

// read returns the records of a package by their tests.
func read() (map[string]string, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	records := map[string]string{}
	for part := range strings.SplitSeq("\n"+strings.TrimSuffix(string(text), "\n"), "\n\n") {
		name, lines, _ := strings.Cut(strings.TrimPrefix(part, "\n"), "\n")
		records[name] = strings.ReplaceAll(strings.TrimPrefix(lines, "\t"), "\n\t", "\n")
	}
	return records, nil
}

// put writes the record of one test among those of others.
func put(name, text string) error {
	writing.Lock()
	defer writing.Unlock()
	records, err := read()
	if errors.Is(err, fs.ErrNotExist) {
		records, err = map[string]string{}, os.MkdirAll(filepath.Dir(file), 0o755)
	}
	if err != nil {
		return err
	}
	records[name] = text
	var b strings.Builder
	for i, name := range slices.Sorted(maps.Keys(records)) {
		if i > 0 {
			b.WriteByte('\n')
		}
		fmt.Fprintf(&b, "%s\n\t%s\n", name, strings.ReplaceAll(records[name], "\n", "\n\t"))
	}
	return os.WriteFile(file, []byte(b.String()), 0o644)
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
			was, is := part(a[i], b[i])
			return fmt.Sprintf("line %d: %q, want %q", i+1, is, was)
		}
	}
	return ""
}

// part cuts two long lines to where they begin to differ.
func part(a, b string) (string, string) {
	const near, long = 60, 400
	same := 0
	for same < min(len(a), len(b)) && a[same] == b[same] {
		same++
	}
	cut := func(s string) string {
		if len(s) <= long {
			return s
		}
		return "…" + s[max(0, same-near):min(len(s), same+near)] + "…"
	}
	return cut(a), cut(b)
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
		return err1 == nil && err2 == nil && math.Abs(v-w) <= 1e-6*math.Max(math.Abs(v), math.Abs(w))+1e-13
	})
}
