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
	for _, write := range []func(io.Writer, Style) error{r.writePairs, r.writeSpread, r.writeLines, r.writeMeters, r.writeCauses, r.writeChart} {
		if err := write(w, s); err != nil {
			return err
		}
	}
	if err := Heading(w, s, "Next"); err != nil {
		return err
	}
	if err := Paragraph(w, s, "", r.Next); err != nil || r.ID == "" {
		return err
	}
	_, err := fmt.Fprintf(w, "\non record  %s as %s\n", day(r.savedOn), r.ID)
	return err
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
	columns := []Column{{Name: "verdict", Text: true}, {Name: "meters", Text: true}, {Name: "samples"}, {Name: "difference", Unit: "mean ± u"}}
	if ratio {
		columns = append(columns, Column{Name: "ratio", Unit: "± u"})
	}
	columns = append(columns, Column{Name: "probability", Unit: "to agree"})
	err := fitNames(s, r.names(), func(short func(string) string) *Table {
		t := NewTable(columns...)
		for _, p := range r.Pairs {
			bias, _ := p.Bias.Get()
			cells := []string{p.verdictText(s), both(p, short), fmt.Sprint(p.N), plus(bias, differenceText(p))}
			if ratio {
				cells = append(cells, estimateText(p.Ratio, p.URatio))
			}
			t.Row(append(cells, probability(p.PAgree))...)
		}
		return t
	}).Write(w, s)
	if err != nil {
		return err
	}
	return r.writeDisplays(w, s)
}

// writeSpread says how far two single readings may lie apart.
func (r *Compare) writeSpread(w io.Writer, s Style) error {
	rows := 0
	t := fitNames(s, r.names(), func(short func(string) string) *Table {
		t := NewTable(Column{Name: "meters", Text: true}, Column{Name: "from", Unit: "(95 % interval)"},
			Column{Name: "to", Unit: "(95 % interval)"})
		rows = r.spreadRows(t, short)
		return t
	})
	if rows == 0 {
		return nil
	}
	if err := Heading(w, s, "Limits of agreement (95 % of the differences of single readings)"); err != nil {
		return err
	}
	return t.Write(w, s)
}

func (r *Compare) spreadRows(t *Table, short func(string) string) (rows int) {
	for _, p := range r.Pairs {
		if !p.Low.IsKnown() {
			continue
		}
		rows++
		low, high := limitText(p.Low, p.LowCI, 1, ""), limitText(p.High, p.HighCI, 1, "")
		if p.Form == "proportional" {
			low, high = limitText(p.Relative.Low, p.Relative.LowCI, 100, " %"), limitText(p.Relative.High, p.Relative.HighCI, 100, " %")
		}
		t.Row(both(p, short), low, high)
	}
	return rows
}

// writeLines says how one meter runs against the other.
func (r *Compare) writeLines(w io.Writer, s Style) error {
	rows := 0
	t := fitNames(s, r.names(), func(short func(string) string) *Table {
		t := NewTable(Column{Name: "meters", Text: true}, Column{Name: "slope", Unit: "± u"}, Column{Name: "intercept", Unit: "± u"},
			Column{Name: "slope without assumptions", Unit: "(95 % interval)"})
		rows = 0
		for _, p := range r.Pairs {
			if p.Slope.IsKnown() {
				rows++
				t.Row(both(p, short), estimateText(p.Slope, p.USlope), estimateText(p.Intercept, p.UIntercept), bablokText(p.PassingBablok))
			}
		}
		return t
	})
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
	rows := 0
	t := fitNames(s, r.names(), func(short func(string) string) *Table {
		t := NewTable(Column{Name: "verdict", Text: true}, Column{Name: "meter", Text: true}, Column{Name: "references"}, Column{Name: "worst error"},
			Column{Name: "in sample", Text: true}, Column{Name: "probability", Unit: "within"})
		rows = r.meterRows(t, s, short)
		return t
	})
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

func (r *Compare) meterRows(t *Table, s Style, short func(string) string) (rows int) {
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
		t.Row(s.Verdict(wordOrEmpty(m.Verdict)), short(m.Meter), fmt.Sprint(m.N), text, short(wordOrEmpty(m.WorstSample)), probability(m.PWithin))
	}
	return rows
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

// both names the meters of a pair, one below the other where a name is cut.
func both(p ComparePair, short func(string) string) string {
	a, b := short(p.A), short(p.B)
	if a != p.A || b != p.B {
		return a + ",\n" + b
	}
	return a + ", " + b
}

// guessDigits is how many significant digits are written of a figure whose
// uncertainty nobody knows.
const guessDigits = 3

// mostDigits is how many significant digits are written at most: no meter here
// resolves more, and an uncertainty far below that is that of the arithmetic.
const mostDigits = 5

// estimateText writes a figure with its uncertainty.
func estimateText(x, u Number) string {
	value, known := x.Get()
	if !known {
		return unknown
	}
	if !u.IsKnown() {
		return Significant(value, guessDigits) + " ± " + unknown
	}
	if value != 0 {
		place := leadingPlace(value, mostDigits) - (mostDigits - 1)
		least := math.Pow10(place)
		if size, _ := u.Get(); size < least {
			return toPlace(value, place) + " ± < " + toPlace(least, place)
		}
	}
	text, size := Round(value, u)
	return text + " ± " + size
}

// differenceText writes a mean difference; one of unknown uncertainty has no
// more digits than the displays.
func differenceText(p ComparePair) string {
	value, _ := p.Bias.Get()
	step, known := p.Step.Get()
	if p.UBias.IsKnown() || !known {
		return estimateText(p.Bias, p.UBias)
	}
	place := leadingPlace(step, 1)
	if value != 0 {
		place = max(place, leadingPlace(value, guessDigits)-(guessDigits-1))
	}
	return toPlace(value, place) + " ± " + unknown
}

// plus puts the sign before a number above zero.
func plus(x float64, text string) string {
	if x > 0 {
		return "+" + text
	}
	return text
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
