package reports

import (
	"io"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
)

// EventEntry is something that happened to a meter, on record.
type EventEntry struct {
	ID         string  `json:"id"`
	Meter      string  `json:"meter"`
	Time       string  `json:"time"`
	Event      string  `json:"event"`
	Note       *string `json:"note"`
	RecordedAt string  `json:"recorded_at"`
	Supersedes *string `json:"supersedes"`
	Superseded bool    `json:"superseded"`
}

func newEventEntry(e logbook.Event) EventEntry {
	return EventEntry{
		ID: e.ID, Meter: e.Meter, Time: e.Time.Format(time.RFC3339), Event: e.Event, Note: wordOrNull(e.Note),
		RecordedAt: e.RecordedAt.Format(time.RFC3339), Supersedes: wordOrNull(e.Supersedes),
	}
}

// EventAdded is an event that was put on record.
type EventAdded struct {
	EventEntry
	Warnings Warnings `json:"warnings"`
}

// NewEventAdded makes the result.
func NewEventAdded(e logbook.Event, warnings []string) *EventAdded {
	return &EventAdded{newEventEntry(e), warnings}
}

// WarningList gives the warnings.
func (r *EventAdded) WarningList() []string { return r.Warnings }

// Table writes the event for people.
func (r *EventAdded) Table(w io.Writer, s Style) error {
	var f Fields
	f.Add("meter", r.Meter)
	f.Add("event", r.Event)
	f.Add("time", minute(r.Time)+" UTC")
	if r.Note != nil {
		f.Add("note", *r.Note)
	}
	f.Add("on record", day(r.RecordedAt)+" as "+r.ID)
	return f.Write(w, s)
}
