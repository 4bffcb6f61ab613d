package actinic

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"example.org/actinic/filters"
	"example.org/actinic/internal/held"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/sensito/exposure/card"
	"example.org/actinic/spectral"
)

// bothy is an invented camera of f/2 to f/16 and 1 s to 1/500, with or without bulb.
func bothy(t testing.TB, bulb bool) *camera.Described {
	t.Helper()
	return must(camera.Parse("camera.json", fmt.Appendf(nil,
		`{"name": "Bothy (invented)", "times": "full", "fastest": "1/500", "longest": "1s", "bulb": %v, "apertures": "half", "widest": "f/2", "smallest": "f/16"}`, bulb)))
}

// The figures of a card are those of the laws, each asked by itself; the sun by hand: EI 1000
// in EV 15 is 18.32, f/2 (Av 2) at 1/500 (Tv 9) is 11, so 7.32 stops are too many: ND 2.1
// takes 6.98, and the rest is less than the half stop of a dial of whole stops. f/16 leaves
// 1.32: ND 0.3 takes 1.00.
func TestFieldCard(t *testing.T) {
	film := must(LoadFilm("Swift"))
	c := must(FieldCard(film, "Tarren", bothy(t, true)))
	p := must(film.Process("Tarren"))
	x := must(p.Index())
	if c.Index != 1000 || math.Abs(c.Development-x.Development.Value) > 7.5 || math.Mod(c.Development, 15) != 0 {
		t.Errorf("index %v, development %v", c.Index, c.Development)
	}
	if len(c.Neutral) == 0 || c.Neutral[0] != (card.Neutral{Aperture: 2, Density: 2.1, Time: "1/500"}) {
		t.Errorf("%+v", c.Neutral)
	}
	var apertures []string
	for _, n := range c.Neutral {
		apertures = append(apertures, n.Aperture.String())
	}
	if got := strings.Join(apertures, " "); got != "f/2 f/2.8 f/4 f/5.6 f/8 f/11 f/16" {
		t.Errorf("grey filters for %s", got)
	}
	if n := c.Neutral[len(c.Neutral)-1]; n != (card.Neutral{Aperture: 16, Density: 0.3, Time: "1/500"}) {
		t.Errorf("%+v", n)
	}
	if len(c.Filters) != 2*len(cardFilters) {
		t.Errorf("%d filters", len(c.Filters))
	}
	for _, f := range c.Filters {
		light, err := spectral.ParseIlluminant(f.Light)
		if err != nil {
			t.Fatal(err)
		}
		want := must(filters.Factor(must(film.Sensitivity()), light.Light(), must(filters.Find(f.Filter)).Filter))
		if f.Factor != want || math.Abs(float64(f.Stops)-math.Log2(want)) > 1e-12 {
			t.Errorf("%+v, want %v", f, want)
		}
	}
	law := must(film.Reciprocity())
	if len(c.Long) < 4 {
		t.Errorf("long: %+v", c.Long)
	}
	for _, l := range c.Long {
		want := must(reciprocity.Correct(law, time.Duration(l.Metered*float64(time.Second))))
		if l.Set != want.Adjusted.Seconds() || want.Extrapolated {
			t.Errorf("%+v, want %+v", l, want)
		}
		if l.Percent == nil || *l.Percent > 0 {
			t.Errorf("at %v s the development changes by %v", l.Metered, l.Percent)
		}
	}
	if c.Fast != 1./500 {
		t.Errorf("fast %v", c.Fast)
	}
	for _, r := range c.Rerated {
		if (r.Stops > 0) != (r.Development > c.Development) || (r.Stops > 0) != (r.Shadow < r.OwnShadow) {
			t.Errorf("%+v beside %v", r, c.Development)
		}
	}
	if len(c.Rerated) < 2 || len(c.Missing) != 0 || !strings.Contains(strings.Join(c.Cautions, " "), "invented") {
		t.Errorf("%+v, missing %v, %v", c.Rerated, c.Missing, c.Cautions)
	}
	text, err := json.Marshal(c)
	var back card.Card
	if err != nil || json.Unmarshal(text, &back) != nil || back.Index != c.Index || len(back.Long) != len(c.Long) {
		t.Errorf("%s, %v", text, err)
	}
}

// Without bulb no time is told that the camera has not got.
func TestFieldCardIsForTheCamera(t *testing.T) {
	for _, l := range must(FieldCard(must(LoadFilm("Swift")), "Tarren", bothy(t, false))).Long {
		if l.Set > 1.2 {
			t.Errorf("a time of %v s on a camera that ends at 1 s", l.Set)
		}
	}
}

// What is not known is left out and named: a film with a name only, and one without a law.
func TestFieldCardLeavesOut(t *testing.T) {
	c := must(FieldCard(lawFilm(nil), "", camera.Default()))
	if c.Index != 0 || len(c.Filters)+len(c.Long)+len(c.Neutral)+len(c.Rerated) != 0 || c.Fast != 0 || len(c.Missing) != 3 {
		t.Errorf("%+v", c)
	}
	text := string(must(json.Marshal(c)))
	for _, bad := range []string{"null", `"index"`, `"development_s"`, `"fast"`} {
		if strings.Contains(text, bad) {
			t.Errorf("%s in %s", bad, text)
		}
	}
	if c := must(FieldCard(lawFilm(stated("power", "onset_s", 1.0, "p", 0.8)), "", camera.Default())); len(c.Long) == 0 || c.Long[0].Percent != nil {
		t.Errorf("%+v", c.Long)
	}
	for _, name := range Films() {
		film := must(LoadFilm(name))
		for _, process := range film.Processes() {
			if _, err := FieldCard(film, process, camera.Default()); err != nil {
				t.Errorf("%s in %s: %v", name, process, err)
			}
		}
	}
}

func TestFieldCardRefuses(t *testing.T) {
	said := held.New(t)
	film := must(LoadFilm("Swift"))
	if _, err := FieldCard(nil, "", camera.Default()); !said.Is("", err, sensito.ErrInput) {
		t.Error(err)
	}
	for _, cam := range []*camera.Described{nil, {}} {
		if _, err := FieldCard(film, "Tarren", cam); !said.Is("", err, sensito.ErrInput) {
			t.Error(err)
		}
	}
	for _, process := range []string{"", "nothing"} {
		if _, err := FieldCard(film, process, camera.Default()); !said.Is("", err, ErrUnknown) {
			t.Error(err)
		}
	}
}

// The orthochromatic film's card says that it hardly sees red.
func TestFieldCardOfABlindFilm(t *testing.T) {
	c := must(FieldCard(must(LoadFilm("Ortho")), "", camera.Default()))
	if !strings.Contains(strings.Join(c.Cautions, " "), "hardly sees what the filter 25 red or 29 deep red passes") {
		t.Errorf("%v", c.Cautions)
	}
}
