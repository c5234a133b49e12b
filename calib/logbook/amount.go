package logbook

import (
	"github.com/brinemark/brinemark/calib/uncert"
)

// Amount is a number with the named sources of its uncertainty, as it is kept.
// Sources keep their identity, so amounts read back at different times are
// still correlated where they share one.
type Amount struct {
	Value float64               `json:"value"`
	Parts []uncert.Contribution `json:"parts,omitempty"` // none: exact
}

// Keep makes an Amount of a value.
func Keep(v uncert.Value) *Amount { return &Amount{Value: v.Nominal(), Parts: v.Parts()} }

// Uncertain gives the value back, with its sources. Errors as for
// [uncert.FromParts].
func (a Amount) Uncertain() (uncert.Value, error) { return uncert.FromParts(a.Value, a.Parts) }

// tidyAmount writes an amount in the one way [Keep] would.
func tidyAmount(a *Amount) {
	if a == nil {
		return
	}
	if v, err := a.Uncertain(); err == nil {
		*a = *Keep(v)
	}
	tidyNumbers(&a.Value)
	if len(a.Parts) == 0 {
		a.Parts = nil
	}
}

// tidyParts does the same for the sources alone, of a value that stands in a
// column of its own.
func tidyParts(parts *Parts) {
	if v, err := uncert.FromParts(0, *parts); err == nil {
		*parts = v.Parts()
	}
	if len(*parts) == 0 {
		*parts = nil
	}
}

// Parts are the named sources of the uncertainty of a reference.
type Parts []uncert.Contribution

// amount inspects an amount that may be unknown.
func (in *inspector) amount(field string, a *Amount, l limits) {
	if a == nil {
		return
	}
	in.number(field, a.Value, l)
	in.parts(field, a.Parts)
}

func (in *inspector) parts(field string, parts []uncert.Contribution) {
	if _, err := uncert.FromParts(0, parts); err != nil {
		in.fault(field, err.Error(), "named sources of uncertainty")
	}
}
