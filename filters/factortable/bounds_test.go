package factortable

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/iotest"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/spectral"
)

// Tables with what stands at a bound are read and told what they were. The list is ours.
func TestTablesAtTheBounds(t *testing.T) {
	said := held.New(t)
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	for i, content := range []string{
		"", "filter\n8\n", "factor\n2\n", "filter,factor\n", "filter,factor\n8,\n", "filter,factor\n8,2\n", "filter,stops\n8,1\n", "filter,stops\n8,-1\n", "filter,stops\n8,40\n", "filter,stops\n8,40.1\n", "filter,stops\n8,-40\n", "filter,stops\n8,-40.1\n", "filter,factor,stops\n8,2,-1\n", "filter,factor,stops\n8,2,0\n", "filter,factor,stops\n8,2,1\n8,2,2\n", "filter,factor,stops\n8,,1\n8,2,\n,,\n", "filter,stops\n8,1-2\n11,2 to 3\n25,3\n",
		"filter,factor\n8,0\n", "filter,factor\n8,-2\n", "filter,factor\n8,x\n", "filter,factor\n8,+1\n", "filter,factor\n8,+1 stop\n", "filter,factor\nND 3,8\n", "filter,factor\nfog,8\n", "filter,factor\n25A,8\n8K,2\nA,2\n", "filter,factor\nND 0.9,8\nND8,8\n", "filter,factor\n8,1000000000000\n", "filter,factor\n8,1e30\n", "filter,factor\n-,8\n8,2\n", "filter,8,11,25\nfactor,2,4,8\n",
		"filter,factor\n8,0.94\n11,4\n25,8\n", "filter,factor\n8,0.95\n11,4\n25,8\n", "filter,factor\n8,0.5\n11,4\n25,8\n47,0.17\n", "filter,factor\n8,2\n11,4\n25,8\n25,5\n29,16\n47,6\n", "filter,factor\n8,2\n11,4\n25,8\n29,16\n47,60\n58,6\n", "filter,factor\n8,1.5-2\n11,3-4\n25,8-10\n29,16-20\n47,6-8\n", "filter,factor\n8,2\n8,4\n", "filter,factor\n8,2\n11,2\n12,2\n15,2\n25,2\n", "filter,factor,stops\n8,2,1\n11,4,2.1\n25,8,3.4\n29,16,5\n47,6,2.5\n", "filter,factor\nred,8\nyellow,2\ngreen,4\n", "filter,factor\n8 yellow,2\n25 red,8\n",
	} {
		name := fmt.Sprint(i)
		rows, err := Read(strings.NewReader(content), "t.csv")
		if err != nil {
			said.Is(name, err, datafile.ErrData)
			continue
		}
		rep, err := Check(film, light, rows)
		said.Refused(name, err)
		if err == nil {
			said.Look(name, rep)
		}
		if i%4 == 0 {
			rep, condition, err := CheckUnder(Usual(), rows)
			said.Look(name+" under", []any{rep, condition.Words, err})
		}
	}
	if _, err := Read(iotest.ErrReader(errors.New("gone")), "t"); !said.Is("a reader that fails", err, datafile.ErrData) {
		t.Error(err)
	}
}
