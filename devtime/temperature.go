package devtime

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/lsq"
	"example.org/actinic/internal/uncert"
	"example.org/actinic/sensito"
)

// Celsius is a temperature in degrees Celsius. Development times are quoted at
// 20 °C, which is exactly 68 °F.
type Celsius float64

// FromFahrenheit converts a temperature. (A difference of temperatures is 5/9
// of that in degrees Fahrenheit, without the 32.)
func FromFahrenheit(f float64) Celsius { return Celsius((f - 32) * 5 / 9) }

// Fahrenheit is the temperature in degrees Fahrenheit.
func (c Celsius) Fahrenheit() float64 { return float64(c)*9/5 + 32 }

// String prints the temperature with one decimal, for example "20.0 °C".
func (c Celsius) String() string { return fmt.Sprintf("%.1f °C", float64(c)) }

// ParseCelsius reads a temperature: `20`, `20 °C`, `20C`, `68 °F`, `68F`. A number
// alone is in degrees Celsius.
//
// Errors: [ErrSyntax].
func ParseCelsius(s string) (Celsius, error) {
	t := strings.TrimSpace(s)
	unit := ""
	for _, u := range []string{"C", "c", "F", "f"} {
		if v, ok := strings.CutSuffix(t, u); ok {
			t, unit = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(v), "°")), strings.ToUpper(u)
			break
		}
	}
	v, err := strconv.ParseFloat(strings.Replace(t, ",", ".", 1), 64)
	if err != nil || !check.Finite(v) || strings.ContainsAny(t, "xXpP_iInN") {
		if len(s) > maxText {
			s = s[:maxText] + "..."
		}
		return 0, check.Errorf(ErrSyntax, "temperature %q: want 20, 20 °C or 68 °F", s)
	}
	if unit == "F" {
		return FromFahrenheit(v), nil
	}
	return Celsius(v), nil
}

// MarshalText writes the temperature in full, "20 °C", which [ParseCelsius] reads
// back. JSON has the number alone.
//
// Errors: [ErrInput] for a value that is not finite.
func (c Celsius) MarshalText() ([]byte, error) {
	if !check.Finite(c) {
		return nil, check.Errorf(ErrInput, "temperature of %v °C", float64(c))
	}
	return []byte(strconv.FormatFloat(float64(c), 'f', -1, 64) + " °C"), nil
}

// UnmarshalText is [ParseCelsius].
func (c *Celsius) UnmarshalText(b []byte) error {
	v, err := ParseCelsius(string(b))
	if err == nil {
		*c = v
	}
	return err
}

// MarshalJSON writes the number of degrees Celsius.
//
// Errors: [ErrInput] for a value that is not finite.
func (c Celsius) MarshalJSON() ([]byte, error) {
	if !check.Finite(c) {
		return nil, check.Errorf(ErrInput, "temperature of %v °C", float64(c))
	}
	return json.Marshal(float64(c))
}

// UnmarshalJSON reads a number of degrees Celsius, or text as [ParseCelsius] does.
func (c *Celsius) UnmarshalJSON(b []byte) error {
	if len(b) > 0 && b[0] == '"' {
		var s string
		if err := json.Unmarshal(b, &s); err != nil {
			return err
		}
		return c.UnmarshalText([]byte(s))
	}
	return json.Unmarshal(b, (*float64)(c))
}

func (c Celsius) kelvin() float64 { return float64(c) + 273.15 }

func (c Celsius) check() error {
	if !(c > -20 && c < 100) {
		return check.Errorf(ErrInput, "temperature of %v °C; a developer is liquid", float64(c))
	}
	return nil
}

// gasConstant in kJ/(mol K), exact in the SI of 2019.
const gasConstant = 8.31446261815324e-3

