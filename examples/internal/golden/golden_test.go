package golden

import "testing"

func TestText(t *testing.T) {
	if got := text([]byte("<style>a{}</style><h1>Film &amp; light</h1>\n <img alt=\"two curves\" src=\"data:x\"><p>EI 400</p>")); got != "Film &amp; light\n[two curves]\nEI 400" {
		t.Errorf("%q", got)
	}
}
