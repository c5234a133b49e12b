package series

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/readings"
)

// worker corrects the rows of blocks and writes them, in one form of log. Each
// goroutine has its own.
type worker interface {
	// correct fills a block from its text, up to the first row that cannot be
	// read.
	correct(b *block)
	// write puts the rows of a block into its out, each unchanged but for what
	// was found.
	write(b *block)
	// pass makes a block of its whole text as one row that cannot be read.
	pass(b *block)
}

// ValueDigits and UncertaintyDigits are the significant digits of a corrected
// value and of its uncertainty.
const (
	ValueDigits       = 10
	UncertaintyDigits = 4
)

// bench is what workers on every form of log share.
type bench struct {
	plan       Plan
	clock      clock
	correctors []*Corrector
	// thermometer corrects the temperature of the liquid, where its column is one
	// of those to correct; else nil.
	thermometer *Corrector
}

func newBench(plan Plan) (bench, error) {
	w := bench{plan: plan, clock: newClock(plan.Zone)}
	for _, p := range plan.Probes {
		c, err := NewCorrector(p)
		if err != nil {
			return w, err
		}
		w.correctors = append(w.correctors, c)
		if p.Column == plan.TempColumn {
			if w.thermometer, err = NewCorrector(p); err != nil {
				return w, err
			}
		}
	}
	return w, nil
}

// moment adds a row at a time.
func (w *bench) moment(b *block, t int64, end, next int, tempC float64) {
	if len(b.rows) == cap(b.rows) && cap(b.rows) == 0 {
		b.reserve(next)
	}
	b.rows = append(b.rows, row{int32(end), int32(next)})
	b.times = append(b.times, t)
	b.valued++
	if w.plan.Observer != nil || w.plan.TempColumn != "" {
		b.temps = append(b.temps, tempC)
	}
}

// reading corrects a reading of a row that was added.
func (w *bench) reading(b *block, k int, t int64, reading float64, flag Flag, tempC float64, tempFlag Flag) {
	column := b.columns[k]
	if len(column) == cap(column) {
		column = slices.Grow(column, 1)
	}
	column = column[:len(column)+1]
	b.columns[k] = column
	made, c := &column[len(column)-1], w.correctors[k]
	switch {
	case flag != Believed:
		*made = noOutcome(flag)
	case c.conversion.needs && tempFlag != Believed:
		*made = noOutcome(tempFlag)
		made.reading = reading
	case c.conversion.needs && w.thermometer != nil:
		c.correct(made, t, reading, w.thermometer.liquid(t, tempC))
	default:
		c.correct(made, t, reading, tempC)
	}
}

// wrongTime is the fault of a row whose time cannot be read.
func (w *bench) wrongTime(offset int, cell []byte, err error) *rowFault {
	f := &rowFault{offset: offset, column: w.plan.timeColumn(), found: fmt.Sprintf("%.40q", cell), want: err.Error(), err: readings.ErrNotATime}
	if len(cell) == 0 {
		f.found = "nothing"
	}
	if inner := errors.Unwrap(err); inner != nil {
		f.want = inner.Error() // without the cell, which stands in found
	}
	return f
}

// noTemperature is what is known of it where no column says.
func noTemperature() (float64, Flag) { return math.NaN(), Blank }
