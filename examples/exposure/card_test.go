package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"example.org/actinic"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/examples/internal/page/pagetest"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/sensito/exposure/card"
)

// The card is one sheet of A6 as a page and as a picture, black on white, with its figures
// as JSON under the names that stand on it.
func TestCard(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "card")
	out, err := try("-card", "-name", "swift", "-process", "tarren", "-camera", "bothy", "-out", dir, "-json")
	if err != nil {
		t.Fatal(err)
	}
	var c struct {
		Index       float64
		Development float64 `json:"development_s"`
		Filters     []struct {
			Filter, Light string
			Factor, Stops float64
		}
		Long []struct {
			Metered float64 `json:"metered_s"`
			Set     float64 `json:"set_s"`
			Percent float64 `json:"development_percent"`
		}
		Fast    float64
		Neutral []struct {
			Aperture string
			Density  float64
		}
		Made map[string]any
	}
	if err := json.Unmarshal([]byte(out), &c); err != nil {
		t.Fatal(err)
	}
	if c.Index != 1000 || c.Development != 825 || len(c.Filters) != 12 || c.Filters[0].Light != "D55" || len(c.Long) < 4 || c.Long[0].Metered != 1 ||
		c.Fast != 0.002 || len(c.Neutral) == 0 || c.Neutral[0].Aperture != "f/2" || c.Neutral[0].Density != 2.1 || c.Made == nil {
		t.Errorf("%+v", c)
	}
	page, err := os.ReadFile(filepath.Join(dir, "card.html"))
	if err != nil {
		t.Fatal(err)
	}
	picture, err := os.ReadFile(filepath.Join(dir, "card.png"))
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(picture))
	if err != nil {
		t.Fatal(err)
	}
	// 105 by 148 mm at 300 to the inch.
	if b := img.Bounds(); b.Dx() < 1239 || b.Dx() > 1241 || b.Dy() < 1747 || b.Dy() > 1749 {
		t.Errorf("the picture is %v", b)
	}
	for y := range img.Bounds().Dy() {
		for _, x := range []int{0, 20, img.Bounds().Dx() - 20} { // the margins
			if r, g, b, _ := img.At(x, y).RGBA(); r != 0xffff || g != r || b != r {
				t.Fatalf("ink in the margin at %d, %d", x, y)
			}
		}
	}
	for _, want := range []string{"Garnedd Swift", "EI 1000", "13:45", "ND 2.1", "25 red", "never look at the sun"} {
		if !strings.Contains(string(page), want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	pagetest.Said(t, page)
	pagetest.Whole(t, page, pagetest.A6)
}

// A card that has more to say than fits at full size is written smaller, and still is one
// sheet.
func TestFullCard(t *testing.T) {
	film, err := actinic.LoadFilm("Swift")
	if err != nil {
		t.Fatal(err)
	}
	data := film.Data()
	data.Name = strings.TrimSpace(strings.Repeat("Garnedd Swift of the second coating ", 4))
	data.Processes = data.Processes[:1]
	data.Processes[0].Name += " " + strings.Repeat("invertedonceaminute", 5)
	made, err := actinic.NewFilm(data)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := actinic.WritePackage(filepath.Join(dir, "package"), actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, made); err != nil {
		t.Fatal(err)
	}
	if _, err := try("-card", "-film", filepath.Join(dir, "package"), "-out", filepath.Join(dir, "card")); err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(filepath.Join(dir, "card", "card.html"))
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(page), "8.8pt * 1.000") {
		t.Error("the letters are as large as on a short card")
	}
	pagetest.Whole(t, page, pagetest.A6)
}

