// Package printed is the kit for checking printed tables: what a checker reports
// ([Report], [Finding], [Slip], [Confidence]), how it builds the report ([Builder]), and
// two checkers for columns of any kind: [CheckSeries] for one with a law or an order, and
// [ScreenTable] for a first look at many. Tables of a subject are checked beside its laws:
// development times in devtime/timetable, reciprocity in reciprocity/corrections, filter
// factors in filters/factortable.
package printed
