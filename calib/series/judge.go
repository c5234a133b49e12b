package series

import (
	"math"

	"github.com/brinemark/brinemark/calib/series/watch"
)

// judge looks at the rows of a log in their order: it flags what only their
// neighbours show, tells the observer and sums up.
type judge struct {
	plan    Plan
	dry     []*watch.Dry // by probe; nil where there is none
	held    []*block     // judged, and not handed on: a later row may change their flags
	most    int          // that are held
	row     Row          // for the observer
	summary Summary
	open    []Stretch // by probe, the stretch that goes on; no rows for none
	latest  int64
	temps   gathering
}

// newJudge returns a judge that holds so many blocks at most.
func newJudge(plan Plan, most int) (*judge, error) {
	j := &judge{plan: plan, most: most, latest: noTime, dry: make([]*watch.Dry, len(plan.Probes)), open: make([]Stretch, len(plan.Probes))}
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
// those before them that turn out to have been so, back into the blocks that are
// held.
func (j *judge) flag(b *block) {
	for k, d := range j.dry {
		if d == nil {
			continue
		}
		column := b.columns[k]
		for i, t := range b.times {
			if t <= untimed {
				continue
			}
			dry, back := d.Next(t, column[i].value)
			if dry {
				column[i].dry()
			}
			if back > 0 {
				back = b.markBack(k, i, back)
				for h := len(j.held) - 1; h >= 0 && back > 0; h-- {
					back = j.held[h].markBack(k, len(j.held[h].times), back)
				}
			}
		}
	}
}

// markBack flags so many rows before row i, and returns how many there were too
// few.
func (b *block) markBack(k, i, back int) int {
	for i--; i >= 0 && back > 0; i-- {
		if b.times[i] > untimed {
			b.columns[k][i].dry()
			back--
		}
	}
	return back
}

// reach is how many of the rows judged last can still be flagged by later ones.
func (j *judge) reach() int {
	most := 0
	for _, d := range j.dry {
		if d != nil {
			most = max(most, d.Reach())
		}
	}
	return most
}

// final returns the number of blocks held whose flags no row to come can change;
// those beyond the most count as such, so that memory stays bounded where rows
// are very long.
func (j *judge) final() int {
	n := len(j.held)
	for rows, reach := 0, j.reach(); n > 0 && rows < reach; {
		n--
		rows += j.held[n].valued
	}
	return max(n, len(j.held)-j.most)
}

// sum tells the observer of a block whose flags are final, and adds it to the
// summary.
func (j *judge) sum(b *block) {
	if j.plan.Observer != nil {
		b.tell(j.plan.Observer, &j.row)
	}
	s := &j.summary
	for _, t := range b.times {
		switch {
		case t == noTime:
			continue
		case t == untimed:
		case j.latest == noTime:
			s.First, j.latest = moment(t), t
		case t < j.latest:
			s.Backwards++
		default:
			j.latest = t
		}
		s.Rows++
	}
	if j.plan.TempColumn != "" {
		for _, tempC := range b.temps {
			j.temps.add(tempC)
		}
	}
	for k := range b.columns {
		j.sumColumn(k, b.times, b.columns[k])
	}
}

// sumColumn adds what correction made of a column to its summary.
func (j *judge) sumColumn(k int, times []int64, made outcome) {
	s, open := &j.summary.Columns[k], &j.open[k]
	for i, t := range times {
		if t == noTime {
			continue
		}
		c := &made[i]
		s.Flagged[c.flag]++
		s.readings.add(c.reading)
		if c.flag == Believed {
			s.sumReading += c.reading
			s.sumCorrection += c.correction
			if s.Flagged[Believed] == 1 || math.Abs(c.correction) > math.Abs(s.Largest.Correction) {
				s.Largest = Correction{moment(t), c.reading, c.correction}
			}
		}
		switch {
		case t == untimed || c.flag == open.Flag && open.Rows == 0:
		case open.Flag == c.flag:
			open.last, open.Rows = t, open.Rows+1
		default:
			j.close(k)
			if c.flag != Believed {
				*open = Stretch{Flag: c.flag, first: t, last: t, Rows: 1}
			}
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
func (j *judge) finish() *Summary {
	if j.latest != noTime {
		j.summary.Last = moment(j.latest)
	}
	for k := range j.open {
		j.close(k)
		j.summary.Columns[k].finish()
	}
	j.summary.Temp = j.temps.typical()
	return &j.summary
}
