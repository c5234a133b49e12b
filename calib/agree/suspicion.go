package agree

import (
	"fmt"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// checkUnits refuses a meter some of whose readings are a thousand times off
// while others are right: two units in one column. A meter that is off by that
// factor throughout has a display of its own, which is a finding and no error.
func (s *Set) checkUnits() error {
	var worst *Reading
	widest := 0.0
	for _, meter := range s.Meters {
		suspect, plain := s.thousandfold(meter)
		if suspect == nil || !plain {
			continue
		}
		if w := s.spread(meter); w > widest {
			widest, worst = w, suspect
		}
	}
	if worst == nil {
		return nil
	}
	return inputError(worst.Row, "reading", "found %s for meter %s in sample %s, a factor of about 1000 from what its other readings lead to expect; want all readings in one unit (uS/cm or mS/cm)",
		shortest(worst.Value), worst.Meter, worst.Sample)
}

// thousandfold returns a reading of the meter that is about 1000 times off,
// and whether others are about right.
func (s *Set) thousandfold(meter string) (suspect *Reading, plain bool) {
	for _, c := range s.cellsOf(meter) {
		expected, ok := s.expected(c)
		if !ok {
			continue
		}
		for i, r := range c.rows {
			// A factor of 500 to 2000, beside others within a factor of 3.
			switch off := math.Abs(math.Log10(r.Value / expected)); {
			case math.Abs(off-3) < 0.3 && suspect == nil:
				suspect = &c.rows[i]
			case off < 0.5:
				plain = true
			}
		}
	}
	return suspect, plain
}

// expected is what a reading is roughly expected to be: the reference, else the
// median of what other meters show in the sample.
func (s *Set) expected(c *cell) (float64, bool) {
	if ref, ok := c.ref(); ok {
		return ref, true
	}
	var others []float64
	for _, meter := range s.Meters {
		if o := s.cell(meter, c.sample); o != nil && meter != c.meter {
			others = append(others, median(o.values()))
		}
	}
	return median(others), len(others) > 0
}

// spread is the largest over the smallest reading of a meter.
func (s *Set) spread(meter string) float64 {
	low, high := math.Inf(1), 0.0
	for _, c := range s.cellsOf(meter) {
		for _, r := range c.rows {
			low, high = min(low, math.Abs(r.Value)), max(high, math.Abs(r.Value))
		}
	}
	return high / low
}

// suspicions are warnings about the readings themselves.
func (s *Set) suspicions(kind check.Kind, tolerance quantity.Tolerance) []string {
	return slices.Concat(s.notes, s.silent(kind), s.contradictory(kind, tolerance), s.ownReferences(), s.missingReferences(), s.unstated())
}

// silent warns of meters that show 0 in every sample although others do not, on
// a scale that begins at nothing.
func (s *Set) silent(kind check.Kind) []string {
	var silent []string
	for _, meter := range s.Meters {
		if !slices.ContainsFunc(s.cellsOf(meter), func(c *cell) bool { return c.mean() != 0 }) {
			silent = append(silent, fmt.Sprintf("meter %s shows 0 in every sample although others do not: see that its probe is immersed and connected, and that its battery is good", meter))
		}
	}
	if !traitOf(kind).ratio || len(silent) == len(s.Meters) {
		return nil
	}
	return silent
}

// contradictory warns of repetitions that lie farther apart than the tolerance,
// or than is usual.
func (s *Set) contradictory(kind check.Kind, tolerance quantity.Tolerance) []string {
	allowed := tolerance
	if allowed.Value == 0 {
		allowed = traitOf(kind).repeat
	}
	var out []string
	for _, meter := range s.Meters {
		for _, c := range s.cellsOf(meter) {
			low, high := c.farthestApart()
			if high-low > allowed.At((low+high)/2) {
				out = append(out, fmt.Sprintf("the readings of meter %s in sample %s contradict each other (%s to %s); read it again",
					c.meter, c.sample, shortest(low), shortest(high)))
			}
		}
	}
	return out
}

// farthestApart is the lowest and the highest of those repetitions that lie
// farthest apart with nothing to explain it.
func (c *cell) farthestApart() (low, high float64) {
	for i, a := range c.rows {
		for _, b := range c.rows[i:] {
			if d := math.Abs(a.Value - b.Value); alike(a, b) && d > high-low {
				low, high = min(a.Value, b.Value), max(a.Value, b.Value)
			}
		}
	}
	return low, high
}

// ownReferences warns where two meters have different references in one
// sample: right for displays that differ, a slip otherwise.
func (s *Set) ownReferences() []string {
	var out []string
	for _, sample := range s.Samples {
		var first *cell
		for _, meter := range s.Meters {
			c := s.cell(meter, sample)
			if c == nil {
				continue
			}
			ref, ok := c.ref()
			if !ok {
				continue
			}
			if first == nil {
				first = c
				continue
			}
			if other, _ := first.ref(); other != ref && !temperaturesDiffer(first, c) && !s.displaysDiffer(first.meter, meter) {
				out = append(out, fmt.Sprintf("sample %s has the reference %s for meter %s and %s for meter %s; each is taken as that meter's own display, but their readings are compared as they are",
					sample, shortest(other), first.meter, shortest(ref), meter))
				break
			}
		}
	}
	return out
}

// displaysDiffer says that two meters are known to show the same liquid as
// different numbers.
func (s *Set) displaysDiffer(a, b string) bool {
	return s.displaysKnown(a, b) && s.Factors[a] != s.Factors[b]
}

// displaysKnown says that it is known what both meters show.
func (s *Set) displaysKnown(a, b string) bool {
	_, okA := s.Factors[a]
	_, okB := s.Factors[b]
	return okA && okB
}

func temperaturesDiffer(a, b *cell) bool {
	x, okX := a.average(func(r Reading) *float64 { return r.TempC })
	y, okY := b.average(func(r Reading) *float64 { return r.TempC })
	return okX && okY && x != y
}

// missingReferences warns where only some meters have the reference of a sample.
func (s *Set) missingReferences() []string {
	for _, sample := range s.Samples {
		var with, without string
		for _, meter := range s.Meters {
			c := s.cell(meter, sample)
			if c == nil {
				continue
			}
			if _, ok := c.ref(); ok {
				with = meter
			} else {
				without = meter
			}
		}
		if with != "" && without != "" {
			return []string{fmt.Sprintf("sample %s has a reference in the rows of meter %s and none in those of meter %s, which is judged without it; a reference belongs in every row it holds for",
				sample, with, without)}
		}
	}
	return nil
}

// unstated warns where nobody stated the uncertainty of any reference, and of
// shared errors without the name of what shares them.
func (s *Set) unstated() []string {
	var out []string
	references, stated, nameless := false, false, false
	for _, c := range s.cells {
		if _, ok := c.ref(); ok {
			_, own := c.uRef()
			_, shared := c.uShared()
			references, stated = true, stated || own || shared
			nameless = nameless || shared && c.source() == ""
		}
	}
	if references && !stated {
		out = append(out, "the uncertainty of a reference is not given (u_ref): it counts only as far as the readings scatter, and an error that all references share stays unseen")
	}
	if nameless {
		out = append(out, "u_ref_shared without ref_source is taken as one error common to all references without a source")
	}
	return out
}
