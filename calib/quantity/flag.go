package quantity

import "strings"

// Flag is a quantity as a command-line flag: Set and String are the pair that
// flag packages ask for. A flag that may be given several times keeps them all.
type Flag struct {
	Allowed []Kind
	Given   []Quantity
}

// Set parses one occurrence of the flag.
func (f *Flag) Set(text string) error {
	q, err := Parse(text, f.Allowed...)
	if err != nil {
		return err
	}
	f.Given = append(f.Given, q)
	return nil
}

// String lists what was given.
func (f *Flag) String() string {
	if f == nil {
		return ""
	}
	texts := make([]string, len(f.Given))
	for i, q := range f.Given {
		texts[i] = q.String()
	}
	return strings.Join(texts, ", ")
}
