// Package series puts logs right: months of readings, each by its meter's
// calibration as of that moment, with an uncertainty and a flag.
//
// # The model
//
// A calibration is a line, corrected = intercept + slope·reading, with the
// covariance of the two, at one time. A [Timeline] joins a meter's calibrations:
//
//	between two      the line moves evenly, from the earlier one as left to the
//	                 later one as found
//	after the last   it is held
//	at a break       (adjusted, replaced) what was before ends; the calibration
//	                 before is held up to it, the one after held back to it
//	otherwise        nothing applies: before the first, between two breaks, after a
//	                 break that no calibration follows
//
// The variance of a corrected value is that of its line, carried over to the
// reading, with that of the reading itself and of the temperature. Between two
// calibrations the variances are interpolated as the line is: that is exact where
// both share their error (bottles of one stock) and too much, never too little,
// where they do not. Where a line is held, [Growth] adds what drift may have done
// since: (rate · months)² + walk² · months, with the rate's own uncertainty in
// its size. Between two calibrations a steady drift is interpolated, and what
// wanders is pinned down at both ends: walk² · months · f (1-f).
//
// A [Conversion] then brings the value from the meter's display into the unit
// that is wanted and, for a conductivity meter that leaves temperature alone, to
// 25 C by the temperature in another column of the row.
//
// # What it leaves out
//
// A cleaning may move a meter, but breaks nothing. The errors of the thermometer
// and of calibrations are the same from row to row: a mean over many rows is no
// surer than u says. Nothing tells what two calibrations share, so an interval
// between two of fresh stocks covers more than it claims. Values outside the
// readings of the references are corrected by the line all the same, and flagged.
//
// # Logs
//
// [Correct] reads a log of any size in bounded memory and writes every byte of it
// back, in order, with three columns more for each [Probe]; [Follow] does so row
// by row as they come. A [Corrector] alone corrects single readings.
package series
