// Package roll makes of a test roll what its film is: strips exposed through a step tablet
// and developed for several times, and perhaps frames of a subject bracketed over exposure
// indexes. [Read] reads the files of a test, [Roll.Characterise] makes the [Record] of it:
// speed and contrast of each strip, the growth of contrast, the development for a wanted
// contrast, the index to set, each with its interval of 95 %, and what to do in words.
//
// It publishes nothing: the root package makes a film of a record.
package roll
