package series

import (
	"math"

	"github.com/brinemark/brinemark/calib/series/watch"
)

// judge looks at the rows of a log in their order: it flags what only their
// neighbours show and sums up.
type judge struct {
	plan    Plan
	dry     []*watch.Dry // by probe; nil where there is none
	summary Summary
	open    []Stretch // by probe, the stretch that goes on; no rows for none
	latest  int64
	row     Row // for the observer
}

func newJudge(plan Plan) (*judge, error) {
	j := &judge{plan: plan, latest: noTime, dry: make([]*watch.Dry, len(plan.Probes)), open: make([]Stretch, len(plan.Probes))}
	j.summary.Columns = make([]ColumnSummary, len(plan.Probes))
	for i, p := range plan.Probes {
		j.summary.Columns[i].Column = p.Column
		if p.Dry != nil {
			var err error
			if j.dry[i], err = watch.NewDry(*p.Dry); err != nil {
				return nil, err
			}
		}
	}
	return j, nil
}

// flag flags the rows of a block in which a probe was out of the liquid, and
// those at the end of the block before it, or nil, that led there.
func (j *judge) flag(b, before *block) {
	for k, d := range j.dry {
		if d == nil {
			continue
		}
		column := b.columns[k]
		for i, t := range b.times {
			if t == noTime {
				continue
			}
			dry, back := d.Next(t, column[i].value)
			if !dry {
				continue
			}
			column[i].dry()
			if back > 0 {
				left := markBack(b, k, i, back)
				if before != nil {
					markBack(before, k, len(before.times), left)
				}
			}
		}
	}
}

// markBack flags so many rows before one, and returns how many there were too
// few.
func markBack(b *block, k, i, back int) int {
	for i--; i >= 0 && back > 0; i-- {
		if b.times[i] != noTime {
			b.columns[k][i].dry()
			back--
		}
	}
	return back
}

// dry flags a value that there is.
func (c *corrected) dry() {
	if c.flag.Valued() {
		c.flag = Dry
	}
}

// sum adds a block whose flags are final to the summary.
func (j *judge) sum(b *block) {
	if j.plan.Observer != nil {
		b.tell(j.plan.Observer, &j.row)
	}
	s := &j.summary
	for i, t := range b.times {
		if t == noTime {
			continue
		}
		s.Rows++
		if t < j.latest {
			s.Backwards++
		} else {
			j.latest = t
		}
		if s.Rows == 1 {
			s.First = moment(t)
		}
		for k := range b.columns {
			j.add(k, t, &b.columns[k][i])
		}
	}
	if j.latest != noTime {
		s.Last = moment(j.latest)
	}
}

func (j *judge) add(k int, t int64, c *corrected) {
	s := &j.summary.Columns[k]
	s.Flagged[c.flag]++
	if c.flag == Believed {
		s.sumReading += c.reading
		s.sumCorrection += c.correction
		if size := math.Abs(c.correction); !(size <= math.Abs(s.Largest.Correction)) || s.Flagged[Believed] == 1 {
			s.Largest = Correction{moment(t), c.reading, c.correction}
		}
	}
	switch open := &j.open[k]; {
	case open.Rows > 0 && open.Flag == c.flag:
		open.last, open.Rows = t, open.Rows+1
	default:
		j.close(k)
		if c.flag != Believed {
			*open = Stretch{Flag: c.flag, first: t, last: t, Rows: 1}
		}
	}
}

// close ends the stretch of a column that goes on.
func (j *judge) close(k int) {
	if open := &j.open[k]; open.Rows > 0 {
		open.From, open.To = moment(open.first), moment(open.last)
		j.summary.Columns[k].keep(*open)
		*open = Stretch{}
	}
}

// finish ends the summary.
func (j *judge) finish() Summary {
	for k := range j.open {
		j.close(k)
		j.summary.Columns[k].finish()
	}
	return j.summary
}
