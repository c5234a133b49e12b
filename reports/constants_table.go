package reports

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/series"
)

// WarningList gives the warnings.
func (r *Constants) WarningList() []string { return r.Warnings }

// Table writes the constants for people.
func (r *Constants) Table(w io.Writer, s Style) error {
	var f Fields
	unit := ""
	if r.Unit != nil && *r.Unit != "" {
		unit = " " + *r.Unit
	}
	f.Add("meter", r.Meter)
	f.Add("at", minute(r.At)+" UTC")
	f.Add("corrected", "intercept + slope x reading")
	add := func(name string, x float64, u Number, unit string) {
		value, around := Round(x, u)
		if u.IsKnown() {
			value += " ± " + around
		} else {
			value += " (u unknown)"
		}
		f.Add(name, value+unit)
	}
	add("intercept", r.Intercept, r.UIntercept, unit)
	add("slope", r.Slope, r.USlope, "")
	f.Add("covariance", covarianceText(r.Cov))
	f.Add("readings", spanText(r.ReadingLow, r.ReadingHigh)+unit+" are covered")
	if r.RangeLow.IsKnown() || r.RangeHigh.IsKnown() {
		f.Add("meter shows", spanText(r.RangeLow, r.RangeHigh)+unit)
	}
	if c := r.Calibration; c != nil {
		f.Add("calibration", fmt.Sprintf("%s, %s, of %s", c.ID, c.State, minute(c.Time)))
	}
	if n := r.Next; n != nil {
		f.Add("on the way to", fmt.Sprintf("%s, %s, of %s", n.ID, n.State, minute(n.Time)))
	}
	f.Add("line", basisText(r.Basis))
	if r.StaleFrom != nil {
		f.Add("stale from", minute(*r.StaleFrom)+" UTC")
	}
	if c := r.Conversion; c != nil {
		f.Add("then", c.text())
	}
	if err := f.Write(w, s); err != nil {
		return err
	}
	if err := Heading(w, s, "Pieces"); err != nil {
		return err
	}
	t := NewTable(Column{Name: "from, UTC"}, Column{Name: "line", Text: true}, Column{Name: "intercept", Unit: strings.TrimSpace(unit)}, Column{Name: "a day"}, Column{Name: "slope"}, Column{Name: "a day"})
	for _, p := range r.Pieces {
		figure := func(x float64) string { return fmt.Sprintf("%.6g", x) }
		t.Row(minute(p.From), p.Basis, figure(p.Intercept[0]), fmt.Sprintf("%.3g", p.Intercept[1]), figure(p.Slope[0]), fmt.Sprintf("%.3g", p.Slope[1]))
	}
	return t.Write(w, s)
}

func basisText(basis string) string {
	switch series.Basis(basis) {
	case series.Interpolated:
		return "moves evenly from one calibration to the next"
	case series.HeldBack:
		return "of the calibration after it, held back"
	}
	return "held since its calibration"
}

func spanText(low, high Number) string {
	switch {
	case low.IsKnown() && high.IsKnown():
		return low.String() + " to " + high.String()
	case low.IsKnown():
		return low.String() + " and more"
	case high.IsKnown():
		return "up to " + high.String()
	}
	return "all, as far as is known"
}

func (c *ConversionApplied) text() string {
	var parts []string
	if c.Factor != 1 {
		parts = append(parts, fmt.Sprintf("times %g", c.Factor))
	}
	if c.Does != nil && c.Wanted != nil {
		parts = append(parts, fmt.Sprintf("brought from compensation %s to %s", c.Does.text(), c.Wanted.text()))
	}
	return strings.Join(parts, ", ")
}

func (r *RuleApplied) text() string {
	alpha, known := r.Alpha.Get()
	if !known {
		return r.Name
	}
	ref, _ := r.RefTempC.Get()
	return fmt.Sprintf("%s, %.4g %%/C to %g C", r.Name, 100*alpha, ref)
}

// covarianceText rounds a covariance; the JSON has all digits.
func covarianceText(cov Number) string {
	x, known := cov.Get()
	if !known {
		return unknown
	}
	return strconv.FormatFloat(x, 'g', 3, 64)
}
