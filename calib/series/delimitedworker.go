package series

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/series/delimited"
)

// delimitedWorker works on delimited logs.
type delimitedWorker struct {
	bench
	form    delimited.Form
	at      places
	mark    byte   // the decimal mark
	scratch []byte // for fields whose doubled quotes are undone
}

func newDelimitedWorker(plan Plan, h head) (*delimitedWorker, error) {
	shared, err := newBench(plan)
	return &delimitedWorker{bench: shared, form: h.form, at: h.at, mark: markOr(h.mark), scratch: make([]byte, 0, usualField)}, err
}

// usualField is longer than numbers and times are.
const usualField = 64

// markOr is a decimal mark, or the one of a log that has shown none.
func markOr(mark byte) byte {
	if mark == 0 {
		return '.'
	}
	return mark
}

func (w *delimitedWorker) correct(b *block) {
	b.clear()
	text := b.text
	for at := 0; at < len(text); {
		fields, end, next, err := w.form.Row(text, at, b.fields)
		b.fields = fields
		switch {
		case next-at > mostRow && (err == nil || errors.Is(err, delimited.ErrUnclosed)):
			b.fault = longRow(at)
		case err != nil:
			b.fault = &rowFault{offset: at, found: err.Error(), want: wantQuoting, err: readings.ErrQuoting}
		case len(fields) == 0:
			b.add(end, next, noTime, Believed)
		default:
			b.fault = w.row(b, fields, at, end, next)
			if b.fault != nil && emptyFields(text, fields) && w.restEmpty(text[next:]) {
				b.emptied, b.fault = b.fault, nil
				w.takeEmpty(b, at)
				return
			}
		}
		if b.fault != nil {
			return
		}
		at = next
	}
}

// row corrects one row.
func (w *delimitedWorker) row(b *block, fields []delimited.Field, at, end, next int) *rowFault {
	if len(fields) != w.at.width {
		return w.ragged(len(fields), at, next == len(b.text) && end == next)
	}
	cell := w.cell(b, fields[w.at.time])
	t, ok := w.clock.plain(cell)
	if !ok {
		var err error
		cell = bytes.TrimSpace(cell)
		if t, err = w.clock.read(cell); err != nil {
			return w.wrongTime(at, cell, err)
		}
	}
	tempC, tempFlag := noTemperature()
	if w.at.temp >= 0 {
		tempC, tempFlag = number(w.cell(b, fields[w.at.temp]), w.mark)
	}
	w.moment(b, t, end, next, tempC)
	for k, place := range w.at.probes {
		reading, flag := number(w.cell(b, fields[place]), w.mark)
		w.reading(b, k, t, reading, flag, tempC, tempFlag)
	}
	return nil
}

// cell returns what a field says, until the next call.
func (w *delimitedWorker) cell(b *block, f delimited.Field) []byte {
	if !f.Quoted {
		return b.text[f.Start:f.End]
	}
	return f.Value(b.text, w.scratch[:0])
}

func (w *delimitedWorker) ragged(fields, at int, last bool) *rowFault {
	f := &rowFault{offset: at, found: fmt.Sprintf("%d fields", fields), want: fmt.Sprintf("%d, as in the header", w.at.width), err: readings.ErrRagged}
	if fields == 1 {
		f.found = "1 field"
	}
	if last && fields < w.at.width {
		f.want += "; the log ends in the middle of this row"
	}
	return f
}

func (w *delimitedWorker) write(b *block) {
	out, at := b.out[:0], 0
	separator := w.form.Separator
	for i, row := range b.rows {
		if b.times[i] != noTime {
			out = append(out, b.text[at:row.end]...)
			for k := range b.columns {
				c := &b.columns[k][i]
				out = append(out, separator)
				if c.flag.Valued() {
					out = appendNumber(out, c.value, ValueDigits, w.mark)
					out = append(out, separator)
					out = appendNumber(out, c.u, UncertaintyDigits, w.mark)
				} else {
					out = append(out, separator)
				}
				out = append(out, separator)
				out = append(out, c.flag.String()...)
			}
			at = int(row.end)
		} else if bytes.IndexByte(b.text[at:row.end], separator) >= 0 {
			out = append(out, b.text[at:row.end]...)
			for range 3 * len(b.columns) {
				out = append(out, separator)
			}
			at = int(row.end)
		}
		out = append(out, b.text[at:row.next]...)
		at = int(row.next)
	}
	b.out = out
}

func (w *delimitedWorker) pass(b *block) {
	b.clear()
	end := len(bytes.TrimSuffix(bytes.TrimSuffix(b.text, lineFeed), []byte{'\r'}))
	b.add(end, len(b.text), untimed, NotANumber)
}
