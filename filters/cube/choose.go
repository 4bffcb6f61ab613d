package cube

import "os"

// chosen is the way that the variable ACTINIC_CUBE names, where the machine can go it, and
// otherwise the best that it can.
func chosen(name string, can way) way {
	switch name {
	case "plain":
		return plain
	case "fallback":
		return min(fallback, can)
	}
	return can
}

var best = chosen(os.Getenv("ACTINIC_CUBE"), detect())
