package roll

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"example.org/actinic/sensito"
)

// Roll is what was measured of one film in one process under one light:
// strips exposed through a step tablet and developed for several times, and
// perhaps frames of a subject bracketed over exposure indexes.
type Roll struct {
	Film    string
	Process string
	Light   string

	// TargetAverageGradient is the contrast the negatives should have, as the
	// average gradient of [sensito.AverageGradient].
	TargetAverageGradient float64

	// Criterion of the index where the contrast condition of ISO 6 is not met;
	// the zero value stands for sensito.FixedDensity.
	Criterion sensito.Criterion

	Strips []Strip

	// Bracket holds the frames, if there are any.
	Bracket []FrameReading
	// ShadowStopsBelowMeter is how far under the meter reading the shadow patch
	// was placed; 0 stands for 4.
	ShadowStopsBelowMeter sensito.Stops
	// Relative says that the strips' exposures are known to each other only: their
	// LogH is then on a scale of its own, and there is no speed.
	Relative bool
	// Details say who tested, when and with what: tester, date, format, batch, camera,
	// meter, instrument, temperature_c, agitation, notes, and names that begin with x-.
	Details map[string]string

	// BracketDevelopment is the time for which the frames were developed; 0 where
	// it is not known.
	BracketDevelopment time.Duration

	// of the files only
	part        bool // rows may have no density yet
	meteredEI   float64
	meteredStep int
	raw         *sensito.Scan
	flareKnown  bool
	notes       []string
}

// MeteredAt is the index at which the metered tone of the strips' exposures was metered, by
// the files of the test; 0 where they do not say.
func (roll *Roll) MeteredAt() float64 { return roll.meteredEI }

// Strip is one developed step tablet.
type Strip struct {
	Name        string
	Development time.Duration
	Readings    []sensito.Reading
	Unexposed   []sensito.Density // patches that got no light; may be empty
	// Lines are where the readings stand in their file, one for each; nil where they
	// are from no file. FirstLine is that of the strip's first patch.
	Lines     []int
	FirstLine int
}

// line returns the file's line of a reading counted from 0; 0 where not known.
func (s *Strip) line(i int) int {
	if i >= 0 && i < len(s.Lines) {
		return s.Lines[i]
	}
	return 0
}

// Tone names a tone of the bracketed subject.
type Tone uint8

const (
	Shadow    Tone = iota // the patch below the meter reading whose detail is wanted
	Midtone               // the patch that was metered
	Highlight             // the bright patch above it
	Unexposed             // film that got no light, beside the frame
)

var toneNames = [...]string{"shadow", "midtone", "highlight", "unexposed"}

// String returns "shadow", "midtone", "highlight" or "unexposed".
func (p Tone) String() string {
	if int(p) < len(toneNames) {
		return toneNames[p]
	}
	return fmt.Sprintf("patch(%d)", p)
}

// FrameReading is one patch read on one frame.
type FrameReading struct {
	Frame   string
	Index   float64 // the exposure index that was set
	Tone    Tone
	Density sensito.Density
	SD      float64 // 0 where not known
	Line    int     // of its file; 0 where it is from none
}

// byTime returns the strips in order of development, then of name.
func (roll *Roll) byTime() []Strip {
	out := slices.Clone(roll.Strips)
	slices.SortStableFunc(out, func(a, b Strip) int {
		return cmp.Or(cmp.Compare(a.Development, b.Development), strings.Compare(a.Name, b.Name))
	})
	return out
}
