package wholedir

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"example.org/actinic/internal/held"
)

var kills = flag.Int("kills", 15, "how often a writer is killed; the figures of the docs are of 500")

const parts = 12 // files of a folder, some below package

func partName(i int) string {
	if i%2 == 0 {
		return filepath.Join("package", fmt.Sprintf("part%d.csv", i))
	}
	return fmt.Sprintf("part%d.csv", i)
}

func anyPart(name string) bool { return name == "package/" || strings.HasSuffix(name, ".csv") }

// fillWith fills a folder with files that all say the same word; budget bytes may be
// written, as on a disk that is full then, or less than 0 for no bound.
func fillWith(word string, budget int) func(dir string) error {
	return func(dir string) error {
		if err := os.Mkdir(filepath.Join(dir, "package"), 0o755); err != nil {
			return err
		}
		for i := range parts {
			text := []byte(strings.Repeat(word+"\n", 1000))
			name := filepath.Join(dir, partName(i))
			if budget >= 0 && len(text) > budget {
				return errors.Join(os.WriteFile(name, text[:budget], 0o644), errFull)
			}
			if budget >= 0 {
				budget -= len(text)
			}
			if err := os.WriteFile(name, text, 0o644); err != nil {
				return err
			}
		}
		return nil
	}
}

var errFull = errors.New("the disk is full")

// word returns what all files of a folder say; an error where they say different things,
// or one is missing or cut.
func word(dir string) (string, error) {
	var said string
	for i := range parts {
		b, err := os.ReadFile(filepath.Join(dir, partName(i)))
		if err != nil {
			return "", err
		}
		first, _, _ := strings.Cut(string(b), "\n")
		if string(b) != strings.Repeat(first+"\n", 1000) {
			return "", fmt.Errorf("%s is cut", partName(i))
		}
		if said != "" && first != said {
			return "", fmt.Errorf("%s says %s, others %s", partName(i), first, said)
		}
		said = first
	}
	return said, nil
}

// only fails where there is anything in a folder but one name.
func only(t *testing.T, parent, name string) {
	t.Helper()
	entries, err := os.ReadDir(parent)
	if err != nil || len(entries) != 1 || entries[0].Name() != name {
		t.Errorf("in %s: %v, %v; want %s alone", parent, entries, err, name)
	}
}

// both runs a test with the one step of the system, and without it.
func both(t *testing.T, test func(t *testing.T)) {
	t.Run("in one step", test)
	t.Run("moved aside", func(t *testing.T) {
		was := exchange
		exchange = func(_, _ string) error { return errNoExchange }
		defer func() { exchange = was }()
		test(t)
	})
}

func TestWrite(t *testing.T) {
	said := held.New(t)
	both(t, func(t *testing.T) {
		parent := filepath.Join(t.TempDir(), "a", "b")
		dir := filepath.Join(parent, "report")
		for _, w := range []string{"one", "two", "three"} {
			if err := Write(dir, anyPart, fillWith(w, -1)); err != nil {
				t.Fatal(err)
			}
			if got, err := word(dir); got != w || err != nil {
				t.Errorf("%q, %v, want %q", got, err, w)
			}
			only(t, parent, "report")
		}
		if err := Write(dir, nil, fillWith("new", -1)); !said.Is("", err, os.ErrExist) {
			t.Errorf("over a folder that must not exist: %v", err)
		}
		t.Chdir(parent) // whatever "" may come to mean
		if err := Write("", anyPart, fillWith("new", -1)); !said.Refused("", err) {
			t.Error("a folder without a name")
		}
	})
}

// What nobody made here is not written over.
func TestOthersAreKept(t *testing.T) {
	said := held.New(t)
	for _, name := range []string{"notes.txt", "package/notes.txt", "mine/part1.csv", ".git/config"} {
		dir := filepath.Join(t.TempDir(), "report")
		file := filepath.Join(dir, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(file), 0o755), os.WriteFile(file, []byte("keep"), 0o644)); err != nil {
			t.Fatal(err)
		}
		if err := Write(dir, anyPart, fillWith("new", -1)); !said.Is(name, err, ErrOther) || !strings.Contains(err.Error(), strings.Split(name, "/")[0]) {
			t.Errorf("%s: %v", name, err)
		}
		if b, err := os.ReadFile(file); err != nil || string(b) != "keep" {
			t.Errorf("%s: %q, %v", name, b, err)
		}
		only(t, filepath.Dir(dir), "report")
	}
	file := filepath.Join(t.TempDir(), "report")
	if err := errors.Join(os.WriteFile(file, nil, 0o644), Write(file, anyPart, fillWith("new", -1))); !said.Is("", err, ErrOther) {
		t.Errorf("over a file: %v", err)
	}
}

