package filters

import (
	"fmt"
	"math"

	"example.org/actinic/sensito"
	"example.org/actinic/sensito/provenance"
	"example.org/actinic/spectral"
)

// Grey is the reflectance of the grey that tones are counted from.
const Grey = 0.18

// A Surface is a surface of the subject: its spectral reflectance as a fraction,
// with where it comes from.
type Surface struct {
	Name        string            `json:"name"`
	Reflectance spectral.Spectrum `json:"reflectance"`
	Basis       provenance.Basis  `json:"basis,omitempty"` // 0 where nobody said
	Source      string            `json:"source,omitempty"`
}

// EffectiveReflectance returns the reflectance of a surface as film, light and
// filter see it,
//
//	∫ E S T R dλ / ∫ E S T dλ
//
// the exposure that it gives over the one a white surface gives, so that the
// factor of the filter is already allowed for and a neutral one keeps its
// reflectance. A reflectance below 0 or above 1.5 is an error that wraps
// [ErrInvalid]; up to 1.5 is left to surfaces that fluoresce or shine.
func EffectiveReflectance(film spectral.Sensitivity, light spectral.Light, f Filter, surface Surface) (float64, error) {
	lo, hi := surface.Reflectance.Extremes()
	switch {
	case surface.Reflectance.Len() == 0:
		return 0, invalid("surface %q has no reflectance", surface.Name)
	case !(lo >= 0):
		return 0, invalid("surface %q has the reflectance %g, Clamp it if it is noise", surface.Name, lo)
	case !(hi <= 1.5):
		return 0, invalid("surface %q reaches %g: it looks like percent, give fractions (FromPercent)", surface.Name, hi)
	}
	if _, _, err := exposures(film, light, f); err != nil {
		return 0, err
	}
	weights := append(append(film.Spectra(), light.Spectra()...), f.parts...)
	r, err := spectral.Mean(surface.Reflectance, weights...)
	if err != nil {
		return 0, fmt.Errorf("surface %q: %w", surface.Name, err)
	}
	return r, nil
}

// A Tone is a surface as the film records it.
type Tone struct {
	Name          string        `json:"name"`
	Reflectance   float64       `json:"effective_reflectance"`
	StopsFromGrey sensito.Stops `json:"stops_from_grey"` // log2(Reflectance/Grey)
}

// Tones returns the tones of surfaces through film, light and filter. A surface the
// film sees nothing of is an error that wraps [ErrOpaque].
func Tones(film spectral.Sensitivity, light spectral.Light, f Filter, surfaces ...Surface) ([]Tone, error) {
	out := make([]Tone, len(surfaces))
	for i, p := range surfaces {
		r, err := EffectiveReflectance(film, light, f, p)
		if err != nil {
			return nil, err
		}
		if !(r > 0) {
			return nil, fmt.Errorf("%w: the film sees nothing of surface %q", ErrOpaque, p.Name)
		}
		out[i] = Tone{p.Name, r, sensito.StopsOf(r / Grey)}
	}
	return out, nil
}

// Above returns how far tone a lies above tone b in exposure, in stops.
func (a Tone) Above(b Tone) sensito.Stops { return a.StopsFromGrey - b.StopsFromGrey }

// DensityAbove returns how much denser the negative is in tone a than in tone b,
// on a characteristic curve and with a grey card exposed to grey,
//
//	D(grey + a log10 2) - D(grey + b log10 2)
//
// with a and b in stops from grey. On the straight part it is gamma times
// log10(Ha/Hb); on the toe it is less, and the curve knows by how much. An
// exposure outside the curve is the curve's error.
func (a Tone) DensityAbove(b Tone, curve sensito.Curve, grey sensito.LogH) (sensito.Density, error) {
	if curve == nil {
		return 0, invalid("no curve")
	}
	var d [2]sensito.Density
	for i, t := range [2]Tone{a, b} {
		var err error
		if d[i], err = curve.Density(grey + sensito.LogH(t.StopsFromGrey.Log10())); err != nil {
			return 0, fmt.Errorf("tone %q: %w", t.Name, err)
		}
	}
	return d[0] - d[1], nil
}

// TestColours returns the CIE test-colour samples 1 to 14, the standard subject
// set: eight of moderate chroma, strong red, yellow, green and blue, a light
// complexion and leaf green. 360 to 830 nm, held outside.
//
// Source: CIE 13.3-1995, Tables 1 and 2.
func TestColours() []Surface {
	names := [...]string{"light greyish red", "dark greyish yellow", "strong yellow green", "moderate yellowish green",
		"light bluish green", "light blue", "light violet", "light reddish purple", "strong red", "strong yellow",
		"strong green", "strong blue", "light yellowish pink", "moderate olive green"}
	nm, err := spectral.Grid(360, 830, 5)
	if err != nil {
		panic(err)
	}
	out := make([]Surface, len(testColours))
	for i := range testColours {
		s, err := spectral.New(nm, testColours[i][:], spectral.Hold)
		if err != nil {
			panic(err)
		}
		out[i] = Surface{fmt.Sprintf("TCS%02d %s", i+1, names[i]), s, provenance.Standard, "CIE 13.3-1995, Tables 1 and 2"}
	}
	return out
}

// Subjects returns invented models of what stands in a slate quarry, from 380 to
// 780 nm and held outside: sky, foliage, skin, slates, lichen, rust and a grey
// card. They have the shapes such things have (λ^-4 and a grey for sky, the green
// peak and the red edge of leaves, the bands of blood in skin) and are nobody's
// measurements. The sky is a ratio of its radiance to that of a white surface
// beside the camera.
func Subjects() []Surface {
	nm := []float64{380, 420, 460, 500, 520, 540, 560, 580, 600, 620, 640, 660, 680, 700, 720, 750, 780}
	sky := make([]float64, len(nm))
	for i, l := range nm {
		sky[i] = 0.05 + 0.26*math.Pow(550/l, 4)
	}
	table := []struct {
		name string
		v    []float64
	}{
		{"clear sky", sky},
		{"foliage", []float64{.035, .040, .045, .060, .095, .130, .140, .110, .085, .075, .065, .055, .050, .120, .280, .440, .470}},
		{"skin", []float64{.19, .20, .27, .32, .33, .32, .33, .34, .43, .49, .52, .54, .56, .58, .59, .60, .61}},
		{"blue slate", []float64{.105, .118, .128, .128, .126, .122, .117, .112, .107, .103, .100, .098, .097, .097, .097, .098, .100}},
		{"purple slate", []float64{.082, .083, .084, .080, .078, .077, .080, .088, .100, .112, .119, .122, .124, .126, .128, .130, .132}},
		{"green slate", []float64{.085, .092, .104, .124, .136, .142, .140, .132, .123, .117, .113, .111, .110, .111, .113, .116, .120}},
		{"yellow lichen", []float64{.050, .055, .075, .190, .290, .360, .400, .420, .430, .435, .440, .440, .440, .450, .470, .500, .510}},
		{"rust", []float64{.035, .040, .046, .055, .062, .075, .105, .150, .185, .205, .215, .225, .235, .250, .265, .280, .290}},
	}
	var out []Surface
	for _, r := range table {
		s, err := spectral.New(nm, r.v, spectral.Hold)
		if err != nil {
			panic(err)
		}
		out = append(out, Surface{r.name, s, provenance.Invented, ""})
	}
	grey, err := spectral.Flat(Grey)
	if err != nil {
		panic(err)
	}
	return append(out, Surface{"grey card", grey, provenance.Invented, ""})
}
