package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"example.org/actinic"
	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/testroll/quarry"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/wholedir"
)

var (
	kills = flag.Int("kills", 5, "how often the program is killed while it writes; the figures of the docs are of 500")
	disks = flag.Int("disks", 3, "on how many sizes of disk a report is written; the figures of the docs are of 20")
)

// twoRecords are those of two rolls, which differ in the name of the film alone.
func twoRecords(t *testing.T) [2]*roll.Record {
	t.Helper()
	test, err := roll.Read(quarry.Files)
	if err != nil {
		t.Fatal(err)
	}
	var out [2]*roll.Record
	for i := range out {
		r := *test
		r.Film = fmt.Sprintf("Film %d (invented)", i)
		if out[i], err = r.Characterise(roll.Settings{}); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

var invented = actinic.Provenance{Basis: actinic.Invented, Source: "a test of writing"}

// filmIn returns the film that all of a report is of: page, record and package; an error
// where they are of two, or one is missing.
func filmIn(dir string) (string, error) {
	text, err := os.ReadFile(filepath.Join(dir, "record.json"))
	if err != nil {
		return "", err
	}
	var r struct{ Film string }
	if err := json.Unmarshal(text, &r); err != nil {
		return "", err
	}
	page, err := os.ReadFile(filepath.Join(dir, "report.html"))
	if err != nil {
		return "", err
	}
	if !bytes.Contains(page, []byte(r.Film)) || !bytes.Contains(page, []byte("</html>")) {
		return "", fmt.Errorf("the page is not of %s, or cut", r.Film)
	}
	fsys := os.DirFS(filepath.Join(dir, "package"))
	p, err := actinic.ReadPackage(fsys, actinic.Verify)
	if err != nil {
		return "", err
	}
	if films := p.Films(); len(films) != 1 || films[0] != r.Film {
		return "", fmt.Errorf("a report of %s with a package of %v", r.Film, films)
	}
	return r.Film, actinic.CheckPackage(fsys)
}

// TestHelperReports is no test: it is what TestKilledReports kills.
func TestHelperReports(t *testing.T) {
	dir := os.Getenv("TESTROLL_HELPER")
	if dir == "" {
		t.Skip("only run by TestKilledReports")
	}
	records := twoRecords(t)
	fmt.Println("ready")
	for i := 0; ; i++ {
		if err := write(dir, records[(i+1)%2], invented, about{shipped: true}, io.Discard, false); err != nil {
			t.Fatal(err)
		}
	}
}

// A program that is killed at any moment leaves a report and a package of one film.
func TestKilledReports(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("in one step on Linux")
	}
	dir := filepath.Join(t.TempDir(), "report")
	records := twoRecords(t)
	if err := write(dir, records[0], invented, about{shipped: true}, io.Discard, false); err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(4, 4))
	seen := map[string]int{}
	for n := 0; n < *kills; {
		cmd := exec.Command(os.Args[0], "-test.run", "^TestHelperReports$")
		cmd.Env = append(os.Environ(), "TESTROLL_HELPER="+dir)
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
		time.Sleep(time.Duration(rng.IntN(1200)) * time.Millisecond)
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		_ = cmd.Wait()
		film, err := filmIn(dir)
		if n++; err != nil {
			t.Errorf("kill %d: %v", n, err)
		}
		seen[film]++
	}
	t.Logf("%d kills: %v", *kills, seen)
	if err := write(dir, records[1], invented, about{shipped: true}, io.Discard, false); err != nil {
		t.Fatal(err)
	}
	if e, err := os.ReadDir(filepath.Dir(dir)); err != nil || len(e) != 1 {
		t.Errorf("left beside the report: %v, %v", e, err)
	}
}

// Of eight writers one wins at a time, the others are told, and what is there is of one.
func TestEightWriters(t *testing.T) {
	said := held.New(t)
	dir := filepath.Join(t.TempDir(), "report")
	records := twoRecords(t)
	var won, told atomic.Int64
	var wg sync.WaitGroup
	for w := range 8 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			switch err := write(dir, records[w%2], invented, about{shipped: true}, io.Discard, false); {
			case err == nil:
				won.Add(1)
			case said.Is("", err, wholedir.ErrBusy):
				told.Add(1)
			default:
				t.Error(err)
			}
		}()
	}
	wg.Wait()
	if _, err := filmIn(dir); err != nil || won.Load() == 0 || won.Load()+told.Load() != 8 {
		t.Errorf("%d won, %d were told: %v", won.Load(), told.Load(), err)
	}
	t.Logf("%d won, %d were told", won.Load(), told.Load())
}

