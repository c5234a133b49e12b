package logbook

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/brinemark/brinemark/calib/quantity"
)

// line is the row's line of export, without the line feed: JSON with the keys
// in the order of the struct. It is a pure function of the row, and the same
// in every version of the program: a key that a later version adds is left out
// where it is empty.
func line(r Record) ([]byte, error) { return marshal(r) }

// digest is what tells two rows apart.
func digest(line []byte) []byte {
	sum := sha256.Sum256(line)
	return sum[:]
}

// marshal is json.Marshal without the escapes meant for HTML.
func marshal(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

// unmarshal reads one JSON value and refuses keys nobody knows: a newer program
// wrote them, and without them the row would be another.
func unmarshal(text []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return plainJSON(err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errors.New("found more than one JSON value")
	}
	return nil
}

// plainJSON words the errors of the JSON package.
func plainJSON(err error) error {
	var kind *json.UnmarshalTypeError
	var moment *time.ParseError
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return errors.New("found the end in the middle of a JSON object")
	case errors.As(err, &kind):
		return fmt.Errorf("%s: found a JSON %s", kind.Field, kind.Value)
	case errors.As(err, &moment):
		return fmt.Errorf("found the time %s; want one such as 2026-03-01T08:30:00Z", quantity.Quoted(strings.Trim(moment.Value, `"`)))
	case strings.HasPrefix(err.Error(), "json: unknown field "):
		return fmt.Errorf("found a key that this version does not know, %s; a newer brinemark may have written it", strings.TrimPrefix(err.Error(), "json: unknown field "))
	}
	return fmt.Errorf("not JSON: %w", err)
}

// parseLine reads one line of an export.
func parseLine(text []byte) (Record, error) {
	if !utf8.Valid(text) {
		return nil, errors.New("found bytes that are not UTF-8 text")
	}
	if err := checkKeys(text); err != nil {
		return nil, err
	}
	var head struct {
		Kind *Kind   `json:"kind"`
		ID   *string `json:"id"`
	}
	if err := json.Unmarshal(text, &head); err != nil {
		return nil, plainJSON(err)
	}
	if head.Kind == nil || head.ID == nil {
		return nil, errors.New(`found no "kind" and "id"; want a line of an export`)
	}
	r := kindOf(*head.Kind)
	if r == nil {
		return nil, fmt.Errorf("found the kind %s; want meter, bottle, calibration, comparison or event", quantity.Quoted(string(*head.Kind)))
	}
	return r, unmarshal(text, r)
}

// maxDepth is how deep JSON may be nested; exports stay below ten.
const maxDepth = 100

// checkKeys refuses a key that comes twice in one object, of which a JSON
// reader keeps one or the other, and the same word in another case, which it
// takes for the same key.
func checkKeys(text []byte) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	token, err := d.Token()
	if err != nil {
		return plainJSON(err)
	}
	if token != json.Delim('{') {
		return errors.New("found no JSON object")
	}
	return walkObject(d, true, 1)
}

// walkObject reads an object behind its opening brace. Results of other
// commands, kept as they are, may tell upper from lower case.
func walkObject(d *json.Decoder, fold bool, depth int) error {
	if depth > maxDepth {
		return fmt.Errorf("found JSON nested more than %d deep", maxDepth)
	}
	seen := map[string]bool{}
	for d.More() {
		token, err := d.Token()
		if err != nil {
			return plainJSON(err)
		}
		key, ok := token.(string)
		if !ok {
			return errors.New("not JSON")
		}
		name := key
		if fold {
			name = strings.ToLower(key)
		}
		if seen[name] {
			return fmt.Errorf("found the key %s twice", quantity.Quoted(key))
		}
		seen[name] = true
		if err := walkValue(d, fold && name != "result" && name != "made", depth+1); err != nil {
			return err
		}
	}
	_, err := d.Token()
	return plainOrNil(err)
}

// walkValue reads any value.
func walkValue(d *json.Decoder, fold bool, depth int) error {
	if depth > maxDepth {
		return fmt.Errorf("found JSON nested more than %d deep", maxDepth)
	}
	token, err := d.Token()
	if err != nil {
		return plainJSON(err)
	}
	switch token {
	case json.Delim('{'):
		return walkObject(d, fold, depth)
	case json.Delim('['):
		for d.More() {
			if err := walkValue(d, fold, depth+1); err != nil {
				return err
			}
		}
		_, err := d.Token()
		return plainOrNil(err)
	}
	return nil
}

func plainOrNil(err error) error {
	if err == nil {
		return nil
	}
	return plainJSON(err)
}
