// Package datafile reads tables of comma-separated values and says of everything that
// it cannot use where it stands: file, line, and column in bytes. It knows nothing of
// films: every reader of the project goes through it, so that a line, a field and a
// column are the same thing everywhere.
package datafile
