// Package datapackage holds the mechanics of a data package of CSV tables (Data Package 2.0
// with Table Schema): descriptors with places, fields and units, cells and keys, hashes,
// and files that are written whole or not at all. It knows no film: what the tables mean
// is said by whoever gives them.
package datapackage
