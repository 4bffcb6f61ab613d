package filmfit

import (
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"example.org/actinic/internal/benchunit"
)

// cold is Mean the long way: each component from where it was fitted, until nothing moves.
func (r *Redrawer) cold(out *Curve) bool {
	w := &r.w
	w.priors(&r.data)
	var parts []Part
	for i := range r.anchors {
		a := &r.anchors[i]
		w.suppose(a.doubt)
		w.law, w.tau = a.part.Toe, a.part.Departure
		q := Part{Component: Component{Toe: w.law, Departure: w.tau, Constants: slices.Clone(a.part.Constants)}}
		c, ok := w.minimise(q.Constants, a.part.Noise)
		if ok {
			c = w.polish(q.Constants, a.part.Noise)
		}
		copy(w.l, w.a)
		if !ok || !factor(w.l, w.n) {
			continue
		}
		q.LnWeight = w.lnRoots - c/2
		for j := range w.n {
			q.LnWeight -= math.Log(w.l[j*w.n+j] * w.prior.sd[j])
		}
		parts = append(parts, q)
	}
	most := math.Inf(-1)
	for _, p := range parts {
		most = max(most, p.LnWeight)
	}
	var one Curve
	var sum, base float64
	var density, rate []float64
	for _, p := range parts {
		if !w.trace(&p.Component, &one, nil, nil) {
			return false
		}
		if density == nil {
			density, rate = make([]float64, len(one.Density)), make([]float64, len(one.Rate))
		}
		v := math.Exp(temper * (p.LnWeight - most))
		sum += v
		base += v * one.Base
		for j := range one.Density {
			density[j] += v * one.Density[j]
			rate[j] += v * one.Rate[j]
		}
	}
	for j := range density {
		density[j] /= sum
		rate[j] /= sum
	}
	*out = Curve{one.First, one.Step, base / sum, density, rate}
	return len(parts) > 0
}

// polish goes on from where minimise left off, where c hardly falls any more, to the least.
func (w *worker) polish(th []float64, sigma float64) (c float64) {
	c, _ = w.objective(th, sigma)
	w.normal(th, sigma)
	for range 500 {
		copy(w.l, w.a)
		if !factor(w.l, w.n) {
			return c
		}
		copy(w.step, w.grad)
		solve(w.l, w.step, w.n)
		gain := 0.0
		for j, s := range w.step {
			gain += w.grad[j] * s
		}
		if gain < 1e-9 {
			return c
		}
		cut := 1.0
		for ; cut > 1e-6; cut /= 2 {
			for j, v := range th {
				w.trial[j] = v + cut*w.step[j]
			}
			if next, ok := w.objective(w.trial, sigma); ok && next < c {
				c = next
				break
			}
		}
		if cut <= 1e-6 {
			w.objective(th, sigma)
			return c
		}
		copy(th, w.trial)
		w.normal(th, sigma)
	}
	return c
}

// exposureOf is where a curve has a density, by a straight line between grid points.
func exposureOf(c *Curve, d float64) float64 {
	i := max(slices.IndexFunc(c.Density, func(v float64) bool { return v > d }), 1)
	return c.First + c.Step*(float64(i-1)+(d-c.Density[i-1])/(c.Density[i]-c.Density[i-1]))
}

var redraws = flag.Int("redraws", 100, "draws a strip that are fitted the long way too")

