package reports

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/reports/page"
)

// mostEarlier is how many earlier readings a page lists; JSON has all.
const mostEarlier = 300

// results are the calibrations: the latest in full, then all of them, then the
// readings of the earlier ones.
func (b *pageBuilder) results(r *Report) {
	b.section("Results, with their uncertainty", "7.8.2.1 m, 7.8.4.1 a")
	n := len(r.Calibrations)
	if n == 0 {
		b.add(page.Text{Text: "There are none: the meter was not held against a reference yet."})
		b.comparisons(r)
		return
	}
	last := r.Calibrations[n-1]
	b.add(page.Heading{Level: 3, Text: "Latest calibration, " + day(last.Time) + ", " + last.stateText()})
	beside := n > 1 && n <= mostBeside // the picture stands beside the table of all
	if beside {
		b.add(last.facts())
	} else {
		b.calibrationChart(last, last.facts())
	}
	b.add(readingsTable("Its readings", r.Calibrations[n-1:], 0))
	if n > 1 {
		b.add(page.Heading{Level: 3, Text: "All calibrations"})
	}
	list := append([]page.Block{calibrationsTable(r.Calibrations)}, calibrationNotes(r.Calibrations)...)
	switch {
	case beside:
		b.calibrationChart(last, list...)
	case n > 1:
		b.add(list...)
	}
	b.comparisons(r)
	if n == 1 {
		return
	}
	b.add(page.Heading{Level: 3, Text: "Earlier readings"})
	total := 0
	for _, c := range r.Calibrations[:n-1] {
		total += len(c.Readings)
	}
	left := max(0, total-mostEarlier)
	b.add(readingsTable("Readings of earlier calibrations", r.Calibrations[:n-1], left))
	if left > 0 {
		b.add(page.Text{Text: fmt.Sprintf("The last %d of %d; the JSON of this report has all.", mostEarlier, total)})
	}
}

// mostBeside is how many calibrations a table lists that a picture stands beside.
const mostBeside = 14

// calibrationChart adds blocks with the picture of a calibration, if there is one.
func (b *pageBuilder) calibrationChart(c ReportCalibration, blocks ...page.Block) {
	if c.printed == nil {
		b.add(blocks...)
		return
	}
	b.chart(c.printed.Chart(), "Above the line through the readings of the references, with its 95 % band; below what it leaves over.", blocks...)
}

// stateText says when a calibration was made.
func (c ReportCalibration) stateText() string {
	if c.State == "as-left" {
		return "as left, after an adjustment"
	}
	return "as found"
}

// facts are the line and what it is worth.
func (c ReportCalibration) facts() page.Facts {
	unit := wordOrEmpty(c.Unit)
	slope, uSlope := Round(c.Slope, c.USlope)
	var f page.Facts
	f.Add("time", minute(c.Time)+" UTC")
	f.Add("line", fmt.Sprintf("corrected = %s × reading %s", Significant(c.Slope, 6), signedTerm(c.Intercept)))
	f.Add("slope", slope+uText(uSlope))
	if c.Method != "gain" {
		f.Add("intercept", PlusMinus(c.Intercept, c.UIntercept, unit))
	}
	for _, at := range c.At {
		text := PlusMinus(at.Corrected, at.UCorrected, unit)
		low, known := at.Low.Get()
		if high, ok := at.High.Get(); ok && known {
			l, _ := Round(low, at.UCorrected)
			h, _ := Round(high, at.UCorrected)
			text += fmt.Sprintf(" (95 %%: %s to %s)", l, h)
		}
		f.Add("a reading of "+asTyped(at.Reading)+" stands for", text)
	}
	f.Add("uncertainty", basisWords[c.UBasis])
	if c.WorstError.IsKnown() {
		f.Add("largest error", c.worstSeen(true)+toleranceOf(c))
	}
	if c.Verdict != nil {
		text := *c.Verdict
		f.List = append(f.List, page.Fact{Name: "verdict then", Value: page.Cell{Text: text, Mark: page.Verdict(text)}})
	}
	if c.Note != nil {
		f.Add("note", page.Name(*c.Note))
	}
	f.Add("on record", "as "+page.Name(c.ID))
	return f
}

func toleranceOf(c ReportCalibration) string {
	x, known := c.Tolerance.Get()
	switch {
	case !known:
		return ""
	case c.Relative:
		return ", of ± " + asTyped(100*x) + " % allowed"
	}
	return ", of ± " + asTyped(x) + " allowed"
}

// basisWords say what the uncertainty of a line rests on.
var basisWords = map[string]string{
	"stated": "from the stated uncertainties of references and readings", "scatter": "from the scatter of the points about the line",
	"none": "unknown: neither stated nor to be had from the points",
}

// signedTerm is a number added to what stands before it.
func signedTerm(x float64) string {
	if x < 0 {
		return "- " + Significant(-x, 4)
	}
	return "+ " + Significant(x, 4)
}

func uText(size string) string {
	switch size {
	case unknown:
		return " (uncertainty unknown)"
	case "0":
		return " (exact)"
	}
	return " ± " + size
}

