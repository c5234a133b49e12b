package check

import "math"

// readingSpan are the readings that can be, where they have an end that no meter passes by an error
// of its own. A humidity sensor in saturated air shows a few %RH more than there can be.
var readingSpan = map[Kind]span{
	Humidity: {-10, 110, "a relative humidity in %, and what a meter may be off"},
}

// Sensible refuses a reading, a reference (nil for none) and a temperature beside them (nil for
// none) that cannot be in the unit of the kind. It looks at each alone: a reading far from its
// reference is a finding. The error is a [*RowError].
func Sensible(kind Kind, reading float64, ref, tempC *float64) error {
	if ref != nil {
		if _, err := checkSense([]Row{{Ref: *ref, Reading: *ref}}, kind); err != nil {
			return err
		}
	}
	near := reading
	if s, ok := refSpan[kind]; ok {
		near = math.Max(s.low, math.Min(s.high, reading))
	}
	if _, err := checkSense([]Row{{Ref: near, Reading: reading, TempC: tempC}}, kind); err != nil {
		return err
	}
	if s, ok := readingSpan[kind]; ok && !(reading >= s.low && reading <= s.high) {
		return &RowError{Column: ColumnReading, Found: number(reading), Want: s.String(), Cause: ErrOutOfRange}
	}
	return nil
}

// Fahrenheit tells readings that are what a thermometer in Fahrenheit shows where the others, or the
// references, are in C: all of them, and at least one.
func Fahrenheit(celsius, readings []float64) bool {
	var rows []Row
	for i := range celsius {
		rows = append(rows, Row{Ref: celsius[i], Reading: readings[i]})
	}
	return len(rows) > 0 && looksFahrenheit(rows)
}
