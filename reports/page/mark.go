package page

// Mark says what a word is worth. It never stands alone: the word itself says it,
// and beside its colours each mark has a sign and a frame of its own.
type Mark string

// The marks.
const (
	NoMark  Mark = ""
	Good    Mark = "good"
	Bad     Mark = "bad"
	Open    Mark = "open"    // undecided
	Untold  Mark = "untold"  // nothing is known of it
	Overdue Mark = "overdue" // a day that is past
)

// Marks lists them.
func Marks() []Mark { return []Mark{Good, Bad, Open, Untold, Overdue} }

// Verdict is the mark of a verdict's word, or of the state of a meter.
func Verdict(word string) Mark {
	switch word {
	case "pass", "agree":
		return Good
	case "fail", "disagree":
		return Bad
	case "undecided":
		return Open
	case "not-checked":
		return Untold
	}
	return NoMark
}
