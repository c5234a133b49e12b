package reports

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/series"
)

// C writes the constants of a time as a header for a microcontroller, in C99
// that C++ takes as well: float alone, no allocation, no library but stdint.h. A
// figure that a float cannot hold is an error.
func (m *MeterConstants) C(at time.Time) (string, error) {
	c, err := m.Probe.Constants(at)
	if err != nil {
		return "", err
	}
	h := header{word: "brinemark_" + cWord(m.Meter), guard: "BRINEMARK_" + strings.ToUpper(cWord(m.Meter))}
	h.opening(m, c)
	h.line(c.Line, m.Probe)
	h.ranges(c.Line, m.Probe)
	if err := h.correct(m.Probe); err != nil {
		return "", err
	}
	h.variance(c.Line, m.Probe)
	h.stale(c)
	h.printf("#ifdef __cplusplus\n}\n#endif\n\n#endif\n")
	if h.err != nil {
		return "", h.err
	}
	return h.text.String(), nil
}

// header is a header file in the making.
type header struct {
	text        strings.Builder
	word, guard string // of the names of functions, and of macros
	err         error
}

func (h *header) printf(format string, args ...any) { fmt.Fprintf(&h.text, format, args...) }

// float writes a number as a constant of type float, by the fewest digits that
// give it back.
func (h *header) float(name string, x float64) string {
	f := float32(x)
	if math.IsNaN(x) || math.IsInf(float64(f), 0) || f == 0 && x != 0 {
		if h.err == nil {
			h.err = fmt.Errorf("%s is %v, which the type float of C cannot hold", name, x)
		}
		return "0"
	}
	return strconv.FormatFloat(float64(f), 'e', -1, 32) + "f"
}

func (h *header) define(name string, x float64, comment string) {
	if comment != "" {
		comment = " /* " + comment + " */"
	}
	value := h.float(name, x)
	if strings.HasPrefix(value, "-") {
		value = "(" + value + ")"
	}
	h.printf("#define %s_%s %s%s\n", h.guard, name, value, comment)
}

// function writes a function with what it does.
func (h *header) function(comment, result, name, parameters string, body ...string) {
	h.printf("\n/* %s */\nstatic inline %s %s_%s(%s) {\n\t%s\n}\n", strings.Join(strings.Split(comment, "\n"), "\n   "), result, h.word, name, parameters, strings.Join(body, "\n\t"))
}

func (h *header) opening(m *MeterConstants, c series.Constants) {
	h.printf("/* Calibration constants of meter %s.\n", commentText(m.Meter))
	what := m.Quantity
	if m.Unit != "" {
		what += ", readings in " + m.Unit
	}
	h.printf("   %s\n", commentText(what))
	h.printf("   The line as of %s: %s.\n", exactStamp(c.At), basisText(string(c.Basis)))
	if applies, next := m.around(c.At, c.Basis); applies != nil {
		h.printf("   Calibration %s of %s", commentText(applies.ID), applies.Time)
		if next != nil {
			h.printf(",\n   on the way to %s of %s", commentText(next.ID), next.Time)
		}
		h.printf(".\n")
	}
	h.printf("   Made by brinemark constants --format c; make it anew after a calibration. */\n")
	h.printf("#ifndef %s_H\n#define %s_H\n\n#include <stdint.h>\n\n#ifdef __cplusplus\nextern \"C\" {\n#endif\n\n", h.guard, h.guard)
}

func (h *header) line(l series.Line, p *series.Probe) {
	h.printf("/* corrected = intercept + slope * reading, in the unit of the readings */\n")
	h.define("INTERCEPT", l.Intercept, "")
	h.define("SLOPE", l.Slope, "")
	if p.URead > 0 {
		h.define("U_READING", p.URead, "standard uncertainty of one reading")
	}
}

// ranges writes the readings that can be believed: those that the calibrations
// cover and the meter can show. At the top of its display a meter stands still.
func (h *header) ranges(l series.Line, p *series.Probe) {
	var tests []string
	bound := func(name, sign string, x float64) {
		if finite(x).IsKnown() {
			h.define(name, x, "")
			tests = append(tests, fmt.Sprintf("reading %s %s_%s", sign, h.guard, name))
		}
	}
	h.printf("\n/* readings that are calibrated for, and that the meter can show */\n")
	bound("READING_LOW", ">=", l.Low)
	bound("READING_HIGH", "<=", l.High)
	bound("RANGE_LOW", ">=", p.Low)
	bound("RANGE_HIGH", "<", p.High)
	if len(tests) == 0 {
		tests = append(tests, "reading == reading")
	}
	h.function("1 for a reading that can be believed, 0 for one outside these or no number", "int", "in_range", "float reading",
		"return "+strings.Join(tests, "\n\t\t&& ")+";")
}

