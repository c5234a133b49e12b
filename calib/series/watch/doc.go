// Package watch looks at a log row by row and finds what happened to the tub
// and its probes: probes hanging in air, refills and top-ups, stuck sensors, jumps
// that nobody wrote down. It also sums a log up by days.
//
// Three types stand side by side and know nothing of one another: [Dry] flags the rows of
// one conductivity probe, [Events] watches all columns and tells what happened, and
// [Daily] gives each day's least, median and highest value.
//
// Everything here goes with the rows, remembers a bounded number of them, and
// allocates nothing for one. What can be known only afterwards, that the rows of
// a fall belonged to a probe that was leaving the liquid, is told afterwards,
// for a bounded number of rows back. A live program that cannot go back leaves
// that out.
//
// The idea of Dry: a liquid that is diluted goes down slowly, or not far, or stays
// where it then is; a probe in air falls steeply to next to nothing. So what is judged is
// always the way from one level to the next, never a reading by itself. The idea
// of Events: liquids mix, and more than one sensor feels it; a knob that is turned
// shows from one row to the next, in one column.
//
// What it leaves out: a change to water of less than 5 % of the strength before, from one row to the
// next, looks like air; a film that keeps a probe above 5 % until it is wet
// again looks like weak water; one column alone, with rows more than some minutes
// apart, does not tell a top-up from an adjustment.
//
// The thresholds are common practice, no source; each stands beside its
// reason. How often they are right is measured by simulation, with the
// population beside each.
package watch
