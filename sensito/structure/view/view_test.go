package view_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/structure"
	"example.org/actinic/sensito/structure/view"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.9g, want %.9g", what, got, want)
	}
}

// Weights and means of the eyes. Forms as their docs say; figures derived, for the forms.
func TestEyes(t *testing.T) {
	said := held.New(t)
	jf := view.JohnsonFairchild()
	for _, c := range []struct{ fall, want float64 }{
		{20, 0.669209}, // (0.2/0.25)^1.8, the ratio of two gamma integrals; derived
		{10, 0.481987}, // derived
	} {
		got, err := jf.Acutance(func(v float64) float64 { return math.Exp(-v / c.fall) })
		if err != nil {
			t.Fatal(err)
		}
		near(t, "Johnson and Fairchild", got, c.want, 1e-6)
	}
	ms := view.MannosSakrison()
	for _, c := range []struct{ v, want, tol float64 }{ // derived from the form, constants from memory
		{7.89091, 0.980878, 1e-6}, {1, 0.3160, 5e-5}, {4, 0.8105, 5e-5}, {32, 0.1500, 5e-5},
	} {
		near(t, "Mannos and Sakrison", ms.Weight(c.v), c.want, c.tol)
	}
	if ms.Weight(7.8) > ms.Weight(7.89091) || ms.Weight(8) > ms.Weight(7.89091) {
		t.Error("its greatest weight lies elsewhere")
	}
	// In the documentation of an open colour-science library, recomputed.
	b, err := view.Barten(20, 2.1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Barten", b.Weight(4), 360.8691122, 1e-6)
	// Derived: Gaussian with 0.5 at 6 cycles/degree, mean over the logarithm from 3 to 12.
	got, err := view.SubjectiveQuality().Acutance(func(v float64) float64 { return math.Exp2(-v * v / 36) })
	if err != nil {
		t.Fatal(err)
	}
	near(t, "subjective quality", got, 0.477600, 1e-6)
	for _, eye := range []view.Eye{jf, ms, b, view.SubjectiveQuality()} {
		if got, err := eye.Acutance(func(float64) float64 { return 1 }); err != nil || math.Abs(got-1) > 1e-12 || eye.Name() == "" {
			t.Errorf("%s of a whole response: %v, %v", eye.Name(), got, err)
		}
	}
	if _, err := jf.Acutance(func(float64) float64 { return math.NaN() }); !said.Is("", err, view.ErrInput) {
		t.Error(err)
	}
	if _, err := (view.Eye{}).Acutance(func(float64) float64 { return 1 }); !said.Is("", err, view.ErrInput) {
		t.Error(err)
	}
	for _, c := range [][2]float64{{0, 2}, {20, 0}, {math.NaN(), 2}, {20, 12}} {
		if _, err := view.Barten(c[0], c[1]); !said.Is("", err, view.ErrInput) {
			t.Errorf("%v: %v", c, err)
		}
	}
}

// A Gaussian edge of density step S and spread s has a mean square gradient over |x| < X of
// S² erf(X/s)/(4 sqrt(pi) s X); derived.
func TestEdgeAcutance(t *testing.T) {
	said := held.New(t)
	const step, s, least = 1.2, 8.0, 0.005
	var x, d []float64
	for i := -4000; i <= 4000; i++ {
		at := float64(i) / 100
		x, d = append(x, at), append(d, step/2*(1+math.Erf(at/s/math.Sqrt2)))
	}
	// where step/(s sqrt(2 pi)) exp(-X²/(2 s²)) is least
	half := s * math.Sqrt(2*math.Log(step/(s*math.Sqrt(2*math.Pi)*least)))
	want := step * step * math.Erf(half/s) / (4 * math.Sqrt(math.Pi) * s * half) / (step * math.Erf(half/s/math.Sqrt2))
	got, err := view.EdgeAcutance(x, d, least)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "acutance", got, want, 2e-5)
	// a sharper edge has more
	for i := range x {
		x[i] /= 2
	}
	if more, err := view.EdgeAcutance(x, d, least); err != nil || more < 1.5*got {
		t.Errorf("half as wide: %v against %v, %v", more, got, err)
	}
	for _, c := range []struct{ x, d []float64 }{{x[:2], d[:2]}, {[]float64{0, 0, 1}, d[:3]}, {x[:5], d[:4]}, {x[:9], make([]float64, 9)},
		{x[:3], []float64{0, math.NaN(), 1}}} {
		if _, err := view.EdgeAcutance(c.x, c.d, least); !said.Is("", err, view.ErrInput) {
			t.Errorf("%v: %v", c.x, err)
		}
	}
}

