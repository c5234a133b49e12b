package blocks

import (
	"errors"
	"io"
)

// ErrLongRow is a row longer than a [Cutter] takes.
var ErrLongRow = errors.New("a row that does not end")

// Limits say how large stretches are, in bytes.
type Limits struct {
	Size int // about how much a stretch holds, above 0
	Most int // the longest row
}

// Cutter reads a text in stretches of whole rows.
type Cutter struct {
	r      io.Reader
	limits Limits
	// lastEnd returns where the last whole row of a text that begins with a row
	// ends, behind its line end, or 0.
	lastEnd func(text []byte) int
	rest    []byte // read, and behind the last whole row
	err     error  // of the reader; no more is read
}

// NewCutter returns a Cutter. lastEnd is given a text that begins where a row
// does, and returns where the last row that is whole ends, behind its line end,
// or 0 where none is.
func NewCutter(r io.Reader, limits Limits, lastEnd func(text []byte) int) *Cutter {
	return &Cutter{r: r, limits: limits, lastEnd: lastEnd}
}

// Next reads the next stretch into buf and returns it: whole rows, the last of
// them with its line end unless the text ends without. Behind the last stretch
// the error is io.EOF. Where the reader fails, the whole rows before are
// returned first and its error with the next call. With [ErrLongRow] comes what
// was read of that row.
func (c *Cutter) Next(buf []byte) ([]byte, error) {
	buf = append(buf[:0], c.rest...)
	c.rest = c.rest[:0]
	for c.err == nil {
		buf = c.fill(buf)
		if c.err == io.EOF {
			break
		}
		if end := c.lastEnd(buf); end > 0 {
			c.rest = append(c.rest, buf[end:]...)
			return buf[:end], nil
		}
		if len(buf) > c.limits.Most {
			return buf, ErrLongRow
		}
	}
	if c.err == io.EOF && len(buf) > 0 {
		return buf, nil
	}
	return buf[:0], c.err
}

// fill reads on until buf holds a stretch, or some more than it did, or the
// reader fails.
func (c *Cutter) fill(buf []byte) []byte {
	want := max(c.limits.Size, len(buf)+c.limits.Size/4+1)
	if cap(buf) < want {
		buf = append(make([]byte, 0, want), buf...)
	}
	for idle := 0; len(buf) < want && c.err == nil; idle++ {
		var n int
		n, c.err = c.r.Read(buf[len(buf):want])
		buf = buf[:len(buf)+n]
		if n > 0 {
			idle = 0
		} else if idle == mostIdle && c.err == nil {
			c.err = io.ErrNoProgress
		}
	}
	return buf
}

// mostIdle is how often a reader may return nothing and no error.
const mostIdle = 100
