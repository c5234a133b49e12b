package drift

import "math"

// walkSize is the size of the walk at a reference as it is believed, per root
// month: the root of its mean square, with what a wandering rate makes of a
// month.
func (b *belief) walkSize(ref float64) float64 {
	c, sum := [2]float64{1, b.line.loading(ref)}, 0.0
	for i := range b.parts {
		h := b.parts[i].hyper
		sum += b.parts[i].weight * h.product(c, c) * (h.walk*h.walk + h.wander*h.wander/3)
	}
	return math.Sqrt(sum) * b.line.scale
}
