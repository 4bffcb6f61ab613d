package factortable

import (
	"fmt"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/spectral"
)

// One row of a table in many wrong ways: what it is called is what it was, also near the
// bounds between one slip and another.
func TestSlipsOfOneRow(t *testing.T) {
	said := held.New(t)
	film, light := spectral.Generic(spectral.Panchromatic), spectral.D55.Light()
	table := func(factor string) string {
		return "filter,factor\n8,1.6\n12,1.9\n15,2.1\n21,2.8\n25," + factor + "\n58,6\n47,8\n11,2.3\n"
	}
	for _, factor := range []string{"1", "1.5", "2", "2.2", "2.4", "2.6", "2.7", "3", "3.5", "4", "5", "5.7", "6", "7", "8", "9", "10", "12", "20", "40", "55", "80", "0.6", "250"} {
		rows, err := Read(strings.NewReader(table(factor)), "slips.csv")
		if err != nil {
			said.Refused(factor, err)
			continue
		}
		rep, err := Check(film, light, rows)
		if err != nil {
			said.Refused(factor, err)
			continue
		}
		for _, f := range rep.Findings {
			said.Values(fmt.Sprintf("factor %s, row %d", factor, f.Row), f)
		}
		said.Values("factor "+factor, rep.Unseen, rep.Low, rep.High)
	}
}
