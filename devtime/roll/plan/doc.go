// Package plan lays out a test roll before it is exposed: which strips, which steps, which
// frames of the bracket, so that the index and the development come out as sharp as wanted
// for the least film. [New] makes the [Plan] of a [Wish]: a guess of the film and how sure
// it is, the camera by its marks, the light, and the wanted half-widths. [Next] says what to
// expose next, given the readings so far.
//
// What is exposed is chosen by optimal design averaged over films that go with the guess,
// by the information that the fits of package roll have of such readings, with enough
// distinct exposures to see a lack of fit. Beside it stands the even plan of as much film.
//
// It does not expose, and it does not evaluate: [roll.Roll.Characterise] does.
package plan