// A disk that is full at any of many sizes keeps the old report; it needs a file system of
// its own, which not everybody may mount.
func TestFullDiskKeepsReport(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("needs a tmpfs")
	}
	records := twoRecords(t)
	size := 0
	probe := filepath.Join(t.TempDir(), "report")
	if err := write(probe, records[0], invented, about{shipped: true}, io.Discard, false); err != nil {
		t.Fatal(err)
	}
	_ = filepath.Walk(probe, func(_ string, st os.FileInfo, err error) error {
		if err == nil {
			size += int(st.Size()+4095) &^ 4095
		}
		return err
	})
	for i := range *disks {
		disk := filepath.Join(t.TempDir(), "disk")
		if err := os.Mkdir(disk, 0o755); err != nil {
			t.Fatal(err)
		}
		bytes := size + size*(i+1)/(*disks+2)
		if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, fmt.Sprintf("size=%d", bytes)); err != nil {
			t.Skip("no file system can be mounted here: ", err)
		}
		dir := filepath.Join(disk, "report")
		err := write(dir, records[0], invented, about{shipped: true}, io.Discard, false)
		if err == nil {
			if err = write(dir, records[1], invented, about{shipped: true}, io.Discard, false); err == nil {
				t.Errorf("a second report fits on a disk of %d bytes for %d", bytes, size)
			} else if !errors.Is(err, syscall.ENOSPC) {
				t.Errorf("%d bytes: %v", bytes, err)
			}
			if film, err := filmIn(dir); err != nil || film != records[0].Film {
				t.Errorf("%d bytes: %q, %v", bytes, film, err)
			}
		} else if !errors.Is(err, syscall.ENOSPC) {
			t.Errorf("%d bytes: %v", bytes, err)
		}
		if e, err := os.ReadDir(disk); err != nil || len(e) > 1 {
			t.Errorf("left on the disk: %v, %v", e, err)
		}
		if err := syscall.Unmount(disk, 0); err != nil {
			t.Error(err)
		}
	}
}

// What a tester says of the package is in it and on the page; what nobody said is told.
func TestAboutThePackage(t *testing.T) {
	in, out := t.TempDir(), filepath.Join(t.TempDir(), "report")
	for _, name := range []string{"test.json", "strips.csv"} {
		text, err := quarry.Files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(in, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	said, err := try(t, "-dir", in, "-out", out)
	if err != nil || !strings.Contains(said, "No licence was stated") || !strings.Contains(said, "-licence") || !strings.Contains(said, "-author") {
		t.Errorf("%v\n%s", err, said)
	}
	info := func() actinic.PackageInfo {
		p, err := actinic.ReadPackage(os.DirFS(filepath.Join(out, "package")), actinic.Verify)
		if err != nil {
			t.Fatal(err)
		}
		return p.Info()
	}
	if got := info(); got.License == "CC0-1.0" || got.License != noLicence {
		t.Errorf("published under %q without a word", got.License)
	}
	said, err = try(t, "-dir", in, "-out", out, "-licence", "CC-BY-4.0", "-author", "A. Tester", "-title", "My film", "-version", "2.0.1")
	if err != nil || strings.Contains(said, "stated") {
		t.Errorf("%v\n%s", err, said)
	}
	if got := info(); got.License != "CC-BY-4.0" || got.Title != "My film" || got.Version != "2.0.1" || len(got.Contributors) != 1 || got.Contributors[0].Title != "A. Tester" {
		t.Errorf("%+v", got)
	}
	page, err := os.ReadFile(filepath.Join(out, "report.html"))
	if err != nil || !bytes.Contains(page, []byte("My film, version 2.0.1, by A. Tester. Licence: CC-BY-4.0")) {
		t.Errorf("the page does not say so: %v", err)
	}
	for _, bad := range [][]string{{"-licence", "do what you want"}, {"-version", "one"}} {
		if _, err := try(t, append([]string{"-dir", in, "-out", out}, bad...)...); err == nil {
			t.Errorf("%v is taken", bad)
		}
	}
	var record struct {
		Made struct{ Inputs map[string]string }
	}
	text, err := os.ReadFile(filepath.Join(out, "record.json"))
	if err == nil {
		err = json.Unmarshal(text, &record)
	}
	if err != nil || len(record.Made.Inputs) != 2 || !strings.HasPrefix(record.Made.Inputs["strips.csv"], "sha256:") {
		t.Errorf("%v, %v", record.Made, err)
	}
}

// No name of a strip is run by the spreadsheet that opens table.csv.
func TestTableRunsNoFormula(t *testing.T) {
	const evil = "=1+1+cmd|' /C calc'!A0"
	rows := defused([][]string{{evil, "-0.30", "@SUM(A1)", "–"}})
	var b bytes.Buffer
	if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	if got := b.String(); got != "'=1+1+cmd|' /C calc'!A0,-0.30,'@SUM(A1),–\n" {
		t.Errorf("%q", got)
	}
}
