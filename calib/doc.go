// Package calib holds no code. It documents how the packages below it fit
// together, in the order in which a bench day uses them:
//
//  1. quantity reads "1413uS/cm" or "600mg/L" into a number in a base unit.
//  2. readings reads a CSV of what the meters showed into typed rows.
//  3. uncert carries a value together with its named sources of uncertainty,
//     so that bottles of one stock stay related.
//  4. tempcomp says what a perfect meter with this compensation rule and
//     display scale shows in a liquid of known conductivity.
//  5. line turns readings and references into a straight line with its
//     covariance; electrode reads such a line as a pH electrode's slope and
//     zero point.
//  6. conformity decides pass, fail or undecided from a probability.
//  7. agree compares meters with one another and with references.
//
// What a reference is worth stands in package solutions. Imports run downward
// only: cmd → reports → calib/… → solutions → uncert and quantity.
package calib
