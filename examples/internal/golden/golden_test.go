package golden

import "testing"

func TestAlike(t *testing.T) {
	for _, tc := range []struct {
		a, b string
		want bool
	}{
		{"EI 800 (717.0000001)", "EI 800 (717.0000002)", true}, {"EI 800", "EI 801", false}, {"EI 800", "ISO 800", false},
		{"a -1e-3", "a -0.001", true}, {"a 1 2", "a 1", false}, {"", "", true},
	} {
		if got := alike(tc.a, tc.b); got != tc.want {
			t.Errorf("%q, %q: %v", tc.a, tc.b, got)
		}
	}
	if differ("a\nb", "a\nc") == "" || differ("a", "a\nb") == "" || differ("a\nb", "a") == "" || differ("a\n1", "a\n1") != "" {
		t.Error("differences of lines")
	}
}

func TestText(t *testing.T) {
	if got := text([]byte("<style>a{}</style><h1>Film &amp; light</h1>\n <img alt=\"two curves\" src=\"data:x\"><p>EI 400</p>")); got != "Film &amp; light\n[two curves]\nEI 400" {
		t.Errorf("%q", got)
	}
}
