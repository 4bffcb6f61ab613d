package plan_test

import (
	"fmt"

	"example.org/actinic/devtime/roll/plan"
	"example.org/actinic/sensito/exposure/camera"
)

// The test of a fast film with a camera of full stops, metered at EV 12.
func ExampleNew() {
	cam, err := camera.Parse("camera.json", []byte(`{"name": "Bothy 35 (invented)", "times": "full", "fastest": "1/500", "longest": "1s",
		"apertures": "half", "widest": "f/2", "smallest": "f/16"}`))
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := plan.New(plan.Wish{Camera: cam, Index: 400, Light: 12, HalfWidth: 0.25, Strips: 5})
	if err != nil {
		fmt.Println(err)
		return
	}
	first := p.Own.Frames[0]
	fmt.Printf("by %s, the first frame %v, exposed as EI %.0f\n", p.Own.FramesBy, first.Setting, first.ExposedAs)
	fmt.Println("as sharp as wanted:", p.Own.Expected.IndexHalfWidth <= 0.25)
	fmt.Println("sharper than the even plan:", p.Own.Expected.IndexHalfWidth < p.Even.Expected.IndexHalfWidth)
	// Output:
	// by aperture, the first frame 1/500 at f/2.4, exposed as EI 71
	// as sharp as wanted: true
	// sharper than the even plan: true
}

// Frames of one exposure that scatter by 0.04 in log H, for a mean within 0.05.
func ExampleRepeats() {
	known, _ := plan.Repeats(0.04, 0.05, true)
	found, _ := plan.Repeats(0.04, 0.05, false)
	fmt.Println(known, "where the scatter is known,", found, "where the same frames tell it")
	// Output: 3 where the scatter is known, 5 where the same frames tell it
}
