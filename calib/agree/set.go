package agree

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Set is the readings of several meters, grouped by meter and sample. Anything
// that explains them (a bias, a cause) works on the same set.
type Set struct {
	Meters  []string // in the order of their first reading
	Samples []string
	// Factors are the display units for each uS/cm of conductivity meters, where
	// they are known: 1 for uS/cm, 0.001 for mS/cm, 0.5 and the like for ppm.
	// They convert nothing; they say why two displays differ, and in which unit
	// to name a reference.
	Factors map[string]float64
	cells   map[[2]string]*cell
	notes   []string // how references of several sources were combined
}

// cell is what one meter showed in one sample: one reading, or replicates.
type cell struct {
	meter, sample string
	rows          []Reading
}

// NewSet groups readings. It is an error, an [InputError] where a row is to
// blame, if there are fewer than two meters, no two meters share a sample, a
// figure is not finite or an uncertainty negative, a repetition's label comes
// twice, or the rows of one meter and sample give different references with
// nothing to explain it: a temperature, or sources that each state u_ref, whose
// references are combined by their uncertainties.
func NewSet(rows []Reading) (*Set, error) {
	for _, r := range rows {
		if err := r.check(); err != nil {
			return nil, err
		}
	}
	s := &Set{cells: map[[2]string]*cell{}}
	rows, s.notes = combineOpinions(rows)
	for _, r := range rows {
		key := [2]string{r.Meter, r.Sample}
		c := s.cells[key]
		if c == nil {
			c = &cell{meter: r.Meter, sample: r.Sample}
			s.cells[key] = c
		}
		if err := c.add(r); err != nil {
			return nil, err
		}
		if !slices.Contains(s.Meters, r.Meter) {
			s.Meters = append(s.Meters, r.Meter)
		}
		if !slices.Contains(s.Samples, r.Sample) {
			s.Samples = append(s.Samples, r.Sample)
		}
	}
	return s, s.checkPairs()
}

func (s *Set) checkPairs() error {
	switch len(s.Meters) {
	case 0:
		return inputError(0, "", "there are no readings; want rows of meter, sample and reading")
	case 1:
		return inputError(0, "meter", "only one meter, %q; want two or more (calibrate checks one meter against references)", s.Meters[0])
	}
	for i, a := range s.Meters {
		for _, b := range s.Meters[i+1:] {
			if len(s.shared(a, b)) > 0 {
				return nil
			}
		}
	}
	return inputError(0, "sample", "no two meters read the same sample (%s); give a sample the same name wherever it was read",
		strings.Join(firstFew(s.Samples), ", "))
}

// firstFew shortens a list for a message.
func firstFew(names []string) []string {
	const few = 4
	if len(names) <= few {
		return names
	}
	return append(slices.Clone(names[:few]), fmt.Sprintf("and %d more", len(names)-few))
}

// shared returns the samples that both meters read.
func (s *Set) shared(a, b string) []string {
	var out []string
	for _, sample := range s.Samples {
		if s.cell(a, sample) != nil && s.cell(b, sample) != nil {
			out = append(out, sample)
		}
	}
	return out
}

// Readings returns the readings of the set, meter by meter, each in the order
// of the samples.
func (s *Set) Readings() []Reading {
	var out []Reading
	for _, meter := range s.Meters {
		for _, c := range s.cellsOf(meter) {
			out = append(out, c.rows...)
		}
	}
	return out
}

func (s *Set) cell(meter, sample string) *cell { return s.cells[[2]string{meter, sample}] }

// cellsOf returns a meter's cells in the order of the samples.
func (s *Set) cellsOf(meter string) []*cell {
	var out []*cell
	for _, sample := range s.Samples {
		if c := s.cell(meter, sample); c != nil {
			out = append(out, c)
		}
	}
	return out
}

// hasRefs says whether any reading has a reference.
func (s *Set) hasRefs() bool {
	for _, c := range s.cells {
		if _, ok := c.ref(); ok {
			return true
		}
	}
	return false
}

// step is the size of the last digit a meter's readings were written with, a
// lower bound of what its display resolves: 1 for 1413, 0.01 for 6.00. It is 0
// for readings with more than six decimals, which come from arithmetic.
func (s *Set) step(meter string) float64 {
	least := math.Inf(1)
	for _, c := range s.cellsOf(meter) {
		for _, r := range c.rows {
			least = min(least, r.step())
		}
	}
	const written = 0.99e-6
	if least < written || math.IsInf(least, 1) {
		return 0
	}
	return least
}

// Step is the size of the last digit a meter's readings were written with, a
// lower bound of what its display resolves; 0 where they were computed.
func (s *Set) Step(meter string) float64 { return s.step(meter) }

// step is the last digit of one reading, from how it was written, else from the
// shortest way to write it.
func (r Reading) step() float64 {
	if r.Step > 0 {
		return r.Step
	}
	_, fraction, _ := strings.Cut(shortest(r.Value), ".")
	return math.Pow10(-len(fraction))
}

