package reports

import (
	"encoding/json"
	"slices"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
)

// ComparisonEntry is a comparison on record, as one of its meters sees it.
type ComparisonEntry struct {
	ID   string       `json:"id"`
	Time string       `json:"time"`
	With List[string] `json:"with"` // the other meters, as they were named
	// Verdict and WorstError are the meter's against the references; null where
	// there were none, or no tolerance.
	Verdict    *string `json:"verdict"`
	WorstError Number  `json:"worst_error"` // a fraction where worst_error_relative
	Relative   bool    `json:"worst_error_relative"`
	Note       *string `json:"note"`
}

// newComparisonEntry makes the entry of a meter by its name on record.
func newComparisonEntry(c logbook.Comparison, meter string) ComparisonEntry {
	e := ComparisonEntry{ID: c.ID, Time: c.Time.Format(time.RFC3339), Note: wordOrNull(c.Note)}
	named := "" // as it was called in the table
	for _, r := range c.Readings {
		switch {
		case r.MeterID == meter:
			named = r.Meter
		case !slices.Contains(e.With, r.Meter):
			e.With = append(e.With, r.Meter)
		}
	}
	// What the command printed then; a result without these keys has none.
	var printed struct {
		Meters []struct {
			Meter      string  `json:"meter"`
			Verdict    *string `json:"verdict"`
			WorstError Number  `json:"worst_error"`
			Relative   bool    `json:"worst_error_relative"`
		} `json:"meters"`
	}
	if json.Unmarshal(c.Result, &printed) != nil {
		return e
	}
	for _, m := range printed.Meters {
		if m.Meter == named {
			e.Verdict, e.WorstError, e.Relative = m.Verdict, m.WorstError, m.Relative
		}
	}
	return e
}
