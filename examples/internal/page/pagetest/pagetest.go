// Package pagetest holds the examples' pages to what a reader needs: nothing is cut on a
// narrow or a wide screen, nor on paper, and every picture, table and heading says what it
// is. What needs a browser or a reader of PDF is left out where there is none.
package pagetest

import (
	"encoding/xml"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// Paper is a size of paper as a style names it, with its measures in points.
type Paper struct {
	Name          string
	Width, Height float64
}

// The papers of the pages.
var (
	A4     = Paper{"A4", 595, 842}
	Letter = Paper{"letter", 612, 792}
	A6     = Paper{"A6", 298, 420}
)

// Said checks what a screen reader goes by: a language, one first heading, a caption and
// headed columns for every table, and an alternative text with a number for every figure
// that is not the same as the caption.
func Said(t *testing.T, page []byte) {
	t.Helper()
	text := string(page)
	for _, want := range []string{`<html lang="en">`, `<meta name="viewport"`, "<main>"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	if n := strings.Count(text, "<h1"); n != 1 {
		t.Errorf("%d first headings", n)
	}
	for _, table := range regexp.MustCompile(`(?s)<table.*?</table>`).FindAllString(text, -1) {
		if !strings.Contains(table, "<caption>") || !strings.Contains(table, `scope="`) {
			t.Errorf("a table without caption or scope: %.200s", table)
		}
		for _, th := range regexp.MustCompile(`<th[ >][^>]*>?`).FindAllString(table, -1) {
			if !strings.Contains(th, "scope=") {
				t.Errorf("%s without a scope", th)
			}
		}
	}
	alt := regexp.MustCompile(`alt="([^"]*)"`)
	for _, fig := range regexp.MustCompile(`(?s)<figure.*?</figure>`).FindAllString(text, -1) {
		m := alt.FindStringSubmatch(fig)
		switch {
		case m == nil || !strings.ContainsAny(m[1], "0123456789"):
			t.Errorf("a figure whose alternative text has no numbers: %v", m)
		case strings.Contains(fig, "<figcaption>"+m[1]):
			t.Errorf("a caption that is read twice: %s", m[1])
		}
	}
}

// Whole checks that no text is cut: on screens of 400 and 1200 px, and printed on the
// papers. It skips what it has no programs for.
func Whole(t *testing.T, page []byte, papers ...Paper) {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes seconds to start")
	}
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("no chromium here")
	}
	for _, width := range []int{400, 1200} {
		screen(t, browser, page, width)
	}
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Log("no pdftotext here: printed pages were not looked at")
		return
	}
	for _, p := range papers {
		printed(t, browser, reader, page, p)
	}
}

// measure asks a browser for elements that are wider than what shows of them.
const measure = `<script>addEventListener("load", () => {
 const wide = document.documentElement.clientWidth, bad = [];
 for (const e of document.querySelectorAll("body *")) {
  if (e.closest("thead") && getComputedStyle(e.closest("thead")).position == "absolute") continue;
  const r = e.getBoundingClientRect();
  if (r.right > wide + 1 || r.left < -1) bad.push(e.tagName + " " + Math.round(r.left) + " to " + Math.round(r.right) + ": " + e.textContent.slice(0, 40));
  else if (e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0 && getComputedStyle(e).overflowX != "visible") bad.push("hidden in " + e.tagName);
 }
 document.body.setAttribute("data-measured", wide); document.body.setAttribute("data-cut", bad.slice(0, 5).join("; "));
})</script></body>`

// Browser returns a browser's command that shows nothing and asks no net, with a profile of
// its own. Its helpers go on writing there for a moment after the browser has ended, so the
// profile is removed when they let it go, and what stays of it is no fault of the test.
func Browser(t *testing.T, browser string, args ...string) *exec.Cmd {
	t.Helper()
	profile, err := os.MkdirTemp("", "browser")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		for range 50 {
			if os.RemoveAll(profile) == nil {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
		t.Logf("left behind: %s", profile)
	})
	return exec.Command(browser, append([]string{"--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync", "--user-data-dir=" + profile}, args...)...)
}

func run(t *testing.T, browser string, page []byte, args ...string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, page, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := Browser(t, browser, append(args, "file://"+file)...).Output()
	if err != nil {
		t.Skipf("the browser does not run here: %v", err)
	}
	return string(out)
}

