// Package paired finds drift in the log of two probes that hang in one tub.
//
// Two probes in the same liquid differ by their errors alone, whatever the
// liquid does. Their difference over months is therefore a record of drift that
// costs no reference. A log has a row every minute; what matters moves over
// days. So a log is read row by row and thinned to one figure a day: the median
// of the differences, which a splash, a dry hour or a stuck value does not
// move. The days then go the way of checks, through package drift, with the
// second probe in the place of the reference.
//
// What it cannot tell is which of the two drifts. One reading of each in one
// bottle does.
//
// Only one day's figures at most are sampled where a day has very many rows,
// and nothing else of the file is held, so that its size does not matter.
package paired
