package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"example.org/actinic/examples/internal/page/pagetest"
)

// The page shows pictures before the table, says what they show, and no text of it is cut.
func TestPageIsWhole(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	if _, err := try(t, "-out", dir); err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(filepath.Join(dir, "readings.html"))
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Index(page, []byte("<h2>Pictures</h2>")) > bytes.Index(page, []byte("<h2>Readings</h2>")) {
		t.Error("the table stands before the pictures")
	}
	pagetest.Said(t, page)
	pagetest.Whole(t, page, pagetest.A4, pagetest.Letter)
}
