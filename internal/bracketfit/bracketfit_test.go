package bracketfit

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/held"
)

var usual = design{family: "form", frames: 10, step: 1. / 3, strip: 21, sd: 0.015, scatter: 0.05}

func one(t *testing.T, d design) (Bracket, float64, int) {
	t.Helper()
	return d.draw(rand.New(rand.NewPCG(3, 9)))
}

// The derivatives of the form are its differences, and exposureAt is its inverse.
func TestForm(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		p := []float64{0.3, math.Log(between2(r, 0.2, 1.5)), between2(r, -3, -1), math.Log(between2(r, 0.02, 0.6)), math.Log(between2(r, 0.8, 4)), math.Log(between2(r, 0.7, 12))}
		x := between2(r, -4, 2)
		var d, scratch [pForm]float64
		_, slope := net(p, x, &d)
		near := func(what string, got, want float64) {
			if !(math.Abs(got-want) <= 1e-6*(1+math.Abs(want))) {
				t.Errorf("%s at %v of %v is %v, want %v", what, x, p, got, want)
			}
		}
		const h = 1e-6
		a, _ := net(p, x+h, &scratch)
		b, _ := net(p, x-h, &scratch)
		near("slope", slope, (a-b)/(2*h))
		for j := 1; j < pForm; j++ {
			q := append([]float64(nil), p...)
			q[j] += h
			a, _ := net(q, x, &scratch)
			q[j] -= 2 * h
			b, _ := net(q, x, &scratch)
			near("derivative", d[j], (a-b)/(2*h))
		}
		at, dx, ok := exposureAt(p, nil, target)
		if !ok {
			t.Fatalf("no exposure of %v", p)
		}
		v, _ := net(p, at, &scratch)
		near("density", v, target)
		for j := 1; j < pForm; j++ {
			q := append([]float64(nil), p...)
			q[j] += h
			a, _, _ := exposureAt(q, nil, target)
			q[j] -= 2 * h
			b, _, _ := exposureAt(q, nil, target)
			near("derivative of the exposure", dx[j], (a-b)/(2*h))
		}
	}
}

// A reading moved by 0.2 is named and hardly moves the index.
func TestNamesAWildReading(t *testing.T) {
	b, truth, bad := one(t, usual)
	before, err := Fit(b)
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range b.Readings {
		if r.Frame == bad && r.Tone == 0 {
			b.Readings[i].Density += 0.2
		}
	}
	got, err := Fit(b)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Findings) != 1 || got.Findings[0].Frame != bad || got.Findings[0].Tone != 0 || math.Abs(got.Findings[0].Off-0.2) > 0.06 {
		t.Fatalf("findings %+v, want frame %d", got.Findings, bad)
	}
	if d := math.Abs(got.LogIndex-before.LogIndex) / stop; !(d < 0.08) {
		t.Errorf("the index moved by %.3f stop", d)
	}
	if d := math.Abs(got.Trusting-got.LogIndex) / stop; !(d > 0.1) {
		t.Errorf("trusting the reading moves the index by %.3f stop only", d)
	}
	if !(got.Low < truth && truth < got.High) {
		t.Errorf("truth %v outside %v to %v", truth, got.Low, got.High)
	}
	if got.Outside {
		t.Error("the index is said to lie outside the frames")
	}
}

// Two frames that are off are both named.
func TestNamesTwoFrames(t *testing.T) {
	b, _, _ := one(t, usual)
	for i, r := range b.Readings {
		if r.Frame == 2 && r.Tone == 1 {
			b.Readings[i].Density += 0.3
		}
		if r.Frame == 7 && r.Tone == 2 {
			b.Readings[i].Density -= 0.3
		}
	}
	got, err := Fit(b)
	if err != nil {
		t.Fatal(err)
	}
	found := map[[2]int]bool{}
	for _, f := range got.Findings {
		found[[2]int{f.Frame, f.Tone}] = true
	}
	if !found[[2]int{2, 1}] || !found[[2]int{7, 2}] || len(found) != 2 {
		t.Errorf("findings %+v", got.Findings)
	}
}

