package delimited

import "bytes"

// Field is where a field lies in the text it was found in, its quotes
// included.
type Field struct {
	Start, End int
	Quoted     bool
}

// Bytes returns the field as it stands in the text.
func (f Field) Bytes(text []byte) []byte { return text[f.Start:f.End] }

// Value returns what the field says: the text itself where it is not quoted, or
// is without a doubled quote and a CRLF inside; otherwise a new slice, appended
// to buf.
func (f Field) Value(text, buf []byte) []byte {
	raw := f.Bytes(text)
	if !f.Quoted {
		return raw
	}
	raw = raw[1 : len(raw)-1]
	if bytes.IndexByte(raw, '"') < 0 && bytes.IndexByte(raw, '\r') < 0 {
		return raw
	}
	for i := 0; i < len(raw); i++ {
		switch {
		case raw[i] == '"':
			i++ // the second of two
		case raw[i] == '\r' && i+1 < len(raw) && raw[i+1] == '\n':
			continue
		}
		buf = append(buf, raw[i])
	}
	return buf
}
