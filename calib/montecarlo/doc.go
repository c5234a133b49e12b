// Package montecarlo propagates distributions by drawing from them.
//
// The law of propagation of uncertainty is linear: it takes a first derivative and a normal
// result. Drawing the inputs, computing the outputs and sorting them takes neither, and so checks
// it (JCGM 101:2008). The number of draws is not guessed: blocks are added until the figures have
// settled to a wanted number of significant digits (clause 7.9), or until the most allowed are
// done, and the result says which.
//
// The same seed gives the same figures on every machine.
//
// What it declines to do: it knows nothing of measurement models. The caller draws the inputs and
// computes the outputs; a draw that has no outputs is counted, not hidden.
package montecarlo