// The order of the readings and a factor in the indexes change nothing else.
func TestInvariant(t *testing.T) {
	b, _, _ := one(t, usual)
	want, err := Fit(b)
	if err != nil {
		t.Fatal(err)
	}
	c := b
	c.Readings = append([]Reading(nil), b.Readings...)
	rand.New(rand.NewPCG(2, 2)).Shuffle(len(c.Readings), func(i, j int) { c.Readings[i], c.Readings[j] = c.Readings[j], c.Readings[i] })
	c.LogIndex = append([]float64(nil), b.LogIndex...)
	for i := range c.LogIndex {
		c.LogIndex[i]++
	}
	got, err := Fit(c)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.LogIndex-want.LogIndex-1) > 0.003 || math.Abs(got.SD-want.SD) > 0.003 {
		t.Errorf("%v ± %v, want %v ± %v", got.LogIndex-1, got.SD, want.LogIndex, want.SD)
	}
}

func TestRefuses(t *testing.T) {
	said := held.New(t)
	nan, inf := math.NaN(), math.Inf(1)
	for name, spoil := range map[string]func(*Bracket){
		"index NaN":        func(b *Bracket) { b.LogIndex[1] = nan },
		"index infinite":   func(b *Bracket) { b.LogIndex[1] = inf },
		"density NaN":      func(b *Bracket) { b.Readings[4].Density = nan },
		"sd negative":      func(b *Bracket) { b.Readings[4].SD = -1 },
		"sd infinite":      func(b *Bracket) { b.Unexposed[0].SD = inf },
		"frame missing":    func(b *Bracket) { b.Readings[0].Frame = 99 },
		"tone missing":     func(b *Bracket) { b.Readings[0].Tone = -1 },
		"placing NaN":      func(b *Bracket) { b.Tones[1].Stops = nan },
		"placing sd":       func(b *Bracket) { b.Tones[1].SD = -1 },
		"no readings":      func(b *Bracket) { b.Readings = nil },
		"nothing":          func(b *Bracket) { *b = Bracket{} },
		"one frame":        func(b *Bracket) { b.Readings = b.Readings[:3] },
		"shape not finite": func(b *Bracket) { b.Shape.Constants[1] = nan },
		"shape variance":   func(b *Bracket) { b.Shape.Cov[1][1] = -1 },
	} {
		b, _, _ := one(t, usual)
		spoil(&b)
		if r, err := Fit(b); !said.Is(name, err, ErrBracket) || !said.Is(name, err, check.ErrInput) {
			t.Errorf("%s: %+v, %v", name, r, err)
		}
	}
	for name, ps := range map[string][]Patch{
		"none": nil, "three": make([]Patch, 3), "NaN": {{nan, 0, 0}, {1, 1, 0}, {2, 2, 0}, {3, 3, 0}}, "sd": {{0, 0, -1}, {1, 1, 0}, {2, 2, 0}, {3, 3, 0}},
	} {
		if _, err := FitStrip(ps, nil); !said.Is("", err, ErrBracket) {
			t.Errorf("strip of %s: %v", name, err)
		}
	}
}

