package reports

import (
	"strings"

	"github.com/jedib0t/go-pretty/v6/text"
)

// wrap breaks the lines of a text at their blanks so that none is wider than so
// many columns of a screen, where letters of East Asia take two and marks on
// others none. A word that is wider alone is torn.
func wrap(body string, columns int) string {
	var out []string
	for _, line := range strings.Split(body, "\n") {
		out = append(out, wrapLine(line, columns)...)
	}
	return strings.Join(out, "\n")
}

func wrapLine(line string, columns int) (out []string) {
	if columnsOf(line) <= columns {
		return []string{line}
	}
	current, begun := "", false
	for _, word := range strings.Split(line, " ") {
		if begun && columnsOf(current+" "+word) <= columns {
			current += " " + word
			continue
		}
		if begun {
			out = append(out, current)
		}
		for columnsOf(word) > columns {
			part := fitting(word, columns)
			out, word = append(out, part), word[len(part):]
		}
		current, begun = word, true
	}
	return append(out, current)
}

// fitting is the beginning of a word that fits, one letter at least.
func fitting(word string, columns int) string {
	end, used := 0, 0
	for at, r := range word {
		wide := columnsOf(string(r))
		if at > 0 && used+wide > columns {
			break
		}
		end, used = at+len(string(r)), used+wide
	}
	return word[:end]
}

// columnsOf is how many columns of a screen a line takes, colours left out.
func columnsOf(line string) int { return text.StringWidthWithoutEscSequences(line) }
