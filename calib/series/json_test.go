package series

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func correctText(t *testing.T, name, text string, plan Plan) (string, *Summary, error) {
	t.Helper()
	var out bytes.Buffer
	summary, err := Correct(strings.NewReader(text), &out, name, plan)
	return out.String(), summary, err
}

// The figures of these rows are worked by hand. At noon of 6 March the lines are
// halfway between the calibrations of 2 and 12 March less half a day: 4.5 of 10
// days, so that EC is 3 + 0.45·2 + (1.02 + 0.45·0.01)·1000 = 1028.4, and at
// 20 C over 1 + 0.02·(20 − 25) = 0.9; pH is 0.03 + 0.45·0.02 + 1.0245·6 = 6.186.
func TestJSONLines(t *testing.T) {
	plan := inventedPlan(t)
	out, summary, err := correctText(t, "log.jsonl", `{"time":"2026-03-06T12:00:00Z","ec":1000,"temp":20.0,"ph":6}
  { "ph" : "6.0" , "pump":{"ec":1,"on":[true]} , "ec":1.000e3,"temp":"20","time":1772798400 }  `+"\r\n\n"+
		`{"time":"2026-03-06T12:02:00Z","ec":null,"ph":"","temp":null}
{"time":"2026-03-06T12:03:00Z","ec":{"value":1},"ph":true}
{"time":"2026-02-06T12:03:00Z","ec":1000,"temp":20,"ph":"unavailable"}`, plan)
	require.NoError(t, err)
	lines := strings.Split(out, "\n")
	require.Len(t, lines, 6)
	figures := func(i int) map[string]any {
		var object map[string]any
		require.NoError(t, json.Unmarshal([]byte(lines[i]), &object), lines[i])
		return object
	}
	assert.True(t, strings.HasPrefix(lines[0], `{"time":"2026-03-06T12:00:00Z","ec":1000,"temp":20.0,"ph":6,"ec_corrected":1142.666667,"ec_u":`), lines[0])
	assert.True(t, strings.HasSuffix(lines[0], `,"ec_flag":"","ph_corrected":6.186000000,"ph_u":`+strings.TrimSuffix(lines[0][strings.Index(lines[0], `"ph_u":`)+7:], `,"ph_flag":""}`)+`,"ph_flag":""}`), lines[0])
	assert.True(t, strings.HasPrefix(lines[1], `  { "ph" : "6.0" , "pump":{"ec":1,"on":[true]} , "ec":1.000e3,"temp":"20","time":1772798400,"ec_corrected":1142.666667,`), lines[1])
	assert.True(t, strings.HasSuffix(lines[1], "\"ph_flag\":\"\" }  \r"), lines[1])
	assert.Equal(t, figures(0)["ec_u"], figures(1)["ec_u"])
	assert.Empty(t, lines[2])
	assert.Equal(t, map[string]any{"time": "2026-03-06T12:02:00Z", "ec": nil, "ph": "", "temp": nil,
		"ec_corrected": nil, "ec_u": nil, "ec_flag": "blank", "ph_corrected": nil, "ph_u": nil, "ph_flag": "blank"}, figures(3))
	assert.Equal(t, "not-a-number", figures(4)["ec_flag"])
	assert.Equal(t, "not-a-number", figures(4)["ph_flag"])
	assert.Equal(t, "before-calibration", figures(5)["ec_flag"])
	assert.Equal(t, "not-a-number", figures(5)["ph_flag"])
	assert.Equal(t, int64(5), summary.Rows)
	assert.Equal(t, int64(2), summary.Columns[0].Flagged[Believed])
}

// What has no u has none: null, not NaN.
func TestJSONLinesUnknownUncertainty(t *testing.T) {
	plan := Plan{Probes: inventedProbes(t)[1:]}
	timeline, err := NewTimeline([]Calibration{{Time: firstDay, Line: Line{Slope: 2, VarIntercept: math.NaN(), VarSlope: math.NaN(), Cov: math.NaN(), High: 10}}}, nil, Growth{})
	require.NoError(t, err)
	plan.Probes[0].Timeline = timeline
	out, _, err := correctText(t, "standard input", `{"ph":3,"time":"2026-03-02"}`, plan)
	require.NoError(t, err)
	assert.Equal(t, `{"ph":3,"time":"2026-03-02","ph_corrected":6.000000000,"ph_u":null,"ph_flag":""}`, out)
}

