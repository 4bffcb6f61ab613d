package roll_test

import (
	"fmt"
	"log"
	"os"
	"testing/fstest"

	"example.org/actinic/devtime/roll"
)

// Read the files of a test and characterise the film: what to set, how long to develop,
// and which reading does not go with the others. (The film is invented, and so is the
// slip: on line 33 a density was noted 0.30 too high.)
func Example() {
	test, err := roll.Read(os.DirFS("testdata/example"))
	if err != nil {
		log.Fatal(err)
	}
	record, err := test.Characterise(roll.Settings{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("EI %.0f, %.0f min\n", record.Index.Value, record.Development.Value/60)
	for _, f := range record.Findings {
		fmt.Printf("%s, strip %s, step %d, %s:%d\n", f.What, f.Strips[0], f.Step, f.File, f.Line)
	}
	// Output:
	// EI 784, 12 min
	// wild reading, strip C, step 7, strips.csv:33
}

// What cannot be read as a test is refused with its place.
func ExampleRead() {
	_, err := roll.Read(fstest.MapFS{
		"test.json":  {Data: []byte(`{"film": "F (invented)", "process": "P (invented)", "light": "daylight", "target_average_gradient": 0.58}`)},
		"strips.csv": {Data: []byte("strip,development,log_h_lx_s,density\nA,7:00,-3.00,\"0,31\"\n")},
	})
	fmt.Println(err)
	// Output:
	// strips.csv:2:14: density: read "0,31", want numbers one way throughout the file: it has decimal points elsewhere; write a decimal point, not a comma
}
