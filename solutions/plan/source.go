package plan

import (
	"math"
	"strings"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// kind is the first part of a source's identifier, which tells what sort of
// source it is; the second part tells whose ("purity:NaCl").
type kind string

const (
	kindPurity     kind = "purity"
	kindMoisture   kind = "moisture"
	kindImpurities kind = "impurities"
	kindWeighing   kind = "weighing"
	kindLinearity  kind = "linearity"
	kindGain       kind = "gain"
	kindAir        kind = "air"
	kindWaterEC    kind = "water-ec"
	kindWaterIons  kind = solutions.WaterIonsID
	kindWaterTemp  kind = "water-temp"
	kindJug        kind = "jug"
	kindFilling    kind = "filling"
	kindModel      kind = "model" // brought by the conductivity model
)

func (k kind) id(owner string) string { return string(k) + ":" + owner }

// kindOf reads the kind back from an identifier.
func kindOf(s uncert.Source) kind {
	k, _, _ := strings.Cut(s.ID, ":")
	return kind(k)
}

// negligible is the relative size below which a source is what rounding leaves
// of one that cancels, such as the gain of a scale.
const negligible = 1e-12

// ownerOf is whose weighing a source is; empty for a source of another kind.
func ownerOf(s uncert.Source) string {
	k, rest, _ := strings.Cut(s.ID, ":")
	switch kind(k) {
	case kindWeighing, kindLinearity, kindFilling:
		return rest[:max(0, strings.LastIndex(rest, "/"))]
	}
	return ""
}

// split parts the standard uncertainty of a vessel's value into that of its own
// weighings and the rest.
func split(v uncert.Value, owner string) (own, shared float64) {
	for _, s := range v.Budget() {
		if s.Size < negligible*math.Abs(v.Nominal()) {
			continue
		}
		if ownerOf(s.Source) == owner {
			own += s.Size * s.Size
		} else {
			shared += s.Size * s.Size
		}
	}
	return math.Sqrt(own), math.Sqrt(shared)
}
