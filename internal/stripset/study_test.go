package stripset

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"
)

var cases = flag.Int("cases", 60, "cases a cell of the strip study")

// roll is a truth that is not the quadratic that is fitted: contrast grows as
// 1 - e^(-k t), speed with a power of it, fog linearly.
type roll struct {
	strips  int
	from    float64 // min, geometric steps
	to      float64
	scatter float64 // times the usual process scatter
}

func (d roll) draw(r *rand.Rand) (ss []Strip, speed func(min float64) float64) {
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	limit, k := in(0.75, 1.2), in(0.07, 0.2)
	base, rise := in(0.2, 0.35), in(0.002, 0.008)
	h0, gain := in(-2.6, -1.8), in(0.3, 1)
	g := func(t float64) float64 { return limit * -math.Expm1(-k*t) }
	speed = func(t float64) float64 { return h0 - gain*math.Log10(g(t)/g(10)) }
	// what 21 steps with sd 0.01 give, with the correlations of one fit
	sd := [measures]float64{0.006, 0.022, 0.012}
	corr := [measures][measures]float64{{1, 0.5, 0.3}, {0.5, 1, 0.5}, {0.3, 0.5, 1}}
	for i := range d.strips {
		t := d.from * math.Pow(d.to/d.from, float64(i)/float64(d.strips-1))
		s := Strip{Minutes: t}
		z := [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		l := [3][3]float64{{1, 0, 0}, {0.5, math.Sqrt(0.75), 0}}
		l[2][0] = 0.3
		l[2][1] = (0.5 - 0.15) / math.Sqrt(0.75)
		l[2][2] = math.Sqrt(1 - l[2][0]*l[2][0] - l[2][1]*l[2][1])
		truth := [3]float64{base + rise*t, speed(t), math.Log(g(t))}
		for a := range measures {
			e := 0.0
			for b := range measures {
				e += l[a][b] * z[b]
				s.Cov[a][b] = corr[a][b] * sd[a] * sd[b]
			}
			s.Value[a] = truth[a] + sd[a]*e + d.scatter*process[a]*r.NormFloat64()
		}
		ss = append(ss, s)
	}
	return ss, speed
}

// spoil does something to a roll and tells what should be found.
type spoil func(r *rand.Rand, ss []Strip) Finding

func fog(size float64) spoil {
	return func(r *rand.Rand, ss []Strip) Finding {
		i := r.IntN(len(ss))
		ss[i].Value[Base] += size
		return Finding{Kind: Fog, Strip: i, Other: -1}
	}
}

func neighbours(r *rand.Rand, ss []Strip) Finding {
	i := r.IntN(len(ss) - 1)
	ss[i].Minutes, ss[i+1].Minutes = ss[i+1].Minutes, ss[i].Minutes
	return Finding{Kind: Swapped, Strip: i, Other: i + 1}
}

func mistime(x float64) spoil {
	return func(r *rand.Rand, ss []Strip) Finding {
		i := r.IntN(len(ss))
		ss[i].Minutes *= x
		return Finding{Kind: Time, Strip: i, Other: -1}
	}
}

func departs(a int, k Kind, size float64) spoil {
	return func(r *rand.Rand, ss []Strip) Finding {
		i := r.IntN(len(ss))
		ss[i].Value[a] += size * float64(2*r.IntN(2)-1)
		return Finding{Kind: k, Strip: i, Other: -1}
	}
}

func clean(*rand.Rand, []Strip) Finding { return Finding{} }

// rates counts what is named, in parts of 1: rightly, the wrong thing, anything.
func rates(t *testing.T, d roll, how spoil, n int, seed uint64) (right, wrong, anything float64) {
	for k := range n {
		r := rand.New(rand.NewPCG(seed, uint64(k)))
		ss, _ := d.draw(r)
		want := how(r, ss)
		got, err := Compare(ss)
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Findings) == 0 {
			continue
		}
		anything += 1 / float64(n)
		f := got.Findings[0]
		if f.Kind == want.Kind && f.Strip == want.Strip && f.Other == want.Other {
			right += 1 / float64(n)
		} else {
			wrong += 1 / float64(n)
		}
	}
	return right, wrong, anything
}

