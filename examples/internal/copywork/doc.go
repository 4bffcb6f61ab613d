// Package copywork is what programs share that read pictures of negatives on a light table: how
// their jobs name pictures, times and boxes.
package copywork
