package datafile_test

import (
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		(*datafile.Error).Error, (*datafile.Error).Unwrap, datafile.Errors.Count, datafile.Errors.Error,
		datafile.Errors.Unwrap, datafile.Errors.Err, datafile.Errors.Sort, datafile.Place, datafile.ParseNumber,
		datafile.Plain, datafile.Formula, datafile.Defused, datafile.ReadSheet, datafile.Read, datafile.ReadBytes,
		datafile.ReadColumns, (*datafile.Table).Fail, (*datafile.Table).FailAt, (*datafile.Table).Names,
		(*datafile.Table).Has, (*datafile.Table).Text, (*datafile.Table).Number,
	}, []byte("a,b,note\n1,2.5,x\n-3,,\"two\nlines\"\n"), []byte("# made: here\na;b\n1;2\n"), []byte("a,a\n1,2\n"), []byte("a,b\n1\n"), []byte("\xff,\n"), []byte("a\x00,b\n"), []byte("a,b\n\"x\n"), "a", "b", "note", "file.csv", "", 0, 1, 2, -1,
		2.5, 0.0, -3.0, 1.0)
}
