package series

import "bytes"

// Observer is told every row of a log once, in the order of the log, when its
// flags are final: after a fall that shows only rows later has been flagged.
// [Follow] writes rows before that can be known, and tells them as it wrote
// them. Observe is called from one goroutine at a time.
type Observer interface {
	Observe(row *Row)
}

// Row is a row of a log as an [Observer] sees it. Its memory is used again for
// the next one: copy what is to be kept.
type Row struct {
	Line  int     // where the row begins, as an editor counts
	Time  int64   // Unix nanoseconds
	TempC float64 // the liquid's, from the plan's column; NaN where there is none
	Seen  []Seen  // by the plan's probes
}

// Seen is what a row says of one probe.
type Seen struct {
	Reading  float64 // as logged; NaN under Blank and NotANumber
	Value, U float64 // corrected; NaN where there is nothing to correct, U also where it is not known
	Flag     Flag
}

// Observers tells several what it is told, in this order.
type Observers []Observer

// Observe tells them a row.
func (list Observers) Observe(row *Row) {
	for _, o := range list {
		o.Observe(row)
	}
}

// tell tells an observer the rows of a block.
func (b *block) tell(to Observer, row *Row) {
	line := b.line
	for i, t := range b.times {
		if t != noTime {
			row.Line, row.Time, row.TempC = line, t, b.temps[i]
			row.Seen = row.Seen[:0]
			for k := range b.columns {
				c := &b.columns[k][i]
				row.Seen = append(row.Seen, Seen{c.reading, c.value, c.u, c.flag})
			}
			to.Observe(row)
		}
		line += b.lineEnds(i)
	}
}

// lineEnds counts the line ends in a row of a block.
func (b *block) lineEnds(i int) int {
	from := 0
	if i > 0 {
		from = int(b.rows[i-1].next)
	}
	return bytes.Count(b.text[from:b.rows[i].next], lineFeed)
}
