package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/spreadsheet"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed/layout"
)

// source is a file to check; found says that it is one of a folder.
type source struct {
	path  string
	found bool
}

// manuscripts are the endings of files of a folder that may hold tables; those of text may
// also hold none.
var manuscripts = map[string]bool{".csv": true, ".tsv": true, ".xlsx": false, ".md": false, ".markdown": false, ".tex": false,
	".html": false, ".htm": false}

// sources are the files that the command line means, those of folders in order.
func sources(args []string) ([]source, error) {
	var out []source
	for _, a := range args {
		st, err := os.Stat(a)
		if a == "-" {
			out = append(out, source{a, false})
			continue
		}
		if err != nil {
			if len(args) == 1 {
				return nil, err
			}
			out = append(out, source{a, true}) // said with the others
			continue
		}
		if !st.IsDir() {
			out = append(out, source{a, len(args) > 1})
			continue
		}
		n := len(out)
		err = filepath.WalkDir(a, func(path string, d fs.DirEntry, err error) error {
			switch {
			case err != nil:
				return err
			case d.IsDir() && strings.HasPrefix(d.Name(), ".") && path != a:
				return filepath.SkipDir
			case d.IsDir():
				return nil
			}
			if _, ok := manuscripts[strings.ToLower(filepath.Ext(path))]; ok {
				out = append(out, source{path, true})
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
		if len(out) == n {
			return nil, fmt.Errorf("%s: no file of a table in it (%s)", a, strings.Join(endings(), " "))
		}
	}
	return out, nil
}

func endings() (out []string) {
	for e := range manuscripts {
		out = append(out, e)
	}
	slices.Sort(out)
	return out
}

// patience is how long nothing is said of how far the work is.
var patience = 2 * time.Second

// book checks all files, as many at a time as there are cores, and prints them in order as
// they are done.
func (o *options) book(accepted []acceptance, stdout, stderr io.Writer) error {
	files, err := sources(o.args)
	if err != nil {
		return err
	}
	results := make([]chan []job, len(files))
	for i := range results {
		results[i] = make(chan []job, 1)
	}
	next := make(chan int)
	var wg sync.WaitGroup
	stop := make(chan struct{})
	for range min(runtime.GOMAXPROCS(0), len(files)) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				results[i] <- o.file(files[i], accepted)
			}
		}()
	}
	go func() {
		defer close(next)
		for i := range files {
			select {
			case next <- i:
			case <-stop:
				return
			}
		}
	}()
	defer wg.Wait()
	defer close(stop)
	alone := len(files) == 1 && !files[0].found
	var all []job
	last := time.Now()
	for i := range files {
		jobs := <-results[i]
		for k := range jobs {
			if err := o.one(&jobs[k], alone && len(jobs) == 1, stdout, stderr); err != nil {
				return err
			}
		}
		all = append(all, jobs...)
		if time.Since(last) > patience && i+1 < len(files) {
			last = time.Now()
			fmt.Fprintf(stderr, "tablecheck: %d of %d files\n", i+1, len(files))
		}
	}
	return o.end(all, stdout)
}

// file checks the tables of a file.
func (o *options) file(f source, accepted []acceptance) []job {
	failed := func(err error) []job {
		if _, ours := err.(datafile.Errors); !ours && f.found && !strings.HasPrefix(err.Error(), f.path) {
			err = fmt.Errorf("%s: %w", f.path, err)
		}
		return []job{{path: f.path, Name: filepath.Base(f.path), err: err}}
	}
	content, err := contentOf(f.path)
	if err != nil {
		return failed(err)
	}
	tables, err := tablesOf(content, f.path)
	text, prose := manuscripts[strings.ToLower(filepath.Ext(f.path))]
	prose = prose && !text
	if err != nil {
		if f.found && prose && strings.Contains(err.Error(), "want a header, and rows") {
			return nil // a text without a table
		}
		return failed(err)
	}
	var out []job
	for n, t := range tables {
		if f.found && prose && (t.Format == layout.Comma || t.Format == layout.Semicolon || t.Format == layout.Tab) {
			continue // a text without a table
		}
		kind := o.kind
		if kind == "" {
			if kind, err = kindOf(t, f.path); err != nil {
				if errors.Is(err, errKind) && prose && len(tables) > 1 {
					continue // a table of something else
				}
				out = append(out, failed(err)...)
				continue
			}
		}
		jobs, err := check(t, f.path, kind, o)
		if err != nil {
			out = append(out, failed(err)...)
			continue
		}
		for k := range jobs {
			if len(tables) > 1 {
				jobs[k].file = fmt.Sprintf("%s_%d", jobs[k].file, n+1)
			}
			jobs[k].made = command.MadeFrom(f.path, content)
		}
		out = append(out, jobs...)
	}
	accept(out, accepted)
	return out
}

// tablesOf are the tables of a manuscript, a text or a workbook.
func tablesOf(content []byte, path string) ([]*layout.Table, error) {
	if spreadsheet.Is(content) && len(content) <= layout.MostBytes {
		return spreadsheet.Read(content, path)
	}
	return layout.Read(content, path)
}

// contentOf reads a file as far as a table may be long.
func contentOf(path string) ([]byte, error) {
	if path == "-" {
		return io.ReadAll(io.LimitReader(os.Stdin, layout.MostBytes+1))
	}
	f, err := command.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, layout.MostBytes+1))
}
