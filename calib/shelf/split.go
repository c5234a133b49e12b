package shelf

import (
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Part is a reference's standard uncertainty in two: what is its own, and what
// it shares with the other references of the set. They add in squares.
type Part struct {
	Own, Shared float64
	// Source is the label of the largest source it shares; "" for none.
	Source string
}

// Split parts the uncertainty of several references. names tells which of them
// are one bottle: what a bottle shares with itself alone is its own.
func Split(names []string, values []uncert.Value) []Part {
	owners := map[string]map[string]bool{} // source: bottles that have it
	for i, v := range values {
		for _, p := range v.Parts() {
			if owners[p.Source.ID] == nil {
				owners[p.Source.ID] = map[string]bool{}
			}
			owners[p.Source.ID][names[i]] = true
		}
	}
	out := make([]Part, len(values))
	for i, v := range values {
		var own, shared, largest float64
		for _, p := range v.Parts() {
			switch {
			case !p.Stated:
			case len(owners[p.Source.ID]) > 1:
				shared += p.Size * p.Size
				if size := math.Abs(p.Size); size > largest {
					largest, out[i].Source = size, p.Source.Label
				}
			default:
				own += p.Size * p.Size
			}
		}
		out[i].Own, out[i].Shared = math.Sqrt(own), math.Sqrt(shared)
	}
	return out
}
