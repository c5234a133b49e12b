package label

import (
	"fmt"
	"math"
	"sort"
	"strings"
)

// Label is what stands on one bottle.
type Label struct {
	// ID is what the code carries; "" for no code.
	ID string
	// Name is read from afar. It is cut where it is long.
	Name string
	// Lines follow it, in order.
	Lines []Line
}

// Line is one line of text, and what may be done to it.
type Line struct {
	Text string
	May  Treatment
	Bold bool
}

// Treatment is what may be done to a line that is too long.
type Treatment int

// A line is broken at its blanks, which holds for numbers with their units (a
// no-break blank between them keeps them together), or cut, which only a name or
// a note may be.
const (
	Break Treatment = iota
	Cut
)

// clean takes out of all texts what a label cannot show.
func (l Label) clean() Label {
	out := Label{ID: l.ID, Name: plain(start(l.Name, mostLetters))}
	for _, line := range l.Lines {
		if line.Text = plain(line.Text); line.May == Cut {
			line.Text = start(line.Text, mostLetters)
		}
		out.Lines = append(out.Lines, line)
	}
	return out
}

// placed is a label with everything in its place.
type placed struct {
	label      Label
	code       *code
	codeSideMM float64
	codeX      float64
	codeY      float64
	lines      []textLine
	textY      float64
}

const (
	padMM     = 3.5  // from the edge of a label to what stands on it
	codeShare = 0.36 // of the width, or of the height of an upright label
)

// place lays a label out.
func (l Label) place(widthMM, heightMM float64) (p placed, warnings []string, err error) {
	p.label = l.clean()
	roomW, roomH := widthMM-2*padMM, heightMM-2*padMM
	upright := heightMM > widthMM
	side := math.Min(codeShare*roomW, roomH)
	if upright {
		side = math.Min(roomW, codeShare*roomH)
	}
	if l.ID != "" {
		c, fits := newCode(l.ID, side)
		if fits {
			p.code, p.codeSideMM = &c, side
			border := quietModules * c.moduleMM(side) // may lie beyond the padding
			p.codeX, p.codeY = widthMM-padMM-side+border/2, (heightMM-side)/2
			if roomW -= side - border/2; upright {
				roomW = widthMM - 2*padMM
				roomH -= side - border/2
				p.codeX, p.codeY = (widthMM-side)/2, heightMM-padMM-side+border/2
			}
		} else {
			warnings = append(warnings, fmt.Sprintf("the label of %s has no code: its ID of %d characters would need a larger label", short(l.Name), len([]rune(l.ID))))
		}
	}
	// Larger letters need more room, so the largest that fit are found by halves.
	steps := int(math.Round((largestLetterMM-SmallestLetterMM)/letterStepMM)) + 1
	size := func(step int) float64 { return largestLetterMM - float64(step)*letterStepMM }
	found := sort.Search(steps, func(step int) bool {
		_, _, ok := p.label.lines(size(step), roomW, roomH)
		return ok
	})
	if found < steps {
		lines, used, _ := p.label.lines(size(found), roomW, roomH)
		p.lines, p.textY = lines, padMM+(roomH-used)/2
		return p, warnings, nil
	}
	return p, nil, fmt.Errorf("%w: found labels of %gx%gmm, too small for what has to stand on the label of %s; want a size such as %dx%dmm",
		ErrLayout, widthMM, heightMM, short(l.Name), UsualWidthMM, UsualHeightMM)
}

// mostLetters is more than any sheet of paper has room for in a line or two.
const mostLetters = 1000

// start is the beginning of a text.
func start(text string, most int) string {
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + ellipsis
	}
	return text
}

// short is the beginning of a name, for a message.
func short(name string) string { return plain(start(name, 40)) }

// plain is a text on one line, without what cannot be shown: control characters,
// what turns the direction of a text, and what XML does not allow.
func plain(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case unshown(r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(text, "\ufffd"))
}
