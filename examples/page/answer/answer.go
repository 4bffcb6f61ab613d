// Package answer is what the page's engines say: a plain document of boxes, tables,
// sentences and curves, which the page lays out, and the files that were dropped on it.
package answer

import (
	"encoding/json"
	"math"
)

// Answer is a document.
type Answer struct {
	Title    string    `json:"title"`
	Under    []string  `json:"under,omitempty"` // lines under the title
	Box      []Line    `json:"box,omitempty"`   // the answer in a few lines
	Sections []Section `json:"sections,omitempty"`
	Cautions []string  `json:"cautions,omitempty"`
	Files    []File    `json:"files,omitempty"` // to be kept
	// Errors say why there is no answer, a line each; nothing else is there then.
	Errors []string `json:"errors,omitempty"`
}

// Line is a line of a box.
type Line struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// Section is a part of the document under a heading.
type Section struct {
	Heading  string   `json:"heading"`
	Texts    []string `json:"texts,omitempty"`
	Findings []string `json:"findings,omitempty"`
	Tables   []Table  `json:"tables,omitempty"`
	Figures  []Figure `json:"figures,omitempty"`
}

// Table is a table; the first cell of a row names it.
type Table struct {
	Caption string     `json:"caption"`
	Head    []string   `json:"head"`
	Rows    [][]string `json:"rows"`
	Words   bool       `json:"words,omitempty"` // cells are text, set to the left
}

// Figure is a picture of curves and readings over common axes.
type Figure struct {
	Caption string  `json:"caption"`
	Alt     string  `json:"alt"` // what it shows, with the numbers
	X       string  `json:"x"`
	Y       string  `json:"y"`
	Curves  []Curve `json:"curves"`
	Marks   []Point `json:"marks,omitempty"`
}

// Curve is a line with its band, where it has one: Low and High then have as many points.
type Curve struct {
	Name   string  `json:"name,omitempty"` // at its end
	Points []Point `json:"points"`
	Low    []Point `json:"low,omitempty"`
	High   []Point `json:"high,omitempty"`
	Dashed bool    `json:"dashed,omitempty"`
}

// Point is x and y.
type Point [2]float64

// Drawable reports whether a point can be drawn.
func (p Point) Drawable() bool { return !math.IsNaN(p[0]-p[0]) && !math.IsNaN(p[1]-p[1]) }

// File is a file that the page offers to keep.
type File struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// Failed is an answer of an error, its lines apart.
func Failed(title string, lines ...string) Answer { return Answer{Title: title, Errors: lines} }

// JSON is the answer for the page. What cannot be written, such as a number that is not
// finite, is an answer that says so.
func (a Answer) JSON() []byte {
	b, err := json.Marshal(a)
	if err != nil {
		b, _ = json.Marshal(Failed(a.Title, "the answer cannot be written: "+err.Error()))
	}
	return b
}