// A disk that is full at any of 20 sizes leaves the old folder, whole, and no litter.
func TestFullDisk(t *testing.T) {
	said := held.New(t)
	both(t, func(t *testing.T) {
		for _, first := range []bool{true, false} {
			parent := t.TempDir()
			dir := filepath.Join(parent, "report")
			if !first {
				if err := Write(dir, anyPart, fillWith("old", -1)); err != nil {
					t.Fatal(err)
				}
			}
			for i := range 20 {
				if err := Write(dir, anyPart, fillWith("new", i*parts*4000/20)); !said.Is("", err, errFull) {
					t.Fatal(err)
				}
				if first {
					if left, err := os.ReadDir(parent); err != nil || len(left) > 0 {
						t.Fatalf("left behind: %v, %v", left, err)
					}
					continue
				}
				if got, err := word(dir); got != "old" || err != nil {
					t.Fatalf("%q, %v", got, err)
				}
				only(t, parent, "report")
			}
		}
	})
}

// Of 8 writers at once each wins or is told, and whoever looks sees one of theirs.
func TestManyWriters(t *testing.T) {
	said := held.New(t)
	both(t, func(t *testing.T) {
		parent := t.TempDir()
		dir := filepath.Join(parent, "report")
		if err := Write(dir, anyPart, fillWith("start", -1)); err != nil {
			t.Fatal(err)
		}
		var won, told atomic.Int64
		var wg sync.WaitGroup
		for w := range 8 {
			wg.Add(1)
			go func() {
				defer wg.Done()
				for range 10 {
					switch err := Write(dir, anyPart, fillWith("writer"+strconv.Itoa(w), -1)); {
					case err == nil:
						won.Add(1)
					case said.Is("", err, ErrBusy):
						told.Add(1)
						time.Sleep(time.Millisecond)
					default:
						t.Errorf("neither won nor told: %v", err)
					}
				}
			}()
		}
		wg.Wait()
		if won.Load() == 0 || won.Load()+told.Load() != 80 {
			t.Errorf("%d won, %d were told, of 80", won.Load(), told.Load())
		}
		t.Logf("%d won, %d were told", won.Load(), told.Load())
		if _, err := word(dir); err != nil {
			t.Error(err)
		}
		only(t, parent, "report")
	})
}

// A folder that another writer moves aside while it is looked at is no error.
func TestMovedWhileLookedAt(t *testing.T) {
	parent := t.TempDir()
	dir := filepath.Join(parent, "report")
	if err := Write(dir, anyPart, fillWith("old", -1)); err != nil {
		t.Fatal(err)
	}
	moved := false
	ours := func(name string) bool {
		if !moved {
			moved = true
			if err := os.Rename(dir, filepath.Join(t.TempDir(), "aside")); err != nil {
				t.Error(err)
			}
		}
		return anyPart(name)
	}
	if err := Write(dir, ours, fillWith("new", -1)); err != nil || !moved {
		t.Fatalf("moved %t: %v", moved, err)
	}
	if got, err := word(dir); got != "new" || err != nil {
		t.Errorf("%q, %v", got, err)
	}
	only(t, parent, "report")
}

// TestHelperWriter is no test: it is what TestKilled kills.
func TestHelperWriter(t *testing.T) {
	dir := os.Getenv("WHOLEDIR_HELPER")
	if dir == "" {
		t.Skip("only run by TestKilled")
	}
	if os.Getenv("WHOLEDIR_ASIDE") != "" {
		exchange = func(_, _ string) error { return errNoExchange }
	}
	fmt.Println("ready")
	for i := 0; ; i++ {
		if err := Write(dir, anyPart, fillWith("w"+strconv.Itoa(i%7), -1)); err != nil {
			t.Fatal(err)
		}
	}
}