// TemperatureLaw says how development time falls as the bath gets warmer.
//
// With a temperature coefficient Q10,
//
//	t(T2) = t(T1) Q10^((T1 - T2)/10)
//
// so that log time against temperature is a straight line. With an activation
// energy E (Arrhenius), T in kelvin,
//
//	t(T2) = t(T1) exp((E/R) (1/T2 - 1/T1))
//
// The two part by 0.4 % at 4 °C from 20 °C. Q10 is a property of film,
// developer and dilution and never a constant of nature: published tables of
// one process run from 1.5 to 3.8. Developers of two agents have no single
// coefficient far from 20 °C, for each agent keeps its own (metol 1.3,
// pyrogallol 1.9, hydroquinone 2.5); below about 15 °C hydroquinone hardly
// works, so that a cold bath acts like its other agent alone.
//
// Either law is trusted in a range, see [TemperatureLaw.Range].
//
// Sources: definition of Q10 and of the coefficient K(25 °C)/K(15 °C): C. E. K.
// Mees, Jahrbuch für Photographie 25 (1911) 170; two-agent developers and the
// agents' coefficients: a photographic encyclopedia's entry on the temperature
// coefficient; cold hydroquinone: a plate maker's handbook, p. 130. H. E. Ives's
// older "temperature coefficient" is another thing, a factor for 7 °C.
type TemperatureLaw struct {
	q10, energy float64 // one of them is 0
	sd          float64 // of ln q10, or of energy
	lo, hi      Celsius
}

// The range in which one coefficient is trusted unless the caller says
// otherwise: 65 to 80 °F. US Army SS0509 p. 13 has 68 to 75 °F where possible,
// action that may be incomplete below 65 °F, and up to 80 °F with care.
const (
	trustedLow  Celsius = (65 - 32) * 5. / 9
	trustedHigh Celsius = (80 - 32) * 5. / 9
)

// NewQ10 returns the law with a temperature coefficient per 10 °C, taken as
// exact and trusted from 65 to 80 °F (18.3 to 26.7 °C).
//
// Errors: [ErrInput] unless q10 > 1 and at most 10.
func NewQ10(q10 float64) (TemperatureLaw, error) {
	if !(q10 > 1 && q10 <= 10) {
		return TemperatureLaw{}, check.Errorf(ErrInput,
			"temperature coefficient of %v, want above 1; usual values are 1.3 to 3", q10)
	}
	return TemperatureLaw{q10: q10, lo: trustedLow, hi: trustedHigh}, nil
}

// NewArrhenius returns the law with an activation energy in kJ/mol, taken as
// exact and trusted from 65 to 80 °F.
//
// Errors: [ErrInput] unless the energy is positive and at most 170 kJ/mol.
func NewArrhenius(kJPerMol float64) (TemperatureLaw, error) {
	if !(kJPerMol > 0 && kJPerMol <= 170) {
		return TemperatureLaw{}, check.Errorf(ErrInput,
			"activation energy of %v kJ/mol, want above 0; usual values are 20 to 75", kJPerMol)
	}
	return TemperatureLaw{energy: kJPerMol, lo: trustedLow, hi: trustedHigh}, nil
}

// Within returns the law with another trusted range.
//
// Errors: [ErrInput] unless low < high.
func (l TemperatureLaw) Within(low, high Celsius) (TemperatureLaw, error) {
	if err := low.check(); err != nil {
		return l, err
	}
	if err := high.check(); err != nil {
		return l, err
	}
	if !(low < high) {
		return l, check.Errorf(ErrInput, "range from %v to %v", low, high)
	}
	l.lo, l.hi = low, high
	return l, nil
}

// Range is where the law is trusted.
func (l TemperatureLaw) Range() (low, high Celsius) { return l.lo, l.hi }

// Q10 is the factor by which development is faster at 25 °C than at 15 °C, for
// an Arrhenius law
//
//	Q10 = exp(E/R (1/288.15 K - 1/298.15 K))
//
// Source: the definition of Q10 with the law of Arrhenius, see [Arrhenius].
func (l TemperatureLaw) Q10() sensito.Estimate {
	const per = (1/288.15 - 1/298.15) / gasConstant
	a, s := math.Log(l.q10), l.sd
	if l.energy > 0 {
		a, s = l.energy*per, l.sd*per
	}
	h := lsq.Normal95 * s
	return sensito.Estimate{Value: math.Exp(a), Low: math.Exp(a - h), High: math.Exp(a + h)}
}

// ActivationEnergy is in kJ/mol; for a Q10 law the one that gives the same
// factor between 15 and 25 °C.
func (l TemperatureLaw) ActivationEnergy() sensito.Estimate {
	if l.energy > 0 {
		h := lsq.Normal95 * l.sd
		return sensito.Estimate{Value: l.energy, Low: l.energy - h, High: l.energy + h}
	}
	return l.Q10().Map(func(q float64) float64 { return gasConstant * math.Log(q) / (1/288.15 - 1/298.15) })
}

