package lsq

import (
	"math"
	"testing"
)

// Source of every value in this file: National Institute of Standards and
// Technology, Statistical Reference Datasets (StRD), nonlinear and linear
// regression, certified values. Work of the US Government, public domain.

type nistSet struct {
	name   string
	x, y   []float64
	starts [][]float64
	want   []float64
	sd     []float64
	rss    float64
	model  func(x float64, p, d []float64) float64 // value, derivatives in d
}

var misraX = []float64{
	77.6, 114.9, 141.1, 190.8, 239.9, 289, 332.8, 378.4, 434.8, 477.3,
	536.8, 593.1, 689.1, 760,
}

var misraY = []float64{
	10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05,
	61.01, 66.4, 75.47, 81.78,
}

var danWoodX = []float64{
	1.309, 1.471, 1.49, 1.565, 1.611, 1.68,
}

var danWoodY = []float64{
	2.138, 3.421, 3.597, 4.34, 4.882, 5.66,
}

var rat42X = []float64{
	9, 14, 21, 28, 42, 57, 63, 70, 79,
}

var rat42Y = []float64{
	8.93, 10.8, 18.59, 22.33, 39.35, 56.11, 61.73, 64.62, 67.08,
}

var norrisX = []float64{
	0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777,
	558.2, 0.4, 0.6, 775.5, 666.9, 338, 447.5, 11.6, 556, 228.1,
	995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999, 779,
	11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
}

var norrisY = []float64{
	0.1, 338.8, 118.1, 888, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9,
	559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3,
	998, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888, 998.5, 778.9,
	10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
}

var pontiusX = []float64{
	150000, 300000, 450000, 600000, 750000, 900000, 1050000, 1200000, 1350000, 1500000,
	1650000, 1800000, 1950000, 2100000, 2250000, 2400000, 2550000, 2700000, 2850000, 3000000,
	150000, 300000, 450000, 600000, 750000, 900000, 1050000, 1200000, 1350000, 1500000,
	1650000, 1800000, 1950000, 2100000, 2250000, 2400000, 2550000, 2700000, 2850000, 3000000,
}

var pontiusY = []float64{
	0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146,
	1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
	0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474, 0.983, 1.0915,
	1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
}

var rat43Y = []float64{
	16.08, 33.83, 65.80, 97.20, 191.55, 326.20, 386.87, 520.53, 590.03, 651.92,
	724.93, 699.56, 689.96, 637.56, 717.41,
}

var boxBODX = []float64{1, 2, 3, 5, 7, 10}

var boxBODY = []float64{109, 149, 149, 191, 213, 224}

var thurberX = []float64{
	-3.067, -2.981, -2.921, -2.912, -2.840, -2.797, -2.702, -2.699, -2.633, -2.481,
	-2.363, -2.322, -1.501, -1.460, -1.274, -1.212, -1.100, -1.046, -0.915, -0.714,
	-0.566, -0.545, -0.400, -0.309, -0.109, -0.103, 0.010, 0.119, 0.377, 0.790,
	0.963, 1.006, 1.115, 1.572, 1.841, 2.047, 2.200,
}

var thurberY = []float64{
	80.574, 84.248, 87.264, 87.195, 89.076, 89.608, 89.868, 90.101, 92.405, 95.854,
	100.696, 101.060, 401.672, 390.724, 567.534, 635.316, 733.054, 759.087, 894.206, 990.785,
	1090.109, 1080.914, 1122.643, 1178.351, 1260.531, 1273.514, 1288.339, 1327.543, 1353.863, 1414.509,
	1425.208, 1421.384, 1442.962, 1464.350, 1468.705, 1447.894, 1457.628,
}

