package series

import (
	"bytes"
	"encoding/csv"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// reference corrects a delimited log in the most straightforward way: the whole
// of it in memory, encoding/csv, strconv and readings.ParseTime, a new Corrector
// for every reading. What it knows of the log is that its header is fit for the
// plan.
type reference struct {
	rows         []referenceRow
	fault        int // line of the row that cannot be read, or 0; -1 where encoding/csv found one
	mark         byte
	header, tail string // the text before the first row, and behind the last
}

type referenceRow struct {
	raw    string // with its line end, empty lines before it included
	t      int64
	made   []corrected
	fields []string
}

// newReference reads the text, or returns false where its header does not fit.
func newReference(t *testing.T, text string, plan Plan) (*reference, bool) {
	whole := text
	text = strings.TrimPrefix(text, "\uFEFF")
	var best []string
	var separator rune
	known := -1
	for _, s := range ",;\t" {
		r := newCSV(text, s)
		header, err := r.Read()
		if err != nil {
			continue
		}
		n := 0
		for _, name := range header {
			if slices.Contains(plan.columns(), strings.TrimSpace(name)) {
				n++
			}
		}
		if n > known || n == known && len(header) > len(best) {
			known, best, separator = n, header, s
		}
	}
	place := map[string]int{}
	for i, name := range best {
		name = strings.TrimSpace(name)
		if _, twice := place[name]; twice {
			return nil, false
		}
		place[name] = i
	}
	for _, name := range plan.columns() {
		if _, ok := place[name]; !ok {
			return nil, false
		}
	}
	for _, name := range plan.added() {
		if _, ok := place[name]; ok {
			return nil, false
		}
	}
	ref := &reference{mark: '.'}
	r := newCSV(text, separator)
	_, err := r.Read()
	require.NoError(t, err)
	at := r.InputOffset()
	ref.header = whole[:len(whole)-len(text)+int(at)]
	dry := make([]*watch.Dry, len(plan.Probes))
	for i, p := range plan.Probes {
		if p.Dry != nil {
			dry[i], err = watch.NewDry(*p.Dry)
			require.NoError(t, err)
		}
	}
	first := true
	for {
		record, err := r.Read()
		if err == io.EOF {
			ref.tail = text[at:]
			return ref, true
		}
		if err != nil {
			ref.fault = -1
			return ref, true
		}
		line, _ := r.FieldPos(0)
		if strings.TrimSpace(strings.Join(record, "")) == "" && restIsEmpty(text[at:], separator) {
			ref.tail = paddedTail(text[at:], separator, 3*len(plan.Probes))
			return ref, true
		}
		row := referenceRow{raw: text[at:r.InputOffset()], fields: slices.Clone(record)}
		at = r.InputOffset()
		if len(record) != len(best) {
			ref.fault = line
			return ref, true
		}
		if first && separator != ',' {
			if ref.mark = ref.firstMark(record, place, plan); ref.mark == 0 {
				return nil, false // without evidence the engine has to guess
			}
		}
		first = false
		moment, err := readings.ParseTime(record[place[plan.timeColumn()]], plan.Zone)
		if err != nil || moment.Year() < firstYear || moment.Year() > lastYear {
			ref.fault = line
			return ref, true
		}
		row.t = moment.UnixNano()
		tempC, tempFlag := math.NaN(), Blank
		if plan.TempColumn != "" {
			tempC, tempFlag = ref.number(record[place[plan.TempColumn]])
		}
		for _, p := range plan.Probes {
			reading, flag := ref.number(record[place[p.Column]])
			made := corrected{value: math.NaN(), u: math.NaN(), flag: flag, reading: reading}
			if flag == Believed && p.Conversion.NeedsTemperature() && tempFlag != Believed {
				made.flag = tempFlag
			} else if flag == Believed {
				c, err := NewCorrector(p)
				require.NoError(t, err)
				made.value, made.u, made.flag = c.At(row.t, reading, tempC)
			}
			row.made = append(row.made, made)
		}
		ref.rows = append(ref.rows, row)
		for k, d := range dry {
			if d == nil {
				continue
			}
			isDry, back := d.Next(row.t, row.made[k].value)
			last := len(ref.rows) - 1
			for i := last - back; i <= last; i++ {
				if c := &ref.rows[i].made[k]; (i < last || isDry) && c.flag.Valued() {
					c.flag = Dry
				}
			}
		}
	}
}

// restIsEmpty tells whether no row of a text has anything in it.
func restIsEmpty(text string, separator rune) bool {
	rows, err := newCSV(text, separator).ReadAll()
	for _, row := range rows {
		if strings.TrimSpace(strings.Join(row, "")) != "" {
			return false
		}
	}
	return err == nil
}

// paddedTail has so many separators behind each row of a text that has any.
func paddedTail(text string, separator rune, n int) string {
	var b strings.Builder
	r := newCSV(text, separator)
	for at := 0; ; {
		_, err := r.Read()
		if err == io.EOF {
			return b.String() + text[at:]
		}
		raw := text[at:r.InputOffset()]
		at = int(r.InputOffset())
		body := strings.TrimSuffix(strings.TrimSuffix(raw, "\n"), "\r")
		b.WriteString(body)
		if strings.ContainsRune(body, separator) {
			b.WriteString(strings.Repeat(string(separator), n))
		}
		b.WriteString(raw[len(body):])
	}
}

func newCSV(text string, separator rune) *csv.Reader {
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord = separator, -1
	return r
}

func (ref *reference) firstMark(record []string, place map[string]int, plan Plan) byte {
	for i, cell := range record {
		for _, name := range plan.columns()[1:] {
			if place[name] != i {
				continue
			}
			for _, mark := range []byte{'.', ','} {
				ref.mark = mark
				if _, flag := ref.number(cell); flag == Believed && strings.IndexByte(cell, mark) >= 0 {
					return mark
				}
			}
		}
	}
	return 0
}

// number reads a cell by strconv alone.
func (ref *reference) number(cell string) (float64, Flag) {
	cell = strings.TrimSpace(cell)
	if cell == "" {
		return math.NaN(), Blank
	}
	if strings.ContainsAny(cell, "xXpP_iInN") {
		return math.NaN(), NotANumber
	}
	if ref.mark == ',' {
		if strings.Contains(cell, ".") {
			return math.NaN(), NotANumber
		}
		cell = strings.ReplaceAll(cell, ",", ".")
	}
	x, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		return math.NaN(), NotANumber
	}
	return x, Believed
}

