package quantity

import (
	"math"
	"strings"
)

// TypedUnit is the unit a quantity was written in ("g/L" in "0.6g/L", with the
// factor for a display value), and what a value in the base unit is multiplied
// by to be in that unit. A quantity that nobody typed has its base unit.
func (q Quantity) TypedUnit() (unit string, perBase float64) {
	unit, perBase = q.Kind.Unit(), 1
	if q.Kind == Fraction {
		perBase = 100
	}
	_, rest := scanNumber(clean(q.Text))
	name, _, _ := strings.Cut(spelt(rest), "@")
	if s, known := lookUp(name); known && s.kind == q.Kind {
		unit, perBase = s.text, math.Pow10(-s.power)
	}
	if q.Kind == Display {
		unit += "@" + shifted(q.Factor, 0)
	}
	return unit, perBase
}
