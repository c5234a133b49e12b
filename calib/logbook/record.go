package logbook

import "time"

// Kind says what a row is about.
type Kind string

// The kinds, in the order of the export.
const (
	KindMeter       Kind = "meter"
	KindBottle      Kind = "bottle"
	KindCalibration Kind = "calibration"
	KindComparison  Kind = "comparison"
	KindEvent       Kind = "event"
)

// kinds makes an empty row of each kind, in the order of the export.
var kinds = []struct {
	kind Kind
	make func() Record
}{
	{KindMeter, func() Record { return new(Meter) }},
	{KindBottle, func() Record { return new(Bottle) }},
	{KindCalibration, func() Record { return new(Calibration) }},
	{KindComparison, func() Record { return new(Comparison) }},
	{KindEvent, func() Record { return new(Event) }},
}

// kindOf makes an empty row of a kind; nil where there is none of that name.
func kindOf(kind Kind) Record {
	for _, k := range kinds {
		if k.kind == kind {
			return k.make()
		}
	}
	return nil
}

// scratch makes a row with one empty reading, to read into; nil for a kind
// without readings.
func scratch(k Kind) Record {
	switch k {
	case KindCalibration:
		return &Calibration{Readings: make([]Reading, 1)}
	case KindComparison:
		return &Comparison{Readings: make([]Compared, 1)}
	}
	return nil
}

// Record is a row of the record: a [*Meter], [*Bottle], [*Calibration],
// [*Comparison] or [*Event].
type Record interface {
	// kind is also the name of the row's table.
	kind() Kind
	head() *Head
	// columns are those of the table beside the ones of Head, in its order.
	columns() []column
	// readings are the rows of the table below; an empty table for none.
	readings() readings
	// references are the rows this one needs to be there.
	references() []reference
	// tidy brings what can be written in several ways into one.
	tidy()
	// inspect reports values that cannot be.
	inspect(*inspector)
}

// Head is what all rows have. Save fills in what is empty.
type Head struct {
	Kind Kind `json:"kind"`
	// ID is the identity of the row among those of its kind.
	ID string `json:"id"`
	// Supersedes is the ID of the row that this one takes the place of; empty
	// for none. A row is superseded at most once.
	Supersedes string `json:"supersedes,omitempty"`
	// RecordedAt is when it was saved, by the clock of that machine, in UTC
	// and whole microseconds.
	RecordedAt time.Time `json:"recorded_at"`
}

func (h *Head) head() *Head { return h }

// headColumns are the columns of every kind's table beside seq and digest.
func (h *Head) headColumns() []column {
	return []column{
		{"id", &h.ID},
		{"supersedes", optionalText{&h.Supersedes}},
		{"recorded_at", moment{&h.RecordedAt}},
	}
}

// reference is a row that must be there: of what kind, under what identity,
// and where it is named.
type reference struct {
	kind  Kind
	id    string
	place string
}

// readings is the list of readings of a row, as its table sees them.
type readings struct {
	table string // "" for none
	n     int
	at    func(i int) []column
	take  func(from Record) // appends the readings of another row of this kind
}

// noReadings is for the kinds without.
type noReadings struct{}

func (noReadings) readings() readings { return readings{} }