func TestJSONLinesRefuse(t *testing.T) {
	plan := inventedPlan(t)
	good := `{"time":"2026-03-06T12:00:00Z","ec":1000,"temp":20.0,"ph":6}` + "\n"
	for text, says := range map[string]string{
		good + "\n" + `{"time":"2026-03-06T12:00:00Z","ec":1000,"temp":20.0,"p`: `log.jsonl, row 3: found the line ends within the object; want one JSON object on each line; the log ends in the middle of this row`,
		good + `[1]` + "\n":                                   `log.jsonl, row 2: found not an object; want one JSON object on each line`,
		good + `time,ec` + "\n":                               `log.jsonl, row 2: found not JSON`,
		good + `{"ec":1}` + "\n":                              `log.jsonl, row 2, column time: found nothing; want a time such as`,
		good + `{"time":null}` + "\n":                         `log.jsonl, row 2, column time: found nothing`,
		good + `{"time":"noon"}` + "\n":                       `log.jsonl, row 2, column time: found "noon"; want a time such as`,
		good + `{"time":{}}` + "\n":                           `log.jsonl, row 2, column time: found "{}"`,
		good + `{"time":1,"time":2}` + "\n":                   `log.jsonl, row 2, column time: found it twice in one object; want each name once`,
		good + `{"time":"2026-03-06","ec":1,"ec":2}` + "\n":   `log.jsonl, row 2, column ec: found it twice`,
		good + `{"time":"2026-03-06","ec_flag":""}` + "\n":    `log.jsonl, row 2, column ec_flag: found it in the log already`,
		`{"time":"2026-03-06","EC":1,"temp":3,"ph":4}` + "\n": `log.jsonl, row 1, column ec: found no such column; want EC, which is the nearest name`,
		``: `log.jsonl: found an empty log`,
		`{"time":"` + strings.Repeat("x", mostRow+100):                  `log.jsonl, row 1: found a row of more than a million bytes`,
		good + `{"time":"` + strings.Repeat("x", mostRow+100) + "\"}\n": `log.jsonl, row 2: found a row of more than a million bytes`,
	} {
		out, _, err := correctText(t, "log.jsonl", text, plan)
		var place *readings.Error
		require.ErrorAs(t, err, &place)
		assert.Contains(t, err.Error(), says)
		assert.Equal(t, strings.HasPrefix(text, good), strings.HasPrefix(out, good[:len(good)-2]), "rows above are written")
	}
}

// A log is JSON Lines by its name or its first byte.
func TestJSONByNameOrFirstByte(t *testing.T) {
	plan := Plan{Probes: inventedProbes(t)[1:]}
	for _, name := range []string{"log.jsonl", "LOG.NDJSON", "log.jsonl.gz"} {
		_, _, err := correctText(t, name, "time,ph\n2026-03-06,6\n", plan)
		assert.ErrorContains(t, err, "row 1: found not JSON", name)
	}
	for _, text := range []string{`{"time":"2026-03-06","ph":6}`, " \n\r\n\t" + `{"time":"2026-03-06","ph":6}`} {
		out, _, err := correctText(t, "log.csv", text, plan)
		require.NoError(t, err)
		assert.Contains(t, out, `"ph_flag":""}`)
	}
	out, _, err := correctText(t, "log.csv", "\n time,ph\n2026-03-06,6\n", plan)
	require.NoError(t, err)
	assert.Contains(t, out, "\n time,ph,ph_corrected,")
}

