package cube

import (
	"os"
	"testing"
)

// The variable takes away and never gives what the machine has not.
func TestChosen(t *testing.T) {
	for _, c := range []struct {
		name      string
		can, want way
	}{
		{"", fast, fast}, {"", plain, plain}, {"fast", fallback, fallback}, {"plain", fast, plain}, {"plain", fallback, plain},
		{"fallback", fast, fallback}, {"fallback", plain, plain}, {"other", fast, fast},
	} {
		if got := chosen(c.name, c.can); got != c.want {
			t.Errorf("%q where the machine can %d: %d, want %d", c.name, c.can, got, c.want)
		}
	}
	if want := chosen(os.Getenv("ACTINIC_CUBE"), detect()); best != want {
		t.Errorf("the way is %d, want %d", best, want)
	}
}
