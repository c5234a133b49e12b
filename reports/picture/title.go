package picture

import (
	"strings"

	"github.com/brinemark/brinemark/reports/typeset"
	"gonum.org/v1/plot/vg"
)

// inRoom is the title of an axis as it stands in its room. Where that is too
// small the name is shortened, by what stands behind a comma first; never
// the unit, without which no number on the axis has a meaning.
func (a Axis) inRoom(f frame, most int, fits func(string) bool) string {
	whole := a.title(f, most)
	if a.Unit == "" || fits(typeset.Words(whole)) {
		return typeset.Fit(whole, fits)
	}
	behind := typeset.Words(", " + a.Unit)
	withUnit := func(name string) bool { return fits(name + behind) }
	if !withUnit(typeset.Ellipsis) { // a unit as long as that is a person's
		return typeset.Fit(whole, fits)
	}
	name := a.Name
	for !withUnit(typeset.Words(name)) {
		shorter, _, found := cutLast(name, ", ")
		if !found {
			break
		}
		name = shorter
	}
	return typeset.Fit(name, withUnit) + behind
}

// asWritten is the axis with its units as people write them.
func (a Axis) asWritten() Axis {
	a.Name, a.Unit = typeset.Text(a.Name), typeset.Unit(a.Unit)
	return a
}

// onPaper is the title of an axis on paper, in its room.
func (a Axis) onPaper(f frame, most int, room vg.Length) string {
	return a.asWritten().inRoom(f, most, func(t string) bool { return wideness(t, textFont) <= room })
}

// onScreen is the title of an axis on a terminal of so many columns.
func (a Axis) onScreen(f frame, most, columns int) string {
	return a.inRoom(f, most, func(t string) bool { return typeset.Columns(t) <= columns })
}

// cutLast cuts a text at the last separator that is no part of a person's name.
func cutLast(text, separator string) (before, after string, found bool) {
	spans := typeset.Spans(text)
	if len(spans) != 1 || spans[0].Name {
		return text, "", false
	}
	i := strings.LastIndex(text, separator)
	if i < 0 {
		return text, "", false
	}
	return text[:i], text[i+len(separator):], true
}