// FuzzJSONLines holds the engine against encoding/json line by line, whatever the
// size of the blocks.
func FuzzJSONLines(f *testing.F) {
	for _, seed := range []string{
		`{"time":"2026-03-06T12:00:00Z","ec":1000,"temp":20.0,"ph":6}` + "\n" + `{"time":1772798400,"ec":"1e3","temp":[],"ph":null, "x":{"ec":1}}`,
		"\n{}\n", `{"time":"2026-03-06","ec":1,"ec":2}`, "{\"time\":\"2026-03-06\"}\r\n \t\n{\"time\":\"2026-03-06\",\"e\\u0063\":12 }", `{"time":"2026-03-06","ph_u":1}`, "{\n}",
	} {
		f.Add(seed, byte(30))
	}
	plan := inventedPlan(f)
	for _, p := range plan.Probes {
		p.Dry = nil
	}
	f.Fuzz(func(t *testing.T, text string, size byte) {
		var out bytes.Buffer
		// All columns in the first row, so that no name is taken for a mistake.
		text = `{"time":"2026-03-06","ec":1,"temp":1,"ph":1}` + "\n" + text
		_, err := correct(strings.NewReader(text), &out, "log.jsonl", plan, sizes{block: int(size) + 100, blocks: 4})
		corrector := []*Corrector{}
		for _, p := range plan.Probes {
			c, err := NewCorrector(p)
			require.NoError(t, err)
			corrector = append(corrector, c)
		}
		rest := out.String()
		for i, line := range strings.SplitAfter(text, "\n") {
			if strings.Trim(line, " \t\r\n") == "" {
				require.True(t, strings.HasPrefix(rest, line))
				rest = rest[len(line):]
				continue
			}
			var object map[string]json.RawMessage
			wrong := json.Unmarshal([]byte(line), &object)
			moment, timeErr := readings.ParseTime(cellText(object["time"]), nil)
			if wrong != nil || object == nil || timeErr != nil || moment.Year() < firstYear || moment.Year() > lastYear || named(line, plan) {
				var place *readings.Error
				require.ErrorAs(t, err, &place)
				require.Equal(t, i+1, place.Row)
				require.Empty(t, rest)
				return
			}
			got, after, _ := strings.Cut(rest, "\n")
			if strings.HasSuffix(line, "\n") {
				got += "\n"
			}
			rest = after
			var made map[string]json.RawMessage
			require.NoError(t, json.Unmarshal([]byte(got), &made), got)
			tempC, tempFlag := number([]byte(cellText(object["temp"])), '.')
			for k, p := range plan.Probes {
				reading, flag := number([]byte(cellText(object[p.Column])), '.')
				value, u := math.NaN(), math.NaN()
				switch {
				case flag != Believed:
				case k == 0 && tempFlag != Believed:
					flag = tempFlag
				default:
					value, u, flag = corrector[k].At(moment.UnixNano(), reading, tempC)
				}
				require.Equal(t, `"`+flag.String()+`"`, string(made[p.Column+FlagEnding]))
				for ending, want := range map[string]float64{CorrectedEnding: value, UncertaintyEnding: u} {
					if !flag.Valued() || math.IsNaN(want) || math.IsInf(want, 0) {
						require.Equal(t, "null", string(made[p.Column+ending]))
						continue
					}
					var figure float64
					require.NoError(t, json.Unmarshal(made[p.Column+ending], &figure))
					require.InEpsilon(t, want+1e-300, figure+1e-300, 0.6e-3)
				}
			}
			for _, name := range plan.added() {
				delete(made, name)
			}
			require.Equal(t, object, made)
			require.True(t, inserted(line, got), "%q in %q", line, got)
		}
		require.NoError(t, err)
		require.Empty(t, rest)
	})
}

// cellText is what a value says as a cell: the text of a string, nothing for
// null.
func cellText(raw json.RawMessage) string {
	var text string
	if json.Unmarshal(raw, &text) == nil {
		return strings.TrimSpace(text)
	}
	return string(raw)
}

// named tells whether an object has a name twice that the plan needs, or one that
// it adds.
func named(line string, plan Plan) bool {
	d := json.NewDecoder(strings.NewReader(line))
	d.Token()
	seen := map[string]int{}
	for d.More() {
		name, _ := d.Token()
		seen[name.(string)]++
		var raw json.RawMessage
		d.Decode(&raw)
	}
	for _, name := range plan.columns() {
		if seen[name] > 1 {
			return true
		}
	}
	for _, name := range plan.added() {
		if seen[name] > 0 {
			return true
		}
	}
	return false
}

// inserted tells whether got is line with something put in at one place.
func inserted(line, got string) bool {
	n := 0
	for n < len(line) && line[n] == got[n] {
		n++
	}
	return strings.HasSuffix(got, line[n:])
}
