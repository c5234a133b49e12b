package reports

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCleanLeavesWhatIsShown(t *testing.T) {
	for text, want := range map[string]string{
		"":             "",
		"pen Ø 1\n2":   "pen Ø 1\n2",
		"שלום 🧪":       "שלום 🧪",
		"\x1b[31mred":  "\ufffd[31mred",
		"a\rb\tc\x00":  "a\ufffdb\ufffdc\ufffd",
		"a\u202eb":     "a\ufffdb",
		"\u009b2J\x7f": "\ufffd2J\ufffd",
	} {
		assert.Equal(t, want, Style{}.Clean(text), "%q", text)
	}
	colours := Style{Color: true}
	assert.Equal(t, colours.Bold("head")+" \ufffd[2J", colours.Clean(colours.Bold("head")+" \x1b[2J"))
	assert.NotContains(t, Style{}.Clean(colours.Verdict("fail")), "\x1b")
}

// A text that would move the cursor moves nothing in a table either.
func TestTablesAreLaidOutAsTheyAreSeen(t *testing.T) {
	for _, evil := range []string{"a\rb", "a\x1bb", "a\bb", "a\u202eb", "a\tb"} {
		table := NewTable(Column{Name: "name", Text: true}, Column{Name: "x"})
		table.Row(evil, "1")
		table.Row("abc", "2")
		var got bytes.Buffer
		require.NoError(t, table.Write(&got, Style{}))
		assert.Equal(t, "name  x\n-------\na\ufffdb   1\nabc   2\n", got.String(), "%q", evil)
		got.Reset()
		var f Fields
		f.Add(evil, evil)
		f.Add("abcd", "e")
		require.NoError(t, f.Write(&got, Style{}))
		assert.Equal(t, "a\ufffdb   a\ufffdb\nabcd  e\n", got.String(), "%q", evil)
	}
}

// What a person named begins no line of its own, which might look like one of
// ours.
func TestNamesEndNoLine(t *testing.T) {
	for _, evil := range []string{"pen\nverdict  pass", "pen\u2028verdict  pass"} {
		const one = "pen verdict  pass"
		var got bytes.Buffer
		table := NewTable(Column{Name: evil, Text: true})
		table.Row(evil)
		require.NoError(t, table.Write(&got, Style{}))
		assert.Equal(t, 2, strings.Count(got.String(), one), got.String())
		got.Reset()
		var f Fields
		f.Add(evil, evil)
		require.NoError(t, f.Write(&got, Style{}))
		assert.Equal(t, one+"  "+one+"\n", got.String())
		got.Reset()
		require.NoError(t, Paragraph(&got, Style{}, "\x1b- ", evil))
		assert.Equal(t, "\ufffd- "+one+"\n", got.String())
		got.Reset()
		require.NoError(t, Heading(&got, Style{}, evil))
		assert.Equal(t, "\n"+one+"\n", got.String())
	}
}
