package devtime

import (
	"encoding/json"
	"fmt"
	"math"
	"time"

	"example.org/actinic/internal/check"
)

// FilmArea is the area of one film in m²: 80 square inches, which a 36-exposure
// 35 mm film, a 120 roll and four sheets of 4×5 in are each reckoned to have.
const FilmArea = 80 * 0.0254 * 0.0254

// FilmsOf is an area in mm as a number of films of [FilmArea].
//
// Errors: [ErrInput].
func FilmsOf(widthMM, lengthMM float64) (float64, error) {
	if !(widthMM > 0) || !(lengthMM > 0) || !check.Finite(widthMM) || !check.Finite(lengthMM) {
		return 0, check.Errorf(ErrInput, "film of %v mm by %v mm", widthMM, lengthMM)
	}
	return widthMM * lengthMM * 1e-6 / FilmArea, nil
}

// Bath is what a tank of working solution is wanted for. Volumes are in ml.
type Bath struct {
	Tank     float64  // the volume that covers the films
	Dilution Dilution // of the stock
	Films    float64  // in units of FilmArea
	// MinStock is the least stock per film in ml, the maker's figure; 0 where
	// it does not bind.
	MinStock float64
}

// Mixture is a bath to be mixed. Volumes are in ml.
type Mixture struct {
	Stock, Water float64
	Dilution     Dilution
	LeastStock   float64 // what the films need, 0 where it does not bind
	MaxFilms     float64 // how many films the stock is enough for; +Inf where it does not bind
}

// Total is the volume of the bath.
func (m Mixture) Total() float64 { return m.Stock + m.Water }

// String says what to mix, with the cautions for doing so.
func (m Mixture) String() string {
	return fmt.Sprintf("%.4g ml of stock and water to %.4g ml (%v). %s", m.Stock, m.Total(), m.Dilution, Caution)
}

type mixtureJSON struct {
	Stock      float64  `json:"stock_ml"`
	Water      float64  `json:"water_ml"`
	Dilution   Dilution `json:"dilution"`
	LeastStock float64  `json:"least_stock_ml"`
	MaxFilms   *float64 `json:"max_films"` // null where the stock does not bind
}

