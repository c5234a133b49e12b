package paired

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/spelling"
)

// Read reads a log: CSV as package readings takes it (UTF-8, a header, "," ";"
// or a tab, a decimal comma where the separator is none), in any length. Cells
// that are empty or hold no number make a row that is skipped and counted: logs
// have holes. A time that cannot be read is a [*readings.Error].
func Read(r io.Reader, name string, s Spec) (*Log, error) {
	if s.TimeColumn == "" {
		s.TimeColumn = "time"
	}
	if s.Zone == nil {
		s.Zone = time.UTC
	}
	if strings.EqualFold(s.A, s.B) {
		return nil, fault(name, 0, s.A, "one column twice", "two different columns", ErrSameColumn)
	}
	in := &input{lines: bufio.NewReaderSize(r, 1<<20), log: &Log{Name: name, Spec: s}, days: map[int]*bucket{}}
	if err := in.header(); err != nil {
		return nil, err
	}
	if err := in.rows(); err != nil {
		return nil, err
	}
	return in.finish()
}

// input is a log being read.
type input struct {
	lines   *bufio.Reader
	quoted  *csv.Reader // once a quotation mark was seen
	log     *Log
	row     int
	comma   byte
	decimal bool   // comma
	at      [3]int // columns of time, A and B
	fields  int
	cells   [][]byte
	long    []byte

	clock    clock
	days     map[int]*bucket
	last     *bucket
	lastDay  int
	lastUnix int64
	disorder int // first row that is earlier than the one before
	odd      int // first row with a cell that is no number
	apart    int // rows with two numbers that cannot be of one liquid
	oddText  string
}

// line reads the next line, without its end; the bytes hold until the next call.
func (in *input) line() ([]byte, error) {
	text, err := in.lines.ReadSlice('\n')
	if errors.Is(err, bufio.ErrBufferFull) {
		in.long = append(in.long[:0], text...)
		for errors.Is(err, bufio.ErrBufferFull) && len(in.long) < 1<<24 {
			text, err = in.lines.ReadSlice('\n')
			in.long = append(in.long, text...)
		}
		if errors.Is(err, bufio.ErrBufferFull) {
			return nil, fault(in.log.Name, in.row+1, "", "a line of more than 16 MB", "a CSV log", readings.ErrTooLarge)
		}
		text = in.long
	}
	if err != nil && (!errors.Is(err, io.EOF) || len(text) == 0) {
		return nil, err
	}
	in.row++
	return bytes.TrimRight(text, "\r\n"), nil
}

func (in *input) header() error {
	name := in.log.Name
	var text []byte
	var err error
	for len(bytes.TrimSpace(text)) == 0 {
		if text, err = in.line(); errors.Is(err, io.EOF) {
			return fault(name, 0, "", "nothing", "a header and rows below it", readings.ErrEmpty)
		} else if err != nil {
			return in.trouble(err)
		}
		text = bytes.TrimPrefix(text, []byte("\ufeff"))
	}
	want := [3]string{in.log.Spec.TimeColumn, in.log.Spec.A, in.log.Spec.B}
	best := -1
	var names []string
	for _, comma := range []byte{',', ';', '\t'} {
		reader := csv.NewReader(bytes.NewReader(text))
		reader.Comma = rune(comma)
		cells, err := reader.Read()
		if err != nil {
			continue
		}
		found := 0
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
			for _, w := range want {
				if strings.EqualFold(cells[i], w) {
					found++
				}
			}
		}
		if found > best || found == best && len(cells) > len(names) {
			best, names, in.comma = found, cells, comma
		}
	}
	in.fields, in.decimal = len(names), in.comma != ','
	for k, w := range want {
		at := slices.IndexFunc(names, func(n string) bool { return strings.EqualFold(n, w) })
		if at < 0 {
			hint := ""
			if near, ok := spelling.Nearest(w, names); ok {
				hint = "; the nearest is " + near
			}
			return fault(name, in.row, w, "no such column", "one of "+strings.Join(names, ", ")+hint, readings.ErrMissingColumn)
		}
		if slices.ContainsFunc(names[at+1:], func(n string) bool { return strings.EqualFold(n, w) }) {
			return fault(name, in.row, w, "the column twice", "it once", readings.ErrDuplicateColumn)
		}
		in.at[k] = at
	}
	return nil
}

// trouble names the file in an error of the reader.
func (in *input) trouble(err error) error {
	var place *readings.Error
	if errors.As(err, &place) {
		return err
	}
	return fmt.Errorf("%s: %w", in.log.Name, err)
}

