package corrections

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/actinic/internal/benchunit"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/printed/printedtest"
)

func TestReciprocityTables(t *testing.T) {
	for _, c := range []struct{ file, accused, remarks, law string }{
		// 32/25 is 28 %; p by least squares of the logarithms is 0.9324, and with the law held
		// at 1 s 0.9240.
		{"michalke_1897.csv", "4 lengthening_percent 30: 28", "", "power law, p = 0.924 from 1 s, from 1 s to 36 s"},
		{"handbook_reciprocity.csv", "", "", "power law, p = 0.7199 from 0.1655 s, from 1/1000 s to 100 s"},
	} {
		rows, err := Read(bytes.NewReader(printedtest.File(t, c.file)), c.file)
		if err != nil {
			t.Fatal(err)
		}
		rep, err := Check(rows)
		if err != nil {
			t.Fatal(err)
		}
		printedtest.Hold(t, c.file, rep, c.accused, c.remarks)
		if rep.Law != c.law {
			t.Errorf("%s: law %q, want %q", c.file, rep.Law, c.law)
		}
	}
}

// Long tables: nothing overflows, and a clean one stays clean.
func TestLongTableOfCorrections(t *testing.T) {
	var rows []Row
	for i := range 300 {
		m := math.Exp2(1 + 11*float64(i)/300)
		rows = append(rows, Row{Metered: m, Adjusted: math.Pow(m, 1.25), Aperture: sensito.Stops(math.NaN()), Percent: math.NaN()})
	}
	rep, err := Check(rows)
	if err != nil {
		t.Fatal(err)
	}
	if len(rep.Findings) > 0 {
		t.Errorf("%v", rep.Findings[0])
	}
	for i, r := range rows {
		if d := math.Log2(rep.Implied[i] / r.Adjusted); !(math.Abs(d) < 0.1) {
			t.Fatalf("row %d: %v implies %v", i+1, r.Adjusted, rep.Implied[i])
		}
	}
}

func TestReciprocityLogic(t *testing.T) {
	for _, c := range []struct{ content, accused, remarks string }{
		{"metered_s,adjusted_s\n1,1\n", "", ""},
		{"metered_s,adjusted_s\n10,5\n", "1 adjusted_s 5: 10", ""},
		{"metered_s,adjusted_s\n10,9.5\n", "", "1 adjusted_s 9.5: 10"},
		{"metered_s,adjusted_s\n1,1.2\n10,14\n100,170\n1000,2000\n", "", ""},
		{"metered_s,adjusted_s\n1,1.2\n10,14\n100,17\n1000,2000\n", "3 adjusted_s 17: 166 decimal point", ""},
		{"metered_s,adjusted_s\n0.1,0.1\n1,1\n10,20\n20,47\n40,137\n", "", ""},
		// 20 s is 1 stop by time, so 2 stops by aperture cannot be.
		{"metered_s,adjusted_s,aperture_stops\n1,1,0\n2,2.5,0.3\n5,7.5,0.5\n10,18,0.7\n20,42,3\n40,95,1\n80,220,1.2\n", "5 aperture_stops 3: 0.83", ""},
		{"metered_s,adjusted_s,aperture_stops\n1,,0.5\n10,,1\n100,,0.5\n1000,,2\n", "3 aperture_stops 0.5: 1", ""},
		{"metered_s,adjusted_s\n10,20\n10,25\n", "", "2 adjusted_s 25: 20"},
		{"metered_s,adjusted_s\n10,20\n100,150\n", "2 adjusted_s 150:", ""}, // 1 stop, then 0.58
		{"metered_s,adjusted_s,aperture_stops\n10,20,3\n", "1 aperture_stops 3: 1", ""},
		{"metered_s,adjusted_s,aperture_stops\n1,1,0\n2,2.5,0.3\n5,7.5,0.5\n10,18,0.7\n20,42,0.8\n40,95,1\n80,220,0\n", "7 aperture_stops 0: 1.22", ""},
		// the short end, where failure grows as the time shrinks
		{"metered_s,adjusted_s\n0.00001,0.00002\n0.0001,0.00014\n0.001,0.001\n0.01,0.01\n", "", ""},
		{"metered_s,adjusted_s\n0.00001,0.00002\n0.00003,0.000052\n0.0001,0.0014\n0.0003,0.00036\n0.001,0.001\n", "3 adjusted_s 0.0014: 0.000142 decimal point", ""},
	} {
		rows, err := Read(strings.NewReader(c.content), "t.csv")
		if err != nil {
			t.Fatal(err)
		}
		rep, err := Check(rows)
		if err != nil {
			t.Fatal(err)
		}
		printedtest.Hold(t, c.content, rep, c.accused, c.remarks)
	}
}

