package spectral

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

// near fails if got is not within tol of want.
func near(t *testing.T, name string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %.2g (off by %.2g)", name, got, want, tol, got-want)
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// Two invented films for checks, relative linear sensitivity.
func panB() Spectrum {
	return must(New(
		[]float64{380, 400, 420, 450, 480, 500, 530, 560, 590, 620, 640, 650, 660, 680},
		[]float64{0, .70, .95, 1, .70, .50, .60, .70, .75, .80, .70, .45, .20, 0}, Zero))
}

func ortho() Spectrum {
	return must(New(
		[]float64{380, 400, 420, 450, 480, 500, 530, 550, 570, 580, 590, 600},
		[]float64{0, .80, 1, 1, .60, .40, .60, .80, .60, .25, .05, 0}, Zero))
}

func published(t testing.TB) (d55, d65 Spectrum) {
	t.Helper()
	f, err := os.Open("../testdata/spectra_cie_daylight.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	c, err := ReadCSV(f, f.Name(), Refuse)
	if err != nil {
		t.Fatal(err)
	}
	return c[0].Spectrum, c[1].Spectrum
}

func TestIlluminantA(t *testing.T) {
	// Source: ISO/CIE 11664-2, table of illuminant A (six decimals).
	for _, r := range []struct{ nm, want float64 }{
		{300, 0.930483}, {380, 9.795100}, {400, 14.708038}, {450, 33.085893}, {500, 59.861099},
		{560, 100}, {600, 129.042739}, {650, 165.027510}, {700, 198.261223}, {780, 241.675388}, {830, 261.602340},
	} {
		near(t, "A", must(A.Light().At(r.nm)), r.want, 5e-7)
	}
	// The same curve by Planck with the present c2 needs 2855.4959 K; computed.
	p := must(Planck(2855.4959, []float64{400, 560, 700}))
	near(t, "A by Planck", must(p.At(400)), 14.70804, 5e-6)
	near(t, "A by Planck", must(p.At(700)), 198.26122, 5e-6)
	// 2856 K is often given and is wrong in the fourth digit; computed.
	p = must(Planck(2856, []float64{400, 560, 700}))
	near(t, "2856 K", must(p.At(400)), 14.71738, 5e-6)
	near(t, "2856 K", must(p.At(700)), 198.19840, 5e-6)
}

func TestPlanck(t *testing.T) {
	// Computed with the exact SI constants.
	near(t, "500 nm, 5500 K", PlanckRadiance(500, 5500)/2.04744373e13, 1, 3e-9)
	near(t, "560 nm, 2856 K", PlanckRadiance(560, 2856)/2.68008143e11, 1, 3e-9)
	near(t, "c2", c2, 0.014387768775, 5e-13) // CODATA 2018
	// hc/λ in joule; computed.
	for nm, want := range map[float64]float64{400: 4.966115e-19, 550: 3.611720e-19, 700: 2.837780e-19} {
		near(t, "photon energy", PhotonEnergy(nm)*1e19, want*1e19, 5e-7)
	}
	near(t, "photons per erg", 1e-7/PhotonEnergy(550)/1e11, 2.768764, 5e-7)
}

func TestDaylight(t *testing.T) {
	// Source: CIE 15, daylight: locus, multipliers and their rounding.
	for _, r := range []struct {
		i                     Illuminant
		name, t, x, y, m1, m2 float64
		s400, s450, s700      float64
	}{
		{D55, 5500, 5503.0598, .33242871, .34754385, -0.785, -0.198, 60.94880, 98.00, 82.83970},
		{D65, 6500, 6503.6161, .31272027, .32912528, -0.295, -0.689, 82.75490, 117.02, 71.60910},
	} {
		k := Nominal(Kelvin(r.name))
		near(t, "T", float64(k), r.t, 5e-5)
		x, y, err := DaylightLocus(k)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "x", x, r.x, 5e-9)
		near(t, "y", y, r.y, 5e-9)
		m1, m2, _ := multipliers(k, Rounded)
		near(t, "M1", m1, r.m1, 1e-12)
		near(t, "M2", m2, r.m2, 1e-12)
		l := r.i.Light()
		near(t, "S400", must(l.At(400)), r.s400, 5e-6)
		// The figure for 450 nm is computed with unrounded multipliers.
		near(t, "S450", must(must(Daylight(k, Unrounded)).At(450)), r.s450, 5e-3)
		near(t, "S700", must(l.At(700)), r.s700, 5e-6)
	}
	near(t, "D50", float64(Nominal(5000)), 5002.7816, 5e-5)

	// What goes wrong without the rescaling and without the rounding; computed.
	m1, m2, _ := multipliers(6500, Rounded)
	near(t, "M1 at 6500 K", m1, -0.296, 1e-12)
	near(t, "M2 at 6500 K", m2, -0.688, 1e-12)
	near(t, "S400 at 6500 K", must(must(Daylight(6500, Rounded)).At(400)), 82.7104, 5e-5)
	near(t, "S400 unrounded", must(must(Daylight(Nominal(6500), Unrounded)).At(400)), 82.77025, 5e-6)

	// The branches at 7000 K; computed.
	x, _, _ := DaylightLocus(7000)
	near(t, "x at 7000 K", x, .30535743, 5e-9)
	x, _, _ = DaylightLocus(Kelvin(math.Nextafter(7000, 8000)))
	near(t, "x above 7000 K", x, .30535697, 5e-9)

	// Source: CIE 15 (D55, printed to 0.01) and ISO/CIE 11664-2 (D65).
	d55, d65 := published(t)
	for i, nm := range d55.nm {
		near(t, "D55", must(D55.Light().At(nm)), d55.v[i], 0.005+1e-9)
		near(t, "D65", must(D65.Light().At(nm)), d65.v[i], 0.00085) // the standard's own rounding of its recipe
	}

	for k := Kelvin(4000); k <= 25000; k += 250 { // never negative
		if _, err := Daylight(k, Unrounded); err != nil {
			t.Error(err)
		}
	}
}

func TestEye(t *testing.T) {
	// Source: ISO/CIE 11664-1, 5 nm table; the sum computed from it.
	sum := 0.0
	for _, v := range cieY {
		sum += 5 * v
	}
	near(t, "sum of V", sum, 106.85663895, 5e-9)
	near(t, "V(555)", must(Eye().At(555)), 1, 0)
	near(t, "V(900)", must(Eye().At(900)), 0, 0)

	// Efficacy of radiation 380 to 780 nm; computed from the standards' tables.
	d55, d65 := published(t)
	for _, r := range []struct {
		name string
		l    Light
		want float64
	}{
		{"E", E.Light(), 182.4575}, {"A", A.Light(), 156.1943},
		{"D55", must(NewLight(d55)), 207.8794}, {"D65", must(NewLight(d65)), 205.1563},
	} {
		got := must(Efficacy(r.l))
		near(t, "efficacy of "+r.name, got, r.want, 5e-5)
		exact := 683 * must(Integral(append(r.l.Spectra(), Eye().parts[0])...)) /
			must(Integral(append(r.l.Spectra(), must(New([]float64{380, 780}, []float64{1, 1}, Zero)))...))
		near(t, "exact efficacy of "+r.name, exact/got, 1, 1e-4)
	}

	// Chromaticity from 5 nm sums; computed from the standards' tables.
	for _, r := range []struct {
		l    Light
		x, y float64
	}{
		{A.Light(), .447575, .407446},
		{must(NewLight(d55)), .332431, .347444},
		{must(NewLight(d65)), .312721, .329031},
	} {
		x, y, err := Chromaticity(r.l)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "x", x, r.x, 5e-7)
		near(t, "y", y, r.y, 5e-7)
	}
}

