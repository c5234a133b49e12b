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
// calibration made as found alone leaves the meter as it was; one made as left
// alone follows an adjustment, so that nothing leads up to it, and the one before
// is held until then. At a break, what was before ends: the calibration before is
// held up to the first break of an interval, the one after is held backwards to
// the last one, and between two breaks nothing applies. After the last
// calibration its line is held. Whatever is held is held with an uncertainty that
// grows. A break with no calibration after it leaves nothing that applies.
//
// What has one time has an order: found, then done, then left. So a break at the
// very time of a calibration comes after one that is as found alone, and before
// one that is as left.
//
// The variances between two calibrations are interpolated as the line is. That
// is exact where the two share all their error, as with bottles of one stock, and
// too much where they share none (by at most a half, in the middle), so never too
// little. What may wander in between is added, and so is how far the line may
// bend: of a meter that comes to show 10 % too much evenly, the slope of the line
// does not change evenly.
func NewTimeline(calibrations []Calibration, breaks []Break, growth Growth) (*Timeline, error) {
	if err := growth.check(); err != nil {
		return nil, err
	}
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
		first, final, broken := s.broken(cuts, end)
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
	if len(t.pieces) == 0 {
		return nil, fmt.Errorf("%w that applies: the meter was adjusted, or its electrode replaced, at the time of the only one, %s, which says how it was before",
			ErrNoCalibration, t.last.Format(time.RFC3339))
	}
	return t, nil
}

// broken finds the first and the last break between a stand and the next. One
// at the moment of the stand itself counts where it was only seen as found; one
// at that of the next came after what that one found.
func (s stand) broken(cuts []int64, end int64) (first, last int64, ok bool) {
	for _, c := range cuts {
		if (c > s.at || c == s.at && s.left == nil) && c < end {
			if !ok {
				first = c
			}
			last, ok = c, true
		}
	}
	return first, last, ok
}

// Gap is a time after the first calibration to which none applies.
type Gap struct{ From, To int64 } // as a piece's

// Gaps returns the gaps in the order of time: those after a break. The time
// before the first calibration is none.
func (t *Timeline) Gaps() []Gap {
	var gaps []Gap
	for i, p := range t.pieces {
		next := int64(Ever)
		if i+1 < len(t.pieces) {
			next = t.pieces[i+1].From
		}
		if p.To < next {
			gaps = append(gaps, Gap{p.To, next})
		}
	}
	return gaps
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

func (t *Timeline) add(p Piece) {
	if p.From < p.To {
		t.pieces = append(t.pieces, p)
	}
}

// grow adds the variance of what drift may have done. An error that is a
// fraction of the reference, e, makes of a reading slope·reading·(1 - e·slope),
// since 1/slope is what the meter shows for each unit; one in the unit of the
// readings is carried over by the slope.
func (p *Piece) grow(q Quadratic, g Growth, slope float64) {
	if k := slope * slope; g.Relative {
		p.VarSlope = p.VarSlope.plus(q.times(k * k))
	} else {
		p.VarIntercept = p.VarIntercept.plus(q.times(k))
	}
}

func hold(l Line, from, to int64, g Growth) Piece {
	p := still(l, from, to, Held)
	p.grow(g.variance(), g, l.Slope)
	return p
}

func holdBack(l Line, from, to int64, g Growth) Piece {
	p := still(l, from, to, HeldBack)
	p.grow(g.variance().backwards(days(from, to)), g, l.Slope)
	return p
}

// still is a line that does not change.
func still(l Line, from, to int64, basis Basis) Piece {
	return Piece{
		From: from, To: to, Intercept: l.Intercept, Slope: l.Slope, Low: l.Low, High: l.High, Basis: basis,
		VarIntercept: Quadratic{l.VarIntercept}, VarSlope: Quadratic{l.VarSlope}, Cov: Quadratic{l.Cov},
	}
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
	p.grow(Quadratic{0, walk, -walk / length}, g, math.Max(math.Abs(a.Slope), math.Abs(b.Slope)))
	p.VarSlope = p.VarSlope.plus(bend(a.Slope, b.Slope, length))
	return p
}

// bend is the variance of what a straight course of the slope may be off. Where
// it is the meter's gain, 1/slope, that moves evenly, the slope is lower than the
// straight course by f (1-f) (a-b)² / slope, with f the share of the time that
// has passed. The largest of it is taken as a standard deviation, and f (1-f) for
// its square, which is more.
func bend(a, b, length float64) Quadratic {
	if a*b <= 0 {
		return Quadratic{}
	}
	largest := (a - b) * (a - b) / (4 * math.Min(math.Abs(a), math.Abs(b)))
	k := 4 * largest * largest / length
	return Quadratic{0, k, -k / length}
}
