package check

import (
	"slices"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/electrode"
	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/quantity"
)

// Result is a meter judged. Figures that are not known are NaN.
type Result struct {
	Kind Kind
	Rows []Row // as judged: stand-ins written in, zero point added

	Fit    *line.Fit
	Chosen bool   // the method was chosen here, not asked for
	Why    string // why this method
	Points []Point

	At      []line.Estimate
	Inverse []line.Inverse

	LackOfFit *LackOfFit // nil where nothing was repeated

	Misfit *Misfit // nil where the points lie on a line as far as can be told

	Tolerance  *quantity.Tolerance
	WorstError float64 // signed, as found; a fraction of the reference for a relative tolerance
	WorstRow   int     // -1 where there is none
	PWithin    float64
	// Verdict is "" without a tolerance.
	Verdict conformity.Verdict
	// VerdictBasis says in words what PWithin rests on.
	VerdictBasis string

	Electrode  *electrode.Result // nil unless pH
	MonteCarlo *MonteCarlo       // nil unless asked for

	Advice   []string
	Warnings []string

	model  doubt
	fitted trial // what the fit saw: rows, or the means of repeats
	frozen bool  // the display is the same in every buffer: there is no line, only potentials
	exact  bool  // the points lie exactly on the line, and nothing is known of what the display hides
	judged
}

// Point is one row seen from the line.
type Point struct {
	Error     float64 // reading - ref, as found
	Allowed   float64 // the tolerance at this reference; NaN without one
	Corrected float64
	Residual  float64 // ref - corrected
	Leverage  float64
	// Standardised is the residual over its own standard deviation; NaN where it cannot be told.
	Standardised float64
	Flagged      bool
}

// LackOfFit is the test of the straight line against repeats.
type LackOfFit struct {
	line.LackOfFit
	// RepeatsOf is "ref" where readings of the same reference were compared (the line of reading on
	// reference is tested), "reading" where references of the same reading were.
	RepeatsOf string
}

// warn says a thing once.
func (r *Result) warn(text string) {
	if !slices.Contains(r.Warnings, text) {
		r.Warnings = append(r.Warnings, text)
	}
}