func screen(t *testing.T, browser string, page []byte, width int) {
	t.Helper()
	// A frame of the width: the window of some browsers has a least one.
	page = []byte(strings.Replace(string(page), "</body>", measure, 1))
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "inner.html"), page, 0o644); err != nil {
		t.Fatal(err)
	}
	outer := fmt.Sprintf(`<!DOCTYPE html><body><iframe id="f" style="width:%dpx;height:900px;border:0" src="file://%s"></iframe><script>
addEventListener("load", () => { const b = document.getElementById("f").contentDocument.body;
document.title = "measured " + b.getAttribute("data-measured") + " cut [" + b.getAttribute("data-cut") + "]"; })</script></body>`,
		width, filepath.Join(dir, "inner.html"))
	dom := run(t, browser, []byte(outer), "--allow-file-access-from-files", "--window-size=1400,1000", "--dump-dom")
	m := regexp.MustCompile(`(?s)<title>measured (\d+) cut \[(.*?)\]</title>`).FindStringSubmatch(dom)
	if m == nil {
		t.Fatalf("at %d px nothing was measured: %.300s", width, dom)
	}
	if m[2] != "" {
		t.Errorf("at %d px cut: %s", width, m[2])
	}
}

// bbox is what pdftotext -bbox writes.
type bbox struct {
	Pages []struct {
		Width  float64 `xml:"width,attr"`
		Height float64 `xml:"height,attr"`
		Words  []struct {
			XMin float64 `xml:"xMin,attr"`
			XMax float64 `xml:"xMax,attr"`
			YMin float64 `xml:"yMin,attr"`
			YMax float64 `xml:"yMax,attr"`
			Text string  `xml:",chardata"`
		} `xml:"word"`
	} `xml:"body>doc>page"`
}

func printed(t *testing.T, browser, reader string, page []byte, paper Paper) {
	t.Helper()
	sized := strings.Replace(string(page), "@page {", "@page { size: "+paper.Name+";", 1)
	if paper == A6 {
		sized = string(page) // the card says its size itself
	}
	pdf := filepath.Join(t.TempDir(), "page.pdf")
	run(t, browser, []byte(sized), "--no-pdf-header-footer", "--print-to-pdf="+pdf)
	out, err := exec.Command(reader, "-bbox", pdf, "-").Output()
	if err != nil {
		t.Fatalf("%s: %v", paper.Name, err)
	}
	var found bbox
	if err := xml.Unmarshal(out, &found); err != nil {
		t.Fatalf("%s: %v", paper.Name, err)
	}
	const margin = 8 // points of paper that printers leave white
	var all strings.Builder
	have := map[string]int{}
	for i, p := range found.Pages {
		if p.Width < paper.Width-2 || p.Width > paper.Width+2 || p.Height < paper.Height-2 || p.Height > paper.Height+2 {
			t.Errorf("%s: page %d is %.0f × %.0f pt", paper.Name, i+1, p.Width, p.Height)
		}
		if len(p.Words) == 0 {
			t.Logf("%s: page %d has pictures only", paper.Name, i+1)
		}
		for _, w := range p.Words {
			have[w.Text]++
			all.WriteString(w.Text)
			if w.XMin < margin || w.XMax > p.Width-margin || w.YMin < margin || w.YMax > p.Height-margin {
				t.Errorf("%s: page %d: %q lies at %.0f to %.0f, %.0f to %.0f", paper.Name, i+1, w.Text, w.XMin, w.XMax, w.YMin, w.YMax)
			}
		}
	}
	if paper == A6 && len(found.Pages) != 1 {
		t.Errorf("%d sheets of A6, want one", len(found.Pages))
	}
	if tool, err := exec.LookPath("pdfimages"); err == nil {
		list, err := exec.Command(tool, "-list", pdf).Output()
		// Two lines of heading; a picture on two sheets would be there twice.
		if n, want := strings.Count(string(list), "\n")-2, strings.Count(string(page), "<img "); err != nil || max(n, 0) != want {
			t.Errorf("%s: %d pictures, want %d (%v)", paper.Name, n, want, err)
		}
	}
	for w, n := range Words(page) {
		// A long word may be broken at the end of a line.
		if have[w] < n && strings.Count(all.String(), w) < n {
			t.Errorf("%s: %q is there %d times, want %d", paper.Name, w, max(have[w], strings.Count(all.String(), w)), n)
		}
	}
}

// Words are the words of a page that are for reading, each with how often it is there.
func Words(page []byte) map[string]int {
	text := regexp.MustCompile(`(?s)<head>.*?</head>|<script.*?</script>`).ReplaceAllString(string(page), "")
	text = regexp.MustCompile(`</?(sub|sup|strong|em|b|i)>`).ReplaceAllString(text, "")
	text = regexp.MustCompile(`<[^>]*>`).ReplaceAllString(text, " ")
	text = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&#34;", `"`, "&#39;", "'", "&#43;", "+", "&amp;", "&").Replace(text)
	words := map[string]int{}
	for _, w := range strings.Fields(text) {
		words[w]++
	}
	return words
}
