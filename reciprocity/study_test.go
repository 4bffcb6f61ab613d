package reciprocity

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/actinic/sensito"
)

var study = flag.Bool("study", false, "the studies of coverage at the size whose figures stand in the docs")

// binomial is a share with its 95 % interval, in percent.
func binomial(hits, n int) string {
	p := float64(hits) / float64(n)
	return fmt.Sprintf("%5.1f ± %.1f", 100*p, 196*math.Sqrt(p*(1-p)/float64(n)))
}

// film that fails by ln(adjusted/metered) as a function of ln metered.
type truth struct {
	name string
	y    func(x float64) float64
}

func ofLaw(name string, l Law) truth {
	return truth{name, func(x float64) float64 { return math.Log(must(l.Adjusted(math.Exp(x)))) - x }}
}

// truths are films of our laws and of others: a knee that is soft, a line that
// bends on, an exponent that grows, tables as handbooks print them.
func truths() []truth {
	soft := func(a, onset, width float64) func(float64) float64 {
		return func(x float64) float64 { return a * width * softplus((x-math.Log(onset))/width) }
	}
	table := func(v ...float64) Law {
		l, err := NewTable(pairs(0, v...))
		if err != nil {
			panic(err)
		}
		return l
	}
	return []truth{
		ofLaw("power 0.8 from 1.5 s", must(NewPower(1.5, .8))),
		ofLaw("power 0.9 from 4 s", must(NewPower(4, .9))),
		ofLaw("additive 0.1, 1.4", must(NewAdditive(.1, 1.4))),
		ofLaw("additive 0.06, 1.62", must(NewAdditive(.06, BondExponent))),
		ofLaw("(t+1)^0.8", must(NewSmooth(.8))),
		ofLaw("catenary 0.2 at 0.1 s", must(NewCatenary(.2, .1, .1))),
		{"soft knee, p 0.8 at 2 s", soft(.25, 2, 1)},
		{"soft knee, p 0.72 at 5 s", soft(.39, 5, 1.5)},
		{"square of the log beyond 1 s", func(x float64) float64 { return .035 * math.Pow(math.Max(x, 0), 2) }},
		{"square of the log beyond 0.2 s", func(x float64) float64 { return .02 * math.Pow(math.Max(x+1.6, 0), 2) }},
		ofLaw("handbook table", table(.01, .01, .1, .1, 1, 2, 10, 50, 100, 1200, 1000, 28800)),
		ofLaw("gentle table", table(.1, .1, 1, 1, 4, 5, 15, 24, 60, 125, 240, 660, 1000, 3600)),
	}
}

// Predictions after Choose: a new reading within the readings and at four times the
// last, the metered time of an exposure, all with the standard deviation stated and
// with a scatter of twice it.
func TestPredictionStudy(t *testing.T) {
	n := 25
	if *study {
		n = 1000
	}
	times := []float64{.25, .5, 1, 2, 4, 8, 15, 30, 60, 120}
	const sd = 0.1
	if testing.Short() {
		n = 10
	}
	least := map[float64]float64{1: .93, 2: .90} // of all films; of one film a tenth less
	for _, noise := range []float64{1, 2} {
		var all [4]int
		var runs int
		for k, film := range truths() {
			rng := rand.New(rand.NewPCG(77, uint64(k)))
			var in [4]int
			chosen := map[Kind]int{}
			wide := 0.0
			for range n {
				draw := func(m float64) float64 {
					return m * math.Exp(film.y(math.Log(m))+noise*sd*math.Ln2*rng.NormFloat64())
				}
				var r []Reading
				for _, m := range times {
					r = append(r, Reading{dur(m), dur(draw(m)), sd})
				}
				f, _, err := Choose(r, 0)
				if err != nil {
					t.Fatal(err)
				}
				chosen[f.Kind()]++
				for i, m := range []float64{20, 240, 480} {
					e := must(f.Predict(dur(m))).Adjusted
					if x := draw(m); e.Low <= x && x <= e.High {
						in[i]++
					}
					if i == 2 {
						wide += math.Log2(e.High/e.Low) / float64(n)
					}
				}
				m := math.Exp2(6 * rng.Float64())
				e := must(f.Exposed(dur(draw(m)))).Metered
				if e.Low <= m && m <= e.High {
					in[3]++
				}
			}
			runs += n
			for i := range in {
				all[i] += in[i]
				if *study && float64(in[i]) < (least[noise]-.08)*float64(n) {
					t.Errorf("%s, scatter %v: %s", film.name, noise, binomial(in[i], n))
				}
			}
			t.Logf("scatter %v, %-30s 20 s %s, 240 s %s, 480 s %s (%.2f stops wide), exposed %s; %v",
				noise, film.name, binomial(in[0], n), binomial(in[1], n), binomial(in[2], n), wide, binomial(in[3], n), chosen)
		}
		t.Logf("scatter %v, all: 20 s %s, 240 s %s, 480 s %s, exposed %s", noise,
			binomial(all[0], runs), binomial(all[1], runs), binomial(all[2], runs), binomial(all[3], runs))
		for _, k := range all {
			if float64(k) < least[noise]*float64(runs) {
				t.Errorf("scatter %v: %s, want %v or more", noise, binomial(k, runs), 100*least[noise])
			}
		}
	}
}

