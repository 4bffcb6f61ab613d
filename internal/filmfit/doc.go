// Package filmfit fits a characteristic curve of unknown shape to noisy densities
// and says how well the readings determine it.
//
// The logarithm of the slope is a closed form, toe and shoulder, plus a smooth
// departure from it. No form is chosen: four laws of the toe and three sizes of
// the departure are fitted, and each counts by its prior chance and its marginal likelihood
// (Laplace's approximation). A film of the closed form so gets nearly the interval of the
// closed form, another film a wider one, and what the readings cannot tell apart is
// in the interval and not in a footnote.
package filmfit
