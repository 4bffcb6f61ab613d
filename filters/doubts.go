package filters

import (
	"fmt"
	"math"
	"slices"

	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// A Doubt is something about the tables that a factor leans on, and what it may do to
// the factor: from Least to Most stops, which are 0 where it does nothing.
type Doubt struct {
	Text        string
	Least, Most sensito.Stops
}

// String prints the text with the effect.
func (d Doubt) String() string {
	if math.Abs(float64(d.Least)) < 0.005 && math.Abs(float64(d.Most)) < 0.005 {
		return d.Text + ": no matter for this factor"
	}
	return fmt.Sprintf("%s: %+.2f to %+.2f stops in this factor", d.Text, float64(d.Least), float64(d.Most))
}

// What makes a doubt, our choices: an end of a film's table above a twentieth of its
// peak, which is then thought to go on and lose a unit of log10 in 40 nm (the generic
// films of package spectral lose one in 20 to 60 nm); and two knots 60 nm apart or more,
// between which the middle may be half or twice what the line has.
const (
	highEnd  = 0.05
	endFalls = 40
	wideGap  = 60
)

// Doubts returns what is doubtful about the tables of a film and a filter for a factor:
// a sensitivity that ends while it is high, because the table was cut short, and gaps
// that a straight line bridges. Each says what it would do if it were otherwise; no
// doubt is an empty list. Errors are those of [Factor].
func Doubts(film spectral.Sensitivity, light spectral.Light, f Filter) ([]Doubt, error) {
	at, err := Factor(film, light, f)
	if err != nil {
		return nil, err
	}
	d := doubter{film, light.WithOutside(spectral.Zero), f, math.Log2(at)}
	for i, s := range f.parts {
		if s.Outside() == spectral.Refuse {
			f.parts = slices.Clone(f.parts)
			f.parts[i] = s.WithOutside(spectral.Hold)
			d.filter = f
		}
	}
	out, err := d.ends()
	if err != nil {
		return nil, err
	}
	for _, part := range []struct {
		what  string
		parts []spectral.Spectrum
	}{{"film's sensitivity", film.Spectra()}, {"filter's transmittance", f.parts}} {
		for i, s := range part.parts {
			gaps, err := d.gaps(part.what, i, s)
			if err != nil {
				return nil, err
			}
			out = append(out, gaps...)
		}
	}
	return out, nil
}

type doubter struct {
	film   spectral.Sensitivity
	light  spectral.Light
	filter Filter
	stops  float64 // of the factor as it is
}

// ends doubts the ends of the film's table.
func (d doubter) ends() ([]Doubt, error) {
	parts := d.film.Spectra()
	lo, hi, held := extent(parts)
	if held {
		return nil, nil
	}
	peak := 0.0
	for _, l := range commonKnots(d.film, d.light, d.filter) {
		v, err := d.film.At(l)
		if err != nil {
			return nil, err
		}
		peak = max(peak, v)
	}
	var out []Doubt
	for _, end := range []struct{ at, on float64 }{{lo, -1}, {hi, 1}} {
		v, err := d.film.At(end.at)
		if err != nil {
			return nil, err
		}
		if !(v > highEnd*peak) {
			continue
		}
		var nm, tail []float64
		for x := 0.0; x <= 3*endFalls; x += 2 {
			nm, tail = append(nm, end.at+end.on*x), append(tail, v*math.Pow(10, -x/endFalls))
		}
		if end.on < 0 {
			slices.Reverse(nm)
			slices.Reverse(tail)
		}
		more, err := spectral.New(nm, tail, spectral.Zero)
		if err != nil {
			return nil, err
		}
		moved, err := d.extended(more)
		if err != nil {
			return nil, err
		}
		out = append(out, Doubt{
			fmt.Sprintf("the film's table ends at %g nm with %.0f %% of its peak; if it was cut short and the film goes on",
				end.at, 100*v/peak),
			sensito.Stops(min(moved, 0)), sensito.Stops(max(moved, 0)),
		})
	}
	return out, nil
}

// extended returns what a piece more of the film does to the factor, in stops.
func (d doubter) extended(more spectral.Spectrum) (float64, error) {
	bare, filtered, err := exposures(d.film, d.light, d.filter)
	if err != nil {
		return 0, err
	}
	parts := append(d.light.Spectra(), more)
	a, err := overlapping(parts...)
	if err != nil {
		return 0, err
	}
	b, err := overlapping(append(parts, d.filter.parts...)...)
	return math.Log2((bare+a)/(filtered+b)) - d.stops, err
}

// overlapping is the integral, 0 where the spectra share no wavelength.
func overlapping(s ...spectral.Spectrum) (float64, error) {
	lo, hi := math.Inf(-1), math.Inf(1)
	for _, p := range s {
		if p.Outside() != spectral.Hold {
			a, b := p.Range()
			lo, hi = max(lo, a), min(hi, b)
		}
	}
	if !(lo < hi) {
		return 0, nil
	}
	return spectral.Integral(s...)
}

// gaps doubts the wide gaps of a spectrum, a part of the film or of the filter.
func (d doubter) gaps(what string, part int, s spectral.Spectrum) ([]Doubt, error) {
	nm, v := s.Wavelengths(), s.Values()
	_, peak := s.Extremes()
	lo, hi, _ := extent(slices.Concat(d.film.Spectra(), d.light.Spectra()))
	var out []Doubt
	for i := 1; i < len(nm); i++ {
		a, b := max(nm[i-1], lo), min(nm[i], hi)
		if nm[i]-nm[i-1] < wideGap || !(b > a) || max(v[i-1], v[i]) < highEnd*peak || isLine(s) {
			continue
		}
		var moved [2]float64
		for k, times := range []float64{.5, 2} {
			m := (nm[i-1] + nm[i]) / 2
			top := times * (v[i-1] + v[i]) / 2
			if what[:6] == "filter" {
				top = min(top, 1)
			}
			bent, err := spectral.New(slices.Insert(slices.Clone(nm), i, m), slices.Insert(slices.Clone(v), i, top), s.Outside())
			if err != nil {
				return nil, err
			}
			if moved[k], err = d.with(what, part, bent); err != nil {
				return nil, err
			}
		}
		out = append(out, Doubt{
			fmt.Sprintf("the %s has nothing between %g and %g nm; if the middle were half or twice what the line has",
				what, nm[i-1], nm[i]),
			sensito.Stops(min(moved[0], moved[1], 0)), sensito.Stops(max(moved[0], moved[1], 0)),
		})
	}
	return out, nil
}

// isLine reports whether a spectrum is one line or one value, a formula and no table.
func isLine(s spectral.Spectrum) bool {
	lo, hi := s.Extremes()
	return lo == hi || s.Len() == 2 && s.Outside() == spectral.Hold
}

// with returns what another spectrum in place of a part does to the factor, in stops.
func (d doubter) with(what string, part int, s spectral.Spectrum) (float64, error) {
	film, f := d.film, d.filter
	if what[:6] == "filter" {
		f.parts = slices.Clone(f.parts)
		f.parts[part] = s
	} else {
		parts := film.Spectra()
		parts[part] = s
		var err error
		if film, err = spectral.SensitivityFromLinear(parts...); err != nil {
			return 0, err
		}
	}
	F, err := Factor(film, d.light, f)
	return math.Log2(F) - d.stops, err
}
