package camera_test

import (
	"math"
	"testing"
	"testing/fstest"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	full, err := camera.OfScale(camera.FullStops, 2, 16, time.Second/500, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	third, err := camera.OfScale(camera.ThirdStops, 1.8, 22, time.Second/4000, 30*time.Second)
	if err != nil {
		t.Fatal(err)
	}
	ei := func(v float64) sensito.Speed { return sensito.Speed{Value: v} }
	yard := camera.Place{Name: "yard", Light: 15}
	mill := camera.Place{Name: "mill", Light: 2, Indoors: true}
	file := `{"form": "camera/1", "name": "an invented camera", "apertures": ["f/2", "f/2.8", "f/4"], "times": ["1/500", "1/250", "1/125"], "bulb": true, "meter_k_cd_m2": 12.5, "priority": "aperture"}`
	held.New(t).Drive([]any{
		(*camera.Plan).Advice, (*camera.Plan).String, camera.NeutralName, camera.PlanBracket, camera.NeutralStops,
		(*camera.Plan).FilterFor, camera.OfScale, camera.New, (*camera.Camera).IsZero, (*camera.Camera).Apertures,
		(*camera.Camera).Times, (*camera.Camera).Aperture, (*camera.Camera).NearestAperture,
		(*camera.Camera).NearestTime, (*camera.Camera).Time, (*camera.Camera).Reach, (*camera.Camera).Scales,
		(*camera.Camera).MarshalJSON, camera.Priority.String, camera.Priority.MarshalText, camera.Default,
		(*camera.Described).Meter, (*camera.Described).String, camera.Read, camera.Parse,
		(*camera.Described).MarshalJSON, camera.Steps.String, camera.Steps.MarshalText, camera.ApertureMark.String,
		camera.TimeMark.String, camera.TimeMark.MarshalJSON, camera.ApertureAt, camera.TimeAt, camera.ApertureMarks,
		camera.TimeMarks, camera.NearestAperture, camera.NearestTime,
	}, full, third, &camera.Camera{}, camera.Default(), []byte(file), []byte("{}"), []byte("["), fstest.MapFS{"camera.json": {Data: []byte(file)}}, "camera.json", "none.json", "",
		camera.Bracket{From: ei(100), To: ei(800), Aperture: 8, Places: []camera.Place{yard}},
		camera.Bracket{From: ei(1600), To: ei(50), Thirds: 3, Aperture: 2, Places: []camera.Place{yard, mill}},
		camera.Bracket{From: ei(25), To: ei(6400), Aperture: 16, Places: []camera.Place{mill, yard}, Frames: 12, Widen: true},
		camera.Bracket{From: ei(25), To: ei(6400), Aperture: 16, Places: []camera.Place{yard}, Frames: 12},
		camera.Bracket{From: ei(100), To: ei(200), Aperture: 7, Places: []camera.Place{yard}}, camera.Bracket{From: ei(100), To: ei(200), Aperture: 8}, camera.Bracket{},
		camera.FullStops, camera.HalfStops, camera.ThirdStops, camera.Steps(3), camera.NoPriority, camera.AperturePriority, camera.ShutterPriority, camera.Priority(9),
		exposure.FNumber(8), exposure.FNumber(1.4), exposure.FNumber(2), exposure.FNumber(9), exposure.FNumber(16), exposure.FNumber(3.5), exposure.FNumber(0), exposure.FNumber(64), exposure.FNumber(1000),
		exposure.Av(4.2), exposure.Av(2), exposure.Av(-1), exposure.Av(8), exposure.Av(12), exposure.Av(math.NaN()),
		exposure.Tv(7.2), exposure.Tv(0), exposure.Tv(-3), exposure.Tv(9), exposure.Tv(11), exposure.Tv(-10), exposure.Tv(math.NaN()), exposure.Tv(60),
		time.Second/125, time.Second, time.Second/60, time.Second/90, time.Second/500, 4*time.Second, time.Duration(0), time.Duration(-1), time.Hour, time.Second/8000, 30*time.Second, "yard", "mill")
}

// What JSON reads back as, as it is written and with one thing in it changed.
func TestReadsJSON(t *testing.T) {
	full, err := camera.OfScale(camera.FullStops, 2, 8, time.Second/250, time.Second/30)
	if err != nil {
		t.Fatal(err)
	}
	described, err := camera.Parse("camera.json", []byte(`{"name": "invented", "apertures": ["f/2", "f/2.8"], "times": ["1/500", "1/250"], "bulb": true, "meter_k": 12.5, "priority": "aperture"}`))
	if err != nil {
		t.Fatal(err)
	}
	held.New(t).Reads(camera.HalfStops, camera.AperturePriority, camera.TimeMark{Time: time.Second / 8, Tv: 3}, full, described)
}
