package check

import (
	"fmt"
	"math"
)

// belowZero is how far below 0 a conductivity meter may show in water, as a fraction of the largest
// reference read with it, or stepsBelow steps of its display where that is more: a zero a little off. What
// lies beyond is a slip of the pen or a broken meter, and no line goes through it. Common practice, no source.
const (
	belowZero  = 0.05
	stepsBelow = 3
)

// BelowNothing says what would be right for a reading of a conductivity meter that is too far below 0, the
// largest figure read beside it being largest (0: nothing to go by); "" where it may be.
func BelowNothing(kind Kind, reading, largest float64, text string) string {
	if kind != EC || reading >= 0 || largest == 0 {
		return ""
	}
	limit := math.Max(belowZero*largest, stepsBelow*math.Pow10(-decimals(text, reading)))
	if reading >= -limit {
		return ""
	}
	return fmt.Sprintf("%.3g or more: a conductivity is not negative, and a zero that is off shows little below 0", -limit)
}

// checkNegative refuses such readings among rows.
func checkNegative(rows []Row, kind Kind) error {
	var largest float64
	for _, row := range rows {
		largest = math.Max(largest, row.Ref)
	}
	for i, row := range rows {
		if want := BelowNothing(kind, row.Reading, largest, row.ReadingText); want != "" {
			return &RowError{Row: i, Column: ColumnReading, Found: asTyped(row.ReadingText, row.Reading), Want: want, Cause: ErrOutOfRange}
		}
	}
	return nil
}
