package reports

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"
)

// Table writes the calibration for people: the line, the points, what was
// asked of the line, the verdict and what to do.
func (r *Calibrate) Table(w io.Writer, s Style) error {
	for _, write := range []func(io.Writer, Style) error{
		r.writeHead, r.writePoints, r.writeAt, r.writeInverse, r.writeElectrode, r.writeMonteCarlo, r.writeVerdict, r.writeChart,
	} {
		if err := write(w, s); err != nil {
			return err
		}
	}
	if err := r.writeAdvice(w, s); err != nil || r.AsLeft == nil {
		return err
	}
	if _, err := io.WriteString(w, "\n"); err != nil {
		return err
	}
	left := *r.AsLeft
	left.Drawn = r.Drawn
	return left.Table(w, s)
}

func (r *Calibrate) unit() string { return wordOrEmpty(r.Unit) }

// writeHead names the meter and gives the line.
func (r *Calibrate) writeHead(w io.Writer, s Style) error {
	var f Fields
	if r.Tolerance.IsKnown() {
		f.Add("verdict", s.Verdict(r.VerdictWord()))
	}
	if r.Meter != nil {
		f.Add("meter", *r.Meter)
	}
	what := r.Quantity
	if u := r.unit(); u != "" {
		what += ", in " + u
	}
	f.Add("quantity", what)
	if r.Time != nil {
		f.Add("time", *r.Time)
	}
	f.Add("state", r.State)
	if r.ID != nil {
		text := r.recordedAt.Format(time.DateOnly) + " as " + *r.ID
		if r.Supersedes != nil {
			text += ", in place of " + *r.Supersedes
		}
		f.Add("on record", text)
	}
	why := r.Fit.Why
	if !r.Fit.Chosen {
		why = "as asked"
	}
	f.Add("fit", fmt.Sprintf("%s (%s)", r.Fit.Method, why))
	f.Add("line", r.lineText())
	if r.Misfit != nil {
		f.Add("", "not to be used: the points contradict it, see below")
	}
	if r.Fit.Method != "offset" {
		f.Add("", "slope "+PlusMinus(r.Fit.Slope, r.Fit.USlope, ""))
	}
	if r.Fit.Method != "gain" {
		f.Add("", "intercept "+PlusMinus(r.Fit.Intercept, r.Fit.UIntercept, r.unit()))
	}
	if low, ok := r.Fit.SlopeLow.Get(); ok && r.Fit.Method == "theil-sen" {
		high, _ := r.Fit.SlopeHigh.Get()
		f.Add("", fmt.Sprintf("slope from %s to %s (95 %%, by ranks)", Significant(low, 4), Significant(high, 4)))
	}
	f.Add("uncertainty", r.basisText())
	if x, ok := r.Fit.Chi2.Get(); ok && r.Fit.DoF > 0 {
		text := "chi-squared " + Significant(x, 3)
		if limit, ok := r.Fit.Chi2Limit.Get(); ok {
			text += fmt.Sprintf(" with %s (95 %% of sound fits stay below %s)", freedom(r.Fit.DoF), Significant(limit, 3))
		}
		f.Add("consistency", text)
	}
	if l := r.LackOfFit; l != nil {
		f.Add("lack of fit", fmt.Sprintf("F = %s with %d and %d degrees of freedom, p = %s (repeats of %s)",
			Significant(l.F, 3), l.DoFLack, l.DoFPure, Significant(l.P, 2), l.RepeatsOf))
	}
	return f.Write(w, s)
}

// lineText is the line with as many digits as its uncertainty supports, and
// two more, so that computing with what is printed costs nothing.
func (r *Calibrate) lineText() string {
	slope := withSpareDigits(r.Fit.Slope, r.Fit.USlope)
	if r.Fit.Method == "gain" {
		return "corrected = " + slope + " × reading"
	}
	sign, size := "+", r.Fit.Intercept
	if size < 0 {
		sign, size = "-", -size
	}
	if r.Fit.Method == "offset" {
		return fmt.Sprintf("corrected = reading %s %s", sign, withSpareDigits(size, r.Fit.UIntercept))
	}
	return fmt.Sprintf("corrected = %s × reading %s %s", slope, sign, withSpareDigits(size, r.Fit.UIntercept))
}

func withSpareDigits(x float64, u Number) string {
	size, ok := u.Get()
	if !ok || size <= 0 || math.IsInf(size, 0) {
		return Significant(x, 6)
	}
	return toPlace(x, leadingPlace(size, uncertaintyDigits)-uncertaintyDigits-1)
}

func (r *Calibrate) basisText() string {
	switch r.Fit.Basis {
	case "scatter":
		return "from the scatter of the points, " + freedom(r.Fit.DoF)
	case "stated":
		return "from the stated uncertainties"
	}
	if r.Fit.Method == "theil-sen" {
		return "none: a robust line is a look at outliers"
	}
	return "none: there is nothing to judge it by"
}

