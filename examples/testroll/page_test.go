package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/page/pagetest"
)

// The page says what it shows to whoever does not see it, and no text of it is cut on a
// narrow screen or on paper.
func TestPageIsWhole(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "report")
	if _, err := try(t, "-out", dir, "-paper", "R110", "-sensor", "6"); err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(filepath.Join(dir, "report.html"))
	if err != nil {
		t.Fatal(err)
	}
	pagetest.Said(t, page)
	pagetest.Whole(t, page, pagetest.A4, pagetest.Letter)
}

// What cannot be a flare, a paper or a sensor is a command line that is not understood.
func TestTonesFlags(t *testing.T) {
	out, err := try(t, "-json", "-flare", "0.4", "-paper", "R110", "-sensor", "6")
	if err != nil || !strings.Contains(out, `"ISO R110"`) || !strings.Contains(out, `"flare_from": "stated"`) || !strings.Contains(out, `"spare_stops"`) {
		t.Errorf("%v\n%.600s", err, out)
	}
	for _, args := range [][]string{{"-flare", "-1"}, {"-flare", "NaN"}, {"-flare", "2"}, {"-paper", "grade 2"}, {"-sensor", "-3"}, {"-sensor", "NaN"}, {"-sensor", "99"}} {
		if _, err := try(t, args...); !errors.As(err, new(command.UsageError)) {
			t.Errorf("%v: %v", args, err)
		}
	}
}
