package tables_test

import (
	"testing"

	"example.org/actinic/examples/page/answer"
	"example.org/actinic/examples/page/tables"
	"example.org/actinic/internal/held"
)

// What the page says of tables with one thing changed, and of several files at once, is held to what it was.
func TestDrive(t *testing.T) {
	one := func(text []byte) answer.Answer { return tables.Answer(map[string][]byte{"folder/t.csv": text}) }
	two := func(text []byte) answer.Answer {
		return tables.Answer(map[string][]byte{"b.csv": text, "a.csv": []byte("metered_s,adjusted_s\n1,1\n2,2.4\n5,7.5\n10,28\n20,42\n50,130\n"), "c.md": []byte("Times\n\n| Temperature | Time |\n|---|---|\n| 20 | 8 |\n| 22 | 6.5 |\n| 24 | 5.5 |\n")})
	}
	var pool []any
	for _, text := range []string{
		"metered_s,adjusted_s\n1,1\n2,2.4\n5,7.5\n10,17\n20,42\n50,130\n100,320\n",
		"ei,temperature_c,time\n100,20,8\n200,20,10.5\n400,20,13.5\n100,24,5.75\n200,24,7.5\n400,24,9.75\n",
		"# kind: Development\nTemperature,Time\n68 °F,8\n70 °F,7\n75 °F,5½\n",
	} {
		pool = append(pool, held.Variants(text)...)
	}
	said := held.New(t)
	said.Drive([]any{one}, pool...)
	said.Drive([]any{two}, append(held.Variants("filter,factor\n8,2\n15,2.5\n25,8\n")[:4], []byte(""), []byte("# kind: tablet\nstep,density\n1,0.05\n"))...)
}
