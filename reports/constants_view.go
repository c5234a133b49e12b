package reports

import (
	"fmt"
	"math"
	"strings"

	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/tempcomp"
)

// The view does in SQL what series.Corrector does: the same arithmetic, with
// NULL for NaN. Expressions are written out where they are used: SQLite has no
// lateral joins, and DuckDB holds the whole table in memory for them.

// expressions writes the parts of the view.
func (s *script) expressions(log LogTable) error {
	var err error
	if s.us, err = s.engine.microseconds(s.time, log); err != nil {
		return err
	}
	number := func(column, limits string) (string, string) {
		x := s.engine.number(column)
		condition := fmt.Sprintf(limits, x)
		if s.engine.isNumber != nil {
			condition = s.engine.isNumber(column) + " AND " + condition
		}
		return x, condition
	}
	s.reading, s.isNumber = number(s.column, "abs(%s) <= "+mostReading)
	s.days = fmt.Sprintf("((%s - p.from_us) / 8.64e10)", s.us)
	s.shown = fmt.Sprintf("(p.intercept + p.slope * %s\n        + %s\n        * (p.intercept_per_day + p.slope_per_day * %s))", s.reading, s.days, s.reading)
	if factor := conversionFactor(s.probe.Conversion); factor != 1 {
		s.ratio = sqlNumber(factor) + " * "
	}
	if !s.probe.Conversion.NeedsTemperature() {
		return nil
	}
	low, high := temperatures(s.probe.Conversion)
	s.tempC, s.isTemp = number(s.temp, "%s BETWEEN "+sqlNumber(low)+" AND "+sqlNumber(high))
	const tolerance = 1e-11
	for i, rule := range []tempcomp.Rule{s.probe.Conversion.Does, s.probe.Conversion.Wanted} {
		form, err := formOf(rule, fineDegree, tolerance)
		if err != nil {
			return err
		}
		if form.straight && form.alpha == 0 {
			continue // F is 1 at any temperature
		}
		f, slope := form.sql(s.tempC)
		if i == 0 {
			s.ratio += f + " * "
			s.logSlope = slope + " / " + f
		} else {
			s.ratio += "1e0 / " + f + " * "
			s.logSlope += " - " + slope + " / " + f
		}
	}
	s.logSlope = "(" + strings.TrimPrefix(s.logSlope, " ") + ")"
	return nil
}

// sql returns F(t) and its slope as expressions of a temperature's.
func (f ruleForm) sql(tempC string) (value, slope string) {
	if f.straight {
		return fmt.Sprintf("(1e0 + %s * (%s - %s))", sqlNumber(f.alpha), tempC, sqlNumber(f.ref)), sqlNumber(f.alpha)
	}
	at := fmt.Sprintf("((%s - %s) / %s)", tempC, sqlNumber(f.middle), sqlNumber(f.half))
	// All brackets open to the left, where a parser has nothing before them to
	// keep: SQLite's keeps 100 things at most (YYSTACKDEPTH), unless it is recent.
	horner := func(coefficients []float64) string {
		last := len(coefficients) - 1
		text := sqlNumber(coefficients[last])
		for i := last - 1; i >= 0; i-- {
			text = fmt.Sprintf("(%s * %s + %s)", text, at, sqlNumber(coefficients[i]))
		}
		return text
	}
	derivative := make([]float64, len(f.coefficients)-1)
	for i := range derivative {
		derivative[i] = float64(i+1) * f.coefficients[i+1] / f.half
	}
	return horner(f.coefficients), horner(derivative)
}

// guarded is an expression where there is something to correct and a further
// condition holds, else NULL.
func (s *script) guarded(expression string, further ...string) string {
	condition := strings.Join(append([]string{s.isNumber}, further...), " AND ")
	if s.isTemp != "" {
		condition += " AND " + s.isTemp
	}
	return fmt.Sprintf("CASE WHEN %s THEN\n      %s\n    END", condition, expression)
}

