package roll

import (
	"fmt"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
)

// Each member of test.json at the bounds of what it takes, and just beyond.
func TestHeadAtTheBounds(t *testing.T) {
	said := held.New(t)
	const strips = "strip,development,log_h_lx_s,density\nA,7:30,-3,0.2\nA,7:30,-2.9,0.3\n"
	for _, c := range []struct {
		members string
		ok      bool
	}{
		{`"metered_at_ei": 0.1, "metered_step": 1, "exposure": "relative"`, true}, {`"metered_at_ei": 1e6, "metered_step": 2, "exposure": "relative"`, true},
		{`"metered_at_ei": 0.099, "metered_step": 1, "exposure": "relative"`, false}, {`"metered_at_ei": 1000001, "metered_step": 1, "exposure": "relative"`, false},
		{`"metered_at_ei": 400, "metered_step": 0, "exposure": "relative"`, false}, {`"metered_at_ei": 400, "metered_step": 3, "exposure": "relative"`, false},
		{`"metered_at_ei": 400, "metered_step": 1001, "exposure": "relative"`, false}, {`"metered_at_ei": 400, "metered_step": 1000, "exposure": "relative"`, false},
		{`"metered_at_ei": 400, "metered_step": 1.5, "exposure": "relative"`, false}, {`"metered_at_ei": 400, "metered_step": 1`, false}, {`"metered_step": 1, "exposure": "relative"`, false},
		{`"metered_at_ei": "400"`, false}, {`"exposure": "absolute"`, true}, {`"exposure": 3`, false}, {`"exposure": "Relative"`, false},
		{`"raw": {"light": 800, "dark": 2}`, true}, {`"raw": {"light": 2, "dark": 2}`, false}, {`"raw": {"light": 2.1, "dark": 2}`, true}, {`"raw": {"dark": 2}`, false}, {`"raw": {}`, false}, {`"raw": 3`, false},
		{`"raw": {"light": 800, "dark": 2, "flare": 0}`, true}, {`"raw": {"light": 800, "dark": 2, "flare": 0.999}`, true}, {`"raw": {"light": 800, "dark": 2, "flare": 1}`, false},
		{`"raw": {"light": 800, "dark": 2, "flare": -0.001}`, false}, {`"raw": {"light": 800, "dark": 2, "flare": "0"}`, false}, {`"raw": {"light": 800, "dark": 2, "glare": 0}`, false},
		{`"shadow_stops_below_meter": 0`, false}, {`"shadow_stops_below_meter": 0.001`, true}, {`"shadow_stops_below_meter": 10`, true}, {`"shadow_stops_below_meter": 10.01`, false},
		{`"bracket_development": "0:05"`, true}, {`"bracket_development": "0:04"`, true}, {`"bracket_development": "100h"`, true}, {`"bracket_development": 450`, false}, {`"bracket_development": "soon"`, false},
		{`"criterion": "fixed-density"`, true}, {`"criterion": "fractional-gradient"`, true}, {`"criterion": "delta-x"`, true}, {`"criterion": "iso"`, false}, {`"criterion": "field"`, false}, {`"criterion": 1`, false},
		{`"tester": 3`, true}, {`"temperature_c": 20.5`, true}, {`"temperature_c": "20"`, false}, {`"x-water": "soft"`, true}, {`"x-water": 3`, true}, {`"x-water": null`, true}, {`"note": "x"`, false},
	} {
		_, err := Read(dir("test.json", goodHead[:len(goodHead)-1]+", "+c.members+"}", "strips.csv", strips))
		told := said.Refused(c.members, err)
		if told == c.ok && !strings.Contains(c.members, "0:0") && !strings.Contains(c.members, "100h") && !strings.Contains(c.members, "x-water") {
			t.Errorf("%s: %v", c.members, err)
		}
	}
	for _, c := range []struct {
		target string
		ok     bool
	}{{"0.1", false}, {"0.1001", true}, {"2.999", true}, {"3", false}, {"-0.58", false}} {
		_, err := Read(dir("test.json", strings.Replace(goodHead, "0.58", c.target, 1), "strips.csv", strips))
		if said.Refused("target "+c.target, err) == c.ok {
			t.Errorf("target %s: %v", c.target, err)
		}
	}
	for _, head := range []string{"[]", "3", `"x"`, "null", "{}", "\xff\xfe{", "", "{", goodHead + "x", strings.Replace(goodHead, `"film": "Garnedd Swift (invented)"`, `"film": 3`, 1), strings.Replace(goodHead, `"light": "daylight"`, `"light": "  "`, 1)} {
		if _, err := Read(dir("test.json", head, "strips.csv", strips)); !said.Is(head, err, datafile.ErrData) {
			t.Errorf("%s: %v", head, err)
		}
	}
}

