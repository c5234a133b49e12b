package reports

import (
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
)

// Table writes the comparison for people.
func (r *Compare) Table(w io.Writer, s Style) error {
	for _, write := range []func(io.Writer, Style) error{r.writePairs, r.writeSpread, r.writeLines, r.writeMeters, r.writeCauses} {
		if err := write(w, s); err != nil {
			return err
		}
	}
	if err := Heading(w, s, "Next"); err != nil {
		return err
	}
	return Paragraph(w, s, "", r.Next)
}

// writePairs says by how much the meters differ and whether they agree.
func (r *Compare) writePairs(w io.Writer, s Style) error {
	title := "Meters against one another"
	if text := r.toleranceText(); text != "" {
		title += ", tolerance " + text
	}
	if err := writeTitle(w, s, title); err != nil {
		return err
	}
	if err := Paragraph(w, s, "", "Difference: second - first. ±: standard uncertainty (k = 1)."); err != nil {
		return err
	}
	ratio := agree.RatioScale(check.Kind(r.Quantity))
	columns := []Column{{Name: "meters", Text: true}, {Name: "samples"}, {Name: "difference", Unit: "mean ± u"}}
	if ratio {
		columns = append(columns, Column{Name: "ratio", Unit: "± u"})
	}
	t := NewTable(append(columns, Column{Name: "probability", Unit: "to agree"}, Column{Name: "verdict", Text: true})...)
	for _, p := range r.Pairs {
		bias, _ := p.Bias.Get()
		cells := []string{p.A + ", " + p.B, fmt.Sprint(p.N), signed(bias, p.UBias)}
		if ratio {
			cells = append(cells, ratioText(p))
		}
		t.Row(append(cells, probability(p.PAgree), s.Verdict(wordOrEmpty(p.Verdict)))...)
	}
	return t.Write(w, s)
}

// writeSpread says how far two single readings may lie apart.
func (r *Compare) writeSpread(w io.Writer, s Style) error {
	t := NewTable(Column{Name: "meters", Text: true}, Column{Name: "from", Unit: "(95 % interval)"},
		Column{Name: "to", Unit: "(95 % interval)"})
	rows := 0
	for _, p := range r.Pairs {
		if !p.Low.IsKnown() {
			continue
		}
		rows++
		low, high := limitText(p.Low, p.LowCI, 1, ""), limitText(p.High, p.HighCI, 1, "")
		if p.Form == "proportional" {
			low, high = limitText(p.Relative.Low, p.Relative.LowCI, 100, " %"), limitText(p.Relative.High, p.Relative.HighCI, 100, " %")
		}
		t.Row(p.A+", "+p.B, low, high)
	}
	if rows == 0 {
		return nil
	}
	if err := Heading(w, s, "Limits of agreement (95 % of the differences of single readings)"); err != nil {
		return err
	}
	return t.Write(w, s)
}

// writeLines says how one meter runs against the other.
func (r *Compare) writeLines(w io.Writer, s Style) error {
	t := NewTable(Column{Name: "meters", Text: true}, Column{Name: "slope", Unit: "± u"}, Column{Name: "intercept", Unit: "± u"},
		Column{Name: "slope without assumptions", Unit: "(95 % interval)"})
	rows := 0
	for _, p := range r.Pairs {
		slope, known := p.Slope.Get()
		if !known {
			continue
		}
		rows++
		intercept, _ := p.Intercept.Get()
		b, ub := Round(slope, p.USlope)
		a, ua := Round(intercept, p.UIntercept)
		t.Row(p.A+", "+p.B, b+" ± "+ub, a+" ± "+ua, bablokText(p.PassingBablok))
	}
	if rows == 0 {
		return nil
	}
	if err := Heading(w, s, "Straight line: second = intercept + slope x first (errors in both)"); err != nil {
		return err
	}
	return t.Write(w, s)
}