type temperatureLawJSON struct {
	Q10     float64 `json:"q10,omitempty"`
	Energy  float64 `json:"activation_energy_kj_mol,omitempty"`
	SD      float64 `json:"sd,omitempty"` // of ln q10, or of the energy
	Unknown bool    `json:"sd_unknown,omitempty"`
	Coldest Celsius `json:"coldest_degc"`
	Warmest Celsius `json:"warmest_degc"`
}

// MarshalJSON writes the constant, its standard deviation (of ln Q10, or of the
// energy) and the trusted range.
//
// Errors: [ErrInput] for the zero law.
func (l TemperatureLaw) MarshalJSON() ([]byte, error) {
	if l.q10 == 0 && l.energy == 0 {
		return nil, check.Errorf(ErrInput, "no temperature law; make one with NewQ10 or NewArrhenius")
	}
	j := temperatureLawJSON{Q10: l.q10, Energy: l.energy, SD: l.sd, Coldest: l.lo, Warmest: l.hi}
	if math.IsNaN(l.sd) {
		j.SD, j.Unknown = 0, true
	}
	return json.Marshal(j)
}

// UnmarshalJSON reads what MarshalJSON writes.
//
// Errors: [ErrInput], as [NewQ10], [NewArrhenius] and [TemperatureLaw.Within].
func (l *TemperatureLaw) UnmarshalJSON(b []byte) error {
	var j temperatureLawJSON
	err := json.Unmarshal(b, &j)
	if err != nil {
		return err
	}
	var v TemperatureLaw
	switch {
	case (j.Q10 != 0) == (j.Energy != 0) || !(j.SD >= 0):
		return check.Errorf(ErrInput,
			"Q10 %v, activation energy %v, standard deviation %v; want one of the first two", j.Q10, j.Energy, j.SD)
	case j.Q10 != 0:
		v, err = NewQ10(j.Q10)
	default:
		v, err = NewArrhenius(j.Energy)
	}
	if err != nil {
		return err
	}
	if v, err = v.Within(j.Coldest, j.Warmest); err != nil {
		return err
	}
	if v.sd = j.SD; j.Unknown {
		v.sd = math.NaN()
	}
	*l = v
	return nil
}

// lnFactor is ln(t(to)/t(from)) for the law's constant (ln Q10 or energy).
func (l TemperatureLaw) lnFactor(k float64, from, to Celsius) float64 {
	if l.energy > 0 {
		return k / gasConstant * (1/to.kelvin() - 1/from.kelvin())
	}
	return k * float64(from-to) / 10
}

func (l TemperatureLaw) constant() float64 {
	if l.energy > 0 {
		return l.energy
	}
	return math.Log(l.q10)
}

// Factor is t(to)/t(from), wherever the temperatures are.
//
// Errors: [ErrInput].
func (l TemperatureLaw) Factor(from, to Celsius) (float64, error) {
	if l.q10 == 0 && l.energy == 0 {
		return 0, check.Errorf(ErrInput, "no temperature law; make one with NewQ10 or NewArrhenius")
	}
	if err := from.check(); err != nil {
		return 0, err
	}
	if err := to.check(); err != nil {
		return 0, err
	}
	return math.Exp(l.lnFactor(l.constant(), from, to)), nil
}

// Beyond says what becomes of a question outside the range in which a law is
// trusted.
type Beyond uint8

const (
	// RefuseBeyond makes it an error.
	RefuseBeyond Beyond = iota
	// CarryBeyond answers and marks the answer.
	CarryBeyond
)

