package command

import "runtime/debug"

// Version is the version of the library in this program, with the commit where it was
// built in a checkout: what a result is kept with.
func Version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	version, commit, changed := info.Main.Version, "", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			commit = s.Value
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = ", changed"
		}
	}
	if version == "" {
		version = "(devel)"
	}
	if commit != "" {
		version += " " + commit + changed
	}
	return version
}
