package datapackage_test

import (
	"io/fs"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	. "example.org/actinic/internal/datapackage"
)

// Sums of "abc": MD5 by RFC 1321, A.5; the SHA by FIPS 180-2, A.1, B.1 and C.1.
func TestSumsOfAbc(t *testing.T) {
	const (
		md5    = "900150983cd24fb0d6963f7d28e17f72"
		sha1   = "a9993e364706816aba3e25717850c26c9cd0d89d"
		sha256 = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
		sha512 = "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f"
	)
	if got := HashOf([]byte("abc")); got != "sha256:"+sha256 {
		t.Error(got)
	}
	for hash, right := range map[string]bool{
		md5: true, "md5:" + md5: true, "MD5:" + strings.ToUpper(md5): true, "sha1:" + sha1: true, "SHA256:" + sha256: true, "sha512:" + sha512: true,
		"": false, "md5:": false, sha256: false, "sha1:" + sha256: false, "sha256:" + md5: false, "sha512:" + sha512[:126]: false, "md5:" + md5[1:] + "9": false, "crc:" + md5: false, ":" + md5: false,
	} {
		descriptor := strings.Replace(others, `"resources": [`, `"resources": [{"name": "notes", "path": "notes.txt", "hash": "`+hash+`"}, `, 1)
		fsys := fstest.MapFS{DescriptorFile: {Data: []byte(descriptor)}, "places.csv": {Data: []byte(places)}, "notes.txt": {Data: []byte("abc")}}
		want := []string(nil)
		if !right {
			want = []string{`3:62: hash: read "` + hash + `", want sha256:` + sha256 + ", of notes.txt; where the file is right, write the package anew"}
		}
		if got := told(t, fsys); !slices.Equal(got, want) {
			t.Errorf("%s: %q", hash, got)
		}
		p, err := Open(fsys)
		if err != nil {
			t.Fatal(err)
		}
		if errs := p.Verify(func(string) bool { return false }); (len(errs) == 0) != right || !right && strings.TrimPrefix(errs[0].Error(), DescriptorFile+":") != want[0] {
			t.Errorf("%s: %v", hash, errs)
		}
		files, changed, err := Sealed(fsys, func(string) bool { return false })
		if err != nil || (len(changed) == 0) != right || right && string(files[DescriptorFile]) != descriptor {
			t.Errorf("%s: sealed %v, %v", hash, changed, err)
		}
		fsys[DescriptorFile].Data = files[DescriptorFile]
		if got := told(t, fsys); got != nil {
			t.Errorf("%s, sealed: %q", hash, got)
		}
	}
}

// What is held to its size and hash before it is used: tables of ours to both, others to what they have.
func TestVerify(t *testing.T) {
	const ours = "sha256:75de26e55b964715217d56464389acd1a267b716c344826ca58901898e9c5c12"
	sized, hashed := `"bytes": 33, "schema": {`, `"hash": "`+ours+`", "schema": {`
	changed := "; where the file is right, write the package anew"
	for _, c := range []struct {
		old, now  string
		must, may []string // errors where it must have both, and where it may
	}{
		{`"schema": {`, `"schema": {`, []string{`3:15: bytes: read "", want 33, the size of places.csv` + changed, `3:15: hash: read "", want ` + ours + ", of places.csv" + changed}, nil},
		{`"schema": {`, sized, []string{`3:15: hash: read "", want ` + ours + ", of places.csv" + changed}, nil},
		{`"schema": {`, hashed, []string{`3:15: bytes: read "", want 33, the size of places.csv` + changed}, nil},
		{`"schema": {`, `"bytes": 33, ` + hashed, nil, nil},
		{`"schema": {`, `"bytes": "33", ` + hashed, []string{`4:10: bytes: read "33", want 33, the size of places.csv` + changed}, []string{`4:10: bytes: read "33", want 33, the size of places.csv` + changed}},
		{`"path": "places.csv"`, `"path": "x.csv", "bytes": 1`, []string{`3:76: path: read "x.csv", want a file of the package`}, []string{`3:76: path: read "x.csv", want a file of the package`}},
		{`"path": "places.csv"`, `"path": "../x"`, []string{`3:76: path: read "../x", want the path of a file in the package`}, nil},
		{`"path": "places.csv"`, `"path": "../x", "hash": "x"`, []string{`3:76: path: read "../x", want the path of a file in the package`}, nil},
		{`"path": "places.csv", `, ``, []string{`3:15: path: read "", want the path of a file in the package`}, nil},
	} {
		for _, must := range []bool{true, false} {
			p, err := Open(as(t, c.old, c.now, places))
			if err != nil {
				t.Fatal(err)
			}
			want := c.may
			if must {
				want = c.must
			}
			var got []string
			for _, e := range p.Verify(func(name string) bool { return must && name == "places" }) {
				said, _, _ := strings.Cut(e.Error(), " (") // what the file system says
				got = append(got, strings.TrimPrefix(said, DescriptorFile+":"))
			}
			if !slices.Equal(got, want) {
				t.Errorf("%s, must %t: %q", c.now, must, got)
			}
		}
	}
}

