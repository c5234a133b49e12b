package reports

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/uncert"
)

// incompleteDigits is the most digits a value of a reference is printed with
// while some of its uncertainty is unknown: what is known of it does not
// support more. House rule.
const incompleteDigits = 5

// statedU is the standard uncertainty of a value from what was stated. It is
// unknown where something is unstated and nothing else is known: a zero there
// would say that the value is exact.
func statedU(v uncert.Value) Number {
	u := v.U()
	return Maybe(u, u > 0 || len(v.Unstated()) == 0)
}

// unstatedNames are the sources that u leaves out, in words.
func unstatedNames(v uncert.Value) []string {
	var names []string
	for _, s := range v.Unstated() {
		names = append(names, s.Label)
	}
	return names
}

// roundReference writes a value and its standard uncertainty: the uncertainty
// to two digits, the value to the same place, but no finer than decimals (of
// the published table; 0 for none) and, where some of the uncertainty is
// unstated, to no more than incompleteDigits.
func roundReference(value float64, u Number, decimals int, incomplete bool) (valueText, uText string) {
	size, known := u.Get()
	if known && size == 0 && !incomplete && decimals == 0 {
		return Round(value, u)
	}
	place := leadingPlace(value, exactDigits) - (exactDigits - 1)
	uText = unknown
	if known {
		uText = Significant(size, uncertaintyDigits)
		if size > 0 {
			place = leadingPlace(size, uncertaintyDigits) - (uncertaintyDigits - 1)
		}
	}
	if incomplete || !known {
		place = max(place, leadingPlace(value, incompleteDigits)-(incompleteDigits-1))
	}
	if decimals > 0 {
		place = max(place, -decimals)
	}
	return toPlace(value, place), uText
}

// stateReference writes a value with its unit and how well it is known, such as
// "1052.5 ± 7.1 uS/cm", "1277.4 uS/cm; ± 0.38 and more: strength not stated" or
// "1413 uS/cm; u unknown: strength not stated". note follows the unit.
func stateReference(value, u Number, unit string, decimals int, unstated []string, note string) string {
	x, _ := value.Get()
	v, size := roundReference(x, u, decimals, len(unstated) > 0)
	switch {
	case !u.IsKnown():
		return strings.TrimSuffix(fmt.Sprintf("%s %s%s; u unknown: %s", v, unit, note, notStated(unstated)), ": ")
	case len(unstated) > 0:
		return fmt.Sprintf("%s %s%s; ± %s and more: %s", v, unit, note, size, notStated(unstated))
	case size == "0":
		return fmt.Sprintf("%s %s (exact)%s", v, unit, note)
	}
	return fmt.Sprintf("%s ± %s %s%s", v, size, unit, note)
}

// notStated names what is unstated, such as "strength and temperature not
// stated".
func notStated(names []string) string {
	if len(names) == 0 {
		return ""
	}
	last := len(names) - 1
	list := names[last]
	if last > 0 {
		list = strings.Join(names[:last], ", ") + " and " + list
	}
	return list + " not stated"
}
