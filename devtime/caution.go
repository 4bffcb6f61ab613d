package devtime

// Caution is said wherever somebody is told how long to develop.
const Caution = "Developers and fixers can sensitise the skin and harm the eyes: wear gloves and goggles, " +
	"ventilate the room, keep food and its containers away, label every bottle, add acid to water and never water to acid. " +
	"Dispose of used baths by your local rules. The maker's safety data sheet comes before anything said here."
