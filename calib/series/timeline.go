package series

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"
)

// The causes of a timeline's errors.
var (
	// ErrNoCalibration is a timeline without one.
	ErrNoCalibration = errors.New("no calibration")
	// ErrSameTime is two calibrations in one state at one time.
	ErrSameTime = errors.New("two calibrations at one time")
)

// Ever is the end of a timeline's last piece.
const Ever = math.MaxInt64

// Piece is a stretch of time in which a meter's line changes evenly. A time is
// taken as the days since From.
type Piece struct {
	From, To int64 // Unix nanoseconds; To is the first that belongs to the next
	// Intercept and slope at From, and their change in a day.
	Intercept, InterceptPerDay float64
	Slope, SlopePerDay         float64
	// Variances and covariance; NaN where a calibration states none.
	VarIntercept, VarSlope, Cov Quadratic
	Low, High                   float64 // readings that a calibration covers
	Basis                       Basis
}

// Basis is what a piece rests on.
type Basis string

// What a piece can rest on.
const (
	Interpolated Basis = "interpolated" // between two calibrations
	Held         Basis = "held"         // the earlier one, after it
	HeldBack     Basis = "held-back"    // the later one, back to what was done to the meter
)

// Timeline is a meter's line at any time: the pieces follow each other without
// a gap, but for times to which no calibration applies.
type Timeline struct {
	pieces []Piece
	last   time.Time
}

// Last returns the time of the last calibration.
func (t *Timeline) Last() time.Time { return t.last }

// Pieces returns the pieces in the order of time.
func (t *Timeline) Pieces() []Piece { return slices.Clone(t.pieces) }

// stand is what calibrations at one moment say.
type stand struct {
	at          int64
	found, left *Line // nil: not seen in that state
}

// NewTimeline joins calibrations, in any order. Between two of them the line
// moves evenly from the earlier one as left to the later one as found. A
// calibration made as left alone follows an adjustment, so that nothing leads up
// to it; one made as found alone leaves the meter as it was. At a break, what
// was before ends, and the next calibration is held backwards to it. After the
// last calibration its line is held, and so is an earlier one up to a break, with
// an uncertainty that grows.
//
// The variances between two calibrations are interpolated as the line is, which
// is never too little whatever errors the two share, with what may wander in
// between added.
func NewTimeline(calibrations []Calibration, breaks []Break, growth Growth) (*Timeline, error) {
	stands, err := standsOf(calibrations)
	if err != nil {
		return nil, err
	}
	cuts := make([]int64, 0, len(breaks))
	for _, b := range breaks {
		cuts = append(cuts, b.Time.UnixNano())
	}
	slices.Sort(cuts)
	t := &Timeline{last: time.Unix(0, stands[len(stands)-1].at).UTC()}
	for i, s := range stands {
		end, next := int64(Ever), (*stand)(nil)
		if i+1 < len(stands) {
			next = &stands[i+1]
			end = next.at
		}
		first, final, broken := between(cuts, s.at, end)
		switch {
		case broken:
			t.add(hold(s.line(), s.at, first, growth))
			if next != nil && next.found != nil {
				t.add(holdBack(*next.found, final, end, growth))
			}
		case next != nil && next.found != nil:
			t.add(interpolate(s.line(), *next.found, s.at, end, growth))
		default:
			t.add(hold(s.line(), s.at, end, growth))
		}
	}
	return t, nil
}

// line is the one that applies from a stand on.
func (s stand) line() Line {
	if s.left != nil {
		return *s.left
	}
	return *s.found
}

func standsOf(calibrations []Calibration) ([]stand, error) {
	if len(calibrations) == 0 {
		return nil, ErrNoCalibration
	}
	list := slices.Clone(calibrations)
	slices.SortStableFunc(list, func(a, b Calibration) int { return a.Time.Compare(b.Time) })
	var stands []stand
	var before string
	for i := range list {
		c := &list[i]
		if err := c.Line.check(); err != nil {
			return nil, fmt.Errorf("calibration %s: %w", c.Name, err)
		}
		at := c.Time.UnixNano()
		if k := len(stands); k == 0 || stands[k-1].at != at {
			stands = append(stands, stand{at: at})
		}
		s := &stands[len(stands)-1]
		line := &s.found
		if c.State == AsLeft {
			line = &s.left
		}
		if *line != nil {
			return nil, fmt.Errorf("%w: %s and %s are both %s at %s; leave one out, or give them their times",
				ErrSameTime, before, c.Name, cmp.Or(c.State, AsFound), c.Time.Format(time.RFC3339))
		}
		*line, before = &c.Line, c.Name
	}
	return stands, nil
}

// between finds the first and the last cut after a moment and up to another. A
// cut at the very moment of the earlier calibration was made before that one was
// left; one at the later moment was made after it was found.
func between(cuts []int64, from, to int64) (first, last int64, found bool) {
	for _, c := range cuts {
		if c > from && c < to {
			if !found {
				first = c
			}
			last, found = c, true
		}
	}
	return first, last, found
}

func (t *Timeline) add(p Piece) {
	if p.From < p.To {
		t.pieces = append(t.pieces, p)
	}
}

// grow adds what drift may have done to a piece: to its slope where it is a
// fraction of the reading, else to its intercept.
func (p *Piece) grow(q Quadratic, g Growth) {
	if g.Relative {
		k := p.Slope * p.Slope
		p.VarSlope = p.VarSlope.plus(Quadratic{k * q[0], k * q[1], k * q[2]})
	} else {
		p.VarIntercept = p.VarIntercept.plus(q)
	}
}

func hold(l Line, from, to int64, g Growth) Piece {
	p := Piece{
		From: from, To: to, Intercept: l.Intercept, Slope: l.Slope, Low: l.Low, High: l.High, Basis: Held,
		VarIntercept: Quadratic{l.VarIntercept}, VarSlope: Quadratic{l.VarSlope}, Cov: Quadratic{l.Cov},
	}
	p.grow(g.variance(), g)
	return p
}

func holdBack(l Line, from, to int64, g Growth) Piece {
	p := hold(l, from, to, Growth{Relative: g.Relative})
	p.grow(g.variance().backwards(days(from, to)), g)
	p.Basis = HeldBack
	return p
}

func interpolate(a, b Line, from, to int64, g Growth) Piece {
	length := days(from, to)
	even := func(a, b float64) Quadratic { return Quadratic{a, (b - a) / length, 0} }
	p := Piece{
		From: from, To: to, Low: min(a.Low, b.Low), High: max(a.High, b.High), Basis: Interpolated,
		Intercept: a.Intercept, InterceptPerDay: (b.Intercept - a.Intercept) / length,
		Slope: a.Slope, SlopePerDay: (b.Slope - a.Slope) / length,
		VarIntercept: even(a.VarIntercept, b.VarIntercept), VarSlope: even(a.VarSlope, b.VarSlope), Cov: even(a.Cov, b.Cov),
	}
	// What wanders is pinned down at both ends: a Brownian bridge.
	walk := g.Walk * g.Walk / daysPerMonth
	p.grow(Quadratic{0, walk, -walk / length}, g)
	return p
}
