package printed

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// screened are the metered times of a table of twelve rows.
var screened = []float64{1, 2, 4, 8, 15, 30, 60, 120, 240, 480, 900, 1800}

// Simulated tables of a power with a scatter of 0.03 stop, and a slip of a fifth of a
// stop to a stop and a fifth in one row.
func TestScreenFindsTheSlip(t *testing.T) {
	g := rand.New(rand.NewPCG(3, 3))
	const tables = 2000
	found, accused := 0, 0
	off := make([]sensito.Stops, len(screened))
	y := make([]float64, len(screened))
	for range tables {
		p := 1 + 0.4*g.Float64()
		for i, x := range screened {
			y[i] = math.Pow(x, p) * math.Exp2(0.03*g.NormFloat64())
		}
		s, err := ScreenTable(off, screened, y, 0.02)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(s.Power-p) > 0.02 { // five standard errors
			t.Errorf("power %v, made with %v", s.Power, p)
		}
		for _, o := range off {
			if s.Suspect(o) {
				accused++
			}
		}
		// A slip of 15 % or more, a fifth of a stop, in one row.
		at := g.IntN(len(y))
		sign := float64(1 - 2*g.IntN(2))
		y[at] *= math.Exp2(sign * (0.2 + g.Float64()))
		if s, err = ScreenTable(off, screened, y, 0.02); err != nil {
			t.Fatal(err)
		}
		worst := 0
		for i, o := range off {
			if math.Abs(float64(o)) > math.Abs(float64(off[worst])) {
				worst = i
			}
		}
		if worst == at && s.Suspect(off[worst]) {
			found++
		}
	}
	t.Logf("%d of %d slips found in the right row; %d of %d rows without one suspected", found, tables, accused, tables*len(y))
	if found < tables*99/100 {
		t.Errorf("%d of %d slips found", found, tables)
	}
	if accused > tables*len(y)*2/100 {
		t.Errorf("%d of %d rows accused without a slip", accused, tables*len(y))
	}
}

func TestScreenOfAPower(t *testing.T) {
	// y = 3 x^1.5, to the last digits, with one row that is not.
	x := []float64{1, 4, 16, 64, 256, 1024}
	y := []float64{3, 24, 192, 1536, 12288 / 2, 98304}
	off := make([]sensito.Stops, len(x))
	s, err := ScreenTable(off, x, y, 0.01)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(s.Power-1.5) > 1e-12 || math.Abs(s.Unit-3) > 1e-12 || math.Abs(float64(s.SD)-0.01) > 1e-15 {
		t.Errorf("%+v, want power 1.5, unit 3", s)
	}
	for i, o := range off {
		want := 0.0
		if i == 4 {
			want = -1
		}
		if math.Abs(float64(o)-want) > 1e-12 || s.Suspect(o) != (i == 4) {
			t.Errorf("row %d is off by %v", i+1, o)
		}
	}
}

// Rows that follow a power to the last digit are not suspected of their rounding.
func TestScreenOfAnExactPower(t *testing.T) {
	for _, p := range []float64{0.3, 1, 1.37} {
		y := make([]float64, len(screened))
		for i, x := range screened {
			y[i] = 7 * math.Pow(x, p)
		}
		off := make([]sensito.Stops, len(y))
		s, err := ScreenTable(off, screened, y, 0)
		if err != nil {
			t.Fatal(err)
		}
		for i, o := range off {
			if s.Suspect(o) {
				t.Errorf("power %v: row %d is off by %v, standard deviation %v", p, i+1, float64(o), float64(s.SD))
			}
		}
	}
}

