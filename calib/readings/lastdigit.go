package readings

import (
	"math"
	"strconv"
	"strings"
)

// LastDigit is the size of the last digit that a number was written with: 1 for
// 1413, 0.01 for 6.00 and 10 for 1.41e3. It is what a meter's display showed,
// as far as a person copied it; the number itself no longer tells. ok is false
// where the cell is empty or the file has no such column of numbers.
func (t *Table) LastDigit(row int, name string) (size float64, ok bool) {
	c := t.columns[name]
	if c == nil || c.column.Type != Number || c.raw[row] == "" {
		return 0, false
	}
	text := c.raw[row]
	if t.DecimalComma {
		text = strings.Replace(text, ",", ".", 1)
	}
	mantissa, exponent := strings.ToLower(text), 0
	if m, e, has := strings.Cut(mantissa, "e"); has {
		power, err := strconv.Atoi(e)
		if err != nil {
			return 0, false
		}
		mantissa, exponent = m, power
	}
	_, fraction, _ := strings.Cut(mantissa, ".")
	size = math.Pow10(exponent - len(fraction))
	return size, size > 0 && !math.IsInf(size, 1)
}
