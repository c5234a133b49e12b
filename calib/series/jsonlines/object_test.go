package jsonlines_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/brinemark/brinemark/calib/series/jsonlines"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestObjectRefuses(t *testing.T) {
	for line, want := range map[string]error{
		`[1]`: jsonlines.ErrNotAnObject, `1`: jsonlines.ErrNotAnObject, `null`: jsonlines.ErrNotAnObject, `"a"`: jsonlines.ErrNotAnObject,
		`time,ec`: jsonlines.ErrSyntax, `{"a":1}}`: jsonlines.ErrSyntax, `{"a":1} {"b":2}`: jsonlines.ErrSyntax, `{"a":1,}`: jsonlines.ErrSyntax,
		`{"a":01}`: jsonlines.ErrSyntax, `{"a":NaN}`: jsonlines.ErrSyntax, `{a:1}`: jsonlines.ErrSyntax, `{"a" 1}`: jsonlines.ErrSyntax, "{\"a\":\"\n\"}": jsonlines.ErrSyntax,
		`{"a":1`: jsonlines.ErrCut, `{"a":`: jsonlines.ErrCut, `{"a`: jsonlines.ErrCut, `{"a":"b`: jsonlines.ErrCut, `{`: jsonlines.ErrCut, ``: jsonlines.ErrCut, `{"a":1,`: jsonlines.ErrCut, `{"a":[1`: jsonlines.ErrCut,
	} {
		_, _, err := jsonlines.Object([]byte(line), nil)
		assert.ErrorIs(t, err, want, line)
		var object map[string]json.RawMessage
		assert.True(t, json.Unmarshal([]byte(line), &object) != nil || object == nil, "encoding/json takes %s for no object either", line)
	}
}

func TestMembersKeepTheirPlaces(t *testing.T) {
	line := []byte("\t{ \"a\" : [ {\"b\":2} , 3 ] ,\"a\":\"x\\\"}\",\"\\u00b5\":-0.10E+2\r\n, \"\":null } \r\n")
	members, at, err := jsonlines.Object(line, nil)
	require.NoError(t, err)
	var got [][2]string
	for _, m := range members {
		got = append(got, [2]string{m.Name, string(m.Value(line))})
	}
	assert.Equal(t, [][2]string{{"a", `[ {"b":2} , 3 ]`}, {"a", `"x\"}"`}, {"µ", "-0.10E+2"}, {"", "null"}}, got)
	assert.Equal(t, " } \r\n", string(line[at:]))

	members, at, err = jsonlines.Object([]byte(" { }"), members)
	require.NoError(t, err)
	assert.Empty(t, members)
	assert.Equal(t, 2, at)
}

// For every line: an object is taken exactly where encoding/json takes one, each
// value is what encoding/json reads under that name (the last of several), and
// what is added behind them can be read while all the rest stays.
func FuzzObject(f *testing.F) {
	for _, seed := range []string{`{"a":1}`, `{}`, ` { "a" : {"b":[1,2,{}]} , "c":"}" } `, `{"a":1,"a":2}`, `{"é":"\u00e9\ud800"}`, "{\"\xff\":1}", `[]`, `{"a":1e999}`, `{"a":1}{`, "{\"a\":\n1}"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, line []byte) {
		members, at, err := jsonlines.Object(line, nil)
		var want map[string]json.RawMessage
		wantErr := json.Unmarshal(line, &want)
		require.Equal(t, wantErr == nil && want != nil, err == nil, "encoding/json: %v; here: %v", wantErr, err)
		if err != nil {
			return
		}
		got := map[string]json.RawMessage{}
		for _, m := range members {
			got[m.Name] = json.RawMessage(m.Value(line))
		}
		require.Equal(t, len(want), len(got))
		for name := range want {
			assert.Equal(t, string(want[name]), string(got[name]), name)
		}
		if _, taken := want["new"]; taken {
			return
		}
		out := append(bytes.Clone(line[:at]), append(jsonlines.AppendName(nil, "new", len(members) == 0), "7"...)...)
		out = append(out, line[at:]...)
		var after map[string]json.RawMessage
		require.NoError(t, json.Unmarshal(out, &after))
		assert.Equal(t, "7", string(after["new"]))
		delete(after, "new")
		assert.Equal(t, want, after)
	})
}

// A name and a text read back as what they are.
func FuzzAppendString(f *testing.F) {
	f.Add("ec_corrected")
	f.Add("\"\\\n\u2028<µ>")
	f.Fuzz(func(t *testing.T, text string) {
		var got, want string
		require.NoError(t, json.Unmarshal(jsonlines.AppendString(nil, text), &got))
		quoted, err := json.Marshal(text)
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(quoted, &want))
		assert.Equal(t, want, got)
		assert.NotContains(t, string(jsonlines.AppendString(nil, text)), "\n", "one line stays one line")
	})
}

func TestLastLineEnd(t *testing.T) {
	assert.Equal(t, 0, jsonlines.LastLineEnd([]byte(`{"a":"\"`)))
	assert.Equal(t, 3, jsonlines.LastLineEnd([]byte("{}\n{")))
}
