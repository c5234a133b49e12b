package label

import (
	"strings"
	"unicode"

	"github.com/brinemark/brinemark/reports/picture"
)

// SmallestLetterMM is the least size of letters: about five points, the size of
// small print. Common practice, no source.
const SmallestLetterMM = 1.8

const (
	largestLetterMM = 4.0
	letterStepMM    = 0.05
	leading         = 1.22 // from line to line, in letters
	nameLetters     = 1.5  // the name, in letters
	mostNameLines   = 2
	mostLines       = 40 // of one text; no label is as high
	ellipsis        = "…"
	nbsp            = '\u00a0'
)

// textLine is a line of letters that has found its place.
type textLine struct {
	text   string
	sizeMM float64
	bold   bool
	wideMM float64
	yMM    float64 // of its foot, from the top of the text
}

// wide is the width of a text in mm.
func wide(text string, sizeMM float64, bold bool) float64 {
	return sizeMM * picture.TextWidth(text, bold)
}

// lines lays a label's text out in letters of one size; ok is false where it
// has no room.
func (l Label) lines(sizeMM, roomMM, heightMM float64) (out []textLine, usedMM float64, ok bool) {
	add := func(texts []string, size float64, bold bool) {
		for _, t := range texts {
			usedMM += leading * size
			out = append(out, textLine{t, size, bold, wide(t, size, bold), usedMM - (leading-0.95)*size})
		}
	}
	name, _ := wrap(l.Name, mostNameLines+1, true, roomMM, nameLetters*sizeMM, true)
	add(cut(name, mostNameLines, roomMM, nameLetters*sizeMM, true), nameLetters*sizeMM, true)
	for _, line := range l.Lines {
		texts, whole := wrap(line.Text, mostLines, line.May == Cut, roomMM, sizeMM, line.Bold)
		switch {
		case line.May == Cut:
			texts = cut(texts, 1, roomMM, sizeMM, line.Bold)
		case !whole: // a number would be torn
			return nil, 0, false
		}
		add(texts, sizeMM, line.Bold)
	}
	return out, usedMM, usedMM <= heightMM
}

// wrap breaks a text at its blanks, and stops when it has so many lines. whole is
// false where something is missing, or a word alone is wider than the room: then it
// is torn anywhere if it may be, and otherwise there are no lines.
func wrap(text string, most int, tear bool, roomMM, sizeMM float64, bold bool) (lines []string, whole bool) {
	whole = true
	words := strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) && r != nbsp })
	current := ""
	for _, word := range words {
		if joined := strings.TrimLeft(current+" "+word, " "); wide(joined, sizeMM, bold) <= roomMM {
			current = joined
			continue
		}
		if current != "" {
			lines = append(lines, current)
		}
		if len(lines) >= most {
			return lines, false
		}
		for wide(word, sizeMM, bold) > roomMM {
			if whole = false; !tear {
				return nil, false
			}
			n := longest([]rune(word), roomMM, sizeMM, bold, "")
			if n == 0 || len(lines) >= most {
				return lines, false
			}
			lines = append(lines, string([]rune(word)[:n]))
			word = string([]rune(word)[n:])
		}
		current = word
	}
	if current != "" {
		lines = append(lines, current)
	}
	return lines, whole
}

// cut keeps so many lines, and ends the last one with three dots where there are
// more.
func cut(lines []string, most int, roomMM, sizeMM float64, bold bool) []string {
	if len(lines) <= most {
		return lines
	}
	kept := append([]string(nil), lines[:min(most, len(lines))]...)
	last := []rune(kept[len(kept)-1])
	if len(lines) > len(kept) {
		last = append(append(last, ' '), []rune(lines[len(kept)])...)
	}
	kept[len(kept)-1] = strings.TrimRight(string(last[:longest(last, roomMM, sizeMM, bold, ellipsis)]), " ") + ellipsis
	return kept
}

// longest is how many letters fit the room with an ending. A mark that belongs
// to the letter before it is not parted from it.
func longest(text []rune, roomMM, sizeMM float64, bold bool, ending string) int {
	low, high := 0, len(text)
	for low < high { // the width grows with the length
		middle := (low + high + 1) / 2
		if wide(string(text[:middle])+ending, sizeMM, bold) <= roomMM {
			low = middle
		} else {
			high = middle - 1
		}
	}
	for low > 0 && low < len(text) && unicode.Is(unicode.M, text[low]) {
		low--
	}
	return low
}
