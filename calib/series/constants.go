package series

import (
	"fmt"
	"math"
	"time"
)

// Constants are what is known of a probe's line at one time, for use elsewhere:
// corrected = Intercept + Slope · reading, before its Conversion.
type Constants struct {
	At    time.Time
	Line  Line
	Basis Basis
	// StaleFrom is when the calibration is too old to be believed; the zero time
	// for never. Stale tells whether At is as late.
	StaleFrom time.Time
	Stale     bool
}

// Constants returns those of a time. A time to which no calibration applies is
// an error that wraps [ErrNoCalibration] and says which one would.
func (p *Probe) Constants(at time.Time) (Constants, error) {
	if err := p.check(); err != nil {
		return Constants{}, err
	}
	if at.Year() < firstYear || at.Year() > lastYear {
		return Constants{}, fmt.Errorf("found the year %d; want one from %d to %d", at.Year(), firstYear, lastYear)
	}
	t := at.UnixNano()
	piece := p.Timeline.find(t)
	if piece == nil {
		return Constants{}, p.Timeline.gap(t)
	}
	c := Constants{At: at, Line: piece.LineAt(t), Basis: piece.Basis, StaleFrom: p.StaleFrom()}
	c.Stale = !c.StaleFrom.IsZero() && !at.Before(c.StaleFrom)
	return c, nil
}

// StaleFrom is when the last calibration is too old to be believed; the zero
// time for never.
func (p *Probe) StaleFrom() time.Time {
	if p.StaleAfter == 0 {
		return time.Time{}
	}
	return p.Timeline.last.Add(p.StaleAfter)
}

// LineAt returns a piece's line at a time, in Unix nanoseconds.
func (p *Piece) LineAt(t int64) Line {
	d := days(p.From, t)
	return Line{
		Intercept: p.Intercept + d*p.InterceptPerDay, Slope: p.Slope + d*p.SlopePerDay,
		VarIntercept: math.Max(p.VarIntercept.At(d), 0), VarSlope: math.Max(p.VarSlope.At(d), 0), Cov: p.Cov.At(d),
		Low: p.Low, High: p.High,
	}
}

// Since returns the part of a piece from a time on, in Unix nanoseconds, with
// its functions of the days since then. Held back to a break, a variance shrinks
// so fast that a microsecond shows in its ninth digit.
func (p Piece) Since(t int64) Piece {
	d := days(p.From, t)
	p.From = t
	p.Intercept += d * p.InterceptPerDay
	p.Slope += d * p.SlopePerDay
	for _, q := range []*Quadratic{&p.VarIntercept, &p.VarSlope, &p.Cov} {
		*q = Quadratic{q.At(d), q[1] + 2*q[2]*d, q[2]}
	}
	return p
}

func (t *Timeline) find(at int64) *Piece {
	for i := range t.pieces {
		if p := &t.pieces[i]; at >= p.From && at < p.To {
			return p
		}
	}
	return nil
}

// gap says why no calibration applies at a time.
func (t *Timeline) gap(at int64) error {
	stamp := func(ns int64) string { return time.Unix(0, ns).UTC().Format(time.RFC3339) }
	for i := range t.pieces {
		p := &t.pieces[i]
		switch {
		case p.From <= at:
		case i == 0:
			return fmt.Errorf("%w applies at %s: the first is of %s", ErrNoCalibration, stamp(at), stamp(p.From))
		default:
			return fmt.Errorf("%w applies at %s, after what was done to the meter on %s and before %s", ErrNoCalibration, stamp(at), stamp(t.pieces[i-1].To), stamp(p.From))
		}
	}
	return fmt.Errorf("%w applies at %s: none was made since what was done to the meter on %s", ErrNoCalibration, stamp(at), stamp(t.pieces[len(t.pieces)-1].To))
}
