package main

import (
	"io"
	"path/filepath"
	"strings"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/sensito/printed"
)

// sarif prints findings in the Static Analysis Results Interchange Format, version 2.1.0
// (OASIS standard, 27 March 2020), of which code hosts show the places.
func sarif(w io.Writer, jobs []job) error {
	type text struct {
		Text string `json:"text"`
	}
	type region struct {
		StartLine int `json:"startLine"`
	}
	type artifact struct {
		URI string `json:"uri"`
	}
	type physical struct {
		ArtifactLocation artifact `json:"artifactLocation"`
		Region           *region  `json:"region,omitempty"`
	}
	type location struct {
		PhysicalLocation physical `json:"physicalLocation"`
	}
	type suppression struct {
		Kind          string `json:"kind"`
		Justification string `json:"justification"`
	}
	type result struct {
		RuleID       string        `json:"ruleId"`
		Level        string        `json:"level"`
		Message      text          `json:"message"`
		Locations    []location    `json:"locations"`
		Suppressions []suppression `json:"suppressions,omitempty"`
	}
	at := func(file string, line int) []location {
		l := location{physical{ArtifactLocation: artifact{filepath.ToSlash(file)}}}
		if line > 0 {
			l.PhysicalLocation.Region = &region{line}
		}
		return []location{l}
	}
	results := []result{}
	for _, j := range jobs {
		if j.err != nil {
			results = append(results, result{RuleID: "unreadable", Level: "error", Message: text{j.err.Error()}, Locations: at(j.path, 0)})
			continue
		}
		for n, f := range j.Findings {
			r := result{RuleID: "remark", Level: "note", Message: text{f.String()}, Locations: at(j.path, j.cell(f).Line)}
			if f.Confidence == printed.High {
				r.RuleID, r.Level = "accused", "error"
			}
			if f.Slip != "" {
				r.RuleID += "/" + strings.ReplaceAll(string(f.Slip), " ", "-")
			}
			if why := j.accepted[n]; why != "" {
				r.Suppressions = []suppression{{"external", why}}
			}
			results = append(results, r)
		}
	}
	type driver struct {
		Name string `json:"name"`
	}
	type tool struct {
		Driver driver `json:"driver"`
	}
	type run struct {
		Tool    tool     `json:"tool"`
		Results []result `json:"results"`
	}
	return command.JSON(w, struct {
		Schema  string `json:"$schema"`
		Version string `json:"version"`
		Runs    []run  `json:"runs"`
	}{"https://json.schemastore.org/sarif-2.1.0.json", "2.1.0", []run{{tool{driver{"tablecheck"}}, results}}})
}
