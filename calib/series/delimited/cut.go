package delimited

import (
	"bytes"
	"errors"
	"io"
)

// ErrLongRow is a row longer than a [Cutter] takes. Mostly a quote was opened
// and never closed.
var ErrLongRow = errors.New("a row that does not end")

// MostRow is the longest row a Cutter takes, in bytes.
const MostRow = 1 << 20

// Cutter reads a text in blocks of whole rows.
type Cutter struct {
	r    io.Reader
	rest []byte // read, and behind the last whole row
	size int
	done bool
}

// NewCutter returns a Cutter of blocks of about size bytes.
func NewCutter(r io.Reader, size int) *Cutter {
	return &Cutter{r: r, size: size, rest: make([]byte, 0, size)}
}

// Next reads the next block into buf and returns it: whole rows, the last of
// them with its line end unless the text ends without. The error is io.EOF
// behind the last block, [ErrLongRow], or the reader's own; rows read before
// the reader's error come without one first.
func (c *Cutter) Next(buf []byte) ([]byte, error) {
	buf = append(buf[:0], c.rest...)
	c.rest = c.rest[:0]
	for !c.done {
		want := max(c.size, len(buf)+c.size/4+1)
		buf = grow(buf, want)
		n, err := io.ReadFull(c.r, buf[len(buf):want])
		buf = buf[:len(buf)+n]
		switch {
		case err == io.EOF || err == io.ErrUnexpectedEOF:
			c.done = true
		case err != nil:
			return buf[:0], err
		default:
			if end := lastRowEnd(buf); end > 0 {
				c.rest = append(c.rest, buf[end:]...)
				return buf[:end], nil
			}
			if len(buf) > MostRow {
				return buf[:0], ErrLongRow
			}
		}
	}
	if len(buf) == 0 {
		return buf, io.EOF
	}
	return buf, nil
}

// grow returns buf with a capacity of at least size.
func grow(buf []byte, size int) []byte {
	if cap(buf) >= size {
		return buf
	}
	return append(make([]byte, 0, size), buf...)
}

// lastRowEnd returns the end of the last whole row, or 0. A line end belongs to
// a field where the quotes before it are odd in number.
func lastRowEnd(text []byte) int {
	odd := bytes.Count(text, quote)%2 == 1
	for end := len(text); ; {
		k := bytes.LastIndexByte(text[:end], '\n')
		if k < 0 {
			return 0
		}
		if bytes.Count(text[k:end], quote)%2 == 1 {
			odd = !odd
		}
		if !odd {
			return k + 1
		}
		end = k
	}
}

var quote = []byte{'"'}
