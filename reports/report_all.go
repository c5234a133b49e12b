package reports

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/brinemark/brinemark/reports/page"
)

// ReportAll is the whole record at a glance: each meter with its state.
type ReportAll struct {
	Issued    string                `json:"issued"`
	Statement string                `json:"statement"`
	Meters    List[ReportAllMeter]  `json:"meters"`
	Bottles   List[ReportAllBottle] `json:"bottles"`
	Warnings  Warnings              `json:"warnings"`
}

// ReportAllMeter is a meter with its state.
type ReportAllMeter struct {
	Meter     string  `json:"meter"`
	Quantity  string  `json:"quantity"`
	State     string  `json:"state"`
	StateText string  `json:"state_text"`
	Verdict   *string `json:"verdict"`
	LastCheck *string `json:"last_check"`
	Due       *string `json:"due"`
	NextCheck *string `json:"next_check"`
	Overdue   *string `json:"overdue_since"`
	Report    string  `json:"report"`
	File      *string `json:"file"` // beside the index; null where none was written

	seen *ReportSight
}

// ReportAllBottle is a bottle on record.
type ReportAllBottle struct {
	BottleEntry
	Past bool `json:"past_date"`
}

// NewReportAll makes the index; files are the names of the reports' own pages,
// nil where none are written. later are the bottles that are left out, since they
// are of a later day.
func NewReportAll(meters []*Report, files []string, bottles *BottleList, later []string, at time.Time) *ReportAll {
	out := &ReportAll{Issued: at.Format(dayFormat), Statement: reportStatement}
	for i, r := range meters {
		m := ReportAllMeter{Meter: r.Meter, Quantity: r.Description.Quantity, State: r.State, StateText: r.StateText,
			Verdict: r.Verdict, Due: r.Due, NextCheck: r.NextCheck, Overdue: r.OverdueSince, Report: r.ID, seen: r.LastSeen}
		if n := len(r.Calibrations); n > 0 {
			m.LastCheck = wordOrNull(day(r.Calibrations[n-1].Time))
		}
		if files != nil {
			m.File = &files[i]
		}
		out.Meters = append(out.Meters, m)
	}
	slices.SortStableFunc(out.Meters, func(a, b ReportAllMeter) int {
		return cmp.Or(cmp.Compare(urgency(a), urgency(b)), compareOverdue(a.Overdue, b.Overdue), compareText(wordOrEmpty(a.NextCheck), wordOrEmpty(b.NextCheck)))
	})
	for _, b := range bottles.Bottles {
		past := b.BestBefore != nil && out.Issued > *b.BestBefore
		out.Bottles = append(out.Bottles, ReportAllBottle{b, past})
	}
	out.Warnings = bottles.Warnings
	for _, r := range meters {
		for _, id := range r.later { // a comparison is of several meters
			if !slices.Contains(later, id) {
				later = append(later, id)
			}
		}
	}
	if len(later) > 0 {
		out.Warnings = append(out.Warnings, leftOutLater(later, out.Issued))
	}
	return out
}

// urgency orders the states, the most urgent first.
func urgency(m ReportAllMeter) int {
	return slices.Index([]string{"fail", "undecided", stateNotChecked, stateNoTolerance, "pass", stateOutOfUse}, m.State)
}

// WarningList gives the warnings.
func (r *ReportAll) WarningList() []string { return r.Warnings }

// Verdicts are those of the meters that have one.
func (r *ReportAll) Verdicts() []string {
	var out []string
	for _, m := range r.Meters {
		if m.State != stateOutOfUse {
			out = append(out, wordOrEmpty(m.Verdict))
		}
	}
	return out
}

// Page is the index as a page.
func (r *ReportAll) Page() *page.Page {
	p := &page.Page{Title: "The record of " + r.Issued, Lead: r.lead()}
	p.Blocks = append(p.Blocks, page.Notice{Text: r.Statement}, page.Heading{Level: 2, Text: "Meters"})
	if len(r.Meters) == 0 {
		p.Blocks = append(p.Blocks, page.Text{Text: "There is no meter on record yet."})
	} else {
		t := page.Table{Caption: "Meters, the most urgent first", Columns: []page.Column{
			{Name: "meter"}, {Name: "measures"}, {Name: "state today"}, {Name: "last check", Whole: true}, {Name: "next check"}, {Name: "due", Whole: true}}}
		words := page.List{}
		for _, m := range r.Meters {
			link := wordOrEmpty(m.File)
			next := page.Cell{Text: wordOrEmpty(m.NextCheck)}
			if m.Overdue != nil {
				next = page.Cell{Text: "overdue since " + dayInWords(*m.Overdue), Mark: page.Overdue}
			}
			t.Rows = append(t.Rows, []page.Cell{
				{Text: page.Name(m.Meter), Link: link}, {Text: quantityWords(m.Quantity)}, stateCell(m.State, m.seen),
				{Text: cmp.Or(wordOrEmpty(m.LastCheck), "never")}, next, {Text: wordOrEmpty(m.Due)}})
			words.Items = append(words.Items, page.Name(m.Meter)+": "+m.StateText)
		}
		p.Blocks = append(p.Blocks, t, page.Heading{Level: 3, Text: "In words"}, words)
	}
	p.Blocks = append(p.Blocks, page.Heading{Level: 2, Text: "Bottles"})
	if len(r.Bottles) == 0 {
		p.Blocks = append(p.Blocks, page.Text{Text: "There is no bottle on record yet."})
	} else {
		t := page.Table{Caption: "Bottles (± is k = 1)", Columns: []page.Column{
			{Name: "bottle"}, {Name: "content"}, {Name: "truly has", Unit: "at 25 C", Number: true}, {Name: "made", Whole: true}, {Name: "good until", Whole: true}}}
		for _, b := range r.Bottles {
			until := page.Cell{Text: wordOrEmpty(b.BestBefore)}
			if b.Past {
				until = page.Cell{Text: until.Text + " (past)", Mark: page.Overdue}
			}
			t.Rows = append(t.Rows, append(page.Cells(page.Name(b.Bottle), page.Name(b.what()), b.worth(), wordOrEmpty(b.MadeOn)), until))
		}
		p.Blocks = append(p.Blocks, t)
	}
	return p
}

// lead counts the states.
func (r *ReportAll) lead() string {
	count := map[string]int{}
	for _, m := range r.Meters {
		count[m.State]++
	}
	text := plural(int64(len(r.Meters)), "meter", "meters") + " on record"
	sep := ": "
	for _, state := range []string{"pass", "fail", "undecided", stateNoTolerance, stateNotChecked, stateOutOfUse} {
		if n := count[state]; n > 0 {
			text += fmt.Sprintf("%s%d %s", sep, n, stateWord(state))
			sep = ", "
		}
	}
	return text + "."
}

// HTML writes the index as one self-contained page.
func (r *ReportAll) HTML(w io.Writer) error { return r.Page().HTML(w) }

// Markdown writes the index as Markdown.
func (r *ReportAll) Markdown(w io.Writer) error { return r.Page().Markdown(w) }

// JSON writes the index as one JSON object.
func (r *ReportAll) JSON(w io.Writer) error { return WriteJSON(w, r) }

// Table writes the index for people, on a screen.
func (r *ReportAll) Table(w io.Writer, s Style) error { return writePage(w, s, r.Page()) }