// add takes one more reading, unless it contradicts what the cell holds.
func (c *cell) add(r Reading) error {
	for _, old := range c.rows {
		if err := contradiction(old, r); err != nil {
			return err
		}
	}
	c.rows = append(c.rows, r)
	return nil
}

func contradiction(old, r Reading) error {
	sameTime := old.Time == nil || r.Time == nil || old.Time.Equal(*r.Time)
	if r.Replicate != "" && r.Replicate == old.Replicate && sameTime {
		return inputError(r.Row, "replicate", "replicate %s of meter %s in sample %s is given twice, as %s and as %s; number repetitions differently",
			r.Replicate, r.Meter, r.Sample, shortest(old.Value), shortest(r.Value))
	}
	if old.TempC != nil && r.TempC != nil && *old.TempC != *r.TempC {
		return nil // the display, and so the reference, may follow the temperature
	}
	for _, f := range []struct {
		column string
		a, b   *float64
	}{{"ref", old.Ref, r.Ref}, {"u_ref", old.URef, r.URef}, {"u_ref_shared", old.URefShared, r.URefShared}} {
		if f.a != nil && f.b != nil && *f.a != *f.b {
			return inputError(r.Row, f.column, "%s for meter %s in sample %s, but %s in row %d; one liquid at one temperature has one reference (or one of each ref_source, with u_ref for each)",
				shortest(*f.b), r.Meter, r.Sample, shortest(*f.a), old.Row)
		}
	}
	return nil
}

func (c *cell) values() []float64 {
	out := make([]float64, len(c.rows))
	for i, r := range c.rows {
		out[i] = r.Value
	}
	return out
}

func (c *cell) mean() float64 { return stat.Mean(c.values(), nil) }

// u is the standard uncertainty of the mean from what is stated; false unless
// every row states its own.
func (c *cell) u() (float64, bool) {
	sum := 0.0
	for _, r := range c.rows {
		if r.UValue == nil {
			return math.NaN(), false
		}
		sum += *r.UValue * *r.UValue
	}
	return math.Sqrt(sum) / float64(len(c.rows)), true
}

// leastU is the least standard uncertainty of the mean: what is stated, and the
// last digit where nothing is. Rows that round to one digit err alike.
func (c *cell) leastU(step float64) float64 {
	n := float64(len(c.rows))
	sum, digits := 0.0, 0.0
	for _, r := range c.rows {
		if r.UValue != nil {
			sum += *r.UValue * *r.UValue
		} else {
			digits++
		}
	}
	return math.Hypot(math.Sqrt(sum)/n, step/math.Sqrt(12)*digits/n)
}

// partlyStated says whether any reading has a stated uncertainty above 0.
func (c *cell) partlyStated() bool {
	return slices.ContainsFunc(c.rows, func(r Reading) bool { return r.UValue != nil && *r.UValue > 0 })
}

// ref is the mean of the references of the rows that have one.
func (c *cell) ref() (float64, bool) { return c.average(func(r Reading) *float64 { return r.Ref }) }

// uRef and uShared are the reference's standard uncertainties. Repeating a
// reading does not average them: it is the same bottle.
func (c *cell) uRef() (float64, bool) { return c.average(func(r Reading) *float64 { return r.URef }) }

func (c *cell) uShared() (float64, bool) {
	return c.average(func(r Reading) *float64 { return r.URefShared })
}

// parts are the named sources of the reference's uncertainty, the mean of the
// rows; empty unless every row with a reference names its own.
func (c *cell) parts() []uncert.Contribution {
	sum, n := uncert.Exact(0), 0
	for _, r := range c.rows {
		if r.Ref == nil {
			continue
		}
		v, err := uncert.FromParts(0, r.RefParts)
		if err != nil || len(r.RefParts) == 0 {
			return nil
		}
		sum, n = sum.Add(v), n+1
	}
	if n == 0 {
		return nil
	}
	return sum.Scale(1 / float64(n)).Parts()
}

func (c *cell) average(figure func(Reading) *float64) (float64, bool) {
	sum, n := 0.0, 0
	for _, r := range c.rows {
		if x := figure(r); x != nil {
			sum += *x
			n++
		}
	}
	if n == 0 {
		return math.NaN(), false
	}
	return sum / float64(n), true
}

// meanError is the mean of reading − reference. A row without a reference of
// its own takes the cell's.
func (c *cell) meanError() float64 {
	common, _ := c.ref()
	sum := 0.0
	for _, r := range c.rows {
		if r.Ref != nil {
			sum += r.Value - *r.Ref
		} else {
			sum += r.Value - common
		}
	}
	return sum / float64(len(c.rows))
}

// source names what the reference shares with others.
func (c *cell) source() string {
	for _, r := range c.rows {
		if r.RefSource != "" {
			return r.RefSource
		}
	}
	return ""
}
