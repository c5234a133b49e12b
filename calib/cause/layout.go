package cause

import "math"

// layout says which column of the equations holds which small error.
type layout struct {
	b *bench
	k int
	// First columns; -1 where there are none.
	gain, zero, alpha, liquid, stock, fault int
	honest                                  []bool
}

// layout leaves out what the bench gives no hold on.
func (b *bench) layout(rows []row) *layout {
	l := &layout{b: b, alpha: -1, liquid: -1, stock: -1, fault: -1}
	take := func(n int, honest bool) int {
		at := l.k
		l.k += n
		for range n {
			l.honest = append(l.honest, honest)
		}
		return at
	}
	l.gain = take(len(b.meters), true)
	l.zero = take(len(b.meters), true)
	if b.compensates() {
		l.alpha = take(len(b.meters), true)
		if b.hasRefs {
			l.liquid = take(2, false)
		}
	}
	if b.hasRefs {
		l.stock = take(len(b.sources), false)
	}
	for _, r := range rows {
		if r.shown.push != ([2]float64{}) {
			l.fault = take(2, false)
			break
		}
	}
	return l
}

// fill writes the derivatives of what a point shows.
func (l *layout) fill(x []float64, p point, s shown, uShared float64, known bool) {
	b := l.b
	x[l.gain+p.meter] = s.slope * (p.ref - b.Pivot) * b.honestGain()
	x[l.zero+p.meter] = s.live * b.honestZero() * b.span[p.meter]
	if l.alpha >= 0 {
		dt := p.tempC - refTempC
		x[l.alpha+p.meter] = s.slope * p.ref * dt * honestAlpha
		if known && l.liquid >= 0 {
			x[l.liquid] = s.slope * p.ref * dt * liquidSlope
			x[l.liquid+1] = s.slope * p.ref * dt * dt / 100 * liquidBend
		}
	}
	if known && l.stock >= 0 && p.source >= 0 {
		switch {
		case !math.IsNaN(uShared):
		case b.Relative:
			uShared = b.Stock * math.Abs(p.ref)
		default:
			uShared = b.Stock
		}
		x[l.stock+p.source] = s.slope * uShared
	}
	if l.fault >= 0 {
		copy(x[l.fault:], s.push[:])
	}
}

// honestGain is the standard deviation of the gain of a meter that is all right.
func (b *bench) honestGain() float64 {
	switch {
	case b.Relative:
		return min(max(b.tolerance*honestShare, 0.003), 0.04)
	case b.Pivot != 0: // pH: the tolerance at three units from the pivot
		return min(max(b.tolerance*honestShare/3, 0.005), 0.03)
	}
	return 0.004
}

// honestZero is the standard deviation of the zero of a meter that is all right.
func (b *bench) honestZero() float64 {
	if b.Relative {
		return b.HonestZero
	}
	return min(max(b.tolerance*honestShare, b.HonestZero/3), 2*b.HonestZero)
}

// compensates says whether meters correct for temperature, and it is known.
func (b *bench) compensates() bool { return b.hasTemp && b.Kind == "ec" }
