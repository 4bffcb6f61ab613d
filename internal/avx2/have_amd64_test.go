package avx2

import (
	"os"
	"strings"
	"testing"
)

// A processor has all that is wanted, or it is not used: each flag alone, taken away, is enough.
func TestHave(t *testing.T) {
	// What CPUID and XGETBV say, bit by bit: the flags as the system's own list names them.
	const most = 7
	leaf1 := map[string]uint32{"fma": 12, "popcnt": 23, "osxsave": 27, "avx": 28}
	leaf7 := map[string]uint32{"avx2": 5}
	saved := map[string]uint32{"xmm": 1, "ymm": 2}
	bits := func(of map[string]uint32, without string) (v uint32) {
		for name, bit := range of {
			if name != without {
				v |= 1 << bit
			}
		}
		return v
	}
	processor := func(most uint32, without string) bool {
		return have(func(leaf, sub uint32) (a, b, c, d uint32) {
			switch {
			case sub != 0:
				return 0, 0, 0, 0
			case leaf == 0:
				return most, 0, 0, 0
			case leaf == 1:
				return 0, 0, bits(leaf1, without), 0
			case leaf == 7 && most >= 7:
				return 0, bits(leaf7, without), 0, 0
			}
			return 0, 0, 0, 0
		}, func() uint32 { return bits(saved, without) })
	}
	if !processor(most, "") || !processor(most+1, "") {
		t.Error("a processor with all of it is refused")
	}
	for _, of := range []map[string]uint32{leaf1, leaf7, saved} {
		for name := range of {
			if processor(most, name) {
				t.Errorf("a processor without %s is taken", name)
			}
		}
	}
	// Leaves above the highest are not asked: an old processor answers with what it likes.
	if have(func(leaf, _ uint32) (a, b, c, d uint32) {
		if leaf == 0 {
			return most - 1, 0, 0, 0
		}
		return ^uint32(0), ^uint32(0), ^uint32(0), ^uint32(0)
	}, func() uint32 { return ^uint32(0) }) {
		t.Error("a processor with six leaves is taken")
	}
}

// This processor is what the system says it is.
func TestHaveHere(t *testing.T) {
	text, err := os.ReadFile("/proc/cpuinfo")
	if err != nil {
		t.Skip("the system has no list of flags")
	}
	for line := range strings.Lines(string(text)) {
		if name, flags, _ := strings.Cut(line, ":"); strings.TrimSpace(name) == "flags" {
			want := true
			for _, flag := range []string{"avx2", "fma", "popcnt", "avx", "xsave"} {
				want = want && strings.Contains(" "+strings.TrimSpace(flags)+" ", " "+flag+" ")
			}
			if got := Have(); got != want {
				t.Errorf("%v, want %v by the flags of the system", got, want)
			}
			return
		}
	}
	t.Skip("the system's list has no flags")
}
