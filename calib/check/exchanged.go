package check

import (
	"slices"

	"github.com/brinemark/brinemark/calib/uncert"
)

// swapped finds two bottles that changed places: their readings stand in the reverse order of their
// references, and with the two exchanged everything lies on a line. nil for none, and where several
// pairs would do.
func (s suspect) swapped() *[2][]int {
	if s.kind == Other || s.kind == PH && len(s.groups) < 3 {
		return nil
	}
	parameters := 2
	if len(s.groups) == 2 {
		parameters = 1
	}
	if len(s.groups) > 2 && !(s.chance(s.rows, 2) < hopeless) {
		return nil
	}
	var found *[2][]int
	for i, a := range s.groups {
		for _, b := range s.groups[i+1:] {
			pair := &[2][]int{a.rows, b.rows}
			if !s.reversed(a, b) {
				continue
			}
			rows := exchanged(s.rows, pair)
			if !(s.chance(rows, parameters) > fitsWell) || len(s.groups) == 3 && !(s.chance(rows, 1) > fitsWell) {
				continue
			}
			if found != nil {
				return nil
			}
			found = pair
		}
	}
	return found
}

// reversed tells that the readings of two bottles stand in the reverse order of their references, by
// more than a slip of the display.
func (s suspect) reversed(a, b group) bool {
	x, y := s.rows[a.rows[0]], s.rows[b.rows[0]]
	if !((x.Ref-y.Ref)*(x.Reading-y.Reading) < 0) {
		return false
	}
	return !(s.chance([]Row{x, y}, 1) > hopeless)
}

// exchanged gives the references of two bottles to each other's rows.
func exchanged(rows []Row, pair *[2][]int) []Row {
	out := slices.Clone(rows)
	for k, mine := range pair {
		other := rows[pair[1-k][0]]
		for _, i := range mine {
			row := &out[i]
			row.Name = name(rows, i)
			row.Ref, row.RefText, row.URef, row.URefFound = other.Ref, other.RefText, other.URef, other.URefFound
			row.RefSource, row.URefShared, row.RefParts, row.Bottle = other.RefSource, other.URefShared, other.RefParts, other.Bottle
		}
	}
	return out
}

// oneSource tells that all references that have a size come from one source.
func oneSource(rows []Row) bool {
	source := ""
	for _, row := range rows {
		switch {
		case row.Ref == 0:
		case row.RefSource == "" || source != "" && row.RefSource != source:
			return false
		default:
			source = row.RefSource
		}
	}
	return source != ""
}

// ownParts are the named sources of one reference that not every reference has: an error common to all
// is the line's.
func ownParts(rows []Row, parts []uncert.Contribution) (out []uncert.Contribution) {
	for _, p := range parts {
		everywhere := true
		for _, row := range rows {
			everywhere = everywhere && (row.Ref == 0 || slices.ContainsFunc(row.RefParts, func(q uncert.Contribution) bool {
				return q.Source.ID == p.Source.ID
			}))
		}
		if !everywhere {
			out = append(out, p)
		}
	}
	return out
}