// Odd brackets end in numbers or a refusal, never in a NaN or a panic.
func TestOddBrackets(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	for k := range 60 {
		d := usual
		d.frames = 2 + r.IntN(9)
		d.step = between2(r, 0.2, 1.5)
		d.unstated = r.IntN(2) == 0
		d.sd = between2(r, 0.001, 0.2)
		d.shadowOnly = r.IntN(2) == 0
		d.strip = []int{0, 7, 21}[r.IntN(3)]
		b, _, _ := d.draw(r)
		switch k % 6 {
		case 0: // flat
			for i := range b.Readings {
				b.Readings[i].Density = 0.3
			}
		case 1: // falling
			for i := range b.Readings {
				b.Readings[i].Density = 2 - b.Readings[i].Density
			}
		case 2:
			b.Unexposed = nil
		case 3:
			b.LogIndex[0] += 20
		case 4: // equal indexes in pairs
			b.LogIndex[1] = b.LogIndex[0]
		case 5:
			b.Readings = b.Readings[:min(len(b.Readings), 4)]
		}
		got, err := Fit(b)
		if err != nil {
			if !errors.Is(err, ErrBracket) {
				t.Errorf("case %d: %v", k, err)
			}
			continue
		}
		if !check.Finite(got.LogIndex, got.Low, got.High, got.SD, got.BaseFog) || !check.Finite(got.Density...) || !(got.Low <= got.High) {
			t.Errorf("case %d: %+v", k, got)
		}
	}
}

// A film of another form is followed by the departure of the strip's curve, and the
// table is passed through.
func TestFollows(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	f := families["two emulsions"](r)
	var ps []Patch
	for k := range 31 {
		x := -3.2 + 0.1*float64(k)
		ps = append(ps, Patch{x, 0.25 + f(x), 0.01})
	}
	s, err := FitStrip(ps, []Patch{{0, 0.25, 0.01}})
	if err != nil {
		t.Fatal(err)
	}
	followed := s.Follow(f, -3.2, -0.2)
	worst, before := 0.0, 0.0
	for x := -3.1; x < -0.2; x += 0.03 {
		worst = math.Max(worst, math.Abs(followed.Density(x)-followed.Constants[pBase]-f(x)))
		before = math.Max(before, math.Abs(s.Density(x)-s.Constants[pBase]-f(x)))
	}
	if !(worst < 0.002 && before > 0.01) {
		t.Errorf("followed to %.4f, the form alone to %.4f", worst, before)
	}
	var d departure
	d.from, d.step = -1, 0.5
	d.v = []float64{0, 1, -1, 2, 0.5}
	for z := -1.3; z < 1.3; z += 0.01 {
		a, slope := d.at(z)
		b, _ := d.at(z + 1e-7)
		if math.Abs((b-a)/1e-7-slope) > 1e-3 && math.Abs(math.Remainder(z+1, 0.5)) > 1e-6 {
			t.Errorf("slope at %v is %v, want %v", z, slope, (b-a)/1e-7)
		}
	}
	if p := Pool([]*Shape{followed, followed}); math.Abs(p.Density(-1.5)-followed.Density(-1.5)) > 1e-12 {
		t.Error("a pool of one shape is another")
	}
	if b := Between(followed, followed, 0.3); math.Abs(b.Density(-1.5)-followed.Density(-1.5)) > 1e-12 {
		t.Error("between a shape and itself is another")
	}
}

// upswept is a film without a shoulder, read on a strip from -3.2 to -0.8 in log10 H, with
// the shape that follows it.
func upswept(t *testing.T) (film, *Shape) {
	t.Helper()
	f := func(x float64) float64 {
		u := 0.2 * math.Log1p(math.Exp((x+2.2)/0.2))
		return 0.6*u + 0.12*u*u
	}
	var ps []Patch
	for x := -3.2; x < -0.79; x += 0.15 {
		ps = append(ps, Patch{x, 0.25 + f(x), 0.01})
	}
	s, err := FitStrip(ps, []Patch{{0, 0.25, 0.01}})
	if err != nil {
		t.Fatal(err)
	}
	return f, s.Follow(f, -3.2, -0.8)
}

