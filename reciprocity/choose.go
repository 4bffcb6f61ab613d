package reciprocity

import (
	"encoding/json"
	"errors"
	"math"
	"slices"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
)

// Trial is one law that [Choose] tried. Score is infinite where it could not be
// fitted, and Err says why. Weight is its part in the predictions of the choice.
type Trial struct {
	Kind   Kind
	Score  float64
	Weight float64
	Err    error
}

type trialJSON struct {
	Kind   string   `json:"kind"`
	Score  *float64 `json:"score"` // null for infinite
	Weight float64  `json:"weight"`
	Err    string   `json:"error,omitempty"`
}

// MarshalJSON writes the members kind, score (null where the law could not be
// fitted), weight and error.
func (t Trial) MarshalJSON() ([]byte, error) {
	j := trialJSON{Kind: string(t.Kind), Weight: t.Weight}
	if check.Finite(t.Score) {
		j.Score = &t.Score
	}
	if t.Err != nil {
		j.Err = t.Err.Error()
	}
	return json.Marshal(j)
}

// UnmarshalJSON reads what MarshalJSON writes; of the error it keeps the text.
func (t *Trial) UnmarshalJSON(b []byte) error {
	var j trialJSON
	if err := json.Unmarshal(b, &j); err != nil {
		return err
	}
	*t = Trial{Kind: Kind(j.Kind), Score: math.Inf(1), Weight: j.Weight}
	if j.Score != nil {
		t.Score = *j.Score
	}
	if j.Err != "" {
		t.Err = errors.New(j.Err)
	}
	return nil
}

// Choose fits several laws and picks one. Each is scored by the Bayesian
// information criterion,
//
//	chi² + k ln n
//
// with k constants fitted to n readings and chi² the residual sum over the
// readings' variances. Among the laws within 2 of the lowest score the one with
// the fewest constants is picked, the earlier of [Kinds] among equals: a law with
// more constants must earn them. sd is the standard deviation of readings that
// state none; a third-stop mark alone has 0.1 stop. Without kinds all laws are
// tried.
//
// The choice names a law; what it predicts speaks for all that were tried, each
// with the weight
//
//	exp(-score/2)
//
// the scores over the scatter of the law that fits best where that is more than
// the standard deviations allow.
//
// Errors: [ErrInput] unless sd > 0 or every reading has its own; [ErrNoLaw]
// where no law could be fitted.
//
// Source: G. Schwarz, Annals of Statistics 6 (1978) 461; the margin of 2 is
// common practice. Weights: A. E. Raftery, Sociological Methodology 25 (1995) 111,
// from memory.
func Choose(readings []Reading, sd sensito.Stops, kinds ...Kind) (best *Fitted, tried []Trial, err error) {
	r := slices.Clone(readings)
	for i := range r {
		if r[i].SD == 0 {
			if !(sd > 0) || !check.Finite(sd) {
				return nil, nil, check.Errorf(ErrInput,
					"readings without standard deviation, and %v given for them", float64(sd))
			}
			r[i].SD = sd
		}
	}
	d, err := newData(r)
	if err != nil {
		return nil, nil, err
	}
	if len(kinds) == 0 {
		kinds = Kinds()
	}
	fits := make([]*Fitted, len(kinds))
	least := math.Inf(1)
	for i, k := range kinds {
		f, err := d.fit(k)
		t := Trial{Kind: k, Score: math.Inf(1), Err: err}
		if err == nil {
			fits[i] = f
			t.Score = f.chi2 + float64(len(f.theta))*math.Log(float64(len(d.x)))
			least = math.Min(least, t.Score)
		}
		tried = append(tried, t)
	}
	order := Kinds()
	for i, f := range fits {
		if f == nil || tried[i].Score > least+2 {
			continue
		}
		if best == nil || len(f.theta) < len(best.theta) ||
			len(f.theta) == len(best.theta) && slices.Index(order, f.kind) < slices.Index(order, best.kind) {
			best = f
		}
	}
	if best == nil {
		return nil, tried, check.Errorf(ErrNoLaw, "none of %d laws could be fitted", len(kinds))
	}
	best.shares = weigh(fits, tried)
	return best, tried, nil
}

// leastWeight is the part of the belief below which a law is left out.
const leastWeight = 1e-3

// weigh gives the laws their weights.
func weigh(fits []*Fitted, tried []Trial) []share {
	scale := math.Inf(1)
	for _, f := range fits {
		if f != nil {
			scale = math.Min(scale, math.Max(f.likelihood().scale, 1))
		}
	}
	score := make([]float64, len(fits))
	least := math.Inf(1)
	for i, f := range fits {
		if f != nil {
			score[i] = f.chi2/scale + float64(len(f.theta))*math.Log(float64(len(f.d.x)))
			least = math.Min(least, score[i])
		}
	}
	var total float64
	for i, f := range fits {
		if f != nil {
			tried[i].Weight = math.Exp((least - score[i]) / 2)
			total += tried[i].Weight
		}
	}
	var out []share
	var kept float64
	for i, f := range fits {
		tried[i].Weight /= total
		if f != nil && tried[i].Weight > leastWeight {
			out = append(out, share{f, tried[i].Weight})
			kept += tried[i].Weight
		}
	}
	for i := range out {
		out[i].weight /= kept
	}
	return out
}
