package delimited_test

import (
	"encoding/csv"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/series/delimited"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestRowRefuses(t *testing.T) {
	form := delimited.Form{Separator: ','}
	for text, want := range map[string]error{
		"a,b\"c\n":   delimited.ErrBareQuote,
		"\"a\"b,c\n": delimited.ErrQuote,
		"\"a\" ,c\n": delimited.ErrQuote,
		"a,\"b\nc\n": delimited.ErrUnclosed,
		"\"":         delimited.ErrUnclosed,
		"\"a\"\"":    delimited.ErrUnclosed,
	} {
		_, _, _, err := form.Row([]byte(text), 0, nil)
		assert.ErrorIs(t, err, want, "%q", text)
		_, err = csv.NewReader(strings.NewReader(text)).ReadAll()
		assert.Error(t, err, "encoding/csv refuses %q too", text)
	}
}

// The end of a row is before its line end, so that fields can be added there.
func TestRowEnds(t *testing.T) {
	form := delimited.Form{Separator: ','}
	for text, want := range map[string]string{
		"a,b\nc": "\n", "a,b\r\nc": "\r\n", "a,\"b\"\r\nc": "\r\n", "a,b": "", "a,b\r": "\r", "a,\"b\r\n\"\nc": "\n", "a,\n": "\n", "\n": "\n", "\r\n": "\r\n", "\r": "\r",
	} {
		_, end, next, err := form.Row([]byte(text), 0, nil)
		require.NoError(t, err, "%q", text)
		assert.Equal(t, want, text[end:next], "%q", text)
	}
}

func TestDetect(t *testing.T) {
	wanted := func(name string) bool { return name == "time" || name == "ec" || name == "x;y" }
	for text, want := range map[string]byte{
		"time,ec\n1,2\n": ',', "time;ec\n1;2\n": ';', "time\tec\n1\t2\n": '\t', "\uFEFFtime;ec\n": ';', "\n\r\ntime;ec\n": ';',
		"time;a,b,c,d;ec\n": ';', "\"time\";\"ec\"\n": ';', "a,b\n": ',', "time\n": ',', "": ',', "\"time": ',', "time,\"x;y\"\n": ',',
	} {
		assert.Equal(t, string(want), string(delimited.Detect([]byte(text), wanted).Separator), "%q", text)
	}
}

// A field that is appended is read again as what it says.
func FuzzAppendField(f *testing.F) {
	f.Add("ec", byte(0))
	f.Add("a;\"b\"\n", byte(1))
	f.Fuzz(func(t *testing.T, field string, which byte) {
		form := delimited.Form{Separator: []byte{',', ';', '\t'}[int(which)%3]}
		r := csv.NewReader(strings.NewReader("x" + string(rune(form.Separator)) + string(form.AppendField(nil, field)) + "\n"))
		r.Comma = rune(form.Separator)
		rows, err := r.ReadAll()
		require.NoError(t, err)
		assert.Equal(t, [][]string{{"x", strings.ReplaceAll(field, "\r\n", "\n")}}, rows)
	})
}
