// Command tablecheck says which entries of printed tables cannot be right, what their
// neighbours imply, and what kind of slip it looks like. It corrects nothing.
package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/internal/figure"
	"example.org/actinic/sensito/printed"
)

func main() { command.Main("tablecheck", run) }

func run(args []string, stdout, stderr io.Writer) error {
	o, err := parse(args, stdout)
	if err != nil {
		return err
	}
	accepted, err := readAccepted(o.accepted)
	if err != nil {
		return err
	}
	if len(o.args) == 0 {
		return runShipped(o, stdout)
	}
	if o.compare != "" {
		j, err := compare(o)
		if err != nil {
			return err
		}
		jobs := []job{j}
		accept(jobs, accepted)
		return o.finish(jobs, stdout, stderr)
	}
	return o.book(accepted, stdout, stderr)
}

// runShipped checks the tables that come with the program.
func runShipped(o *options, stdout io.Writer) error {
	jobs := shippedTables()
	if err := o.draw(jobs); err != nil {
		return err
	}
	if o.asJSON {
		return command.JSON(stdout, jobs)
	}
	for i := range jobs {
		words(stdout, &jobs[i])
	}
	return o.summary(jobs, stdout)
}

// finish prints tables that were checked together, and says how the program ends.
func (o *options) finish(jobs []job, stdout, stderr io.Writer) error {
	for i := range jobs {
		if err := o.one(&jobs[i], len(jobs) == 1, stdout, stderr); err != nil {
			return err
		}
	}
	return o.end(jobs, stdout)
}

// one prints one table.
func (o *options) one(j *job, alone bool, stdout, stderr io.Writer) error {
	switch {
	case j.err != nil && o.asJSON && !alone:
		return line(stdout, struct {
			File  string `json:"file"`
			Error string `json:"error"`
		}{j.path, j.err.Error()})
	case j.err != nil:
		if !alone && !o.sarif {
			_, err := fmt.Fprintln(stderr, j.err)
			return err
		}
		return nil
	case o.asJSON:
		return line(stdout, j.json())
	case o.suggest:
		return suggest(stdout, j)
	case !o.sarif:
		words(stdout, j)
	}
	return nil
}

// end says the summary, draws, and says how the program ends.
func (o *options) end(jobs []job, stdout io.Writer) error {
	if o.sarif {
		if err := sarif(stdout, jobs); err != nil {
			return err
		}
	}
	if err := o.draw(jobs); err != nil {
		return err
	}
	if !o.sarif && !o.asJSON && !o.suggest {
		if err := o.summary(jobs, stdout); err != nil {
			return err
		}
	}
	accused, remarks := 0, 0
	for i := range jobs {
		if err := jobs[i].err; err != nil {
			if len(jobs) == 1 {
				return err
			}
			return command.ErrFindings
		}
		a, r, _ := jobs[i].counts()
		accused, remarks = accused+a, remarks+r
	}
	if o.failOn == "accused" && accused > 0 || o.failOn == "remark" && accused+remarks > 0 {
		return command.ErrFailOn
	}
	return nil
}

// draw draws the tables where pictures are asked for.
func (o *options) draw(jobs []job) error {
	if o.out == "" {
		return nil
	}
	files := figure.Files{}
	names := map[string]int{}
	for _, j := range jobs {
		if j.err != nil {
			continue
		}
		if names[j.file]++; names[j.file] > 1 {
			j.file = fmt.Sprintf("%s_%d", j.file, names[j.file])
		}
		if err := draw(files, j); err != nil {
			return fmt.Errorf("drawing %s: %w", j.Name, err)
		}
	}
	if err := files.Write(o.out); err != nil {
		return fmt.Errorf("writing the pictures: %w", err)
	}
	return nil
}

// summary says how many of how many.
func (o *options) summary(jobs []job, w io.Writer) error {
	var caution string
	accused, remarks, left, unread, clean := 0, 0, 0, 0, 0
	for i := range jobs {
		j := &jobs[i]
		if j.err != nil {
			unread++
			continue
		}
		if j.Caution != "" {
			caution = j.Caution
		}
		a, r, k := j.counts()
		accused, remarks, left = accused+a, remarks+r, left+k
		if a == 0 {
			clean++
		}
	}
	if len(jobs) > 1 {
		text := fmt.Sprintf("%d tables: %s, %s", len(jobs), count(accused, "entry accused", "entries accused"),
			count(remarks, "remark", "remarks"))
		if left > 0 {
			text += fmt.Sprintf(", %d accepted", left)
		}
		if unread > 0 {
			text += ", " + count(unread, "could not be read", "could not be read")
		}
		fmt.Fprintln(w, text+".")
	}
	if o.out != "" && unread < len(jobs) {
		fmt.Fprintf(w, "Pictures: %s\n", filepath.ToSlash(o.out))
	}
	if caution != "" {
		fmt.Fprintln(w)
		paragraph(w, "", caution)
	}
	return nil
}

// words writes what was found in words.
func words(w io.Writer, j *job) {
	fmt.Fprintln(w, j.Name)
	if j.Source != "" {
		paragraph(w, "  ", j.Source)
	}
	paragraph(w, "  ", "Held against: "+strings.TrimSuffix(j.Law, ".")+".")
	for n, f := range j.Findings {
		lead := "  remark   "
		if f.Confidence == printed.High {
			lead = "  ACCUSED  "
		}
		f.Row = j.row(f)
		text := f.String()
		if f.Confidence == printed.High && f.Probability > 0 {
			text += fmt.Sprintf(" (probability %.0f %%)", 100*min(f.Probability, 0.99))
		}
		if c := j.cell(j.Findings[n]); c.Line > 0 && j.path != "" {
			text += fmt.Sprintf(" [%s:%d]", filepath.Base(j.path), c.Line)
		}
		if why := j.accepted[n]; why != "" {
			lead, text = "  accepted ", text+"; accepted: "+why
		}
		paragraph(w, lead, text)
	}
	for _, e := range j.expired {
		paragraph(w, "  expired  ", e)
	}
	if j.Unseen != "" && j.sheet != nil {
		paragraph(w, "  ", "What this table could not have shown: "+j.Unseen+".")
	}
	accused, remarks, accepted := j.counts()
	tail := count(remarks, "remark", "remarks")
	if accepted > 0 {
		tail += fmt.Sprintf(", %d accepted", accepted)
	}
	if accused > 0 {
		fmt.Fprintf(w, "  %s: %s, %s. Check them against the source.\n\n", count(j.Rows, "row", "rows"),
			count(accused, "entry accused", "entries accused"), tail)
	} else {
		fmt.Fprintf(w, "  %s: nothing accused, %s.\n\n", count(j.Rows, "row", "rows"), tail)
	}
}

// paragraph prints a sentence folded at 84 characters, further lines set in.
func paragraph(w io.Writer, lead, s string) { command.Paragraph(w, lead, s, 84, len(lead)) }