// Readings drawn again are fitted as they would be the long way: curve by curve the two lie
// within a part of the noise of a reading, and what they say of the speed point is the same
// in the mean and in its deviation. Where a draw has two minima they may find different
// ones. The ends of an interval are held where there are draws enough for them
// (-args -redraws 2000): closer than their Monte Carlo error, 2.7 standard deviations of a
// draw over the root of the draws.
func TestRedrawnAsCold(t *testing.T) {
	draws := *redraws
	if testing.Short() {
		draws = 40
	}
	for name, draw := range madeStrips {
		rng := rand.New(rand.NewPCG(8, 15))
		d := draw(rng)
		w, ok := Fit(d)
		if !ok {
			t.Fatal(name)
		}
		mean := w.Mean()
		at := func(x float64) float64 {
			i, ok := slices.BinarySearch(mean.X, x)
			if i = min(max(i, 1), len(mean.X)-1); ok {
				return mean.Density[i]
			}
			return mean.Density[i-1] + (mean.Density[i]-mean.Density[i-1])*(x-mean.X[i-1])/(mean.X[i]-mean.X[i-1])
		}
		noise := w.Heaviest().Noise
		r := NewRedrawer(d, &w)
		y, base := r.Data()
		var points [2][]float64
		var far, most float64
		for range draws {
			for i, x := range d.X {
				y[i] = at(x) + noise/math.Sqrt(d.W[i])*rng.NormFloat64()
			}
			for i := range base {
				base[i] = mean.Base + noise/math.Sqrt(d.BaseW)*rng.NormFloat64()
			}
			var warm, cold Curve
			if !r.Mean(&warm) || !r.cold(&cold) {
				t.Fatalf("%s: a draw that is not fitted", name)
			}
			n, square := 0.0, 0.0
			for i := range warm.Density {
				if x := warm.First + warm.Step*float64(i); x < d.X[0] || x > d.X[len(d.X)-1] {
					continue
				}
				e := (warm.Density[i] - cold.Density[i]) / (noise / math.Sqrt(d.BaseW))
				square += e * e
				n++
			}
			far += math.Sqrt(square/n) / float64(draws)
			most = max(most, math.Sqrt(square/n))
			points[0] = append(points[0], exposureOf(&warm, warm.Base+0.1))
			points[1] = append(points[1], exposureOf(&cold, cold.Base+0.1))
		}
		mean0, sd0 := stat.MeanStdDev(points[0], nil)
		mean1, sd := stat.MeanStdDev(points[1], nil)
		var ends [2][2]float64
		for k := range points {
			slices.Sort(points[k])
			ends[k] = [2]float64{points[k][draws/40], points[k][draws-1-draws/40]}
		}
		t.Logf("%-14s apart %.4f of the noise in the mean, %.3f at most; mean by %+.3f deviations, deviation %.3f; ends by %+.3f and %+.3f",
			name, far, most, (mean0-mean1)/sd, sd0/sd, (ends[0][0]-ends[1][0])/sd, (ends[0][1]-ends[1][1])/sd)
		if !(far < 0.03) {
			t.Errorf("%s: curves are %.3f of the noise apart", name, far)
		}
		if !(math.Abs(mean0-mean1) < 0.03*sd && math.Abs(sd0/sd-1) < 0.03) {
			t.Errorf("%s: speed points %.4f ± %.4f, the long way %.4f ± %.4f", name, mean0, sd0, mean1, sd)
		}
		for k := range 2 {
			if e := math.Abs(ends[0][k]-ends[1][k]) / sd; draws >= 1000 && !(e < 2.7/math.Sqrt(float64(draws))) {
				t.Errorf("%s, end %d: %.3f deviations apart", name, k, e)
			}
		}
	}
}

// A draw costs what its curves do: they are worked out three or four times a component, and
// nine times from where it was fitted.
func TestRedrawnLooksLittle(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 15))
	d := stated(strip(bent, -3.4, 0.15, 21, 0.01, rng), 0.01)
	of, ok := Fit(d)
	if !ok {
		t.Fatal("no fit")
	}
	r := NewRedrawer(d, &of)
	w, out := &r.w, new(Curve)
	y, _ := r.Data()
	const draws = 200
	warm, cold := 0, 0
	for range draws {
		for i, v := range r.anchors[0].values {
			y[i] = v + 0.01*rng.NormFloat64()
		}
		before := w.looked
		if !r.Mean(out) {
			t.Fatal("no mean")
		}
		warm += w.looked - before
		before = w.looked
		for i := range r.anchors {
			a := &r.anchors[i]
			w.suppose(a.doubt)
			w.law, w.tau = a.part.Toe, a.part.Departure
			w.minimise(slices.Clone(a.part.Constants), a.part.Noise)
		}
		cold += w.looked - before
	}
	n := float64(draws * len(r.anchors))
	t.Logf("%d components: %.2f times each, %.2f from where it was fitted", len(r.anchors), float64(warm)/n, float64(cold)/n)
	if !(float64(warm) < 4*n && warm < cold/2) {
		t.Errorf("%.2f times each, %.2f from where it was fitted", float64(warm)/n, float64(cold)/n)
	}
}

func BenchmarkRedrawn(b *testing.B) {
	rng := rand.New(rand.NewPCG(8, 15))
	d := stated(strip(bent, -3.4, 0.15, 21, 0.01, rng), 0.01)
	of, _ := Fit(d)
	r, out := NewRedrawer(d, &of), new(Curve)
	y, _ := r.Data()
	b.ReportAllocs()
	for b.Loop() {
		for i, v := range r.anchors[0].values {
			y[i] = v + 0.01*rng.NormFloat64()
		}
		r.Mean(out)
	}
	benchunit.Per(b, len(r.anchors), "component")
}
