package reports

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
)

// WriteJSON writes v as one JSON object followed by a line feed: keys in the
// order of the struct's fields, indented by two spaces, "<" and "&" as they
// are. A NaN, an infinity or a value that is not an object is an error, and
// then nothing is written.
func WriteJSON(w io.Writer, v any) error {
	compact, err := marshal(v)
	if err != nil {
		return fmt.Errorf("write JSON: %w", err)
	}
	if len(compact) == 0 || compact[0] != '{' {
		return fmt.Errorf("write JSON: %T is not an object", v)
	}
	var b bytes.Buffer
	if err := json.Indent(&b, compact, "", "  "); err != nil {
		return fmt.Errorf("write JSON: %w", err)
	}
	b.WriteByte('\n')
	_, err = w.Write(b.Bytes())
	return err
}

// marshal is json.Marshal without the escapes meant for HTML.
func marshal(v any) ([]byte, error) {
	var b bytes.Buffer
	encoder := json.NewEncoder(&b)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimRight(b.Bytes(), "\n"), nil
}
