package main

import (
	"strings"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/filters"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/spectral"
)

// glass fills in what is before the lens, the light that it stands in, and the meter.
func (o *options) glass(s *actinic.Shot) error {
	// The light is looked at whatever stands before the lens: a slip in it is told.
	light, _, err := command.Light(o.light)
	if err != nil {
		return err
	}
	s.Scene = actinic.MeteredScene(exposure.EV100(o.ev), light)
	var stack []filters.Filter
	var called []string
	for _, name := range o.filters {
		entry, err := find(name)
		if err != nil {
			return err
		}
		stack, called = append(stack, entry.Filter), append(called, entry.Filter.Name())
	}
	switch len(stack) {
	case 0:
	case 1:
		s.Filter = stack[0]
	default:
		if s.Filter, err = filters.Stack(stack...); err != nil {
			return err
		}
		s.Filter = s.Filter.Named(strings.Join(called, " and "))
	}
	switch o.meter {
	case "hand":
	case "through":
		s.Meter = spectral.Eye()
	default:
		return command.Usagef("-meter %q: want hand or through", o.meter)
	}
	return nil
}

// find takes a number, a name or the beginnings of its words. A density is a grey filter,
// which has a flag of its own.
func find(name string) (filters.Entry, error) {
	if up := strings.ToUpper(name); strings.HasPrefix(up, "ND") || strings.HasPrefix(up, "GREY") {
		return filters.Entry{}, command.Usagef("-filter %q: a grey filter is -nd with its density, such as -nd 0.9 for three stops", name)
	}
	return filters.FindByPart(name)
}
