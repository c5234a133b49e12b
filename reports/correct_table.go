package reports

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/tempcomp"
)

// Table writes the summary for people.
func (r *Correction) Table(w io.Writer, s Style) error {
	title := fmt.Sprintf("%s: %s", r.Log, plural(r.Rows, "row", "rows"))
	if r.First != nil {
		title += fmt.Sprintf(", %s to %s", r.minute(r.firstTime()), r.minute(r.lastTime()))
	}
	if _, err := io.WriteString(w, s.Bold(s.cleanLine(title))+"\n"); err != nil {
		return err
	}
	t := NewTable(Column{Name: "column", Text: true}, Column{Name: "rows"}, Column{Name: "believed"}, Column{Name: "flagged", Text: true})
	for _, c := range r.Columns {
		t.Row(c.Column, strconv.FormatInt(c.Rows, 10), strconv.FormatInt(c.Corrected, 10), c.flaggedText())
	}
	if err := t.Write(w, s); err != nil {
		return err
	}
	for _, c := range r.Columns {
		if c.Largest == nil {
			continue
		}
		if err := Paragraph(w, s, s.cleanLine(c.Column)+": ", r.truth(c)); err != nil {
			return err
		}
	}
	return r.writeStretches(w, s)
}

func (r *Correction) minute(t time.Time) string { return t.In(r.zone).Format("2006-01-02 15:04") }

func (r *Correction) firstTime() time.Time { return parsed(r.First) }
func (r *Correction) lastTime() time.Time  { return parsed(r.Last) }

// parsed is a time that stamp wrote.
func parsed(stamp *string) time.Time {
	t, _ := time.Parse(time.RFC3339, wordOrEmpty(stamp)) // cannot fail
	return t
}

// flaggedText lists the flags with their rows.
func (c CorrectionOfColumn) flaggedText() string {
	var parts []string
	for _, f := range series.Flags() {
		if n := c.Flagged[f.String()]; n > 0 {
			parts = append(parts, fmt.Sprintf("%s %d", f, n))
		}
	}
	return strings.Join(parts, ", ")
}

// truth says in a grower's words what the readings had claimed, in the unit of
// the display and to the digits that the uncertainty bears.
func (r *Correction) truth(c CorrectionOfColumn) string {
	where, who := "the tub", "the meter"
	switch c.kind {
	case check.EC, check.PH:
		who = "the pen"
	case check.Temperature, check.Oxygen:
		who = "the probe"
	case check.Humidity, check.CO2:
		where, who = "the air", "the probe"
	case "", check.Other:
		where = "the truth"
	}
	size, known := c.Largest.UCorrected.Get()
	place := leadingPlace(c.Largest.Corrected, unknownDigits) - (unknownDigits - 1)
	if known && size > 0 {
		place = leadingPlace(size, uncertaintyDigits) - (uncertaintyDigits - 1)
	}
	unit := c.unitWord()
	with := func(x float64) string {
		if unit == "pH" {
			return "pH " + toPlace(x, place)
		}
		return strings.TrimSpace(toPlace(x, place) + " " + unit)
	}
	reading, _ := c.MeanReading.Get()
	corrected, _ := c.MeanCorrected.Get()
	text := fmt.Sprintf("on average %s was at %s when %s said %s; the largest correction: at %s when it said %s, %s",
		where, with(corrected), who, toPlace(reading, place), with(c.Largest.Corrected), toPlace(c.Largest.Reading, place), r.minute(c.Largest.at))
	if c.compensated {
		text += fmt.Sprintf(" (both as the meter compensates; %s%s is compensated as above)", c.Column, series.CorrectedEnding)
	}
	return text
}

// unitWord is the unit of the readings as one says it.
func (c CorrectionOfColumn) unitWord() string {
	unit := wordOrEmpty(c.Unit)
	if word, _, ok := strings.Cut(unit, "@"); ok && word == tempcomp.PPMUnit {
		return word
	}
	return unit
}

// fewStretches is how many stretches of a column are shown.
const fewStretches = 5

// writeStretches lists the longest stretches that must not be believed.
func (r *Correction) writeStretches(w io.Writer, s Style) error {
	t := NewTable(Column{Name: "column", Text: true}, Column{Name: "from"}, Column{Name: "to"}, Column{Name: "flag", Text: true}, Column{Name: "rows"})
	left, shown := int64(0), 0
	for _, c := range r.Columns {
		longest := slices.Clone(c.Stretches)
		slices.SortStableFunc(longest, func(a, b Stretch) int { return cmp.Compare(b.Rows, a.Rows) })
		longest = longest[:min(len(longest), fewStretches)]
		slices.SortStableFunc(longest, func(a, b Stretch) int { return a.from.Compare(b.from) })
		for _, x := range longest {
			t.Row(c.Column, r.minute(x.from), r.minute(x.to), x.Flag, strconv.FormatInt(x.Rows, 10))
		}
		left, shown = left+c.Runs-int64(len(longest)), shown+len(longest)
	}
	if shown == 0 {
		return nil
	}
	if err := Heading(w, s, "Not to be believed, the longest stretches"); err != nil {
		return err
	}
	if err := t.Write(w, s); err != nil {
		return err
	}
	if left == 0 {
		return nil
	}
	_, err := fmt.Fprintf(w, "and %s\n", plural(left, "shorter one", "shorter ones"))
	return err
}
