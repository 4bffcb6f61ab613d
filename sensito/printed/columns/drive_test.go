package columns

import (
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/printed/layout"
)

// What tables of each kind with one thing changed are told is held to what it was.
func TestDrive(t *testing.T) {
	said := held.New(t)
	said.Drive([]any{Formula, Kinds}, "34/x", "2*x+1", "x^2", "log10(x)", "sqrt(x)-1", "(x", "", "y", "1/0", "x x", "linear", "power", "-x", "2x", "exp(x)", "ln(x)", "1e400")
	for kind, table := range map[Kind]string{
		Speed:    "speed,degrees\n100,21\n125,22\n160,23\n200,24\n250,25\n400,27\n800,30\n",
		Shutter:  "Shutter speed\n1\n1/2\n1/4\n1/8\n1/15\n1/30\n1/60\n1/125\n1/250\n1/500\n1/1000\n",
		Aperture: "f-number\nf/1.4\nf/2\nf/2.8\nf/4\nf/5.6\nf/8\nf/11\nf/16\nf/22\n",
		Tablet:   "Step,Density\n1,0.05\n2,0.20\n3,0.35\n4,0.51\n5,0.65\n6,0.79\n7,0.95\n8,1.10\n9,1.25\n10,1.41\n",
		Neutral:  "Density,Factor,Stops,Transmittance (%)\n0.3,2,1,50\n0.6,4,2,25\n0.9,8,3,12.5\n1.8,64,6,1.6\n3.0,1000,10,0.1\n",
		Exposure: "EV,Aperture,Time\n0,f/1,1\n12,f/8,1/60\n13,f/11,1/60\n15,f/16,1/125\n-1,f/1,2 s\n",
		Contrast: "Time (min),Gamma\n3,0.35\n4,0.44\n5,0.51\n6,0.58\n8,0.68\n10,0.75\n12,0.80\n15,0.84\n",
		XY:       "x,y\n1,34\n2,17\n4,8.5\n5,6.8\n10,3.4\n20,1.7\n",
	} {
		laws := []string{""}
		if kind == XY {
			laws = []string{"34/x", "linear", "power", ""}
		}
		for _, law := range laws {
			said.Drive([]any{checks[kind]}, append(held.Every(table), Options{Law: law})...)
		}
	}
}

// checks are functions with names of their own, by which the record tells the kinds.
var checks = map[Kind]any{Speed: drivenSpeed, Shutter: drivenShutter, Aperture: drivenAperture, Tablet: drivenTablet, Neutral: drivenNeutral,
	Exposure: drivenExposure, Contrast: drivenContrast, XY: drivenXY}

func drivenSpeed(b []byte, o Options) ([]Checked, error)    { return checked(b, Speed, o) }
func drivenShutter(b []byte, o Options) ([]Checked, error)  { return checked(b, Shutter, o) }
func drivenAperture(b []byte, o Options) ([]Checked, error) { return checked(b, Aperture, o) }
func drivenTablet(b []byte, o Options) ([]Checked, error)   { return checked(b, Tablet, o) }
func drivenNeutral(b []byte, o Options) ([]Checked, error)  { return checked(b, Neutral, o) }
func drivenExposure(b []byte, o Options) ([]Checked, error) { return checked(b, Exposure, o) }
func drivenContrast(b []byte, o Options) ([]Checked, error) { return checked(b, Contrast, o) }
func drivenXY(b []byte, o Options) ([]Checked, error)       { return checked(b, XY, o) }

func checked(b []byte, kind Kind, o Options) ([]Checked, error) {
	tables, err := layout.Read(b, "t.csv")
	if err != nil {
		return nil, err
	}
	got, err := Check(tables[0], kind, o)
	for i := range got {
		got[i].Sheet = nil // as it was read
	}
	return got, err
}
