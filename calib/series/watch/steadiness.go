package watch

import (
	"math"
	"time"
)

// steadiness tells whether values stay where they are: a weak liquid does, a
// film that runs off does not.
type steadiness struct {
	first       float64
	since, last int64
	rows        int
}

// What is steady stays within a share of its first value for so many rows, and
// so long (common practice, no source). A film that loses its e-th part in six
// hours or more would be taken for a liquid.
const (
	tight       = 0.04
	loose       = 0.1
	briefly     = 3 * time.Minute
	plateauRows = 4
	plateauFor  = 15 * time.Minute
	plateauLow  = time.Hour // where the level is so low that a film may show it
)

func (s *steadiness) start(value float64, clock int64) {
	*s = steadiness{first: value, since: clock, last: clock, rows: 1}
}

func (s *steadiness) add(value float64, clock int64, rows int, least time.Duration, within float64) bool {
	if s.rows == 0 || math.Abs(value-s.first) > within*math.Abs(s.first) {
		s.start(value, clock)
		return false
	}
	s.rows++
	s.last = clock
	return s.rows >= rows && clock-s.since >= int64(least)
}
