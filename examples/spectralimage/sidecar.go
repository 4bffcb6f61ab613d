package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/spectrafile"
	"example.org/actinic/filters/cube"
	"example.org/actinic/internal/npy"
)

// sidecar is densities.json: all that is needed to make densities.npy again, and nothing
// that differs from run to run.
type sidecar struct {
	Version  string              `json:"actinic_version"`
	Array    string              `json:"array"`
	Axes     []string            `json:"axes"`
	Cube     described           `json:"cube"`
	Rows     [2]int              `json:"rows"` // from, and the first that is not among them
	Bands    []float64           `json:"wavelength_nm"`
	Channels []channel           `json:"channels"`
	Curve    string              `json:"curve"`
	Grey     float64             `json:"grey_log10_lx_s"`
	Same     bool                `json:"same_exposure"`
	Refuse   bool                `json:"refuse"`
	Outside  string              `json:"outside,omitempty"`
	Package  string              `json:"package,omitempty"`
	FilmKind string              `json:"film_kind,omitempty"`
	Filter   string              `json:"filter_kind,omitempty"`
	Inputs   []spectrafile.Input `json:"inputs"`
	Notes    []string            `json:"notes,omitempty"`
	Bad      []bad               `json:"bad,omitempty"`
	Made     command.Made        `json:"made"`
}

type described struct {
	File       string   `json:"file"`
	Header     string   `json:"header,omitempty"`
	SHA256     string   `json:"sha256,omitempty"` // of the file; not in a part, which has not read all of it
	Sample     string   `json:"sample_sha256"`    // of pixels spread over the cube, as float32
	Rows       int      `json:"rows"`
	Columns    int      `json:"columns"`
	Bands      int      `json:"bands"`
	Interleave string   `json:"interleave"`
	Number     string   `json:"number"`
	BigEndian  bool     `json:"big_endian,omitempty"`
	Offset     int64    `json:"offset"`
	Scale      float64  `json:"scale"`
	Ignore     *float64 `json:"ignore_value,omitempty"`
}

type channel struct {
	Name   string  `json:"name"` // what its picture is called
	Film   string  `json:"film"`
	Light  string  `json:"light"`
	Filter string  `json:"filter"`
	Factor float64 `json:"factor"`
	White  float64 `json:"white_log10_lx_s"`
}

// bad is a kind of densities that are not what the curve says.
type bad struct {
	Kind  string `json:"kind"`
	Count int    `json:"count"`
	First *place `json:"first,omitempty"`
}

type place struct {
	Row    int `json:"row"`
	Column int `json:"column"`
}

var badKinds = []string{"below", "above", "negative", "invalid"}

func badOf(t cube.Counts, first [4]*place) (out []bad) {
	for k, n := range kindsOf(t) {
		if n > 0 {
			out = append(out, bad{badKinds[k], n, first[k]})
		}
	}
	return out
}

func (s *sidecar) write(dir string) error {
	var b bytes.Buffer
	command.JSON(&b, s) // of finite numbers and texts
	return os.WriteFile(filepath.Join(dir, "densities.json"), b.Bytes(), 0o644)
}

func hashOf(file string) (string, error) {
	f, err := command.Open(file)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	_, err = io.Copy(h, f)
	return hex.EncodeToString(h.Sum(nil)), err
}

// describe begins the sidecar.
func (j *job) describe(c *cubeFile, bands []float64, notes []string) error {
	x, err := c.sample()
	if err != nil {
		return err
	}
	h := sha256.New()
	var b [4]byte
	for _, v := range x {
		binary.LittleEndian.PutUint32(b[:], math.Float32bits(v))
		h.Write(b[:])
	}
	name := filepath.ToSlash(j.cube)
	if j.demo {
		name = filepath.Base(name)
	}
	d := described{
		File: name, Header: filepath.ToSlash(j.header), Sample: hex.EncodeToString(h.Sum(nil)), Rows: c.rows, Columns: c.columns, Bands: c.bands,
		Interleave: c.interleave, Number: c.number.Name, BigEndian: c.order == binary.BigEndian, Offset: c.offset, Scale: c.scale,
	}
	if d.Scale == 0 {
		d.Scale = 1
	}
	if c.ignore == c.ignore {
		d.Ignore = &c.ignore
	}
	if !j.part {
		if d.SHA256, err = hashOf(j.cube); err != nil {
			return err
		}
	}
	j.side = sidecar{
		Version: command.Version(), Array: "densities.npy", Axes: []string{"row", "column", "channel"}, Cube: d, Bands: bands,
		Curve: j.curveName, Grey: float64(j.grey), Same: j.same, Refuse: j.refuse,
		Package: j.kit.Package, FilmKind: j.kit.FilmKind, Filter: j.kit.FilterKind, Inputs: j.kit.Inputs, Notes: notes, Made: j.kit.Made(),
	}
	if j.outsideSaid {
		j.side.Outside = j.outside.String()
	}
	return nil
}

// channelName is that of the filter, with film and light where there are several.
func (j *job) channelName(film spectrafile.Film, light spectrafile.Light, f spectrafile.Filter) string {
	name := f.Name
	if len(j.lights) > 1 {
		name = light.Name + ", " + name
	}
	if len(j.films) > 1 {
		name = film.Name + ", " + name
	}
	return name
}

func (s *sidecar) names() (names []string) {
	for _, c := range s.Channels {
		names = append(names, c.Name)
	}
	return names
}

// part is one that is to be joined.
type joined struct {
	dir  string
	side sidecar
}