// Sealing changes what is not true, where it stands, and adds what is needed behind the path.
func TestSealed(t *testing.T) {
	const sum = `"sha256:75de26e55b964715217d56464389acd1a267b716c344826ca58901898e9c5c12"`
	for _, c := range []struct {
		old, now, needed, free string // the text, and what it becomes where both are needed and where they are not
	}{
		{`"path": "places.csv"`, `"path": "places.csv"`, `"path": "places.csv", "hash": ` + sum + `, "bytes": 33`, `"path": "places.csv"`},
		{`"path": "places.csv"`, `"bytes": 7 , "path": "places.csv", "hash": "x"`, `"bytes": 33 , "path": "places.csv", "hash": ` + sum, `"bytes": 33 , "path": "places.csv", "hash": ` + sum},
		{`"path": "places.csv"`, `"hash": ` + sum + `,"path": "places.csv"`, `"hash": ` + sum + `,"path": "places.csv", "bytes": 33`, `"hash": ` + sum + `,"path": "places.csv"`},
		{`"path": "places.csv"`, `"path": "places.csv", "bytes": 33.0`, `"path": "places.csv", "hash": ` + sum + `, "bytes": 33.0`, `"path": "places.csv", "bytes": 33.0`},
		{`"path": "places.csv"`, `"path": "gone.csv", "bytes": 1`, `"path": "gone.csv", "bytes": 1`, `"path": "gone.csv", "bytes": 1`},
	} {
		for _, needed := range []bool{true, false} {
			fsys := as(t, c.old, c.now, places)
			files, changed, err := Sealed(fsys, func(name string) bool { return needed && name == "places" })
			want := c.free
			if needed {
				want = c.needed
			}
			if want = strings.Replace(others, c.old, want, 1); err != nil || string(files[DescriptorFile]) != want || string(files["places.csv"]) != places || len(files) != 2 {
				t.Errorf("%s, needed %t: %v\n%s", c.now, needed, err, files[DescriptorFile])
			}
			if named := want != string(fsys[DescriptorFile].Data); named != slices.Equal(changed, []string{"places.csv"}) || !named && changed != nil {
				t.Errorf("%s, needed %t: changed %q", c.now, needed, changed)
			}
		}
	}
	fsys := as(t, `"a"`, `"a"`, places)
	fsys["more/pipe"] = &fstest.MapFile{Mode: fs.ModeNamedPipe}
	if _, _, err := Sealed(fsys, func(string) bool { return false }); err == nil || !strings.Contains(err.Error(), "it would be lost: read more/pipe: no plain file: a pipe") {
		t.Error(err)
	}
	fsys = as(t, `"name": "a"`, `"name": 3`, places)
	if _, _, err := Sealed(fsys, func(string) bool { return false }); err == nil {
		t.Error("a descriptor that cannot be used is sealed")
	}
}