// value is the corrected value.
func (s *script) value() string { return s.guarded(s.ratio + s.shown) }

// u is the standard uncertainty: 0 for a variance that is 0 or, by rounding, a
// little less. Where no variance is known there is none; an engine's larger of 0
// and NULL may be 0, so that is asked for.
func (s *script) u() string {
	power := func(i int) string {
		return fmt.Sprintf("(p.var_intercept_%d + %s * (2e0 * p.cov_%d + %s * p.var_slope_%d))", i, s.reading, i, s.reading, i)
	}
	variance := fmt.Sprintf("%s\n        + %s\n        * (%s\n        + %s\n        * %s)", power(0), s.days, power(1), s.days, power(2))
	if u := s.probe.URead; u > 0 {
		gain := fmt.Sprintf("(p.slope + %s * p.slope_per_day)", s.days)
		variance += fmt.Sprintf("\n        + %s * %s\n        * %s", sqlNumber(u*u), gain, gain)
	}
	// A product's relative variance is the sum of its factors'.
	if u := s.probe.UTemp; u > 0 && s.logSlope != "" {
		variance += fmt.Sprintf("\n        + %s * %s * %s\n        * %s\n        * %s", sqlNumber(u*u), s.logSlope, s.logSlope, s.shown, s.shown)
	}
	return s.guarded(fmt.Sprintf("%ssqrt(%s(0e0, %s))", s.ratio, s.engine.larger, variance), "p.var_intercept_0 IS NOT NULL")
}

// flag is the word for what is wrong with a row, in the order of [series.Flag].
func (s *script) flag() string {
	var b strings.Builder
	when := func(condition string, flag series.Flag) {
		fmt.Fprintf(&b, "\n      WHEN %s THEN '%s'", condition, flag)
	}
	b.WriteString("CASE")
	when(s.engine.isBlank(s.column), series.Blank)
	when(fmt.Sprintf("(%s) IS NOT TRUE", s.isNumber), series.NotANumber)
	when(fmt.Sprintf("%s IS NULL OR %s >= %d", s.us, s.us, int64(endOfTime)), series.Blank)
	when("p.from_us IS NULL", series.BeforeCalibration)
	if s.isTemp != "" {
		if s.engine.isNumber != nil {
			when(s.engine.isBlank(s.temp), series.Blank)
			when(fmt.Sprintf("(%s) IS NOT TRUE", s.engine.isNumber(s.temp)), series.NotANumber)
		}
		when(fmt.Sprintf("(%s) IS NOT TRUE", s.isTemp), series.Blank)
	}
	outside := []string{s.reading + " < p.reading_low", s.reading + " > p.reading_high"}
	if low := s.probe.Low; !math.IsNaN(low) {
		outside = append(outside, s.reading+" < "+sqlNumber(low))
	}
	if high := s.probe.High; !math.IsNaN(high) {
		outside = append(outside, s.reading+" >= "+sqlNumber(high)) // there a display stands still
	}
	when(strings.Join(outside, "\n        OR "), series.OutOfRange)
	if from := s.probe.StaleFrom(); !from.IsZero() {
		when(fmt.Sprintf("%s >= %d", s.us, microseconds(from.UnixNano())), series.Stale)
	}
	b.WriteString("\n      ELSE ''\n    END")
	return b.String()
}

func (s *script) view() {
	s.printf("%s AS\nSELECT\n    l.*,\n    %s AS %s,\n    %s AS %s,\n    %s AS %s\n", s.engine.createView(s.view_), s.value(), s.corrected, s.u(), s.uncertainty, s.flag(), s.flag_)
	s.printf("FROM %s AS l\nLEFT JOIN %s AS p ON p.meter = %s\n  AND %s >= p.from_us AND %s < p.to_us;\n\nCOMMIT;\n", s.table_, s.constants, s.key, s.us, s.us)
}
