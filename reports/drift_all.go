package reports

import (
	"fmt"
	"io"
	"slices"
	"strings"
)

// DriftAll is the drift of several meters, the most urgent first.
type DriftAll struct {
	Meters    List[*Drift] `json:"meters"`
	Unchecked List[string] `json:"unchecked"` // meters in use without a check on record
	Warnings  Warnings     `json:"warnings"`
}

// NewDriftAll sorts the meters: those outside tolerance, then by the day of
// the next check, then by how likely they are within.
func NewDriftAll(meters []*Drift, unchecked []string) *DriftAll {
	out := &DriftAll{Meters: slices.Clone(meters), Unchecked: unchecked}
	slices.SortStableFunc(out.Meters, func(a, b *Drift) int {
		if x, y := a.VerdictWord() == "fail", b.VerdictWord() == "fail"; x != y {
			if x {
				return -1
			}
			return 1
		}
		if c := strings.Compare(a.NextCheck, b.NextCheck); c != 0 {
			return c
		}
		x, _ := a.PWithin.Get()
		y, _ := b.PWithin.Get()
		switch {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	for _, name := range unchecked {
		out.Warnings = append(out.Warnings, name+": there is no check on record")
	}
	for _, d := range out.Meters {
		for _, w := range d.Warnings {
			out.Warnings = append(out.Warnings, d.name()+": "+w)
		}
	}
	return out
}

// WarningList gives the warnings of all meters.
func (r *DriftAll) WarningList() []string { return r.Warnings }

// Verdicts gives the verdicts of all meters; "" for one without.
func (r *DriftAll) Verdicts() []string {
	var out []string
	for _, d := range r.Meters {
		out = append(out, d.VerdictWord())
	}
	for range r.Unchecked {
		out = append(out, "")
	}
	return out
}

// Table writes one row for each meter, the most urgent first.
func (r *DriftAll) Table(w io.Writer, s Style) error {
	if err := writeTitle(w, s, "Drift of all meters, the most urgent first"); err != nil {
		return err
	}
	t := NewTable(Column{Name: "meter", Text: true}, Column{Name: "error now"}, Column{Name: "per 30 days"},
		Column{Name: "within", Unit: "now"}, Column{Name: "verdict", Text: true}, Column{Name: "due"}, Column{Name: "next check"})
	for _, d := range r.Meters {
		due := "-"
		if d.Due != nil {
			due = *d.Due
		}
		t.Row(d.name(), d.amount(d.ErrorNow, d.UError), d.amount(d.Rate, d.URate), probability(d.PWithin), s.Verdict(d.VerdictWord()), due, d.NextCheck)
	}
	for _, name := range r.Unchecked {
		t.Row(name, "", "", "", s.Verdict(""), "-", "now")
	}
	if err := t.Write(w, s); err != nil {
		return err
	}
	return r.writeAlarms(w, s)
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
