package reports

import (
	"strings"

	"github.com/brinemark/brinemark/reports/page"
)

// adjustments are the meter before and after.
func (b *pageBuilder) adjustments(r *Report) {
	b.section("Before and after adjustment", "7.8.4.1 d")
	if len(r.Adjustments) == 0 {
		b.add(page.Text{Text: "No adjustment with readings after it is on record."})
	} else {
		t := page.Table{Caption: "Results before and after (the largest error)", Columns: []page.Column{
			{Name: "day", Whole: true}, {Name: "error as found", Number: true}, {Name: "verdict as found"}, {Name: "done"},
			{Name: "error as left", Number: true}, {Name: "verdict as left"}}}
		for _, a := range r.Adjustments {
			found, left := "not on record", a.left.worstSeen(false)
			if a.Before != nil {
				found = a.found.worstSeen(false)
			}
			done := strings.Join(a.Events, ", ")
			if done == "" {
				done = "adjusted"
			}
			cells := page.Cells(day(a.Time), found, wordOrEmpty(a.FoundIs), done, left, wordOrEmpty(a.LeftIs))
			cells[2].Mark, cells[5].Mark = page.Verdict(cells[2].Text), page.Verdict(cells[5].Text)
			t.Rows = append(t.Rows, cells)
		}
		b.add(t)
	}
	if len(r.Events) == 0 {
		return
	}
	t := page.Table{Caption: "What was done to the meter", Columns: []page.Column{{Name: "time", Unit: "UTC", Whole: true}, {Name: "event"}, {Name: "note"}}}
	for _, e := range r.Events {
		t.Row(minute(e.Time), e.Event, page.Name(wordOrEmpty(e.Note)))
	}
	b.add(t)
}
