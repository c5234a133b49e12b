package logbook

import "time"

// Event is something that happened to a meter.
type Event struct {
	Head
	Meter string    `json:"meter"`
	Time  time.Time `json:"time"`
	// Event is adjusted, cleaned, replaced (the electrode or cell), battery
	// (a new one), or note.
	Event string `json:"event"`
	Note  string `json:"note,omitempty"`

	noReadings
}

// EventWords are the events there are.
func EventWords() []string { return []string{"adjusted", "cleaned", "replaced", "battery", "note"} }

func (e *Event) kind() Kind { return KindEvent }

func (e *Event) columns() []column {
	return []column{
		{"meter", &e.Meter},
		{"time", moment{&e.Time}},
		{"event", &e.Event},
		{"note", optionalText{&e.Note}},
	}
}

func (e *Event) references() []reference { return []reference{{KindMeter, e.Meter, "meter"}} }

func (e *Event) tidy() { tidyTime(&e.Time) }

func (e *Event) inspect(in *inspector) {
	in.name("meter", e.Meter, false)
	in.time("time", e.Time)
	in.word("event", e.Event, EventWords()...)
	in.text("note", e.Note)
	if e.Event == "note" && e.Note == "" {
		in.fault("note", "nothing", "the words of the note")
	}
}