func (in *input) rows() error {
	in.clock = clock{zone: in.log.Spec.Zone}
	for {
		text, err := in.line()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return in.trouble(err)
		}
		if bytes.IndexByte(text, '"') >= 0 {
			return in.quotedRows(text)
		}
		if len(bytes.Trim(text, " \t,;")) == 0 {
			continue
		}
		in.cells = in.cells[:0]
		for {
			k := bytes.IndexByte(text, in.comma)
			if k < 0 {
				break
			}
			in.cells = append(in.cells, text[:k])
			text = text[k+1:]
		}
		in.cells = append(in.cells, text)
		if err := in.take(); err != nil {
			return err
		}
	}
}

// quotedRows reads the rest of the log, from a line with a quotation mark on,
// by the rules of RFC 4180.
func (in *input) quotedRows(first []byte) error {
	begin := in.row
	reader := csv.NewReader(io.MultiReader(bytes.NewReader(append(slices.Clone(first), '\n')), in.lines))
	reader.Comma, reader.ReuseRecord, reader.FieldsPerRecord = rune(in.comma), true, -1
	for {
		record, err := reader.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		var wrong *csv.ParseError
		if errors.As(err, &wrong) {
			return fault(in.log.Name, begin+wrong.Line-1, "", wrong.Err.Error(), "quoting by RFC 4180", readings.ErrQuoting)
		}
		if err != nil {
			return in.trouble(err)
		}
		line, _ := reader.FieldPos(0)
		in.row = begin + line - 1
		in.cells = in.cells[:0]
		for _, cell := range record {
			in.cells = append(in.cells, []byte(cell))
		}
		if err := in.take(); err != nil {
			return err
		}
	}
}

// hours are how far back a row may jump without a word: clocks are put back,
// and loggers write late.
const hours = 2 * 60 * 60

// take adds the row whose cells have been split.
func (in *input) take() error {
	if len(in.cells) != in.fields {
		return fault(in.log.Name, in.row, "", strconv.Itoa(len(in.cells))+" fields", strconv.Itoa(in.fields)+", as the header has", readings.ErrRagged)
	}
	text := bytes.TrimSpace(in.cells[in.at[0]])
	day, unix, err := in.clock.read(text)
	if err != nil {
		return fault(in.log.Name, in.row, in.log.Spec.TimeColumn, strconv.Quote(string(text)), "a time such as 2026-03-01T08:30:00Z or 2026-03-01 08:30", readings.ErrNotATime)
	}
	in.log.Rows++
	if unix < in.lastUnix-hours && in.disorder == 0 && in.log.Rows > 1 {
		in.disorder = in.row
	}
	in.lastUnix = unix
	a, okA := in.number(in.cells[in.at[1]])
	b, okB := in.number(in.cells[in.at[2]])
	d, ok := in.log.Spec.difference(a, b)
	if !okA || !okB || !ok {
		in.log.Skipped++
		if okA && okB {
			in.apart++
		}
		return nil
	}
	if in.last == nil || day != in.lastDay {
		if in.last, in.lastDay = in.days[day], day; in.last == nil {
			in.last = &bucket{}
			in.days[day] = in.last
		}
	}
	in.last.add(b, d)
	return nil
}

// finish sums the days up.
func (in *input) finish() (*Log, error) {
	l := in.log
	if len(in.days) == 0 {
		found := "no row"
		if l.Rows > 0 {
			found = fmt.Sprintf("no number in both columns in any of %d rows", l.Rows)
		}
		want := "rows with a number in both"
		if in.apart > 0 {
			found = fmt.Sprintf("%d of %d rows with one below 0 or more than %.0f times the other, and none else with two numbers", in.apart, l.Rows, farApart)
			want = "two probes in one liquid, both columns in one unit"
		}
		return nil, fault(l.Name, 0, l.Spec.A+", "+l.Spec.B, found, want, ErrNoPairs)
	}
	var days []int
	for day := range in.days {
		days = append(days, day)
	}
	slices.Sort(days)
	for _, day := range days {
		l.Days = append(l.Days, in.days[day].day(in.clock.start(day)))
	}
	l.setDryAside()
	if in.disorder > 0 {
		l.warn("row %d is earlier than the one before; rows were put to their days all the same", in.disorder)
	}
	if in.odd > 0 {
		l.warn("row %d holds %q, which is no number", in.odd, in.oddText)
	}
	if l.Skipped > 0 {
		l.warn("%d of %d rows tell nothing (an empty cell, no number, or a probe in the air) and were skipped", l.Skipped, l.Rows)
	}
	return l, nil
}
