package columns

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/printed/layout"
)

// Formulas are what they say, and nothing but numbers, x, the four operations and the functions named
// is one.
func TestFormulas(t *testing.T) {
	for text, of := range map[string]func(x float64) float64{
		"2": func(float64) float64 { return 2 }, "x": func(x float64) float64 { return x }, "y = x": func(x float64) float64 { return x }, " y=x+1 ": func(x float64) float64 { return x + 1 }, "x-1": func(x float64) float64 { return x - 1 }, "3*x": func(x float64) float64 { return 3 * x }, "34/x": func(x float64) float64 { return 34 / x },
		"-x": func(x float64) float64 { return -x }, "+x": func(x float64) float64 { return x }, "(x+1)*(x-1)": func(x float64) float64 { return x*x - 1 }, "sqrt(x)": math.Sqrt, "exp(x)": math.Exp, "ln(x)": math.Log, "log2(x)": math.Log2, "log10(x)": math.Log10, "pow(x, 1.2)": func(x float64) float64 { return math.Pow(x, 1.2) }, "pow(2, x)": math.Exp2, "1e2*x": func(x float64) float64 { return 100 * x },
		"x" + strings.Repeat(" ", 199): func(x float64) float64 { return x }, "x+0" + strings.Repeat("0", 197): func(x float64) float64 { return x },
	} {
		f, err := Formula(text)
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		for _, x := range []float64{0.5, 1, 3} {
			if got := f(x); math.Abs(got-of(x)) > 1e-15*(1+math.Abs(of(x))) {
				t.Errorf("%q at %g: %g, want %g", text, x, got, of(x))
			}
		}
	}
	said := held.New(t)
	for _, text := range []string{"", "y", "y = y", "z = x", "x = x", "x ^ 2", "x % 2", "!x", "*x", "&x", "x & 1", "x == 1", "x && x", "'a'", `"a"`, "1i", "x.y", "f(x)", "sqrt", "sqrt()", "sqrt(x, 2)", "pow(x)", "pow(x, 1, 2)", "sqrt(y)", "pow(x, y)", "y + 1", "1 + y", "(y)", "-y", "x + ", "[]int{1}", "func() {}", "x+0" + strings.Repeat("0", 198), "0x1p4*'a'", "sin(x)", "os.Exit(1)", "sqrt(x)(x)"} {
		if _, err := Formula(text); err == nil {
			said.Values(text, "taken")
		} else {
			said.Refused(text, err)
		}
	}
}