var nistNonlinear = []nistSet{
	{
		name: "Rat43", x: []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}, y: rat43Y,
		starts: [][]float64{{100, 10, 1, 1}, {700, 5, 0.75, 1.3}},
		want:   []float64{6.9964151270e+02, 5.2771253025e+00, 7.5962938329e-01, 1.2792483859e+00},
		sd:     []float64{1.6302297817e+01, 2.0828735829e+00, 1.9566123451e-01, 6.8761936385e-01},
		rss:    8.7864049080e+03,
		model: func(x float64, p, d []float64) float64 {
			e := math.Exp(p[1] - p[2]*x)
			u := math.Pow(1+e, -1/p[3])
			d[0] = u
			d[1] = -p[0] * u / p[3] * e / (1 + e)
			d[2] = -d[1] * x
			d[3] = p[0] * u * math.Log1p(e) / (p[3] * p[3])
			return p[0] * u
		},
	},
	{
		name: "BoxBOD", x: boxBODX, y: boxBODY,
		starts: [][]float64{{1, 1}, {100, 0.75}},
		want:   []float64{2.1380940889e+02, 5.4723748542e-01},
		sd:     []float64{1.2354515176e+01, 1.0455993237e-01},
		rss:    1.1680088766e+03,
		model: func(x float64, p, d []float64) float64 {
			e := -math.Expm1(-p[1] * x)
			d[0], d[1] = e, p[0]*x*(1-e)
			return p[0] * e
		},
	},
	{
		name: "Thurber", x: thurberX, y: thurberY,
		starts: [][]float64{{1000, 1000, 400, 40, 0.7, 0.3, 0.03}, {1300, 1500, 500, 75, 1, 0.4, 0.05}},
		want: []float64{1.2881396800e+03, 1.4910792535e+03, 5.8323836877e+02, 7.5416644291e+01,
			9.6629502864e-01, 3.9797285797e-01, 4.9727297349e-02},
		sd: []float64{4.6647963344e+00, 3.9571156086e+01, 2.8698696102e+01, 5.5675370270e+00,
			3.1333340687e-02, 1.4984928198e-02, 6.5842344623e-03},
		rss: 5.6427082397e+03,
		model: func(x float64, p, d []float64) float64 {
			num, den := p[0]+x*(p[1]+x*(p[2]+x*p[3])), 1+x*(p[4]+x*(p[5]+x*p[6]))
			for j, v := 0, 1/den; j < 4; j, v = j+1, v*x {
				d[j] = v
			}
			for j, v := 4, -num*x/(den*den); j < 7; j, v = j+1, v*x {
				d[j] = v
			}
			return num / den
		},
	},
	{
		name: "Misra1a", x: misraX, y: misraY,
		starts: [][]float64{{500, 0.0001}, {250, 0.0005}},
		want:   []float64{2.3894212918e+02, 5.5015643181e-04},
		sd:     []float64{2.7070075241e+00, 7.2668688436e-06},
		rss:    1.2455138894e-01,
		model: func(x float64, p, d []float64) float64 {
			e := -math.Expm1(-p[1] * x)
			d[0], d[1] = e, p[0]*x*(1-e)
			return p[0] * e
		},
	},
	{
		name: "Misra1b", x: misraX, y: misraY,
		starts: [][]float64{{500, 0.0001}, {300, 0.0002}},
		want:   []float64{3.3799746163e+02, 3.9039091287e-04},
		sd:     []float64{3.1643950207e+00, 4.2547321834e-06},
		rss:    7.5464681533e-02,
		model: func(x float64, p, d []float64) float64 {
			u := 1 + p[1]*x/2
			d[0], d[1] = 1-1/(u*u), p[0]*x/(u*u*u)
			return p[0] * d[0]
		},
	},
	{
		name: "Misra1c", x: misraX, y: misraY,
		starts: [][]float64{{500, 0.0001}, {600, 0.0002}},
		want:   []float64{6.3642725809e+02, 2.0813627256e-04},
		sd:     []float64{4.6638326572e+00, 1.7728423155e-06},
		rss:    4.0966836971e-02,
		model: func(x float64, p, d []float64) float64 {
			u := 1 + 2*p[1]*x
			d[0], d[1] = 1-1/math.Sqrt(u), p[0]*x/(u*math.Sqrt(u))
			return p[0] * d[0]
		},
	},
	{
		name: "Misra1d", x: misraX, y: misraY,
		starts: [][]float64{{500, 0.0001}, {450, 0.0003}},
		want:   []float64{4.3736970754e+02, 3.0227324449e-04},
		sd:     []float64{3.6489174345e+00, 2.9334354479e-06},
		rss:    5.6419295283e-02,
		model: func(x float64, p, d []float64) float64 {
			u := 1 + p[1]*x
			d[0], d[1] = p[1]*x/u, p[0]*x/(u*u)
			return p[0] * d[0]
		},
	},
	{
		name: "DanWood", x: danWoodX, y: danWoodY,
		starts: [][]float64{{1, 5}, {0.7, 4}},
		want:   []float64{7.6886226176e-01, 3.8604055871e+00},
		sd:     []float64{1.8281973860e-02, 5.1726610913e-02},
		rss:    4.3173084083e-03,
		model: func(x float64, p, d []float64) float64 {
			e := math.Pow(x, p[1])
			d[0], d[1] = e, p[0]*e*math.Log(x)
			return p[0] * e
		},
	},
	{
		name: "Rat42", x: rat42X, y: rat42Y,
		starts: [][]float64{{100, 1, 0.1}, {75, 2.5, 0.07}},
		want:   []float64{7.2462237576e+01, 2.6180768402e+00, 6.7359200066e-02},
		sd:     []float64{1.7340283401e+00, 8.8295217536e-02, 3.4465663377e-03},
		rss:    8.0565229338e+00,
		model: func(x float64, p, d []float64) float64 {
			e := math.Exp(p[1] - p[2]*x)
			u := 1 + e
			d[0], d[1], d[2] = 1/u, -p[0]*e/(u*u), p[0]*e*x/(u*u)
			return p[0] / u
		},
	},
}

