package electrode

import (
	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/scatter"
	"github.com/brinemark/brinemark/calib/uncert"
)

// Basis says what the electrode was judged by.
type Basis string

// Bases.
const (
	ByMV      Basis = "mV"      // potentials: the slope is that of the electrode
	ByDisplay Basis = "display" // shown pH: the slope is relative to what the meter has stored
)

// Estimate is a figure of the electrode: its value, standard uncertainty and
// 95 % interval, the last two nil where there is no basis for them.
type Estimate = scatter.Estimate

// Fitted is one point seen from the line.
type Fitted struct {
	PH      float64 // the buffer
	Reading float64 // mV or displayed pH
	TempC   float64 // 25 where it was not recorded
	// Corrected is the pH by the line, Residual the buffer minus it; nil where
	// the slope is too small to tell.
	Corrected, Residual *float64
}

// Result is a calibrated electrode.
type Result struct {
	Basis Basis
	N     int // points
	// TempC is the mean temperature of the points, at which SlopeMVPerPH and
	// ZeroPointPH hold.
	TempC float64

	// SlopePercent is the slope as a percentage of the ideal one, positive for
	// a working electrode. By display it is a percentage of the slope that the
	// meter has stored. nil for one point.
	SlopePercent *Estimate
	// SlopeMVPerPH is the slope at TempC as a positive number: the potential
	// falls by it when pH rises by one. nil by display and for one point.
	SlopeMVPerPH *Estimate
	// OffsetMV is the potential at pH 7; nil by display.
	OffsetMV *Estimate
	// OffsetPH is the display at pH 7, minus 7; nil by mV.
	OffsetPH *Estimate
	// ZeroPointPH is the pH at which the electrode gives 0 mV; by display,
	// the pH at which the meter shows 7.00, which is the same thing if the
	// meter has the ideal calibration stored. nil where the slope is too small
	// for it.
	ZeroPointPH *Estimate

	// UncertaintyFrom says what the intervals rest on: "stated", "scatter"
	// or "none".
	UncertaintyFrom string
	Chi2            *float64 // only where uncertainties were stated, for three points or more
	DoF             int      // points minus parameters

	// LowPH and HighPH are the bracket: the outermost buffers.
	LowPH, HighPH float64
	Points        []Fitted

	Checks []Check
	// Verdict is that of the binding criteria together.
	Verdict conformity.Verdict
	// Faults are the pictures that the figures fit, the likeliest first;
	// empty for a healthy electrode.
	Faults   []Fault
	Advice   []string
	Warnings []string

	fit  fitted
	temp uncert.Value // mean of the points' temperatures
}

// fitted is the line y = a + b·x of the points; x is in the unit of the
// reading, so that b is −1 for an ideal electrode by mV and 1 by display.
type fitted struct {
	a, b  uncert.Value
	basis line.Basis
	dof   float64 // of the scatter
	id    string  // prefix of the fit's sources
	chi2  *float64
	still bool // the reading was the same in every buffer
}

func (r *Result) warn(text string) { r.Warnings = append(r.Warnings, text) }

// sign turns b into the slope fraction.
func (r *Result) sign() float64 {
	if r.Basis == ByMV {
		return -1
	}
	return 1
}