// Each cell of the tables at the bounds of what it takes, and just beyond.
func TestCellsAtTheBounds(t *testing.T) {
	said := held.New(t)
	const raw = `, "raw": {"light": 800, "dark": 0, "flare": 0}`
	for _, c := range []struct {
		head, column, reading, cells string
		ok                           bool
	}{
		{"", "stops", "density", "30,0.3", true}, {"", "stops", "density", "-30,0.3", true}, {"", "stops", "density", "30.01,0.3", false}, {"", "stops", "density", "-30.01,0.3", false}, {"", "stops", "density", "x,0.3", false}, {"", "stops", "density", ",0.3", true},
		{"", "ei", "density", "0.1,0.3", true}, {"", "ei", "density", "1000000,0.3", true}, {"", "ei", "density", "0.099,0.3", false}, {"", "ei", "density", "1000001,0.3", false}, {"", "ei", "density", "ISO,0.3", false},
		{"", "log_h_lx_s", "density", "-8,0.3", true}, {"", "log_h_lx_s", "density", "-8.01,0.3", false}, {"", "log_h_lx_s", "density", "6,0.3", true}, {"", "log_h_lx_s", "density", "6.01,0.3", false},
		{"", "log_h_lx_s", "density", "-2,0", true}, {"", "log_h_lx_s", "density", "-2,-0.001", false}, {"", "log_h_lx_s", "density", "-2,10", true}, {"", "log_h_lx_s", "density", "-2,10.001", false}, {"", "log_h_lx_s", "density", "-2,", false},
		{"", "log_h_lx_s", "density,density_sd", "-2,0.3,", true}, {"", "log_h_lx_s", "density,density_sd", "-2,0.3,0.0001", true}, {"", "log_h_lx_s", "density,density_sd", "-2,0.3,0", false}, {"", "log_h_lx_s", "density,density_sd", "-2,0.3,0.999", true}, {"", "log_h_lx_s", "density,density_sd", "-2,0.3,1", false}, {"", "log_h_lx_s", "density,density_sd", "-2,0.3,x", false},
		{raw, "stops", "value", "1,800", true}, {raw, "stops", "value", "1,801", true}, {raw, "stops", "value", "1,900", false}, {raw, "stops", "value", "1,0.01", true}, {raw, "stops", "value", "1,0", false}, {raw, "stops", "value", "1,x", false}, {raw, "stops", "value", "1,0.000000001", false},
		{raw, "stops", "value,value_sd", "1,400,", true}, {raw, "stops", "value,value_sd", "1,400,4", true}, {raw, "stops", "value,value_sd", "1,400,0", false}, {raw, "stops", "value,value_sd", "1,400,-1", false}, {raw, "stops", "value,value_sd", "1,400,x", false}, {raw, "stops", "value,value_sd", "1,4,20", false},
		{"", "stops,ei", "density", "1,400,0.3", false}, {"", "x-note", "density", "1,0.3", false}, {"", "stops,x-note", "density", "1,fine,0.3", true}, {"", "stops", "note", "1,0.3", false}, {"", "stops", "value", "1,300", false}, {raw, "stops", "value,density", "1,300,0.3", false},
		{`, "metered_at_ei": 400`, "log_h_lx_s", "density", "-2,0.3", false}, {`, "metered_at_ei": 400`, "ei", "density", "400,0.3", false}, {`, "metered_at_ei": 400`, "stops", "density", "0,0.3", true},
	} {
		roll, err := Read(dir("test.json", goodHead[:len(goodHead)-1]+c.head+"}", "strips.csv", fmt.Sprintf("strip,development,%s,%s\nA,7:30,%s\n", c.column, c.reading, c.cells)))
		if said.Refused(fmt.Sprintf("%s %s,%s %s", c.head, c.column, c.reading, c.cells), err) == c.ok {
			t.Errorf("%s %s,%s: %s: %v", c.head, c.column, c.reading, c.cells, err)
		}
		if err == nil {
			said.Values(fmt.Sprintf("read %s %s %s", c.column, c.reading, c.cells), roll.Strips, roll.Relative, roll.notes)
		}
	}
	for _, c := range []struct {
		cells string
		ok    bool
	}{
		{"1,0.1,shadow,0.3", true}, {"1,1000000,shadow,0.3", true}, {"1,0.099,shadow,0.3", false}, {"1,1000001,shadow,0.3", false}, {"1,x,shadow,0.3", false},
		{"1,400,shadow,10.1", false}, {"1,400,shadow,", false}, {"1,400,,0.3", false}, {" ,400,shadow,0.3", false}, {"1,400,unexposed,0.3", true}, {"1,,unexposed,0.3", false},
		{"1,400,shadow,0.3\n1,400,midtone,0.9", true}, {"1,400,shadow,0.3\n1,401,midtone,0.9", false}, {"1,400,shadow,0.3\n2,401,midtone,0.9", true},
	} {
		_, err := Read(dir("test.json", goodHead, "bracket.csv", "frame,ei,patch,density\n"+c.cells+"\n"))
		if said.Refused("bracket "+c.cells, err) == c.ok {
			t.Errorf("%s: %v", c.cells, err)
		}
	}
}
