package series

import (
	"bytes"
	"errors"
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/series/delimited"
)

// rowReader corrects the rows of blocks, one block at a time. Each goroutine
// has its own.
type rowReader struct {
	plan       Plan
	form       delimited.Form
	at         places
	clock      clock
	comma      bool // numbers have a decimal comma
	correctors []*Corrector
	scratch    []byte
}

func newRowReader(plan Plan, form delimited.Form, at places, comma bool) (*rowReader, error) {
	r := &rowReader{plan: plan, form: form, at: at, clock: newClock(plan.Zone), comma: comma}
	for _, p := range plan.Probes {
		c, err := NewCorrector(p)
		if err != nil {
			return nil, err
		}
		r.correctors = append(r.correctors, c)
	}
	return r, nil
}

// correct fills a block from its text, up to the first row that cannot be read.
func (r *rowReader) correct(b *block) {
	b.clear()
	text := b.text
	for at := 0; at < len(text); {
		fields, end, next, err := r.form.Row(text, at, b.fields)
		b.fields = fields
		if err != nil {
			b.fault = &rowFault{offset: at, found: err.Error(), want: "fields quoted as RFC 4180 says", err: readings.ErrQuoting}
			return
		}
		if len(fields) == 0 {
			b.empty(end, next)
			at = next
			continue
		}
		if fault := r.row(b, fields, at, next == len(text) && end == next); fault != nil {
			b.fault = fault
			return
		}
		b.rows = append(b.rows, row{int32(end), int32(next)})
		at = next
	}
}

// empty adds an empty line, which is written as it is.
func (b *block) empty(end, next int) {
	b.rows = append(b.rows, row{int32(end), int32(next)})
	b.times = append(b.times, noTime)
	b.temps = append(b.temps, math.NaN())
	for i := range b.columns {
		b.columns[i] = append(b.columns[i], corrected{})
	}
}

// noTime marks an empty line among the times.
const noTime = -1 << 63

// row corrects one row. last tells that the text ends with it, without a line
// end.
func (r *rowReader) row(b *block, fields []delimited.Field, at int, last bool) *rowFault {
	if len(fields) != r.at.width {
		return r.ragged(len(fields), at, last)
	}
	t, err := r.clock.read(bytes.TrimSpace(r.cell(b, fields[r.at.time])))
	if err != nil {
		return &rowFault{offset: at, column: r.plan.timeColumn(), err: readings.ErrNotATime,
			found: fmt.Sprintf("%.40q", r.cell(b, fields[r.at.time])), want: wantTime(err)}
	}
	tempC, tempFlag := math.NaN(), Blank
	if r.at.temp >= 0 {
		tempC, tempFlag = number(r.cell(b, fields[r.at.temp]), r.comma)
	}
	b.times = append(b.times, t)
	if r.plan.Observer != nil {
		b.temps = append(b.temps, tempC)
	}
	for i, c := range r.correctors {
		reading, flag := number(r.cell(b, fields[r.at.probes[i]]), r.comma)
		made := corrected{reading: reading, correction: math.NaN(), value: math.NaN(), u: math.NaN(), flag: flag}
		switch {
		case flag != Believed:
		case c.conversion.needs && tempFlag != Believed:
			made.flag = tempFlag
		default:
			made = c.at(t, reading, tempC)
		}
		b.columns[i] = append(b.columns[i], made)
	}
	return nil
}

// cell returns what a field says, until the next call.
func (r *rowReader) cell(b *block, f delimited.Field) []byte {
	if !f.Quoted {
		return b.text[f.Start:f.End]
	}
	return f.Value(b.text, r.scratch[:0])
}

// wantTime takes what would be right out of the error about a time.
func wantTime(err error) string {
	if inner := errors.Unwrap(err); inner != nil {
		return inner.Error()
	}
	return err.Error()
}

func (r *rowReader) ragged(fields, at int, last bool) *rowFault {
	f := &rowFault{offset: at, found: fmt.Sprintf("%d fields", fields), want: fmt.Sprintf("%d, as in the header", r.at.width), err: readings.ErrRagged}
	if fields == 1 {
		f.found = "1 field"
	}
	if last && fields < r.at.width {
		f.want += "; the file ends in the middle of this row"
	}
	return f
}