// holds checks an output of the engine against the reference.
func (ref *reference) holds(t *testing.T, text, out string, plan Plan, err error) {
	t.Helper()
	switch {
	case ref.fault == 0:
		require.NoError(t, err)
	default:
		var place *readings.Error
		require.ErrorAs(t, err, &place)
		if ref.fault > 0 {
			assert.Equal(t, ref.fault, place.Row, "%v", err)
		}
	}
	if len(ref.rows) == 0 {
		return
	}
	rest := ref.pastHeader(t, text, out, plan)
	for i, row := range ref.rows {
		raw, lineEnd := row.raw, ""
		for _, end := range []string{"\r\n", "\n", "\r"} {
			if strings.HasSuffix(raw, end) {
				raw, lineEnd = raw[:len(raw)-len(end)], end
				break
			}
		}
		require.True(t, strings.HasPrefix(rest, raw), "row %d %q is not what comes next: %q", i, raw, rest)
		rest = rest[len(raw):]
		end := strings.Index(rest, lineEnd)
		if lineEnd == "" {
			end = len(rest)
		}
		require.GreaterOrEqual(t, end, 0)
		added := rest[:end]
		rest = rest[end+len(lineEnd):]
		ref.addedHolds(t, row, added)
	}
	if ref.fault == 0 {
		assert.Equal(t, ref.tail, rest, "what is behind the last row")
	}
}

// pastHeader checks the header, and returns what comes after it.
func (ref *reference) pastHeader(t *testing.T, text, out string, plan Plan) string {
	t.Helper()
	raw := strings.TrimSuffix(strings.TrimSuffix(ref.header, "\n"), "\r")
	require.True(t, strings.HasPrefix(out, raw), "the header %q", out)
	rest := out[len(raw):]
	separator := rest[:1]
	added := separator + strings.Join(plan.added(), separator)
	require.True(t, strings.HasPrefix(rest, added), "the new names: %q", rest)
	rest = rest[len(added):]
	end := ref.header[len(raw):]
	require.True(t, strings.HasPrefix(rest, end))
	return rest[len(end):]
}

// addedHolds checks what was added to a row.
func (ref *reference) addedHolds(t *testing.T, row referenceRow, added string) {
	t.Helper()
	separator := added[:1]
	cells := strings.Split(added[1:], separator)
	if ref.mark == ',' && separator == "," {
		t.Fatal("a decimal comma where the separator is one")
	}
	require.Len(t, cells, 3*len(row.made), "%q", added)
	for k, want := range row.made {
		assert.Equal(t, want.flag.String(), cells[3*k+2], "%q", added)
		ref.figureHolds(t, want.value, cells[3*k], 0.5e-9, want.flag)
		ref.figureHolds(t, want.u, cells[3*k+1], 0.5e-3, want.flag)
	}
}

// figureHolds checks a written figure to so many of its size.
func (ref *reference) figureHolds(t *testing.T, want float64, cell string, within float64, flag Flag) {
	t.Helper()
	if math.IsNaN(want) || math.IsInf(want, 0) || !flag.Valued() {
		assert.Empty(t, cell)
		return
	}
	got, err := strconv.ParseFloat(strings.ReplaceAll(cell, string(ref.mark), "."), 64)
	require.NoError(t, err)
	assert.LessOrEqual(t, math.Abs(got-want), within*math.Abs(want)*(1+1e-6), "%q for %v", cell, want)
}

// engine runs the pipeline with blocks of a size, and blocks enough to hold back
// all that a reference holds.
func engine(text string, plan Plan, size int) (string, *Summary, error) {
	var out bytes.Buffer
	summary, err := correct(strings.NewReader(text), &out, "log.csv", plan, sizes{block: size, blocks: 2*len(text)/size + 8})
	return out.String(), summary, err
}
