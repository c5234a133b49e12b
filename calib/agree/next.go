package agree

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/conformity"
)

// next words the step that would help most: a reference where there is none, a
// tolerance, a repair, or more samples.
func (c *Comparison) next(s *Set) string {
	if !c.HasRefs {
		return strings.TrimSpace(c.NoReference + " " + c.morePairs(s))
	}
	if c.Tolerance.Value == 0 {
		return "Give a tolerance, such as --tolerance 2%, to turn these figures into verdicts."
	}
	failing := c.failing()
	if text := c.allTheSameWay(); text != "" {
		return text
	}
	if len(failing) > 0 {
		return fmt.Sprintf("Clean and calibrate %s: outside the tolerance against the references (`brinemark calibrate`). Then compare again.", strings.Join(failing, " and "))
	}
	if text := c.betterReferences(); text != "" {
		return text
	}
	if text := c.moreReferences(); text != "" {
		return text
	}
	if text := c.morePairs(s); text != "" {
		return text
	}
	for _, p := range c.Pairs {
		if p.Verdict == Disagree && !s.displaysDiffer(p.A, p.B) {
			return fmt.Sprintf("%s and %s disagree: read a sample of known reference with both.", p.A, p.B)
		}
	}
	return "Nothing to do now: keep the bottles closed and compare again at the next check."
}

// failing are the meters that fail by an error of their own.
func (c *Comparison) failing() []string {
	var out []string
	for _, m := range c.Meters {
		if m.Verdict == conformity.Fail && !m.TooUncertain {
			out = append(out, m.Meter)
		}
	}
	return out
}

// allTheSameWay suspects the references where every meter fails by a
// significant error of one sign while all of them agree among themselves.
func (c *Comparison) allTheSameWay() string {
	if len(c.failing()) < len(c.Meters) {
		return ""
	}
	for _, m := range c.Meters {
		if m.Off == 0 || m.Off != c.Meters[0].Off || m.WorstError*c.Meters[0].WorstError < 0 {
			return ""
		}
	}
	for _, p := range c.Pairs {
		if p.Verdict != Agree {
			return ""
		}
	}
	return "All meters agree and are off the references the same way: suspect the references first. Make a fresh one from other salt or another stock and read it with every meter."
}

// betterReferences says what a verdict needs where the references, and not the
// meter, keep it from passing, and more of them would not help.
func (c *Comparison) betterReferences() string {
	for _, m := range c.Meters {
		if m.TooUncertain && (m.Verdict == conformity.Fail || m.MoreSamples == 0 && !m.SharedLimits) {
			return fmt.Sprintf("Nothing is proved against %s: %s. Use references whose uncertainty is a third of the tolerance or less, or a wider tolerance.", m.Meter, c.tooUncertain(m))
		}
	}
	return ""
}

// tooUncertain words Meter.TooUncertain.
func (c *Comparison) tooUncertain(m Meter) string {
	u, tolerance := c.inUnit(m.UOfTolerance*c.Tolerance.Value), c.inUnit(c.Tolerance.Value)
	return fmt.Sprintf("the references are too uncertain for a tolerance of %s (u of its error: %s), and no meter could pass", tolerance, u)
}

// inUnit writes a size as the tolerance is given.
func (c *Comparison) inUnit(x float64) string {
	if c.Tolerance.Relative {
		return twoDigits(100*x) + " %"
	}
	return twoDigits(x)
}

// moreReferences says what would decide the meters that are undecided.
func (c *Comparison) moreReferences() string {
	for _, m := range c.Meters {
		switch {
		case m.Verdict != conformity.Undecided:
		case m.SharedLimits:
			return fmt.Sprintf("Read %s in a reference from another source: the error that the present ones share is what leaves it undecided.", m.Meter)
		case m.MoreSamples > 0:
			return fmt.Sprintf("About %s would decide %s, at the scatter seen so far.", count(m.MoreSamples, "more reference"), m.Meter)
		case m.Basis == NoBasis:
			return fmt.Sprintf("Read %s in three or more references of different strength, or give u_ref and u_reading.", m.Meter)
		default:
			return fmt.Sprintf("%s lies so near the edge of the tolerance that more references of this quality will not decide it: calibrate it, or use better references.", m.Meter)
		}
	}
	return ""
}