// check refuses a sidecar that no run of ours wrote.
func (s *sidecar) check() error {
	r, d, K := s.Rows, s.Cube, len(s.Channels)
	if !(d.Rows >= 1 && d.Columns >= 1 && K >= 1 && K <= mostBands && r[0] >= 0 && r[0] < r[1] && r[1] <= d.Rows) {
		return fmt.Errorf("rows %d:%d of a cube of %d × %d with %d channels cannot be", r[0], r[1], d.Rows, d.Columns, K)
	}
	_, err := npy.Elements([]int{d.Rows, d.Columns, K})
	return err
}

// comparable is a sidecar without what parts of one image may differ in.
func (s sidecar) comparable() sidecar {
	s.Rows, s.Bad = [2]int{}, nil
	return s
}

// parts reads the sidecars and puts them in order.
func parts(dirs []string) ([]joined, error) {
	var all []joined
	for _, dir := range dirs {
		b, err := command.ReadFile(filepath.Join(dir, "densities.json"))
		if err != nil {
			return nil, err
		}
		p := joined{dir: dir}
		d := json.NewDecoder(bytes.NewReader(b))
		d.DisallowUnknownFields()
		if err := d.Decode(&p.side); err != nil {
			return nil, fmt.Errorf("%s: %w", filepath.Join(dir, "densities.json"), err)
		}
		if err := p.side.check(); err != nil {
			return nil, fmt.Errorf("%s: %w", filepath.Join(dir, "densities.json"), err)
		}
		all = append(all, p)
	}
	slices.SortFunc(all, func(a, b joined) int { return a.side.Rows[0] - b.side.Rows[0] })
	next := 0
	for _, p := range all {
		if !reflect.DeepEqual(p.side.comparable(), all[0].side.comparable()) {
			return nil, fmt.Errorf("%s and %s are not of one image: their densities.json differ in more than the rows", all[0].dir, p.dir)
		}
		switch r := p.side.Rows; {
		case r[0] < next:
			return nil, fmt.Errorf("%s has rows %d:%d, which another part has too", p.dir, r[0], r[1])
		case r[0] > next:
			return nil, fmt.Errorf("no part has rows %d:%d", next, r[0])
		}
		next = p.side.Rows[1]
	}
	if rows := all[0].side.Cube.Rows; next != rows {
		return nil, fmt.Errorf("no part has rows %d:%d", next, rows)
	}
	return all, nil
}

// join writes the whole of some parts into dir.
func (j *job) join(dir string) (names []string, err error) {
	all, err := parts(j.dirs)
	if err != nil {
		return nil, err
	}
	whole := all[0].side
	whole.Rows, whole.Bad = [2]int{0, whole.Cube.Rows}, joinBad(all)
	if whole.Cube.SHA256, err = hashOf(whole.Cube.File); err != nil {
		fmt.Fprintf(j.stderr, "note: the cube is not at hand (%v): densities.json has no hash of it\n", err)
	}
	K := len(whole.Channels)
	out, err := os.Create(filepath.Join(dir, "densities.npy"))
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, out.Close()) }()
	if _, err := out.Write(npy.Header(npy.Float32, whole.Cube.Rows, whole.Cube.Columns, K)); err != nil {
		return nil, err
	}
	pics := newPictures(whole.Cube.Rows, whole.Cube.Columns, K)
	for _, p := range all {
		if err := p.copy(out, pics, K); err != nil {
			return nil, fmt.Errorf("%s: %w", filepath.Join(p.dir, "densities.npy"), err)
		}
	}
	if err := whole.write(dir); err != nil {
		return nil, err
	}
	more, err := pics.write(dir, whole.names())
	return append([]string{"densities.npy", "densities.json"}, more...), err
}

// joinBad adds up what is bad; parts are in the order of their rows.
func joinBad(all []joined) (out []bad) {
	for _, kind := range badKinds {
		sum := bad{Kind: kind}
		for _, p := range all {
			for _, b := range p.side.Bad {
				if b.Kind == kind {
					sum.Count += b.Count
					if sum.First == nil {
						sum.First = b.First
					}
				}
			}
		}
		if sum.Count > 0 {
			out = append(out, sum)
		}
	}
	return out
}

// copy appends the densities of a part.
func (p joined) copy(out io.Writer, pics *pictures, channels int) error {
	f, err := command.Open(filepath.Join(p.dir, "densities.npy"))
	if err != nil {
		return err
	}
	defer f.Close()
	descr, shape, err := npy.ReadHeader(f)
	if err != nil {
		return err
	}
	rows := p.side.Rows[1] - p.side.Rows[0]
	if want := []int{rows, p.side.Cube.Columns, channels}; descr != npy.Float32 || !slices.Equal(shape, want) {
		return fmt.Errorf("an array of %s and shape %v, densities.json says %v", descr, shape, want)
	}
	at, err := f.Seek(0, io.SeekCurrent)
	if err != nil {
		return err
	}
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if want := at + 4*int64(rows)*int64(p.side.Cube.Columns)*int64(channels); info.Size() != want {
		return fmt.Errorf("%d bytes where there should be %d", info.Size(), want)
	}
	row := make([]float32, p.side.Cube.Columns*channels)
	raw := make([]byte, 4*len(row))
	for y := range rows {
		if err := npy.ReadFloats(f, row, raw); err != nil {
			return fmt.Errorf("cut short: %w", err)
		}
		pics.add((p.side.Rows[0]+y)*p.side.Cube.Columns, row)
		if err := npy.WriteFloats(out, row, raw); err != nil {
			return err
		}
	}
	return nil
}
