package columns

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/layout"
)

func table(t testing.TB, content string) *layout.Table {
	t.Helper()
	tables, err := layout.Read([]byte(content), "t.csv")
	if err != nil {
		t.Fatal(err)
	}
	return tables[0]
}

// Each kind, clean and with a slip. The scales are the standards' (ISO 5800, ISO 516,
// ISO 517, from memory), the rest is made by its law.
func TestKinds(t *testing.T) {
	for _, c := range []struct {
		name, content string
		kind          Kind
		law, accused  string
	}{
		{"speeds", "ISO,Degrees\n25,15\n50,18\n100,21°\n125,22\n200,24\n400,27\n3200,36\n12,12\n", Speed, "", ""},
		{"a web table's speed", "speed,degrees\n100,21\n125,22\n140,23\n200,24\n250,25\n400,32\n800,30\n", Speed, "", "6 degrees 32: 27.0"},
		{"times", "Shutter speed\n1\n1/2\n1/4\n1/8\n1/15\n1/30\n1/60\n1/125\n1/250\n1/500\n1/1000\n", Shutter, "", ""},
		{"a time", "Shutter speed\n1\n1/2\n1/4\n1/8\n1/15\n1/30\n1/60\n1/152\n1/205\n1/500\n1/1000\n", Shutter, "", "8 Shutter speed 1/152: 0.0080; 9 Shutter speed 1/205: 0.00400"},
		{"a time ten times as long", "Shutter speed\n1\n1/2\n1/4\n1/8\n1/15\n1/30\n1/60\n1/125\n1/25\n1/500\n1/1000\n", Shutter, "", "9 Shutter speed 1/25: 0.00400 decimal point"},
		{"f-numbers", "f-number\nf/1.4\nf/2\nf/2.8\nf/4\nf/5.6\nf/8\nf/11\nf/16\nf/22\n", Aperture, "", ""},
		{"a f-number", "f-number\nf/1.4\nf/2\nf/2.8\nf/4\nf/6.5\nf/8\nf/11\nf/16\nf/22\n", Aperture, "", "5 f-number f/6.5: 5.66"},
		{"tablet", "Step,Density\n1,0.05\n2,0.20\n3,0.35\n4,0.51\n5,0.65\n6,0.79\n7,0.95\n8,1.10\n9,1.25\n10,1.41\n", Tablet, "", ""},
		{"a step", "Step,Density\n1,0.05\n2,0.20\n3,0.35\n4,0.51\n5,0.56\n6,0.79\n7,0.95\n8,1.10\n9,1.25\n10,1.41\n", Tablet, "", "5 Density 0.56: 0.650"},
		{"neutral", "Density,Factor,Stops\nND 0.3,2,1\n0.6,4,2\n0.9,8,3\n1.8,64,6\n3.0,1000,10\n", Neutral, "", ""},
		{"a neutral", "Density,Factor,Stops\nND 0.3,2,1\n0.6,4,2\n0.9,6,3\n1.8,64,6\n3.0,1000,13\n", Neutral, "", "3 Factor 6: 7.94; 5 Stops 13: 9.97"},
		{"exposure values", "EV,Aperture,Time\n0,f/1,1\n12,f/8,1/60\n13,f/11,1/60\n15,f/16,1/125\n-1,f/1,2 s\n", Exposure, "", ""},
		{"an exposure value", "EV,Aperture,Time\n0,f/1,1\n12,f/8,1/60\n15,f/11,1/60\n15,f/16,1/125\n-1,f/1,2 s\n", Exposure, "", "3 EV 15: 12.83"},
		{"exposures by value and f-number", "EV,f/2.8,f/4,f/5.6,f/8\n8,1/30,1/15,1/8,1/4\n9,1/60,1/30,1/15,1/8\n10,1/125,1/60,1/30,1/15\n11,1/250,1/125,1/60,-\n", Exposure, "", ""},
		{"a time of them", "EV,f/2.8,f/4,f/5.6,f/8\n8,1/30,1/15,1/8,1/4\n9,1/60,1/30,1/15,1/8\n10,1/125,1/30,1/30,1/15\n11,1/250,1/125,1/60,1/30\n", Exposure, "",
			"10 time 1/30: 0.0156"},
		{"by bare numbers", "LV \\ aperture,2.8,4,5.6,8\n8,1/30,1/15,1/8,1/4\n9,1/60,1/30,1/15,1/8\n10,1/125,1/60,1/3,1/15\n11,1/250,1/125,1/60,1/30\n", Exposure, "", "11 time 1/3: 0.0306 decimal point"},
		{"exposure values", "Time,f/2.8,f/4,f/5.6,f/8\n1/30,8,9,10,11\n1/60,9,10,11,12\n1/125,10,11,21,13\n", Exposure, "", "11 ev 21: 11.94"},
		{"by index", "Light value,ISO 100,ISO 200,ISO 400,ISO 800\n8,1/30,1/60,1/125,1/250\n9,1/60,1/125,1/250,1/500\n10,1/125,1/250,1/500,1/100\n", Exposure, "", "12 time 1/100: 0.00100 decimal point"},
		{"f-numbers by index", "EV,ISO 100,ISO 400,ISO 1600\n8,f/2.8,f/5.6,f/11\n9,f/4,f/8,f/16\n10,f/5.6,f/11,f/32\n12,f/11,f/22,f/45\n", Exposure, "", "9 aperture f/32: 22.4"},
		{"long with an index", "EV,ISO,Aperture,Time\n8,100,f/4,1/15\n8,400,f/8,1/15\n9,400,f/4,1/125\n9,100,f/8,1/8\n10,200,f/4,1/250\n", Exposure, "", "5 EV 10: 10.97"},
		{"contrast", "Time (min),Gamma\n3,0.35\n4,0.44\n5,0.51\n6,0.58\n8,0.68\n10,0.75\n12,0.80\n15,0.84\n", Contrast, "", ""},
		{"a contrast", "Time (min),Gamma\n3,0.35\n4,0.44\n5,0.51\n6,0.85\n8,0.68\n10,0.75\n12,0.80\n15,0.84\n", Contrast, "", "4 Gamma 0.85: 0.574"},
		{"a formula", "inertia,speed\n0.2,170\n0.1,340\n0.4,58\n0.5,68\n0.25,136\n0.05,680\n", XY, "34/x", "3 speed 58: 85.0"},
		{"a line", "x,y\n1,3\n2,5\n3,7\n4,19\n5,11\n6,13\n", XY, "linear", "4 y 19: 9.00"},
		{"a power", "x,y\n1,10\n2,40\n4,160\n8,460\n16,2560\n", XY, "power", "4 y 460: 640.0"},
	} {
		got, err := Check(table(t, c.content), c.kind, Options{Law: c.law})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var accused []string
		for _, g := range got {
			if s := brief(g.Report); s != "" {
				accused = append(accused, s)
			}
		}
		text := strings.Join(accused, "; ")
		for _, s := range []string{" transposed digits", " copied from the row above"} {
			text = strings.ReplaceAll(text, s, "")
		}
		if text != c.accused && testing.Verbose() {
			t.Logf("%+v", got[0].Report.Findings)
		}
		if text != c.accused {
			t.Errorf("%s: accused %q, want %q", c.name, text, c.accused)
		}
	}
}