// Tables of each kind with what stands at a bound are told what they were.
func TestTablesAtTheBounds(t *testing.T) {
	said := held.New(t)
	scale := func(n int, of func(i int) string) string {
		var b strings.Builder
		for i := range n {
			b.WriteString(of(i) + "\n")
		}
		return b.String()
	}
	for _, c := range []struct {
		kind Kind
		law  string
		rows []string
	}{
		{Speed, "", []string{"speed,degrees\n100,21°\n200, 24 °\n400,27\n", "speed\n100\n", "degrees,speed\n21,100\n24,200\n27,400\n", "ASA,DIN\n100,21\n200,24\n,27\n400,\n", "ASA,DIN\n,27\n", "ASA,DIN\n-,-\n", "ASA,DIN\n+1,1\n", "ASA,DIN\n100,1e13\n", "ASA,DIN\n100,1e12\n", "ASA,100,200,400\nDIN,21,24,27\n", "a,b\n"}},
		{Neutral, "", []string{"density,factor\n0.3,2\n0.6,4\n0.9,8\n", "nd,transmittance\nND 0.3,50 %\nND8,12.5%\n1.2,6.3\n", "density,stops\n0.3,1\n0.6,2\n0.9,3.4\n", "density\n0.3\n", "density,factor\nND 3,8\n", "density,factor,stops\n0,1,0\n0.05,1.1,1/6\n,2,1\n0.3,,1\n0.3,2,\n", "density,factor\n0.3,2\n0.6,4\n0.9,8.5\n1.2,16\n", "density,factor\n0.3,2\n0.6,4\n0.9,7\n1.2,16\n"}},
		{Shutter, "", []string{"shutter\n1/1000\n1/500\n1/250\n1/125\n", "time (min)\n1\n2\n4\n8\n", "time\n0\n", "time\n1e-9\n2e-9\n4e-9\n", "time\n9e-10\n2e-9\n", "time\n3e9\n", "time\n3.1e9\n", "time\n-\n", "time\n1\n", "time\n1\n1.26\n1.6\n2\n2.5\n", "time\n1\n1.4\n2\n2.8\n4\n5\n8\n", "time\n4 s\n2 s\n1 s\n1/2\n", "time\n1\n1\n1\n"}},
		{Aperture, "", []string{"aperture\nf/1\nf:1.4\nf2\n1:2.8\nF/4\n5.6\n", "aperture\n-1\n", "aperture\nf/0\n", "aperture\n22\n16\n11\n8\n", "aperture\n1e13\n", "n\n2\n2.2\n2.5\n2.8\n3.2\n3.5\n4\n"}},
		{Tablet, "", []string{"density\n0.05\n0.20\n0.35\n0.50\n", "density\n0.95\n0.80\n0.65\n0.50\n", "step,density\n1,0.05\n2,0.2\n", "step,density\n1,0.05\n", "step,density\n1,0.05\n1,0.05\n1,0.05\n", "step,density\n3,0.35\n1,0.05\n2,0.20\n4,0.65\n5,0.65\n", "step,density\n1,ND 0.3\n2,0.6\n3,0.9\n", "step,density\n1,0.05\n,0.2\n", "step,density\n1,0,05\n"}},
		{Contrast, "", []string{"time,contrast\n3,0.4\n4,0.5\n5,0.58\n6,0.64\n", "time,contrast\n3,0.4\n4,0.5\n5,0.58\n6,0.64\n7,0.69\n", "time,contrast\n3,0.4\n4,0.5\n5,0.48\n6,0.64\n7,0.69\n", "minutes,gamma\n3:30,0.4\n4,0.5\n", "time,contrast\n", "time\n3\n"}},
		{XY, "free", []string{"x,y\n1,2\n2,3\n3,4.2\n4,5\n5,6.1\n6,7\n", "x,y\n1,1\n2,2\n3,4\n4,8\n5,16\n6,7.9\n7,64\n", "x,y\n1,1\n2,2\n3,4\n4,7.9\n5,5\n6,4\n", "x,y\n0,1\n1,2\n2,4\n3,8\n4,30\n5,32\n", "x,y\n1,-1\n2,2\n3,4\n4,8\n5,30\n6,32\n", "x\n1\n", "a,b\n1,2\n2,3\n3,4\n", "x,x\n1,2\n", "y,x\n1,2\n2,4\n3,6\n"}},
		{XY, "linear", []string{"x,y\n1,2\n2,4\n3,6\n4,9\n5,10\n6,12\n", "x,y\n1,2\n1,2\n1,2\n", "x,y\n1,2\n2,4\n", "x,y\n-1,-2\n0,0\n1,2\n2,4\n3,7\n"}},
		{XY, "power", []string{"x,y\n1,2\n2,8\n3,18\n4,23\n5,50\n6,72\n", "x,y\n0,1\n1,2\n2,3\n", "x,y\n1,-1\n2,2\n3,3\n"}},
		{XY, "log", []string{"x,y\n1,0\n2,1\n4,2\n8,3.4\n16,4\n32,5\n", "x,y\n1,-1\n2,2\n3,3\n", "x,y\n0,0\n1,1\n2,2\n"}},
		{XY, "2*x", []string{"x,y\n1,2\n2,4\n3,6\n4,18\n", "x,y\n0,0\n1,2\n2,4.5\n", "x,y\n1,2.00\n2,4\n3,6.1\n", "# law: 3*x\nx,y\n1,3\n2,6\n3,9\n"}},
		{XY, "", []string{"# law: 3*x\nx,y\n1,3\n2,6\n3,9.5\n", "# law: linear\nx,y\n1,3\n2,6\n3,9\n4,15\n", "# law: (\nx,y\n1,3\n"}},
		{Exposure, "", []string{"EV / aperture,2.8,4\n8,1/30,1/15\n9,1/60,1/30\n10,1/125,1/60\n", "aperture by EV,8,9\n2.8,1/30,1/60\n4,1/15,1/30\n5.6,1/8,1/15\n", "EV,f/2.8,4\n8,1/30,1/15\n", "EV,f/2.8,1/30\n8,1/30,1/15\n", "EV,f/2.8,-\n8,1/30,1/15\n", "EV,EV 1,EV 2\n1,2,3\n", "index,2.8,4\n8,1/30,1/15\n", "f/2.8,f/4,f/5.6\n1,2,3\n", "Time,f/2.8,f/4\n1/30,8,9\n1/60,9,10\n1/125,x,11\n", "Time,ISO 100,ISO 200\n1/30,8,7\n1/60,9,8\n", "EV,ISO,aperture,time\n8,100,f/4,1/15\n9,200,f/4,1/15\n10,-,f/4,1/15\n", "EV,aperture,time\nEV 8,f/4,1/15\nLV 9,f/4,1/30\n10,f/4,\n", "EV,aperture,time\n8,f/4,1/15\n9,f/4,1/30\n10,f/4,1/60\n11,f/4,1/250\n12.5,f/4,1/250\n", "EV|aperture,2.8,4\n1 s,8,1/30\n", "EV\\time,1\",2 s,1/2 m\n8,f/4,f/8,f/5.6\n", "aperture,EV 8,LV 9,ev10\nf/2,1/60,1/125,1/250\nf/4,1/15,1/30,1/60\n"}},
	} {
		for i, content := range append(c.rows, "x\n", scale(3, func(i int) string { return fmt.Sprintf("a%d,b,c", i) })) {
			tables, err := layout.Read([]byte(content), "t.csv")
			name := fmt.Sprint(c.kind, " ", c.law, " ", i)
			if err != nil {
				said.Refused(name, err)
				continue
			}
			got, err := Check(tables[0], c.kind, Options{Law: c.law})
			if err != nil {
				said.Refused(name, err)
			}
			said.Values(name+" is of exposures", IsExposure(tables[0]))
			for _, g := range got {
				said.Look(name+" "+g.Column, []any{g.X, g.Y, g.At, g.Name, g.Report})
			}
		}
	}
	for text, want := range map[string]float64{"1.50": 0.01, "1.5": 0.1, "1,5": 0.1, "15": 1, "150": 1, "0.5 x": 0.1, ".5": 0.1, "5.": 0.1, "1/2": 0.01, "0.0000": 0.0001} { // a unit of the last place, else of the second digit
		v := 0.5
		if text == "15" {
			v = 15
		} else if text == "150" {
			v = 150
		} else if text == "5." {
			v = 5
		}
		if got := lastPlace(text, v); math.Abs(got-want) > 1e-12 {
			t.Errorf("%q: %g, want %g", text, got, want)
		}
	}
	for _, c := range []struct{ at, want float64 }{{0, 1}, {2, 5}, {-1, -1}} { // y = 1 + 2x with residuals taken off
		if got := lineThrough([]float64{1, 3, 2}, []float64{3.5, 7, 5}, []float64{0.5, 0, 0})(c.at); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("at %g: %g, want %g", c.at, got, c.want)
		}
	}
	if got := lineThrough([]float64{1, 1}, []float64{3, 7}, []float64{0, 0})(5); got != 3 {
		t.Error(got)
	}
}

// The longest of the words in a title says what it is about; a letter alone only where there is hardly more.
func TestWordsOfExposures(t *testing.T) {
	for text, want := range map[string]string{
		"EV": "ev", "table by EV": "ev", "LV": "ev", "n": "aperture", "f": "aperture", "N (f)": "aperture", "table of f": "", "n of it": "", "f stop": "aperture", "f-number": "aperture", "speed": "time", "film speed": "index", "the film speed": "index", "exposure time (s)": "time", "exposure index": "index", "times": "", "ISO": "index", "": "",
	} {
		if got := exposureWord(text); got != want {
			t.Errorf("%q is %q, want %q", text, got, want)
		}
	}
	for text, want := range map[string]string{"f/8": "aperture", "f:8": "aperture", "f8": "aperture", "1:8": "aperture", "f": "", "EV 12": "ev", "LV-3": "ev", "ISO 400": "index", "EI400": "index", "1/125": "time", "8s": "time", `30"`: "time", "2m": "time", "400": "", "8": "", "ISO": "", "time": ""} {
		if got := exposureKind(text); got != want {
			t.Errorf("%q is of the kind %q, want %q", text, got, want)
		}
	}
}
