package camera

import (
	"fmt"
	"slices"

	"example.org/actinic/internal/jsonplace"
	"example.org/actinic/sensito/exposure"
)

// markScale is how marks of a kind are named in a file, printed on scales, and added by
// their number: apertures and times alike.
type markScale[M any] struct {
	name, low, high string // of the members; low gives the most light
	usual           [2]M   // the ends of the default camera
	parse           func(text string) (M, error)
	printed         func(Steps) ([]M, error) // the whole scale
	value           func(M) float64          // additive: Av or Tv
	print           func(M) string
	want            string
	least, greatest M // what a camera can have
}

var apertureScale = markScale[ApertureMark]{
	name: "apertures", low: "widest", high: "smallest", want: `an f-number in quotation marks, such as "f/5.6", from f/0.5 to f/512`,
	usual: [2]ApertureMark{ApertureAt(defaultWidest), ApertureAt(defaultSmallest)},
	least: ApertureAt(0.5), greatest: ApertureAt(512),
	parse: func(text string) (ApertureMark, error) {
		n, err := exposure.ParseFNumber(text)
		return ApertureAt(n), err
	},
	printed: func(s Steps) ([]ApertureMark, error) { return ApertureMarks(s, 0, 0) },
	value:   func(m ApertureMark) float64 { return float64(m.Av) },
	print:   ApertureMark.String,
}

var timeScale = markScale[TimeMark]{
	name: "times", low: "longest", high: "fastest", want: `a time in quotation marks, such as "1/125" or "8s", from 24h to 1/1000000`,
	usual: [2]TimeMark{TimeAt(defaultLongest), TimeAt(defaultFastest)},
	least: TimeAt(longestMark), greatest: TimeAt(fastestMark),
	parse: func(text string) (TimeMark, error) {
		t, err := exposure.ParseShutter(text)
		return TimeAt(t), err
	},
	printed: func(s Steps) ([]TimeMark, error) {
		ms, err := TimeMarks(s, 0, 0)
		slices.Reverse(ms) // longest first, as values rise
		return ms, err
	},
	value: func(m TimeMark) float64 { return float64(m.Tv) },
	print: TimeMark.String,
}

// What a dial can have.
const longestMark, fastestMark = 24 * 3600e9, 1e3

// readMarks reads the scale of a kind of marks and its ends.
func readMarks[M any](r *reader, s markScale[M], as *scale) []M {
	before := len(r.errs)
	low, high := s.usual[0], s.usual[1]
	var all []M
	as.steps = ThirdStops
	switch v := r.root.Get(s.name); {
	case v != nil && v.Kind == '[':
		if all = s.list(r, v); len(all) > 0 {
			low, high = all[0], all[len(all)-1]
		}
		for _, m := range all {
			as.list = append(as.list, s.print(m))
		}
	case v != nil && as.steps.UnmarshalText([]byte(v.Text())) != nil:
		r.bad(s.name, `full, half or third, or a list of marks such as `+map[string]string{"times": `["1/500", "1/250"]`,
			"apertures": `["f/2", "f/2.8"]`}[s.name])
	default:
		all, _ = s.printed(as.steps)
	}
	low, high = s.end(r, s.low, low), s.end(r, s.high, high)
	if len(r.errs) > before {
		return nil
	}
	if !(s.value(low) < s.value(high)+closeMarks) {
		name := s.high
		if !r.root.Has(name) {
			name = s.low
		}
		r.bad(name, fmt.Sprintf("%s and %s the other way round: they are %s and %s", s.low, s.high, s.print(low), s.print(high)))
		return nil
	}
	return s.within(all, low, high)
}

// end reads an end of the scale.
func (s *markScale[M]) end(r *reader, name string, usual M) M {
	v := r.root.Get(name)
	if v == nil {
		return usual
	}
	m, ok := s.mark(v)
	if !ok {
		r.bad(name, s.want)
	}
	return m
}

// mark reads one mark, by its number.
func (s *markScale[M]) mark(v *jsonplace.Node) (M, bool) {
	m, err := s.parse(v.Text())
	return m, err == nil && s.value(m) >= s.value(s.least)-closeMarks && s.value(m) <= s.value(s.greatest)+closeMarks
}

// list reads a list of marks, and gives those on a printed scale their places on it. They
// are returned in order.
func (s *markScale[M]) list(r *reader, v *jsonplace.Node) []M {
	if n := len(v.Items); n == 0 || n > mostMarks {
		r.fail(v.Offset, s.name, v.Plain(), fmt.Sprintf("from 1 to %d marks", mostMarks))
		return nil
	}
	marks := make([]M, len(v.Items))
	for i, item := range v.Items {
		m, ok := s.mark(item)
		if !ok {
			r.fail(item.Offset, s.name, item.Plain(), s.want)
			return nil
		}
		marks[i] = m
	}
	marks = s.placed(marks)
	at := map[string]bool{}
	for i, item := range v.Items {
		if at[s.print(marks[i])] {
			r.fail(item.Offset, s.name, item.Plain(), "each mark once")
			return nil
		}
		at[s.print(marks[i])] = true
	}
	slices.SortFunc(marks, s.order)
	for i := 1; i < len(marks); i++ {
		if a, b := marks[i-1], marks[i]; !(s.value(b) > s.value(a)+closeMarks) {
			r.fail(v.Offset, s.name, s.print(b), "marks that differ: it stands where "+s.print(a)+" does")
			return nil
		}
	}
	return marks
}

// mostMarks is how many marks a list may have.
const mostMarks = 200

// placed gives marks the values of the printed scale that has most of them.
func (s *markScale[M]) placed(marks []M) []M {
	best, most := marks, 0
	for _, steps := range []Steps{FullStops, HalfStops, ThirdStops} {
		all, _ := s.printed(steps)
		by := map[string]M{}
		for _, m := range all {
			by[s.print(m)] = m
		}
		on, out := 0, slices.Clone(marks)
		for i, m := range marks {
			if p, ok := by[s.print(m)]; ok {
				out[i] = p
				on++
			}
		}
		if on > most {
			best, most = out, on
		}
	}
	return best
}

// within returns the marks from one end to the other. An end that is none of them is
// added by its number.
func (s *markScale[M]) within(all []M, low, high M) []M {
	ends := []M{low, high}
	for i, e := range ends {
		for _, m := range all {
			if s.print(m) == s.print(e) {
				ends[i] = m
			}
		}
	}
	low, high = ends[0], ends[1]
	out := []M{low}
	for _, m := range all {
		if s.value(m) > s.value(low)+closeMarks && s.value(m) < s.value(high)-closeMarks {
			out = append(out, m)
		}
	}
	if s.print(high) != s.print(low) {
		out = append(out, high)
	}
	return out
}

func (s *markScale[M]) order(a, b M) int {
	switch x, y := s.value(a), s.value(b); {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}
