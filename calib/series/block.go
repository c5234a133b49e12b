package series

import (
	"bytes"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/series/blocks"
	"github.com/brinemark/brinemark/calib/series/delimited"
)

// block is a stretch of a log on its way through the stages: read, corrected,
// judged, written. All its memory is used again for a later stretch.
type block struct {
	text []byte
	line int  // of the first row, as an editor counts
	cut  bool // the last row is longer than may be, and not all here: nothing follows

	rows    []row
	times   []int64 // Unix nanoseconds, noTime or untimed
	temps   []float64
	columns []outcome // by probe
	fault   *rowFault // what is wrong with the row behind the last of rows
	// emptied is what is wrong with the first of the rows of empty fields at its
	// end, where rows follow in the log; they are among rows, as with nothing in
	// them.
	emptied *rowFault
	valued  int // rows that are not empty lines

	out    []byte
	parsed chan struct{} // holds one token when corrected
	ready  chan struct{} // holds one token when out is complete
	fields []delimited.Field
}

// row is a row's place in the text: where what is added goes, and where the next
// row begins.
type row struct{ end, next int32 }

// What stands among the times for a row without one.
const (
	noTime  = math.MinInt64     // nothing in it: it is written as it is
	untimed = math.MinInt64 + 1 // it could not be read
)

// outcome is what correction made of one column, row by row.
type outcome []corrected

// corrected is what correction made of one reading.
type corrected struct {
	reading    float64
	correction float64 // on the meter's own display, before any conversion
	value, u   float64
	flag       Flag
}

// noOutcome is the outcome where there is none.
func noOutcome(flag Flag) corrected {
	return corrected{reading: math.NaN(), correction: math.NaN(), value: math.NaN(), u: math.NaN(), flag: flag}
}

// dry flags a value that there is.
func (c *corrected) dry() {
	if c.flag.Valued() {
		c.flag = Dry
	}
}

// rowFault is a row that cannot be read.
type rowFault struct {
	offset int // in text
	column string
	found  string
	want   string
	err    error
}

// at gives a fault its place in the log.
func (f *rowFault) at(b *block) error {
	return &readings.Error{Row: b.line + bytes.Count(b.text[:f.offset], lineFeed), Column: f.column, Found: f.found, Want: f.want, Err: f.err}
}

// longRow is a row of more than mostRow bytes.
func longRow(offset int) *rowFault {
	return &rowFault{offset: offset, found: "a row of more than a million bytes", want: "a line end before that; was a quote opened and not closed?", err: blocks.ErrLongRow}
}

func newBlock(probes int) *block {
	return &block{columns: make([]outcome, probes), parsed: make(chan struct{}, 1), ready: make(chan struct{}, 1)}
}

// clear makes room for what is made of the text.
func (b *block) clear() {
	b.rows, b.times, b.temps, b.out, b.fault, b.valued = b.rows[:0], b.times[:0], b.temps[:0], b.out[:0], nil, 0
	b.emptied = nil
	for i := range b.columns {
		b.columns[i] = b.columns[i][:0]
	}
}

// reserve makes room for as many rows as the text holds if all are as long as the
// first, so that blocks need not grow row by row.
func (b *block) reserve(first int) {
	n := len(b.text)/first + len(b.text)/first/8 + 1
	b.rows, b.times = slices.Grow(b.rows, n), slices.Grow(b.times, n)
	for i := range b.columns {
		b.columns[i] = slices.Grow(b.columns[i], n)
	}
	b.out = slices.Grow(b.out, len(b.text)+n*len(b.columns)*usualAddition)
}

// usualAddition is how many bytes a correction takes when written.
const usualAddition = 28

// shrink lets go of memory that a stretch of unusual rows took.
func (b *block) shrink(most int) {
	if cap(b.text) > most {
		b.text = nil
	}
	if cap(b.out) > mostGrowth*most {
		b.out = nil
	}
}

// mostGrowth is how many times its text a usual block takes when written.
const mostGrowth = 4

// add adds a row of one kind for all probes: an empty line, or one that cannot
// be read. Empty lines in a row are one, since a block of them would take a
// hundred times the memory of its text.
func (b *block) add(end, next int, t int64, flag Flag) {
	if last := len(b.rows) - 1; last >= 0 && t == noTime && b.times[last] == noTime {
		b.rows[last] = row{int32(end), int32(next)}
		return
	}
	b.rows = append(b.rows, row{int32(end), int32(next)})
	b.times = append(b.times, t)
	b.temps = append(b.temps, math.NaN())
	for i := range b.columns {
		b.columns[i] = append(b.columns[i], noOutcome(flag))
	}
}
