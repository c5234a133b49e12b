package series

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/series/jsonlines"
)

// jsonWorker works on logs in JSON Lines.
type jsonWorker struct {
	bench
	needed  []string // the columns of the plan: the time, the temperature, the probes
	added   []string
	members []jsonlines.Member
	found   []*jsonlines.Member // by needed; nil for one that is not there
	names   [][]byte            // what leads up to the value of each that is added
}

func newJSONWorker(plan Plan) (*jsonWorker, error) {
	shared, err := newBench(plan)
	w := &jsonWorker{bench: shared, needed: plan.columns(), added: plan.added()}
	w.found = make([]*jsonlines.Member, len(w.needed))
	for _, name := range w.added {
		w.names = append(w.names, jsonlines.AppendName(nil, name, false))
	}
	return w, err
}

func (w *jsonWorker) correct(b *block) {
	b.clear()
	for at := 0; at < len(b.text); {
		end, next := len(b.text), len(b.text)
		if k := bytes.IndexByte(b.text[at:], '\n'); k >= 0 {
			end, next = at+k, at+k+1
		}
		line := b.text[at:end]
		switch {
		case next-at > mostRow:
			b.fault = longRow(at)
		case blank(line):
			b.add(end, next, noTime, Believed)
		default:
			b.fault = w.row(b, line, at, next)
		}
		if b.fault != nil {
			return
		}
		at = next
	}
}

// blank tells whether a line holds nothing but what JSON takes for space.
func blank(line []byte) bool { return len(bytes.Trim(line, " \t\r\n")) == 0 }

// row corrects one object.
func (w *jsonWorker) row(b *block, line []byte, at, next int) *rowFault {
	members, place, err := jsonlines.Object(line, w.members)
	w.members = members
	if err != nil {
		f := &rowFault{offset: at, found: err.Error(), want: wantObject, err: readings.ErrEncoding}
		if errors.Is(err, jsonlines.ErrCut) && next == at+len(line) {
			f.want += "; the log ends in the middle of this row"
		}
		return f
	}
	if fault := w.find(at); fault != nil {
		return fault
	}
	cell := cellOf(w.found[0], line)
	t, err := w.clock.read(cell)
	if err != nil {
		return w.wrongTime(at, cell, err)
	}
	tempC, tempFlag := noTemperature()
	probes := w.found[1:]
	if w.plan.TempColumn != "" {
		tempC, tempFlag = number(cellOf(probes[0], line), '.')
		probes = probes[1:]
	}
	w.moment(b, t, at+place, next, tempC)
	for k, m := range probes {
		reading, flag := number(cellOf(m, line), '.')
		w.reading(b, k, t, reading, flag, tempC, tempFlag)
	}
	return nil
}

const wantObject = "one JSON object on each line"

// find finds the members that the plan needs.
func (w *jsonWorker) find(at int) *rowFault {
	clear(w.found)
	for i := range w.members {
		m := &w.members[i]
		if slices.Contains(w.added, m.Name) {
			return &rowFault{offset: at, column: m.Name, found: "it in the log already", want: "the log as it was written, or the column under another name", err: readings.ErrDuplicateColumn}
		}
		for k, name := range w.needed {
			if m.Name != name {
				continue
			}
			if w.found[k] != nil {
				return &rowFault{offset: at, column: name, found: "it twice in one object", want: "each name once", err: readings.ErrDuplicateColumn}
			}
			w.found[k] = m
		}
	}
	return nil
}

// cellOf returns what a member says as a cell of a table would: nothing where
// there is none or null, the text of a string, and else the value as it stands.
func cellOf(m *jsonlines.Member, line []byte) []byte {
	if m == nil {
		return nil
	}
	value := m.Value(line)
	if string(value) == "null" {
		return nil
	}
	if value[0] != '"' {
		return value
	}
	var text string
	if err := json.Unmarshal(value, &text); err != nil {
		return value // as it stands it is no number and no time either
	}
	return bytes.TrimSpace([]byte(text))
}

func (w *jsonWorker) write(b *block) {
	out, at := b.out[:0], 0
	for i, row := range b.rows {
		if t := b.times[i]; t != noTime && row.end > 0 {
			out = append(out, b.text[at:row.end]...)
			first := b.text[row.end-1] == '{' // it was empty
			for k := range b.columns {
				c := &b.columns[k][i]
				for n, value := range [2]float64{c.value, c.u} {
					out = appendName(out, w.names[3*k+n], first)
					first = false
					was := len(out)
					if c.flag.Valued() {
						out = appendNumber(out, value, [2]int{ValueDigits, UncertaintyDigits}[n], '.')
					}
					if len(out) == was {
						out = append(out, "null"...)
					}
				}
				out = append(out, w.names[3*k+2]...)
				out = append(append(append(out, '"'), c.flag.String()...), '"')
			}
			at = int(row.end)
		}
		out = append(out, b.text[at:row.next]...)
		at = int(row.next)
	}
	b.out = out
}

// appendName appends a name with the comma that leads up to it, or without.
func appendName(to, name []byte, first bool) []byte {
	if first {
		name = name[1:]
	}
	return append(to, name...)
}

// pass leaves a line that holds no object as it is: there is no place for more
// members.
func (w *jsonWorker) pass(b *block) {
	b.clear()
	_, place, err := jsonlines.Object(b.text, w.members)
	if err != nil {
		place = 0
	}
	b.add(place, len(b.text), untimed, NotANumber)
}

// jsonHead looks at the first rows of a log in JSON Lines: a column that none of
// them has is a mistake in a name.
func jsonHead(text []byte, plan Plan) error {
	names := map[string]bool{}
	var order []string
	var members []jsonlines.Member
	seen := false
	for line := range bytes.Lines(text) {
		if blank(line) {
			continue
		}
		var err error
		if members, _, err = jsonlines.Object(line, members); err != nil {
			break // told when its turn comes
		}
		seen = true
		for _, m := range members {
			if !names[m.Name] {
				names[m.Name] = true
				order = append(order, m.Name)
			}
		}
	}
	if !seen {
		return nil
	}
	for _, name := range plan.columns() {
		if !names[name] {
			return missing(order, name, 1)
		}
	}
	return nil
}
