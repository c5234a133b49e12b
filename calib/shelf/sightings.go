package shelf

import (
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/logbook"
)

// Sightings are what the meters on record found in bottles: those of all
// calibrations with a reading of one of them, by time. A reading that was held
// against a version of the bottle which has been corrected since says nothing of
// what the record says now, and is left out; so are the calibrations of without.
// Errors as for [logbook.Book.Bottle].
func Sightings(book *logbook.Book, bottles []string, without ...string) ([]Sighting, error) {
	var list []logbook.Calibration
	seen := map[string]bool{}
	for _, id := range without {
		seen[id] = true
	}
	for _, bottle := range bottles {
		with, err := book.CalibrationsWith(bottle, logbook.Current)
		if err != nil {
			return nil, err
		}
		for _, c := range with {
			if !seen[c.ID] {
				seen[c.ID] = true
				list = append(list, c)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b logbook.Calibration) int { return a.Time.Compare(b.Time) })
	versions := map[string][]logbook.Bottle{}
	var out []Sighting
	for _, c := range list {
		meter, err := book.Meter(c.Meter)
		if err != nil {
			return nil, err
		}
		for _, r := range c.Readings {
			s, ok := Sight(c, meter, r)
			if !ok {
				continue
			}
			at := r.Time
			if at.IsZero() {
				at = c.Time
			}
			if versions[s.Bottle] == nil {
				if versions[s.Bottle], err = book.BottleVersions(s.Bottle); err != nil {
					return nil, err
				}
			}
			if logbook.Holding(versions[s.Bottle], at).ID == r.BottleID {
				out = append(out, s)
			}
		}
	}
	return out, nil
}

// Sight is a reading of a calibration as a sighting of its bottle, with the
// tolerance of the meter; ok is false for one whose reference is not from the record.
func Sight(c logbook.Calibration, m logbook.Meter, r logbook.Reading) (s Sighting, ok bool) {
	scale := 1.0
	if c.Quantity == "ec" {
		scale = math.Abs(r.Ref)
	}
	if r.BottleID == "" || scale == 0 {
		return Sighting{}, false
	}
	name, _, _ := strings.Cut(r.BottleID, "/") // the version's number is behind it
	s = Sighting{Bottle: name, Meter: c.Meter, Session: c.ID, Error: (r.Reading - r.Ref) / scale}
	var u float64
	for _, part := range []*float64{r.URef, r.URefShared, r.UReading} {
		if part != nil {
			u = math.Hypot(u, *part)
		}
	}
	s.U = u / scale
	if m.Tolerance == nil {
		return s, true
	}
	switch {
	case m.ToleranceRelative == (c.Quantity == "ec"):
		s.Tolerance = *m.Tolerance
	case m.ToleranceRelative:
		s.Tolerance = *m.Tolerance * math.Abs(r.Ref)
	default:
		s.Tolerance = *m.Tolerance / scale
	}
	return s, true
}
