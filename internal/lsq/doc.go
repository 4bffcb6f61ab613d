// Package lsq fits models to readings by weighted least squares.
//
// It is small and dense: a handful of parameters (two to eight) and tens to
// thousands of readings. [Workspace.Fit] is a Levenberg-Marquardt iteration
// with an analytic Jacobian; [Linear] solves a linear model by Householder
// reflections. Both return the parameters with their covariance.
//
// A fit minimises
//
//	RSS = sum w_i (y_i - f_i(p))²
//
// With w_i = 1/sd_i² for readings of known standard deviation, the covariance
// of the parameters is the inverse of J'WJ. With weights that are only
// relative, that inverse is multiplied by RSS/(n-p), the variance of a reading
// of unit weight. [Result.Cov] gives the first, [Result.ScaledCov] the second.
//
// Sources: J. J. Moré, The Levenberg-Marquardt algorithm, Lecture Notes in
// Mathematics 630 (1978) 105-116, for the scaling; D. M. Bates and D. G. Watts,
// Nonlinear Regression Analysis (1988) section 2.2.3, for the relative offset
// that ends the iteration. The tests hold it to the certified values of the
// NIST Statistical Reference Datasets.
package lsq
