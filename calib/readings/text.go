package readings

import (
	"bytes"
	"fmt"
	"io"
	"unicode/utf8"
)

// MaxBytes is the size of the largest file that is read, far beyond any table
// of readings taken by hand.
const MaxBytes = 64 << 20

// load reads the whole text and checks that it is text.
func load(r io.Reader, name string) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(data) > MaxBytes {
		return nil, &Error{File: name, Found: fmt.Sprintf("more than %d MiB", MaxBytes>>20),
			Want: "a table of readings in parts below that size", Err: ErrTooLarge}
	}
	if bytes.HasPrefix(data, []byte{0xFF, 0xFE}) || bytes.HasPrefix(data, []byte{0xFE, 0xFF}) {
		return nil, &Error{File: name, Found: "UTF-16 text", Want: "UTF-8: save the file as CSV UTF-8", Err: ErrEncoding}
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if err := checkText(data); err != nil {
		err.File = name
		return nil, err
	}
	return data, nil
}

// checkText finds what no text of readings has: bytes that are not UTF-8, NUL
// bytes, and rows ended by a carriage return alone.
func checkText(data []byte) *Error {
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return &Error{Row: rowAt(data, i), Found: "a NUL byte", Want: "a CSV text file", Err: ErrEncoding}
	}
	if !utf8.Valid(data) {
		i := 0
		for i < len(data) {
			r, size := utf8.DecodeRune(data[i:])
			if r == utf8.RuneError && size == 1 {
				break
			}
			i += size
		}
		return &Error{Row: rowAt(data, i), Found: fmt.Sprintf("the byte 0x%02X, which is not UTF-8", data[i]),
			Want: "UTF-8: save the file as CSV UTF-8", Err: ErrEncoding}
	}
	if bytes.IndexByte(data, '\r') >= 0 && bytes.IndexByte(data, '\n') < 0 {
		return &Error{Found: "rows ended by a carriage return alone", Want: "LF or CRLF at the end of each row",
			Err: ErrEncoding}
	}
	return nil
}

// rowAt is the line number of the byte at offset i.
func rowAt(data []byte, i int) int { return bytes.Count(data[:i], []byte{'\n'}) + 1 }
