package reports

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type sample struct {
	ZText    string      `json:"z_text"`
	Known    Number      `json:"known"`
	Unknown  Number      `json:"unknown"`
	Rows     List[inner] `json:"rows"`
	Warnings Warnings    `json:"warnings"`
}

type inner struct {
	A Number `json:"a"`
}

func TestWriteJSON(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, WriteJSON(&b, sample{ZText: "a < b & c, µS/cm \u2028", Known: Known(0.1)}))
	assert.Equal(t, `{
  "z_text": "a < b & c, µS/cm \u2028",
  "known": 0.1,
  "unknown": null,
  "rows": [],
  "warnings": []
}
`, b.String(), "keys in order, nothing escaped for HTML, null for unknown, no null lists")
	b.Reset()
	require.NoError(t, WriteJSON(&b, sample{Known: Known(0), Rows: List[inner]{{Known(1)}, {}}, Warnings: Warnings{"a > b"}}))
	var back sample
	require.NoError(t, json.Unmarshal(b.Bytes(), &back))
	assert.Equal(t, sample{Known: Known(0), Rows: List[inner]{{Known(1)}, {}}, Warnings: Warnings{"a > b"}}, back)
	assert.Contains(t, b.String(), `"a > b"`)
}

func TestWriteJSONWritesAllOrNothing(t *testing.T) {
	for name, v := range map[string]any{
		"a NaN":         sample{Known: Known(math.NaN())},
		"an infinity":   sample{Known: Known(math.Inf(-1))},
		"a nested NaN":  sample{Rows: List[inner]{{Known(math.NaN())}}},
		"a bare NaN":    map[string]float64{"x": math.NaN()},
		"a list":        []int{1},
		"nothing":       nil,
		"a number":      7,
		"an impossible": map[string]any{"f": func() {}},
	} {
		var b bytes.Buffer
		assert.Error(t, WriteJSON(&b, v), name)
		assert.Empty(t, b.String(), name)
	}
	full := errors.New("disk full")
	assert.ErrorIs(t, WriteJSON(failing{full}, sample{}), full)
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func TestNumber(t *testing.T) {
	x, known := Number{}.Get()
	assert.False(t, known, "the zero Number is unknown")
	assert.Zero(t, x)
	assert.Equal(t, "unknown", Unknown().String())
	assert.Equal(t, "0", Known(0).String())
	assert.True(t, Known(0).IsKnown())
	assert.Equal(t, Known(2), Maybe(2, true))
	assert.Equal(t, Unknown(), Maybe(2, false))
	for text, want := range map[string]Number{"null": Unknown(), "0": Known(0), "1.5e3": Known(1500)} {
		got := Known(99)
		require.NoError(t, json.Unmarshal([]byte(text), &got), text)
		assert.Equal(t, want, got, text)
	}
	var n Number
	assert.Error(t, json.Unmarshal([]byte(`"1"`), &n))
	for _, x := range []float64{0, 0.1, -1e-300, math.MaxFloat64, 1.0 / 3, 5e-324} {
		text, err := json.Marshal(Known(x))
		require.NoError(t, err)
		var back Number
		require.NoError(t, json.Unmarshal(text, &back))
		assert.Equal(t, Known(x), back, "JSON numbers are not rounded")
	}
}
