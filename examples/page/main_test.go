package main

import (
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"example.org/actinic"
	"example.org/actinic/examples/internal/page/pagetest"
	"example.org/actinic/examples/testroll/quarry"
)

// mostLoaded is what a visitor loads at most for a test or for a table, with gzip.
const mostLoaded = 2_000_000

// harness is a page that holds the page in a frame, does what a person does, and tells the
// server what it saw.
const harness = `<!DOCTYPE html><iframe id="f" style="width:1000px;height:900px"></iframe><script>
const errors = [], sleep = (ms) => new Promise((r) => setTimeout(r, ms));
(async () => {
  const said = [];
  const frame = document.getElementById("f");
  await new Promise((r) => { frame.onload = r; frame.src = "/index.html"; });
  const w = frame.contentWindow, d = w.document;
  w.addEventListener("error", (e) => errors.push(e.message));
  w.addEventListener("unhandledrejection", (e) => errors.push(String(e.reason)));
  const was = w.console.error; w.console.error = (...a) => { errors.push(a.join(" ")); was.apply(w.console, a); };
  const settled = async () => {
    for (let i = 0; i < 1200; i++) {
      await sleep(50);
      if (/^(Done|No answer|It failed|These files)/.test(d.getElementById("status").textContent)) break;
    }
    const text = d.getElementById("status").textContent + "\n" + d.getElementById("answer").textContent;
    d.getElementById("status").textContent = "waiting";
    return text;
  };
  // Everything that takes the keyboard has a name that can be read out.
  const names = [...d.querySelectorAll("input, button, a[href], [tabindex]")].map((e) => [e.tagName,
    (e.labels && e.labels[0] && e.labels[0].textContent) || e.getAttribute("aria-label") || e.textContent]);
  for (const drop of await (await fetch("/drops")).json()) {
    const t = new w.DataTransfer();
    for (const [name, text] of Object.entries(drop.files)) t.items.add(new w.File([text], name));
    d.getElementById("drop").dispatchEvent(new w.DragEvent("drop", { dataTransfer: t, bubbles: true, cancelable: true }));
    said.push(await settled());
  }
  const button = d.getElementById("sample");
  button.focus();
  const focused = d.activeElement === button;
  button.click();
  said.push(await settled());
  const answer = d.activeElement && d.activeElement.id;
  const wide = d.documentElement.scrollWidth <= d.documentElement.clientWidth;
  const images = [...d.querySelectorAll("svg")].map((s) => s.getAttribute("aria-label"));
  await fetch("/done", { method: "POST", body: JSON.stringify({ said, errors, names, focused, answer, wide, images }) });
})().catch((e) => fetch("/done", { method: "POST", body: JSON.stringify({ errors: ["harness: " + e.message] }) }));
</script>`

type seen struct {
	Said    []string
	Errors  []string
	Names   [][2]string
	Focused bool
	Answer  string
	Wide    bool
	Images  []string
}

type drop struct {
	Files map[string]string `json:"files"`
}

func filesOf(t *testing.T, fsys fs.FS) map[string]string {
	t.Helper()
	out := map[string]string{}
	names, err := fs.Glob(fsys, "*")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		content, err := fs.ReadFile(fsys, name)
		if err != nil {
			t.Fatal(err)
		}
		out[name] = string(content)
	}
	return out
}

// The page in a browser: a test, a printed table, a package and files that are none of
// these are dropped on it; what it says is read, and nothing may stand in its console.
func TestPageInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("two engines are built and a browser is started")
	}
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("no chromium here")
	}
	page := made(t)
	film, err := actinic.LoadFilm("Ceunant Fine")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "package")
	if err := actinic.WritePackage(dir, actinic.PackageInfo{Name: "mine", Title: "My film", Version: "1.0.0"}, film); err != nil {
		t.Fatal(err)
	}
	roll := filesOf(t, quarry.Files)
	drops := []drop{
		{roll},
		{map[string]string{"times.csv": "metered_s,adjusted_s\n1,1\n2,2.4\n5,7.5\n10,28\n20,42\n50,130\n100,320\n"}},
		{filesOf(t, os.DirFS(dir))},
		{map[string]string{"test.json": "{", "strips.csv": "a"}},
		{map[string]string{"table.csv": "<script>alert(1)</script>,b\n<img src=x onerror=alert(1)>,2\n"}},
		{map[string]string{"test.json": roll["test.json"], "strips.csv": strings.Replace(roll["strips.csv"], "0.239", "zero", 1)}},
	}
	want := [][]string{
		{"Done", "Garnedd Swift (invented)", "EI 800 (730)", "14:00", "safety data sheet"},
		{"Done", "Accused1", "28"}, // the row of 10 s that says 28
		{"Done", "My film", "Ceunant Fine", "nothing found"},
		{"No answer", "test.json"},
		{"Done", "table.csv"},
		{"No answer", "strips.csv:2:", "zero"},
		{"Done", "EI 800 (730)"},
	}
	done := make(chan seen, 1)
	mux := http.NewServeMux()
	mux.Handle("/", http.FileServerFS(os.DirFS(page)))
	mux.HandleFunc("/harness", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		io.WriteString(w, harness)
	})
	mux.HandleFunc("/drops", func(w http.ResponseWriter, _ *http.Request) { json.NewEncoder(w).Encode(drops) })
	mux.HandleFunc("/done", func(_ http.ResponseWriter, r *http.Request) {
		var s seen
		if err := json.NewDecoder(r.Body).Decode(&s); err != nil {
			s.Errors = append(s.Errors, err.Error())
		}
		done <- s
	})
	server := httptest.NewServer(mux)
	defer server.Close()
	cmd := pagetest.Browser(t, browser, "--remote-debugging-port=0", server.URL+"/harness")
	if err := cmd.Start(); err != nil {
		t.Skipf("the browser does not run here: %v", err)
	}
	defer func() { cmd.Process.Kill(); cmd.Wait() }()
	select {
	case s := <-done:
		s.check(t, want)
	case <-time.After(3 * time.Minute):
		t.Fatal("the browser did not answer in three minutes")
	}
}

