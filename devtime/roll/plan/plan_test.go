package plan

import "testing"

func TestNothingYet(t *testing.T) {}
