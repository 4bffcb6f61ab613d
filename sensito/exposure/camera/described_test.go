package camera_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/exposure"
	. "example.org/actinic/sensito/exposure/camera"
)

func parsed(t testing.TB, text string) *Described {
	t.Helper()
	d, err := Parse("camera.json", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// The marks of an invented camera with full stops: counted off the printed scales of the
// encyclopaedia articles "f-number" and "Shutter speed".
func TestParse(t *testing.T) {
	d := parsed(t, "\ufeff"+`{"name": "Bothy 35 (invented)", "times": "full", "fastest": "1/500", "longest": "1s", "bulb": true,
		"apertures": "half", "widest": "f/2", "smallest": "f/16", "meter_k": 14, "priority": "aperture", "x-shelf": [3]}`)
	var ts, as []string
	for _, m := range d.Camera.Times() {
		ts = append(ts, m.String())
	}
	for _, m := range d.Camera.Apertures() {
		as = append(as, m.String())
	}
	if got, want := strings.Join(ts, " "), "1s 1/2 1/4 1/8 1/15 1/30 1/60 1/125 1/250 1/500"; got != want {
		t.Errorf("times %s, want %s", got, want)
	}
	if got, want := strings.Join(as, " "), "f/2 f/2.4 f/2.8 f/3.3 f/4 f/4.8 f/5.6 f/6.7 f/8 f/9.5 f/11 f/13 f/16"; got != want {
		t.Errorf("apertures %s, want %s", got, want)
	}
	if d.Name != "Bothy 35 (invented)" || d.MeterK != 14 || d.Priority != AperturePriority || !d.Camera.Scales().Bulb || d.Assumed {
		t.Errorf("%+v", d)
	}
	if got, want := d.String(), "Bothy 35 (invented): 13 apertures from f/2 to f/16, 10 times from 1/500 to 1s, bulb, aperture priority, meter K 14"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	// K = 14: a luminance of 14 cd/m² is EV100 = log2(100·14/14).
	if ev, err := d.Meter().EV100(14); err != nil || math.Abs(float64(ev)-math.Log2(100)) > 1e-12 {
		t.Errorf("%v, %v", ev, err)
	}
}

// What is not written is that of the default camera.
func TestDefault(t *testing.T) {
	d, empty := Default(), parsed(t, "{}")
	if !d.Assumed || empty.Assumed || !strings.HasSuffix(d.String(), "(no camera was given)") {
		t.Errorf("%v, %v", d, empty)
	}
	a, b := d.Camera.Scales(), empty.Camera.Scales()
	if fmt.Sprint(a) != fmt.Sprint(b) || len(a.Apertures) != 19 || len(a.Times) != 52 {
		t.Errorf("%v\n%v", a, b)
	}
	if d.MeterK != empty.MeterK || d.Priority != empty.Priority {
		t.Errorf("%+v, %+v", d, empty)
	}
}

// A mark stands for its place on the printed scale, an odd end for its number.
func TestPlacesOfMarks(t *testing.T) {
	third, half := 1.0/3, 0.5
	for _, c := range []struct {
		text string
		time string
		tv   float64
	}{
		{`{"times": "third", "fastest": "1/12000"}`, "1/12000", math.Log2(12000)},
		{`{"times": "third", "fastest": "1/12000"}`, "1/8000", 13},
		{`{"times": "third"}`, "0.3s", 1 + 2*third},
		{`{"times": "half"}`, "0.3s", 1 + half},
		{`{"times": ["1/2", "0.3s", "1/4"]}`, "0.3s", 1 + half}, // as many on both: the half stops come first
		{`{"times": ["1/2", "0.4s", "0.3s"]}`, "0.3s", 1 + 2*third},
		{`{"times": ["1/125", "1/100", "1/50", "1/60"]}`, "1/50", 5 + 2*third},
		{`{"times": ["1/100", "1/50", "1/25"]}`, "1/25", 4 + 2*third},
		{`{"times": ["1/500", "1/250", "1/100", "1/60", "1/30"]}`, "1/100", 6 + 2*third}, // all are on that of third stops
		{`{"times": ["1/500", "1/300", "1/60", "1/30"]}`, "1/300", math.Log2(300)},
		{`{"times": ["1/500", "1/300", "1/60", "1/30"]}`, "1/500", 9},
		{`{"times": "full", "longest": "45s"}`, "45s", -math.Log2(45)},
	} {
		m, err := parsed(t, c.text).Camera.Time(shutter(t, c.time))
		if err != nil || math.Abs(float64(m.Tv)-c.tv) > 1e-5 { // times are whole nanoseconds
			t.Errorf("%s: %v is Tv %v, %v, want %v", c.text, m, float64(m.Tv), err, c.tv)
		}
	}
	d := parsed(t, `{"apertures": "full", "widest": "f/1.9", "smallest": "f/16"}`)
	as := d.Camera.Apertures()
	if as[0] != ApertureAt(1.9) || as[1].Number != 2 || as[1].Av != 2 || len(as) != 8 {
		t.Errorf("%v", as)
	}
	// f/13 is Av 7⅓ of third stops and 7½ of half stops.
	for text, av := range map[string]exposure.Av{`{"apertures": ["f/9.5", "f/13"]}`: 7.5, `{"apertures": ["f/10", "f/13"]}`: 7 + 1.0/3} {
		if m, err := parsed(t, text).Camera.Aperture(13); err != nil || math.Abs(float64(m.Av-av)) > 1e-9 {
			t.Errorf("%s: %v, %v", text, m.Av, err)
		}
	}
}

// The ends cut a list.
func TestListWithEnds(t *testing.T) {
	d := parsed(t, `{"times": ["1s", "1/2", "1/500", "1/4"], "longest": "1/2", "apertures": ["f/8"]}`)
	if ts := d.Camera.Times(); len(ts) != 3 || ts[0].Time != time.Second/2 || ts[2].Time != time.Second/500 {
		t.Errorf("%v", ts)
	}
	if as := d.Camera.Apertures(); len(as) != 1 || as[0].Number != 8 {
		t.Errorf("%v", as)
	}
}

// What cannot be is told with its place.
func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ text, place, says string }{
		{``, ":1:1", "ends too soon"},
		{`[]`, ":1:1", "an object"},
		{`{"times": "full",` + "\n" + `  "fastset": "1/500"}`, ":2:3", "x-"},
		{`{"times": "full",` + "\n" + ` "times": "half"}`, ":2:2", "once"},
		{`{"Times": "full"}`, ":1:2", "one of name, times"},
		{"{\n" + `"times": "quarter"}`, ":2:10", "full, half or third"},
		{`{"times": 5}`, ":1:11", "full, half or third"},
		{`{"times": null}`, ":1:11", "full, half or third"},
		{`{"times": []}`, ":1:11", "from 1 to 200"},
		{`{"times": ["1/500", 250]}`, ":1:21", "quotation marks"},
		{`{"times": ["1/500", "250"]}`, ":1:21", "1/125"},
		{`{"times": ["1/2", "0.5s"]}`, ":1:19", "once"},
		{`{"times": "full", "fastest": "500"}`, ":1:30", "1/125"},
		{`{"times": "full", "fastest": "1s", "longest": "1/500"}`, ":1:30", "the other way round"},
		{`{"longest": "1/8000"}`, ":1:13", "the other way round"},
		{`{"longest": "200h"}`, ":1:13", "24h"},
		{`{"widest": 2}`, ":1:12", "quotation marks"},
		{`{"widest": "f/0.1"}`, ":1:12", "f/0.5"},
		{`{"widest": "f/NaN"}`, ":1:12", "f/5.6"},
		{`{"bulb": "yes"}`, ":1:10", "true or false"},
		{`{"bulb": {}}`, ":1:10", "true or false"},
		{`{"meter_k": 1250}`, ":1:13", "12.5"},
		{`{"meter_k": "12.5"}`, ":1:13", "12.5"},
		{`{"priority": "program"}`, ":1:14", "none, aperture or shutter"},
		{`{"name": " "}`, ":1:10", "plain text"},
		{`{"name": 5}`, ":1:10", "plain text"},
		{"\xff\xfe{\x00", ":1:1", "UTF-16"},
		{"{\"name\": \"\xe4\"}", ":1:11", "UTF-8"},
	} {
		_, err := Parse("my camera.json", []byte(c.text))
		var places datafile.Errors
		if !errors.As(err, &places) || !strings.HasPrefix(err.Error(), "my camera.json"+c.place+":") || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: %v, want %s and %q", c.text, err, c.place, c.says)
		}
	}
	// All that is wrong is told at once.
	_, err := Parse("c.json", []byte(`{"times": "odd", "widest": "wide", "bulb": 1}`))
	if places, ok := err.(datafile.Errors); !ok || len(places) != 3 {
		t.Errorf("%v", err)
	}
}