func TestISO7589(t *testing.T) {
	// Source: ISO 7589:2002, the sensitometric columns as tabulated.
	daylight := []float64{0, 2.17, 7.82, 13.86, 22.8, 45.14, 57.27, 63.36, 61.88, 80.84, 93.1, 97, 98, 100.94, 97.02, 99.99, 101, 100, 104, 102, 103, 100, 97, 98, 90.09, 93.06, 94.05, 92.12, 88.2, 89.24, 86.33, 86.4, 89.3, 84.6, 75.2}
	tungsten := []float64{0, 0.21, 1.15, 3.36, 7.2, 11.84, 16.6, 21.12, 26.39, 31.96, 36.1, 41.71, 47.04, 51.94, 58.41, 63.36, 70, 76, 81, 88, 94, 100, 105, 111, 114.84, 120.78, 125.73, 129.36, 135.24, 138.71, 143.56, 146.88, 149.15, 152.28, 156.98}
	photoflood := []float64{0, 0.98, 3.68, 7.98, 13.8, 19.24, 24.9, 29.92, 34.58, 39.48, 44.65, 50.44, 54.88, 59.78, 65.34, 70.29, 76, 81, 86, 91, 95, 100, 104, 109, 111.87, 115.83, 119.79, 122.5, 126.42, 128.04, 130.95, 132.48, 133.95, 135.36, 137.24}
	for i := range daylight {
		nm := 350 + 10*float64(i)
		near(t, "daylight", must(SensitometricDaylight.Light().At(nm)), daylight[i], 1e-10)
		near(t, "tungsten", must(SensitometricTungsten.Light().At(nm)), tungsten[i], 1e-10)
		near(t, "photoflood", must(SensitometricPhotoflood.Light().At(nm)), photoflood[i], 1e-10)
	}
	for i, want := range []float64{0, .07, .23, .42, .60, .74} {
		near(t, "lens", must(Lens().At(350+10*float64(i))), want, 0)
	}

	// The printer's column is studio tungsten through lens and diffuser to
	// within 0.005, its rounding (ISO 7589:2002).
	printer := []float64{0, 0, 0, 0.34, 3.1, 8.17, 12.95, 17.53, 22.7, 28.12, 32.49, 37.96, 43.75, 48.82, 55.49, 60.83, 67.9, 74.48, 80.19, 87.12, 94, 100}
	diffuser := []float64{0, 0, 0, 0.1, 0.43, 0.69, 0.78, 0.83, 0.86, 0.88, 0.9, 0.91, 0.93, 0.94, 0.95, 0.96, 0.97, 0.98, 0.99, 0.99, 1, 1}
	for i, want := range printer {
		near(t, "printer", must(SensitometricTungsten.Light().At(350+10*float64(i)))*diffuser[i], want, 0.005+1e-12)
	}

	// Photoflood is a black body at 3400 K to rms 0.28 of 100; studio tungsten,
	// nominally 3050 K (from memory), is best met at 3099 K and then only to 2.6:
	// it must be a table. Computed.
	rms := func(l Light, k Kelvin) float64 {
		p := must(Planck(k, steps(350, 10, 35)))
		sum := 0.0
		for nm := 350.; nm <= 690; nm += 10 {
			sum += math.Pow(must(l.At(nm))-must(p.At(nm)), 2)
		}
		return math.Sqrt(sum / 35)
	}
	near(t, "photoflood", rms(Photoflood.Light(), 3400), 0.28, 0.005)
	near(t, "studio tungsten", rms(StudioTungsten.Light(), 3099), 2.6, 0.05)

	// Chromaticities of the sources as a general colorimetry library prints them.
	// The table ends at 690 nm and the library goes on by a rule of its own; ours
	// holds the last value, hence 1e-4.
	for _, r := range []struct {
		i    Illuminant
		x, y float64
	}{
		{PhotographicDaylight, .332039, .347264}, {SensitometricDaylight, .333818, .353436}, {StudioTungsten, .430944, .403585},
	} {
		x, y, err := Chromaticity(r.i.Light().WithOutside(Hold))
		if err != nil {
			t.Fatal(err)
		}
		near(t, r.i.String(), x, r.x, 1e-4)
		near(t, r.i.String(), y, r.y, 1e-4)
	}
}

