package actinic

import (
	"cmp"
	"math"
	"slices"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Criterion is a trait to rank by, and how much it counts beside others.
type Criterion struct {
	Trait  Trait   `json:"trait"`
	Weight float64 `json:"weight"` // 0 stands for 1
}

// Ranking is combinations in order, the best first.
type Ranking struct {
	By   []Criterion
	Rows []Combination
	// Place is the weighted mean of the places that a row has by each criterion, from 1;
	// rows that a criterion does not tell apart from one another share the mean of
	// theirs. It orders the rows where there are several criteria; NaN for rows that
	// lack a trait.
	Place []float64
	// NotToldApart are pairs of rows, by their numbers in Rows, whose difference their
	// intervals do not support by any of the criteria.
	NotToldApart [][2]int
}

// ToldApart reports whether two values differ by more than their 95 % intervals allow to
// chance, taken for independent:
//
//	|a - b| > sqrt(ha² + hb²)
//
// with the half-width of each on the side of the other; of speeds and indexes the
// logarithms are compared. A value of which no interval is known is not told apart from
// any.
func (t Trait) ToldApart(a, b sensito.Estimate) bool {
	known, err := t.find()
	if err != nil {
		return false
	}
	if known.log {
		a, b = a.Map(math.Log), b.Map(math.Log)
	}
	if a.Value > b.Value {
		a, b = b, a
	}
	return b.Value-a.Value > math.Hypot(a.High-a.Value, b.Value-b.Low)
}

// Rank puts combinations in order by one trait, or by several with their weights: each
// criterion gives every row its place, and the mean place by the weights decides. Nothing
// but the order within each trait is used, for a stop and a density have no common unit.
// Rows that lack a trait come last, in the order given.
//
// The error wraps [ErrUnknown] for a trait that there is not, and [sensito.ErrInput] for
// no criterion, one that stands twice, or a weight that is not positive.
func Rank(rows []Combination, by ...Criterion) (Ranking, error) {
	by = slices.Clone(by)
	if len(by) == 0 {
		return Ranking{}, inputf("nothing to rank by")
	}
	for i := range by {
		c := &by[i]
		c.Weight = cmp.Or(c.Weight, 1)
		if _, err := c.Trait.find(); err != nil {
			return Ranking{}, err
		}
		if !(c.Weight > 0) || !check.Finite(c.Weight) {
			return Ranking{}, inputf("weight %v of %s, want more than 0", c.Weight, c.Trait)
		}
		if slices.ContainsFunc(by[:i], func(o Criterion) bool { return o.Trait == c.Trait }) {
			return Ranking{}, inputf("%s to rank by twice", c.Trait)
		}
	}
	r := Ranking{By: by, Rows: slices.Clone(rows)}
	if len(by) == 1 {
		slices.SortStableFunc(r.Rows, func(a, b Combination) int { return by[0].compare(a, b) })
	}
	r.places()
	if len(by) > 1 {
		order := make([]int, len(r.Rows))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int { return compareLast(r.Place[a], r.Place[b]) })
		unsorted, places := r.Rows, r.Place
		r.Rows, r.Place = nil, nil
		for _, i := range order {
			r.Rows, r.Place = append(r.Rows, unsorted[i]), append(r.Place, places[i])
		}
	}
	r.pairs()
	return r, nil
}

// compareLast compares numbers, NaN after all others.
func compareLast(a, b float64) int {
	if math.IsNaN(a) || math.IsNaN(b) {
		return cmp.Compare(b, a) // which has NaN before all others
	}
	return cmp.Compare(a, b)
}

// compare puts the better of two combinations first, and one that lacks the trait last.
func (c Criterion) compare(a, b Combination) int {
	key := func(x Combination) float64 {
		e, has := x.Traits[c.Trait]
		switch {
		case !has:
			return math.NaN()
		case c.Trait.LessIsBetter():
			return e.Value
		}
		return -e.Value
	}
	return compareLast(key(a), key(b))
}

// places gives every row its mean place. Rows that a criterion does not tell apart from a
// row share the mean of their places with it.
func (r *Ranking) places() {
	n := len(r.Rows)
	r.Place = make([]float64, n)
	total := 0.0
	for _, c := range r.By {
		total += c.Weight
	}
	for _, c := range r.By {
		order := make([]int, n)
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int { return c.compare(r.Rows[a], r.Rows[b]) })
		for _, row := range order {
			e, has := r.Rows[row].Traits[c.Trait]
			if !has {
				r.Place[row] = math.NaN()
				continue
			}
			sum, count := 0.0, 0.0
			for place, other := range order {
				o, has := r.Rows[other].Traits[c.Trait]
				if has && (other == row || !c.Trait.ToldApart(e, o)) {
					sum += float64(place + 1)
					count++
				}
			}
			r.Place[row] += c.Weight / total * sum / count
		}
	}
}

// pairs finds the rows that no criterion tells apart.
func (r *Ranking) pairs() {
	for i := range r.Rows {
		for j := i + 1; j < len(r.Rows); j++ {
			both, apart := false, false
			for _, c := range r.By {
				a, hasA := r.Rows[i].Traits[c.Trait]
				b, hasB := r.Rows[j].Traits[c.Trait]
				if hasA && hasB {
					both = true
					apart = apart || c.Trait.ToldApart(a, b)
				}
			}
			if both && !apart {
				r.NotToldApart = append(r.NotToldApart, [2]int{i, j})
			}
		}
	}
}
