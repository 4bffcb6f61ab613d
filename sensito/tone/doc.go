// Package tone follows the tones of a subject into the negative: which density each gets
// at an index, with the flare of the camera, which step of grey that is on a paper, whether
// the range of densities fits a paper, a scanner or a camera, and by how many stops the
// negative may be copied over the bare light.
//
// It knows a curve by its densities only. What a paper makes of a tone depends on the
// paper's own curve, which is not in it: a step of grey is a place in the paper's range.
package tone