func TestColourTemperature(t *testing.T) {
	for _, k := range []Kelvin{1500, 2856, 4000, 6500, 20000, 90000} {
		got, duv, err := ColourTemperature(must(Planck(k, steps(380, 5, 81))))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "Planck", float64(got)/float64(k), 1, 1e-6)
		near(t, "distance", duv, 0, 1e-9)
	}
	// CIE daylight lies on the green side of Planck's line by about 0.003.
	got, duv, err := ColourTemperature(D65.Light())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "D65", float64(got), 6504, 1) // the temperature ISO/CIE 11664-2 gives it
	near(t, "D65 distance", duv, 0.0032, 5e-5)

	// λ^-4 is the limit of Planck for infinite temperature: x, y = 0.2399, 0.2340
	// (published), and sunlight scattered once is bluer still. Neither has a
	// colour temperature.
	thin := must(E.Light().Spectra()[0].join(steps(300, 5, 107)))
	thin = must(thin.Map(func(nm, v float64) float64 { return math.Pow(nm/560, -4) }))
	x, y, _ := Chromaticity(must(NewLight(thin)))
	near(t, "λ^-4 x", x, .239906, 5e-7)
	near(t, "λ^-4 y", y, .234141, 5e-7)
	sun := must(Planck(5778, steps(300, 5, 107)))
	blue := must(sun.Through(thin))
	for _, l := range []Light{must(NewLight(thin)), blue} {
		if k, _, err := ColourTemperature(l); !errorIs(err, ErrTemperature) {
			t.Errorf("thin air has a colour temperature, %v, %v", k, err)
		}
	}
	// Off the line altogether.
	green := must(NewLight(must(New([]float64{380, 520, 530, 540, 780}, []float64{0, 0, 1, 0, 0}, Refuse))))
	if k, _, err := ColourTemperature(green); !errorIs(err, ErrTemperature) {
		t.Errorf("green has a colour temperature, %v, %v", k, err)
	}
}

