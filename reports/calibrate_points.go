package reports

import (
	"fmt"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/text"
)

// writePoints writes a line for each reading.
func (r *Calibrate) writePoints(w io.Writer, s Style) error {
	if err := Heading(w, s, "Points"); err != nil {
		return err
	}
	u := r.unit()
	head := []Column{{Name: "bottle", Text: true}, {Name: "reference", Unit: u}, {Name: "reading", Unit: u}, {Name: "error", Unit: "as found"}, {Name: "allowed", Unit: "±"},
		{Name: "corrected", Unit: u}, {Name: "residual", Unit: u}, {Name: "standard-", Unit: "ised"}, {Name: "", Text: true}}
	var rows [][]string
	named := false
	for _, p := range r.Points {
		named = named || p.Bottle != nil
		rows = append(rows, p.cells())
	}
	drop := map[int]bool{0: !named}
	longest := widthOf(head[0], rows, 0)
	least := min(nameAtLeast, longest)
	for _, column := range []int{7, 4} { // what the numbers beside it tell as well
		if named && pointsWidth(head, rows, drop)+least-longest > s.width() {
			drop[column] = true
		}
	}
	if over := pointsWidth(head, rows, drop) - s.width(); named && over > 0 {
		short := shortNames(r.bottles(), max(least, longest-over))
		for _, row := range rows {
			row[0] = short[row[0]]
		}
	}
	pick := func(cells []string) (out []string) {
		for i, c := range cells {
			if !drop[i] {
				out = append(out, c)
			}
		}
		return out
	}
	var columns []Column
	for i, c := range head {
		if !drop[i] {
			columns = append(columns, c)
		}
	}
	t := NewTable(columns...)
	for _, row := range rows {
		t.Row(pick(row)...)
	}
	return t.Write(w, s)
}

// nameAtLeast is the least width a bottle's name is shortened to, where there are
// columns to be left out instead.
const nameAtLeast = 10

// bottles are the names of the points' bottles, "" among them for none.
func (r *Calibrate) bottles() (out []string) {
	for _, p := range r.Points {
		out = append(out, wordOrEmpty(p.Bottle))
	}
	return out
}

func widthOf(c Column, rows [][]string, i int) int {
	width := text.LongestLineLen(c.head())
	for _, row := range rows {
		width = max(width, text.LongestLineLen(row[i]))
	}
	return width
}

func pointsWidth(head []Column, rows [][]string, drop map[int]bool) int {
	total := -len(gap)
	for i, c := range head {
		if !drop[i] {
			total += widthOf(c, rows, i) + len(gap)
		}
	}
	return total
}

// cells are the texts of a point.
func (p CalibratePoint) cells() []string {
	note := ""
	if p.Flagged {
		note = "stands out"
	}
	// Errors and residuals are differences of two readings: they are written to the place that the
	// readings have, and to six digits of the reference at most.
	// A computed reference, such as a buffer's pH, gets one place more than the reading at most.
	refPlace, readPlace := typedPlace(p.refText, p.Ref), typedPlace(p.readingText, p.Reading)
	place := max(min(refPlace, readPlace), readPlace-1, min(0, leadingPlace(p.Ref, tableDigits)-tableDigits+1))
	fine := place - 1
	ref := typedOr(p.refText, p.Ref)
	if refPlace < place {
		ref = toPlace(p.Ref, place)
	}
	return []string{wordOrEmpty(p.Bottle), ref, typedOr(p.readingText, p.Reading), plus(p.Error, toPlace(p.Error, place)), allowedText(p.Allowed, place),
		toPlace(p.Corrected, fine), plus(p.Residual, toPlace(p.Residual, fine)), twoDecimals(p.Standardised), note}
}

// tableDigits is the number of digits a table has room for.
const tableDigits = 6

// asTyped writes a number people typed: as it is, to the ten digits that hide
// binary noise.
func asTyped(x float64) string { return trimZeros(Significant(x, exactDigits)) }

// longestTyped is the longest number shown as typed; a longer one is rounded for the table.
const longestTyped = 9

// typedOr is a number with the digits that were typed, where they are known and fit the table.
func typedOr(text string, x float64) string {
	if text == "" || strings.ContainsAny(text, "eE+") {
		text = asTyped(x)
	}
	if len(text) > longestTyped {
		text = trimZeros(Significant(x, 6))
	}
	return text
}

// typedPlace is the decimal place of its last digit.
func typedPlace(text string, x float64) int {
	_, fraction, _ := strings.Cut(typedOr(text, x), ".")
	return -len(fraction)
}

// freedom writes degrees of freedom.
func freedom(dof int) string {
	if dof == 1 {
		return "1 degree of freedom"
	}
	return fmt.Sprintf("%d degrees of freedom", dof)
}

// decimals is the decimal place (as a power of ten, 0 at the highest) of the
// last digit of a number as people write it.
func decimals(x float64) int {
	_, fraction, _ := strings.Cut(asTyped(x), ".")
	return -len(fraction)
}

func allowedText(n Number, place int) string {
	v, ok := n.Get()
	if !ok {
		return ""
	}
	return toPlace(v, min(place, leadingPlace(v, 2)-1))
}

func twoDecimals(n Number) string {
	v, ok := n.Get()
	if !ok {
		return ""
	}
	return toPlace(v, -2)
}
