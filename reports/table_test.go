package reports

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func bottles(long string) *Table {
	table := NewTable(Column{Name: "bottle", Text: true}, Column{Name: "salt", Unit: "g"},
		Column{Name: "EC at 25 C", Unit: "uS/cm"}, Column{Name: "what to do", Text: true})
	table.Row("B1", "0.602", "1215.3 ± 2.1", "keep")
	table.Row("B12", "12.6", "15.30 ± 0.12", long)
	return table
}

func TestTableLook(t *testing.T) {
	var b strings.Builder
	require.NoError(t, bottles("throw away").Write(&b, Style{}))
	assert.Equal(t, ""+
		"bottle   salt    EC at 25 C  what to do\n"+
		"            g         uS/cm\n"+
		"---------------------------------------\n"+
		"B1      0.602  1215.3 ± 2.1  keep\n"+
		"B12      12.6  15.30 ± 0.12  throw away\n", b.String())
}

func TestTableFitsTheScreen(t *testing.T) {
	long := strings.Repeat("a rather long piece of advice ", 8)
	for _, width := range []int{0, 60, 80, 120} {
		var b strings.Builder
		require.NoError(t, bottles(long).Write(&b, Style{Width: width}))
		for _, line := range strings.Split(b.String(), "\n") {
			assert.LessOrEqual(t, len([]rune(line)), Style{Width: width}.width(), line)
			assert.Equal(t, strings.TrimRight(line, " "), line, "no blanks at the end of a line")
		}
		assert.Equal(t, 8, strings.Count(b.String(), "rather"), "wrapped, not cut")
	}
	var b strings.Builder
	require.NoError(t, bottles(long).Write(&b, Style{Width: 1}), "numbers are never cut, however narrow the screen")
	assert.Contains(t, b.String(), "1215.3 ± 2.1")
}

// Five columns of short words beside long figures: narrower than usual, without a
// word cut in two.
func TestATableOfManyColumnsFitsTheScreen(t *testing.T) {
	table := NewTable(Column{Name: "name", Text: true}, Column{Name: "content", Text: true}, Column{Name: "worth", Text: true},
		Column{Name: "made"}, Column{Name: "good until"}, Column{Name: "since"}, Column{Name: "note", Text: true})
	table.Row("OLD", "KCl, 1413.0 uS/cm", "1413.0 ± 7.1 uS/cm", "2026-01-01", "2026-04-01", "2026-03-02", "version OLD/2")
	var b strings.Builder
	require.NoError(t, table.Write(&b, Style{}))
	for _, line := range strings.Split(b.String(), "\n") {
		assert.LessOrEqual(t, len([]rune(line)), DefaultWidth, line)
	}
	words := strings.Fields(b.String())
	for _, word := range []string{"1413.0", "uS/cm", "version", "OLD/2"} {
		assert.Contains(t, words, word)
	}
}

func TestTableColorChangesNothingElse(t *testing.T) {
	var plainText, colored strings.Builder
	s := Style{Color: true}
	for _, c := range []struct {
		b *strings.Builder
		s Style
	}{{&plainText, Style{}}, {&colored, s}} {
		table := NewTable(Column{Name: "meter", Text: true}, Column{Name: "verdict", Text: true}, Column{Name: "error", Unit: "%"})
		for _, v := range []string{"pass", "fail", "undecided", ""} {
			table.Row("P1", c.s.Verdict(v), "1.2")
		}
		require.NoError(t, table.Write(c.b, c.s))
	}
	assert.NotContains(t, plainText.String(), "\x1b")
	assert.Contains(t, colored.String(), "\x1b[32mpass\x1b[0m")
	assert.Contains(t, colored.String(), "\x1b[31mfail\x1b[0m")
	stripped := strings.NewReplacer(bold, "", red, "", green, "", yellow, "", plain, "").Replace(colored.String())
	assert.Equal(t, plainText.String(), stripped, "the words carry the meaning, and the columns stay aligned")
}

func TestVerdictWords(t *testing.T) {
	s := Style{Color: true}
	assert.Equal(t, "none", s.Verdict(""))
	assert.Equal(t, "odd", s.Verdict("odd"))
	assert.Equal(t, s.Verdict("pass"), strings.Replace(s.Verdict("agree"), "agree", "pass", 1))
	assert.Equal(t, s.Verdict("fail"), strings.Replace(s.Verdict("disagree"), "disagree", "fail", 1))
	assert.Equal(t, "pass", Style{}.Verdict("pass"))
}

func TestEmptyAndUnevenTables(t *testing.T) {
	var b strings.Builder
	require.NoError(t, NewTable(Column{Name: "a"}).Write(&b, Style{}))
	assert.Equal(t, "a", strings.Fields(b.String())[0])
	b.Reset()
	table := NewTable(Column{Name: "a"}, Column{Name: "b"})
	table.Row("1")
	table.Row("2", "3", "dropped")
	require.NoError(t, table.Write(&b, Style{}))
	assert.NotContains(t, b.String(), "dropped")
	assert.Contains(t, b.String(), "2  3")
}

func TestParagraphAndFields(t *testing.T) {
	var b strings.Builder
	require.NoError(t, Paragraph(&b, Style{Width: 20}, "1. ", "weigh the salt into the dry jug"))
	assert.Equal(t, "1. weigh the salt\n   into the dry jug\n", b.String())
	b.Reset()
	var f Fields
	f.Add("salt", "NaCl")
	f.Add("µ", "a value that is too long for one line")
	require.NoError(t, f.Write(&b, Style{Width: 24}))
	assert.Equal(t, "salt  NaCl\nµ     a value that is\n      too long for one\n      line\n", b.String())
	b.Reset()
	require.NoError(t, Heading(&b, Style{Color: true}, "Steps"))
	assert.Equal(t, "\n\x1b[1mSteps\x1b[0m\n", b.String())
}

func TestWriterErrorsAreReturned(t *testing.T) {
	full := errors.New("disk full")
	var f Fields
	f.Add("a", "b")
	assert.ErrorIs(t, f.Write(failing{full}, Style{}), full)
	assert.ErrorIs(t, bottles("x").Write(failing{full}, Style{}), full)
	assert.ErrorIs(t, Heading(failing{full}, Style{}, "x"), full)
}
