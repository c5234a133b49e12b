// Package watch looks at a log row by row and finds what happened to the tub
// and its probes: probes hanging in air, refills, stuck sensors, jumps.
//
// Everything here goes with the rows, remembers a bounded number of them, and
// allocates nothing for one. What can be known only afterwards, that the rows of
// a fall belonged to a probe that was leaving the liquid, is told afterwards,
// for a bounded number of rows back.
//
// The thresholds are common practice, no source; each stands beside its
// reason.
package watch
