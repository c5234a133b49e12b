package reports

import "io"

// Result is what a command hands over to be shown: the same struct is written
// as JSON by encoding/json and as a table by its own method.
type Result interface {
	// Table writes the result for people. It returns only the writer's error.
	Table(w io.Writer, s Style) error
	// WarningList gives the warnings that are part of the result, which the
	// JSON carries under "warnings".
	WarningList() []string
}

// List is a JSON list that is never null: an empty one is written [].
type List[T any] []T

// MarshalJSON writes the list, and [] for nil.
func (l List[T]) MarshalJSON() ([]byte, error) {
	if l == nil {
		return []byte("[]"), nil
	}
	return marshal([]T(l))
}

// Warnings are the warnings of a result, embedded as its "warnings" key:
//
//	Warnings Warnings `json:"warnings"`
type Warnings = List[string]
