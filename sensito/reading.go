package sensito

import (
	"cmp"
	"math"
	"slices"

	"example.org/actinic/internal/check"
)

// Reading is one patch of a step tablet on the developed film.
type Reading struct {
	LogH    LogH    // exposure of the patch
	Density Density // density as measured, base plus fog included
	SD      float64 // standard deviation of the density; 0 where not known
}

// sameExposure is how close two exposures count as one.
const sameExposure = 1e-9

// patch is all that was read at one exposure. Weights are 1/SD² where every
// reading has a standard deviation, 1 otherwise.
type patch struct {
	x, mean float64
	weight  float64 // sum of the weights
	ss      float64 // weighted sum of squares about the mean
	n       int
}

// gather checks the readings, puts them in order of exposure and joins those
// that share one. known says whether every reading has a standard deviation.
func gather(readings []Reading) (ps []patch, known bool, err error) {
	rs := slices.Clone(readings)
	known = len(rs) > 0
	for i, r := range rs {
		switch {
		case !check.Finite(r.LogH):
			return nil, false, check.Errorf(ErrInput, "reading %d has log H %v", i+1, float64(r.LogH))
		case !check.Finite(r.Density):
			return nil, false, check.Errorf(ErrInput, "reading %d has density %v", i+1, float64(r.Density))
		case !(r.SD >= 0) || !check.Finite(r.SD):
			return nil, false, check.Errorf(ErrInput, "reading %d has standard deviation %v, want 0 (not known) or more", i+1, r.SD)
		}
		known = known && r.SD > 0
	}
	slices.SortStableFunc(rs, func(a, b Reading) int { return cmp.Compare(a.LogH, b.LogH) })
	for i := 0; i < len(rs); {
		p := patch{x: float64(rs[i].LogH)}
		j := i
		for ; j < len(rs) && rs[j].LogH-rs[i].LogH <= sameExposure; j++ {
			w := weight(rs[j], known)
			p.weight += w
			p.mean += w * float64(rs[j].Density)
			p.n++
		}
		p.mean /= p.weight
		for ; i < j; i++ {
			d := float64(rs[i].Density) - p.mean
			p.ss += weight(rs[i], known) * d * d
		}
		ps = append(ps, p)
	}
	return ps, known, nil
}

func weight(r Reading, known bool) float64 {
	if known {
		return 1 / (r.SD * r.SD)
	}
	return 1
}

// belowBase is how far a reading may lie under base plus fog before it says that
// one of the two is wrong.
const belowBase = 0.10

// plausible refuses patches that no negative film gives. So many of them may lie below
// base plus fog.
func plausible(ps []patch, base Base, stray int) error {
	if err := inUnits(ps); err != nil {
		return err
	}
	if base.known() {
		b := float64(base.mean())
		if b > greatestDensity {
			return check.Errorf(ErrInput, "base plus fog %v, want a density up to %v; if it is percent, divide by 100 and take -log10", b, greatestDensity)
		}
		for _, p := range ps {
			if !(p.mean < b-belowBase) {
				continue
			}
			if stray--; stray < 0 {
				return check.Errorf(ErrInput, "density %.3f at log H %.3f lies below base plus fog %.3f; check the densitometer's zero and which patch was read as unexposed", p.mean, p.x, b)
			}
		}
	}
	third := max(len(ps)/3, 1)
	var lo, hi float64
	for i := range third {
		lo += ps[i].mean
		hi += ps[len(ps)-1-i].mean
	}
	if len(ps) > 2 && hi < lo-belowBase*float64(third) {
		return check.Errorf(ErrFalls, "the most exposed steps have the least density; the tablet's exposures may be in reverse, or the film is a reversal film")
	}
	return nil
}

// The ranges that densities and exposures of films lie within, wide of what is made.
const (
	greatestDensity = 12
	farthestLogH    = 12
)

// inUnits refuses densities that look like percent and exposures that are not
// logarithms.
func inUnits(ps []patch) error {
	for _, p := range ps {
		if p.mean > greatestDensity {
			return check.Errorf(ErrInput, "density %v at log H %v, want up to %v; if it is the transmittance in percent, divide by 100 and take -log10",
				p.mean, p.x, greatestDensity)
		}
		if math.Abs(p.x) > farthestLogH {
			return check.Errorf(ErrInput, "log H %v, want -%v to %v; if it is an exposure in lux seconds, take log10", p.x,
				farthestLogH, farthestLogH)
		}
	}
	// A tablet's exposures in lux seconds grow by a ratio, all above zero, where their
	// logarithms would grow by a difference.
	n := len(ps)
	if n < 5 || !(ps[0].x > 0) || !(ps[n-1].x/ps[0].x > 4) {
		return nil
	}
	mean := math.Log(ps[n-1].x/ps[0].x) / float64(n-1)
	for i := 1; i < n; i++ {
		if math.Abs(math.Log(ps[i].x/ps[i-1].x)-mean) > 0.2*mean {
			return nil
		}
	}
	return check.Errorf(ErrInput, "exposures from %v to %v grow by one ratio, so they are no logarithms; take log10 of the lux seconds", ps[0].x, ps[n-1].x)
}
