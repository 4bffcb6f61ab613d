package held

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

func ExampleDiffer() {
	fmt.Println(Differ("speed 400.0000001", "speed 400") == "")
	fmt.Println(Differ("speed 400", "speed 401"))
	// Output:
	// true
	// line 1: "speed 401", want "speed 400"
}

func TestAlike(t *testing.T) {
	for _, tc := range []struct {
		a, b string
		want bool
	}{
		{"EI 800 (717.0000001)", "EI 800 (717.0000002)", true}, {"EI 800", "EI 801", false}, {"EI 800", "ISO 800", false},
		{"a -1e-3", "a -0.001", true}, {"a 1 2", "a 1", false}, {"", "", true}, {"1000000", "1000001", true}, {"1000000", "1000002", false},
	} {
		if got := alike(tc.a, tc.b); got != tc.want {
			t.Errorf("%q, %q: %v", tc.a, tc.b, got)
		}
	}
	if got := Differ("a\nb", "a\nc"); got != `line 2: "c", want "b"` {
		t.Error(got)
	}
	if got := Differ("a", "a\nb"); got != `line 2 is new: "b"` {
		t.Error(got)
	}
	if got := Differ("a\nb", "a"); got != `line 2 is missing: "b"` {
		t.Error(got)
	}
}

func TestLongLinesAreCut(t *testing.T) {
	a := strings.Repeat("a", 500) + "x" + strings.Repeat("b", 500)
	was, is := part(a, strings.Replace(a, "x", "y", 1))
	if want := "…" + strings.Repeat("a", 60) + "x" + strings.Repeat("b", 59) + "…"; was != want || len(is) != len(want) {
		t.Errorf("%q, %q, want %q", was, is, want)
	}
	if was, is := part(a, "z"); is != "z" || len(was) != 60+6 {
		t.Errorf("%q, %q", was, is)
	}
}

// spy is a test that is told of errors.
type spy struct {
	testing.TB
	said   []string
	failed bool
}

func (s *spy) Cleanup(func())                 {}
func (s *spy) Failed() bool                   { return s.failed }
func (s *spy) Skipped() bool                  { return false }
func (s *spy) Error(args ...any)              { s.said = append(s.said, fmt.Sprint(args...)) }
func (s *spy) Helper()                        {}
func (s *spy) Errorf(format string, a ...any) { s.said = append(s.said, fmt.Sprintf(format, a...)) }

func TestRecords(t *testing.T) {
	was := processor
	processor = runtime.GOARCH
	defer func() { processor = was }()
	t.Chdir(t.TempDir())
	*update = false // this test updates by itself
	tell := func(err error, v float64, failed bool) []string {
		s := &spy{TB: t, failed: failed}
		r := New(s)
		if New(s) != r {
			t.Error("two records of one test")
		}
		r.Values("value", v, []float64{1, math.NaN()}, 3, "x")
		if !r.Is("bad", err, err) || r.Is("bad", err, io.EOF) { // said twice, recorded once
			t.Error("which error it is")
		}
		if r.Refused("good", nil) || !r.Refused("", io.EOF) {
			t.Error("whether it is one")
		}
		r.compare()
		return s.said
	}
	bad := errors.New(filepath.Join(os.TempDir(), "x") + ": bad\nworse")
	if got := tell(bad, 1, false); len(got) != 1 || !strings.Contains(strings.ToLower(got[0]), "no such file") {
		t.Errorf("without a record: %q", got)
	}
	*update = true
	tell(errors.New("before"), 2, false)
	if err := put("TestZ", "z\nzz"); err != nil {
		t.Fatal(err)
	}
	tell(bad, 1, false)
	*update = false
	if records, err := read(); err != nil || len(records) != 2 || records["TestZ"] != "z\nzz" {
		t.Errorf("%q, %v", records, err)
	}
	text, err := os.ReadFile("testdata/held.txt")
	if want := "TestRecords\n\tEOF\n\tbad: DIR/x: bad\\nworse\n\tgood: no error\n\tvalue: 1 [1 NaN] 3 x\n\nTestZ\n\tz\n\tzz\n"; err != nil || string(text) != want {
		t.Errorf("%q, want %q, %v", text, want, err)
	}
	if got := tell(bad, 1+1e-7, false); got != nil {
		t.Errorf("the same: %q", got)
	}
	if got := tell(bad, 1.1, false); len(got) != 1 || !strings.Contains(got[0], `TestRecords: line 4: "value: 1.1`) {
		t.Errorf("another number: %q", got)
	}
	if got := tell(errors.New("good"), 1, false); len(got) != 1 {
		t.Errorf("another sentence: %q", got)
	}
	if got := tell(bad, 1.1, true); got != nil {
		t.Errorf("a test that failed: %q", got)
	}
}

// Where vectors are not used the last digits are others.
func TestHere(t *testing.T) {
	for _, name := range []string{"ACTINIC_ELEMENTARY", "ACTINIC_FILMFIT"} {
		t.Setenv(name, "plain")
		if Here() {
			t.Errorf("%s=plain is as on the records' processor", name)
		}
		t.Setenv(name, "")
	}
}
