package reports

import "io"

// ReportWritten tells that a report went into a file.
type ReportWritten struct {
	Meter string // "" for the whole record
	State string
	Files []string
	// More are the warnings of the report.
	More []string
}

// WarningList gives the warnings.
func (r *ReportWritten) WarningList() []string { return r.More }

// Table writes the state and the names of the files.
func (r *ReportWritten) Table(w io.Writer, s Style) error {
	lead := ""
	if r.Meter != "" {
		lead = r.Meter + ": "
	}
	if err := Paragraph(w, s, "", lead+r.State); err != nil {
		return err
	}
	for _, f := range r.Files {
		if err := Paragraph(w, s, "written  ", f); err != nil {
			return err
		}
	}
	return nil
}
