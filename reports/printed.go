package reports

import "io"

// Printed is a text for another program to read, such as the completion of a
// shell or a page of a manual.
type Printed struct {
	Of       string   `json:"of"`
	Text     string   `json:"text"`
	Warnings Warnings `json:"warnings"`
}

// Table writes the text as it is.
func (r *Printed) Table(w io.Writer, _ Style) error {
	_, err := io.WriteString(w, r.Text)
	return err
}

// WarningList gives the warnings.
func (r *Printed) WarningList() []string { return r.Warnings }