// Convert turns a time at one temperature into the time at another. The
// interval holds what is not known: thermometer is the standard deviation of
// the bath's temperature in °C (half a degree is common), and a fitted law has
// that of its constant. To first order, for a Q10 law,
//
//	u(t)/t = hypot((T1 - T2)/10 u(Q10)/Q10, 0.1 ln Q10 u(T))
//
// Half a degree at Q10 2.5 is 4.6 % of the time. Source: JCGM 100:2008, 5.1.
//
// Errors: [ErrInput]; [ErrOutside], naming the range, where a temperature lies
// outside the range and beyond is [RefuseBeyond].
func (l TemperatureLaw) Convert(t time.Duration, from, to Celsius, thermometer float64, beyond Beyond) (Time, error) {
	if !(t > 0) {
		return Time{}, check.Errorf(ErrInput, "development time of %v", t)
	}
	if !(thermometer >= 0) || !check.Finite(thermometer) {
		return Time{}, check.Errorf(ErrInput, "standard deviation of %v °C", thermometer)
	}
	f, err := l.Factor(from, to)
	if err != nil {
		return Time{}, err
	}
	const slack = 1e-9
	out := from < l.lo-slack || from > l.hi+slack || to < l.lo-slack || to > l.hi+slack
	if out && beyond == RefuseBeyond {
		return Time{}, check.Errorf(ErrOutside,
			"%v to %v, and this law is trusted from %v to %v", from, to, l.lo, l.hi)
	}
	x := []float64{l.constant(), float64(to)}
	sd := []float64{l.sd, thermometer}
	g := uncert.Sensitivities(func(x []float64) float64 { return l.lnFactor(x[0], from, Celsius(x[1])) }, x, sd)
	h := lsq.Normal95 * math.Sqrt(uncert.Variance(g, uncert.Diagonal(sd...)))
	v, ok := minutes(t.Minutes() * f)
	if !ok {
		return Time{}, check.Errorf(ErrInput, "a time of %v at %v is beyond measure", t, to)
	}
	r := Time{Value: v, Low: -1, High: -1, Extrapolated: out}
	if !math.IsNaN(h) {
		r.Low, _ = minutes(t.Minutes() * f * math.Exp(-h))
		r.High, _ = minutes(t.Minutes() * f * math.Exp(h))
	}
	return r, nil
}

// Q10From is the temperature coefficient from two times that do the same, of
// development or of the first appearance of the image:
//
//	log10 Q10 = 10 (log10 t1 - log10 t2) / (T2 - T1)
//
// Errors: [ErrInput] unless the warmer bath is the faster.
//
// Source: E. J. Wall, Jahrbuch für Photographie 24 (1910) 44.
func Q10From(t1 time.Duration, at1 Celsius, t2 time.Duration, at2 Celsius) (float64, error) {
	if err := at1.check(); err != nil {
		return 0, err
	}
	if err := at2.check(); err != nil {
		return 0, err
	}
	if !(t1 > 0 && t2 > 0) || at1 == at2 || (at1 < at2) != (t1 > t2) {
		return 0, check.Errorf(ErrInput,
			"%v at %v and %v at %v: want a shorter time in the warmer bath", t1, at1, t2, at2)
	}
	return math.Exp(10 * math.Log(t1.Seconds()/t2.Seconds()) / float64(at2-at1)), nil
}

// TemperatureRow is a row of a time-temperature table. Its times are for one
// film, developer, dilution and contrast.
type TemperatureRow struct {
	At   Celsius
	Time time.Duration
}

// TemperatureFit is a law fitted to a table.
type TemperatureFit struct {
	Law TemperatureLaw // trusted over the rows only
	// At20 is the fitted time at 20 °C, in minutes.
	At20 sensito.Estimate
	// SD is the standard deviation of the law's constant: of Q10, or of the
	// activation energy in kJ/mol.
	SD float64
	// Worst is the index of the row farthest from the law in minutes, and
	// Miss how far its printed time lies above the law's.
	Worst int
	Miss  time.Duration
}

// Q10Data is a fitted temperature coefficient as it is published with a film: Q10
// with its 95 % interval, and the temperatures of the table it is for.
type Q10Data struct {
	Q10     sensito.Estimate `json:"q10"`
	Coldest Celsius          `json:"coldest_degc"`
	Warmest Celsius          `json:"warmest_degc"`
}

// Data is the fit as it is published. [NewQ10] and [TemperatureLaw.Within] take it.
//
// Errors: [ErrInput] for the zero fit, or a coefficient that NewQ10 refuses.
func (f TemperatureFit) Data() (Q10Data, error) {
	if f.Law.q10 == 0 && f.Law.energy == 0 {
		return Q10Data{}, check.Errorf(ErrInput, "no fit; make one with FitQ10 or FitArrhenius")
	}
	q := f.Law.Q10()
	if _, err := NewQ10(q.Value); err != nil {
		return Q10Data{}, err
	}
	// The interval, like the value, is one that NewQ10 takes.
	q.Low, q.High = math.Max(q.Low, math.Nextafter(1, 2)), math.Min(q.High, 10)
	return Q10Data{q, f.Law.lo, f.Law.hi}, nil
}