// digits is the number of significant digits in which got agrees with want.
func digits(got, want float64) float64 {
	if got == want {
		return 15
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

func TestNISTNonlinear(t *testing.T) {
	var w Workspace
	worst, most := math.Inf(1), 0
	for _, s := range nistNonlinear {
		p := len(s.want)
		model := func(par, f, jac []float64) bool {
			for i, x := range s.x {
				f[i] = s.model(x, par, jac[i*p:i*p+p])
			}
			return true
		}
		for k, start := range s.starts {
			r, err := w.Fit(model, s.y, nil, start, Settings{})
			if err != nil {
				t.Errorf("%s start %d: %v", s.name, k+1, err)
				continue
			}
			if r.Status != Converged {
				t.Errorf("%s start %d: %v", s.name, k+1, r.Status)
			}
			most = max(most, r.Iter)
			check := func(what string, got, want float64) {
				d := digits(got, want)
				worst = math.Min(worst, d)
				if !(d >= 8) {
					t.Errorf("%s start %d: %s = %.11e, certified %.11e (%.1f digits)", s.name, k+1, what, got, want, d)
				}
			}
			for j := range s.want {
				check("parameter", r.Params[j], s.want[j])
				check("standard deviation", r.SD(j), s.sd[j])
			}
			check("residual sum", r.RSS, s.rss)
		}
	}
	t.Logf("fewest certified digits %.1f, most steps %d", worst, most)
}

func TestNISTLinear(t *testing.T) {
	norris := make([]float64, 0, 2*len(norrisX))
	for _, x := range norrisX {
		norris = append(norris, 1, x)
	}
	pontius := make([]float64, 0, 3*len(pontiusX))
	for _, x := range pontiusX {
		pontius = append(pontius, 1, x, x*x)
	}
	for _, s := range []struct {
		name     string
		x, y     []float64
		want, sd []float64
		rss      float64
	}{
		{"Norris", norris, norrisY,
			[]float64{-0.262323073774029, 1.00211681802045},
			[]float64{0.232818234301152, 0.429796848199937e-03}, 26.6173985294224},
		{"Pontius", pontius, pontiusY,
			[]float64{0.673565789473684e-03, 0.732059160401003e-06, -0.316081871345029e-14},
			[]float64{0.107938612033077e-03, 0.157817399981659e-09, 0.486652849992036e-16}, 0.155761768796992e-05},
	} {
		r, err := Linear(s.x, len(s.want), s.y, nil)
		if err != nil {
			t.Fatalf("%s: %v", s.name, err)
		}
		worst := math.Inf(1)
		check := func(what string, got, want float64) {
			d := digits(got, want)
			worst = math.Min(worst, d)
			if !(d >= 8) {
				t.Errorf("%s: %s = %.14e, certified %.14e (%.1f digits)", s.name, what, got, want, d)
			}
		}
		for j := range s.want {
			check("parameter", r.Params[j], s.want[j])
			check("standard deviation", r.SD(j), s.sd[j])
		}
		check("residual sum", r.RSS, s.rss)
		t.Logf("%s: fewest certified digits %.1f", s.name, worst)
	}
}
