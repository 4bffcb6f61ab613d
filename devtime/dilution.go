package devtime

import (
	"math"
	"strconv"
	"strings"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/sensito"
)

// Dilution is a number of parts of stock and of water by volume: 1+31 is one
// part in thirty-two. The zero Dilution is no dilution at all and is refused
// wherever one is used.
type Dilution struct {
	stock, water float64
}

// Undiluted is the stock itself, 1+0.
func Undiluted() Dilution { return Dilution{1, 0} }

// NewDilution returns stock + water.
//
// Errors: [ErrInput] unless stock > 0 and water >= 0.
func NewDilution(stock, water float64) (Dilution, error) {
	if !(stock > 0) || !(water >= 0) || !check.Finite(stock) || !check.Finite(water) || !((stock+water)/stock < 1e6) {
		return Dilution{}, check.Errorf(ErrInput, "dilution of %v parts of stock and %v of water", stock, water)
	}
	return Dilution{stock, water}, nil
}

// Colon says how `1:31` is read.
type Colon uint8

const (
	// RefuseColon makes it an error that gives both readings.
	RefuseColon Colon = iota
	// PartsOfWater reads it as 1+31, as most books on photography do.
	PartsOfWater
	// PartsInAll reads it as 1 part in 31, which is 1+30, as chemists do.
	PartsInAll
)

// ParseDilution reads a dilution: `1+31`, `1 + 1`, `stock`, or a share of stock
// by volume such as `10%`, which is 10+90. What `1:31` means is not agreed, so
// it is refused unless the caller says how to read it.
//
// Errors: [ErrSyntax]; [ErrAmbiguous], with both readings and their difference.
func ParseDilution(s string, colon Colon) (Dilution, error) {
	t := strings.ReplaceAll(strings.TrimSpace(s), " ", "")
	bad := func() (Dilution, error) {
		if len(s) > maxText {
			s = s[:maxText] + "..."
		}
		return Dilution{}, check.Errorf(ErrSyntax, "dilution %q: want 1+31, stock or 10%%", s)
	}
	if len(t) > maxText {
		return bad()
	}
	if strings.EqualFold(t, "stock") || strings.EqualFold(t, "undiluted") {
		return Undiluted(), nil
	}
	if p, ok := strings.CutSuffix(t, "%"); ok {
		v, ok := parts(p)
		if !ok || v > 100 {
			return bad()
		}
		d, err := NewDilution(v, 100-v)
		if err != nil {
			return bad()
		}
		return d, nil
	}
	if a, b, ok := strings.Cut(t, "+"); ok {
		x, ok1 := parts(a)
		y, ok2 := parts(b)
		d, err := NewDilution(x, y)
		if !ok1 || !ok2 || err != nil {
			return bad()
		}
		return d, nil
	}
	a, b, ok := strings.Cut(t, ":")
	if !ok {
		return bad()
	}
	x, ok1 := parts(a)
	y, ok2 := parts(b)
	water, err := NewDilution(x, y)
	if !ok1 || !ok2 || err != nil {
		return bad()
	}
	inAll, err := NewDilution(x, y-x)
	switch {
	case colon == PartsOfWater:
		return water, nil
	case err != nil && colon == PartsInAll:
		return bad()
	case colon == PartsInAll:
		return inAll, nil
	case err != nil:
		return Dilution{}, check.Errorf(ErrAmbiguous,
			"%q may be %v; write that, or say how to read a colon", s, water)
	}
	more := 100 * (water.Factor()/inAll.Factor() - 1)
	return Dilution{}, check.Errorf(ErrAmbiguous,
		"%q may be %v or %v, which has %.4g %% more stock; write one of them, or say how to read a colon", s, water, inAll, more)
}