// morePairs says how many more samples would decide the pairs that are
// undecided. No more of them would bring two displays together.
func (c *Comparison) morePairs(s *Set) string {
	for _, p := range c.Pairs {
		switch {
		case p.Verdict != Undecided, s.displaysDiffer(p.A, p.B):
		case p.InTolerance.N == 0:
			return "Give the tolerance in the unit of the readings, such as --tolerance 10: of readings of 0 a tolerance in percent allows nothing. Or read samples that are not 0."
		case p.MoreSamples > 0:
			return fmt.Sprintf("About %s, read by both %s and %s, would decide whether they agree.", count(p.MoreSamples, "more sample"), p.A, p.B)
		case p.Bias.Basis == NoBasis:
			return fmt.Sprintf("Read at least two more samples of different strength with both %s and %s.", p.A, p.B)
		default:
			return fmt.Sprintf("The difference of %s and %s lies at the edge of the tolerance: more than %d further samples would be needed to decide.", p.A, p.B, mostSamples)
		}
	}
	return ""
}

// noReference says what two meters cannot tell, and what the cheapest reference
// for this range is.
func (c *Comparison) noReference(s *Set) string {
	meters := "Meters alone"
	if len(c.Meters) == 2 {
		meters = "Two meters alone"
	}
	reference := traitOf(c.Kind).reference
	if c.Kind == check.EC {
		reference = recipeFor(s)
	}
	return fmt.Sprintf("%s cannot tell which of them is right; a reference can. The cheapest one: %s.", meters, reference)
}

// recipeFor names the command for a reference in the middle of the range that
// the meters read: in the unit of the first one whose display is known, else in
// a unit guessed from the size of the numbers and said as such, since readings
// carry none.
func recipeFor(s *Set) string {
	const command = "salt water in the middle of this range (`brinemark recipe --salt NaCl --target %s --batch 500mL`%s)"
	const standard = 1400 // uS/cm, where the range itself cannot be made
	var all []float64
	for _, m := range s.Meters {
		values := s.positive(m)
		all = append(all, values...)
		if factor, known := s.Factors[m]; known && len(values) > 0 {
			if middle := median(values); inModel(middle / factor) {
				return fmt.Sprintf(command, targetOn(middle, factor), "")
			}
		}
	}
	if len(s.Factors) > 0 {
		return fmt.Sprintf(command, targetOn(standard, 1), "")
	}
	// Tubs are kept at 0.7 to 5 mS/cm (common practice), so numbers above 20
	// are rarely mS/cm and numbers below it rarely uS/cm.
	const border = 20
	factor, middle := 1.0, median(all)
	if middle < border {
		factor = 0.001
	}
	if !inModel(middle / factor) {
		factor, middle = 1, standard
	}
	return fmt.Sprintf(command, targetOn(middle, factor), ", if the readings are in "+displayUnit(factor))
}

// positive are a meter's mean readings above 0.
func (s *Set) positive(meter string) []float64 {
	var values []float64
	for _, c := range s.cellsOf(meter) {
		if v := c.mean(); v > 0 {
			values = append(values, v)
		}
	}
	return values
}

// inModel says that a conductivity in uS/cm can be made; the range is that of
// the conductivity model, see package solutions.
func inModel(uS float64) bool {
	const lowest, highest = 10, 100000
	return uS >= lowest && uS <= highest
}

// targetOn writes a strength as what a display shows.
func targetOn(value, factor float64) string {
	if factor == 1 || factor == 0.001 {
		return twoDigits(value) + displayUnit(factor)
	}
	return fmt.Sprintf("%sppm@%g", twoDigits(value), factor)
}

// twoDigits rounds to two significant digits.
func twoDigits(x float64) string {
	if x == 0 {
		return "0"
	}
	place := math.Pow10(int(math.Floor(math.Log10(x))) - 1)
	return strconv.FormatFloat(math.Round(x/place)*place, 'g', 6, 64)
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
