package delimited

// separators are tried in this order; the first wins a tie.
var separators = []byte{',', ';', '\t'}

// byteOrderMark may begin a UTF-8 text.
const byteOrderMark = "\uFEFF"

// SkipByteOrderMark returns the number of bytes of the byte-order mark that text
// begins with, or 0.
func SkipByteOrderMark(text []byte) int {
	if len(text) >= len(byteOrderMark) && string(text[:len(byteOrderMark)]) == byteOrderMark {
		return len(byteOrderMark)
	}
	return 0
}

// Detect chooses the separator under which the first row of the text has most
// of the names that wanted accepts, and then most fields.
func Detect(text []byte, wanted func(name string) bool) Form {
	best, bestKnown, bestFields := Form{separators[0]}, -1, -1
	for _, separator := range separators {
		form := Form{separator}
		fields, err := form.Header(text)
		if err != nil {
			continue
		}
		known := 0
		for _, name := range fields {
			if wanted(name) {
				known++
			}
		}
		if known > bestKnown || known == bestKnown && len(fields) > bestFields {
			best, bestKnown, bestFields = form, known, len(fields)
		}
	}
	return best
}

// Header returns the names in the first row that is not an empty line. A text
// without one has none.
func (f Form) Header(text []byte) ([]string, error) {
	at := SkipByteOrderMark(text)
	for at < len(text) {
		fields, _, next, err := f.Row(text, at, nil)
		if err != nil {
			return nil, err
		}
		if len(fields) > 0 {
			names := make([]string, len(fields))
			for i, field := range fields {
				names[i] = string(field.Value(text, nil))
			}
			return names, nil
		}
		at = next
	}
	return nil, nil
}