// Constants of laws with onsets, for the standard deviation stated, not stated, and
// half of what the readings scatter by.
func TestOnsetStudy(t *testing.T) {
	n := 60
	if *study {
		n = 1000
	}
	if testing.Short() {
		n = 10
	}
	hits, asked := map[string]int{}, map[string]int{}
	long := []float64{1, 2, 4, 8, 15, 30, 60, 120}
	both := []float64{1. / 16000, 1. / 8000, 1. / 4000, 1. / 2000, 1. / 1000, 1. / 500, 1. / 125, 1. / 30, .25, 1, 2, 4, 8, 15, 30, 60, 120}
	for _, c := range []struct {
		name  string
		kind  Kind
		law   Law
		times []float64
		want  map[string]float64
	}{
		{"power 0.8 from 1.5 s", KindPower, must(NewPower(1.5, .8)), long, map[string]float64{"p": .8, "onset_s": 1.5}},
		{"power 0.9 from 4 s", KindPower, must(NewPower(4, .9)), long, map[string]float64{"p": .9, "onset_s": 4}},
		{"two branches", KindTwoBranch, must(NewTwoBranch(Branch{1e-3, 1.5}, Branch{2, .8})), both,
			map[string]float64{"p": .8, "onset_s": 2, "short_p": 1.5, "short_onset_s": 1e-3}},
		{"additive", KindAdditive, must(NewAdditive(.1, 1.5)), long, map[string]float64{"a": .1, "b": 1.5}},
		{"catenary", KindCatenary, must(NewCatenary(.25, .1, .1)), append([]float64{.01, .1}, long...), map[string]float64{"a": .25, "optimum_s": .1}},
		{"smooth", KindSmooth, must(NewSmooth(.85)), long, map[string]float64{"p": .85}},
	} {
		for _, stated := range []struct {
			name      string
			sd, noise float64
		}{{"stated", .1, .1}, {"stated", .2, .2}, {"not stated", 0, .1}, {"half", .1, .2}} {
			rng := rand.New(rand.NewPCG(31, 7))
			in, runs, none := map[string]int{}, 0, map[string]int{}
			for range n {
				var r []Reading
				for _, m := range c.times {
					r = append(r, Reading{dur(m), dur(must(c.law.Adjusted(m)) * math.Exp2(stated.noise*rng.NormFloat64())), sensito.Stops(stated.sd)})
				}
				f, err := Fit(c.kind, r)
				if err != nil {
					continue
				}
				runs++
				for _, p := range f.Parameters() {
					switch {
					case math.IsNaN(p.Low):
						none[p.Name]++
					case p.Low <= c.want[p.Name] && c.want[p.Name] <= p.High:
						in[p.Name]++
					}
				}
			}
			s := fmt.Sprintf("%s, sd %s, scatter %v: %d fits", c.name, stated.name, stated.noise, runs)
			for _, f := range mustForm(c.law).Constants {
				if k := runs - none[f.Name]; k > 0 && c.want[f.Name] != 0 {
					hits[stated.name] += in[f.Name]
					asked[stated.name] += k
					if *study && float64(in[f.Name]) < .9*float64(k) {
						t.Errorf("%s of %s, sd %s: %s", f.Name, c.name, stated.name, binomial(in[f.Name], k))
					}
					s += fmt.Sprintf("; %s %s (%d without)", f.Name, binomial(in[f.Name], k), none[f.Name])
				}
			}
			t.Log(s)
		}
	}
	for name, k := range hits {
		t.Logf("all constants, sd %s: %s", name, binomial(k, asked[name]))
		if float64(k) < .92*float64(asked[name]) {
			t.Errorf("sd %s: %s, want 92 or more", name, binomial(k, asked[name]))
		}
	}
}

func mustForm(l Law) FormInfo {
	f := must(FormOf(l))
	return must(findForm(f.Law)).info()
}

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 97)) }
