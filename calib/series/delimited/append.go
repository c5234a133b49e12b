package delimited

import "strings"

// AppendField appends a field that says text, in quotes where it needs them.
func (f Form) AppendField(to []byte, text string) []byte {
	if !strings.ContainsAny(text, "\"\r\n"+string(rune(f.Separator))) {
		return append(to, text...)
	}
	to = append(to, '"')
	to = append(to, strings.ReplaceAll(text, `"`, `""`)...)
	return append(to, '"')
}
