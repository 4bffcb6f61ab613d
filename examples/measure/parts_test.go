package main

import (
	"fmt"
	"math"
	"testing"
	"time"

	"example.org/actinic"
	"example.org/actinic/examples/internal/golden"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// What films lack that readings need is said, and few readings give what they can.
func TestPartsOfFilms(t *testing.T) {
	said := held.New(t)
	swift, err := actinic.LoadFilm("Swift")
	if err != nil {
		t.Fatal(err)
	}
	of := swift.Data().Provenance
	bare := swift.Data()
	bare.Processes = bare.Processes[:1]
	bare.Processes[0].Index, bare.Processes[0].Growth = nil, nil
	nan := math.NaN()
	slow := actinic.FilmData{Name: "Slow (invented)", Provenance: of, Processes: []actinic.ProcessData{
		{Name: "One", Provenance: of, Index: &actinic.IndexData{Index: sensito.Estimate{Value: 12.4, Low: nan, High: nan}, Provenance: of}}}}
	readings := map[string]string{
		"reciprocity": "metered_s,adjusted_s\n1,1\n10,20\n", "stops": "time_s,density,stops\n1,0.5,-2\n10,0.4,-2\n", "exposures": "time_s,density,log_h_lx_s\n1,0.5,-2\n10,0.4,-2\n",
		"gradients": "temperature_c,time,gradient\n20,7:30,0.5\n24,6:00,0.55\n", "fahrenheit": "temperature_f,time\n68,7:30\n75,5½\n", "filters": "filter,stops\n8,1\n25,3\n",
	}
	single := bare
	single.Processes = []actinic.ProcessData{bare.Processes[0]}
	single.Processes[0].Curves = single.Processes[0].Curves[:1]
	for film, d := range map[string]actinic.FilmData{"bare": bare, "slow": slow, "single": single} {
		made, err := actinic.NewFilm(d)
		if err != nil {
			t.Fatal(err)
		}
		for name, text := range readings {
			j := job{kind: name, film: made, light: "D55", sd: 0.1, provenance: of}
			read := map[string]func(*job, string, []byte) (*result, error){"gradients": temperatureOf, "fahrenheit": temperatureOf, "filters": filtersOf}[name]
			if read == nil {
				read = reciprocityOf
			}
			r, err := read(&j, name, []byte(text))
			if said.Refused(film+", "+name, err); err == nil {
				said.Values(film+", "+name, r.Notes, r.table.Rows, r.alt())
			}
		}
	}
}

// Marks of an axis of times, with its ends and beside them.
func TestDecades(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		want   string
	}{{1, 10, "1 2 - - 5 - - - - 10"}, {1, 99, "1 2 - - 5 - - - - 10 20 - - 50 - - - -"}, {1, 100, "1 - - - - - - - - 10 - - - - - - - - 100"}, {0.5, 2, "1/2 - - - - 1 2"},
		{0.1, 0.2, "1/10 1/5"}, {2.1, 4.9, "- -"}, {0, 1, ""}, {1, 1, ""}, {-1, 1, ""}, {math.NaN(), 1, ""}, {0.9, 1.1, "- 1"}} {
		got := ""
		for i, tick := range (decades{}).Ticks(c.lo, c.hi) {
			if i > 0 {
				got += " "
			}
			if tick.Label == "" {
				tick.Label = "-"
			}
			if got += tick.Label; tick.Value < c.lo*(1-1e-8) || tick.Value > c.hi*(1+1e-8) {
				t.Errorf("%v to %v: a mark at %v", c.lo, c.hi, tick.Value)
			}
		}
		if got != c.want {
			t.Errorf("%v to %v: %s, want %s", c.lo, c.hi, got, c.want)
		}
	}
	for _, c := range []struct {
		v    float64
		want string
	}{{0.89, "1/1"}, {0.9, "1"}, {0.25, "1/4"}, {30, "30"}} {
		if got := secondsMark(c.v); got != c.want {
			t.Errorf("%v: %s, want %s", c.v, got, c.want)
		}
	}
	for want, miss := range map[string]time.Duration{"1s longer": 500 * time.Millisecond, "1s shorter": -500 * time.Millisecond, "by less than a second": 499 * time.Millisecond, "1m5s longer": 65 * time.Second} {
		if got := away(miss); got != want {
			t.Errorf("%v: %s, want %s", miss, got, want)
		}
	}
	for want, c := range map[string][2]float64{"[1 2 5 10]": {1, 10}, "[2 5]": {1.1, 9.9}, "[0.5 1 2]": {0.5, 2}, "[10]": {9, 11}, "[]": {6, 9}} {
		if got := fmt.Sprint(asked(c[0], c[1])); got != want {
			t.Errorf("%v: %s, want %s", c, got, want)
		}
	}
}

// Few readings, with all of their tables and pictures.
func TestFewReadings(t *testing.T) {
	golden.Lines(t, "", run, map[string]string{"two.csv": "metered_s,adjusted_s\n1,1\n10,20\n", "short.csv": "metered_s,adjusted_s\n1/1000,1/900\n1/10,1/10\n1/2,1/2\n", "sd.csv": "metered_s,adjusted_s,sd_stops\n1,1,0.05\n10,20,3\n", "baths.csv": "temperature_c,time\n20,8\n24,6\n"},
		"-json", "-kind reciprocity -film Swift -page OUT IN/two.csv", "-kind reciprocity -film Swift -json IN/short.csv", "-kind reciprocity -film Swift -json IN/sd.csv", "-kind temperature -film Swift -process Tarren -page OUT IN/baths.csv")
}
