package reports

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/brinemark/brinemark/reports/page"
)

func inQuadrature(a, b float64) float64 { return math.Hypot(a, b) }

// compared is why the pens disagree, before and after the reading advised.
func (s *DemoStory) compared() []page.Block {
	blocks := []page.Block{section("Two pens disagree: which, and why?")}
	for _, p := range s.Compare.Pairs {
		blocks = append(blocks, page.Text{Text: fmt.Sprintf("%s shows %s times what %s shows. That they agree has a probability of %s.",
			page.Name(p.B), PlusMinus(numberOrZero(p.Ratio), p.URatio, ""), page.Name(p.A), probability(p.PAgree))})
	}
	blocks = append(blocks, causesTable("Causes after the first day", s.Compare), page.Text{Text: "Brinemark's advice: " + s.Compare.Next})
	blocks = append(blocks, causesTable("Causes after that reading", s.CompareAgain))
	if first, ok := firstCause(s.CompareAgain); ok {
		blocks = append(blocks, page.Notice{Mark: page.Good, Text: "Found: " + first.Text + " " + trust(s.CompareAgain)})
	}
	blocks = append(blocks, s.pictureOf("compare-cold-warm")...)
	return append(blocks, page.Text{Text: "So the old pen was cleaned, trimmed and read again: see the table of checks above."}, s.filesOf("compare", "compare-cold-warm"))
}

func trust(r *Compare) string {
	if r.Trust == nil {
		return "Neither meter is to be trusted more than the other."
	}
	return "Trust: " + page.Name(*r.Trust) + "."
}

func causesTable(caption string, r *Compare) page.Table {
	t := page.Table{Caption: caption, Columns: []page.Column{{Name: "cause"}, {Name: "of"}, {Name: "probability", Number: true}}}
	same := func(name string) string { return name }
	for i, c := range r.Causes {
		if i == 0 || c.Probability >= leastShown {
			t.Row(c.Cause, page.Name(c.whose(same)), probability(Known(c.Probability)))
		}
	}
	return t
}

// drifted is how the probe's error moved.
func (s *DemoStory) drifted() []page.Block {
	d := s.Drift
	t := page.Table{Caption: "Checks of " + d.name(), Columns: []page.Column{
		{Name: "day"}, {Name: "state"}, {Name: "verdict"}, {Name: "worst error", Number: true}, {Name: "put right by", Number: true},
	}}
	for _, c := range s.Probe {
		t.Rows = append(t.Rows, c.checkRow()[1:])
		if c.AsLeft != nil {
			t.Rows = append(t.Rows, c.AsLeft.checkRow()[1:])
		}
	}
	facts := page.Facts{}
	facts.Add("error on "+day(d.Now), d.amount(d.ErrorNow, d.UError))
	facts.Add("moves by", d.amount(d.Rate, d.URate)+" in 30 days")
	facts.Add("within tolerance now", probability(d.PWithin))
	if d.Due != nil {
		facts.Add("due", *d.Due+": from then on the risk of being outside exceeds "+d.riskText())
	}
	facts.Add("next check", d.NextCheck)
	blocks := []page.Block{section("The probe in the tub drifts"),
		page.Text{Text: "It hangs in nutrient, and a film grows on it. Every other week it was read in the bottles; when it had come near its tolerance it was cleaned and adjusted, and read again."}, t}
	blocks = append(blocks, s.pictureOf("drift")...)
	return append(blocks, facts, page.Text{Text: begunLarge(d.Why)}, s.filesOf("drift"))
}