// Sunlight against the standard's own table of 0.5 and 1 nm: chromaticities by fine
// integration of that table with the observer straight between 5 nm, and its power from
// 300 to 1100 nm, both computed outside this library.
func TestSun(t *testing.T) {
	for _, r := range []struct {
		i           Illuminant
		table       []float64
		x, y, power float64
	}{
		{SunAbove, sunAbove[:], .323398, .332708, 1001.934},
		{SunGlobal, sunGlobal[:], .332343, .342513, 804.558},
		{SunDirect, sunDirect[:], .339100, .350120, 710.409},
	} {
		x, y, err := Chromaticity(r.i.Light())
		if err != nil {
			t.Fatal(err)
		}
		near(t, r.i.String()+" x", x, r.x, 2e-4)
		near(t, r.i.String()+" y", y, r.y, 2e-4)
		near(t, r.i.String()+" power", must(Integral(must(New(steps(300, 5, 161), r.table, Refuse)))), r.power, 1e-3*r.power)
	}
}

func TestSky(t *testing.T) {
	// Optical depths; coefficients from memory, values computed from them.
	near(t, "τ(550)", RayleighDepth(550), .100134, 5e-7)
	near(t, "τ(400)", RayleighDepth(400), .367162, 5e-7)
	// Rayleigh's λ^-4 between two wavelengths; one page prints 3.17 for the first.
	near(t, "450/600", math.Pow(600./450, 4), 3.160494, 5e-7)
	near(t, "400/700", math.Pow(700./400, 4), 9.378906, 5e-7)

	sun := must(Planck(5778, steps(300, 5, 107)))
	last := Kelvin(math.Inf(1))
	for _, m := range []float64{1, 2, 4, 8} {
		k, _, err := ColourTemperature(must(ClearSky(sun, m)))
		if err != nil {
			if m > 1 {
				t.Errorf("air mass %v: %v", m, err)
			}
			continue
		}
		if !(k < last && k > 5778) {
			t.Errorf("air mass %v: %v, want below %v and bluer than the sun", m, k, last)
		}
		last = k
	}
	for _, m := range []float64{0, -1, 11, math.NaN(), math.Inf(1)} {
		if _, err := ClearSky(sun, m); !errorIs(err, ErrInvalid) {
			t.Errorf("air mass %v accepted", m)
		}
	}
}

