// Package actinic joins the laws of photographic film to the jobs of the
// people who test, study and describe films: characterise a test roll, lay out
// an exposure-index bracket for a camera, say what was found with its
// uncertainty, and check printed tables of development times, reciprocity
// corrections, filter factors and the like for slips.
package actinic