// corrected is the log, and what was found in it.
func (s *DemoStory) corrected() []page.Block {
	blocks := []page.Block{section("The log of the tub, put right"),
		page.Text{Text: "Every row was corrected by the calibrations of its own time, as left before and as found after, brought to 25 °C by the water's temperature, and flagged where it must not be believed."}}
	for _, c := range s.Log.Columns {
		facts := page.Facts{}
		facts.Add("rows", fmt.Sprintf("%d, of which %d can be believed", c.Rows, c.Corrected))
		for _, flag := range sortedKeys(c.Flagged) {
			facts.Add("flagged "+flag, fmt.Sprint(c.Flagged[flag]))
		}
		unit := wordOrEmpty(c.WrittenUnit)
		if l := c.Largest; l != nil {
			facts.Add("largest correction", fmt.Sprintf("it showed %s; at 25 °C it was %s", shortFigure(l.Reading), PlusMinus(l.Corrected, l.UCorrected, unit)))
		}
		blocks = append(blocks, facts)
	}
	blocks = append(blocks, s.pictureOf("correct")...)
	if events := s.events(); events != nil {
		blocks = append(blocks, *events)
	}
	return append(blocks,
		page.Notice{Mark: page.Good, Text: fmt.Sprintf("Since this tub is invented, its truth is known. As the probe showed it (brought to 25 °C) the log was off by %s; corrected it is off by %s: %s times nearer. In %s of the rows the truth lies within twice the uncertainty given.",
			Percent(s.Near.Raw, 2), Percent(s.Near.Corrected, 2), Significant(s.Near.Raw/s.Near.Corrected, 2), Percent(s.Near.Covered, 3))},
		page.Text{Text: fmt.Sprintf("The same calibration as a header for a microcontroller is in %s: %s × reading %s, in the unit of the readings.", s.ConstantsFile,
			Significant(s.Constants.Slope, 5), plusConstant(s.Constants.Intercept))},
		s.filesOf("correct", "constants", "constants-c"),
	)
}

func plusConstant(x float64) string {
	if x < 0 {
		return "− " + Significant(-x, 3)
	}
	return "+ " + Significant(x, 3)
}

func sortedKeys(m map[string]int64) []string {
	list := make([]string, 0, len(m))
	for k, n := range m {
		if n > 0 {
			list = append(list, k)
		}
	}
	slices.Sort(list)
	return list
}

// events is what was found in the log: start, kind and words of the file's rows.
func (s *DemoStory) events() *page.Table {
	if len(s.LogTable.Rows) < 2 {
		return nil
	}
	t := &page.Table{Caption: "What happened to the tub, found in its log", Columns: []page.Column{{Name: "from, UTC"}, {Name: "to, UTC"}, {Name: "kind"}, {Name: "what"}}}
	place := map[string]int{}
	for i, name := range s.LogTable.Rows[0] {
		place[name] = i
	}
	for _, row := range s.LogTable.Rows[1:] {
		cell := func(name string) string { return row[place[name]] }
		clock := func(stamp string) string {
			return strings.TrimSuffix(strings.TrimSuffix(strings.Replace(stamp, "T", " ", 1), "Z"), ":00")
		}
		t.Row(clock(cell("start")), clock(cell("end")), cell("kind"), page.Name(cell("what")))
	}
	return t
}

// next is what remains to be done.
func (s *DemoStory) next() []page.Block {
	t := page.Table{Caption: "When to check again, the most urgent first", Columns: []page.Column{
		{Name: "meter"}, {Name: "verdict"}, {Name: "next check"}, {Name: "error now", Number: true},
	}}
	for _, d := range s.All.Meters {
		row := page.Cells(page.Name(d.name()), "", d.NextCheck, d.amount(d.ErrorNow, d.UError))
		row[1] = page.Cell{Text: d.VerdictWord(), Mark: page.Verdict(d.VerdictWord())}
		t.Rows = append(t.Rows, row)
	}
	items := []string{begunLarge(s.Drift.Why)}
	names := map[string][]string{} // by the day until which they are good
	for _, b := range s.Bottles {
		until := wordOrEmpty(b.BestBefore)
		names[until] = append(names[until], page.Name(wordOrEmpty(b.ID)))
	}
	for _, until := range slices.Sorted(maps.Keys(names)) {
		items = append(items, fmt.Sprintf("Bottles %s are good until %s: make fresh ones before a later check.", strings.Join(names[until], ", "), until))
	}
	for _, w := range s.Drift.Warnings {
		items = append(items, begunLarge(w))
	}
	return []page.Block{section("What to do next"), t, page.List{Items: items}, s.filesOf("drift-all")}
}

// begunLarge is a text of the results, which begin small, as a sentence.
func begunLarge(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + strings.TrimSuffix(text[size:], ".") + "."
}
