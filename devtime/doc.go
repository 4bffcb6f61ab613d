// Package devtime holds the laws of development: how contrast and effective
// speed grow with time in the bath.
//
// It answers which time gives a wanted contrast, with an interval, from strips
// of one film developed for several times in one process ([FitGrowth]); what
// the film really is at a time, and what a push costs ([Family]); how the time
// changes with temperature ([TemperatureLaw]), dilution ([DilutionLaw]),
// agitation ([ProcessFactor]) and use ([Exhaustion]); and what to pour into the
// tank ([Mix]). Times are [time.Duration]; [ParseTime] reads `7:30`, `7m30s`,
// `7½ min`, and [Clock] is a time in flags and documents. Temperatures are degrees
// [Celsius], volumes millilitres.
//
// It is not for colour processes, reversal or paper, whose chemistry is tied to
// one time and temperature. It holds no constants for films or developers:
// every law is fitted to the user's own strips or takes its constants from the
// caller.
//
// # Safety
//
// Developers can sensitise the skin, and some powders harm the lungs and eyes.
// Wear gloves and goggles, and a dust mask with powders; ventilate the room;
// never use food containers, label and date every bottle and keep it away from
// children; add acid to water, never water to acid. Follow the maker's safety
// data sheet, and your local rules for disposal. Those come before anything
// computed here.
package devtime
