package corrections

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed/printedtest"
)

func TestReadTablesRefuse(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct{ content, want string }{
		{"metered_s,adjusted_s\n1,x\n", `t.csv:2:3: adjusted_s: read "x", want seconds above 0`},
		{"metered_s,adjusted_s\n0,1\n", `t.csv:2:1: metered_s: read "0"`},
		{"metered_s,adjusted_s\n1,Inf\n", `t.csv:2:3: adjusted_s`},
		{"metered_s,adjusted_s\n1,\n", `a time, or an aperture beside it`},
		{"metered_s\n1\n", `t.csv:1: adjusted_s`},
		{"metered_s,adjusted_s,aperture_stops\n1,2,-1\n", `t.csv:2:5: aperture_stops: read "-1"`},
	} {
		_, err := Read(strings.NewReader(c.content), "t.csv")
		if !said.Is("", err, datafile.ErrData) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.content, err, c.want)
		}
	}
}

func TestChecksRefuse(t *testing.T) {
	said := held.New(t)
	nan := math.NaN()
	none := sensito.Stops(nan)
	for i, rows := range [][]Row{
		nil, {{}}, {{Metered: 1, Aperture: none, Percent: nan}}, {{Metered: nan, Adjusted: 1, Aperture: none, Percent: nan}}, {{Metered: 1, Adjusted: math.Inf(1), Aperture: none, Percent: nan}},
		{{Metered: 1, Adjusted: -1, Aperture: none, Percent: nan}}, {{Metered: 1, Adjusted: 1, Aperture: -1, Percent: nan}}, {{Metered: 1, Adjusted: 1, Aperture: none, Percent: -1}}, make([]Row, 1e6),
	} {
		if _, err := Check(rows); !said.Is("", err, datafile.ErrData) {
			t.Errorf("reciprocity %d: %v", i, err)
		}
	}
}

// Six hundred rows of nonsense end, and soon.
func TestLargeTable(t *testing.T) {
	if testing.Short() {
		t.Skip("a table of 600 rows, timed")
	}
	start := time.Now()
	var r []Row
	for i := range 600 {
		r = append(r, Row{Metered: float64(i + 1), Adjusted: float64(5000 - 2*i), Aperture: sensito.Stops(math.NaN()), Percent: math.NaN()})
	}
	if _, err := Check(r); err != nil {
		t.Error(err)
	}
	if took := time.Since(start); took > time.Minute {
		t.Errorf("took %v", took)
	} else {
		t.Log(took)
	}
}

func FuzzRead(f *testing.F) {
	for _, name := range []string{"michalke_1897.csv", "handbook_reciprocity.csv"} {
		f.Add(printedtest.File(f, name))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 4000 {
			return
		}
		rows, err := Read(bytes.NewReader(b), "f")
		if err != nil {
			if !errors.Is(err, datafile.ErrData) {
				t.Fatal(err)
			}
			return
		}
		if len(rows) >= 100 {
			return
		}
		rep, err := Check(rows)
		if err != nil {
			return
		}
		printedtest.HoldFindings(t, rep)
		if _, err := json.Marshal(rep); err != nil {
			t.Fatal(err)
		}
	})
}
