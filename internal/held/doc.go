// Package held holds what a package says and computes to what it was: the whole sentence of
// every refusal of a test, the digits of a study on given input. The records of a
// package's tests lie in its testdata/held.txt, a line each, where a reader finds all its refusals
// on one page. It proves nothing about a law, for which its published check stands; it tells
// of a change that nobody meant.
//
//	said := held.New(t)
//	for name, law := range bad {
//		if err := law.Check(); !said.Is(name, err, ErrLaw) {
//			t.Errorf("%s: %v", name, err)
//		}
//	}
//
// Records are not edited to make a change pass: run the test with -update-held where a change is
// meant, and read the difference. Not for anything but tests.
package held
