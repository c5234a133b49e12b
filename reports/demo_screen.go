package reports

import (
	"io"
	"strings"
)

// writeTyped writes a command as a person types it at a prompt, and what came
// back, within the width of the screen: a long command goes on in the next line,
// and so does a message, which has no columns.
func writeTyped(w io.Writer, s Style, command, printed string) error {
	if _, err := io.WriteString(w, "\n$ "+strings.TrimLeft(inShell(command, s.width()), " ")); err != nil {
		return err
	}
	for line := range strings.Lines(printed) {
		var err error
		if lead, message, ok := strings.Cut(strings.TrimSuffix(line, "\n"), ": "); ok && (lead == "warning" || lead == "note") {
			err = Paragraph(w, s, lead+": ", message)
		} else {
			_, err = io.WriteString(w, line)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
