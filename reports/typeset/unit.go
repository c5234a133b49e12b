package typeset

import (
	"regexp"
	"strings"
	"sync"
)

// The ends of a name within a sentence: first strong isolate, pop directional
// isolate.
const isolate, endIsolate = "\u2068", "\u2069"

// Unit is a unit as people write it: µS/cm for uS/cm, °C for C, %/°C for %/C, and
// × for the x before a factor. Others are the same in ASCII.
func Unit(unit string) string {
	if unit == "C" {
		return "°C"
	}
	return ownText(unit)
}

// Text is a sentence of ours, or a part of one, with its units as people write
// them. Names, which stand within isolates, are left as they are.
func Text(text string) string {
	var b strings.Builder
	for text != "" {
		ours, rest, marked := strings.Cut(text, isolate)
		b.WriteString(ownText(ours))
		if !marked {
			break
		}
		name, after, closed := strings.Cut(rest, endIsolate)
		b.WriteString(isolate + name)
		if closed {
			b.WriteString(endIsolate)
		}
		text = after
	}
	return b.String()
}

// degrees are a C behind a number, or that a coefficient is divided by: 25 C,
// 2.0 %/C, 0.02/C.
var degrees = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`([0-9][ \x{a0}\x{202f}]|[0-9%]/)C([^\pL\pN]|$)`)
})

// times is an x before a figure: ppm (x 0.5).
var times = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`(^|[^\pL\pN])x ([0-9])`) })

func ownText(text string) string {
	text = strings.ReplaceAll(text, "uS/cm", "µS/cm")
	text = degrees().ReplaceAllString(text, "${1}°C$2")
	return times().ReplaceAllString(text, "${1}× $2")
}
