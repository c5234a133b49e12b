package series

import (
	"github.com/brinemark/brinemark/calib/series/delimited"
)

// block is a stretch of a log on its way through the stages: read, corrected,
// judged, written. All its memory is used again for a later stretch.
type block struct {
	text  []byte
	line  int // of the first row, as an editor counts
	lines int // line ends in text

	rows    []row
	times   []int64
	temps   []float64 // where somebody observes
	columns []outcome // by probe
	fault   *rowFault // what is wrong with the row behind the last of rows

	out    []byte
	parsed chan struct{} // holds one token when corrected
	ready  chan struct{} // holds one token when out is complete
	fields []delimited.Field
}

// row is where a row ends in the text, without and with its line end.
type row struct{ end, next int32 }

// outcome is what correction made of one column, row by row.
type outcome []corrected

// corrected is what correction made of one reading.
type corrected struct {
	reading    float64
	correction float64 // on the meter's own display, before any conversion
	value, u   float64
	flag       Flag
}

// rowFault is a row that cannot be read.
type rowFault struct {
	offset int // in text
	column string
	found  string
	want   string
	err    error
}

func newBlock(probes int) *block {
	return &block{columns: make([]outcome, probes), parsed: make(chan struct{}, 1), ready: make(chan struct{}, 1)}
}

// clear makes room for the next stretch.
func (b *block) clear() {
	b.rows, b.times, b.temps, b.out, b.fault = b.rows[:0], b.times[:0], b.temps[:0], b.out[:0], nil
	for i := range b.columns {
		b.columns[i] = b.columns[i][:0]
	}
}