func TestReadCamera(t *testing.T) {
	said := held.New(t)
	files := fstest.MapFS{"camera.json": {Data: []byte(`{"name": "Adit 6x9 (invented)"}`)}}
	if d, err := Read(files, "camera.json"); err != nil || d.Name != "Adit 6x9 (invented)" {
		t.Errorf("%v, %v", d, err)
	}
	if _, err := Read(files, "other.json"); !said.Refused("", err) || !strings.Contains(err.Error(), "other.json") {
		t.Error(err)
	}
}

// Nothing that was not made panics or is written.
func TestNoCamera(t *testing.T) {
	said := held.New(t)
	for _, d := range []*Described{nil, {}, {Camera: &Camera{}}} {
		if _, err := d.MarshalJSON(); !said.Is("", err, sensito.ErrInput) || d.String() != "no camera" {
			t.Errorf("%v, %q", err, d.String())
		}
	}
	if _, err := Priority(9).MarshalText(); !said.Is("", err, sensito.ErrInput) || Priority(9).String() != "priority(9)" {
		t.Error(err)
	}
}

// No file panics; one that is read is written, and reads back to the same camera.
func FuzzParse(f *testing.F) {
	for _, text := range []string{`{}`, `{"times": ["1/2", "0.3s", "1/4"], "longest": "0.3s", "bulb": false}`, `{"apertures": "half", "smallest": "f/19", "priority": "shutter"}`,
		`{"times": "full", "fastest": "1/12000", "longest": "1m", "widest": "f/1.9", "meter_k": 14, "x-y": null}`,
		`{"times": ["1/500","1/250","1/100"], "fastest": "1/300"}`, `{"times": "third", "longest": "1/1010", "fastest": "1/1012"}`} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := Parse("c", []byte(text))
		if err != nil {
			var places datafile.Errors
			if !errors.As(err, &places) {
				t.Fatalf("%T", err)
			}
			return
		}
		written, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		var back Described
		if err := json.Unmarshal(written, &back); err != nil {
			t.Fatalf("%s: %v", written, err)
		}
		if fmt.Sprint(d.Camera.Scales()) != fmt.Sprint(back.Camera.Scales()) || d.String() != back.String() {
			t.Fatalf("%v\n%v\n%s", d.Camera.Scales(), back.Camera.Scales(), written)
		}
	})
}

func ExampleParse() {
	d, err := Parse("camera.json", []byte(`{"name": "Bothy 35 (invented)", "times": "full", "fastest": "1/500", "longest": "1s",
		"apertures": "full", "widest": "f/2", "smallest": "f/16"}`))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(d)
	_, err = d.Camera.Time(time.Second / 1000)
	fmt.Println(err)
	// Output:
	// Bothy 35 (invented): 7 apertures from f/2 to f/16, 10 times from 1/500 to 1s, bulb
	// camera: out of the camera's reach: 1/1000 is not a mark of the shutter, which goes from 1/500 to 1s
}