func TestRefused(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		content string
		kind    Kind
		law     string
	}{
		{"a,b\n1,2\n", Speed, ""}, {"speed,degrees\nfast,21\n", Speed, ""}, {"x,y\n1,2\n", XY, "y = os.Exit(1)"}, {"x,y\n1,2\n2,3\n", XY, "free"}, {"x,y\n-1,2\n2,3\n3,4\n", XY, "power"},
		{"time\n1e-300\n", Shutter, ""}, {"aperture\n0\n", Aperture, ""}, {"x\n1\n", XY, ""}, {"x,y\n1,1e300\n", XY, "linear"}, {"a,b\n1,2\n", "recipes", ""},
	} {
		if got, err := Check(table(t, c.content), c.kind, Options{Law: c.law}); !said.Is("", err, datafile.ErrData) {
			t.Errorf("%q %s %s: %v, %v", c.content, c.kind, c.law, got, err)
		}
	}
	if f, err := Formula("y = 6.4*sqrt(x) - pow(x, 0.5)"); err != nil || math.Abs(f(4)-10.8) > 1e-12 {
		t.Error(err)
	}
}

// brief prints the accused.
func brief(rep *printed.Report) string {
	var out []string
	for _, f := range rep.Findings {
		if f.Confidence == printed.High {
			out = append(out, strings.TrimSpace(fmt.Sprintf("%d %s %s: %s %s", f.Row, f.Column, f.Printed, f.Implied, f.Slip)))
		}
	}
	return strings.Join(out, "; ")
}