// What frames show beyond the last step of a strip is no fault of theirs where the film goes
// on otherwise than the form: no highlight is called wild, and the index stays. Within the
// steps a midtone is.
func TestBeyondTheStrip(t *testing.T) {
	f, s := upswept(t)
	shown := func(spoil float64) (b Bracket, truth float64) {
		truth = -f.solve(target) - 4*stop
		b = Bracket{Tones: []Tone{{Stops: -4}, {SD: 0.3}, {Stops: 3, SD: 1}}, Shape: s, Unexposed: []Reading{{Density: 0.25, SD: 0.01}}}
		for k := range 8 {
			b.LogIndex = append(b.LogIndex, truth+(float64(k)-5.3)*stop/2)
			for tone, stops := range []float64{-4, 0, 3} {
				d := 0.25 + f(-b.LogIndex[k]+stops*stop)
				if k == 6 && tone == 1 {
					d += spoil
				}
				b.Readings = append(b.Readings, Reading{k, tone, d, 0.01})
			}
		}
		return b, truth
	}
	b, truth := shown(0)
	if far := -b.LogIndex[0] + 3*stop; !(far > -0.8+0.5) {
		t.Fatalf("the highlight of the first frame is at %.2f", far)
	}
	got, err := Fit(b)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Findings) > 0 || !(math.Abs(got.LogIndex-truth) < 0.02) {
		t.Errorf("log index %.3f of %.3f, found %+v", got.LogIndex, truth, got.Findings)
	}
	b, _ = shown(0.2)
	if got, err = Fit(b); err != nil {
		t.Fatal(err)
	}
	if len(got.Findings) != 1 || got.Findings[0].Frame != 6 || got.Findings[0].Tone != 1 {
		t.Errorf("a midtone that is off within the steps: %+v", got.Findings)
	}
}

// The doubt beyond the last step is half the slope there times the distance from it, and none
// before it; a shape that follows no curve has none.
func TestDoubtBeyondTheStrip(t *testing.T) {
	f, s := upswept(t)
	slope := (f(-0.8) - f(-0.85)) / 0.05
	b := Bracket{Tones: []Tone{{Stops: 0}}, Shape: s, Unexposed: []Reading{{Density: 0.25, SD: 0.01}}}
	for k, x := range []float64{-0.5, -2, -2.6, -2.4, -2.2} { // of which only the first is beyond
		b.LogIndex = append(b.LogIndex, -x)
		b.Readings = append(b.Readings, Reading{k, 0, 0.25 + f(x), 0.01})
	}
	doubts := func() []row {
		q, _ := b.problem()
		q.doubtFar(q.newView())
		return q.rows
	}
	for _, r := range doubts() {
		want := 0.0
		if r.frame == 0 {
			want = 0.5 * slope * 0.3
		}
		within(t, "doubt", r.far, want, 0.1*want+1e-12)
	}
	s.departs = nil
	for _, r := range doubts() {
		if r.far != 0 {
			t.Errorf("doubt %v without a curve that is followed", r.far)
		}
	}
}

// The form at many exposures is the form at each.
func TestFormAtMany(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	for range 50 {
		p := []float64{0.2, math.Log(0.3 + rng.Float64()), -1 + rng.Float64(), math.Log(0.05 + rng.Float64()/2), math.Log(0.5 + 3*rng.Float64()), math.Log(0.6 + 20*rng.Float64())}
		f := formOf(p)
		var m many
		m.size(41)
		for i := range m.x {
			m.x[i] = -6 + 0.3*float64(i)
		}
		f.all(&m)
		for i, x := range m.x {
			var want, got [pForm]float64
			v, slope := f.net(x, &want)
			f.derivatives(&m, i, got[:])
			if !(math.Abs(m.v[i]-v) <= 1e-13*(1+v)) || !(math.Abs(m.slope[i]-slope) <= 1e-13*(1+slope)) {
				t.Fatalf("%v at %v: %v %v, want %v %v", p, x, m.v[i], m.slope[i], v, slope)
			}
			for j := range want {
				if !(math.Abs(got[j]-want[j]) <= 1e-12*(1+math.Abs(want[j]))) {
					t.Fatalf("%v at %v: derivative %d is %v, want %v", p, x, j, got[j], want[j])
				}
			}
		}
	}
}