func (r *Calibrate) writeAt(w io.Writer, s Style) error {
	if len(r.At) == 0 {
		return nil
	}
	if err := Heading(w, s, "What a reading means"); err != nil {
		return err
	}
	u := r.unit()
	t := NewTable(Column{Name: "reading", Unit: u}, Column{Name: "corrected", Unit: u}, Column{Name: "u", Unit: "k = 1"},
		Column{Name: "from", Unit: "(95 %)"}, Column{Name: "to", Unit: "(95 %)"}, Column{Name: "", Text: true})
	for _, a := range r.At {
		value, size := Round(a.Corrected, a.UCorrected)
		note := ""
		if a.Outside {
			note = "outside the references"
		}
		t.Row(asTyped(a.Reading), value, size, limitOf(a.Low, a.UCorrected), limitOf(a.High, a.UCorrected), note)
	}
	return t.Write(w, s)
}

// limitOf writes a limit to the place of its uncertainty's second digit.
func limitOf(limit, u Number) string {
	v, ok := limit.Get()
	if !ok {
		return unknown
	}
	text, _ := Round(v, u)
	return text
}

func (r *Calibrate) writeInverse(w io.Writer, s Style) error {
	if len(r.Inverse) == 0 {
		return nil
	}
	if err := Heading(w, s, "What the meter should show"); err != nil {
		return err
	}
	u := r.unit()
	t := NewTable(Column{Name: "true", Unit: u}, Column{Name: "reading", Unit: u}, Column{Name: "u", Unit: "k = 1"},
		Column{Name: "from", Unit: "(95 %)"}, Column{Name: "to", Unit: "(95 %)"}, Column{Name: "", Text: true})
	for _, v := range r.Inverse {
		reading, size := Round(v.Reading, v.UReading)
		low, high, note := limitOf(v.Low, v.UReading), limitOf(v.High, v.UReading), ""
		switch v.Shape {
		case "two-rays":
			note = "unbounded: everything up to the first and from the second on"
		case "everything":
			low, high, note = "", "", "unbounded: the readings exclude nothing"
		}
		t.Row(asTyped(v.Value), reading, size, low, high, note)
	}
	return t.Write(w, s)
}

func (r *Calibrate) writeElectrode(w io.Writer, s Style) error {
	e := r.Electrode
	if e == nil {
		return nil
	}
	if err := Heading(w, s, "Electrode"); err != nil {
		return err
	}
	var f Fields
	of := "% of the ideal slope"
	if e.Basis == "display" {
		of = "% of the slope the meter has stored"
	}
	if v, ok := e.SlopePercent.Get(); ok {
		f.Add("slope", PlusMinus(v, e.USlope, of))
	}
	if v, ok := e.SlopeMVPerPH.Get(); ok {
		f.Add("", Significant(v, 4)+fmt.Sprintf(" mV per pH at %s C", Significant(e.TempC, 3)))
	}
	if v, ok := e.ZeroPointPH.Get(); ok {
		f.Add("zero point", PlusMinus(v, e.UZeroPoint, "pH"))
	}
	if v, ok := e.OffsetMV.Get(); ok {
		f.Add("offset", toPlace(v, -1)+" mV at pH 7")
	}
	f.Add("verdict", s.Verdict(wordOrEmpty(e.Verdict)))
	return f.Write(w, s)
}

func (r *Calibrate) writeVerdict(w io.Writer, s Style) error {
	tolerance, ok := r.Tolerance.Get()
	if !ok {
		return nil
	}
	if err := Heading(w, s, "Verdict"); err != nil {
		return err
	}
	var f Fields
	f.Add("verdict", s.Verdict(r.VerdictWord()))
	text := asTyped(tolerance)
	if r.ToleranceRelative {
		text = asTyped(100*tolerance) + " % of the reference"
	} else if u := r.unit(); u != "" {
		text += " " + u
	}
	f.Add("tolerance", "± "+text)
	if worst, ok := r.WorstError.Get(); ok {
		ref, _ := r.WorstRef.Get()
		size := Significant(worst, 3)
		if r.ToleranceRelative {
			size = Percent(worst, 2)
		}
		f.Add("worst error", fmt.Sprintf("%s at %s", plus(worst, size), typedOr(r.worstRefText, ref)))
	}
	p := "unknown"
	if v, ok := r.PWithin.Get(); ok {
		p = chance(v) + " that the meter, " + strings.ReplaceAll(r.State, "-", " ") + ", is within tolerance at every reference"
	}
	f.Add("probability", p)
	if r.VerdictBasis != nil {
		f.Add("basis", *r.VerdictBasis)
	}
	return f.Write(w, s)
}

// chance writes a probability in percent without rounding it to certainty.
func chance(p float64) string {
	switch {
	case p > 0.9995:
		return "over 99.9 %"
	case p < 0.0005:
		return "under 0.1 %"
	}
	return toPlace(100*p, -1) + " %"
}

func (r *Calibrate) writeAdvice(w io.Writer, s Style) error {
	if err := Heading(w, s, "What to do"); err != nil {
		return err
	}
	for _, a := range r.Advice {
		if err := Paragraph(w, s, "- ", a); err != nil {
			return err
		}
	}
	return nil
}