// parts reads a plain decimal number, not negative.
func parts(s string) (float64, bool) {
	if s == "" {
		return 0, false
	}
	for _, c := range []byte(s) {
		if (c < '0' || c > '9') && c != '.' {
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// Parts are the parts of stock and water.
func (d Dilution) Parts() (stock, water float64) { return d.stock, d.water }

// Factor is how many times the stock is diluted, (stock+water)/stock: 32 for
// 1+31.
func (d Dilution) Factor() float64 { return (d.stock + d.water) / d.stock }

// Percent is the share of stock by volume, 100 at most.
func (d Dilution) Percent() float64 { return min(100*d.stock/(d.stock+d.water), 100) } // 100 s/s may round up

// String prints the parts, `1+31`, or `stock`. [ParseDilution] reads it back.
func (d Dilution) String() string {
	if d == (Dilution{}) {
		return "no dilution"
	}
	if d.water == 0 && d.stock == 1 {
		return "stock"
	}
	f := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	return f(d.stock) + "+" + f(d.water)
}

// MarshalText is [Dilution.String], and empty for the zero Dilution.
func (d Dilution) MarshalText() ([]byte, error) {
	if d == (Dilution{}) {
		return []byte{}, nil
	}
	return []byte(d.String()), nil
}

// UnmarshalText is [ParseDilution] with [RefuseColon]; empty text is the zero
// Dilution.
func (d *Dilution) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = Dilution{}
		return nil
	}
	v, err := ParseDilution(string(b), RefuseColon)
	if err == nil {
		*d = v
	}
	return err
}

func (d Dilution) check() error {
	if !(d.stock > 0) {
		return check.Errorf(ErrInput, "no dilution is given")
	}
	return nil
}

// Volumes splits a total volume into stock and water, in the unit of the total.
//
// Errors: [ErrInput].
func (d Dilution) Volumes(total float64) (stock, water float64, err error) {
	if err := d.check(); err != nil {
		return 0, 0, err
	}
	if !(total > 0) || !check.Finite(total) {
		return 0, 0, check.Errorf(ErrInput, "volume of %v", total)
	}
	stock = total * (d.stock / (d.stock + d.water))
	return stock, total * (d.water / (d.stock + d.water)), nil
}

// PercentSolution brings a solution of one strength to a weaker one: how much
// of it to take for a volume of the weaker, the rest being water,
//
//	take = volume to/from
//
// Strengths are in the same unit, usually grams in 100 ml.
//
// Errors: [ErrInput] unless 0 < to <= from.
//
// Source: the definition of a percentage; the solute stays.
func PercentSolution(from, to, volume float64) (take float64, err error) {
	if !(to > 0 && to <= from) || !check.Finite(from) || !(volume > 0) || !check.Finite(volume) {
		return 0, check.Errorf(ErrInput, "%v of strength %v from strength %v", volume, to, from)
	}
	return volume * (to / from), nil
}

// DilutionRow is a development time found for a dilution, at one temperature
// and contrast.
type DilutionRow struct {
	Dilution Dilution
	Time     time.Duration
}

// DilutionLaw is the growth of time with dilution,
//
//	t = c factor^m
//
// m is fitted. It is not 1: for developers of the 1900s that air oxidises time
// grew more than in proportion (m 1.3 to 1.5 for a pyro developer of 1908), for
// modern ones from stock to 1+1 it is about 0.4 to 0.6 (from memory).
//
// Source: proportion only for developers that air does not oxidise, others
// more: L. P. Clerc, Photography, Theory and Practice, §341.
type DilutionLaw struct {
	lnC, m float64
	cov    [4]float64
	q      float64
	lo, hi float64 // factors
}

// MarshalJSON is an error: store the rows.
func (l DilutionLaw) MarshalJSON() ([]byte, error) {
	return nil, check.Errorf(ErrInput, "a law of dilution is not stored; store its rows")
}

// FitDilution fits the law to two dilutions or more.
//
// Errors: [ErrInput] for fewer than two different dilutions, or times that are
// not positive; [ErrNoLaw] where time does not grow with dilution.
func FitDilution(rows []DilutionRow) (DilutionLaw, error) {
	var none DilutionLaw
	n := len(rows)
	x, y := make([]float64, 0, 2*n), make([]float64, n)
	l := DilutionLaw{lo: math.Inf(1)}
	for i, r := range rows {
		if err := r.Dilution.check(); err != nil {
			return none, err
		}
		if !(r.Time > 0) {
			return none, check.Errorf(ErrInput, "row %d has the time %v", i+1, r.Time)
		}
		f := r.Dilution.Factor()
		x = append(x, 1, math.Log(f))
		y[i] = math.Log(r.Time.Minutes())
		l.lo, l.hi = math.Min(l.lo, f), math.Max(l.hi, f)
	}
	if !(l.hi > l.lo) {
		return none, check.Errorf(ErrInput, "want two dilutions or more")
	}
	r, err := lsq.Linear(x, 2, y, nil)
	if err != nil {
		return none, check.Errorf(ErrInput, "%v", err)
	}
	if !(r.Params[1] > 0) {
		return none, check.Errorf(ErrNoLaw, "time does not grow with dilution")
	}
	l.lnC, l.m = r.Params[0], r.Params[1]
	for i := range l.cov {
		l.cov[i] = r.ScaledCov(i/2, i%2)
	}
	l.q = lsq.TwoSided95(r.DOF)
	return l, nil
}

// Exponent is m with its interval, NaN for two rows.
func (l DilutionLaw) Exponent() sensito.Estimate {
	h := l.q * math.Sqrt(l.cov[3])
	return sensito.Estimate{Value: l.m, Low: l.m - h, High: l.m + h}
}

// Time is the time for a dilution; it is marked where the dilution lies
// outside the rows.
//
// Errors: [ErrInput].
func (l DilutionLaw) Time(d Dilution) (Time, error) {
	if err := d.check(); err != nil {
		return Time{}, err
	}
	if l.hi == 0 {
		return Time{}, check.Errorf(ErrInput, "no law of dilution; fit one")
	}
	f := d.Factor()
	x := math.Log(f)
	y := l.lnC + l.m*x
	v, ok := minutes(math.Exp(y))
	if !ok {
		return Time{}, check.Errorf(ErrOutside, "the time for %v is beyond measure", d)
	}
	const slack = 1e-9
	t := Time{Value: v, Low: -1, High: -1, Extrapolated: f < l.lo*(1-slack) || f > l.hi*(1+slack)}
	if h := l.q * math.Sqrt(math.Max(0, l.cov[0]+2*x*l.cov[1]+x*x*l.cov[3])); !math.IsNaN(h) {
		t.Low, _ = minutes(math.Exp(y - h))
		t.High, _ = minutes(math.Exp(y + h))
	}
	return t, nil
}
