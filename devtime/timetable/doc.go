// Package timetable checks printed tables of development times, by index, dilution and
// temperature, for slips: [Read] reads one, [Check] holds it to the laws and to itself,
// [Compare] to another printing. It changes nothing in a table: what to do about a
// finding is for whoever has the sources.
package timetable