// The study holds the rates that the doc prints, with room for three standard errors.
func TestStudy(t *testing.T) {
	if testing.Short() {
		t.Skip("a study")
	}
	geometric := func(n int) roll { return roll{strips: n, from: 5, to: 18, scatter: 1} }
	for i, row := range []struct {
		name        string
		d           roll
		how         spoil
		least, most float64 // right at least, anything (clean) or wrong at most
	}{
		{"2 strips, clean", geometric(2), clean, 0, 0.02},
		{"3 strips, clean", geometric(3), clean, 0, 0.02},
		{"5 strips, clean", geometric(5), clean, 0, 0.02},
		{"5 strips, clean, scatter doubled", roll{5, 5, 18, 2}, clean, 0, 0.04},
		{"5 strips, close times, clean", roll{5, 6, 8, 1}, clean, 0, 0.02},
		{"2 strips, exchanged", geometric(2), neighbours, 0.9, 0.05},
		{"3 strips, exchanged", geometric(3), neighbours, 0.9, 0.05},
		{"5 strips, exchanged", geometric(5), neighbours, 0.9, 0.06},
		{"3 strips, fog 0.10", geometric(3), fog(0.10), 0.6, 0.1},
		{"4 strips, fog 0.10", geometric(4), fog(0.10), 0.9, 0.1},
		{"5 strips, fog 0.05", geometric(5), fog(0.05), 0.4, 0.1},
		{"5 strips, fog 0.10", geometric(5), fog(0.10), 0.95, 0.05},
		{"5 strips, fog 0.15", geometric(5), fog(0.15), 0.97, 0.05},
		{"5 strips, time x 1.5", geometric(5), mistime(1.5), 0.4, 0.25},
		{"5 strips, time x 0.75", geometric(5), mistime(0.75), 0.1, 0.2},
		{"5 strips, log H 0.30", geometric(5), departs(Speed, Slower, 0.30), 0.8, 0.12},
		{"5 strips, ln g 0.18", geometric(5), departs(LnGradient, Contrast, 0.18), 0.05, 0.2},
	} {
		right, wrong, anything := rates(t, row.d, row.how, *cases, uint64(1000+i))
		t.Logf("%-34s right %5.1f %%, wrong %5.1f %%, anything %5.1f %%", row.name, 100*right, 100*wrong, 100*anything)
		slack := 3 * math.Sqrt(0.25/float64(*cases)) * 0.5
		if row.least == 0 && anything > row.most || row.least > 0 && (right < row.least-slack || wrong > row.most+slack) {
			t.Errorf("%s: right %.3f, wrong %.3f, anything %.3f", row.name, right, wrong, anything)
		}
	}
}

// An index moved from one development to another is covered by its interval.
func TestMoveCovers(t *testing.T) {
	for _, scatter := range []float64{0.3, 1, 2} {
		for n := 2; n <= 5; n++ {
			covered, sum, width := 0, 0.0, 0.0
			const total = 2000
			for k := range total {
				r := rand.New(rand.NewPCG(uint64(77+n), uint64(k)))
				d := roll{n, 5, 18, scatter}
				ss, speed := d.draw(r)
				c, err := NewCourse(ss, nil)
				if err != nil {
					t.Fatal(err)
				}
				a, b := 5+13*r.Float64(), 5+13*r.Float64()
				got, sd, ok := c.Move(a, b)
				if !ok {
					t.Fatal("not moved inside")
				}
				// the development of the bracket has its own scatter
				e := got - (speed(a) - speed(b)) + scatter*processLogH*r.NormFloat64()*math.Min(1, math.Abs(math.Log(b/a))/0.05)
				sum += e * e
				width += 1.96 * sd
				if math.Abs(e) <= 1.96*sd {
					covered++
				}
			}
			cov := float64(covered) / float64(total)
			t.Logf("scatter %.1f, %d strips: rms %.3f stop, half-width %.3f, covered %.1f %%", scatter, n,
				math.Sqrt(sum/float64(total))/math.Log10(2), width/float64(total)/math.Log10(2), 100*cov)
			if scatter <= 1 && cov < 0.93 || cov < 0.87 {
				t.Errorf("scatter %.1f, %d strips: covered %.3f", scatter, n, cov)
			}
		}
	}
}