// correct writes the correction: of the line alone, or with the factor and the
// compensation of temperature that come after it.
func (h *header) correct(p *series.Probe) error {
	line := fmt.Sprintf("%s_INTERCEPT + %s_SLOPE * reading", h.guard, h.guard)
	factor := conversionFactor(p.Conversion)
	if factor != 1 {
		h.printf("\n/* what the result is in, for each unit of the readings */\n")
		h.define("FACTOR", factor, "")
		line = fmt.Sprintf("%s_FACTOR * (%s)", h.guard, line)
	}
	if !p.Conversion.NeedsTemperature() {
		h.function("the corrected value of a reading", "float", "correct", "float reading", "return "+line+";")
		return nil
	}
	low, high := temperatures(p.Conversion)
	h.printf("\n/* temperatures of the liquid, in C, that the compensation takes */\n")
	h.define("TEMP_LOW", low, "")
	h.define("TEMP_HIGH", high, "")
	h.function("1 for a temperature that the compensation takes, 0 for one outside or no\nnumber", "int", "temp_in_range", "float temp_c",
		fmt.Sprintf("return temp_c >= %s_TEMP_LOW && temp_c <= %s_TEMP_HIGH;", h.guard, h.guard))
	var factors [2]string
	const tolerance = 1e-7 // a float's own
	for i, rule := range []string{"DOES", "WANTED"} {
		r := p.Conversion.Does
		if i == 1 {
			r = p.Conversion.Wanted
		}
		form, err := formOf(r, coarseDegree, tolerance)
		if err != nil {
			return err
		}
		factors[i] = h.compensation(rule, form)
	}
	ratio := factors[0] + " / " + factors[1]
	if factors[0] == "1.0f" {
		ratio = "value / " + factors[1]
	} else {
		ratio = "value * " + ratio
	}
	h.function(fmt.Sprintf("a corrected value at the temperature of the liquid, brought from the meter's\ncompensation (%s)\nto the wanted one (%s)", newRuleApplied(p.Conversion.Does).text(), newRuleApplied(p.Conversion.Wanted).text()),
		"float", "compensate", "float value, float temp_c", "return "+ratio+";")
	h.function("the corrected value of a reading in a liquid of this temperature", "float", "correct", "float reading, float temp_c",
		fmt.Sprintf("return %s_compensate(%s, temp_c);", h.word, line))
	return nil
}

// compensation writes the constants of a rule and returns its F(t).
func (h *header) compensation(name string, f ruleForm) string {
	if f.straight && f.alpha == 0 {
		return "1.0f"
	}
	if f.straight {
		h.printf("\n")
		h.define(name+"_ALPHA", f.alpha, "for each C")
		h.define(name+"_REF_TEMP", f.ref, "C")
		return fmt.Sprintf("(1.0f + %s_%s_ALPHA * (temp_c - %s_%s_REF_TEMP))", h.guard, name, h.guard, name)
	}
	last := len(f.coefficients) - 1
	sum := h.float(name, f.coefficients[last])
	for i := last - 1; i >= 0; i-- {
		sum = fmt.Sprintf("(%s + s * %s)", h.float(name, f.coefficients[i]), sum)
	}
	h.function("the factor by which a meter with this compensation divides", "float", strings.ToLower(name)+"_factor", "float temp_c",
		fmt.Sprintf("const float s = (temp_c - %s) * %s;", h.float(name, f.middle), h.float(name, 1/f.half)), "return "+sum+";")
	return fmt.Sprintf("%s_%s_factor(temp_c)", h.word, strings.ToLower(name))
}

// variance writes the uncertainty of the line, around the reading where it is
// least: there no digits are lost between the terms.
func (h *header) variance(l series.Line, p *series.Probe) {
	if math.IsNaN(l.VarIntercept + l.VarSlope + l.Cov) {
		h.printf("\n/* The calibration states no uncertainty. */\n\n")
		return
	}
	center, least := 0.0, l.VarIntercept
	if l.VarSlope > 0 {
		center = -l.Cov / l.VarSlope
		least = math.Max(l.VarIntercept-l.Cov*l.Cov/l.VarSlope, 0)
	}
	factor := conversionFactor(p.Conversion)
	least += l.Slope * l.Slope * p.URead * p.URead
	h.printf("\n/* variance = least + slope * (reading - center)^2, of the line and of one reading */\n")
	h.define("VARIANCE_LEAST", factor*factor*least, "")
	h.define("VARIANCE_CENTER", center, "")
	h.define("VARIANCE_SLOPE", factor*factor*l.VarSlope, "")
	comment := "the square of the standard uncertainty of a corrected value"
	if p.Conversion.NeedsTemperature() {
		comment += " before it is\ncompensated"
	}
	h.function(comment, "float", "variance", "float reading",
		fmt.Sprintf("const float away = reading - %s_VARIANCE_CENTER;", h.guard),
		fmt.Sprintf("return %s_VARIANCE_LEAST + %s_VARIANCE_SLOPE * away * away;", h.guard, h.guard))
	h.printf("\n")
}

func (h *header) stale(c series.Constants) {
	if c.StaleFrom.IsZero() {
		return
	}
	h.printf("/* the calibration is too old from then on: %s */\n#define %s_STALE_FROM ((int64_t)%d)\n", exactStamp(c.StaleFrom), h.guard, secondsUp(c.StaleFrom))
	h.function("1 where the calibration is too old at a time (Unix seconds), 0 before", "int", "is_stale", "int64_t unix_seconds",
		fmt.Sprintf("return unix_seconds >= %s_STALE_FROM;", h.guard))
	h.printf("\n")
}

// secondsUp is a time in whole Unix seconds, rounded up.
func secondsUp(t time.Time) int64 {
	s := t.Unix()
	if t.Nanosecond() > 0 {
		s++
	}
	return s
}