// A writer killed at random moments leaves one of the folders, whole; its litter is
// cleared by the next. Where there is no exchange, the folder may be missing until then.
func TestKilled(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("locks are not let go of by a killed program here")
	}
	for _, aside := range []string{"", "aside"} {
		t.Run("exchange"+aside, func(t *testing.T) {
			parent := t.TempDir()
			dir := filepath.Join(parent, "report")
			if err := Write(dir, anyPart, fillWith("start", -1)); err != nil {
				t.Fatal(err)
			}
			oneStep := aside == "" && exchange(t.TempDir(), t.TempDir()) == nil // does this file system have it?
			rng := rand.New(rand.NewPCG(16, 16))
			litter, missing, mixed := 0, 0, 0
			for range *kills {
				cmd := exec.Command(os.Args[0], "-test.run", "^TestHelperWriter$")
				cmd.Env = append(os.Environ(), "WHOLEDIR_HELPER="+dir, "WHOLEDIR_ASIDE="+aside)
				out, err := cmd.StdoutPipe()
				if err != nil {
					t.Fatal(err)
				}
				if err := cmd.Start(); err != nil {
					t.Fatal(err)
				}
				if _, err := out.Read(make([]byte, 1)); err != nil {
					t.Fatal(err)
				}
				time.Sleep(time.Duration(rng.IntN(30_000)) * time.Microsecond)
				if err := cmd.Process.Kill(); err != nil {
					t.Fatal(err)
				}
				_ = cmd.Wait()
				if e, _ := os.ReadDir(parent); len(e) > 1 {
					litter++
				}
				if _, err := word(dir); errors.Is(err, fs.ErrNotExist) && !oneStep {
					missing++
				} else if err != nil {
					mixed++
					t.Error(err)
				}
				if rng.IntN(2) == 0 { // the next run sees to it
					if err := Write(dir, anyPart, fillWith("next", -1)); err != nil {
						t.Fatal(err)
					}
					only(t, parent, "report")
				}
			}
			t.Logf("%d kills: %d mixed or cut, %d missing until the next run, litter after %d", *kills, mixed, missing, litter)
			if err := Write(dir, anyPart, fillWith("last", -1)); err != nil {
				t.Fatal(err)
			}
			if got, err := word(dir); got != "last" || err != nil {
				t.Errorf("%q, %v", got, err)
			}
			only(t, parent, "report")
		})
	}
}

// A folder that a killed writer had moved aside is put back before anything else.
func TestPutBack(t *testing.T) {
	if !clears {
		t.Skip("without locks what a killed writer left is for its user to take away")
	}
	said := held.New(t)
	parent := t.TempDir()
	dir := filepath.Join(parent, "report")
	if err := Write(dir, anyPart, fillWith("old", -1)); err != nil {
		t.Fatal(err)
	}
	work := filepath.Join(parent, ".report.writing")
	if err := errors.Join(os.Mkdir(work, 0o755), os.Rename(dir, filepath.Join(work, "old"))); err != nil {
		t.Fatal(err)
	}
	if err := Write(dir, anyPart, fillWith("new", 100)); !said.Is("", err, errFull) {
		t.Fatal(err)
	}
	if got, err := word(dir); got != "old" || err != nil {
		t.Errorf("%q, %v", got, err)
	}
	only(t, parent, "report")
}

// Files of a folder that holds others are put in, and nothing else is touched.
func TestFiles(t *testing.T) {
	said := held.New(t)
	dir := filepath.Join(t.TempDir(), "pictures")
	other := filepath.Join(dir, "mine.txt")
	if err := errors.Join(os.MkdirAll(dir, 0o755), os.WriteFile(other, []byte("keep"), 0o644)); err != nil {
		t.Fatal(err)
	}
	if litter := filepath.Join(dir, ".files.writing", "half.png"); clears {
		if err := errors.Join(os.MkdirAll(filepath.Dir(litter), 0o755), os.WriteFile(litter, nil, 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	if err := Files(dir, map[string][]byte{"a.png": []byte("a"), "b.png": []byte("b")}); err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 3 {
		t.Errorf("%v, %v", entries, err)
	}
	for name, want := range map[string]string{"a.png": "a", "b.png": "b", "mine.txt": "keep"} {
		if b, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(b) != want {
			t.Errorf("%s: %q, %v", name, b, err)
		}
	}
	if err := Files(other, map[string][]byte{"a": nil}); !said.Refused("", err) {
		t.Error("files in a file")
	}
}
