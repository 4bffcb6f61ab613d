package timetable

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/benchunit"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed/printedtest"
)

func TestReadTablesRefuse(t *testing.T) {
	told := held.New(t)
	for _, c := range []struct{ content, want string }{
		{"", `t.csv:1: want a header`},
		{"time\n7:30\n", `t.csv:1: header: read "time", want a column that the time depends on`},
		{"ei,tme\n400,7\n", `t.csv:1:4: header: read "tme"`},
		{"ei,time\n", `want rows below the header`},
		{"# from nowhere\nei,time\n400,\n", `t.csv:3:5: time: read "", want a time like 7:30`},
		{"ei,time\n400,6:75\n", `t.csv:2:5: time: read "6:75"`},
		{"ei,time\nfour,6\n", `t.csv:2:1: ei: read "four", want an exposure index`},
		{"ei,time\n-400,6\n", `t.csv:2:1: ei: read "-400"`},
		{"ei,time\nNaN,6\n", `t.csv:2:1: ei: read "NaN"`},
		{"dilution,time\n1:31,6\n", `t.csv:2:1: dilution: read "1:31", want parts of stock and water such as 1+31; 1:31 is read as 1+31 by some`},
		{"dilution,time\n1+1e9,6\n", `t.csv:2:1: dilution`},
		{"temperature_c,time\n0,6\n", `t.csv:2:1: temperature_c: read "0"`},
		{"temperature_c,time\n20,6,5\n", `a decimal comma splits a number`},
		{"temperature_f,time\n1e9,6\n", `t.csv:2:1: temperature_f`},
	} {
		_, err := Read(strings.NewReader(c.content), "t.csv")
		if !told.Is(c.content, err, datafile.ErrData) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.content, err, c.want)
		}
	}
	if testing.Short() {
		t.Skip("a million rows")
	}
	many := "ei,time\n" + strings.Repeat("400,7\n", 1e6)
	start := time.Now()
	if _, err := Read(strings.NewReader(many), "many.csv"); !errors.Is(err, datafile.ErrData) {
		t.Errorf("a million rows: %v", err)
	}
	if took := time.Since(start); took > 5*time.Second {
		t.Errorf("a million rows took %v", took)
	}
}

func TestChecksRefuse(t *testing.T) {
	said := held.New(t)
	nan := math.NaN()
	for i, rows := range [][]Row{
		nil, {{}}, {{Time: -1}}, {{Time: time.Minute, Index: nan}}, {{Time: time.Minute, Index: math.Inf(1)}}, {{Time: time.Minute, Temperature: devtime.Celsius(nan)}},
		{{Time: time.Minute, Fahrenheit: nan}}, {{Time: time.Minute, Index: 400}, {Time: time.Minute}}, {{Time: math.MaxInt64}},
	} {
		if _, err := Check(rows); !said.Is("", err, datafile.ErrData) {
			t.Errorf("development %d: %v", i, err)
		}
	}
}

// Six hundred rows of nonsense end, and soon.
func TestLargeTable(t *testing.T) {
	if testing.Short() {
		t.Skip("a table of 600 rows, timed")
	}
	start := time.Now()
	var d []Row
	for i := range 600 {
		d = append(d, Row{Index: 100 + float64(i%50), Temperature: devtime.Celsius(15 + float64(i%97)/10), Time: time.Duration(1+i*7919%1000) * time.Second})
	}
	if _, err := Check(d); err != nil {
		t.Error(err)
	}
	if took := time.Since(start); took > 5*time.Minute { // a second or two; more than linear growth would be hours
		t.Errorf("took %v", took)
	} else {
		t.Log(took)
	}
}

func FuzzRead(f *testing.F) {
	for _, name := range []string{"invented_development.csv", "minnesota.csv", "pyro_dilution_1908.csv"} {
		f.Add(printedtest.File(f, name))
	}
	f.Add([]byte("ei,dilution,temperature_c,temperature_f,time\n400,10%,20,68,7½ min\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 4000 {
			return
		}
		d, err := Read(bytes.NewReader(b), "f")
		if err != nil {
			if !errors.Is(err, datafile.ErrData) {
				t.Fatal(err)
			}
			return
		}
		if len(d) >= 100 {
			return
		}
		rep, err := Check(d)
		if err != nil {
			return
		}
		printedtest.HoldFindings(t, rep)
		if _, err := json.Marshal(rep); err != nil {
			t.Fatal(err)
		}
		// Printed again and read again it is the same table.
		if !(d[0].Index > 0 && d[0].Temperature != 0 && d[0].Fahrenheit != 0 && d[0].Dilution.Factor() >= 1) {
			return
		}
		var s strings.Builder
		s.WriteString("ei,dilution,temperature_c,temperature_f,time\n")
		for _, r := range d {
			fmt.Fprintf(&s, "%v,%v,%v,%v,%s\n", r.Index, r.Dilution, float64(r.Temperature), r.Fahrenheit, devtime.FormatTime(r.Time))
		}
		again, err := Read(strings.NewReader(s.String()), "again")
		if err != nil || len(again) != len(d) {
			t.Fatalf("%v\n%s", err, s.String())
		}
		for i := range d {
			d[i].text, again[i].text = "", ""
			d[i].low, d[i].high = 0, 0
			if d[i] != again[i] {
				t.Fatalf("%v and %v", d[i], again[i])
			}
		}
	})
}

func ExampleCheck() {
	// An invented film and developer; row 4 has lost its decimal point.
	rows, err := Read(strings.NewReader("ei,dilution,temperature_c,time\n"+
		"400,1+1,18,10:15\n400,1+1,20,8:30\n400,1+1,24,5:45\n"+
		"800,1+1,18,137.5\n800,1+1,20,11:30\n800,1+1,24,7:45\n"), "slate.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	report, err := Check(rows)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range report.Findings {
		fmt.Println(f.Confidence, f)
	}
	// Output:
	// high row 4, time: printed 137.5, implied 13:55 (9.88 times); the time that the other rows imply; looks like: decimal point
}

func BenchmarkCheck(b *testing.B) {
	one := shippedDevelopment(b, "invented_development.csv")
	for _, times := range []int{1, 4, 16, 64} {
		var rows []Row
		for range times {
			rows = append(rows, one...)
		}
		b.Run(fmt.Sprintf("rows=%d", len(rows)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Check(rows); err != nil {
					b.Fatal(err)
				}
			}
			benchunit.Per(b, 1, "table")
		})
	}
}
