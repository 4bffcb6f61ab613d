package columns

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic/sensito/printed/layout"
)

// Published tables, each headed by its source: none is accused for its rounding, and of
// the copying fault among them is named.
func TestPublishedTables(t *testing.T) {
	for _, c := range []struct{ file, accused string }{
		{"iso5800_speeds.csv", ""},
		{"exif_apertures_as_copied.csv", "5 aperture 5: 4.00"},
		{"exif_times_as_copied.csv", ""}, // 1/16 is the exact value
		{"encyclopedia_neutral_density.csv", ""},
		{"camera_wiki_neutral_density.csv", ""},
		{"encyclopedia_exposure_values.csv", ""},
		{"renwick_1913.csv", ""},
		{"wikibook_illuminance.csv", ""},
	} {
		content, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "tables", c.file))
		if err != nil {
			t.Fatal(err)
		}
		tables, err := layout.Read(content, c.file)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Check(tables[0], Kind(tables[0].Remark("kind")), Options{})
		if err != nil {
			t.Errorf("%s: %v", c.file, err)
			continue
		}
		var accused, remarks []string
		for _, g := range got {
			if s := brief(g.Report); s != "" {
				accused = append(accused, s)
			}
			for _, f := range g.Report.Findings {
				remarks = append(remarks, fmt.Sprint(f.Confidence, " ", f))
			}
		}
		if text := strings.Join(accused, "; "); text != c.accused {
			t.Errorf("%s: accused %q, want %q", c.file, text, c.accused)
		}
		t.Log(c.file, remarks)
	}
}
