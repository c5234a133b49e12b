package reports

import (
	"fmt"
	"io"
)

// anyPlace is finer than any figure is written.
const anyPlace = -exactDigits

// Table writes the compensation for people: the coefficient, the rules, the
// readings, the verdict, and what it means.
func (r *Compensation) Table(w io.Writer, s Style) error {
	for _, write := range []func(io.Writer, Style) error{
		r.writeHead, r.writeRules, r.writeReadings, r.writeVerdict,
	} {
		if err := write(w, s); err != nil {
			return err
		}
	}
	if err := Heading(w, s, "What it means"); err != nil {
		return err
	}
	if err := Paragraph(w, s, "", r.Meaning); err != nil {
		return err
	}
	if err := writeList(w, s, "What to do", "- ", r.Advice); err != nil {
		return err
	}
	return writeList(w, s, "Cautions", "- ", r.Cautions)
}

func (r *Compensation) writeHead(w io.Writer, s Style) error {
	var f Fields
	if r.Verdict != nil {
		f.Add("verdict", s.Verdict(*r.Verdict))
	}
	if r.Meter != nil {
		f.Add("meter", *r.Meter)
	}
	bottle := r.Salt + ", " + r.Strength
	if r.Bottle != nil {
		bottle = *r.Bottle + ": " + bottle
	}
	f.Add("bottle", bottle)
	if r.Time != nil {
		f.Add("time", *r.Time)
	}
	f.Add("coefficient", r.alphaText(anyPlace))
	f.Add("", fmt.Sprintf("at a reference temperature of %g C", r.RefTempC))
	gain, _ := r.Gain.Get()
	f.Add("gain", PlusMinus(gain, r.UGain, "")+fmt.Sprintf(" (reading over truth at %g C, the bottle's strength taken as labelled)", r.RefTempC))
	if u, known := r.UMeterGain.Get(); known {
		f.Add("", PlusMinus(gain, Known(u), "")+" with the doubt of the strength")
	}
	for _, at := range r.SameAt {
		alpha, _ := at.Alpha.Get()
		g, _ := at.Gain.Get()
		f.Add("the same meter", fmt.Sprintf("said of %g C: %s, gain %s", at.RefTempC, PlusMinus(alpha, at.UAlpha, "%/C"), PlusMinus(g, at.UGain, "")))
	}
	if own := r.Own; own != nil {
		t, _ := own.RefTempC.Get()
		alpha, _ := own.Alpha.Get()
		f.Add("own reference", fmt.Sprintf("%s, and %s there", PlusMinus(t, own.URefTempC, "C"), PlusMinus(alpha, own.UAlpha, "%/C")))
	}
	f.Add("uncertainty", r.basisText())
	return f.Write(w, s)
}

func (r *Compensation) basisText() string {
	text := "from the stated uncertainties"
	if r.UBasis == "scatter" {
		text = "from the scatter of the readings, " + freedom(r.DoF)
	}
	if x, ok := r.Chi2.Get(); ok {
		text += fmt.Sprintf("; chi-squared %s with %s", Significant(x, 3), freedom(r.DoF))
	}
	return text
}

func (r *Compensation) writeRules(w io.Writer, s Style) error {
	if err := Heading(w, s, "Which rule fits"); err != nil {
		return err
	}
	t := NewTable(Column{Name: "rule", Text: true}, Column{Name: "coefficient", Unit: "%/C"}, Column{Name: "gain"},
		Column{Name: "residuals", Unit: "rms, %"}, Column{Name: "worst", Unit: "%"}, Column{Name: "probability"})
	for _, rule := range r.Rules {
		text := ""
		if rule.Alpha.IsKnown() {
			text = r.alphaDigits(r.examined.Alpha, anyPlace)
		}
		p, known := rule.Probability.Get()
		if !known {
			t.Row(rule.Rule, text, "", "", "", "not defined at these temperatures")
			continue
		}
		gain, _ := rule.Gain.Get()
		rms, _ := rule.RMSRel.Get()
		worst, _ := rule.WorstRel.Get()
		t.Row(rule.Rule, text, Significant(gain, 4), Significant(100*rms, 2), plus(worst, Significant(100*worst, 2)), chanceText(p))
	}
	return t.Write(w, s)
}

func (r *Compensation) writeReadings(w io.Writer, s Style) error {
	if err := Heading(w, s, "Readings against the straight rule"); err != nil {
		return err
	}
	t := NewTable(Column{Name: "row"}, Column{Name: "temperature", Unit: "C"}, Column{Name: "reading", Unit: r.Unit}, Column{Name: "fit", Unit: r.Unit},
		Column{Name: "reading - fit", Unit: r.Unit}, Column{Name: "", Unit: "%"}, Column{Name: "standard-", Unit: "ised"}, Column{Name: "", Text: true})
	for _, x := range r.Readings {
		place := decimals(x.Reading) - 1
		note := ""
		if x.Flagged {
			note = "stands out"
		}
		t.Row(fmt.Sprint(x.Row), asTyped(x.TempC), asTyped(x.Reading), toPlace(x.Fit, place),
			plus(x.MinusFit, toPlace(x.MinusFit, place)), plus(x.MinusFitRel, toPlace(100*x.MinusFitRel, -2)), twoDecimals(x.Standardised), note)
	}
	return t.Write(w, s)
}

func (r *Compensation) writeVerdict(w io.Writer, s Style) error {
	if r.Verdict == nil {
		return nil
	}
	if err := Heading(w, s, "Verdict"); err != nil {
		return err
	}
	var f Fields
	f.Add("verdict", s.Verdict(*r.Verdict))
	claimed, _ := r.Claimed.Get()
	tolerance, _ := r.Tolerance.Get()
	f.Add("claimed", fmt.Sprintf("%s %%/C to %g C, give or take %s %%/C", Significant(claimed, 4), r.RefTempC, Significant(tolerance, 3)))
	p, known := r.PWithin.Get()
	if known {
		f.Add("probability", chanceText(p)+" that the meter keeps to it")
	} else {
		f.Add("probability", "unknown: no interval")
	}
	return f.Write(w, s)
}
