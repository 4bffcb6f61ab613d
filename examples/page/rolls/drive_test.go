package rolls_test

import (
	"strings"
	"testing"

	"example.org/actinic/examples/page/answer"
	"example.org/actinic/examples/page/rolls"
	"example.org/actinic/internal/held"
)

// What the page says of short rolls, whole and spoilt, is held to what it was.
func TestDrive(t *testing.T) {
	const (
		head   = `{"film": "Garnedd Swift (invented)", "process": "Tarren 1+31, 20 °C (invented)", "light": "daylight", "target_average_gradient": 0.58}`
		strips = "strip,development,log_h_lx_s,density\nA,5,,0.21\nA,5,-3,0.3\nA,5,-2.4,0.52\nA,5,-1.8,0.8\nA,5,-1.2,1.06\nB,9,,0.22\nB,9,-3,0.36\nB,9,-2.4,0.72\nB,9,-1.8,1.15\nB,9,-1.2,1.55\nC,14,,0.24\nC,14,-3,0.42\nC,14,-2.4,0.9\nC,14,-1.8,1.45\nC,14,-1.2,2\n"
		frames = "frame,ei,density\n1,100,0.62\n2,200,0.5\n3,400,0.38\n4,800,0.28\n,,0.22\n"
	)
	page := func(m map[string][]byte) answer.Answer { return rolls.Answer(m) }
	roll := func(head, strips, frames string) map[string][]byte {
		m := map[string][]byte{}
		for name, content := range map[string]string{"test.json": head, "strips.csv": strips, "bracket.csv": frames} {
			if content != "" {
				m[name] = []byte(content)
			}
		}
		return m
	}
	many := strings.Replace(strips, "density\n", "density\n"+strings.Repeat("A,5,x,y\n", 130), 1)
	held.New(t).Drive([]any{page}, roll(head, strips, frames), roll(head, strips, ""), roll(head, "", frames), roll(head, strings.Replace(strips, "1.15", "1.45", 1), frames),
		roll(head, many, ""), roll("{", strips, ""), roll(head, "", ""), roll(strings.Replace(head, "daylight", "", 1), strips, frames), map[string][]byte{}, map[string][]byte{"datapackage.json": []byte("{}")},
		roll(strings.Replace(head, `"light"`, `"exposure": "relative", "light"`, 1), strings.Replace(strips, "log_h_lx_s", "log_h", 1), ""))
}