func TestMired(t *testing.T) {
	// Computed.
	for _, r := range []struct {
		from, to Kelvin
		want     float64
	}{{3200, 5500, -130.6818}, {3400, 5500, -112.2995}, {2856, 5500, -168.3219}, {5500, 6500, -27.9720}, {5500, 10000, -81.8182}} {
		near(t, "shift", float64(MiredShift(r.from, r.to)), r.want, 5e-5)
	}
	near(t, "round trip", float64(Kelvin(3200).Mired().Kelvin()), 3200, 1e-10)
}

// The moments of an invented panchromatic film as a synthetic-photometry package
// (version 1.1.1, sampled at 1 nm, trapezoid) gives them.
func TestSyntheticPhotometry(t *testing.T) {
	p := panB()
	near(t, "equivalent width", must(EquivalentWidth(p)), 197.25, 1e-9)
	near(t, "integral", must(Integral(p)), 197.25, 1e-9)
	near(t, "mean", must(Centroid(p)), 518.61005, 5e-6)
	// The trapezoid at a step h makes the variance of a piecewise-linear film that
	// is zero at both ends too small by h²/6, and the printed one is.
	near(t, "rms width", math.Sqrt(math.Pow(must(RMSWidth(p)), 2)-1./6), 79.371162, 5e-7)
	// For 1/λ and ln λ/λ the step of 1 nm leaves 2e-7 and 1e-6; the sums it took,
	// made the slow way, give its digits, and the exact ones are 0.0002 away.
	var a, b, c float64
	for nm := 375.; nm <= 705; nm++ {
		s := must(p.At(nm))
		a, b, c = a+s*nm, b+s/nm, c+s*math.Log(nm)/nm
	}
	near(t, "pivot by sums", math.Sqrt(a/b), 512.49582, 5e-6)
	near(t, "log mean by sums", math.Exp(c/b), 500.47788, 5e-6)
	near(t, "pivot", must(Pivot(p)), math.Sqrt(a/b), 2e-4)
	near(t, "log mean", must(LogCentroid(p)), math.Exp(c/b), 6e-4)

	d55, d65 := published(t)
	fine := must(New(steps(380, 0.25, 1201), func() (v []float64) {
		for _, nm := range steps(380, 0.25, 1201) {
			v = append(v, formulaA(nm))
		}
		return
	}(), Zero))
	for _, r := range []struct {
		name           string
		e              Spectrum
		photon, energy float64
	}{{"A", fine, 576.52867, 568.568}, {"D55", d55, 535.92607, 525.034}, {"D65", d65, 526.91355, 515.799}} {
		// The package counts photons; 1 nm sums are 1e-5 nm from the exact figure
		// here, as the sums below show.
		var q1, q2, e1, e0 float64
		for nm := 380.; nm <= 680; nm++ {
			w := must(p.At(nm)) * must(r.e.At(nm))
			e0, e1, q1, q2 = e0+w, e1+w*nm, q1+w*nm, q2+w*nm*nm
		}
		near(t, r.name+" photon centroid by sums", q2/q1, r.photon, 5e-6)
		near(t, r.name+" centroid by sums", e1/e0, r.energy, 5e-4)
		near(t, r.name+" photon centroid", must(PhotonCentroid(p, r.e)), q2/q1, 2e-3)
		near(t, r.name+" centroid", must(Centroid(p, r.e)), e1/e0, 2e-3)
	}
}

