package reports

import (
	"errors"
	"fmt"
	"hash/fnv"
	"strings"
	"unicode/utf8"
)

// Names of meters, tables and columns are whatever a person, or a file, calls
// them. Here they become parts of a program: nothing in them ends a comment, a
// text or a name.

// sqlName quotes a name of SQL: between quotation marks, with those inside
// doubled. A name of nothing, one with a zero byte and one that is not UTF-8
// are errors.
func sqlName(name string) (string, error) {
	if err := checkSQL(name); err != nil {
		return "", err
	}
	if name == "" {
		return "", errors.New("a name of nothing is no name")
	}
	return `"` + strings.ReplaceAll(name, `"`, `""`) + `"`, nil
}

// sqlText quotes a text of SQL. A backslash means itself in the standard, but
// servers can be set to take it as an escape: there, escapes says so.
func sqlText(text string, escapes bool) (string, error) {
	if err := checkSQL(text); err != nil {
		return "", err
	}
	quoted := `'` + strings.ReplaceAll(text, `'`, `''`) + `'`
	if escapes && strings.Contains(text, `\`) {
		return "E" + strings.ReplaceAll(quoted, `\`, `\\`), nil
	}
	return quoted, nil
}

func checkSQL(text string) error {
	switch {
	case strings.ContainsRune(text, 0):
		return fmt.Errorf("%.40q has a zero byte, which SQL cannot hold", text)
	case !utf8.ValidString(text):
		return fmt.Errorf("%.40q is not UTF-8", text)
	}
	return nil
}

// mostComment is how much of a name a comment shows, in characters.
const mostComment = 60

// commentText makes a name fit for a comment of C or SQL: letters and digits
// of ASCII and a few signs stay, the rest becomes "_", and a long one is cut.
func commentText(name string) string {
	var b strings.Builder
	n := 0
	for _, r := range name {
		if n++; n > mostComment {
			b.WriteString("...")
			break
		}
		if isWordOfC(r) || strings.ContainsRune(" .,:;+-=%()/@", r) {
			b.WriteRune(r)
		} else {
			b.WriteByte('_')
		}
	}
	return b.String()
}

// mostWord is how much of a name an identifier of C keeps: C99 tells no more
// than 63 characters apart, prefix and ending included.
const mostWord = 24

// cWord makes a name fit for the middle of an identifier of C, in small letters.
// Two names that the record tells apart give two words: where more than the
// case of letters is lost, a checksum of the name is added.
func cWord(name string) string {
	var b strings.Builder
	lost := false
	name = strings.Map(smallLetter, name)
	for _, r := range name {
		if b.Len() == mostWord {
			lost = true
			break
		}
		if !isWordOfC(r) || r == '_' && (b.Len() == 0 || strings.HasSuffix(b.String(), "_")) {
			lost = true
			r = '_'
		}
		if r == '_' && strings.HasSuffix(b.String(), "_") {
			continue // two in a row are kept for the compiler in C++
		}
		b.WriteRune(r)
	}
	word := strings.Trim(b.String(), "_")
	if lost = lost || word == "" || word != b.String(); !lost {
		return word
	}
	sum := fnv.New32a()
	sum.Write([]byte(name))
	if word == "" {
		return fmt.Sprintf("%08x", sum.Sum32())
	}
	return fmt.Sprintf("%s_%08x", word, sum.Sum32())
}

func isWordOfC(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '_'
}

// smallLetter makes letters of ASCII small, as the record does to compare names.
func smallLetter(r rune) rune {
	if r >= 'A' && r <= 'Z' {
		return r - 'A' + 'a'
	}
	return r
}