func TestPrints(t *testing.T) {
	said := held.New(t)
	// To fill 203 × 254 mm; exact.
	for _, c := range []struct {
		format int
		want   float64
	}{{0, 8.45833}, {2, 4.53571}, {5, 2.11667}} {
		for _, size := range [][2]float64{{254, 203}, {203, 254}} {
			m, err := view.Formats()[c.format].Enlargement(size[0], size[1])
			if err != nil {
				t.Fatal(err)
			}
			near(t, view.Formats()[c.format].Name, m, c.want, 5e-6)
		}
	}
	near(t, "1 cycle/degree at 300 mm", view.CyclesPerMM(1, 300), 0.190986, 5e-7) // exact
	// RMS 10, tenfold, eye's aperture of 480 µm, gradient 2: 0.020 by Selwyn's law; exact.
	p := view.Print{Width: 360, Height: 240, Distance: 300, Gradient: 2}
	n := view.Negative{Format: view.Formats()[0], SD48: 0.010}
	s, err := p.Of(n, view.JohnsonFairchild())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "grain of the print", s.Grain, 0.020, 1e-12)
	if !s.ByEye || math.Abs(s.Frequency-30*0.190986) > 1e-4 || math.Abs(s.Acutance-1) > 1e-12 {
		t.Errorf("a perfect negative: %+v", s)
	}
	// A spectrum that is flat far beyond the aperture's reach is Selwyn's.
	n.UpTo, n.Power = 3000, func(float64) float64 { return 0.180955737 }
	flat, err := p.Of(n, view.JohnsonFairchild())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "by the spectrum", flat.Grain, 0.020, 1e-4)
	// An enlarger that does not resolve it, leaves less grain and less detail.
	n.Enlarger = func(f float64) float64 { return math.Exp(-f / 20) }
	soft, err := p.Of(n, view.JohnsonFairchild())
	if err != nil {
		t.Fatal(err)
	}
	if !(soft.Grain < 0.8*flat.Grain) || !(soft.Acutance < 0.9) || soft.ByEye {
		t.Errorf("soft: %+v", soft)
	}
	near(t, "detail of exp(-f/20)", soft.Frequency, 20*math.Ln10/10, 0.01)
	// The larger format has less grain, in the ratio of enlargements.
	n.Enlarger = nil
	n.Power = nil
	q := view.Print{Width: 254, Height: 203, Distance: 300, Gradient: 2}
	a, err1 := q.Of(n, view.JohnsonFairchild())
	n.Format = view.Formats()[2]
	b, err2 := q.Of(n, view.JohnsonFairchild())
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	near(t, "ratio", a.Grain/b.Grain, 8.45833/4.53571, 1e-5)
	for _, bad := range []view.Print{{}, {Width: 100, Height: math.NaN(), Distance: 300, Gradient: 1}, {Width: 100, Height: 100, Distance: -1, Gradient: 1},
		{Width: 100, Height: 100, Distance: 300}, {Width: 100, Height: 100, Distance: 300, Gradient: 1, Threshold: 2}} {
		if _, err := bad.Of(n, view.JohnsonFairchild()); !said.Is("", err, view.ErrInput) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

// film is a straight curve of a gradient with a granularity of root D.
func film(t *testing.T, gradient, sd float64) view.Film {
	t.Helper()
	c, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: gradient, Toe: -2.5, ToeWidth: 0.2, From: -4, To: 1})
	if err != nil {
		t.Fatal(err)
	}
	return view.Film{Curve: c, SD: func(d sensito.Density) (float64, error) { return sd * math.Sqrt(float64(d)), nil }}
}