// FitQ10 fits a line to ln time against temperature. FitArrhenius fits one
// against 1/T.
//
// A law through rows rounded to a coarse step misses them by up to half the
// step; a larger miss says that no one coefficient made the table.
//
// Errors: [ErrInput] for fewer than two temperatures or times that are not
// positive; [ErrNoLaw] where time does not fall with temperature.
func FitQ10(rows []TemperatureRow) (TemperatureFit, error) { return fitTemperature(rows, false) }

// FitArrhenius is like [FitQ10] with an activation energy.
func FitArrhenius(rows []TemperatureRow) (TemperatureFit, error) { return fitTemperature(rows, true) }

func fitTemperature(rows []TemperatureRow, arrhenius bool) (TemperatureFit, error) {
	var none TemperatureFit
	n := len(rows)
	if n < 2 {
		return none, check.Errorf(ErrInput, "%d rows, want 2 or more", n)
	}
	// y = b0 - b1 x with x counted from 20 °C, b1 = ln Q10 or energy
	x, y := make([]float64, 0, 2*n), make([]float64, n)
	lo, hi := rows[0].At, rows[0].At
	for i, r := range rows {
		if err := r.At.check(); err != nil {
			return none, err
		}
		if !(r.Time > 0) {
			return none, check.Errorf(ErrInput, "row %d has the time %v", i+1, r.Time)
		}
		u := float64(r.At-20) / 10
		if arrhenius {
			u = (1/293.15 - 1/r.At.kelvin()) / gasConstant
		}
		x = append(x, 1, -u)
		y[i] = math.Log(r.Time.Minutes())
		lo, hi = min(lo, r.At), max(hi, r.At)
	}
	if !(lo < hi) {
		return none, check.Errorf(ErrInput, "all rows are at %v", lo)
	}
	res, err := lsq.Linear(x, 2, y, nil)
	if err != nil {
		return none, check.Errorf(ErrInput, "%v", err)
	}
	if !(res.Params[1] > 0) {
		return none, check.Errorf(ErrNoLaw, "time does not fall as temperature rises")
	}
	q := lsq.TwoSided95(res.DOF)
	l := TemperatureLaw{lo: lo, hi: hi}
	f := TemperatureFit{SD: res.SD(1)}
	if arrhenius {
		l.energy, l.sd = res.Params[1], res.SD(1)*q/lsq.Normal95
	} else {
		l.q10, l.sd = math.Exp(res.Params[1]), res.SD(1)*q/lsq.Normal95
		f.SD = l.q10 * res.SD(1)
	}
	f.Law = l
	h := q * res.SD(0)
	f.At20 = sensito.Estimate{Value: res.Params[0], Low: res.Params[0] - h, High: res.Params[0] + h}.Map(math.Exp)
	for i, r := range rows {
		law := f.At20.Value * math.Exp(l.lnFactor(l.constant(), 20, r.At))
		miss := time.Duration(math.Round((r.Time.Minutes() - law) * float64(time.Minute)))
		if miss.Abs() > f.Miss.Abs() {
			f.Worst, f.Miss = i, miss
		}
	}
	return f, nil
}

// Watkins is the factorial method: the whole time of development is a factor
// times the time in which the image first appears. It needs a light one can
// watch by.
//
// Errors: [ErrInput].
//
// Source: A. Watkins's factors as in Cassell's Cyclopaedia of Photography
// (1911).
func Watkins(factor float64, appearance time.Duration) (time.Duration, error) {
	if !(factor > 1) || !(appearance > 0) {
		return 0, check.Errorf(ErrInput, "factor %v, appearance after %v", factor, appearance)
	}
	t, ok := minutes(factor * appearance.Minutes())
	if !ok {
		return 0, check.Errorf(ErrInput, "factor %v is beyond measure", factor)
	}
	return t, nil
}

// WatkinsMixture is the factor of a developer mixed from several agents, the
// mean of their factors weighted by their parts.
//
// Errors: [ErrInput].
func WatkinsMixture(parts, factors []float64) (float64, error) {
	if len(parts) == 0 || len(parts) != len(factors) {
		return 0, check.Errorf(ErrInput, "%d parts, %d factors", len(parts), len(factors))
	}
	var s, w float64
	for i, p := range parts {
		if !(p > 0) || !check.Finite(p) || !(factors[i] > 1) || !check.Finite(factors[i]) {
			return 0, check.Errorf(ErrInput, "%v parts of factor %v", p, factors[i])
		}
		w += p
		s += p * factors[i]
	}
	return s / w, nil
}
