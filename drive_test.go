package actinic

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/held"
)

// What a package with one cell of a table changed, or one line of its descriptor, is told is held to
// what it was.
func TestDrivePackages(t *testing.T) {
	small := smallFS()
	told := func(m fstest.MapFS) (found []string, err error) {
		seal(m)
		if err := CheckPackage(m); err != nil {
			found = append(found, err.Error())
		}
		p, err := ReadPackage(m, Verify)
		if err != nil {
			return found, err
		}
		for _, name := range p.Films() {
			f, err := p.Film(name)
			if err != nil {
				return found, err
			}
			found = append(found, f.String())
			found = append(found, f.Missing()...)
		}
		return found, nil
	}
	with := func(name string, content []byte) fstest.MapFS {
		m := maps.Clone(small)
		for name, f := range m {
			m[name] = &fstest.MapFile{Data: f.Data}
		}
		m[name] = &fstest.MapFile{Data: content}
		return m
	}
	var pool []any
	nth := 0
	for _, name := range sortedNames(small) {
		if !strings.HasSuffix(name, ".csv") {
			continue
		}
		for _, v := range held.Variants(string(small[name].Data)) {
			if nth++; nth%8 == 0 {
				pool = append(pool, with(name, v.([]byte)))
			}
		}
	}
	const descriptor = datapackage.DescriptorFile
	lines := strings.Split(string(small[descriptor].Data), "\n")
	value := regexp.MustCompile(`: .*?(,?)$`)
	for i, line := range lines {
		other := []string{"", value.ReplaceAllString(line, ": 17$1"), value.ReplaceAllString(line, `: "x y"$1`)}[i%3]
		if i%9 > 2 || other == line {
			continue
		}
		changed := append([]string(nil), lines...)
		changed[i] = other
		pool = append(pool, with(descriptor, []byte(strings.Join(changed, "\n"))))
	}
	t.Log(len(pool), "packages")
	held.New(t).Drive([]any{told}, pool...)
}

func sortedNames(m fstest.MapFS) []string {
	var names []string
	for name := range m {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}
