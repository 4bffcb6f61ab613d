package bracketfit

import (
	"math"
	"testing"

	"example.org/actinic/internal/cholesky"
	"example.org/actinic/internal/held"
)

func planned(t testing.TB) Film {
	t.Helper()
	f, err := NewFilm(0.28, 0.7, 0.2, 2.4, 3, -2.7)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// A film has 0.10 where it was told to, and its gradients are those of differences.
func TestFilm(t *testing.T) {
	said := held.New(t)
	f := planned(t)
	if v := f.Net(-2.7); math.Abs(v-0.1) > 1e-9 {
		t.Errorf("%v at the speed point", v)
	}
	g, ln := f.Gradient()
	if want := (f.Net(-1.2) - 0.1) / 1.5; math.Abs(g-want) > 1e-9 {
		t.Errorf("gradient %v, want %v", g, want)
	}
	point := f.Point()
	at := func(f Film) (x, g float64) {
		x, _, _ = exposureAt(f.Constants[:], nil, target)
		g, _ = f.Gradient()
		return x, g
	}
	for j := range pForm {
		const h = 1e-5
		up, down := f, f
		up.Constants[j] += h
		down.Constants[j] -= h
		x1, g1 := at(up)
		x0, g0 := at(down)
		if d := (x1 - x0) / (2 * h); math.Abs(d-point[j]) > 1e-5 {
			t.Errorf("speed point by constant %d: %v, want %v", j, point[j], d)
		}
		if d := math.Log(g1/g0) / (2 * h); math.Abs(d-ln[j]) > 1e-5 {
			t.Errorf("ln gradient by constant %d: %v, want %v", j, ln[j], d)
		}
	}
	for _, c := range [][6]float64{{0.2, -1, 0.2, 2, 3, -2}, {0.2, 0.7, 0, 2, 3, -2}, {0.2, 0.7, 0.2, 0.05, 3, -2}, {math.NaN(), 0.7, 0.2, 2, 3, -2},
		{0.2, 0.7, 0.2, 2, 3, math.Inf(1)}, {0.2, math.Inf(1), 0.2, 2, 3, -2}} {
		if _, err := NewFilm(c[0], c[1], c[2], c[3], c[4], c[5]); !said.Is("", err, ErrBracket) {
			t.Errorf("%v: %v", c, err)
		}
	}
}

// The information of a plan is the normal matrix that the fit has of its readings.
func TestInformationIsThatOfTheFit(t *testing.T) {
	f := planned(t)
	tones := []Tone{{Stops: -4}, {SD: 0.3}, {Stops: 3, SD: 1}}
	cov := cholesky.New(pForm)
	for j := range pForm {
		cov.Add(j, j, 0.01)
	}
	b := Bracket{Tones: tones, Shape: &Shape{Constants: f.Constants}}
	for j := range pForm {
		b.Shape.Cov[j][j] = 0.01
	}
	want := f.Before(cov, tones, true)
	const sd, scatter = 0.015, 0.05
	for i, e := range []float64{2.0, 2.4, 2.9} {
		b.LogIndex = append(b.LogIndex, e)
		for k, tone := range tones {
			b.Readings = append(b.Readings, Reading{Frame: i, Tone: k, Density: f.Constants[pBase] + f.Net(-e+tone.Stops*stop), SD: sd})
		}
		add(want, f.FrameInformation(tones, e, sd, scatter))
	}
	b.Unexposed = []Reading{{Density: f.Constants[pBase], SD: sd}}
	add(want, UnexposedInformation(2, sd))
	q, _ := b.problem()
	s := q.newState()
	copy(s.p, f.Constants[:])
	v := q.newView()
	v.scatter = scatter * stop
	q.weigh(s, &v)
	q.normal(s, &v)
	for i := range q.np {
		for j := range q.np {
			if got := s.a.At(i, j); math.Abs(got-want.At(i, j)) > 1e-9*(1+math.Abs(got)) {
				t.Errorf("%d, %d: %v, the plan has %v", i, j, got, want.At(i, j))
			}
		}
	}
}

func add(m, n cholesky.Matrix) {
	for k, v := range n.A {
		m.A[k] += v
	}
}
