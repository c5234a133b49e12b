package reports

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
)

// Number is a float64 that may be unknown. The zero Number is unknown, so that
// a field nobody filled is never mistaken for a zero. In JSON an unknown
// number is null.
type Number struct {
	value float64
	known bool
}

// Known is the number x. A NaN or an infinity is kept and refused on writing.
func Known(x float64) Number { return Number{value: x, known: true} }

// Unknown is the number nobody knows.
func Unknown() Number { return Number{} }

// Maybe is x when known is true, and otherwise unknown.
func Maybe(x float64, known bool) Number {
	if !known {
		return Number{}
	}
	return Known(x)
}

// Get returns the number, and whether it is known.
func (n Number) Get() (x float64, known bool) { return n.value, n.known }

// IsKnown tells whether there is a number.
func (n Number) IsKnown() bool { return n.known }

// String writes the number in full, and "unknown" for an unknown one.
func (n Number) String() string {
	if !n.known {
		return unknown
	}
	return strconv.FormatFloat(n.value, 'g', -1, 64)
}

// MarshalJSON writes the number in full, null when it is unknown. A NaN or an
// infinity is an error: it means that a calculation went wrong unnoticed.
func (n Number) MarshalJSON() ([]byte, error) {
	if !n.known {
		return []byte("null"), nil
	}
	if math.IsNaN(n.value) || math.IsInf(n.value, 0) {
		return nil, fmt.Errorf("%v is not a number a result can hold", n.value)
	}
	return json.Marshal(n.value)
}

// UnmarshalJSON reads a number or null.
func (n *Number) UnmarshalJSON(text []byte) error {
	var x *float64
	if err := json.Unmarshal(text, &x); err != nil {
		return err
	}
	*n = Number{}
	if x != nil {
		*n = Known(*x)
	}
	return nil
}

// unknown is what a table says where a number is not known.
const unknown = "unknown"