// All films that come with the library have a card that fits, long names too, and a film of
// which little is known has a short one.
func TestCardsFit(t *testing.T) {
	long := strings.TrimSpace(strings.Repeat("Garnedd Swift of the second coating ", 4))
	made, err := actinic.NewFilm(actinic.FilmData{Name: long, Provenance: actinic.Provenance{Basis: actinic.Invented, Source: "made up for a test"}})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := actinic.WritePackage(filepath.Join(dir, "package"), actinic.PackageInfo{Name: "mine", Version: "1.0.0"}, made); err != nil {
		t.Fatal(err)
	}
	cards := [][]string{{"-film", filepath.Join(dir, "package")}}
	for _, name := range actinic.Films() {
		film, err := actinic.LoadFilm(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, process := range append(film.Processes(), "")[:max(1, len(film.Processes()))] {
			cards = append(cards, []string{"-name", name, "-process", process, "-camera", "incline"})
		}
	}
	for i, args := range cards {
		where := filepath.Join(dir, "card", string(rune('a'+i)))
		if err := os.MkdirAll(filepath.Dir(where), 0o755); err != nil {
			t.Fatal(err)
		}
		out, err := try(append([]string{"-card", "-out", where}, args...)...)
		if err != nil || !strings.Contains(out, "card.html") {
			t.Errorf("%v: %s, %v", args, out, err)
		}
		if i == 0 && !strings.Contains(out, "Not known, and left out: a process") {
			t.Errorf("%s", out)
		}
		names, err := filepath.Glob(filepath.Join(where, "*"))
		if err != nil || len(names) != 2 || !slices.Contains(names, filepath.Join(where, "card.png")) {
			t.Errorf("%v, %v", names, err)
		}
	}
}

// What a card has too much of makes its letters smaller, down to a size that can be read, and then there is no card.
func TestFullSheet(t *testing.T) {
	said := held.New(t)
	row := func(s string) block {
		return block{Caption: "A table", Head: []string{"One", "Two"}, Rows: [][]string{{"a", s}}, Wide: []float64{1, 1}}
	}
	wide := "1/4000 at f/22, or 1/2000 at f/32 and then"
	for name, s := range map[string]*sheet{
		"little": {Film: "A film (invented)", Process: "A process", Camera: "A camera", Index: "400", Develop: "7:30", Blocks: []block{row("b")}, Notes: []string{"A note."}},
		"much":   {Film: "A film (invented)", Notes: slices.Repeat([]string{"A note of some length that fills a line of the sheet and more."}, 60)},
		"wide":   {Film: "A film (invented)", Blocks: []block{row(wide + " " + wide + " " + wide)}},
	} {
		files := figure.Files{}
		scale, err := s.draw(files)
		said.Values(name, math.Round(scale*100)/100, len(files["card.png"]) > 0, err)
		if name == "much" {
			continue // slow to be drawn again
		}
		dir := filepath.Join(t.TempDir(), "card")
		again := s.write(dir)
		if _, there := os.Lstat(dir); fmt.Sprint(again) != fmt.Sprint(err) || (there == nil) != (err == nil) {
			t.Errorf("%s: written %v, %v", name, there == nil, again)
		}
	}
}

// Sheets at two scales, with tables on either side or both, are drawn as they were, by the numbers of their SVG.
func TestSheetAtScales(t *testing.T) {
	said := held.New(t)
	row := func(caption string, wide ...float64) block {
		b := block{Caption: caption, Wide: wide}
		for i := range wide {
			b.Head = append(b.Head, fmt.Sprint("Head ", i))
		}
		b.Rows = [][]string{b.Head, b.Head}
		return b
	}
	for name, s := range map[string]*sheet{
		"little": {Film: "A film (invented)"},
		"both": {Film: "A film (invented)", Process: "A process", Camera: "A camera", Index: "EI 400", Develop: "7:30", Blocks: []block{row("Across", 3, 2, 2), row("Again", 1, 1)},
			Left: []block{row("Left", 1, 2)}, Right: []block{row("Right", 2, 1), row("Right too", 1)}, Notes: []string{"A note.", "Another, of some length, that fills a line of the sheet and goes on to the next one, and so on."}},
		"left":  {Film: "A film (invented)", Left: []block{row("Left", 1, 2)}},
		"right": {Film: "A film (invented)", Right: []block{row("Right", 1, 2)}},
	} {
		for _, scale := range []float64{1, 0.8} {
			svg := vgsvg.New(sheetWidth, sheetHeight)
			p := pen{c: draw.New(svg), scale: scale, y: sheetHeight - sheetMargin}
			p.sheet(s)
			var b bytes.Buffer
			if _, err := svg.WriteTo(&b); err != nil {
				t.Fatal(err)
			}
			said.Look(fmt.Sprint(name, " at ", scale), []any{p.wide, float64(p.y), strings.Split(b.String(), "\n")})
		}
	}
	// A word that does not fit is broken where it still does, into letters at the least.
	for _, c := range []struct {
		most int
		want string
	}{{0, "a|b|c|d|é|f"}, {1, "a|b|c|d|é|f"}, {2, "ab|cd|éf"}, {3, "abc|d|éf"}, {4, "abcd|éf"}} {
		if got := strings.Join(broken([]string{"abcd", "éf"}, func(s string) bool { return len([]rune(s)) <= c.most }), "|"); got != c.want {
			t.Errorf("up to %d: %s, want %s", c.most, got, c.want)
		}
	}
}

// Signs stand out, a figure that rounds to nothing has none; factors have two figures.
func TestWords(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals int
		want     string
	}{{0, 0, "0"}, {-0.04, 1, "0.0"}, {0.04, 1, "0.0"}, {1, 0, "+1"}, {-1, 0, "−1"}, {-1.25, 2, "−1.25"}, {10, 0, "+10"}} {
		if got := signed(c.v, c.decimals); got != c.want {
			t.Errorf("%v: %q, want %q", c.v, got, c.want)
		}
	}
	for _, c := range []struct {
		f    card.Filter
		want string
	}{{card.Filter{Factor: 9.94, Stops: 3.31}, "9.9 +3.3"}, {card.Filter{Factor: 9.95, Stops: 3.31}, "10 +3.3"}, {card.Filter{Factor: 123, Stops: 6.9}, "120 +6.9"},
		{card.Filter{Factor: 2, Stops: 1, AlmostBlind: true}, "– –"}, {card.Filter{Factor: 1}, "1.0 0.0"}} {
		if got := strings.Join(factorWords(c.f), " "); got != c.want {
			t.Errorf("%+v: %q, want %q", c.f, got, c.want)
		}
	}
}

// A plan that is no JSON is an error, and so is a camera.
func TestPlannedIsJSON(t *testing.T) {
	said := held.New(t)
	cam := camera.Default()
	if _, err := json.Marshal(planned{&actinic.Plan{}, cam}); err != nil {
		t.Error(err)
	}
	if _, err := json.Marshal(planned{&actinic.Plan{Residue: sensito.Stops(math.NaN())}, cam}); !said.Refused("a factor", err) {
		t.Error("NaN is written")
	}
}
