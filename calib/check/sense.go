package check

import (
	"fmt"
	"math"
)

// span is a closed range of figures that make sense, declared once for check, message and doc.
type span struct {
	low, high float64
	hint      string
}

// refSpan are the references that can be. Conductivity, oxygen and carbon dioxide have no upper
// end here: their unit is the reader's.
var refSpan = map[Kind]span{
	EC:          {0, math.Inf(1), "nothing conducts less than not at all"},
	PH:          {0, 14, "a buffer's pH"},
	Temperature: {-80, 300, "a temperature in C"},
	Humidity:    {0, 100, "a relative humidity in %"},
	Oxygen:      {0, math.Inf(1), "a concentration is not negative"},
	CO2:         {0, math.Inf(1), "a concentration is not negative"},
}

// tempSpan is the range of temp_C: that of liquids on a bench. Above it stand room temperatures
// written in Fahrenheit, 59 F being 15 C.
var tempSpan = span{-5, 50, "a temperature in C; is this one in Fahrenheit?"}

// steamSpan is the range of temp_C for a thermometer, which may stand in steam.
var steamSpan = span{-80, 110, "a temperature in C; is this one in Fahrenheit?"}

// humiditySpan is the range of what a humidity sensor shows: it may err by some percent beyond both ends.
var humiditySpan = span{-10, 110, "the relative humidity shown, in %"}

// thousandLow and thousandHigh bound the ratio of reading to reference (or its inverse) that is
// taken for a slip between units a thousand times apart, such as mS/cm and uS/cm.
const thousandLow, thousandHigh = 500.0, 2000.0

// checkSense refuses rows in which reference and reading cannot be in the unit they should be in.
// For Other a thousandfold ratio is only worth a warning: a raw signal may be of any size.
func checkSense(rows []Row, kind Kind) (warnings []string, err error) {
	for i, r := range rows {
		if s, ok := refSpan[kind]; ok && !(r.Ref >= s.low && r.Ref <= s.high) {
			return nil, &RowError{Row: i, Column: ColumnRef, Found: number(r.Ref), Want: s.String(), Cause: ErrOutOfRange}
		}
		temps := tempSpan
		if kind == Temperature {
			temps = steamSpan
		}
		if r.TempC != nil && !temps.holds(*r.TempC) {
			return nil, &RowError{Row: i, Column: ColumnTempC, Found: number(*r.TempC), Want: temps.String(), Cause: ErrOutOfRange}
		}
		if kind == Humidity && !humiditySpan.holds(r.Reading) {
			return nil, &RowError{Row: i, Column: ColumnReading, Found: number(r.Reading), Want: humiditySpan.String(), Cause: ErrOutOfRange}
		}
		if kind == PH && (r.Reading < -2 || r.Reading > 16) {
			return nil, &RowError{Row: i, Column: ColumnReading, Found: number(r.Reading),
				Want: "the pH shown, from -2 to 16; a potential belongs into column mv", Cause: ErrWrongUnit}
		}
		if r.Ref == 0 || r.Reading == 0 || kind == Temperature {
			continue
		}
		ratio := math.Abs(r.Reading / r.Ref)
		if off := math.Max(ratio, 1/ratio); off < thousandLow || off > thousandHigh {
			continue
		}
		word := "larger"
		if ratio < 1 {
			word = "smaller"
		}
		if kind == Other {
			warnings = append(warnings, fmt.Sprintf("%s: the reading %s is about a thousand times %s than the reference %s; are both in one unit?",
				name(rows, i), number(r.Reading), word, number(r.Ref)))
			continue
		}
		return nil, &RowError{Row: i, Column: ColumnReading, Cause: ErrWrongUnit,
			Found: fmt.Sprintf("%s, about a thousand times %s than the reference %s", number(r.Reading), word, number(r.Ref)),
			Want:  "reading and reference in one unit" + thousandHint(kind)}
	}
	if kind == Temperature && looksFahrenheit(rows) {
		return nil, &RowError{Row: len(rows) - 1, Column: ColumnReading, Found: number(rows[len(rows)-1].Reading),
			Want: "a reading in C; these are what a thermometer in Fahrenheit shows", Cause: ErrWrongUnit}
	}
	return warnings, nil
}

func thousandHint(k Kind) string {
	if k == EC {
		return ", such as uS/cm (1 mS/cm is 1000 uS/cm)"
	}
	return ""
}

// looksFahrenheit tells readings that follow 32 + 1.8 C within three degrees in every row, and
// differ from the reference by more than ten.
func looksFahrenheit(rows []Row) bool {
	for _, r := range rows {
		if math.Abs(r.Reading-(32+1.8*r.Ref)) > 3 || math.Abs(r.Reading-r.Ref) < 10 {
			return false
		}
	}
	return true
}

func (s span) holds(v float64) bool { return v >= s.low && v <= s.high }

// String words the range.
func (s span) String() string {
	if math.IsInf(s.high, 1) {
		return fmt.Sprintf("%g or more (%s)", s.low, s.hint)
	}
	return fmt.Sprintf("%g to %g (%s)", s.low, s.high, s.hint)
}
