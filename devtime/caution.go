package devtime

// Caution is said wherever somebody is told how long to develop.
const Caution = "Developers and fixers can sensitise the skin and harm the eyes: wear gloves and goggles, " +
	"ventilate the room, keep food and its containers away, label every bottle, add acid to water and never water to acid. " +
	"Dispose of used baths by your local rules. The maker's safety data sheet comes before anything said here."

// Cautions are the sentences to print wherever somebody is told to mix something;
// [Caution] is the short form.
func Cautions() []string {
	return []string{
		"Developers can sensitise the skin and may cause allergic reactions: wear gloves, and goggles when mixing; a dust mask with powders.",
		"Ventilate the room; a bathroom fan is not enough.",
		"Add acid to water, never water to acid.",
		"Use no food containers; label and date every bottle and keep it away from children. Do not eat or drink while working.",
		"Dispose of used solutions by your local rules, fixer with silver in it apart, and neither into a septic tank.",
		"Read the maker's safety data sheet first. It and your local rules come before anything printed here.",
	}
}
