package cause

import "math"

// setting is one choice of the sizes that nobody stated: nodes of a grid over
// which every model is averaged.
type setting struct {
	noise    float64 // of a reading; a fraction for relative kinds
	constant float64 // the share of it that does not grow with the reading
	stated   float64 // factor on every u_reading that is stated
	bottle   float64 // own error of a bottle whose u_ref is not stated
	label    float64 // factor on every u_ref that is stated
	quality  float64 // how good the honest meters are, 1 being usual
	log      float64 // logarithm of its prior weight
}

// The grid's own priors.
var (
	// Noise mostly grows with the reading, but need not.
	constants = []rung{{size: 0.02, weight: 0.6}, {size: 0.6, weight: 0.4}}
	// A u_reading that is stated is nearly right.
	statedFactors = ladder{0.5, 1, 2, 0.3}
	// So is a stated u_ref, though labels flatter.
	labelFactors = []rung{{size: 1, weight: 0.75}, {size: 1.7, weight: 0.25}}
	// More than half of the honest meters are much better than they need be.
	qualities = []rung{{size: 0.25, weight: 0.7}, {size: 1, weight: 0.3}}
)

const nuisanceRatio = 1.6

// settings is the grid for what this bench leaves open.
func (b *bench) settings() []setting {
	one := []rung{{size: 1, weight: 1}}
	noise, constant, stated := b.Noise.rungs(nuisanceRatio), constants, statedFactors.rungs(math.Sqrt2)
	bottle, label := b.Bottle.rungs(2), labelFactors
	allStated, noneStated, allKnown, noneKnown := true, true, true, true
	for _, c := range b.batches {
		if math.IsNaN(c.uReading) {
			allStated = false
		} else {
			noneStated = false
		}
		if !math.IsNaN(c.ref) && math.IsNaN(c.uRef) {
			allKnown = false
		}
		if c.uRef > 0 {
			noneKnown = false
		}
	}
	if allStated {
		noise, constant = []rung{{size: b.Noise.Median, weight: 1}}, []rung{{size: 0, weight: 1}}
	}
	if !b.Relative {
		constant = []rung{{size: 1, weight: 1}}
	}
	if noneStated {
		stated = one
	}
	if allKnown {
		bottle = []rung{{size: b.Bottle.Median, weight: 1}}
	}
	if noneKnown {
		label = one
	}
	var out []setting
	for _, n := range noise {
		for _, c := range constant {
			for _, s := range stated {
				for _, o := range bottle {
					for _, l := range label {
						for _, q := range qualities {
							out = append(out, setting{
								noise: n.size, constant: c.size, stated: s.size, bottle: o.size, label: l.size, quality: q.size,
								log: math.Log(n.weight * c.weight * s.weight * o.weight * l.weight * q.weight),
							})
						}
					}
				}
			}
		}
	}
	return out
}

// variance of one reading of a batch under a setting.
func (b *bench) variance(c *batch, s *setting) float64 {
	v := 0.0
	switch {
	case !math.IsNaN(c.uReading):
		v = c.uReading * c.uReading * s.stated * s.stated
	default:
		v = b.noiseAt(c.meter, c.mean, s)
	}
	// Whatever is stated, a display shows no more than its last digit.
	return max(v, c.digit) + math.Pow(1e-6*b.span[c.meter], 2)
}

// noiseAt is the variance of a reading where none is stated.
func (b *bench) noiseAt(meter int, value float64, s *setting) float64 {
	half := b.span[meter] / 2
	if !b.Relative {
		return s.noise * s.noise
	}
	return s.noise * s.noise * ((1-s.constant)*value*value + s.constant*half*half)
}

// ownError is the standard deviation of the own error of what is in the cup.
func (b *bench) ownError(r *row, s *setting) float64 {
	own := s.bottle
	switch {
	case !r.known:
		return r.wide
	case !math.IsNaN(r.uRef):
		own = r.uRef * s.label
	case b.Relative:
		own *= math.Abs(r.at.ref)
	}
	if r.doubt == 0 {
		return own
	}
	if b.Relative {
		return math.Hypot(own, r.doubt*r.at.ref)
	}
	return math.Hypot(own, r.doubt)
}
