package devtime

import (
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
	if !(widthMM > 0) || !(lengthMM > 0) || math.IsInf(widthMM, 0) || math.IsInf(lengthMM, 0) {
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
	return fmt.Sprintf("%.4g ml of stock and water to %.4g ml (%v). %s", m.Stock, m.Total(), m.Dilution, caution)
}

const caution = "Gloves, goggles and fresh air; no food containers; read the maker's safety data sheet and follow local rules for disposal."

// Cautions are the sentences to print wherever somebody is told to mix
// something.
func Cautions() []string {
	return []string{
		"Developers can sensitise the skin and may cause allergic reactions: wear gloves, and goggles when mixing; a dust mask with powders.",
		"Ventilate the room; a bathroom fan is not enough.",
		"Add acid to water, never water to acid.",
		"Use no food containers; label and date every bottle and keep it away from children. Do not eat or drink while working.",
		"Dispose of used solutions by your local rules, fixer with silver in it apart, and neither into a septic tank.",
		"Read the maker's safety data sheet first. It and your local rules come before anything printed here.",
	}
}

// Mix gives the volumes for a bath and checks the stock apart from the volume:
// a small tank at a high dilution may cover the films and still hold too little
// stock to develop them.
//
// Errors: [ErrInput]; [ErrStock], with the volume that would be needed and the
// number of films that would do, where the stock is too little.
func Mix(b Bath) (Mixture, error) {
	stock, water, err := b.Dilution.Volumes(b.Tank)
	if err != nil {
		return Mixture{}, err
	}
	if !(b.Films > 0) || math.IsInf(b.Films, 0) || !(b.MinStock >= 0) || math.IsInf(b.MinStock, 0) {
		return Mixture{}, check.Errorf(ErrInput, "%v films with at least %v ml of stock each", b.Films, b.MinStock)
	}
	m := Mixture{Stock: stock, Water: water, Dilution: b.Dilution, MaxFilms: math.Inf(1)}
	if b.MinStock > 0 {
		m.MaxFilms = stock / b.MinStock
		m.LeastStock = b.Films * b.MinStock
		if need := m.LeastStock; stock < need*(1-1e-9) {
			return Mixture{}, check.Errorf(ErrStock, "%.4g ml of stock in %.4g ml of %v, and %.4g films need %.4g ml; take %.4g ml of solution, %.4g films, or a stronger dilution",
				stock, b.Tank, b.Dilution, b.Films, need, need*b.Dilution.Factor(), m.MaxFilms)
		}
	}
	return m, nil
}

// Measured is a mixture as a measuring cylinder shows it.
type Measured struct {
	Mixture
	// Error is how much more stock the bath then has for its volume than
	// asked for, in percent.
	Error float64
}

// Measure rounds the stock to the nearest graduation of a cylinder, or to the
// next one up where the nearest would be too little for the films, and the
// whole to the nearest one of the vessel it is filled up in, both in ml. The
// water fills up.
//
// Errors: [ErrInput], also where the stock is less than one graduation.
func (m Mixture) Measure(cylinder, vessel float64) (Measured, error) {
	if !(cylinder > 0) || !(vessel > 0) || math.IsInf(cylinder, 0) || math.IsInf(vessel, 0) || !(m.Stock > 0) {
		return Measured{}, check.Errorf(ErrInput, "graduations of %v ml and %v ml", cylinder, vessel)
	}
	if m.Stock < cylinder*(1-1e-9) {
		return Measured{}, check.Errorf(ErrInput, "%.4g ml of stock is less than the cylinder's graduation of %v ml; take a finer one, or mix more", m.Stock, cylinder)
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
		return Measured{}, err
	}
	r := Mixture{Stock: stock, Water: total - stock, Dilution: d, LeastStock: m.LeastStock, MaxFilms: m.MaxFilms * stock / m.Stock}
	return Measured{r, 100 * (m.Dilution.Factor()/d.Factor() - 1)}, nil
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
		return 0, check.Errorf(ErrInput, "%v per film, capacity %v, %v films done", e.PerFilm, e.Capacity, filmsDone)
	}
	if filmsDone+1 > e.Capacity*(1+1e-9) {
		return 0, check.Errorf(ErrOutside, "%.4g films are done and the bath is good for %.4g; mix a fresh one", filmsDone, e.Capacity)
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
	if !(factor > 0) || math.IsInf(factor, 0) {
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
