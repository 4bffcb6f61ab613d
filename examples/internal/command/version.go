package command

import (
	"runtime/debug"

	"example.org/actinic"
)

// Version is the version of the library, as in [Made], with the commit where the program
// was built in a checkout: what a result is kept with.
func Version() string {
	if info, ok := debug.ReadBuildInfo(); ok {
		return versionOf(info.Settings)
	}
	return actinic.Version
}

func versionOf(settings []debug.BuildSetting) string {
	commit, changed := "", ""
	for _, s := range settings {
		switch {
		case s.Key == "vcs.revision":
			commit = " " + s.Value
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = ", changed"
		}
	}
	if commit == "" {
		return actinic.Version
	}
	return actinic.Version + commit + changed
}
