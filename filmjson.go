package actinic

import (
	"encoding/json"
	"fmt"
	"time"

	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito/datafile"
)

// MarshalJSON writes the film's [FilmData], times in seconds. The error wraps
// [datafile.ErrData] for a film that was not made by [NewFilm].
func (f *Film) MarshalJSON() ([]byte, error) {
	if f == nil || f.data.Name == "" {
		return nil, fmt.Errorf("%w: an empty film; make films by NewFilm", datafile.ErrData)
	}
	return json.Marshal(f.data)
}

// UnmarshalJSON reads [FilmData] and makes the film of it by [NewFilm], whose errors it
// returns.
func (f *Film) UnmarshalJSON(text []byte) error {
	var d FilmData
	if err := json.Unmarshal(text, &d); err != nil {
		return err
	}
	made, err := NewFilm(d)
	if err != nil {
		return err
	}
	*f = *made
	// The processes were made for another pointer.
	for _, p := range f.processes {
		p.film = f
	}
	return nil
}

// secondsOf reads a time in seconds.
// Durations end at 292 years; what is a billion seconds was no development.
func secondsOf(what string, s float64) (time.Duration, error) {
	if !(s > -1e9 && s < 1e9) {
		return 0, fmt.Errorf("%w: %s of %v s", datafile.ErrData, what, s)
	}
	return figures.Seconds(s), nil
}

// MarshalJSON writes the strip with its development in seconds.
func (c CurveData) MarshalJSON() ([]byte, error) {
	type plain CurveData
	return json.Marshal(struct {
		plain
		DevelopmentS float64 `json:"development_s"`
	}{plain(c), c.Development.Seconds()})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (c *CurveData) UnmarshalJSON(text []byte) error {
	type plain CurveData
	var j struct {
		plain
		DevelopmentS float64 `json:"development_s"`
	}
	if err := json.Unmarshal(text, &j); err != nil {
		return err
	}
	d, err := secondsOf("development", j.DevelopmentS)
	*c = CurveData(j.plain)
	c.Development = d
	return err
}

// MarshalJSON writes the granularity with its development in seconds.
func (d GranularityData) MarshalJSON() ([]byte, error) {
	type plain GranularityData
	return json.Marshal(struct {
		plain
		DevelopmentS float64 `json:"development_s,omitempty"`
	}{plain(d), d.Development.Seconds()})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (d *GranularityData) UnmarshalJSON(text []byte) error {
	type plain GranularityData
	var j struct {
		plain
		DevelopmentS float64 `json:"development_s"`
	}
	if err := json.Unmarshal(text, &j); err != nil {
		return err
	}
	t, err := secondsOf("development", j.DevelopmentS)
	*d = GranularityData(j.plain)
	d.Development = t
	return err
}

// MarshalJSON writes the response with its development in seconds.
func (d ResponseData) MarshalJSON() ([]byte, error) {
	type plain ResponseData
	return json.Marshal(struct {
		plain
		DevelopmentS float64 `json:"development_s,omitempty"`
	}{plain(d), d.Development.Seconds()})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (d *ResponseData) UnmarshalJSON(text []byte) error {
	type plain ResponseData
	var j struct {
		plain
		DevelopmentS float64 `json:"development_s"`
	}
	if err := json.Unmarshal(text, &j); err != nil {
		return err
	}
	t, err := secondsOf("development", j.DevelopmentS)
	*d = ResponseData(j.plain)
	d.Development = t
	return err
}

// MarshalJSON writes the family with its times in seconds.
func (d GrowthData) MarshalJSON() ([]byte, error) {
	type plain GrowthData
	return json.Marshal(struct {
		plain
		ShortestS float64 `json:"shortest_s"`
		LongestS  float64 `json:"longest_s"`
	}{plain(d), d.Shortest.Seconds(), d.Longest.Seconds()})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (d *GrowthData) UnmarshalJSON(text []byte) error {
	type plain GrowthData
	var j struct {
		plain
		ShortestS float64 `json:"shortest_s"`
		LongestS  float64 `json:"longest_s"`
	}
	if err := json.Unmarshal(text, &j); err != nil {
		return err
	}
	short, err := secondsOf("development", j.ShortestS)
	if err != nil {
		return err
	}
	long, err := secondsOf("development", j.LongestS)
	*d = GrowthData(j.plain)
	d.Shortest, d.Longest = short, long
	return err
}
