package reports

import (
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var hostile = []string{
	"", "P1", "tent pen", `"`, `""`, `'`, `\`, `\'`, `E'`, "*/", "/*", "--", "a\nb", "\x00", "\xff", "??/", "Лампа", "\u202e", "$$", "%s", strings.Repeat(`"'`, 5000), strings.Repeat("é", 100),
}

// unquote reads what is quoted at the start of a text as SQL does (ISO/IEC
// 9075-2, 5.2 and 5.3: the quotation mark stands for itself where it is doubled),
// and returns the rest.
func unquote(t *testing.T, text string, mark byte, escapes bool) (inside, rest string) {
	t.Helper()
	require.NotEmpty(t, text)
	require.Equal(t, mark, text[0], "%.60q", text)
	var b strings.Builder
	for i := 1; i < len(text); i++ {
		switch {
		case escapes && text[i] == '\\':
			i++
			require.Less(t, i, len(text))
			b.WriteByte(text[i])
		case text[i] != mark:
			b.WriteByte(text[i])
		case i+1 < len(text) && text[i+1] == mark:
			b.WriteByte(mark)
			i++
		default:
			return b.String(), text[i+1:]
		}
	}
	require.Fail(t, "it never ends", "%.60q", text)
	return "", ""
}

func FuzzSQLNames(f *testing.F) {
	for _, name := range hostile {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		quoted, err := sqlName(name)
		if err != nil {
			assert.True(t, name == "" || strings.Contains(name, "\x00") || !utf8.ValidString(name), "%q: %v", name, err)
			return
		}
		inside, rest := unquote(t, quoted, '"', false)
		assert.Equal(t, name, inside)
		assert.Empty(t, rest, "nothing is left over to run")
	})
}

func FuzzSQLTexts(f *testing.F) {
	for _, text := range hostile {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, escapes := range []bool{false, true} {
			quoted, err := sqlText(text, escapes)
			if err != nil {
				assert.True(t, strings.Contains(text, "\x00") || !utf8.ValidString(text), "%q: %v", text, err)
				continue
			}
			marked := strings.HasPrefix(quoted, "E")
			inside, rest := unquote(t, strings.TrimPrefix(quoted, "E"), '\'', marked)
			assert.Equal(t, text, inside)
			assert.Empty(t, rest, "nothing is left over to run")
			if escapes && !marked {
				assert.NotContains(t, quoted, `\`, "a server may take it for an escape")
			}
		}
	})
}

func FuzzNamesInC(f *testing.F) {
	for _, name := range hostile {
		f.Add(name)
	}
	word := regexp.MustCompile(`^[0-9a-z]+(_[0-9a-z]+)*$`)
	comment := regexp.MustCompile(`^[0-9A-Za-z_ .,:;+\-=%()/@]*$`)
	f.Fuzz(func(t *testing.T, name string) {
		w := cWord(name)
		assert.Regexp(t, word, w, "%q", name)
		assert.LessOrEqual(t, len(w), mostWord+9)
		assert.Equal(t, w, cWord(strings.Map(smallLetter, name)), "the record knows no capitals either")
		if !strings.EqualFold(w, name) {
			assert.Regexp(t, `[0-9a-f]{8}$`, w, "%q is told from other names", name)
		}
		c := commentText(name)
		assert.Regexp(t, comment, c, "%q", name)
		assert.LessOrEqual(t, len(c), mostComment+3)
		assert.NotContains(t, c, "*")
	})
}

func TestNamesInC(t *testing.T) {
	for name, want := range map[string]string{"P1": "p1", "tent_pen": "tent_pen", "EC-7": "ec_7_", "tent pen": "tent_pen_", "1st": "1st", "p_": "p_", strings.Repeat("x", 24): strings.Repeat("x", 24), strings.Repeat("x", 25): strings.Repeat("x", 24) + "_"} {
		if strings.HasSuffix(want, "_") {
			assert.Regexp(t, "^"+want+"[0-9a-f]{8}$", cWord(name), "%q", name)
		} else {
			assert.Equal(t, want, cWord(name), "%q", name)
		}
	}
}
