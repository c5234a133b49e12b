package reports

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"
)

// Table writes the drift for people.
func (d *Drift) Table(w io.Writer, s Style) error {
	if err := writeTitle(w, s, "Drift of "+d.name()+", "+d.Now[:len(dayFormat)]); err != nil {
		return err
	}
	for _, write := range []func(io.Writer, Style) error{d.writeFigures, d.writeChart, d.writeAlarms, d.writeChecks} {
		if err := write(w, s); err != nil {
			return err
		}
	}
	if err := Heading(w, s, "Next"); err != nil {
		return err
	}
	return Paragraph(w, s, "", sentence(d.Why))
}

// sentence begins with a capital letter and ends with a full stop.
func sentence(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

func (d *Drift) writeFigures(w io.Writer, s Style) error {
	var f Fields
	if d.Tolerance.IsKnown() {
		f.Add("verdict", s.Verdict(wordOrEmpty(d.Verdict))+d.bottleText()+d.unsettledText())
	}
	where := ""
	if d.Zero != nil {
		where = " (at " + d.refText() + ", the worst of the references)"
	}
	f.Add("error now", d.amount(d.ErrorNow, d.UError)+where)
	f.Add("rate", d.amount(d.Rate, d.URate)+" per 30 days")
	if d.Zero != nil {
		f.Add("zero error", d.part(d.Zero, false))
		f.Add("gain error", d.part(d.Gain, true))
	}
	if d.Tolerance.IsKnown() {
		f.Add("tolerance", d.toleranceText())
		f.Add("within now", probability(d.PWithin))
		f.Add("due", d.dueText())
	}
	f.Add("next check", d.NextCheck)
	if d.OverdueSince != nil {
		f.Add("overdue", d.overdueText())
	}
	return f.Write(w, s)
}

// bottleText says why a meter that seems to be outside is not said to be.
func (d *Drift) bottleText() string {
	if p, _ := d.PWithin.Get(); d.Bottle == nil || d.VerdictWord() != "undecided" || p > 0.05 {
		return ""
	}
	if strings.Contains(*d.Bottle, ", ") {
		return ": it may be the ageing of the bottles (" + *d.Bottle + "); check with a fresh one"
	}
	return ": it may be the bottle's (" + *d.Bottle + ") ageing; check with a fresh one"
}

// unsettledText says why a meter that seems to be within is not said to be.
func (d *Drift) unsettledText() string {
	if !d.Unsettled {
		return ""
	}
	return ": the last check is outside tolerance and does not fit; repeat it with another bottle"
}

// overdueText says since when a check was due, and for how long.
func (d *Drift) overdueText() string {
	text := "since " + dayInWords(*d.OverdueSince)
	since, errSince := time.Parse(dayFormat, *d.OverdueSince)
	now, errNow := time.Parse(dayFormat, d.Now[:min(len(dayFormat), len(d.Now))])
	if errSince == nil && errNow == nil {
		text += " (" + plural(int64(now.Sub(since).Hours()/24), "day", "days") + ")"
	}
	return text
}

// refText is the reference at which the error is given, rounded by its own
// uncertainty, or by that of its check.
func (d *Drift) refText() string {
	if d.refU.IsKnown() {
		return rounded(d.Ref, d.refU)
	}
	for i := range d.Checks {
		if d.Checks[i].Ref == d.Ref {
			return d.refOf(&d.Checks[i])
		}
	}
	return trimZeros(Significant(d.Ref, 5))
}

// refOf is the reference of a check, rounded by the check's uncertainty.
func (d *Drift) refOf(c *DriftCheck) string {
	u := math.Hypot(c.U, c.UShared)
	if d.Relative {
		u *= math.Abs(c.Ref)
	}
	return rounded(c.Ref, Known(u))
}

// rounded is a value rounded by an uncertainty that is not shown.
func rounded(x float64, u Number) string {
	text, size := Round(x, u)
	if size == "0" || size == unknown {
		return trimZeros(Significant(x, 5))
	}
	return text
}

func (d *Drift) toleranceText() string {
	t, _ := d.Tolerance.Get()
	if d.ToleranceRelative {
		return trimZeros(Significant(100*t, 4)) + " %"
	}
	return trimZeros(Significant(t, 4)) + d.unitText()
}

// riskText is the risk accepted.
func (d *Drift) riskText() string { return trimZeros(Significant(100*d.Risk, 3)) + " %" }

func (d *Drift) dueText() string {
	risk := d.riskText()
	if d.Due == nil {
		return "not within five years (risk " + risk + ")"
	}
	if *d.Due <= d.Now[:len(dayFormat)] {
		return *d.Due + ": the risk of being outside exceeds " + risk + " already"
	}
	return *d.Due + ": from then on the risk of being outside exceeds " + risk
}

// part writes the zero or the gain error. One of them is in the unit of the
// readings, the other a fraction.
func (d *Drift) part(c *DriftComponent, fraction bool) string {
	unit, scale := d.unitText(), 1.0
	if fraction {
		unit, scale = " %", 100
	}
	return plusMinus(c.Now*scale, c.UNow*scale) + unit + ", " + plusMinus(c.Rate*scale, c.URate*scale) + unit + " per 30 days"
}

// amount writes an error with its uncertainty.
func (d *Drift) amount(x, u float64) string {
	if d.Relative {
		return plusMinus(100*x, 100*u) + " %"
	}
	return plusMinus(x, u) + d.unitText()
}

// unitText is the unit of readings behind a figure in it, where it is known.
func (d *Drift) unitText() string {
	if d.Unit == nil {
		return ""
	}
	return " " + *d.Unit
}

// plusMinus writes an error with its sign and its uncertainty.
func plusMinus(x, u float64) string {
	value, size := Round(x, Known(u))
	if strings.Trim(value, "0.") != "" { // what is rounded to nothing has no sign
		value = plus(x, value)
	}
	return value + " ± " + size
}

func (d *Drift) writeAlarms(w io.Writer, s Style) error {
	if len(d.Alarms) == 0 {
		return nil
	}
	if err := Heading(w, s, "Alarms"); err != nil {
		return err
	}
	for _, a := range d.Alarms {
		if err := Paragraph(w, s, a.Time[:len(dayFormat)]+"  ", a.Text+" ("+a.Kind+")"); err != nil {
			return err
		}
	}
	return nil
}

// likelyWrong is the probability from which a check is shown as one that hardly
// counts, or a step as one that happened.
const likelyWrong = 0.5

// mostChecks is how many checks a table for people lists.
const mostChecks = 12

func (d *Drift) writeChecks(w io.Writer, s Style) error {
	title := "Checks"
	checks := d.Checks
	if len(checks) > mostChecks {
		checks = checks[len(checks)-mostChecks:]
		title = fmt.Sprintf("The last %d of %d checks", mostChecks, d.N)
	}
	words := " (error: reading - reference)"
	if d.Pair != nil {
		title, words = strings.NewReplacer("Checks", "Days", "checks", "days").Replace(title), " (error: "+d.Pair.A+" - "+d.Pair.B+")"
	}
	if err := Heading(w, s, title+words); err != nil {
		return err
	}
	t := NewTable(Column{Name: "time", Text: true}, Column{Name: "reference"}, Column{Name: "error", Unit: "± own u"}, Column{Name: "remark", Text: true})
	first := len(d.Checks) - len(checks)
	events := func(before int) {
		for _, e := range d.Events {
			if e.Checks == before {
				t.Row(e.Time[:len(dayFormat)], "", "", e.Event)
			}
		}
	}
	for i, c := range checks {
		events(first + i)
		t.Row(c.Time[:len(dayFormat)], d.refOf(&c), d.amount(c.Error, c.U), c.remark())
	}
	events(len(d.Checks))
	return t.Write(w, s)
}

func (c *DriftCheck) remark() string {
	var words []string
	if c.PWrong > likelyWrong {
		words = append(words, "does not fit: hardly counts")
	}
	if c.PStep > likelyWrong {
		words = append(words, "after a step")
	}
	return strings.Join(words, "; ")
}
