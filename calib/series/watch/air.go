package watch

import "math"

// whileDry takes a value after the probe left the liquid.
func (d *Dry) whileDry(value float64) bool {
	if value <= d.low() {
		d.air = max(value, airKept*d.air)
		return true
	}
	d.state, d.at, d.since, d.steps, d.peak, d.before = returning, d.clock, 1, 1, value, value
	d.first, d.rose, d.sinceHigh = value, false, 0
	d.steady = steadiness{}
	d.steady.start(value, d.clock)
	return false
}

// low is the most that is still air.
func (d *Dry) low() float64 {
	low := max(aboveAir*d.air, d.limits.Floor, oneStep*d.shown)
	if math.IsNaN(d.level) {
		return low
	}
	return min(d.limits.Back*d.level, max(low, aboveZero*d.level))
}

// comeBack takes a value after a return.
func (d *Dry) comeBack(value float64) (dry bool, back int) {
	stayed := d.before >= sharp*d.peak && d.before <= rising*d.peak && !(d.before < d.limits.Back*d.level)
	if d.steps > splashRows && stayed && value <= sharp*d.before {
		// A liquid for a short time, and out of it again.
		d.wet(d.before, true)
		return d.fall(value)
	}
	if value <= d.low() {
		d.state = inAir
		if d.rose {
			return true, d.sinceHigh
		}
		return true, d.since
	}
	alike := value >= leaving*d.before && value <= rising*d.before
	d.since = min(d.since+1, MostBack)
	d.steps++
	if value > d.peak && (alike || d.steps == 2) {
		d.rose = d.rose || d.steps > splashRows && value > (1+tight)*d.first
		d.peak = value
	}
	if d.sinceHigh++; value >= leaving*d.peak {
		d.sinceHigh = 0
		d.rose = d.rose || d.steps > splashRows && value >= high*d.peak && d.clock-d.at >= int64(highFor)
	}
	d.before = value
	stays := d.steady.add(value, d.clock, plateauRows, d.plateau(value), tight)
	liquid := value >= d.limits.Back*d.level || math.IsNaN(d.level) && value > surely*d.limits.Floor
	passed := d.clock - d.at
	switch {
	case liquid && alike && value >= leaving*d.peak && d.steps >= stayRows && passed >= int64(splashFor), stays,
		liquid && alike && d.steps > plateauRows && passed > int64(d.limits.Film):
		d.noise, d.pace = 0, 0
		d.wet(value, true)
	}
	return false, 0
}
