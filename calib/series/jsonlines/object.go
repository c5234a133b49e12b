package jsonlines

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// The causes of an error about a line.
var (
	// ErrNotAnObject is a line that holds something else.
	ErrNotAnObject = errors.New("not an object")
	// ErrSyntax is a line that is not JSON.
	ErrSyntax = errors.New("not JSON")
	// ErrCut is a line that ends within the object.
	ErrCut = errors.New("the line ends within the object")
)

// Member is a member of an object, and where in the line its value stands.
type Member struct {
	Name       string
	Start, End int
}

// Value returns a member's value as it stands in the line.
func (m Member) Value(line []byte) []byte { return line[m.Start:m.End] }

// Object finds the members of the object that a line holds, and appends them to
// members[:0]. at is where more members go.
func Object(line []byte, members []Member) (_ []Member, at int, err error) {
	members = members[:0]
	d := json.NewDecoder(bytes.NewReader(line))
	opening, err := d.Token()
	if err != nil {
		return members, 0, syntax(err)
	}
	if opening != json.Delim('{') {
		return members, 0, ErrNotAnObject
	}
	at = int(d.InputOffset())
	for d.More() {
		name, err := d.Token()
		if err != nil {
			return members, 0, syntax(err)
		}
		var raw json.RawMessage
		if err := d.Decode(&raw); err != nil {
			return members, 0, syntax(err)
		}
		at = int(d.InputOffset())
		members = append(members, Member{name.(string), at - len(raw), at})
	}
	if _, err := d.Token(); err != nil {
		return members, 0, syntax(err)
	}
	if rest := bytes.TrimLeft(line[d.InputOffset():], " \t\r\n"); len(rest) > 0 {
		return members, 0, fmt.Errorf("%w: %.20q behind the object", ErrSyntax, rest)
	}
	return members, at, nil
}

func syntax(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return ErrCut
	}
	return fmt.Errorf("%w: %w", ErrSyntax, err)
}

// LastLineEnd returns where the last whole line of a text ends, behind its line
// end, or 0 where none is whole. Line ends do not stand inside JSON strings.
func LastLineEnd(text []byte) int { return bytes.LastIndexByte(text, '\n') + 1 }