// Unfiltered exposures of the invented panchromatic film; computed by adaptive
// quadrature between all kinks and by 24-point Gauss-Legendre per nm.
func TestReferenceExposures(t *testing.T) {
	d55, d65 := published(t)
	nm := steps(380, 0.01, 30001) // as good as the formula itself, to 3e-10
	v := make([]float64, len(nm))
	for i := range nm {
		v[i] = formulaA(nm[i])
	}
	a := must(New(nm, v, Zero))
	near(t, "A", must(Integral(a, panB())), 15319.53477, 5e-6)
	near(t, "D55", must(Integral(d55, panB())), 17861.69733, 5e-6)
	near(t, "D65", must(Integral(d65, panB())), 19252.48225, 5e-6)

	// Shares to 500, 500 to 590 and from 590 nm on. The published shares are sums
	// at 1 nm with shared end points and exceed 100 by less than 1; these close.
	for _, r := range []struct {
		e    Spectrum
		want [3]float64
	}{{a, [3]float64{18.59, 35.07, 47.13}}, {d55, [3]float64{42.29, 32.64, 25.74}}, {d65, [3]float64{47.65, 30.80, 22.18}}} {
		all, sum := must(Integral(r.e, panB())), 0.0
		for i, b := range [][2]float64{{380, 500}, {500, 590}, {590, 680}} {
			share := 100 * must(Integral(r.e, must(panB().Cut(b[0], b[1])))) / all
			near(t, "share", share, r.want[i], 0.5) // half of a shared end point or two
			sum += share
		}
		near(t, "shares", sum, 100, 1e-9)
	}

	// An old encyclopaedia gives the orthochromatic share of a film's total as 25
	// to 30 % in daylight and 50 to 60 % in incandescent light. Its odds scale by
	// the ratio of the lights at 550 and 440 nm: 25 % to 47 %, 30 % to 54 %. It is
	// a test of consistency, not of accuracy.
	k := must(a.At(550)) / must(d55.At(550)) / (must(a.At(440)) / must(d55.At(440)))
	near(t, "ratio", k, 2.69, 0.005)
	for p, want := range map[float64]float64{.25: .47, .30: .54} {
		near(t, "share", p*k/(1-p+p*k), want, 0.005)
	}
	for _, r := range []struct {
		e    Spectrum
		want float64
	}{{d55, 40.3}, {d65, 36.0}, {a, 61.6}} {
		added := must(Integral(r.e, must(ortho().Cut(500, 600)))) / must(Integral(r.e, ortho()))
		near(t, "orthochromatic share", 100*added, r.want, 0.35) // 1 nm sums share the end points
	}
}

// SciPy on the same knots, see testdata/compare_integrals.py for how to repeat it.
func TestSciPyAgrees(t *testing.T) {
	raw, err := os.ReadFile("testdata/integrals.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Tool  string
		Cases []struct {
			Name                      string
			Spectra                   []struct{ NM, Value []float64 }
			Integral, Centroid, Pivot float64
			LogCentroid               float64 `json:"log_centroid"`
		}
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	if file.Tool == "" || len(file.Cases) < 15 {
		t.Fatalf("%d cases by %q", len(file.Cases), file.Tool)
	}
	worst := 0.0
	for _, c := range file.Cases {
		var s []Spectrum
		for _, x := range c.Spectra {
			s = append(s, must(New(x.NM, x.Value, Zero)))
		}
		for _, r := range []struct{ got, want float64 }{
			{must(Integral(s...)), c.Integral}, {must(Centroid(s...)), c.Centroid},
			{must(Pivot(s...)), c.Pivot}, {must(LogCentroid(s...)), c.LogCentroid},
		} {
			e := math.Abs(r.got/r.want - 1)
			worst = max(worst, e)
			if !(e <= 1e-9) {
				t.Errorf("%s: %.15g, %s has %.15g", c.Name, r.got, file.Tool, r.want)
			}
		}
		// The prepared form, with the last spectrum as the one that changes.
		if n := len(s) - 1; n > 0 {
			r := must(NewQuadrature(s[n].nm, Zero, s[:n]...))
			if e := math.Abs(must(r.Integrate(s[n].v))/c.Integral - 1); !(e <= 1e-9) {
				t.Errorf("%s: the rule is off by %.2g", c.Name, e)
			}
		}
	}
	t.Logf("largest relative difference from %s: %.1e", file.Tool, worst)
}