// bablokText writes the distribution-free slope; a side that nothing bounds
// says so.
func bablokText(b *PassingBablok) string {
	if b == nil {
		return "too few samples"
	}
	slope, _ := b.Slope.Get()
	end := func(n Number) string {
		x, known := n.Get()
		if !known {
			return "unbounded"
		}
		return Significant(x, 4)
	}
	return fmt.Sprintf("%s (%s to %s)", Significant(slope, 4), end(b.SlopeCI.Low), end(b.SlopeCI.High))
}

// writeMeters says how each meter does against the references.
func (r *Compare) writeMeters(w io.Writer, s Style) error {
	t := NewTable(Column{Name: "meter", Text: true}, Column{Name: "references"}, Column{Name: "worst error"}, Column{Name: "in sample", Text: true},
		Column{Name: "probability", Unit: "within"}, Column{Name: "verdict", Text: true})
	rows := 0
	for _, m := range r.Meters {
		if m.N == 0 {
			continue
		}
		rows++
		worst, _ := m.WorstError.Get()
		text := plus(worst, Significant(worst, 2))
		if m.WorstRelative {
			text = plus(worst, Percent(worst, 2))
		}
		t.Row(m.Meter, fmt.Sprint(m.N), text, wordOrEmpty(m.WorstSample), probability(m.PWithin), s.Verdict(wordOrEmpty(m.Verdict)))
	}
	if rows == 0 {
		return nil
	}
	if err := Heading(w, s, "Meters against the references (error: reading - reference)"); err != nil {
		return err
	}
	if err := t.Write(w, s); err != nil {
		return err
	}
	return r.writeTooUncertain(w, s)
}

// writeTooUncertain says of which meters the verdict is not their own doing.
func (r *Compare) writeTooUncertain(w io.Writer, s Style) error {
	var names []string
	for _, m := range r.Meters {
		if m.TooUncertain {
			names = append(names, m.Meter)
		}
	}
	if len(names) == 0 {
		return nil
	}
	return Paragraph(w, s, "", fmt.Sprintf("%s: the references are too uncertain for this tolerance, and no meter could pass. No error is proved.", strings.Join(names, ", ")))
}

// writeTitle is a heading at the top of the page, without an empty line above.
func writeTitle(w io.Writer, s Style, title string) error {
	_, err := io.WriteString(w, s.Bold(title)+"\n")
	return err
}

func (r *Compare) toleranceText() string {
	t, known := r.Tolerance.Get()
	switch {
	case !known:
		return ""
	case r.ToleranceRelative:
		return trimZeros(Significant(100*t, 4)) + " %"
	}
	return trimZeros(Significant(t, 4))
}

// signed writes a difference with its sign and uncertainty.
func signed(x float64, u Number) string {
	value, size := Round(x, u)
	return plus(x, value) + " ± " + size
}

// plus puts the sign before a number above zero.
func plus(x float64, text string) string {
	if x > 0 {
		return "+" + text
	}
	return text
}

func ratioText(p ComparePair) string {
	ratio, known := p.Ratio.Get()
	if !known {
		return unknown
	}
	value, u := Round(ratio, p.URatio)
	return value + " ± " + u
}

// limitText writes a limit with its interval, to the digits the interval
// supports.
func limitText(limit Number, ci Bounds, scale float64, unit string) string {
	x, _ := limit.Get()
	low, okLow := ci.Low.Get()
	high, okHigh := ci.High.Get()
	if !okLow || !okHigh {
		return Significant(x*scale, 3) + unit
	}
	// A quarter of the interval's width is about one standard uncertainty.
	u := Known((high - low) / 4 * scale)
	value, _ := Round(x*scale, u)
	from, _ := Round(low*scale, u)
	to, _ := Round(high*scale, u)
	return fmt.Sprintf("%s%s (%s to %s)", value, unit, from, to)
}

// probability writes a probability in percent without ever rounding it to
// certainty.
func probability(p Number) string {
	x, known := p.Get()
	switch {
	case !known:
		return unknown
	case x > 0.999:
		return "> 99.9 %"
	case x < 0.001:
		return "< 0.1 %"
	}
	return fmt.Sprintf("%.3g %%", math.Round(x*1000)/10)
}
