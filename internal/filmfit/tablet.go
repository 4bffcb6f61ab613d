package filmfit

import (
	"math"
	"sync"
)

// The departure is a Gaussian process (Matérn 5/2) seen at a few knots, and a line.
const (
	gridStep  = 0.1
	gridBelow = 2.5 // how far the grid starts below the first reading
	gridAbove = 0.1 // how far it goes beyond the last
	knotBelow = 1.0
	knotStep  = 0.45
	reach     = 0.8 // correlation length of the departure, in log10 H
	lineLeast = -1.5
	lineMost  = 9
)

// basis holds the departure's functions on the grid, for all tablets of one length:
// row i is the grid point gridStep*i - gridBelow above the first reading, its last
// column the line.
type basis struct {
	m, cols int
	stride  int // of the rows of phi: cols and zeros, a multiple of 4
	phi     []float64
	long    int       // m and more, a multiple of 8
	columns []float64 // of phi, one after the other in rows of long
}

// bases keeps those in use; a roll has one.
var bases struct {
	sync.Mutex
	of map[int]*basis
}

// basisFor returns the basis for a grid of m points.
func basisFor(m int) *basis {
	bases.Lock()
	defer bases.Unlock()
	if b := bases.of[m]; b != nil {
		return b
	}
	if bases.of == nil || len(bases.of) > 64 {
		bases.of = make(map[int]*basis)
	}
	b := newBasis(m)
	bases.of[m] = b
	return b
}

func newBasis(m int) *basis {
	end := gridStep*float64(m-1) - gridBelow - gridAbove
	var knots []float64
	for k := -knotBelow; k < end+knotStep; k += knotStep {
		knots = append(knots, k)
	}
	n := len(knots)
	// The lower Cholesky factor of the knots' covariance.
	l := make([]float64, n*n)
	for i := range n {
		for j := range i + 1 {
			l[i*n+j] = matern(knots[i] - knots[j])
		}
		l[i*n+i] += 1e-8
	}
	factor(l, n)
	stride := (n + 1 + 3) &^ 3
	b := &basis{m: m, cols: n + 1, stride: stride, phi: make([]float64, m*stride)}
	for i := range m {
		x := gridStep*float64(i) - gridBelow
		row := b.phi[i*stride : i*stride+b.cols]
		for j := range n {
			row[j] = matern(x - knots[j])
			for k := range j {
				row[j] -= l[j*n+k] * row[k]
			}
			row[j] /= l[j*n+j]
		}
		row[n] = min(max(x-1, lineLeast), lineMost)
	}
	b.long = (m + 7) &^ 7
	b.columns = make([]float64, b.cols*b.long)
	for i := range m {
		for j := range b.cols {
			b.columns[j*b.long+i] = b.phi[i*stride+j]
		}
	}
	return b
}

func matern(r float64) float64 {
	a := math.Sqrt(5) * math.Abs(r) / reach
	return (1 + a + a*a/3) * math.Exp(-a)
}

// Tablet is where the readings lie: on the grid, and within its cells.
type Tablet struct {
	basis *basis
	first float64 // exposure of the first reading
	last  float64
	plain bool      // the closed form alone: no departure
	at    []float64 // grid points, then the readings' exposures
	cell  []int     // the grid cell of each reading
	in    []float64 // how far it lies in it
}

// set readies exposures in rising order, reusing the memory of t.
func (t *Tablet) set(x []float64) {
	t.first, t.last = x[0], x[len(x)-1]
	m := int(math.Ceil((t.last-t.first+gridBelow+gridAbove)/gridStep-1e-9)) + 1
	switch {
	case t.plain:
		t.basis = &basis{m: m, long: (m + 7) &^ 7}
	case t.basis == nil || t.basis.m != m || t.basis.cols == 0:
		t.basis = basisFor(m)
	}
	t.at = grown(t.at, m+len(x))
	t.cell, t.in = grown(t.cell, len(x)), grown(t.in, len(x))
	for i := range m {
		t.at[i] = t.first - gridBelow + gridStep*float64(i)
	}
	for i, v := range x {
		t.at[m+i] = v
		c := min(int((v-t.at[0])/gridStep), m-2)
		t.cell[i], t.in[i] = c, v-t.at[c]
	}
}

// grown returns s with n elements, of the old memory if that is large enough.
func grown[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}