func (s seen) check(t *testing.T, want [][]string) {
	t.Helper()
	if len(s.Errors) > 0 {
		t.Errorf("in the console: %q", s.Errors)
	}
	if len(s.Said) != len(want) {
		t.Fatalf("%d answers, want %d", len(s.Said), len(want))
	}
	for i, words := range want {
		for _, w := range words {
			if !strings.Contains(s.Said[i], w) {
				t.Errorf("drop %d lacks %q: %.600s", i+1, w, s.Said[i])
			}
		}
	}
	if !s.Focused || s.Answer != "answer" || !s.Wide {
		t.Errorf("button focused %v, then focus on %q, nothing wider than the page %v", s.Focused, s.Answer, s.Wide)
	}
	for _, n := range s.Names {
		if strings.TrimSpace(n[1]) == "" {
			t.Errorf("a %s without a name", n[0])
		}
	}
	for _, alt := range s.Images {
		if !strings.ContainsAny(alt, "0123456789") {
			t.Errorf("a picture is told as %q", alt)
		}
	}
}

// made builds the page once into a folder.
func made(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "page")
	var out strings.Builder
	if err := run([]string{"-out", dir}, &out, io.Discard); err != nil {
		t.Fatal(err)
	}
	// What a visitor loads for one kind of file: the page and one engine.
	sizes := map[string]int{}
	for name, text := range filesOf(t, os.DirFS(dir)) {
		sizes[name] = len(packed([]byte(text)))
	}
	rest := 0
	for name, n := range sizes {
		if name != "rolls.js" && name != "tables.js" {
			rest += n
		}
	}
	for _, e := range engines {
		n := sizes[e+".js"]
		t.Logf("%s: %d bytes with gzip, with the page around it %d", e, n, n+rest)
		if n+rest > mostLoaded {
			t.Errorf("%s: %d bytes with gzip, want at most %d", e, n+rest, mostLoaded)
		}
		if !strings.Contains(out.String(), fmt.Sprint(n)) {
			t.Errorf("the size of %s is not said: %s", e, out.String())
		}
	}
	return dir
}

// Opened from a folder, without a server and without a net, the page answers too.
func TestPageFromAFolder(t *testing.T) {
	if testing.Short() {
		t.Skip("two engines are built and a browser is started")
	}
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("no chromium here")
	}
	page := made(t)
	var dom []byte
	for range 4 { // the browser's clock may run out before a busy machine has made the engine
		dom, err = pagetest.Browser(t, browser, "--virtual-time-budget=120000", "--dump-dom",
			"file://"+page+"/index.html#sample").Output()
		if err != nil {
			t.Skipf("the browser does not run here: %v", err)
		}
		if strings.Contains(string(dom), "EI 800 (730)") {
			return
		}
	}
	t.Errorf("%.600s", dom)
}

// The page asks the net for nothing: no address of anywhere stands in what it loads.
func TestNoNet(t *testing.T) {
	for name, text := range filesOf(t, must(fs.Sub(site, "site"))) {
		for _, address := range regexp.MustCompile(`https?://[^"'\s]+`).FindAllString(text, -1) {
			if address != "http://www.w3.org/2000/svg" { // the name of SVG, which nobody fetches
				t.Errorf("%s has %s", name, address)
			}
		}
	}
}

func must(fsys fs.FS, err error) fs.FS {
	if err != nil {
		panic(err)
	}
	return fsys
}
