package reports

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"time"
)

// DriftAll is the drift of several meters, the most urgent first.
type DriftAll struct {
	Meters    List[*Drift]       `json:"meters"`
	Unchecked List[DriftWithout] `json:"unchecked"` // nothing is known of their drift
	Warnings  Warnings           `json:"warnings"`

	now time.Time
}

// DriftWithout is a meter of whose drift nothing is known.
type DriftWithout struct {
	Meter string `json:"meter"`
	Why   string `json:"why"`
}

// NewDriftAll sorts the meters: those outside tolerance first; then those overdue
// for a check, the longest first; then by the day of the next check, and by how
// likely they are within tolerance.
func NewDriftAll(now time.Time, meters []*Drift, unchecked []DriftWithout) *DriftAll {
	out := &DriftAll{Meters: slices.Clone(meters), Unchecked: unchecked, now: now}
	slices.SortStableFunc(out.Meters, func(a, b *Drift) int {
		return cmp.Or(cmp.Compare(a.failed(), b.failed()), compareOverdue(a.OverdueSince, b.OverdueSince), cmp.Compare(a.NextCheck, b.NextCheck), cmp.Compare(a.certainty(), b.certainty()))
	})
	for _, u := range unchecked {
		out.Warnings = append(out.Warnings, u.Meter+": "+u.Why)
	}
	for _, d := range out.Meters {
		for _, w := range d.Warnings {
			out.Warnings = append(out.Warnings, d.name()+": "+w)
		}
	}
	return out
}

// compareOverdue puts the day that is longer past first, and no such day last.
func compareOverdue(a, b *string) int {
	switch {
	case a == nil && b == nil:
		return 0
	case a == nil:
		return 1
	case b == nil:
		return -1
	}
	return cmp.Compare(*a, *b)
}

// failed is 0 for a meter outside tolerance and 1 for any other.
func (d *Drift) failed() int {
	if d.VerdictWord() == "fail" {
		return 0
	}
	return 1
}

// certainty is the probability of being within tolerance, 1 where nobody set
// one.
func (d *Drift) certainty() float64 {
	if p, known := d.PWithin.Get(); known {
		return p
	}
	return 1
}

// WarningList gives the warnings of all meters.
func (r *DriftAll) WarningList() []string { return r.Warnings }

// Verdicts gives the verdicts of all meters: the word "pass", or another with
// the meter it is about.
func (r *DriftAll) Verdicts() []string {
	var out []string
	for _, d := range r.Meters {
		switch word := d.VerdictWord(); word {
		case "pass":
			out = append(out, word)
		case "":
			out = append(out, "none ("+d.name()+" has no tolerance)")
		default:
			out = append(out, word+" ("+d.name()+")")
		}
	}
	for _, u := range r.Unchecked {
		out = append(out, "none ("+u.Meter+": "+u.Why+")")
	}
	return out
}

// Table writes one row for each meter, the most urgent first.
func (r *DriftAll) Table(w io.Writer, s Style) error {
	today := r.now.Format(dayFormat)
	if err := writeTitle(w, s, "Drift of all meters, "+today+", the most urgent first"); err != nil {
		return err
	}
	t := NewTable(Column{Name: "verdict", Text: true}, Column{Name: "meter", Text: true}, Column{Name: "error now"},
		Column{Name: "rate", Unit: "per 30 days"}, Column{Name: "due"}, Column{Name: "next check"})
	rest := r.Unchecked
	never := func() {
		for _, u := range rest {
			t.Row(s.Verdict(""), u.Meter, unknown, unknown, "-", today)
		}
		rest = nil
	}
	for _, d := range r.Meters {
		if d.failed() == 1 && d.NextCheck > today {
			never() // more urgent than those that still have time
		}
		due := "-"
		if d.Due != nil {
			due = *d.Due
		}
		next := d.NextCheck
		if d.OverdueSince != nil {
			next = "overdue"
		}
		t.Row(s.Verdict(d.VerdictWord()), d.name(), d.amount(d.ErrorNow, d.UError), d.amount(d.Rate, d.URate), due, next)
	}
	never()
	if err := t.Write(w, s); err != nil {
		return err
	}
	if err := r.writeOverdue(w, s); err != nil {
		return err
	}
	return r.writeAlarms(w, s)
}

// writeOverdue says since when meters have waited for a check, in the order of the
// table.
func (r *DriftAll) writeOverdue(w io.Writer, s Style) error {
	begun := false
	for _, d := range r.Meters {
		if d.OverdueSince == nil {
			continue
		}
		if !begun {
			begun = true
			if err := Heading(w, s, "Overdue: check today"); err != nil {
				return err
			}
		}
		if err := Paragraph(w, s, "- ", d.name()+" "+d.overdueText()); err != nil {
			return err
		}
	}
	return nil
}

func (r *DriftAll) writeAlarms(w io.Writer, s Style) error {
	begun := false
	for _, d := range r.Meters {
		for _, a := range d.Alarms {
			if !begun {
				begun = true
				if err := Heading(w, s, "Alarms"); err != nil {
					return err
				}
			}
			if err := Paragraph(w, s, "- ", fmt.Sprintf("%s, %s: %s (%s)", d.name(), a.Time[:len(dayFormat)], a.Text, a.Kind)); err != nil {
				return err
			}
		}
	}
	return nil
}
