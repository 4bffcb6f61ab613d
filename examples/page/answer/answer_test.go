package answer_test

import (
	"io/fs"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/examples/page/answer"
	"example.org/actinic/internal/held"
)

func TestDropped(t *testing.T) {
	said := held.New(t)
	d := answer.Dropped{"a.csv": []byte("1,2\n"), "b.json": []byte("{}"), "c": nil}
	if err := fstest.TestFS(d, "a.csv", "b.json", "c"); err != nil {
		t.Error(err)
	}
	if _, err := d.Open("../a.csv"); !said.Is("", err, fs.ErrInvalid) {
		t.Errorf("a file outside: %v", err)
	}
	if _, err := d.Open("d"); !said.Is("", err, fs.ErrNotExist) {
		t.Errorf("a file that is not there: %v", err)
	}
}

func TestBelow(t *testing.T) {
	all := map[string][]byte{"report/table.csv": nil, "report/package/datapackage.json": []byte("{}"), "report/package/films.csv": []byte("a"), "other/x/datapackage.json": nil}
	d, ok := answer.Below(all, "datapackage.json")
	if got := strings.Join(d.Names(), " "); !ok || got != "datapackage.json" { // of the shorter path
		t.Errorf("%v %v", got, ok)
	}
	if d, ok = answer.Below(map[string][]byte{"test.json": nil, "strips.csv": nil}, "test.json"); !ok || len(d) != 2 {
		t.Errorf("%v %v", d, ok)
	}
	if d, ok = answer.Below(nil, "test.json"); ok || len(d) > 0 {
		t.Errorf("%v %v", d, ok)
	}
}

func TestWhatCannotBeWrittenIsSaid(t *testing.T) {
	a := answer.Answer{Title: "T", Sections: []answer.Section{{Figures: []answer.Figure{{Marks: []answer.Point{{math.NaN(), 1}}}}}}}
	if got, want := string(a.JSON()), `"errors":["the answer cannot be written: json: unsupported value: NaN"]`; !strings.Contains(got, want) {
		t.Errorf("%s, want %s", got, want)
	}
}

// A folder in memory lists its files once, in pieces of any size, and is not read itself.
func TestFolder(t *testing.T) {
	d := answer.Dropped{"a": nil, "b": nil, "c": nil}
	for _, n := range []int{-1, 0, 1, 2, 3, 4} {
		f, err := d.Open(".")
		if err != nil {
			t.Fatal(err)
		}
		names := ""
		for range 4 {
			entries, err := f.(fs.ReadDirFile).ReadDir(n)
			for _, e := range entries {
				names += e.Name()
			}
			if names += ","; err != nil {
				names += err.Error()
			}
		}
		if want := map[int]string{-1: "abc,,,,", 0: "abc,,,,", 1: "a,b,c,,EOF", 2: "ab,c,,EOF,EOF", 3: "abc,,EOF,EOF,EOF",
			4: "abc,,EOF,EOF,EOF"}[n]; names != want {
			t.Errorf("%d at once: %s, want %s", n, names, want)
		}
		if k, err := f.Read(make([]byte, 2)); k != 0 || err == nil {
			t.Errorf("a folder reads %d bytes, %v", k, err)
		}
		info, err := f.Stat()
		if err != nil || !info.IsDir() || info.Name() != "." || info.Mode() != fs.ModeDir|0o555 || info.Size() != 0 {
			t.Errorf("%v, %v", info, err)
		}
	}
}