func TestScreenRefuses(t *testing.T) {
	said := held.New(t)
	ok := []float64{1, 2, 3, 4, 5}
	for _, r := range []struct {
		name  string
		x, y  []float64
		room  int
		least sensito.Stops
	}{
		{"nothing", nil, nil, 0, 0},
		{"four rows", ok[:4], ok[:4], 4, 0},
		{"fewer x", ok[:4], ok, 5, 0},
		{"little room", ok, ok, 4, 0},
		{"zero", ok, []float64{1, 2, 0, 4, 5}, 5, 0},
		{"x of zero", []float64{1, 0, 3, 4, 5}, ok, 5, 0},
		{"infinite y", ok, []float64{1, 2, 3, 4, math.Inf(1)}, 5, 0},
		{"negative", []float64{1, -2, 3, 4, 5}, ok, 5, 0},
		{"NaN", ok, []float64{1, 2, math.NaN(), 4, 5}, 5, 0},
		{"infinite", []float64{1, 2, 3, 4, math.Inf(1)}, ok, 5, 0},
		{"one x", []float64{2, 2, 2, 2, 2}, ok, 5, 0},
		{"least negative", ok, ok, 5, -1},
		{"least infinite", ok, ok, 5, sensito.Stops(math.Inf(1))},
		{"least NaN", ok, ok, 5, sensito.Stops(math.NaN())},
	} {
		if s, err := ScreenTable(make([]sensito.Stops, r.room), r.x, r.y, r.least); !said.Is("", err, datafile.ErrData) {
			t.Errorf("%s: %+v, %v", r.name, s, err)
		}
	}
}

func TestScreenTakesNoMemory(t *testing.T) {
	y := make([]float64, len(screened))
	for i, x := range screened {
		y[i] = math.Pow(x, 1.3)
	}
	off := make([]sensito.Stops, len(y))
	if n := testing.AllocsPerRun(100, func() {
		if _, err := ScreenTable(off, screened, y, 0); err != nil {
			t.Error(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// A million rows, in no order, a tenth of them wild.
func TestScreenOfAMillion(t *testing.T) {
	g := rand.New(rand.NewPCG(4, 4))
	n := 1_000_000
	if testing.Short() {
		n = 100_000
	}
	x, y, off := make([]float64, n), make([]float64, n), make([]sensito.Stops, n)
	for i := range x {
		x[i] = math.Exp2(10 * g.Float64())
		y[i] = math.Pow(x[i], 1.2) * math.Exp2(0.03*g.NormFloat64())
		if i%10 == 0 {
			y[i] = math.Exp2(10 * g.Float64())
		}
	}
	s, err := ScreenTable(off, x, y, 0)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(s.Power-1.2) > 1e-3 || math.Abs(float64(s.SD)-0.03) > 0.01 {
		t.Errorf("%+v", s)
	}
}

// The fewest rows out of order, against every set of rows of small tables.
func TestMisplacedIsFewest(t *testing.T) {
	g := rand.New(rand.NewPCG(6, 6))
	for range 2000 {
		n := 1 + g.IntN(9)
		order := 1 - 2*g.IntN(2)
		x, y := make([]float64, n), make([]float64, n)
		for i := range y {
			x[i], y[i] = float64(i+1), float64(1+g.IntN(6)) // ties, which are in order
		}
		most := 0
		for set := range 1 << n {
			last, kept, sorted := math.Inf(-1), 0, true
			for i := range n {
				if set>>i&1 == 1 {
					v := float64(order) * y[i]
					sorted = sorted && v >= last
					last, kept = v, kept+1
				}
			}
			if sorted {
				most = max(most, kept)
			}
		}
		out := Misplaced(y, order, x)
		if len(out) != n-most {
			t.Fatalf("%v going %d: %v out of order, want %d", y, order, out, n-most)
		}
		last := math.Inf(-1)
		for i := range n {
			if k := float64(order) * y[i]; len(out) > 0 && out[0] == i {
				out = out[1:]
			} else if k < last {
				t.Fatalf("%v going %d is not in order", y, order)
			} else {
				last = k
			}
		}
	}
}

func ExampleScreenTable() {
	// An invented table of corrections; one row has its digits the wrong way round.
	metered := []float64{1, 2, 4, 8, 15, 30, 60}
	adjusted := []float64{1.3, 2.9, 6.6, 15, 32, 37, 170}
	off := make([]sensito.Stops, len(metered))
	s, err := ScreenTable(off, metered, adjusted, 0.02)
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, o := range off {
		if s.Suspect(o) {
			fmt.Printf("row %d: %v s for %v s is off by %+.1f stop\n", i+1, adjusted[i], metered[i], float64(o))
		}
	}
	// Output:
	// row 6: 37 s for 30 s is off by -1.0 stop
}
