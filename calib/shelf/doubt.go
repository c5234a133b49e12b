package shelf

import (
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
)

// PastDate warns of a bottle that was used after its date; "" where it was not,
// or has none.
func PastDate(b logbook.Bottle, at time.Time) string {
	if b.BestBefore == "" || at.Format(time.DateOnly) <= b.BestBefore {
		return ""
	}
	return fmt.Sprintf("bottle %s was good until %s: make a fresh one, or hold it against one", b.Name, b.BestBefore)
}

// Doubts are what speaks against taking a bottle at its word at a time: it was
// past its date, or not made yet, or has changed since. versions are all of the
// bottle's, the first one first, and b the one among them that is used.
func Doubts(b logbook.Bottle, versions []logbook.Bottle, at time.Time) []string {
	var out []string
	if text := PastDate(b, at); text != "" {
		out = append(out, text)
	}
	if day := at.Format(time.DateOnly); b.MadeOn != "" && day < b.MadeOn {
		out = append(out, fmt.Sprintf("bottle %s was made on %s, after its reading of %s: look at the dates, or at the name", b.Name, b.MadeOn, day))
	}
	for _, later := range versions {
		if later.Since.After(at) && later.FullG != nil && b.FullG != nil && later.Supersedes == b.ID {
			out = append(out, fmt.Sprintf("bottle %s was weighed again on %s; its reading of %s is held against what it was worth before, %s: water lost by then is left out",
				b.Name, later.Since.Format(time.DateOnly), at.Format(time.DateOnly), b.ID))
		}
	}
	return out
}

// Sighting is one meter's error in one bottle of the record.
type Sighting struct {
	Bottle, Meter string
	// Session tells one bench day of a meter from another.
	Session string
	// Error is reading − reference: a fraction of the reference for
	// conductivity, absolute for pH.
	Error float64
	// U is the standard uncertainty of Error, and Tolerance what the meter may
	// be off; 0 where they are not known.
	U, Tolerance float64
}

// least is what an error must exceed to count where neither tolerance nor
// uncertainty is larger: 1 %, or 0.05 in pH. Common practice, no source.
var least = map[string]float64{"ec": 0.01, "ph": 0.05}

// LookOff finds bottles that two meters or more disagree with in the same
// direction, though they have no quarrel with their other bottles: then the
// bottle is the likelier culprit. A meter that read three bottles or more counts
// by how far it is from its median; one with one other bottle counts where it
// agrees with that. quantity is ec or ph. The warnings are about the bottles
// asked for, all where none is named, in the order of the sightings.
func LookOff(quantity string, sightings []Sighting, of ...string) []string {
	type key struct{ meter, session string }
	sessions := map[key]map[string][]Sighting{}
	var bottles []string
	for _, s := range sightings {
		k := key{s.Meter, s.Session}
		if sessions[k] == nil {
			sessions[k] = map[string][]Sighting{}
		}
		sessions[k][s.Bottle] = append(sessions[k][s.Bottle], s)
		if !slices.Contains(bottles, s.Bottle) {
			bottles = append(bottles, s.Bottle)
		}
	}
	var out []string
	for _, bottle := range bottles {
		if len(of) > 0 && !slices.Contains(of, bottle) {
			continue
		}
		found := map[string]float64{} // meter: how far off it finds the bottle
		var meters []string
		for _, s := range sightings { // the last session of each meter counts
			if s.Bottle != bottle {
				continue
			}
			off, is := isOff(bottle, sessions[key{s.Meter, s.Session}], least[quantity])
			if !is {
				off = 0
			}
			if _, seen := found[s.Meter]; !seen {
				meters = append(meters, s.Meter)
			}
			found[s.Meter] = off
		}
		for _, sign := range []float64{1, -1} {
			var who string
			n := 0
			for _, m := range meters {
				if sign*found[m] > 0 {
					n++
					who += fmt.Sprintf(", %s by %s", m, inWords(quantity, found[m]))
				}
			}
			if n >= 2 {
				out = append(out, fmt.Sprintf("bottle %s: %d meters find it off in the same direction (%s) and have no quarrel with their other bottles: doubt the bottle first; weigh it, or make a fresh one", bottle, n, who[2:]))
			}
		}
	}
	return out
}

// isOff tells whether one meter, in one session, disagrees with one bottle.
func isOff(bottle string, session map[string][]Sighting, least float64) (off float64, is bool) {
	error := func(list []Sighting) (mean, limit float64) {
		limit = least
		for _, s := range list {
			mean += s.Error / float64(len(list))
			limit = math.Max(limit, math.Max(s.Tolerance, 2*s.U))
		}
		return mean, limit
	}
	off, limit := error(session[bottle])
	all := []float64{off}
	quarrel := false // with another bottle
	for name, list := range session {
		if name != bottle {
			e, l := error(list)
			all, quarrel = append(all, e), quarrel || math.Abs(e) > l
		}
	}
	switch {
	case len(all) > 2:
		off -= median(all)
	case quarrel:
		return 0, false
	}
	return off, math.Abs(off) > limit
}

func median(x []float64) float64 {
	x = slices.Sorted(slices.Values(x))
	n := len(x)
	return (x[(n-1)/2] + x[n/2]) / 2
}

func inWords(quantity string, off float64) string {
	if quantity == "ph" {
		return fmt.Sprintf("%+.2f", off)
	}
	return fmt.Sprintf("%+.1f %%", 100*off)
}

// GoodFor is for how many days a bottle is good after it was made or opened:
// 90 for a salt solution, whose enemy is evaporation, 30 for a pH buffer.
// Common practice, no source.
func GoodFor(b logbook.Bottle) int {
	if b.Buffer != "" {
		return 30
	}
	return 90
}

// GoodUntil is the last day on which a bottle made on a day is good, by
// [GoodFor]; "" where the day is not known.
func GoodUntil(b logbook.Bottle) string {
	made, err := time.Parse(time.DateOnly, b.MadeOn)
	if err != nil {
		return ""
	}
	return made.AddDate(0, 0, GoodFor(b)).Format(time.DateOnly)
}
