package label

import (
	"fmt"
	"html"
	"io"
	"strconv"
	"strings"
	"unicode"
)

// Sheet is one sheet of paper with labels on it.
type Sheet struct {
	layout Layout
	number int // from 1
	of     int
	spots  []spot
}

// spot is a label with its place on the sheet.
type spot struct {
	placed
	xMM, yMM float64
}

// Lay lays labels out on as many sheets as they need. The warnings name labels
// whose code was left out. Errors wrap [ErrLayout].
func Lay(labels []Label, l Layout) (sheets []Sheet, warnings []string, err error) {
	across, down, left, top, err := l.grid()
	if err != nil {
		return nil, nil, err
	}
	for i, one := range labels {
		p, more, err := one.place(l.WidthMM, l.HeightMM)
		if err != nil {
			return nil, nil, err
		}
		warnings = append(warnings, more...)
		at := i + l.Skip
		if at/(across*down) >= len(sheets) {
			sheets = append(sheets, Sheet{layout: l, number: len(sheets) + 1})
		}
		on := &sheets[len(sheets)-1]
		column, row := at%across, at/across%down
		on.spots = append(on.spots, spot{p, left + float64(column)*l.WidthMM, top + float64(row)*l.HeightMM})
	}
	for i := range sheets {
		sheets[i].of = len(sheets)
	}
	return sheets, warnings, nil
}

// Labels is how many labels stand on the sheet.
func (s Sheet) Labels() int { return len(s.spots) }

// fonts all have the widths the labels are laid out with.
const fonts = `'Liberation Sans',Arimo,Arial,Helvetica,sans-serif`

// WriteSVG draws the sheet as one SVG of the size of the paper.
func (s Sheet) WriteSVG(w io.Writer) error {
	paper := s.layout.Paper
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" font-family="%s">`+"\n",
		mm(paper.WidthMM), mm(paper.HeightMM), mm(paper.WidthMM), mm(paper.HeightMM), fonts)
	fmt.Fprintf(&b, "<title>Labels for bottles, sheet %d of %d</title>\n", s.number, s.of)
	fmt.Fprintf(&b, `<rect width="%s" height="%s" fill="#fff"/>`+"\n", mm(paper.WidthMM), mm(paper.HeightMM))
	for _, one := range s.spots {
		one.draw(&b, s.layout)
	}
	b.WriteString("</svg>\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// draw writes one label as a drawing of its own, which ends at its edge.
func (s spot) draw(b *strings.Builder, l Layout) {
	fmt.Fprintf(b, `<svg x="%s" y="%s" width="%s" height="%s" viewBox="0 0 %s %s" overflow="hidden">`,
		mm(s.xMM), mm(s.yMM), mm(l.WidthMM), mm(l.HeightMM), mm(l.WidthMM), mm(l.HeightMM))
	if !l.Bare {
		fmt.Fprintf(b, `<rect width="%s" height="%s" fill="none" stroke="#999" stroke-width="0.2" stroke-dasharray="1 1"/>`, mm(l.WidthMM), mm(l.HeightMM))
	}
	b.WriteString("\n")
	for _, line := range s.lines {
		weight := ""
		if line.bold {
			weight = ` font-weight="bold"`
		}
		// The width is fixed, so that no other font makes a line run on.
		fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s"%s textLength="%s" lengthAdjust="spacingAndGlyphs">%s</text>`+"\n",
			mm(padMM), mm(s.textY+line.yMM), mm(line.sizeMM), weight, mm(line.wideMM), escape(line.text))
	}
	if s.code != nil {
		s.code.draw(b, s.codeX, s.codeY, s.codeSideMM)
		b.WriteString("\n")
	}
	b.WriteString("</svg>\n")
}

// mm writes a length to the hundredth of a millimetre.
func mm(x float64) string { return number(x, 2) }

func number(x float64, decimals int) string {
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	return strings.TrimRight(strings.TrimRight(text, "0"), ".")
}

// escape makes text of what a person typed, whatever it looks like.
func escape(text string) string { return html.EscapeString(plain(text)) }

// unshown tells characters that a text on paper cannot hold.
func unshown(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\ufffe' || r == '\uffff'
}
