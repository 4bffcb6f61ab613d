package datafile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"math/rand/v2"
	"slices"
	"testing"
)

// Plain lines are read as the general reader reads them, with the same places.
func TestPlainLinesAsCSV(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	const bytesOf = "a,b;\n\n, \t1.5é#"
	for range 5000 {
		var content []byte
		for range rng.IntN(40) {
			content = append(content, bytesOf[rng.IntN(len(bytesOf))])
		}
		comma := ",;\t"[rng.IntN(3)]
		plain, ok := recordsOf(content, comma).(*plainLines)
		if !ok {
			t.Fatalf("%q is not read by lines", content)
		}
		r := csv.NewReader(bytes.NewReader(content))
		r.FieldsPerRecord, r.Comma = -1, rune(comma)
		for {
			want, err := r.Read()
			got, err2 := plain.Read()
			if !errors.Is(err2, err) || !slices.Equal(got, want) && err == nil {
				t.Fatalf("%q by %q: %q, %v; want %q, %v", content, comma, got, err2, want, err)
			}
			if errors.Is(err, io.EOF) {
				break
			}
			for i := range want {
				l, c := r.FieldPos(i)
				if l2, c2 := plain.FieldPos(i); l2 != l || c2 != c {
					t.Fatalf("%q by %q: cell %d of %q at %d:%d, want %d:%d", content, comma, i, want, l2, c2, l, c)
				}
			}
		}
	}
	for _, content := range []string{"a,\"b\"\n", "a\r\nb"} {
		if _, ok := recordsOf([]byte(content), ',').(*plainLines); ok {
			t.Errorf("%q is read by lines", content)
		}
	}
}
