// Package actinic joins the laws of photographic film to the jobs of the
// people who test, study and describe films: characterise a test roll, lay out
// an exposure-index bracket for a camera, say what was found with its
// uncertainty, check printed tables of development times, reciprocity
// corrections, filter factors and the like for slips, publish films as data and
// load them, and plan an exposure from the scene to the camera's marks.
//
// A [Film] is what is known of a film, part by part, each with where it comes
// from. [LoadFilm] has the built-in ones, all of them invented; [ReadPackage] and
// [WritePackage] are for anybody's own, [CheckPackage] holds them to the rules.
// [PlanExposure] uses one.
package actinic
