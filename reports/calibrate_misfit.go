package reports

import (
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
)

// CalibrateMisfit says that the points do not lie on a line, and why where one
// bottle, or two that changed places, explain it.
type CalibrateMisfit struct {
	P       Number          `json:"p"`      // the chance that sound points scatter so
	Bottle  *string         `json:"bottle"` // null where none is named, or it has no name
	Row     *int            `json:"row"`    // of the file, or the point's number; the first of the bottle's
	Ref     Number          `json:"ref"`
	Reading Number          `json:"reading"`
	Swapped List[string]    `json:"swapped"` // the two bottles, or references, that changed places
	Without *CalibrateRetry `json:"without"`
}

// CalibrateRetry is the meter judged without what does not fit.
type CalibrateRetry struct {
	Fit     CalibrateFit `json:"fit"`
	PWithin Number       `json:"p_within"`
	Verdict *string      `json:"verdict"`
}

func newCalibrateMisfit(r *check.Result) *CalibrateMisfit {
	m := r.Misfit
	if m == nil {
		return nil
	}
	out := &CalibrateMisfit{P: finite(m.P)}
	switch {
	case m.Swapped != nil:
		for _, rows := range m.Swapped {
			row := r.Rows[rows[0]]
			called := row.Bottle
			if called == "" {
				called = typedOr(row.RefText, row.Ref)
			}
			out.Swapped = append(out.Swapped, called)
		}
	case m.Rows != nil:
		row := r.Rows[m.Rows[0]]
		out.Bottle, out.Row = wordOrNull(row.Bottle), rowNumber(row.Name, m.Rows[0])
		out.Ref, out.Reading = Known(row.Ref), Known(row.Reading)
	}
	if w := m.Without; w != nil {
		out.Without = &CalibrateRetry{Fit: newCalibrateFit(w), PWithin: finite(w.PWithin), Verdict: wordOrNull(string(w.Verdict))}
	}
	return out
}

// rowNumber is the number in "row 3" or "point 2", else the row's place from 1.
func rowNumber(name string, i int) *int {
	n := i + 1
	if _, number, ok := strings.Cut(name, " "); ok {
		if v, err := strconv.Atoi(number); err == nil {
			n = v
		}
	}
	return &n
}
