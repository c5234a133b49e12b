package label

import (
	"fmt"
	"strings"
	"unicode"

	qr "github.com/piglig/go-qr"
)

// SmallestModuleMM is the least size of a module (a dark or light square) of a
// code that a phone reads off a curved bottle without trouble: four dots of a
// printer with 300 dots to the inch. Common practice, no source.
const SmallestModuleMM = 0.33

// quietModules is the empty border that a code needs (ISO/IEC 18004, 5.3.8).
const quietModules = 4

// code is a QR code on its way to paper.
type code struct {
	of   string
	size int // modules along a side, without the border
	dark func(x, y int) bool
}

// newCode makes the code of a text, where it fits a square of a given side. The
// level of error correction is M (15 %), as for any label that is wiped now and
// then.
func newCode(text string, sideMM float64) (code, bool) {
	made, err := encode(text)
	if err != nil {
		return code{}, false
	}
	c := code{text, made.Size(), made.Module}
	return c, c.moduleMM(sideMM) >= SmallestModuleMM
}

// utf8 is the number that says in a code that its bytes are UTF-8 (AIM ECI
// 000026). Without it a reader guesses, and may guess Kanji.
const utf8 = 26

// encode makes the code; one of ASCII alone needs no word about its letters.
func encode(text string) (*qr.QrCode, error) {
	if strings.IndexFunc(text, func(r rune) bool { return r > unicode.MaxASCII }) < 0 {
		return qr.EncodeText(text, qr.Medium)
	}
	eci, err := qr.MakeEci(utf8)
	if err != nil {
		return nil, err
	}
	letters, err := qr.MakeBytes([]byte(text))
	if err != nil {
		return nil, err
	}
	return qr.EncodeStandardSegments([]*qr.QrSegment{eci, letters}, qr.Medium)
}

// moduleMM is the side of a module.
func (c code) moduleMM(sideMM float64) float64 { return sideMM / float64(c.size+2*quietModules) }

// draw writes the code into a square at x, y, border included: a path of
// rectangles, one for each run of dark modules in a row, counted in modules.
func (c code) draw(b *strings.Builder, x, y, sideMM float64) {
	module := c.moduleMM(sideMM)
	fmt.Fprintf(b, `<g role="img" aria-label="QR code of %s" transform="translate(%s %s) scale(%s)">`,
		escape(c.of), mm(x+quietModules*module), mm(y+quietModules*module), number(module, 5))
	b.WriteString(`<path shape-rendering="crispEdges" fill="#000" d="`)
	for row := range c.size {
		for from := 0; from < c.size; from++ {
			if !c.dark(from, row) {
				continue
			}
			to := from
			for to < c.size && c.dark(to, row) {
				to++
			}
			fmt.Fprintf(b, "M%d %dh%dv1h-%dz", from, row, to-from, to-from)
			from = to
		}
	}
	b.WriteString(`"/></g>`)
}
