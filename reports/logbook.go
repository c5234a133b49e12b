package reports

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"

	"github.com/brinemark/brinemark/calib/logbook"
)

// LogbookCheck is what a check of the record found.
type LogbookCheck struct {
	OK       bool         `json:"ok"`
	Records  int          `json:"records"` // of all kinds, superseded ones included
	File     string       `json:"-"`
	Problems List[string] `json:"problems"`
	Warnings Warnings     `json:"warnings"`
}

// NewLogbookCheck makes the result.
func NewLogbookCheck(file string, h *logbook.Health) *LogbookCheck {
	return &LogbookCheck{OK: h.OK(), Records: h.Records, File: file, Problems: h.Problems, Warnings: h.Warnings}
}

// WarningList gives the warnings.
func (r *LogbookCheck) WarningList() []string { return r.Warnings }

// Table writes what was found for people.
func (r *LogbookCheck) Table(w io.Writer, s Style) error {
	var f Fields
	f.Add("record", r.File)
	f.Add("holds", count(r.Records, "row"))
	if r.OK {
		f.Add("found", "nothing wrong")
		return f.Write(w, s)
	}
	f.Add("found", count(len(r.Problems), "problem"))
	if err := f.Write(w, s); err != nil {
		return err
	}
	if err := writeList(w, s, "Problems", "- ", r.Problems); err != nil {
		return err
	}
	return writeList(w, s, "What to do", "- ", []string{
		"Keep this file as it is, and copy it elsewhere.",
		"Go back to the last backup or export that a check finds sound, and enter what came after it again.",
	})
}

// LogbookExport is the record as one JSON object, for those who want no lines.
type LogbookExport struct {
	Records  List[json.RawMessage] `json:"records"`
	Warnings Warnings              `json:"warnings"`
}

// NewLogbookExport makes the result of the lines of an export.
func NewLogbookExport(lines []byte) *LogbookExport {
	out := &LogbookExport{}
	for line := range bytes.Lines(lines) {
		out.Records = append(out.Records, bytes.TrimSuffix(line, []byte("\n")))
	}
	return out
}

// WarningList gives the warnings.
func (r *LogbookExport) WarningList() []string { return r.Warnings }

// Table writes the lines as they are.
func (r *LogbookExport) Table(w io.Writer, _ Style) error {
	for _, line := range r.Records {
		if _, err := w.Write(append(line, '\n')); err != nil {
			return err
		}
	}
	return nil
}

// LogbookImported is what an import did.
type LogbookImported struct {
	File     string   `json:"file"`
	Added    int      `json:"added"`
	Known    int      `json:"known"` // rows that were on record already
	Warnings Warnings `json:"warnings"`
}

// NewLogbookImported makes the result.
func NewLogbookImported(file string, done logbook.Imported) *LogbookImported {
	return &LogbookImported{File: file, Added: done.Added, Known: done.Known}
}

// WarningList gives the warnings.
func (r *LogbookImported) WarningList() []string { return r.Warnings }

// Table writes what was done for people.
func (r *LogbookImported) Table(w io.Writer, s Style) error {
	var f Fields
	f.Add("record", r.File)
	f.Add("added", count(r.Added, "row"))
	f.Add("there already", count(r.Known, "row"))
	return f.Write(w, s)
}

// LogbookBackup is a copy that was made.
type LogbookBackup struct {
	File     string   `json:"file"`
	Backup   string   `json:"backup"`
	Warnings Warnings `json:"warnings"`
}

// NewLogbookBackup makes the result.
func NewLogbookBackup(file, backup string) *LogbookBackup {
	return &LogbookBackup{File: file, Backup: backup}
}

// WarningList gives the warnings.
func (r *LogbookBackup) WarningList() []string { return r.Warnings }

// Table writes what was done for people.
func (r *LogbookBackup) Table(w io.Writer, _ Style) error {
	_, err := fmt.Fprintf(w, "%s is copied to %s\n", r.File, r.Backup)
	return err
}