// readingsTable lists the readings of calibrations, without the first of them.
func readingsTable(caption string, list []ReportCalibration, without int) page.Table {
	unit := commonUnit(list)
	several := len(list) > 1
	t := page.Table{Caption: caption + " (error: reading - reference; ± is k = 1)", Columns: []page.Column{
		{Name: "bottle"}, {Name: "reference", Unit: unit, Number: true}, {Name: "reading", Unit: unit, Number: true},
		{Name: "error", Unit: unit, Number: true}, {Name: "corrected", Unit: unit, Number: true}, {Name: "at", Unit: "C", Number: true},
	}}
	if several {
		t.Columns = append([]page.Column{{Name: "day", Whole: true}}, t.Columns...)
	}
	for _, c := range list {
		own := ""
		if u := wordOrEmpty(c.Unit); u != unit && u != "" {
			own = " " + u
		}
		for _, p := range c.Readings {
			if without > 0 {
				without--
				continue
			}
			what := wordOrEmpty(p.Bottle)
			if what == "" {
				what = wordOrEmpty(p.RefSource)
			}
			if what == "" {
				what = "not named"
			}
			temp := ""
			if x, ok := p.TempC.Get(); ok {
				temp = asTyped(x)
			}
			corrected, _ := Round(p.Corrected, p.URef)
			row := []string{page.Name(what), pm(p.Ref, p.URef) + own, pm(p.Reading, p.UReading) + own, signed(p.Error, p.UError) + own, corrected + own, temp}
			if several {
				row = append([]string{dayAndState(day(p.Time), c.State)}, row...)
			}
			t.Row(row...)
		}
	}
	return t
}

// pm is a value with its uncertainty, without a unit.
func pm(x float64, u Number) string {
	value, size := Round(x, u)
	switch size {
	case unknown:
		return trimZeros(Significant(x, 6)) + " ± ?"
	case "0":
		return value
	}
	return value + " ± " + size
}

// signed is pm with the sign of an error.
func signed(x float64, u Number) string {
	text := pm(x, u)
	if x > 0 && strings.Trim(strings.SplitN(text, " ", 2)[0], "0.") != "" {
		return "+" + text
	}
	return text
}

// commonUnit is the unit of all calibrations, the latest's where they differ.
func commonUnit(list []ReportCalibration) string {
	if len(list) == 0 {
		return ""
	}
	return wordOrEmpty(list[len(list)-1].Unit)
}

// calibrationNotes are what somebody wrote of calibrations; no block without any.
func calibrationNotes(list []ReportCalibration) []page.Block {
	var notes page.List
	for _, c := range list {
		if c.Note != nil {
			notes.Items = append(notes.Items, dayAndState(day(c.Time), c.State)+": "+page.Name(*c.Note))
		}
	}
	if len(notes.Items) == 0 {
		return nil
	}
	return []page.Block{notes}
}

// calibrationsTable lists calibrations in few columns, so that a picture has room
// beside it.
func calibrationsTable(list []ReportCalibration) page.Table {
	unit := commonUnit(list)
	t := page.Table{Caption: "Calibrations by time (± is k = 1)", Columns: []page.Column{
		{Name: "day", Whole: true}, {Name: "slope", Number: true}, {Name: "intercept", Unit: unit, Number: true},
		{Name: "largest error", Number: true}, {Name: "verdict"},
	}}
	for _, c := range list {
		slope, uSlope := Round(c.Slope, c.USlope)
		if uSlope != unknown && uSlope != "0" {
			slope += " ± " + uSlope
		}
		intercept := pm(c.Intercept, c.UIntercept)
		if c.Method == "gain" {
			intercept = "none"
		}
		if u := wordOrEmpty(c.Unit); u != unit && u != "" {
			intercept += " " + u
		}
		cells := page.Cells(dayAndState(day(c.Time), c.State), slope, intercept, c.worstSeen(false), wordOrEmpty(c.Verdict))
		cells[4].Mark = page.Verdict(cells[4].Text)
		t.Rows = append(t.Rows, cells)
	}
	return t
}

// dayAndState is the day of readings, with the words for those after an adjustment.
func dayAndState(day, state string) string {
	if state == "as-left" {
		return day + " left"
	}
	return day
}

func (b *pageBuilder) comparisons(r *Report) {
	if len(r.Comparisons) == 0 {
		return
	}
	t := page.Table{Caption: "Comparisons with other meters (the error against references, where there were some)", Columns: []page.Column{
		{Name: "time", Unit: "UTC", Whole: true}, {Name: "with"}, {Name: "largest error", Number: true}, {Name: "verdict"}, {Name: "note"}}}
	for _, c := range r.Comparisons {
		cells := page.Cells(minute(c.Time), page.Name(strings.Join(c.With, ", ")), errorText(c.WorstError, c.Relative), wordOrEmpty(c.Verdict), page.Name(wordOrEmpty(c.Note)))
		cells[3].Mark = page.Verdict(cells[3].Text)
		t.Rows = append(t.Rows, cells)
	}
	b.add(page.Heading{Level: 3, Text: "Comparisons"}, t)
}
