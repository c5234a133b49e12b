package delimited

import "bytes"

// LastRowEnd returns where the last whole row of a text that begins with a row
// ends, behind its line end, or 0 where none is whole. A line end belongs to a
// field, not to the row, where the quotes before it are odd in number.
func LastRowEnd(text []byte) int {
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
