package jsonlines

import "encoding/json"

// AppendName appends what leads up to the value of a new member: a comma unless
// it is the first of its object, and the name.
func AppendName(to []byte, name string, first bool) []byte {
	if !first {
		to = append(to, ',')
	}
	return append(AppendString(to, name), ':')
}

// AppendString appends a text as a JSON string.
func AppendString(to []byte, text string) []byte {
	quoted, err := json.Marshal(text)
	if err != nil { // strings have none
		return append(to, `""`...)
	}
	return append(to, quoted...)
}
