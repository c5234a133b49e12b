package reports

import (
	"fmt"
	"io"
)

// verdictText is the verdict on a pair. Displays that differ have none: what
// they differ by is said below the table.
func (p ComparePair) verdictText(s Style) string {
	if p.ExpectedRatio.IsKnown() {
		return "none"
	}
	return s.Verdict(wordOrEmpty(p.Verdict))
}

// writeDisplays says what displays that differ show of one liquid, and what is
// left.
func (r *Compare) writeDisplays(w io.Writer, s Style) error {
	for _, p := range r.Pairs {
		expected, differ := p.ExpectedRatio.Get()
		if !differ {
			continue
		}
		text := fmt.Sprintf("%s, %s: displays differ: %s and %s; compare them by the bottles. Expected ratio %s", p.A, p.B,
			p.Displays[0], p.Displays[1], trimZeros(Significant(expected, 4)))
		if ratio, known := p.Ratio.Get(); known {
			left := ratio/expected - 1
			text += fmt.Sprintf(", found %s: %s is left", estimateText(p.Ratio, p.URatio), plus(left, Percent(left, 2)))
		}
		if err := Paragraph(w, s, "", text+"."); err != nil {
			return err
		}
	}
	return nil
}
