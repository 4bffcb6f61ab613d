package filters

import (
	"example.org/actinic/sensito/provenance"
	"example.org/actinic/spectral"
)

// A MeasuredSurface is a surface with the spread of those that were measured.
type MeasuredSurface struct {
	Surface                      // the mean
	SD         spectral.Spectrum // standard deviation from one to another
	Least      spectral.Spectrum // the least at each wavelength
	Most       spectral.Spectrum // and the most
	Samples    int
	Conditions string
}

// Skin returns the reflectance of human skin, 340 to 1000 nm, as the mean of 100 people
// with the spread between them, which is 0.1 and more of the mean and the same over wide
// bands: an SD is no noise. It refuses to be asked beyond.
//
// Source: C. C. Cooksey and D. W. Allen, J. Res. NIST 122:26 (2017), data doi
// 10.18434/M38597, a work of the US Government.
func Skin() MeasuredSurface {
	nm := make([]float64, len(skinMean))
	for i := range nm {
		nm[i] = 340 + 3*float64(i)
	}
	table := func(v []float64) spectral.Spectrum {
		s, err := spectral.New(nm, v, spectral.Refuse)
		if err != nil {
			panic(err) // the tests go through all of them
		}
		return s
	}
	return MeasuredSurface{
		Surface: Surface{"human skin", table(skinMean[:]), provenance.Measured,
			"C. C. Cooksey and D. W. Allen, J. Res. NIST 122:26 (2017), doi 10.18434/M38597, US Government work"},
		SD: table(skinSD[:]), Least: table(skinLeast[:]), Most: table(skinMost[:]), Samples: 100,
		Conditions: "reflectance factor; mean, standard deviation and extremes of 100 people's averages of three readings",
	}
}

// A GlassSample is a coloured glass by its internal transmittance, without the
// reflections of its faces, at one thickness.
type GlassSample struct {
	Name       string
	Internal   spectral.Spectrum
	MM         float64 // the thickness that Internal is for
	Basis      provenance.Basis
	Source     string
	Conditions string
}

// Filter returns a plate of the glass of a thickness in mm with bare faces of the
// refractive index n, about 1.52; see [Glass] and [SurfaceFactor].
func (g GlassSample) Filter(mm, n float64) (Filter, error) {
	p, err := SurfaceFactor(n)
	if err != nil {
		return Filter{}, err
	}
	if !(g.MM > 0 && mm > 0) {
		return Filter{}, invalid("%g mm of a glass whose data are for %g mm", mm, g.MM)
	}
	return Glass(g.Name, g.Internal, mm/g.MM, p)
}

// GlassSamples returns coloured glasses of several kinds, 350 to 1000 nm, refusing to be
// asked beyond. They are no filters of the trade: the yellow, orange and red glasses of
// contrast filters are not among them.
//
// Source: the refractiveindex.info database, commit ff11b58, CC0-1.0.
func GlassSamples() []GlassSample {
	nm, err := spectral.Grid(350, 1000, 5)
	if err != nil {
		panic(err)
	}
	out := make([]GlassSample, len(glassTables))
	for i := range glassTables {
		s, err := spectral.New(nm, glassTables[i].v[:], spectral.Refuse)
		if err != nil {
			panic(err)
		}
		out[i] = GlassSample{glassTables[i].name, s, 2.5, provenance.Measured,
			"refractiveindex.info database, commit ff11b58, CC0-1.0",
			"internal transmittance of 2.5 mm, computed from the tabulated absorption index"}
	}
	return out
}
