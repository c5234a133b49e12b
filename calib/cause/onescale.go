package cause

import (
	"fmt"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// shareScale puts meters whose display factors are known to differ on the scale
// of the first of them: what the displays do is no cause, and what is left is
// what has one. A reference holds for the meter's own scale, so that nothing
// needs it where every reading has one.
func (b *bench) shareScale(tolerance quantity.Tolerance) {
	if b.Kind != check.EC || !b.scalesDiffer() {
		return
	}
	b.rescaleLent()
	if !slices.ContainsFunc(b.batches, func(c batch) bool { return math.IsNaN(c.ref) }) {
		return
	}
	first := 0
	for b.factor[first] == 0 { // two are known
		first++
	}
	base := b.factor[first]
	b.scaled = map[int]float64{}
	middle := b.middle()
	for m := range b.meters {
		own, known := b.factor[m]
		if !known || own == base {
			continue
		}
		k := base / own
		b.scaled[m] = own / base
		b.span[m] *= k
		if end, ok := b.rangeEnd[m]; ok {
			b.rangeEnd[m] = k * end
		}
		for i := range b.batches {
			if c := &b.batches[i]; c.meter == m {
				c.mean, c.uReading, c.ref, c.uRef, c.uShared = k*c.mean, k*c.uReading, k*c.ref, k*c.uRef, k*c.uShared
				c.squares, c.digit = k*k*c.squares, k*k*c.digit
			}
		}
	}
	if tolerance.Value > 0 && !tolerance.Relative {
		b.tolerance *= middle / b.middle()
	}
	b.warnings = append(b.warnings, fmt.Sprintf("the displays are known to differ: that is taken out before the causes are weighed, on the scale of %s (%s)",
		b.meters[first], agree.DisplayName(base)))
}

// scalesDiffer tells that two meters are known to show on different scales.
func (b *bench) scalesDiffer() bool {
	for m, f := range b.factor {
		for other, g := range b.factor {
			if other != m && f != g {
				return true
			}
		}
	}
	return false
}

// rescaleLent puts a reference that another meter's row lent on the meter's own
// scale.
func (b *bench) rescaleLent() {
	for i := range b.batches {
		c := &b.batches[i]
		own, known := b.factor[c.meter]
		from, knownToo := b.factor[c.lender]
		if known && knownToo && own != from {
			k := own / from
			c.ref, c.uRef, c.uShared = k*c.ref, k*c.uRef, k*c.uShared
			c.lender = c.meter
		}
	}
}

// ownScale is what a size in readings of a meter is multiplied by to be on its
// display.
func (b *bench) ownScale(m int) float64 {
	if k, ok := b.scaled[m]; ok {
		return k
	}
	return 1
}