func TestSignal(t *testing.T) {
	said := held.New(t)
	// SNR of RMS 10 at a gradient of 0.6, and its log exposure; derived.
	f := view.Film{Curve: film(t, 0.6, 0).Curve, SD: func(sensito.Density) (float64, error) { return 0.010, nil }}
	s, err := f.At(0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "signal to noise", s.ToNoise, 26.0577, 2e-4)
	near(t, "noise equivalent", s.NoiseEquivalent, 0.0166667, 1e-6)
	near(t, "a stop", s.Contrast(1), 0.6*0.30103/0.01, 1e-3)
	// NEQ of RMS 10 with a flat spectrum; DQE at 0.01 lx s. Derived.
	neq, err := view.NoiseEquivalentQuanta(0.6, 1, 0.180955737)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "NEQ", neq, 0.375231, 1e-6)
	near(t, "quanta", view.QuantaPerLuxSecond, 4090.68, 0.01)
	near(t, "DQE", neq/(0.01*view.QuantaPerLuxSecond), 0.0091728, 1e-7)
	// Grains that need so many quanta; exact.
	for _, c := range []struct {
		q       int
		x, want float64
	}{{1, 1, 0.581977}, {4, 4, 0.621698}, {4, 3.186100, 0.662194}} {
		got, err := view.CountedQuanta(c.q, c.x)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "counted", got, c.want, 1e-6)
	}
	x, share, err := view.BestQuanta(4)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "best at", x, 3.186100, 2e-5)
	near(t, "best", share, 0.662194, 1e-6)
	for _, err := range []error{second(view.NoiseEquivalentQuanta(0.6, 1, 0)), second(view.NoiseEquivalentQuanta(math.NaN(), 1, 1)),
		second(view.CountedQuanta(0, 1)), second(view.CountedQuanta(1, -1)), second(view.Film{}.At(0))} {
		if !said.Is("", err, view.ErrInput) {
			t.Errorf("bad input: %v", err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// The range ends where the signal is what was asked, and the index is that of its lower end.
func TestRangeAndIndex(t *testing.T) {
	said := held.New(t)
	f := film(t, 0.6, 0.012)
	r, err := f.Range(15)
	if err != nil {
		t.Fatal(err)
	}
	if r.FromOpen || r.ToOpen {
		t.Errorf("%+v", r)
	}
	from := r.From
	for _, x := range []sensito.LogH{r.From, r.To} {
		s, err := f.At(x)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "signal at the end", s.ToNoise, 15, 1e-6)
	}
	ei, err := f.Index(15)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "index", ei, 0.8/math.Pow(10, float64(from)), 1e-9)
	// Twice the grain: a lower index.
	if low, err := film(t, 0.6, 0.017).Index(15); err != nil || low >= ei {
		t.Errorf("with more grain %v against %v, %v", low, ei, err)
	}
	// Where the granularity of thin patches is not known, the index is not either.
	known := f.SD
	f.SD = func(d sensito.Density) (float64, error) {
		if d < 0.5 {
			return 0, view.ErrInput
		}
		return known(d)
	}
	if r, err := f.Range(15); err != nil || !r.FromOpen {
		t.Errorf("%+v, %v", r, err)
	}
	if _, err := f.Index(15); !said.Is("", err, view.ErrNotReached) {
		t.Errorf("%v", err)
	}
	if _, err := film(t, 0.6, 0.1).Range(15); !said.Is("", err, view.ErrNotReached) {
		t.Errorf("%v", err)
	}
	if _, err := f.Range(math.NaN()); !said.Is("", err, view.ErrInput) {
		t.Errorf("%v", err)
	}
}

// Where gradient and granularity are constant, steps follow by hand; a filter that darkens shadows
// adds steps, and one that lifts them takes some.
func TestTones(t *testing.T) {
	said := held.New(t)
	f := view.Film{Curve: film(t, 0.6, 0).Curve, SD: func(sensito.Density) (float64, error) { return 0.010, nil }}
	subject := []view.Tone{{"tips against the sky", 2, 0}, {"shadow on slate", -1, -0.5}}
	got, err := f.Tones(subject, -0.5, false)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "steps", got.Steps, 3*math.Log10(2)*0.6/0.030, 1e-2)
	near(t, "a step", float64(got.PerStep), 0.030/0.6/math.Log10(2), 1e-3)
	more, err := f.Tones(subject, -0.5, true)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "steps behind the filter", more.Steps/got.Steps, 3.5/3, 1e-3)
	// In the toe a step is wider, and beyond the curve there is none.
	dark, err := f.Tones([]view.Tone{{"a", 0, 0}, {"b", -16, 0}}, 0, false)
	if err != nil {
		t.Fatal(err)
	}
	if !math.IsInf(float64(dark.Widest), 1) || math.Abs(float64(dark.Lost)-(16-4/math.Log10(2))) > 0.05 {
		t.Errorf("%+v", dark)
	}
	for _, bad := range [][]view.Tone{nil, subject[:1], {{"a", 0, 0}, {"b", 0, 0}}, {{"a", 0, 0}, {"b", sensito.Stops(math.NaN()), 0}}} {
		if _, err := f.Tones(bad, 0, false); !said.Is("", err, view.ErrInput) {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

// The grain of one film on a print of 8 × 10 in, from three formats.
func ExamplePrint_Of() {
	p := view.Print{Width: 254, Height: 203, Distance: 300, Gradient: 1.6}
	film, err := structure.Gaussian(5, 200, 200) // an invented film
	if err != nil {
		fmt.Println(err)
		return
	}
	m := func(f float64) float64 {
		e, err := film.At(f)
		if err != nil {
			return 0
		}
		return e.Value
	}
	for _, k := range []int{0, 2, 5} {
		s, err := p.Of(view.Negative{Format: view.Formats()[k], SD48: 0.018, Film: m}, view.JohnsonFairchild())
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%-10s × %.1f  sd %.4f  detail %.0f µm\n", s.Format.Name, s.Enlargement, s.Grain, s.Detail)
	}
	// Output:
	// 24 × 36 mm × 8.5  sd 0.0244  detail 87 µm
	// 56 × 56 mm × 4.5  sd 0.0131  detail 87 µm
	// 4 × 5 in   × 2.1  sd 0.0061  detail 87 µm
}
