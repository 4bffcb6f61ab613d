package plan

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/sensito"
)

// partly is a test by the plain plan with strips read, and frames of the bracket if wanted.
func partly(t testing.TB, frames bool) (*Plan, *roll.Roll) {
	t.Helper()
	p := plain(t)
	r := rand.New(rand.NewPCG(3, 4))
	f, err := p.Wish.film(func(int) float64 { return 0.5 })
	if err != nil {
		t.Fatal(err)
	}
	read := func(v float64) sensito.Density { return sensito.Density(v + p.Wish.DensitySD*r.NormFloat64()) }
	out := &roll.Roll{Film: "invented", Process: "invented", Light: "daylight", TargetAverageGradient: p.Wish.TargetAverageGradient}
	for _, s := range p.Own.Strips {
		c := f.at(s.Development.Minutes())
		strip := roll.Strip{Name: s.Name, Development: s.Development}
		for _, st := range s.Stops {
			x := -math.Log10(p.Wish.Index) + st*stop
			strip.Readings = append(strip.Readings, sensito.Reading{LogH: sensito.LogH(x + math.Log10(sensito.MeteredExposure)),
				Density: read(c.Constants[0] + c.Net(x)), SD: p.Wish.DensitySD})
		}
		strip.Unexposed = []sensito.Density{read(c.Constants[0]), read(c.Constants[0])}
		out.Strips = append(out.Strips, strip)
	}
	if frames {
		out.BracketDevelopment = duration(f.time)
		for _, fr := range p.Own.Frames {
			for k, st := range []float64{-4, 0, 3} {
				out.Bracket = append(out.Bracket, roll.FrameReading{Frame: fmt.Sprint(fr.Number), Index: fr.ExposedAs, Tone: roll.Tone(k),
					Density: read(f.target.Constants[0] + f.target.Net(-math.Log10(fr.ExposedAs)+st*stop)), SD: p.Wish.DensitySD})
			}
		}
	}
	return p, out
}

// With strips alone the time is known and the bracket is to come; with the bracket, one more
// frame narrows the index, the best one most, and a stricter wish asks for more of them.
func TestNext(t *testing.T) {
	p, strips := partly(t, false)
	a, err := Next(p.Wish, strips)
	if err != nil {
		t.Fatal(err)
	}
	if !(a.DevelopmentHalfWidth > 0) || len(a.Strips) == 0 || !strings.Contains(strings.Join(a.Notes, " "), "Develop it for") {
		t.Errorf("%v", a)
	}
	p, both := partly(t, true)
	if a, err = Next(p.Wish, both); err != nil {
		t.Fatal(err)
	}
	if !(a.IndexHalfWidth > 0) || len(a.Frames) < 6 {
		t.Fatalf("%v", a)
	}
	for i, f := range a.Frames {
		if !(f.HalfWidth <= a.IndexHalfWidth*1.0001) && !(f.Narrower >= 0) || i > 0 && f.HalfWidth < a.Frames[i-1].HalfWidth {
			t.Errorf("%d: %+v", i, f)
		}
	}
	if !(a.Frames[0].Narrower > 0.5 && a.Frames[0].Narrower < 50) {
		t.Errorf("the best next frame narrows by %v %%", a.Frames[0].Narrower)
	}
	// No unexposed frame was read: it is what lacks most.
	if !a.Frames[0].Unexposed {
		t.Errorf("the best next frame is %v", a.Frames[0].Setting)
	}
	for i, s := range a.Strips[1:] {
		if s.DevelopmentHalfWidth < a.Strips[i].DevelopmentHalfWidth {
			t.Errorf("%v after %v", s, a.Strips[i])
		}
	}
	w := p.Wish
	w.HalfWidth = 2
	if b, err := Next(w, both); err != nil || b.More != 0 || !strings.Contains(strings.Join(b.Notes, " "), "as well as wanted") {
		t.Errorf("%v, %v", b, err)
	}
	w.HalfWidth = a.IndexHalfWidth * 0.8
	if b, err := Next(w, both); err != nil || !(b.More > 0 && b.More <= 36) {
		t.Errorf("%v, %v", b, err)
	}
	text, err := json.Marshal(a)
	if err != nil || !strings.Contains(string(text), `"next_frames":[{"ei":null,"exposed_as":null,"unexposed":true`) {
		t.Errorf("%.200s, %v", text, err)
	}
	if _, err := Next(Wish{Index: -1}, strips); err == nil && a.Record.Index == nil {
		t.Error("a guess of -1 is taken")
	}
	if _, err := Next(p.Wish, &roll.Roll{}); err == nil {
		t.Error("an empty roll is taken")
	}
	w = p.Wish
	w.DensitySD = 7
	if _, err := Next(w, strips); !errors.Is(err, ErrWish) {
		t.Error(err)
	}
}

// What one more frame is said to gain is what the fit then has, on the average of readings.
func TestNextKeepsItsPromise(t *testing.T) {
	p, r := partly(t, true)
	a, err := Next(p.Wish, r)
	if err != nil {
		t.Fatal(err)
	}
	f, err := p.Wish.film(func(int) float64 { return 0.5 })
	if err != nil {
		t.Fatal(err)
	}
	before := a.Record.Bracket.Index
	was := math.Log2(before.High/before.Low) / 2
	rnd := rand.New(rand.NewPCG(5, 6))
	sum, n := 0.0, 12
	for range n {
		more := *r
		more.Bracket = append([]roll.FrameReading{}, r.Bracket...)
		for range Places {
			more.Bracket = append(more.Bracket, roll.FrameReading{Frame: "next", Index: 400, Tone: roll.Unexposed,
				Density: sensito.Density(f.target.Constants[0] + p.Wish.DensitySD*rnd.NormFloat64()), SD: p.Wish.DensitySD})
		}
		rec, err := more.Characterise(roll.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		sum += math.Log2(rec.Bracket.Index.High/rec.Bracket.Index.Low) / 2 / float64(n)
	}
	if said, got := a.Frames[0].Narrower, 100*(1-sum/was); !a.Frames[0].Unexposed || math.Abs(said-got) > 6 {
		t.Errorf("one more frame: said %.1f %% narrower, found %.1f %%", said, got)
	} else {
		t.Logf("said %.1f %%, found %.1f %%", said, got)
	}
}