// The time is implied by the other rows, not by the row itself.
func TestImpliedWithoutItself(t *testing.T) {
	rows, err := Read(bytes.NewReader(printedtest.File(t, "michalke_1897.csv")), "")
	if err != nil {
		t.Fatal(err)
	}
	rep, err := Check(rows)
	if err != nil {
		t.Fatal(err)
	}
	// 4.8 at 4 s is more than the power through the others, 4^1.08 = 4.45, has.
	if at := rep.Implied[1]; !(at > 4.2 && at < 4.6) {
		t.Errorf("implied %v at 4 s", at)
	}
	if at := rep.Implied[0]; !(at > 1.05) {
		t.Errorf("implied %v at 1 s, of which the others know little", at)
	}
}

// corrections is a table of n rows from 1 s to an hour with little scatter.
func corrections(n int) []Row {
	g := rand.New(rand.NewPCG(1, 1))
	rows := make([]Row, n)
	for i := range rows {
		m := math.Exp2(12 * float64(i) / float64(n))
		rows[i] = Row{Metered: m, Adjusted: math.Pow(m, 1.2) * math.Exp2(0.03*g.NormFloat64()), Aperture: sensito.Stops(math.NaN()), Percent: math.NaN()}
	}
	return rows
}

func BenchmarkCheck(b *testing.B) {
	for _, n := range []int{12, 100, 1000} {
		b.Run(fmt.Sprintf("rows=%d", n), func(b *testing.B) {
			rows := corrections(n)
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

// One digit more than in the other rows is no slip where the time is what they imply.
func TestADigitMoreIsNoSlip(t *testing.T) {
	rows, err := Read(strings.NewReader("metered_s,adjusted_s\n1,1.2\n2,2.7\n4,6\n8,14\n15,29\n30,66\n60,152\n100,280\n"), "t.csv")
	if err != nil {
		t.Fatal(err)
	}
	rep, err := Check(rows)
	if err != nil || rep.Accused() > 0 {
		t.Errorf("%v %v", rep.Findings, err)
	}
	// The same digit where the time is another is one.
	if rows, err = Read(strings.NewReader("metered_s,adjusted_s\n1,1.2\n2,2.7\n4,6\n8,14\n15,29\n30,66\n60,252\n100,280\n"), "t.csv"); err != nil {
		t.Fatal(err)
	}
	if rep, err = Check(rows); err != nil || rep.Accused() != 1 || rep.Findings[0].Row != 7 {
		t.Errorf("%v %v", rep.Findings, err)
	}
}

// A slip is believed sooner where it needs no scatter of the other rows, and a clean table
// where it is a scattered one; third stops hardly tell.
func TestCutOff(t *testing.T) {
	// Short times are printed alike in third stops and in marks: what may be either is believed later than third stops
	// and sooner than marks, whichever is a little likelier.
	a, b := cutOff(thirds, 8, 1, 1, 0), cutOff(marks, 8, 1, 1, 1)
	if either, other := cutOff(thirds, 8, 1, 1, 0.5), cutOff(marks, 8, 1, 1, 0.5); !(a < either && either < b && either == other) {
		t.Errorf("third stops %v, marks %v, either %v and %v", a, b, either, other)
	}
	for k := range kinds {
		marked := 0.0
		if k == marks {
			marked = 1
		}
		steady, scattered := cutOff(k, 8, 1, 0.5, marked), cutOff(k, 8, 0, 0.5, marked)
		clean, cleanScattered := cutOff(k, 8, 0.5, 1, marked), cutOff(k, 8, 0.5, 0, marked)
		if tells := k != thirds && k != marks; tells != (steady < scattered/2) || tells != (clean < cleanScattered/2) {
			t.Errorf("%v: %v %v, %v %v", k, steady, scattered, clean, cleanScattered)
		}
		if few := cutOff(k, 3, 1, 1, marked); few != 0.95 || !(cutOff(k, 5, 1, 1, marked) >= cutOff(k, 12, 1, 1, marked)) {
			t.Errorf("%v: three rows %v", k, few)
		}
	}
	for _, least := range []float64{0, 0.3, 1} {
		if a, b := cutOff(digits, 8, least, 1, 0), cutOff(digits, 8, least, 0, 0); !(a > 0 && a < b && b < 1) {
			t.Errorf("%v: %v %v", least, a, b)
		}
	}
}

// Whole seconds that lie on third stops or marks but for one row are whole seconds still, where
// that row, or one of the others, is printed more finely than those are.
func TestSecondsAreNoThirds(t *testing.T) {
	for _, c := range []struct {
		table   string
		accused int
	}{
		{"0.25,0.3\n15,30\n30,76\n480,3186\n", 0},
		{"1,1.6\n40,198\n80,507\n180,1523\n900,13900\n", 0},
		{"1,1\n90,478\n500,5136\n600,6600\n", 0},
		{"1,1\n10,13\n20,32\n40,80\n80,200\n160,710\n", 1}, // third stops of which one is off, as rough as they are
	} {
		rows, err := Read(strings.NewReader("metered_s,adjusted_s\n"+c.table), "t.csv")
		if err != nil {
			t.Fatal(err)
		}
		rep, err := Check(rows)
		if err != nil || rep.Accused() != c.accused {
			t.Errorf("%q: %d accused %v, %v", c.table, rep.Accused(), rep.Findings, err)
		}
	}
}
