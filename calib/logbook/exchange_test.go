package logbook

import (
	"encoding/json"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func reader(text string) io.Reader { return strings.NewReader(text) }

func TestExportImportExportIsTheSameFile(t *testing.T) {
	b := newBook(t)
	fill(t, b)
	text := exported(t, b)
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	assert.Len(t, lines, 14)
	for _, line := range lines {
		assert.Regexp(t, `^\{"kind":"(meter|bottle|calibration|comparison|event)","id":"`, line)
	}
	assert.Contains(t, text, `"readings":[{"ref":300,"reading":`)
	assert.Contains(t, text, `{"slope":1.0200000000000000177}`, "a result is kept to the letter")

	empty := newBook(t)
	done, err := empty.Import(reader(text), "export.jsonl")
	require.NoError(t, err)
	assert.Equal(t, Imported{Added: 14}, done)
	assert.Equal(t, text, exported(t, empty))
	sound(t, empty)

	done, err = empty.Import(reader(text), "export.jsonl")
	require.NoError(t, err)
	assert.Equal(t, Imported{Known: 14}, done, "twice changes nothing")
	assert.Equal(t, text, exported(t, empty))

	// The order of the lines does not matter: a row may come before the one it
	// names.
	rand.New(rand.NewPCG(3, 3)).Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
	shuffled := newBook(t)
	_, err = shuffled.Import(reader(strings.Join(lines, "\r\n")+"\r\n"), "export.jsonl")
	require.NoError(t, err)
	assert.Equal(t, text, exported(t, shuffled))
}

// Two phones, each with its own rows, become one record.
func TestTwoRecordsMerge(t *testing.T) {
	a, b := newBook(t), newBook(t)
	r := rand.New(rand.NewPCG(8, 8))
	require.NoError(t, a.Save(aMeter("P1")))
	_, err := b.Import(reader(exported(t, a)), "a")
	require.NoError(t, err)
	require.NoError(t, a.Save(aCalibration("P1", noon, r, 3), aBottle("A")))
	require.NoError(t, b.Save(aCalibration("P1", noon.Add(time.Hour), r, 3), aBottle("B")))
	textA, textB := exported(t, a), exported(t, b)
	done, err := a.Import(reader(textB), "b")
	require.NoError(t, err)
	assert.Equal(t, Imported{Added: 2, Known: 1}, done)
	_, err = b.Import(reader(textA), "a")
	require.NoError(t, err)
	assert.Equal(t, exported(t, a), exported(t, b))
}

func TestImportRefusesAndKeepsNothing(t *testing.T) {
	source := newBook(t)
	fill(t, source)
	good := exported(t, source)
	lines := strings.SplitAfter(good, "\n")
	other := newBook(t)
	changed := aMeter("P1")
	changed.Note = "another pen"
	require.NoError(t, other.Save(changed))
	before := exported(t, other)

	// Without the meters' lines nothing in the way of the others is there.
	withoutMeters := strings.Join(lines[3:], "")
	ofP2 := 1 + slices.IndexFunc(lines[3:], func(line string) bool { return strings.Contains(line, `"meter":"P2","time"`) })
	for name, c := range map[string]struct {
		text  string
		line  int
		cause error
		part  string
	}{
		"conflict":           {good, 1, ErrConflict, "meter P1 is on record and says something else"},
		"missing row":        {withoutMeters, ofP2, ErrNotFound, "meter: meter P2 is not on record"},
		"cut in a line":      {withoutMeters[:len(withoutMeters)-20], 11, nil, "cut off"},
		"cut at the quote":   {`{"kind":"event","id":"x`, 1, nil, "cut off"},
		"nothing":            {"", 1, nil, "found nothing"},
		"blank lines":        {"\n \n", 1, nil, "found nothing"},
		"half a line":        {lines[3] + "{\n", 2, nil, "the end in the middle"},
		"a mark elsewhere":   {lines[3] + "\ufeff" + lines[4], 2, nil, "not JSON"},
		"not JSON":           {lines[3] + "meter,P1\n", 2, nil, "not JSON"},
		"a list":             {"[1]\n", 1, nil, "no JSON object"},
		"no kind":            {`{"id":"x"}` + "\n", 1, nil, `no "kind" and "id"`},
		"unknown kind":       {`{"kind":"pump","id":"x"}` + "\n", 1, nil, `kind "pump"; want meter, bottle`},
		"unknown key":        {strings.Replace(lines[3], `"salt"`, `"colour":"red","salt"`, 1), 1, nil, `"colour"; a newer brinemark`},
		"key twice":          {strings.Replace(lines[3], `"salt"`, `"id":"B","salt"`, 1), 1, nil, `the key "id" twice`},
		"key in two cases":   {strings.Replace(lines[3], `"salt"`, `"ID":"B","salt"`, 1), 1, nil, `the key "ID" twice`},
		"wrong type":         {strings.Replace(lines[3], `"content_g":498.7`, `"content_g":"498.7"`, 1), 1, nil, "content_g: found a JSON string"},
		"a time in words":    {strings.Replace(lines[3], `"recorded_at":"2026`, `"recorded_at":"March `, 1), 1, nil, `found the time "March `},
		"no figure":          {strings.Replace(lines[4], `"value":`, `"value":null,"u":`, 1), 1, nil, `a key that this version does not know`},
		"a figure of null":   {regexp.MustCompile(`"value":[0-9.e-]+`).ReplaceAllString(lines[4], `"value":null`), 1, nil, `found nothing under the key "deviation.value"`},
		"no time":            {`{"kind":"event","id":"x","meter":"P1","event":"cleaned"}` + "\n", 1, ErrImpossible, "recorded_at"},
		"impossible":         {strings.Replace(lines[3], `"content_g":498.7`, `"content_g":-1`, 1), 1, ErrImpossible, "content_g: found -1"},
		"number too large":   {strings.Replace(lines[3], `"content_g":498.7`, `"content_g":1e999`, 1), 1, nil, "content_g: found a JSON number"},
		"not UTF-8":          {"{\"kind\":\"event\",\"id\":\"\xff\"}\n", 1, nil, "not UTF-8"},
		"two on one line":    {strings.TrimSuffix(lines[3], "\n") + lines[4], 1, nil, "after top-level value"},
		"deep":               {strings.Repeat(`{"a":`, 10000) + "\n", 1, nil, "nested more than 100 deep"},
		"binary":             {"SQLite format 3\x00\x01\x02\n", 1, nil, "not JSON"},
		"another's revision": {strings.Replace(lines[2], `"P2/2"`, `"P2/3"`, 1), 1, ErrImpossible, "P2/3"},
	} {
		_, err := other.Import(reader(c.text), "phone.jsonl")
		var at *LineError
		require.ErrorAs(t, err, &at, name)
		if c.cause != nil {
			assert.ErrorIs(t, err, c.cause, name)
		}
		assert.Equal(t, c.line, at.Line, "%s: %v", name, err)
		assert.ErrorContains(t, err, c.part, name)
		assert.ErrorContains(t, err, "phone.jsonl, line ", name)
		assert.Equal(t, before, exported(t, other), name)
	}
	sound(t, other)
}

// A figure that is null or missing in a line is not 0: every key that is written
// whatever its value must be there, at any depth.
func TestAFigureThatIsMissingIsNotZero(t *testing.T) {
	source := newBook(t)
	fill(t, source)
	good := exported(t, source)
	number := `-?[0-9.e+-]+`
	for _, key := range []string{"reading", "ref", "slope", "intercept", "n", "dof", "reading_low", "value", "size"} {
		figure := regexp.MustCompile(`"` + key + `":` + number + `,?`)
		require.Regexp(t, figure, good)
		for _, by := range []string{`"` + key + `":null,`, ""} {
			for _, line := range strings.SplitAfter(good, "\n") {
				if line == "" || !figure.MatchString(line) {
					continue
				}
				at := figure.FindStringIndex(line)
				text := line[:at[0]] + by + line[at[1]:]
				text = strings.ReplaceAll(text, ",}", "}")
				_, err := parseRow([]byte(strings.TrimSpace(text)))
				require.ErrorContains(t, err, key, "%s", text)
			}
		}
	}
	b := newBook(t)
	_, err := b.Import(reader(strings.Replace(good, `"reading":`, `"reading":null,"ref":1,"u_ref":`, 1)), "phone.jsonl")
	require.Error(t, err)
	assert.Empty(t, exported(t, b))
	// What an export leaves out where it is empty may be null.
	null := strings.Replace(good, `"tolerance_relative":`, `"retired_at":null,"tolerance_relative":`, 1)
	null = strings.Replace(null, `"mv":-3.5`, `"mv":null`, 1)
	require.Contains(t, null, `"mv":null`)
	_, err = b.Import(reader(null), "phone.jsonl")
	require.NoError(t, err)
	assert.Equal(t, strings.Count(good, `"mv":`)-1, strings.Count(exported(t, b), `"mv":`))
}

// What an editor, or another machine, does to a file changes nothing: other line
// ends, blank lines, a byte-order mark, the order of the lines, blanks and the
// order of keys within them, and times in another zone.
func TestImportReadsWhatMeansTheSame(t *testing.T) {
	source := newBook(t)
	fill(t, source)
	good := exported(t, source)
	lines := strings.SplitAfter(strings.TrimSuffix(good, "\n"), "\n")
	lines[len(lines)-1] += "\n"
	slices.Reverse(lines)
	const utc, zone = `"recorded_at":"2026-03-01T12:00:00Z"`, `"recorded_at":"2026-03-01T17:30:00+05:30"`
	require.Contains(t, good, utc)
	var sorted strings.Builder // the keys of each row
	rewrite := json.NewEncoder(&sorted)
	rewrite.SetEscapeHTML(false)
	for line := range strings.Lines(good) {
		var row map[string]json.RawMessage
		require.NoError(t, json.Unmarshal([]byte(line), &row))
		require.NoError(t, rewrite.Encode(row))
	}
	for name, text := range map[string]string{
		"line ends": strings.ReplaceAll(good, "\n", "\r\n"), "blank lines": "\n" + strings.ReplaceAll(good, "\n", "\n\n"),
		"mark": "\ufeff" + good, "order": strings.Join(lines, ""), "zone": strings.ReplaceAll(good, utc, zone),
		"blanks": strings.ReplaceAll(good, `{"kind":`, `  { "kind" : `), "twice": good + good,
		"keys": sorted.String(),
	} {
		require.NotEqual(t, good, text, name)
		b := newBook(t)
		_, err := b.Import(reader(text), "phone.jsonl")
		require.NoError(t, err, name)
		require.True(t, good == exported(t, b), name)
	}
}

// An import cut off half way, at every byte of it, is all or nothing.
func TestImportCutOff(t *testing.T) {
	source := newBook(t)
	require.NoError(t, source.Save(aMeter("P1"), aBottle("A"), &Event{Meter: "P1", Time: noon, Event: "cleaned"}))
	text := exported(t, source)
	b := newBook(t)
	for n := range len(text) {
		_, err := b.Import(iotest.DataErrReader(reader(text[:n])), "cut.jsonl")
		whole := n > 0 && text[n-1] == '\n'
		if whole {
			continue // a shorter export, and a whole one
		}
		require.Error(t, err, n)
		require.Empty(t, exported(t, b), n)
		if n == strings.Index(text, "\n") { // from here on a shorter export has been imported
			break
		}
	}
	// A reader that fails in the middle.
	broken := errors.New("the cable came out")
	_, err := b.Import(io.MultiReader(reader(text[:len(text)-5]), iotest.ErrReader(broken)), "cut.jsonl")
	require.ErrorIs(t, err, broken)
	assert.Empty(t, exported(t, b))
	_, err = b.Import(reader(text), "whole.jsonl")
	require.NoError(t, err)
	assert.Equal(t, text, exported(t, b))
}

// Numbers come back to the very same value, whatever they are.
func TestNumbersAreLossless(t *testing.T) {
	b := newBook(t)
	require.NoError(t, b.Save(aMeter("P1")))
	r := rand.New(rand.NewPCG(4, 4))
	c := aCalibration("P1", noon, r, 1)
	c.Readings = nil
	values := []float64{0, math.Copysign(0, -1), 0.1, 1.0 / 3, 1e-320, math.SmallestNonzeroFloat64, math.MaxFloat64, -math.MaxFloat64,
		1<<53 + 1, 1e15, 1e16, 123456789012345678, 4.35, 9007199254740993, 1e21, 1e-7}
	for range 2000 {
		if x := math.Float64frombits(r.Uint64()); !math.IsNaN(x) && !math.IsInf(x, 0) {
			values = append(values, x)
		}
	}
	for _, x := range values {
		c.Readings = append(c.Readings, Reading{Ref: x, Reading: -x})
	}
	require.NoError(t, b.Save(c))
	other := newBook(t)
	_, err := other.Import(reader(exported(t, b)), "export")
	require.NoError(t, err)
	for _, book := range []*Book{b, other} {
		list, err := book.Calibrations("P1", Current)
		require.NoError(t, err)
		for i, x := range values {
			require.Equal(t, x, list[0].Readings[i].Ref, "reading %d", i+1)
			require.Equal(t, -x, list[0].Readings[i].Reading, "reading %d", i+1)
		}
	}
	assert.Equal(t, exported(t, b), exported(t, other))
}

// A record of more rows than are read at a time, many saved in the same moment.
func TestExportInBatches(t *testing.T) {
	b := newBook(t)
	rows := []Record{aMeter("P1")}
	for range 2*batch + 7 {
		rows = append(rows, &Event{Meter: "P1", Time: noon, Event: "cleaned"})
	}
	require.NoError(t, b.Save(rows...))
	text := exported(t, b)
	assert.Equal(t, len(rows), strings.Count(text, "\n"))
	assert.Equal(t, len(rows), sound(t, b).Records)
}

func TestExportSaysWhenTheWriterFails(t *testing.T) {
	b := newBook(t)
	fill(t, b)
	full := errors.New("no space")
	assert.ErrorIs(t, b.Export(failing{full}), full)
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

// FuzzImportLine holds that no line panics, and that a line that is accepted is
// the same row when it is written and read again.
func FuzzImportLine(f *testing.F) {
	source := newBook(f)
	fill(f, source)
	for _, text := range strings.Split(exported(f, source), "\n") {
		f.Add([]byte(text))
	}
	f.Add([]byte(`{"kind":"event","id":"x","recorded_at":"2026-03-01T12:00:00.123456789+02:00","meter":"P1","time":"2026-03-01T12:00:00Z","event":"cleaned"}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		row, err := parseRow(text)
		if err != nil {
			return
		}
		once, err := line(row)
		require.NoError(t, err)
		again, err := parseRow(once)
		require.NoError(t, err, "%s", once)
		twice, err := line(again)
		require.NoError(t, err)
		assert.Equal(t, string(once), string(twice))
	})
}
