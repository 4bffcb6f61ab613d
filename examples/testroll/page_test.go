package main

import (
	"os"
	"path/filepath"
	"testing"

	"example.org/actinic/examples/internal/page/pagetest"
)

// The page says what it shows to whoever does not see it, and no text of it is cut on a
// narrow screen or on paper.
func TestPageIsWhole(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "report")
	if _, err := try(t, "-out", dir); err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(filepath.Join(dir, "report.html"))
	if err != nil {
		t.Fatal(err)
	}
	pagetest.Said(t, page)
	pagetest.Whole(t, page, pagetest.A4, pagetest.Letter)
}