// MarshalJSON writes volumes in ml; max_films is null where the stock does not bind.
func (m Mixture) MarshalJSON() ([]byte, error) {
	j := mixtureJSON{Stock: m.Stock, Water: m.Water, Dilution: m.Dilution, LeastStock: m.LeastStock}
	if !math.IsInf(m.MaxFilms, 1) {
		j.MaxFilms = &m.MaxFilms
	}
	return json.Marshal(j)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (m *Mixture) UnmarshalJSON(b []byte) error {
	var j mixtureJSON
	err := json.Unmarshal(b, &j)
	if err != nil {
		return err
	}
	*m = Mixture{j.Stock, j.Water, j.Dilution, j.LeastStock, math.Inf(1)}
	if j.MaxFilms != nil {
		m.MaxFilms = *j.MaxFilms
	}
	return nil
}

// StockError is an [ErrStock] with its numbers. Volumes are in ml.
type StockError struct {
	Bath   Bath
	Stock  float64 // that the tank would hold
	Needed float64 // that the films need
	Volume float64 // of solution that would hold as much
	Films  int     // whole films that the stock in the tank is enough for
}

// Error says what would do instead.
func (e *StockError) Error() string {
	films := fmt.Sprintf("%d films", e.Films)
	switch e.Films {
	case 0:
		films = "no film"
	case 1:
		films = "1 film"
	}
	return fmt.Sprintf("%v: %.4g ml of stock in %.4g ml of %v, and %.4g films need %.4g ml; the stock is enough for %s: take %.4g ml of solution or a stronger dilution",
		ErrStock, e.Stock, e.Bath.Tank, e.Bath.Dilution, e.Bath.Films, e.Needed, films, e.Volume)
}

// Unwrap is [ErrStock].
func (e *StockError) Unwrap() error { return ErrStock }

// Mix gives the volumes for a bath and checks the stock apart from the volume:
// a small tank at a high dilution may cover the films and still hold too little
// stock to develop them.
//
// Errors: [ErrInput]; [ErrStock], as a [StockError] with the volume that would be
// needed and the number of films that would do, where the stock is too little.
func Mix(b Bath) (Mixture, error) {
	stock, water, err := b.Dilution.Volumes(b.Tank)
	if err != nil {
		return Mixture{}, err
	}
	if !(b.Films > 0) || !check.Finite(b.Films) || !(b.MinStock >= 0) || !check.Finite(b.MinStock) {
		return Mixture{}, check.Errorf(ErrInput, "%v films with at least %v ml of stock each", b.Films, b.MinStock)
	}
	m := Mixture{Stock: stock, Water: water, Dilution: b.Dilution, MaxFilms: math.Inf(1)}
	if b.MinStock > 0 {
		m.MaxFilms = stock / b.MinStock
		m.LeastStock = b.Films * b.MinStock
		if need := m.LeastStock; stock < need*(1-1e-9) {
			return Mixture{}, &StockError{b, stock, need, need * b.Dilution.Factor(), int(math.Min(m.MaxFilms+1e-9, 1e9))}
		}
	}
	return m, nil
}

// RoundedMixture is a mixture as a measuring cylinder shows it.
type RoundedMixture struct {
	Mixture
	// Error is how much more stock the bath then has for its volume than
	// asked for, in percent.
	Error float64
}

type roundedJSON struct {
	Mixture Mixture `json:"mixture"`
	Error   float64 `json:"error_percent"`
}

// MarshalJSON writes the mixture and the error.
func (m RoundedMixture) MarshalJSON() ([]byte, error) {
	return json.Marshal(roundedJSON{m.Mixture, m.Error})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (m *RoundedMixture) UnmarshalJSON(b []byte) error {
	var j roundedJSON
	err := json.Unmarshal(b, &j)
	if err == nil {
		*m = RoundedMixture{j.Mixture, j.Error}
	}
	return err
}

// ToGraduations rounds the stock to the nearest graduation of a cylinder, or to the
// next one up where the nearest would be too little for the films, and the
// whole to the nearest one of the vessel it is filled up in, both in ml. The
// water fills up.
//
// Errors: [ErrInput], also where the stock is less than one graduation.
func (m Mixture) ToGraduations(cylinder, vessel float64) (RoundedMixture, error) {
	if !(m.Stock > 0) {
		return RoundedMixture{}, check.Errorf(ErrInput, "an empty mixture; make one with Mix")
	}
	if !(cylinder > 0) || !(vessel > 0) || !check.Finite(cylinder) || !check.Finite(vessel) {
		return RoundedMixture{}, check.Errorf(ErrInput, "graduations of %v ml and %v ml", cylinder, vessel)
	}
	if m.Stock < cylinder*(1-1e-9) {
		return RoundedMixture{}, check.Errorf(ErrInput,
			"%.4g ml of stock is less than the cylinder's graduation of %v ml; take a finer one, or mix more", m.Stock, cylinder)
	}
	stock := cylinder * math.Round(m.Stock/cylinder)
	if stock < m.LeastStock*(1-1e-9) {
		stock = cylinder * math.Ceil(m.Stock/cylinder-1e-9)
	}
	total := vessel * math.Round(m.Total()/vessel)
	if total < stock {
		total = stock
	}
	d, err := NewDilution(1, (total-stock)/stock)
	if err != nil {
		return RoundedMixture{}, err
	}
	r := Mixture{Stock: stock, Water: total - stock, Dilution: d, LeastStock: m.LeastStock, MaxFilms: m.MaxFilms * stock / m.Stock}
	return RoundedMixture{r, 100 * (m.Dilution.Factor()/d.Factor() - 1)}, nil
}

// Exhaustion is how a bath that is used again tires.
type Exhaustion struct {
	PerFilm  float64 // part added to the time for each film already developed; 0.10 is common practice
	Compound bool    // (1+p)^n instead of 1+np
	Capacity float64 // films the bath is good for, the maker's figure
}

// Factor is what to multiply the time by after a number of films,
//
//	1 + n p    or, compound,   (1 + p)^n
//
// After five films at 10 % that is 1.5 or 1.61, so say which is meant.
//
// Errors: [ErrInput]; [ErrOutside] when the next film would exceed the
// capacity.
//
// Source: that the time must grow for each batch without replenishment: US Army
// SS0514. The 10 % is common practice, no source.
func (e Exhaustion) Factor(filmsDone float64) (float64, error) {
	if !(e.PerFilm >= 0) || !(e.PerFilm < 1) || !(e.Capacity > 0) || !(filmsDone >= 0) {
		return 0, check.Errorf(ErrInput,
			"%v per film, capacity %v, %v films done", e.PerFilm, e.Capacity, filmsDone)
	}
	if filmsDone+1 > e.Capacity*(1+1e-9) {
		return 0, check.Errorf(ErrOutside,
			"%.4g films are done and the bath is good for %.4g; mix a fresh one", filmsDone, e.Capacity)
	}
	if e.Compound {
		return math.Pow(1+e.PerFilm, filmsDone), nil
	}
	return 1 + filmsDone*e.PerFilm, nil
}

// Scale multiplies a time and its interval by a factor, such as that of an
// exhausted bath or of another agitation.
//
// Errors: [ErrInput] unless the factor is positive.
func (t Time) Scale(factor float64) (Time, error) {
	if !(factor > 0) || !check.Finite(factor) {
		return Time{}, check.Errorf(ErrInput, "factor of %v", factor)
	}
	f := func(d time.Duration) time.Duration {
		if d == Unbounded || d < 0 {
			return d
		}
		s, _ := minutes(d.Minutes() * factor)
		return s
	}
	return Time{f(t.Value), f(t.Low), f(t.High), t.Extrapolated}, nil
}
