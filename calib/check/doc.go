// Package check judges a meter by readings of references.
//
// It is the bench procedure around a straight line. From rows of reference and reading, with
// whatever is known of their uncertainties, [Run] goes in this order:
//
//  1. Look at the rows: numbers that cannot be, a reading a thousand times off its reference,
//     uncertainties stated in some rows and not in others. Each is an error that names the row.
//  2. Build what is known of the errors: each reference's own part, the part shared by references
//     of one source, the readings' own, the display's resolution. Unknown stays unknown.
//  3. Fit the line (package line), by the method asked for or the one that suits what is known.
//  4. Judge the meter as found, before any correction: the probability that its true error lies
//     within tolerance at every reference (package conformity).
//  5. Say what to do, in words.
//
// What it declines to do: it converts no units and compensates no temperature. A reference is what
// a perfect meter of this kind would show in that liquid at that moment.
//
// # What is shared
//
// Rows with one ref_source share that source's error, URefShared, fully. Rows with one bottle
// share that bottle's own error, URef: reading a bottle three times does not make it three
// bottles, and where the scatter decides they are averaged first. Rows without a bottle count as
// different bottles once URef is stated. Where the sources of a reference's uncertainty are known
// by name (RefParts), those say what is shared.
//
// # The verdict's basis
//
// The error at a reference is the mean reading there minus the reference. Its doubt comes, in this
// order: from URef, URefShared and UReading where stated; where UReading is not, from the spread
// of repeated readings, else the readings are taken as exact and a warning says so; where URef is
// not stated, from the scatter about the ordinary line, which sees everything but what the
// references share; repeats of one reference are one point of it. Where there is neither the
// probability is unknown and the verdict undecided.
//
// Where there are more references than a zero error and a gain error have parameters, and the
// errors do not contradict it, the meter's error is taken as the two: the more references, the
// better it is known. Otherwise each reference's error is judged by itself.
package check
